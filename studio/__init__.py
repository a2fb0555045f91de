"""The Django project: people, places, shoots, packing, and the web face."""
