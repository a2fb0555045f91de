from django.urls import path

from gear.catalogue import api

app_name = "api-catalogue"
urlpatterns = [
    path("gear-types/", api.GearTypes.as_view(), name="gear-types"),
    path("gear-types/schema", api.SpecSchemas.as_view(), name="schemas"),
    path("gear-types/schema/<str:kind>", api.SpecSchema.as_view(), name="schema"),
    path("gear-types/<slug:slug>", api.OneGearType.as_view(), name="gear-type"),
]
