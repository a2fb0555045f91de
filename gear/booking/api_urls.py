from django.urls import path

from gear.booking.api import FreeUnits, WouldClashOfType

app_name = "api-booking"
urlpatterns = [
    path("free-units", FreeUnits.as_view(), name="free-units"),
    path("gear-types/<slug:slug>/would-clash", WouldClashOfType.as_view(), name="would-clash"),
]
