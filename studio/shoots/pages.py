"""The list of shoots, planning one, changing what it says and how firmly it stands."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from gear.access import declares
from gear.booking.clashes import UnitTaken
from gear.booking.rules import has_lapsed, hold_end, now, use_of
from gear.booking.wall_time import moment, wall_of
from gear.errors import Invalid, Refusal, StaleEdit
from gear.paging import page_of
from studio.people.models import Role
from studio.places.models import Room
from studio.shoots import services
from studio.shoots.forms import HoldForm, NewShootForm, ShootFilter, ShootForm
from studio.shoots.merge_pages import show_merge
from studio.shoots.merging import read, said_by, said_of, signed
from studio.shoots.models import Shoot
from studio.shoots.queries import a_shoot, shoots
from studio.shoots.rules import period_in
from studio.shoots.series_booking import Booked, plan_series
from studio.shoots.series_desk import book_or_show, tell
from studio.shoots.series_editing import edit_series
from studio.shoots.series_forms import ReachForm, RepeatForm
from studio.shoots.standing import with_ranks

PER_PAGE = 40


@declares("shoot", "read")
def shoot_list(request: HttpRequest) -> HttpResponse:
    """Coming shoots, or past and cancelled ones."""
    form = ShootFilter(request.GET)
    form.is_valid()
    asked = form.cleaned_data
    when = asked.get("when") or "coming"
    found = shoots(
        when=when,
        words=asked.get("q") or "",
        photographer=request.user if asked.get("whose") == "mine" else None,
    )
    page = page_of(found, PER_PAGE, request.GET.get("page"))
    rows = [(shoot, has_lapsed(shoot.booking)) for shoot in with_ranks(page)]
    return render(
        request,
        "shoots/list.html",
        {"form": form, "page": page, "rows": rows, "when": when, "asked": bool(asked.get("q"))},
    )


@declares("shoot", "ask")
@require_http_methods(["GET", "POST"])
def shoot_new(request: HttpRequest) -> HttpResponse:
    """Plan a shoot."""
    if not Room.objects.exists():
        return render(request, "shoots/no_room.html")
    form = NewShootForm(request.POST or None, by=request.user, initial=_first_words(request))
    repeat = RepeatForm(request.POST or None)

    def show(*, status: int = 200, refusal: Refusal | None = None, **more: object) -> HttpResponse:
        context = {"repeat": repeat, **more}
        if refusal is not None:
            return _refused(request, "shoots/new.html", form, refusal, **context)
        return render(request, "shoots/new.html", {"form": form, **context}, status=status)

    if not all([form.is_valid(), repeat.is_valid()]):
        return show(status=422 if form.is_bound else 200)
    try:
        rule = repeat.rule()
        if rule is None:
            shoot = _planned(form, request)
    except Refusal as refusal:
        return show(refusal=refusal)
    if rule is not None:
        take_next = repeat.cleaned_data["take_next"]

        def book(leave_out: bool) -> Booked:
            return plan_series(
                lambda: _planned(form, request), rule, request.user, leave_out=leave_out, take_next=take_next
            )

        return book_or_show(request, repeat, book, show)
    messages.success(request, "The shoot is planned. Choose its units next.")
    return redirect("shoots:shoot", shoot.pk)


@declares("shoot", "change")
@require_http_methods(["GET", "POST"])
def shoot_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what a shoot says, its period included."""
    shoot = a_shoot(pk)
    form = ShootForm(request.POST or None, by=request.user, initial=ShootForm.initial_of(shoot))
    form.fields["ends"].required = not use_of(shoot.booking).open_ended
    reach = ReachForm(request.POST or None) if hasattr(shoot.booking, "occurrence") else None
    context = {"shoot": shoot, "reach": reach, "was": request.POST.get("was") or signed(said_of(shoot))}
    if not form.is_valid() or (reach is not None and not reach.is_valid()):
        status = 422 if form.is_bound else 200
        return render(request, "shoots/edit.html", {**context, "form": form}, status=status)
    asked = form.cleaned_data
    changes = services.Changes(
        title=asked["title"],
        notes=asked["notes"],
        room=asked["room"],
        photographer=asked.get("photographer"),
        assistant=asked["assistant"],
        no_assistant=asked["assistant"] is None,
        starts=asked["starts"],
        ends=asked["ends"] or None,
        starts_second=form.second("starts"),
        ends_second=form.second("ends"),
        travels_by_air=asked["travels_by_air"],
        travellers=asked["travellers"] or 1,
    )
    try:
        if reach is None or reach.cleaned_data["which"] == "one":
            services.edit_shoot(shoot, changes, request.user, version=asked["version"])
        else:
            said = reach.cleaned_data
            done = edit_series(
                shoot,
                changes,
                request.user,
                said["which"],
                version=asked["version"],
                leave_out=said["leave_out"],
            )
            tell(request, done)
    except StaleEdit as late:
        was = read(request.POST.get("was", ""))
        if was is None or (reach is not None and reach.cleaned_data["which"] != "one"):
            return _refused(request, "shoots/edit.html", form, late, **context)
        return show_merge(request, a_shoot(pk), was, said_by(changes, was))
    except Refusal as refusal:
        return _refused(request, "shoots/edit.html", form, refusal, **context)
    return redirect("shoots:shoot", pk)


