"""The pages of places and rooms."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from gear.access import declares
from gear.errors import Invalid, Refusal
from studio.places import services
from studio.places.forms import PlaceForm, RoomEditor
from studio.places.models import Place, Room
from studio.places.plan import RoomPlan, draw_room
from studio.places.queries import a_place, a_room, places


@declares("place", "read")
@require_GET
def place_list(request: HttpRequest) -> HttpResponse:
    """Every place with its rooms."""
    return render(request, "places/list.html", {"places": places()})


@declares("place", "read")
@require_GET
def room(request: HttpRequest, pk: int) -> HttpResponse:
    """One room: its plan to scale, its windows and its circuits."""
    found = a_room(pk)
    return render(request, "places/room.html", {"room": found, "plan": _plan(found)})


@declares("place", "change")
@require_http_methods(["GET", "POST"])
def place_new(request: HttpRequest) -> HttpResponse:
    """Add a place; its first room comes next."""
    form = PlaceForm(request.POST or None)
    if form.is_valid():
        try:
            made = services.add_place(form.entry(), request.user)
            messages.success(request, f"{made} is added. Its first room comes next.")
            return redirect("places:room-new", made.pk)
        except Refusal as refusal:
            return _place_refused(request, form, refusal, None)
    status = 422 if form.is_bound else 200
    return render(request, "places/place_form.html", {"form": form}, status=status)


@declares("place", "change")
@require_http_methods(["GET", "POST"])
def place_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct a place."""
    found = a_place(pk)
    form = PlaceForm(request.POST or None, instance=a_place(pk))
    if form.is_valid():
        try:
            services.change_place(found, form.entry(), request.user)
            return redirect("places:list")
        except Refusal as refusal:
            return _place_refused(request, form, refusal, found)
    status = 422 if form.is_bound else 200
    return render(request, "places/place_form.html", {"form": form, "place": found}, status=status)


@declares("place", "change")
@require_http_methods(["GET", "POST"])
def room_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Add a room to a place."""
    place = a_place(pk)
    editor = RoomEditor(request.POST or None)
    return _edit_room(request, editor, place, None)


@declares("place", "change")
@require_http_methods(["GET", "POST"])
def room_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a room, its windows and circuits."""
    found = a_room(pk)
    return _edit_room(request, RoomEditor(request.POST or None, a_room(pk)), found.place, found)


@declares("place", "change")
@require_POST
def room_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Remove a room that was never used."""
    services.remove_room(a_room(pk), request.user)
    return redirect("places:list")


def _edit_room(request: HttpRequest, editor: RoomEditor, place: Place, found: Room | None) -> HttpResponse:
    refusal: Refusal | None = None
    bound = request.method == "POST"
    if bound and editor.is_valid():
        try:
            if found is None:
                saved = services.add_room(place, editor.entry(), request.user)
            else:
                saved = services.change_room(found, editor.entry(), request.user, version=editor.version)
            return redirect("places:room", saved.pk)
        except Refusal as caught:
            refusal = caught
            if isinstance(caught, Invalid):
                editor.show(caught)
    context = {"editor": editor, "form": editor.form, "place": place, "room": found, "refusal": refusal}
    status = refusal.status if refusal else 422 if bound else 200
    return render(request, "places/room_form.html", context, status=status)


def _place_refused(
    request: HttpRequest, form: PlaceForm, refusal: Refusal, place: Place | None
) -> HttpResponse:
    if isinstance(refusal, Invalid):
        for problem in refusal.problems:
            if problem.where in form.fields:
                form.add_error(problem.where, problem.expected)
    context = {"form": form, "refusal": refusal, "place": place}
    return render(request, "places/place_form.html", context, status=refusal.status)


def _plan(room: Room) -> RoomPlan:
    return draw_room(
        room.width_m,
        room.depth_m,
        (room.mark_x_m, room.mark_y_m),
        room.north_deg,
        [(w.name, w.wall, w.offset_m, w.sill_m, w.width_m, w.height_m) for w in room.windows.all()],
    )
