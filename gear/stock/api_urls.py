from django.urls import path

from gear.stock import api

app_name = "api-stock"
urlpatterns = [
    path("stock/", api.Items.as_view(), name="items"),
    path("stock/<int:pk>", api.OneItem.as_view(), name="item"),
    path("stock/<int:pk>/movements", api.Movements.as_view(), name="movements"),
    path("stock/<int:pk>/availability", api.StockAvailability.as_view(), name="availability"),
]
