"""Does anybody else in the building fire our lights, and do ours all listen to one channel?"""

from __future__ import annotations

from collections.abc import Iterator

from gear.specs import ReceiverSpec, StrobeSpec, TriggerSpec
from recipes.checks.explanation import Explanation
from recipes.checks.findings import Finding, Remedy
from recipes.checks.prediction import Prediction
from recipes.checks.setup import Setup, Unit
from recipes.checks.strobes import fired_strobes
from recipes.checks.verdict import not_known
from recipes.rig.radio import ChannelUse, channel_clashes, common_systems, free_channel, same_system

__all__ = ["EXPLANATION", "check"]

EXPLANATION = Explanation(
    name="channels",
    family="radio",
    title="Radio channels",
    question="Is the trigger's channel free of other shoots in the building, and are all receivers on it?",
    formula=("clash = same radio system and same channel at the same time",),
    symbols=(("channel", "as set on trigger, receiver and head"),),
    assumes=(
        "other shoots are on the channels that their triggers are recorded with",
        "walls hold nothing back; what other houses send is not known",
        "a head or receiver whose channel is not recorded is set on the day",
    ),
    source=("common practice, no source",),
)


def check(setup: Setup, prediction: Prediction) -> Iterator[Finding]:
    """One finding for clashes with others, one for each unit of ours on another channel."""
    trigger = setup.trigger
    if trigger is None or not any(fired_strobes(setup, prediction)):
        return
    yield from _others(setup, trigger)
    if trigger.channel is not None:
        yield from _ours(setup, trigger, trigger.channel)


def _others(setup: Setup, trigger: Unit[TriggerSpec]) -> Iterator[Finding]:
    heard = [
        ChannelUse(system, channel, whose)
        for system, channel, whose in setup.channels_in_the_building
        if any(same_system(system, ours) for ours in trigger.spec.radio)
    ]
    if not heard:
        return
    if trigger.channel is None:
        yield not_known(
            EXPLANATION,
            trigger.tag,
            f"{heard[0].whose} is in the building with the same radio; missing the channel set on {trigger.tag}.",
            f"the channel set on {trigger.tag}",
        )
        return
    ours = [ChannelUse(system, trigger.channel, setup.look.title) for system in trigger.spec.radio]
    clashes = channel_clashes(ours, heard)
    if not clashes:
        yield Finding(
            check=EXPLANATION.name,
            status="ok",
            about=trigger.tag,
            sentence=f"Nobody else in the building is on channel {trigger.channel} of {trigger.spec.radio[0]}.",
        )
        return
    clash = clashes[0]
    free = free_channel(clash.ours, trigger.spec.channels, heard)
    yield Finding(
        check=EXPLANATION.name,
        status="gap",
        about=trigger.tag,
        sentence=f"{clash.theirs.whose} is on channel {trigger.channel} of {clash.ours.system} at the same time: each "
        "fires the other's lights.",
        remedies=(
            Remedy(
                f"Set trigger, receivers and heads to channel {free}.",
                arguments=(("channel", str(free)),),
            )
            if free is not None
            else Remedy(
                f"All {trigger.spec.channels} channels are taken: agree with {clash.theirs.whose}, or use another "
                "radio or sync leads.",
                action="assign",
            ),
        ),
    )


def _ours(setup: Setup, trigger: Unit[TriggerSpec], channel: int) -> Iterator[Finding]:
    for light in setup.lights:
        listeners: list[Unit[StrobeSpec] | Unit[ReceiverSpec]] = [light.receiver] if light.receiver else []
        if not listeners:
            listeners = [head for head in light.heads if isinstance(head.spec, StrobeSpec)]
        for unit in listeners:
            hears = common_systems(trigger.spec.radio, unit.spec.radio)
            if hears and unit.channel is not None and unit.channel != channel:
                yield Finding(
                    check=EXPLANATION.name,
                    status="tight",
                    about=unit.tag,
                    sentence=f"{unit.tag} of {light.plan.name} is set to channel {unit.channel}, {trigger.tag} to "
                    f"{channel}: it does not fire until they agree.",
                    remedies=(
                        Remedy(
                            f"Set {unit.tag} to channel {channel}.", arguments=(("channel", str(channel)),)
                        ),
                    ),
                )
