from django.urls import path

from studio.places import pages, working_hours_pages

app_name = "places"
urlpatterns = [
    path("", pages.place_list, name="list"),
    path("new", pages.place_new, name="new"),
    path("<int:pk>/edit", pages.place_edit, name="edit"),
    path("<int:pk>/hours", working_hours_pages.working_hours, name="working-hours"),
    path("<int:pk>/rooms/new", pages.room_new, name="room-new"),
    path("rooms/<int:pk>", pages.room, name="room"),
    path("rooms/<int:pk>/edit", pages.room_edit, name="room-edit"),
    path("rooms/<int:pk>/remove", pages.room_remove, name="room-remove"),
]
