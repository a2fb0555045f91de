from django.apps import AppConfig


class WebConfig(AppConfig):
    name = "studio.web"
    label = "web"
