"""Counted things on a packing list: so many out, so many back; the totals are said, so that saying them twice is
harmless."""

from __future__ import annotations

from typing import Any

from gear.booking.locks import locked_by_id
from gear.booking.transactions import in_one_transaction
from gear.booking.wall_time import say
from gear.errors import Conflict, FieldProblem, Gone, Invalid
from gear.stock.models import StockPromise
from gear.stock.queries import promises_to
from gear.stock.rules import said
from gear.stock.services import count_back_to, count_out_to, count_used, report_lost
from studio.packing.models import PackingClosure
from studio.shoots.models import Shoot

__all__ = ["count_line", "refuse_stock_out", "state_of", "stock_lines"]


def stock_lines(shoot: Shoot) -> list[StockPromise]:
    """The counted things of a shoot: those promised, and those that have left whatever the plan says now."""
    return [line for line in promises_to(shoot.booking_id) if line.active or line.out_quantity]


def state_of(line: StockPromise) -> str:
    """What a form was made from: it goes along, so that an old page counts nothing twice."""
    return "/".join(said(n) for n in (line.out_quantity, line.back_quantity, line.still_out))


@in_one_transaction
def count_line(
    shoot: Shoot, line_id: int, act: str, quantity: Any, by: Any, *, seen: str = "", note: str = ""
) -> str:
    """Count one line, and say how it stands. ``out`` and ``in`` give totals; ``used`` and ``lost`` so many more, and
    need what the person saw. Raises `Conflict` when the counts cannot both be right."""
    locked_by_id(shoot.booking_id, None)
    closure = PackingClosure.objects.filter(shoot=shoot).first()
    if closure:
        when = say(closure.closed_at, shoot.booking.zone)
        raise Conflict(f"This list was closed on {when}; nothing was changed.")
    line = StockPromise.objects.filter(pk=line_id, booking=shoot.booking_id).first()
    if line is None:
        raise Gone("That line is not on this list any more. Load the list again.")
    if act in ("used", "lost") and seen != state_of(line):
        raise Conflict(
            "Somebody counted this line in the meantime; nothing was changed. Look again.", code="counted"
        )
    match act:
        case "out":
            line = count_out_to(line_id, quantity, by)
        case "in":
            line = count_back_to(line_id, quantity, by)
        case "used":
            line = count_used(line_id, quantity, by)
        case "lost":
            line = report_lost(line_id, quantity, note, by)
        case _:
            raise Invalid(
                "This list does not know that act.", (FieldProblem("act", "out, in, used or lost"),)
            )
    return _words(line, act)


def refuse_stock_out(shoot: Shoot) -> None:
    """A list does not close while counted things are out. Raises `Conflict` that names them."""
    locked_by_id(shoot.booking_id, None)
    out = [line for line in promises_to(shoot.booking_id) if line.still_out]
    if out:
        listed = ", ".join(f"{said(line.still_out)} of {said(line.out_quantity)} {line.item}" for line in out)
        raise Conflict(
            f"Still out: {listed}. Count each back, mark it used, or report it as lost; then close."
        )


def _words(line: StockPromise, act: str) -> str:
    if act == "out":
        return f"{said(line.out_quantity)} of {said(line.quantity)} {line.item} packed"
    stays = f"; {said(line.still_out)} stay blocked" if line.still_out else ""
    done = line.out_quantity - line.still_out
    return f"{said(done)} of {said(line.out_quantity)} {line.item} accounted for{stays}"
