from django.urls import path

from studio.web import pages

app_name = "web"
urlpatterns = [
    path("", pages.today, name="today"),
    path("healthz", pages.health, name="health"),
]
