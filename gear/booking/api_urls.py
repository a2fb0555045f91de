from django.urls import path

from gear.booking.api import FreeUnits

app_name = "api-booking"
urlpatterns = [path("free-units", FreeUnits.as_view(), name="free-units")]
