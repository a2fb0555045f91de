from django.apps import AppConfig


class OnceConfig(AppConfig):
    name = "studio.once"
    label = "once"
