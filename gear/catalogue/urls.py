from django.urls import path

from gear.catalogue import pages

app_name = "catalogue"
urlpatterns = [
    path("", pages.types, name="types"),
    path("new/", pages.type_new, name="type-new"),
    path("export/", pages.types_export, name="types-export"),
    path("<slug:slug>/", pages.type_page, name="type"),
    path("<slug:slug>/edit/", pages.type_edit, name="type-edit"),
]
