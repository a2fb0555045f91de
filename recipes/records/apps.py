from django.apps import AppConfig


class RecordsConfig(AppConfig):
    name = "recipes.records"
    label = "records"
