"""Computing a readiness, keeping it, and telling people of a gap once."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable

from django.db import transaction
from django.template.loader import render_to_string
from django.utils import timezone

from gear.booking.models import Booking
from gear.booking.wall_time import say_period
from recipes.checks.fingerprint import fingerprint
from recipes.checks.registry import run_checks
from recipes.checks.setup import Setup
from studio.outbox.mail import TOPIC as MAIL
from studio.outbox.mail import body_of
from studio.outbox.services import put
from studio.people.models import Person, Role
from studio.readiness.alternatives import with_alternatives
from studio.readiness.models import Readiness
from studio.readiness.queries import coming_shoots, readiness_of
from studio.shoots.models import Shoot, ShootRecipe

__all__ = ["check_shoots"]


def check_shoots(shoots: Iterable[Shoot], *, only_stale: bool = False) -> list[Readiness]:
    """Compute and keep the readiness of every recipe of these shoots; mail a gap that nobody was told of.

    Computing twice from the same inputs changes nothing: it may be repeated, in any order, on any worker. Whoever dies
    between keeping and telling leaves a gap that is not told yet; the next call for that shoot tells it.
    """
    kept: list[Readiness] = []
    for shoot_id, recipes in readiness_of(shoots).items():
        stored = {one.shoot_recipe.pk: one.stored for one in recipes}
        for one in recipes:
            if one.stale or not only_stale:
                stored[one.shoot_recipe.pk] = _keep(one.shoot_recipe, one.setup)
                kept.append(stored[one.shoot_recipe.pk])
        if any(row is not None and row.gap_names != row.told_gaps for row in stored.values()):
            _tell(shoot_id)
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


def _tell(shoot_id: int) -> None:
    """One mail a shoot that is confirmed and not over, and only when it has a gap that people were not told of.

    The mail is written down together with who was told, while the rows are locked: two workers do not both write it,
    and what was written leaves, however long the mail server is away.
    """
    with transaction.atomic():
        shoot = coming_shoots().filter(pk=shoot_id, booking__state=Booking.State.CONFIRMED).first()
        if shoot is None:
            return
        rows = list(
            Readiness.objects.select_for_update(of=("self",))
            .filter(shoot_recipe__shoot=shoot_id)
            .select_related("shoot_recipe__revision__recipe")
            .order_by("shoot_recipe__position")
        )
        news = any(set(row.gap_names) - set(row.told_gaps) for row in rows)
        for row in rows:
            if row.told_gaps != row.gap_names:
                row.told_gaps = row.gap_names
                row.save(update_fields=["told_gaps"])
        if news:
            _mail(shoot, [row for row in rows if row.gaps])


def _mail(shoot: Shoot, rows: list[Readiness]) -> None:
    people = {p.email for p in Person.objects.filter(role=Role.MANAGER, is_active=True) if p.email}
    for owner in (shoot.photographer, shoot.booking.asked_by):
        if owner and owner.is_active and owner.email:
            people.add(owner.email)
    if not people:
        return
    booking = shoot.booking
    period = say_period(booking.starts_at, booking.ends_at, booking.zone)
    body = render_to_string("readiness/gap_mail.txt", {"shoot": shoot, "period": period, "rows": rows})
    put(MAIL, body_of(f"Gap in {shoot.title}", body, people))
