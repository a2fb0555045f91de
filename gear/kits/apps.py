from django.apps import AppConfig


class KitsConfig(AppConfig):
    name = "gear.kits"
    label = "kits"

    def ready(self) -> None:
        from gear.booking.companions import accompany
        from gear.kits.following import KitsOfBooking

        accompany(KitsOfBooking())
