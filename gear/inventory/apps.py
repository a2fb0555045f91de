from django.apps import AppConfig


class InventoryConfig(AppConfig):
    name = "gear.inventory"
    label = "inventory"
