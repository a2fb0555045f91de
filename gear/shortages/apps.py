from django.apps import AppConfig


class ShortagesConfig(AppConfig):
    name = "gear.shortages"
    label = "shortages"

    def ready(self) -> None:
        from gear.booking.companions import accompany
        from gear.changes import write_with
        from gear.shortages.following import ShortagesOfBooking, review_changes

        accompany(ShortagesOfBooking())
        write_with(review_changes)
