"""Computing a readiness, keeping it, and telling people of a gap once."""

from __future__ import annotations

import dataclasses
import hashlib
from collections.abc import Iterable

from django.conf import settings
from django.core.mail import send_mail
from django.db import transaction
from django.template.loader import render_to_string
from django.utils import timezone

from recipes.checks.fingerprint import fingerprint
from recipes.checks.registry import run_checks
from recipes.checks.setup import Setup
from studio.people.models import Person, Role
from studio.readiness.alternatives import with_alternatives
from studio.readiness.models import Readiness
from studio.readiness.queries import coming_shoots, readiness_of
from studio.shoots.models import Shoot, ShootRecipe

__all__ = ["check_shoots"]


def check_shoots(shoots: Iterable[Shoot], *, only_stale: bool = False) -> list[Readiness]:
    """Compute and keep the readiness of every recipe of these shoots; mail a gap that nobody was told of.

    Computing twice from the same inputs changes nothing: it may be repeated, in any order, on any worker.
    """
    kept: list[Readiness] = []
    shoots = list(shoots)
    for shoot_id, recipes in readiness_of(shoots).items():
        of_shoot = [_keep(one.shoot_recipe, one.setup) for one in recipes if one.stale or not only_stale]
        kept += of_shoot
        _tell(shoot_id, of_shoot)
    return kept


def _keep(shoot_recipe: ShootRecipe, setup: Setup) -> Readiness:
    report = with_alternatives(shoot_recipe, setup, run_checks(setup))
    readiness, _ = Readiness.objects.update_or_create(
        shoot_recipe=shoot_recipe,
        defaults={
            "fingerprint": fingerprint(setup),
            "worst": report.worst,
            "findings": [dataclasses.asdict(finding) for finding in report.findings],
            "prediction": dataclasses.asdict(report.prediction),
            "computed_at": timezone.now(),
        },
    )
    return readiness


def _tell(shoot_id: int, computed: list[Readiness]) -> None:
    """One mail a shoot, and only when its set of gaps is another one than people were told of."""
    if not computed:
        return
    with transaction.atomic():
        shoot = coming_shoots().filter(pk=shoot_id).first()
        if shoot is None:
            return
        rows = list(
            Readiness.objects.select_for_update(of=("self",))
            .filter(shoot_recipe__shoot=shoot_id)
            .select_related("shoot_recipe__revision__recipe")
            .order_by("shoot_recipe__position")
        )
        gaps = [(row, _gaps(row)) for row in rows]
        news = [row for row, found in gaps if found and _mark(found) != row.told_fingerprint]
        for row, found in gaps:
            row.told_fingerprint = _mark(found) if found else ""
            row.save(update_fields=["told_fingerprint"])
        if news:
            transaction.on_commit(lambda: _mail(shoot, gaps), robust=True)


def _gaps(row: Readiness) -> list[dict[str, str]]:
    return [finding for finding in row.findings if finding["status"] == "gap"]


def _mark(gaps: list[dict[str, str]]) -> str:
    said = sorted(f"{gap['check']} {gap['about']}" for gap in gaps)
    return hashlib.sha256("\n".join(said).encode()).hexdigest()


def _mail(shoot: Shoot, gaps: list[tuple[Readiness, list[dict[str, str]]]]) -> None:
    people = {p.email for p in Person.objects.filter(role=Role.MANAGER, is_active=True) if p.email}
    if shoot.photographer and shoot.photographer.email:
        people.add(shoot.photographer.email)
    if not people:
        return
    body = render_to_string(
        "readiness/gap_mail.txt", {"shoot": shoot, "gaps": [(row, found) for row, found in gaps if found]}
    )
    send_mail(f"Gap in {shoot.title}", body, settings.DEFAULT_FROM_EMAIL, sorted(people))
