"""An import in two steps: an upload that is kept and looked at, then confirmed or thrown away."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone

from gear.catalogue.import_report import ImportReport
from gear.catalogue.services import import_gear_types
from gear.errors import Conflict
from gear.inventory.csv_text import text_of
from gear.inventory.importing import import_units
from gear.inventory.models import ImportDraft
from gear.inventory.queries import draft_of

__all__ = ["confirm_import", "discard_import", "dry_run_of", "start_import"]

WAITS = timedelta(hours=24)


def start_import(what: str, file_name: str, content: bytes, by: Any) -> ImportDraft:
    """Keep an upload for its dry run. Raises `Invalid` when it cannot be read at all. Old uploads go."""
    draft = ImportDraft(
        what=what,
        file_name=file_name.replace("\x00", "")[-120:],
        text=text_of(content),
        by=by,
        expires_at=timezone.now() + WAITS,
    )
    dry_run_of(draft)
    with transaction.atomic():
        ImportDraft.objects.filter(expires_at__lte=timezone.now()).delete()
        draft.save()
    return draft


def confirm_import(pk: int, digest: str, by: Any) -> ImportReport:
    """Do what the dry run showed. ``digest`` is that of the report which the person saw.

    Raises `Gone` when the upload was used or is too old, `Conflict` when the store changed so that something else would
    happen than was shown, `Invalid` when a row is refused. Then nothing is imported and the upload waits on.
    """
    with transaction.atomic():
        list(ImportDraft.objects.select_for_update().filter(pk=pk).values("pk"))  # one confirmation at a time
        draft = draft_of(pk, by)
        report = _run_of(draft)(draft.text, by)
        if report.digest != digest:
            raise Conflict(
                "Nothing was imported: the store changed since the dry run, and something else would happen than it "
                "showed.",
                ways_out=("Look at the new dry run below and confirm that one.",),
                code="dry-run-outdated",
            )
        draft.delete()
    return report


def discard_import(pk: int, by: Any) -> None:
    """Throw an upload away. Raises `Gone` when there is none."""
    draft_of(pk, by).delete()


def dry_run_of(draft: ImportDraft) -> ImportReport:
    """What the upload would do to the store as it is now; changes nothing."""
    return _run_of(draft)(draft.text, dry_run=True)


def _run_of(draft: ImportDraft) -> Callable[..., ImportReport]:
    return import_units if draft.what == ImportDraft.What.UNITS else import_gear_types
