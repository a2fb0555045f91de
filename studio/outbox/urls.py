from django.urls import path

from studio.outbox import pages

app_name = "outbox"
urlpatterns = [path("work", pages.work, name="work")]
