from django.apps import AppConfig


class HistoryConfig(AppConfig):
    name = "studio.history"
    label = "history"
