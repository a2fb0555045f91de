from django.apps import AppConfig


class StockConfig(AppConfig):
    name = "gear.stock"
    label = "stock"

    def ready(self) -> None:
        from gear.booking.companions import accompany
        from gear.stock.following import StockOfBooking

        accompany(StockOfBooking())
