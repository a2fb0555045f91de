from django.urls import path

from studio.shoots import (
    around_pages,
    desk_pages,
    line_pages,
    merge_pages,
    pages,
    parting_pages,
    series_pages,
    stock_pages,
)

app_name = "shoots"
urlpatterns = [
    path("", pages.shoot_list, name="list"),
    path("new", pages.shoot_new, name="new"),
    path("<int:pk>", desk_pages.shoot, name="shoot"),
    path("<int:pk>/edit", pages.shoot_edit, name="edit"),
    path("<int:pk>/merge", merge_pages.merge, name="merge"),
    path("<int:pk>/hold", pages.firmness, {"act": "hold"}, name="hold"),
    path("<int:pk>/confirm", pages.firmness, {"act": "confirm"}, name="confirm"),
    path("<int:pk>/cancel", pages.firmness, {"act": "cancel"}, name="cancel"),
    path("<int:pk>/uncancel", pages.firmness, {"act": "uncancel"}, name="uncancel"),
    path("<int:pk>/open-end", pages.open_end, name="open-end"),
    path("<int:pk>/travel", pages.travel_anew, name="travel"),
    path("<int:pk>/repeat", series_pages.repeat, name="repeat"),
    path("<int:pk>/series/end", series_pages.end, name="series-end"),
    path("<int:pk>/series/<str:act>", series_pages.several, name="several"),
    path("series/<int:pk>", series_pages.series, name="series"),
    path("series/<int:pk>/days/<str:day>/again", series_pages.again, name="series-again"),
    path("<int:pk>/ask", line_pages.ask, name="ask"),
    path("<int:pk>/ask-no-more", line_pages.ask_no_more, name="ask-no-more"),
    path("<int:pk>/step-back", line_pages.step_back, name="step-back"),
    path("<int:pk>/units", around_pages.units, name="units"),
    path("<int:pk>/part", parting_pages.part, name="part"),
    path("<int:pk>/suggest", desk_pages.suggest, name="suggest"),
    path("<int:pk>/extra", desk_pages.extra, name="extra"),
    path("<int:pk>/stock", stock_pages.stock, name="stock"),
    path("<int:pk>/recipes", desk_pages.recipes, name="recipes"),
    path("<int:pk>/recipes/<int:recipe>/job", desk_pages.job, name="job"),
    path("<int:pk>/recipes/<int:recipe>/unassign", desk_pages.unassign, name="unassign"),
    path("<int:pk>/recipes/<int:recipe>/circuit", desk_pages.circuit, name="circuit"),
]
