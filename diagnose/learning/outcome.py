"""What came of a closed job, in one line: all that reports and learning ever read of it.

The store keeps it beside the job, so that a hundred thousand jobs are summed up without reading an
event. It is a pure function of the events, can be made anew at any time, and holds no word of the
customer's.

Rules
-----
- The call is what was judged last.
- What the customer said unasked is no report here: people bring up what is there and pass over what
  is not, so its silence cannot be counted.
- A reading stands as the state that the judgement of its day made of it.
- Stores keep the text: a change of what it says needs a new version of the store's layout.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from diagnose.job.events import Closed, Event
from diagnose.job.state import JobState, fold

__all__ = ["NOT_LOOKED", "Outcome", "outcome_of"]

#: what a closing says where nobody found out
NOT_LOOKED = "not_looked"

#: facts of the office that are learned from
_KEPT = ("comeback_of", "not_cured", "parts_cost")


@dataclass(frozen=True)
class Outcome:
    """One closed job.

    Attributes
    ----------
    pack : whose job it is: what is learned of one device says nothing of another.
    opened, closed : times (ISO 8601) of the first event and of the closing, as they were given.
    ended, found, stage, minutes, cured : as in `Closed`. facts : of the office, see the source.
    call, call_minutes, call_parts : stage judged last, and its estimate [minutes, currency].
    believed : cause -> probability judged last, the likeliest first.
    reports : (ask, by, state) of all that was answered, looked at or read.
    moved : (ask, whether the judgement after it called for another stage) in order.
    """

    pack: str = ""
    opened: str = ""
    closed: str = ""
    ended: str = ""
    found: tuple[str, ...] = ()
    stage: str = ""
    minutes: float | None = None
    cured: bool | None = None
    facts: Mapping[str, Any] = field(default_factory=dict)
    call: str = ""
    call_minutes: float | None = None
    call_parts: float | None = None
    believed: Mapping[str, float] = field(default_factory=dict)
    reports: tuple[tuple[str, str, str], ...] = ()
    moved: tuple[tuple[str, bool], ...] = ()

    @property
    def looked(self) -> bool:
        """Whether the closing says what was found, 'nothing' included."""
        return NOT_LOOKED not in self.found and (bool(self.found) or not self.ended)

    def to_text(self) -> str:
        """One line of JSON, without what says nothing."""
        said = {name: value for name, value in vars(self).items() if value not in _NOTHING}
        return json.dumps(said, ensure_ascii=False, separators=(",", ":"))

    @classmethod
    def from_text(cls, text: str) -> Outcome:
        """The outcome that `to_text` wrote.

        Raises
        ------
        ValueError, TypeError
            The text is none.

        >>> one = Outcome(found=("worn_seal",), reports=(("look", "bench", "torn"),))
        >>> Outcome.from_text(one.to_text()) == one
        True
        """
        said = json.loads(text)
        said["found"] = tuple(said.get("found", ()))
        for name in ("reports", "moved"):
            said[name] = tuple(map(tuple, said.get(name, ())))
        return cls(**said)


_NOTHING: tuple[Any, ...] = ("", None, (), {})


def outcome_of(events: Sequence[Event], job: JobState | None = None) -> Outcome | None:
    """The outcome of a job; None while it is not closed.

    Parameters
    ----------
    job : the fold of the events, if it is known already.
    """
    job = job or fold(events)
    closed = job.closed
    if closed is None:
        return None
    judged = job.last_judged or {}
    stage = judged.get("stage") or {}
    return Outcome(
        pack=job.pack,
        opened=events[0].time,
        closed=next(e.time for e in reversed(events) if isinstance(e, Closed)),
        ended=closed.ended,
        found=tuple(closed.found),
        stage=closed.stage,
        minutes=closed.minutes,
        cured=closed.cured,
        facts={name: value for name, value in job.facts.known().items() if name in _KEPT},
        call=str(stage.get("id", "")),
        call_minutes=_number(stage.get("minutes")),
        call_parts=_number(stage.get("parts")),
        believed={
            str(line["id"]): float(line["probability"]) for line in judged.get("causes") or []
        },
        reports=_reports(job, judged),
        moved=_moved(events),
    )


def _number(value: object) -> float | None:
    return float(value) if isinstance(value, (int, float)) else None


def _reports(job: JobState, judged: Mapping[str, Any]) -> tuple[tuple[str, str, str], ...]:
    # What a check is for comes first; what else followed from its readings is no answer of it.
    read = {
        (line["id"], line["by"]): line["state"]
        for line in reversed(judged.get("symptoms") or [])
        if not line.get("words") and "by" in line
    }
    rows = ((r.ask, r.by, r.state or read.get((r.ask, r.by), "")) for r in job.reports.values())
    return tuple(row for row in rows if row[2])


def _moved(events: Sequence[Event]) -> tuple[tuple[str, bool], ...]:
    """What stood between two judgements, and whether the stage was another one after it."""
    moved = list[tuple[str, bool]]()
    before, done = "", list[str]()
    for event in events:
        if event.kind in ("answered", "measured"):
            done.append(event.ask)
        elif event.kind == "judged":
            after = str((event.judgement.get("stage") or {}).get("id", ""))
            if before:
                moved += [(ask, after != before) for ask in done]
            before, done = after, []
    return tuple(moved)
