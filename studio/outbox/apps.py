from django.apps import AppConfig


class OutboxConfig(AppConfig):
    name = "studio.outbox"
    label = "outbox"

    def ready(self) -> None:
        from gear.changes import write_with
        from studio.outbox.consumers import consume
        from studio.outbox.mail import TOPIC, send
        from studio.outbox.services import keep_change

        write_with(keep_change)
        consume(TOPIC, send)
