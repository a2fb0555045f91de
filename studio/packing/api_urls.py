from django.urls import path

from studio.packing import api

app_name = "api-packing"
urlpatterns = [
    path("shoots/<int:pk>/packing", api.PackingList.as_view(), name="list"),
    path("shoots/<int:pk>/packing/close", api.PackingListClosing.as_view(), name="close"),
]
