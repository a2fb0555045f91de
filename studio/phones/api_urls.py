from django.urls import path

from studio.phones import api

app_name = "api-phones"
urlpatterns = [
    path("phones/who", api.WhoIsHere.as_view(), name="who"),
    path("phones/lists", api.KeptLists.as_view(), name="lists"),
    path("phones/lists/<int:pk>", api.OneKeptList.as_view(), name="list"),
    path("phones/operations", api.Operations.as_view(), name="operations"),
]
