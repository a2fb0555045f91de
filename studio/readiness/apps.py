from django.apps import AppConfig


class ReadinessConfig(AppConfig):
    name = "studio.readiness"
    label = "readiness"

    def ready(self) -> None:
        from studio.outbox.consumers import consume
        from studio.outbox.services import CHANGES
        from studio.readiness.tasks import RECHECK, recheck, recheck_touched

        consume(CHANGES, recheck_touched)
        consume(RECHECK, recheck)
