"""What somebody must know who is not at the counter: packing, not touching, the bike left at home.

The points are common practice (no source). They stand on the ticket and are said on leaving.
"""

from __future__ import annotations

from diagnose.job.state import JobState
from diagnose.reasoning.judgement import Judgement
from diagnose.reports.paper import Head, Items, Para, Part
from diagnose.reports.wrapping import wrapped
from diagnose.strategy.plans import DO_NOT_OPEN

__all__ = ["sending_parts", "sending_text"]

#: safety messages with which a shock is carried by hand, and by nobody else
_BY_HAND = frozenset({"leave_valve_alone", "structural_stop", "trapped_do_not_open"})

_TOUCH = (
    "Leave the valve, the knobs and every screw as they are; do not let air out, do not pump.",
    "Write down the pressure only if it was read already; do not put a pump on for it.",
)

_PACK = (
    "Ask the carrier first; write on the parcel that it holds gas under pressure.",
    "Dry and in a bag against oil; padded all round, so that nothing presses on valve or knobs.",
    "Bolts, reducers and bushings in a bag of their own, in their order.",
    "In the parcel: name, telephone, the complaint in your words, bike and rider's weight.",
)

_BIKE = ("The bike without its shock: do not sit on it or load it, the frame folds.",)


def sending_parts(judgement: Judgement, job: JobState) -> list[Part]:
    """The section of the ticket; nothing where the bike is at the counter."""
    if job.channel == "bike_here":
        return []
    if job.channel == "shock_only":
        return [Head("The bike at home"), Items(_BIKE)]
    parts: list[Part] = [Head("Until we have it in hand"), Items(_TOUCH)]
    if by_hand(judgement):
        text = "It is not posted. Bring it by hand, as it is, on the bike if it is on the bike."
        return [*parts, Para(text, strong=True)]
    return [*parts, Head("If it is sent"), Items(_PACK), *map(Para, _BIKE)]


def by_hand(judgement: Judgement) -> bool:
    """It may hold trapped gas, or a part that holds it may be broken: no parcel."""
    named = {line.id for line in judgement.cautions if line.outside}
    return judgement.stage.id == DO_NOT_OPEN or bool(named & _BY_HAND)


def sending_text(judgement: Judgement, job: JobState, width: int) -> list[str]:
    """The same, to be read out on leaving."""
    lines: list[str] = []
    for part in sending_parts(judgement, job):
        if isinstance(part, Head):
            lines += wrapped(f"{part.text}:", width)
        elif isinstance(part, Para):
            lines += wrapped(part.text, width)
        elif isinstance(part, Items):
            for item in part.items:
                lines += wrapped(item, width, "- ")
    return lines
