from django.urls import path

from gear.booking import pages

app_name = "booking"
urlpatterns = [
    path("<str:tag>/promises", pages.unit_promises, name="unit-promises"),
    path("types/<slug:slug>/would-clash", pages.type_clashes, name="type-clashes"),
]
