from django.urls import path

from studio.shoots.api import Firmness, Move, OneShoot, Shoots, ShootUnits

app_name = "api-shoots"
urlpatterns = [
    path("shoots/", Shoots.as_view(), name="list"),
    path("shoots/<int:pk>/", OneShoot.as_view(), name="one"),
    path("shoots/<int:pk>", OneShoot.as_view()),
    path("shoots/<int:pk>/units", ShootUnits.as_view(), name="units"),
    path("shoots/<int:pk>/hold", Firmness.as_view(act="hold"), name="hold"),
    path("shoots/<int:pk>/confirm", Firmness.as_view(act="confirm"), name="confirm"),
    path("shoots/<int:pk>/cancel", Firmness.as_view(act="cancel"), name="cancel"),
    path("shoots/<int:pk>/uncancel", Firmness.as_view(act="uncancel"), name="uncancel"),
    path("shoots/<int:pk>/move", Move.as_view(), name="move"),
]
