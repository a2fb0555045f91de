from django.apps import AppConfig


class OutboxConfig(AppConfig):
    name = "studio.outbox"
    label = "outbox"

    def ready(self) -> None:
        from gear.changes import write_with
        from studio.outbox.consumers import consume
        from studio.outbox.mail import TOPIC, send
        from studio.outbox.services import keep_changes

        write_with(keep_changes)
        consume(TOPIC, send)
