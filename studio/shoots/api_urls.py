from django.urls import path

from studio.shoots.api import Move, OneShoot, Shoots, ShootUnits
from studio.shoots.around_api import AnyUnits, Buffers, StayOnSet, ThisVeryUnit
from studio.shoots.firmness_api import AskToDecide, Firmness, OpenEnd, StepBack
from studio.shoots.import_api import ImportShoots
from studio.shoots.parting_api import MergeShoots, ShiftShoots, SplitShoot
from studio.shoots.series_api import OneSeries, RepeatShoot, SeriesAct, SeriesChange, SeriesDay, SeriesEnd
from studio.shoots.stock_api import OneShootKit, ShootKits, ShootStock

app_name = "api-shoots"
urlpatterns = [
    path("shoots/", Shoots.as_view(), name="list"),
    path("shoots/<int:pk>/", OneShoot.as_view(), name="one"),
    path("shoots/<int:pk>", OneShoot.as_view()),
    path("shoots/<int:pk>/units", ShootUnits.as_view(), name="units"),
    path("shoots/<int:pk>/units/any", AnyUnits.as_view(), name="any-units"),
    path("shoots/<int:pk>/units/<str:tag>/buffers", Buffers.as_view(), name="buffers"),
    path("shoots/<int:pk>/units/<str:tag>/fixed", ThisVeryUnit.as_view(), name="this-very-unit"),
    path("shoots/<int:pk>/stay", StayOnSet.as_view(), name="stay"),
    path("shoots/<int:pk>/stock", ShootStock.as_view(), name="stock"),
    path("shoots/<int:pk>/kits", ShootKits.as_view(), name="kits"),
    path("shoots/<int:pk>/kits/<int:number>", OneShootKit.as_view(), name="kit"),
    path("shoots/<int:pk>/open-end", OpenEnd.as_view(), name="open-end"),
    path("shoots/<int:pk>/hold", Firmness.as_view(act="hold"), name="hold"),
    path("shoots/<int:pk>/confirm", Firmness.as_view(act="confirm"), name="confirm"),
    path("shoots/<int:pk>/cancel", Firmness.as_view(act="cancel"), name="cancel"),
    path("shoots/<int:pk>/uncancel", Firmness.as_view(act="uncancel"), name="uncancel"),
    path("shoots/<int:pk>/repeat", RepeatShoot.as_view(), name="repeat"),
    path("shoots/<int:pk>/series", SeriesChange.as_view(), name="series-change"),
    path("shoots/<int:pk>/series/hold", SeriesAct.as_view(act="hold"), name="series-hold"),
    path("shoots/<int:pk>/series/confirm", SeriesAct.as_view(act="confirm"), name="series-confirm"),
    path("shoots/<int:pk>/series/cancel", SeriesAct.as_view(act="cancel"), name="series-cancel"),
    path("shoots/<int:pk>/series/take-over", SeriesAct.as_view(act="take-over"), name="series-take-over"),
    path("shoots/<int:pk>/series/end", SeriesEnd.as_view(), name="series-end"),
    path("series/<int:pk>", OneSeries.as_view(), name="series"),
    path("series/<int:pk>/days/<str:day>", SeriesDay.as_view(), name="series-day"),
    path("shoots/<int:pk>/ask", AskToDecide.as_view(), name="ask"),
    path("shoots/<int:pk>/step-back", StepBack.as_view(), name="step-back"),
    path("shoots/<int:pk>/split", SplitShoot.as_view(), name="split"),
    path("shoots/<int:pk>/merge", MergeShoots.as_view(), name="merge"),
    path("shoots/import", ImportShoots.as_view(), name="import"),
    path("shoots/shift", ShiftShoots.as_view(), name="shift"),
    path("shoots/<int:pk>/move", Move.as_view(), name="move"),
]
