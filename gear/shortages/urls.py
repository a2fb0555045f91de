from django.urls import path

from gear.shortages import pages

app_name = "shortages"
urlpatterns = [
    path("", pages.shortages, name="list"),
    path("late/", pages.late, name="late"),
    path("<int:pk>/", pages.shortage, name="one"),
    path("<int:pk>/resolve/", pages.resolve, name="resolve"),
    path("<int:pk>/note/", pages.note, name="note"),
]
