from django.apps import AppConfig


class KitsConfig(AppConfig):
    name = "gear.kits"
    label = "kits"

    def ready(self) -> None:
        from gear.booking.companions import accompany
        from gear.booking.swapping import follow_swaps
        from gear.kits.following import KitsOfBooking, UnitsOfKits

        accompany(KitsOfBooking())
        follow_swaps(UnitsOfKits())
