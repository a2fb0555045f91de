from django.apps import AppConfig


class ShootsConfig(AppConfig):
    name = "studio.shoots"
    label = "shoots"
