from django.urls import path

from studio.packing import pages, recount_pages, stock_pages, unit_pages

app_name = "packing"
urlpatterns = [
    path("units/<str:tag>/packing", unit_pages.unit_travels, name="unit"),
    path("<int:pk>/packing", pages.packing, name="list"),
    path("<int:pk>/packing/tick", pages.tick, name="tick"),
    path("<int:pk>/packing/report/<str:tag>", pages.report, name="report"),
    path("<int:pk>/packing/stock", stock_pages.count, name="stock"),
    path("<int:pk>/packing/recount", recount_pages.recount_case, name="recount"),
    path("out/", recount_pages.outside, name="outside"),
    path("<int:pk>/packing/close", pages.close, name="close"),
]
