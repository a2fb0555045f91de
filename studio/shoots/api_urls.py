from django.urls import path

from studio.shoots.api import Firmness, Move, OneShoot, Shoots, ShootUnits
from studio.shoots.stock_api import OneShootKit, ShootKits, ShootStock

app_name = "api-shoots"
urlpatterns = [
    path("shoots/", Shoots.as_view(), name="list"),
    path("shoots/<int:pk>/", OneShoot.as_view(), name="one"),
    path("shoots/<int:pk>", OneShoot.as_view()),
    path("shoots/<int:pk>/units", ShootUnits.as_view(), name="units"),
    path("shoots/<int:pk>/stock", ShootStock.as_view(), name="stock"),
    path("shoots/<int:pk>/kits", ShootKits.as_view(), name="kits"),
    path("shoots/<int:pk>/kits/<int:number>", OneShootKit.as_view(), name="kit"),
    path("shoots/<int:pk>/hold", Firmness.as_view(act="hold"), name="hold"),
    path("shoots/<int:pk>/confirm", Firmness.as_view(act="confirm"), name="confirm"),
    path("shoots/<int:pk>/cancel", Firmness.as_view(act="cancel"), name="cancel"),
    path("shoots/<int:pk>/uncancel", Firmness.as_view(act="uncancel"), name="uncancel"),
    path("shoots/<int:pk>/move", Move.as_view(), name="move"),
]
