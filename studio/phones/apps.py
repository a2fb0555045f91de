from django.apps import AppConfig


class PhonesConfig(AppConfig):
    name = "studio.phones"
    label = "phones"

    def ready(self) -> None:
        from studio.packing.closing import ask_before_closing
        from studio.phones.queries import refuse_unsettled

        ask_before_closing(refuse_unsettled)
