from django.apps import AppConfig


class BookingConfig(AppConfig):
    name = "gear.booking"
    label = "booking"
