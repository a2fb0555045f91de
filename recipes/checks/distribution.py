"""Are there sockets for every head, and does a distribution box carry what must hang on it?"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import chain
from typing import cast

from gear.specs import DistributionSpec
from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy, Working
from recipes.checks.loads import generator_of, plugged_heads
from recipes.checks.prediction import Prediction
from recipes.checks.setup import Circuit, Setup, Unit
from recipes.checks.verdict import status_of
from recipes.rig.caution import Hazard, caution
from recipes.rig.circuits import Load

__all__ = ["EXPLANATION", "check"]

TIGHT_SHARE = 0.1
"""Less than a tenth of the rated current to spare is tight. Common practice, no source."""

EXPLANATION = Explanation(
    name="distribution",
    family="power",
    title="Sockets and distribution boxes",
    question="Is there a socket for every head on the mains, and does each box carry the heads that must hang on it?",
    formula=(
        "sockets = those of the circuit + (outlets − 1) of each box on it;   margin = sockets − plugs",
        "I of a box = the smallest peaks that fill the outlets which the wall does not have, over the voltage",
        "margin = rated current of the box − I",
    ),
    symbols=(
        ("plugs", "heads on the mains that are given to the circuit"),
        ("peak", "of each head while it recycles, in VA"),
    ),
    assumes=(
        "a box takes one socket of the circuit, or of the first box where the circuit has none left; boxes go where "
        "most sockets are missing",
        "the lightest heads hang on the box and the heaviest on the wall; chargers and lamps of the house are not "
        "counted",
        "one box never hangs on another",
    ),
    source=(
        "the units' sheets and the sockets of the room",
        "one box on another: common practice, no source",
    ),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding a circuit that lacks sockets or needs a box (sockets), one a box in use (A)."""
    circuits = {circuit.name: circuit for circuit in setup.room.circuits} if setup.room else {}
    if not circuits:
        return
    first = next(iter(circuits))
    plugged: dict[str, list[Load]] = defaultdict(list)
    for head in plugged_heads(setup, prediction):
        if generator_of(setup, head.circuit) is None:
            plugged[head.circuit if head.circuit in circuits else first].append(head.load)
    boxes = sorted(
        cast(
            list[Unit[DistributionSpec]],
            [unit for unit in setup.units if isinstance(unit.spec, DistributionSpec)],
        ),
        key=lambda box: (-box.spec.outlets, box.tag),
    )
    most_wanting = sorted(plugged, key=lambda name: circuits[name].sockets - len(plugged[name]))
    for name in most_wanting:
        circuit, loads = circuits[name], plugged[name]
        here: list[Unit[DistributionSpec]] = []
        while boxes and _sockets(circuit, here) < len(loads):
            here.append(boxes.pop(0))
        if here or _sockets(circuit, here) < len(loads):
            yield _of_circuit(circuit, loads, here)
        yield from _of_boxes(circuit, loads, here)


def _sockets(circuit: Circuit, boxes: Sequence[Unit[DistributionSpec]]) -> int:
    return circuit.sockets + sum(box.spec.outlets - 1 for box in boxes)


def _of_circuit(circuit: Circuit, loads: list[Load], boxes: list[Unit[DistributionSpec]]) -> Finding:
    sockets = _sockets(circuit, boxes)
    margin = sockets - len(loads)
    lacks = margin < 0
    with_boxes = f" with {' and '.join(box.tag for box in boxes)}" if boxes else ""
    sentence = f"{circuit.name} has {sockets} sockets{with_boxes} for {len(loads)} heads"
    return Finding(
        check=EXPLANATION.name,
        status="gap" if lacks else "ok",
        about=circuit.name,
        sentence=f"{sentence}: {-margin} too few." if lacks else f"{sentence}.",
        value=float(len(loads)),
        limit=float(sockets),
        margin=float(margin),
        unit="sockets",
        remedies=(
            Remedy("Take a distribution box along.", action="assign"),
            Remedy("Plug some of the heads into another circuit.", action="assign"),
        )
        if lacks
        else (),
        caution=caution(Hazard.MAINS),
    )


def _of_boxes(circuit: Circuit, loads: list[Load], boxes: list[Unit[DistributionSpec]]) -> Iterator[Finding]:
    """The lightest heads fill the boxes; none stays empty, since one is taken only as long as sockets lack. Each box
    takes a socket of the wall away; where the wall has none left it hangs in the first box, which then carries its
    heads too."""
    lightest = sorted(loads, key=lambda load: load.peak_va)
    on_boxes = lightest[: len(loads) - max(0, circuit.sockets - len(boxes))]
    chained = len(boxes[max(1, circuit.sockets) :])
    hung: list[list[Load]] = []
    for box in boxes:
        free = box.spec.outlets if hung else max(0, box.spec.outlets - chained)
        hung.append(on_boxes[:free])
        on_boxes = on_boxes[free:]
    for place, box in enumerate(boxes):
        through = hung[place] if place else [*hung[0], *chain.from_iterable(hung[len(boxes) - chained :])]
        yield _of_box(circuit, box, through)


def _of_box(circuit: Circuit, box: Unit[DistributionSpec], hung: list[Load]) -> Finding:
    current = sum(load.peak_va for load in hung) / circuit.voltage_v
    limit = box.spec.rated_a
    status = status_of(limit - current, TIGHT_SHARE * limit)
    names = " + ".join(load.name for load in hung)
    sentence = f"{box.tag} feeds {names} on {circuit.name}: {current:.1f} A at the peak of {limit:g} A"
    return Finding(
        check=EXPLANATION.name,
        status=status,
        about=box.tag,
        sentence=f"{sentence}, {current - limit:.1f} A too much." if status == "gap" else f"{sentence}.",
        value=current,
        limit=limit,
        margin=limit - current,
        unit="A",
        remedies=()
        if status == "ok"
        else (
            Remedy(f"Hang fewer heads on {box.tag}, or take a box for more current.", action="assign"),
            Remedy("Set the heads to slow recycling.", costs="a slower pace"),
        ),
        workings=(
            Working(
                "I",
                "sum of the peaks / voltage",
                f"({' + '.join(f'{load.peak_va:g}' for load in hung)}) / {circuit.voltage_v:g}",
                f"{current:.2f} A",
            ),
        ),
        caution=caution(Hazard.MAINS),
    )
