"""What somebody must know who is not at the counter: packing, not touching, the bike left at home.

The points stand in the pack and are common practice (no source). They stand on the ticket and are
said on leaving.
"""

from __future__ import annotations

from diagnose.job.state import JobState
from diagnose.knowledge.device import Device
from diagnose.reasoning.judgement import Judgement
from diagnose.reports.paper import Head, Items, Para, Part
from diagnose.reports.wrapping import wrapped

__all__ = ["sending_parts", "sending_text"]


def sending_parts(judgement: Judgement, job: JobState, device: Device) -> list[Part]:
    """The section of the ticket; nothing where the bike is at the counter."""
    papers = device.papers
    if job.channel == "bike_here":
        return []
    if job.channel == "shock_only":
        return [Head("The bike at home"), Items(tuple(papers.bike_left))]
    parts: list[Part] = [Head("Until we have it in hand"), Items(tuple(papers.until_here))]
    if by_hand(judgement, device):
        text = "It is not posted. Bring it by hand, as it is, on the bike if it is on the bike."
        return [*parts, Para(text, strong=True)]
    return [
        *parts,
        Head("If it is sent"),
        Items(tuple(papers.packing)),
        *map(Para, papers.bike_left),
    ]


def by_hand(judgement: Judgement, device: Device) -> bool:
    """It may hold trapped gas, or a part that holds it may be broken: no parcel."""
    named = {line.id for line in judgement.cautions if line.outside}
    return judgement.shut or bool(named & set(device.by_hand))


def sending_text(judgement: Judgement, job: JobState, device: Device, width: int) -> list[str]:
    """The same, to be read out on leaving."""
    lines: list[str] = []
    for part in sending_parts(judgement, job, device):
        if isinstance(part, Head):
            lines += wrapped(f"{part.text}:", width)
        elif isinstance(part, Para):
            lines += wrapped(part.text, width)
        elif isinstance(part, Items):
            for item in part.items:
                lines += wrapped(item, width, "- ")
    return lines
