from django.urls import path

from gear.kits import pages

app_name = "kits"
urlpatterns = [
    path("", pages.kits, name="list"),
    path("new/", pages.kit_new, name="new"),
    path("<int:pk>/", pages.kit, name="kit"),
    path("<int:pk>/edit/", pages.kit_edit, name="edit"),
    path("<int:pk>/remove/", pages.kit_remove, name="remove"),
]
