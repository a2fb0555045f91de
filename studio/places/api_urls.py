from django.urls import path

from studio.places.api import OnePlace, OneRoom, Places, Rooms
from studio.places.working_hours_api import PlaceWorkingHours

app_name = "api-places"
urlpatterns = [
    path("places/", Places.as_view(), name="places"),
    path("places/<int:pk>/", OnePlace.as_view(), name="place"),
    path("places/<int:pk>/working-hours", PlaceWorkingHours.as_view(), name="working-hours"),
    path("rooms/", Rooms.as_view(), name="rooms"),
    path("rooms/<int:pk>/", OneRoom.as_view(), name="room"),
]
