from django.apps import AppConfig


class PlacesConfig(AppConfig):
    name = "studio.places"
    label = "places"
