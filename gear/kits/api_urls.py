from django.urls import path

from gear.kits import api

app_name = "api-kits"
urlpatterns = [
    path("kits/", api.Kits.as_view(), name="kits"),
    path("kits/<int:pk>", api.OneKit.as_view(), name="kit"),
    path("kits/<int:pk>/availability", api.KitAvailability.as_view(), name="availability"),
]
