from django.urls import path

from gear.subhire import api

app_name = "api-subhire"
urlpatterns = [
    path("sub-hires/", api.SubHires.as_view(), name="list"),
    path("sub-hires/<int:pk>", api.OneSubHire.as_view(), name="one"),
    path("sub-hires/<int:pk>/end", api.SubHireEnd.as_view(), name="end"),
]
