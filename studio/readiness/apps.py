from django.apps import AppConfig


class ReadinessConfig(AppConfig):
    name = "studio.readiness"
    label = "readiness"

    def ready(self) -> None:
        from gear.changes import listen
        from studio.readiness.tasks import recheck_touched

        listen(recheck_touched)
