from django.apps import AppConfig


class ShootsConfig(AppConfig):
    name = "studio.shoots"
    label = "shoots"

    def ready(self) -> None:
        from gear.booking.notices import tell_with
        from gear.booking.swapping import follow_swaps
        from studio.shoots.following import JobsOfBooking
        from studio.shoots.notices import write_mail

        follow_swaps(JobsOfBooking())
        tell_with(write_mail)
