from django.urls import path

from gear.inventory import api
from gear.inventory.casing_api import CaseOfUnit

app_name = "api-inventory"
urlpatterns = [
    path("units/", api.Units.as_view(), name="units"),
    path("units/export.csv", api.InventoryExport.as_view(), name="export"),
    path("units/<str:tag>", api.OneUnit.as_view(), name="unit"),
    path("units/<str:tag>/faults", api.Faults.as_view(), name="faults"),
    path("units/<str:tag>/case", CaseOfUnit.as_view(), name="case"),
    path("units/<str:tag>/condition", api.ConditionOfUnit.as_view(), name="condition"),
    path("units/<str:tag>/care", api.Care.as_view(), name="care"),
]
