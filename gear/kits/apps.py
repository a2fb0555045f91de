from django.apps import AppConfig


class KitsConfig(AppConfig):
    name = "gear.kits"
    label = "kits"