@declares("shoot", "change")
@require_POST
def travel_anew(request: HttpRequest, pk: int) -> HttpResponse:
    """Take the way that the place has by now; a refusal is a page with what is in the way."""
    changes = services.Changes(travel_anew=True)
    services.edit_shoot(a_shoot(pk), changes, request.user, version=_seen(request))
    return redirect("shoots:shoot", pk)


@declares("shoot", "change")
@require_POST
def open_end(request: HttpRequest, pk: int) -> HttpResponse:
    """It has no return date yet; a refusal is a page with what comes after it."""
    services.leave_shoot_open(
        a_shoot(pk), request.POST.get("review", ""), request.user, version=_seen(request)
    )
    return redirect("shoots:shoot", pk)


@declares("shoot", "change")
@require_POST
def firmness(request: HttpRequest, pk: int, act: str) -> HttpResponse:
    """Hold, confirm, cancel or take up again; a refusal is a page with what is in the way."""
    shoot = a_shoot(pk)
    seen = _seen(request)
    form = HoldForm(request.POST)
    until = form.cleaned_data["until"] if form.is_valid() else ""
    behind = bool(request.POST.get("behind"))
    try:
        if act == "hold":
            ends = moment(until, shoot.booking.zone, where="until").instant if until else None
            services.hold_shoot(shoot, request.user, ends, version=seen, behind=behind)
        elif act == "uncancel":
            services.uncancel_shoot(shoot, request.user, version=seen, behind=behind)
        else:
            verbs = {"confirm": services.confirm_shoot, "cancel": services.cancel_shoot}
            verbs[act](shoot, request.user, version=seen)
    except UnitTaken as refusal:
        if not refusal.may_wait:
            raise
        context = {"shoot": shoot, "refusal": refusal, "address": request.path, "until": until}
        return render(request, "shoots/taken.html", context, status=refusal.status)
    return redirect("shoots:shoot", pk)


def _seen(request: HttpRequest) -> int | None:
    """The version of the shoot that the page showed."""
    version = request.POST.get("version", "")
    return int(version) if version.isascii() and version.isdigit() and len(version) < 10 else None


def _planned(form: NewShootForm, request: HttpRequest) -> Shoot:
    """The shoot that the form asks for. Raises what planning raises."""
    asked = form.cleaned_data
    until = asked["hold_until"]
    return services.plan_shoot(
        asked["title"],
        asked["room"],
        period_in(
            asked["room"],
            asked["starts"],
            asked["ends"],
            starts_second=form.second("starts"),
            ends_second=form.second("ends"),
        ),
        asked.get("photographer"),
        request.user,
        recipes=form.revisions(),
        state=asked["state"],
        hold_until=moment(until, asked["room"].place.zone, where="hold_until").instant if until else None,
        assistant=asked["assistant"],
        notes=asked["notes"],
        travels_by_air=asked["travels_by_air"],
        travellers=asked["travellers"] or 1,
    )


def _first_words(request: HttpRequest) -> dict[str, object]:
    initial: dict[str, object] = {}
    if request.user.role == Role.PHOTOGRAPHER:
        initial["photographer"] = request.user.pk
    for name, field in (("recipe", "recipe_1"), ("room", "room")):
        asked = request.GET.get(name, "")
        if asked.isascii() and asked.isdigit():
            initial[field] = asked
    return initial


def _refused(
    request: HttpRequest, template: str, form: ShootForm, refusal: Refusal, **more: object
) -> HttpResponse:
    """The form with what was typed, and the refusal beside the fields it names."""
    if isinstance(refusal, Invalid):
        for problem in refusal.problems:
            if problem.where in form.fields:
                form.add_error(problem.where, problem.expected)
    return render(request, template, {"form": form, "refusal": refusal, **more}, status=refusal.status)


def default_hold_end(shoot: Shoot) -> str:
    """The end that a new hold would get, on the wall of the place."""
    return wall_of(hold_end(shoot.booking.starts_at, None, now()), shoot.booking.zone)
