"""The demo studio in a former tram depot, loaded through the same paths that a user has."""
