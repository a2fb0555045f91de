"""The words that changes have, table by table: what is said of a row that was made, deleted or changed."""

from __future__ import annotations

__all__ = ["ANY", "AT_FIRST", "CALLED", "NAMED_ONLY", "NONE", "SHOWN_WITH", "TURNS", "UNSAID", "WRITTEN_ANEW"]

SHOWN_WITH = {
    # table: (made, deleted, of which something changed)
    "booking_booking": ("opened its booking", "deleted its booking", "the booking"),
    "booking_allocation": ("promised {unit}", "let {unit} go", "the promise of {unit}"),
    "booking_occurrence": ("put {day} into it", "took {day} out of it", "{day}"),
    "booking_challenge": (
        "asked “{first}” for “{later}” to decide about {unit} by {deadline}",
        "deleted the question to “{first}” about {unit}",
        "the question to “{first}” about {unit}",
    ),
    "shoots_seriespattern": (
        "wrote down what is given from {since} on",
        "took back what was given from {since} on",
        "what is given from {since} on",
    ),
    "shoots_shootrecipe": ("put {revision} on it", "took {revision} off it", "{revision}"),
    "shoots_assignment": (
        "gave {unit} the job {light} {job}",
        "took {unit} off the job {light} {job}",
        "the job {light} {job}",
    ),
    "packing_packingline": (
        "put {unit} on the packing list",
        "took {unit} off the packing list",
        "{unit} on the packing list",
    ),
    "packing_packingclosure": ("closed the packing list", "opened the packing list again", "its closing"),
    "packing_dispute": (
        "noted that {unit} was packed for two shoots",
        "deleted that {unit} was packed for two shoots",
        "{unit}, which was packed for two shoots",
    ),
    "packing_foundthing": ("put {mark} into the found tray", "deleted {mark} from the found tray", "{mark}"),
    "phones_operation": ("", "", ""),
    "stock_stockpromise": ("promised {quantity} {item}", "let {quantity} {item} go", "the promise of {item}"),
    "kits_kitpromise": ("put the kit {name} on it", "took the kit {name} off it", "the kit {name}"),
    "kits_kitpart": ("", "", "part {position} {name}"),
    "kits_kitoption": ("put {unit} {item} {sub_kit} into it", "took {unit} {item} {sub_kit} out of it", ""),
    "places_roomwindow": ("put the window {name} in", "took the window {name} out", "the window {name}"),
    "places_roomcircuit": ("put the circuit {name} in", "took the circuit {name} out", "the circuit {name}"),
    "places_workinghours": ("set its working hours", "deleted its working hours", "its working hours"),
    "shortages_shortage": (
        "opened a shortage of {unit} {quantity} {item}",
        "deleted a shortage of {unit} {item}",
        "the shortage of {unit} {item}",
    ),
    "shortages_latereturn": (
        "noted that it comes back late",
        "deleted that it comes back late",
        "its late return",
    ),
    "subhire_subhire": ("agreed to borrow it from {owner}", "deleted its sub-hire", "its sub-hire"),
}
UNSAID = {
    "booking_booking": {"title", "asked_by"},  # a booking repeats them of its shoot
    "kits_kitpart": {"kit", "position"},
    "kits_kitoption": {"part", "position"},
    "places_roomwindow": {"room"},
    "places_roomcircuit": {"room"},
    "booking_challenge": {"ended_at"},
    "phones_operation": {
        "state",
        "sentence",
        "act",
        "mark",
        "unit",
        "shoot",
        "acted_at",
        "made_by",
        "sent_by",
        "key",
    },
    "stock_stockpromise": {"blocked", "promised_by"},
}
"""Columns that say nothing to people, or what is said elsewhere."""

WRITTEN_ANEW = {
    "kits_kitpart": ("position", "name"),
    "kits_kitoption": ("unit_id", "item_id", "sub_kit_id"),
    "places_roomwindow": ("name",),
    "places_roomcircuit": ("name",),
}
"""Rows that are deleted and made again whenever what they belong to is saved, and what makes one the same as before."""

NAMED_ONLY = {"hours"}
"""Documents whose parts have no names for people: only that they changed is said."""

CALLED = {"booking_occurrence": "{day}", "packing_foundthing": "{mark}", "phones_operation": "{mark}"}
"""What a turn is said of, where it is not the unit."""

ANY, NONE = object(), object()

AT_FIRST = {
    "booking_allocation": ("waits_since", "put it in line behind others for {}"),
    "booking_occurrence": ("left_out", "left out {}"),
}
"""What is said instead of a row that is made with this column filled."""

TURNS: dict[str, tuple[tuple[str, object, str], ...]] = {
    # table: (column, what it became, said of it)
    "packing_packingline": (
        ("outcome", "in", "took {} back in"),
        ("outcome", "used", "noted that {} was used up"),
        ("outcome", "reported", "reported {} missing or damaged"),
        ("out_at", NONE, "took back that {} went out"),
        ("out_at", ANY, "took {} out"),
        ("wanted", False, "took {} off the packing list"),
        ("wanted", True, "put {} on the packing list again"),
    ),
    "booking_allocation": (
        ("waits_since", ANY, "put it in line behind others for {}"),
        ("returned_at", ANY, "noted that {} came back"),
        ("lapses_at", ANY, "was asked to decide about {}"),
        ("active", False, "gave up the promise of {}"),
        ("active", True, "promised {} again"),
        ("waits_since", NONE, "left the line for {}"),
        ("lapses_at", NONE, "has no deadline to decide about {} any more"),
    ),
    "booking_occurrence": (
        ("left_out", ANY, "left out {}"),
        ("booking_id", ANY, "booked {} after all"),
    ),
    "booking_challenge": (
        ("outcome", "confirmed", "kept {} by confirming, when asked to decide"),
        ("outcome", "let-go", "let {} go, when asked to decide"),
        ("outcome", "lapsed", "left it undecided about {} until the deadline"),
        ("outcome", "withdrawn", "took back the question about {}"),
    ),
    "packing_dispute": (("settled_at", ANY, "settled where {} really was"),),
    "packing_foundthing": (("settled_at", ANY, "settled what {} in the found tray was"),),
    "phones_operation": (("looked_at", ANY, "decided about what a phone had noted of {}"),),
}
"""Changes of what is shown with a shoot that have a word of their own; the first that holds is the one to say."""
