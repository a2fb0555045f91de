from django.apps import AppConfig


class ShootsConfig(AppConfig):
    name = "studio.shoots"
    label = "shoots"

    def ready(self) -> None:
        from gear.shortages.swapping import follow_swaps
        from studio.shoots.following import JobsOfBooking

        follow_swaps(JobsOfBooking())
