from django.apps import AppConfig


class ReadinessConfig(AppConfig):
    name = "studio.readiness"
    label = "readiness"
