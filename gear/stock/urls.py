from django.urls import path

from gear.stock import pages

app_name = "stock"
urlpatterns = [
    path("", pages.stock, name="list"),
    path("new/", pages.item_new, name="new"),
    path("<int:pk>/", pages.item, name="item"),
    path("<int:pk>/edit/", pages.item_edit, name="edit"),
    path("<int:pk>/movement/", pages.movement, name="movement"),
    path("<int:pk>/count/", pages.count, name="count"),
]
