from django.apps import AppConfig


class CalendarConfig(AppConfig):
    name = "studio.calendar"
    label = "calendar"
