from django.apps import AppConfig


class PackingConfig(AppConfig):
    name = "studio.packing"
    label = "packing"
