from django.urls import path

from studio.readiness import api

app_name = "api-readiness"
urlpatterns = [
    path("shoots/<int:pk>/readiness", api.ShootReadiness.as_view(), name="shoot"),
    path("shoots/<int:pk>/readiness/<int:position>/light", api.LightMapView.as_view(), name="light-map"),
]
