from django.apps import AppConfig


class CatalogueConfig(AppConfig):
    name = "gear.catalogue"
    label = "catalogue"
