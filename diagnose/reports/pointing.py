"""Where on the device a card points, on papers and pages: a picture, or the numbers on one.

Rules
-----
- A sheet has one picture; its steps name the numbers that stand on it.
- Gas stands in the picture as the job knows it: full until proved empty.
- Where a pack has no drawing, or a card no place, nothing stands there.
"""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.job.state import JobState
from diagnose.knowledge.loader import Knowledge
from diagnose.pictures.cross_section import Section
from diagnose.reasoning.judgement import Judgement

__all__ = ["section_of", "suspected", "where"]

#: causes that are pointed at, the chance from which one is, and from which it is the only one
_MOST, _LEAST, _SURE = 3, 0.15, 0.5


def section_of(
    knowledge: Knowledge,
    parts: Iterable[str] = (),
    *,
    title: str = "Here",
    job: JobState | None = None,
    whole: bool = False,
) -> Section | None:
    """The picture with these parts marked, in the state of the job; None where there is none.

    Parameters
    ----------
    whole : also where nothing is left to point at.
    """
    drawing = knowledge.drawing
    if drawing is None:
        return None
    marked = drawing.placed(parts)
    if not (marked or whole):
        return None
    chambers = job.chambers(knowledge.device) if job else None
    flags = job.shock if job else None
    return drawing.section(knowledge.device, marked, title=title, chambers=chambers, flags=flags)


def where(knowledge: Knowledge, parts: Iterable[str]) -> str:
    """Parts with their numbers on the picture, in words; empty where there is none."""
    return knowledge.drawing.named(parts) if knowledge.drawing else ""


def suspected(
    judgement: Judgement, knowledge: Knowledge, job: JobState | None = None, *, whole: bool = False
) -> Section | None:
    """The picture with the places of the likeliest causes; ``whole`` as in `section_of`."""
    likely = [
        line
        for line in judgement.causes[:_MOST]
        if line.probability >= max(_LEAST, judgement.no_fault)
    ]
    sure = bool(likely) and likely[0].probability >= _SURE
    parts = [
        part for line in likely[: 1 if sure else _MOST] for part in knowledge.points_to(line.id)
    ]
    title = "Most likely here" if sure else "It may be here"
    return section_of(knowledge, parts, title=title, job=job, whole=whole)
