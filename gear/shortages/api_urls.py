from django.urls import path

from gear.shortages import api

app_name = "api-shortages"
urlpatterns = [
    path("shortages/", api.Shortages.as_view(), name="list"),
    path("shortages/<int:pk>", api.OneShortage.as_view(), name="one"),
    path("shortages/<int:pk>/resolution", api.ShortageResolution.as_view(), name="resolution"),
    path("shortages/<int:pk>/notes", api.ShortageNotes.as_view(), name="notes"),
    path("late-returns/", api.LateReturns.as_view(), name="late"),
]
