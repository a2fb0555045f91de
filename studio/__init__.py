"""The Django project: people, places, shoots, packing, and the web face.

The task app is made here so that tasks find it however the process was started; the part of the project that builds
its own environment imports this package before anything is installed, hence the guard.
"""

try:
    from .celery import app as celery_app
except ModuleNotFoundError as missing:
    if missing.name != "celery":
        raise
    celery_app = None

__all__ = ["celery_app"]
