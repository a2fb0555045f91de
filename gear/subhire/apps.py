from django.apps import AppConfig


class SubhireConfig(AppConfig):
    name = "gear.subhire"
    label = "subhire"
