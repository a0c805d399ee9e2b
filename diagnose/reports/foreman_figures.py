"""The sums behind the foreman's report: one closed job after the other.

Rules
-----
- A call is what was judged last before closing; it is right if it is what the found causes need.
- What is not recorded (minutes, parts, test) is left out of its own sum only.
- Sums are over all jobs and need three kinds of events; what is looked into step by step (checks,
  alarms) is looked into for the latest jobs only, which are judged by today's knowledge.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from diagnose.belief.compiled import UNLISTED
from diagnose.knowledge.loader import Knowledge
from diagnose.learning.alarms import Seen
from diagnose.learning.tally import NOT_LOOKED
from diagnose.session.events import Closed, Event
from diagnose.session.state import fold
from diagnose.strategy.plans import cure_chance

__all__ = ["BINS", "Against", "Calls", "ForemanFigures"]

#: lower edges of the bins of the calibration plot
BINS = (0.0, 0.2, 0.4, 0.6, 0.8)

#: chance of a cure from which a stage is what a cause needs
_MEANT = 0.5


#: what is not a sum
_INSIDE = frozenset({"knowledge", "seen", "_needs"})


@dataclass
class Calls:
    """How often a call was right, or went deeper or less deep than needed."""

    right: int = 0
    too_deep: int = 0
    too_shallow: int = 0


@dataclass
class Against:
    """An estimate against what it was: number of jobs, sums of both."""

    jobs: int = 0
    estimated: float = 0.0
    real: float = 0.0

    def add(self, estimated: float, real: float) -> None:
        """Count one job."""
        self.jobs += 1
        self.estimated += estimated
        self.real += real


@dataclass
class ForemanFigures:
    """Sums over closed jobs.

    Attributes
    ----------
    first, last : times of the earliest opening and the latest closing. outcomes : stage done ->
    jobs. calls : judged stage -> right and wrong. bins : of the likeliest cause's probability ->
    [jobs, sum of probabilities, jobs in which it was found]. kit : part -> times needed.
    watched : jobs looked into. changed : check -> [times done, times the call was another one after
    it]. seen : for the alarms.
    """

    knowledge: Knowledge
    jobs: int = 0
    first: str = ""
    last: str = ""
    outcomes: Counter[str] = field(default_factory=Counter)
    not_looked: int = 0
    nothing: int = 0
    unlisted: int = 0
    passed: int = 0
    tested: int = 0
    not_cured: int = 0
    comebacks: list[tuple[str, str]] = field(default_factory=list)
    calls: dict[str, Calls] = field(default_factory=dict)
    bins: list[list[float]] = field(default_factory=lambda: [[0, 0.0, 0] for _ in BINS])
    minutes: dict[str, Against] = field(default_factory=dict)
    parts: dict[str, Against] = field(default_factory=dict)
    changed: dict[str, list[int]] = field(default_factory=dict)
    watched: int = 0
    kit: Counter[str] = field(default_factory=Counter)
    seen: list[Seen] = field(default_factory=list)

    #: events that `add` needs; a store may leave out the others
    KINDS = frozenset({"closed", "described", "judged"})

    def add(self, name: str, events: Sequence[Event]) -> None:
        """Count one closed job; a job that is not closed counts nothing."""
        closed = next((e for e in reversed(events) if e.kind == "closed"), None)
        if closed is None:
            return
        self.jobs += 1
        opened = events[0].time[:10]
        self.first = min(filter(None, (self.first, opened)), default="")
        self.last = max(self.last, closed.time[:10])
        shock: dict[str, Any] = {}
        judged: Mapping[str, Any] = {}
        for event in events:
            if event.kind == "described":
                shock |= event.shock
            elif event.kind == "judged":
                judged = event.judgement
        self._ended(name, closed, shock)
        self._called(closed, judged)
        self._spent(closed, shock, judged)

    def watch(self, name: str, events: Sequence[Event]) -> None:
        """Look into one closed job; needs all its events."""
        job = fold(events)
        if job.closed is None:
            return
        self.watched += 1
        self._moved(events)
        believed = _believed(job.last_judged or {})
        self.seen.append(Seen(name, believed, tuple(job.closed.found)))

    def sums(self) -> dict[str, Any]:
        """All sums as plain values, for other programs."""
        plain = {key: value for key, value in vars(self).items() if key not in _INSIDE}
        for key in ("calls", "minutes", "parts"):
            plain[key] = {stage: vars(row) for stage, row in plain[key].items()}
        return plain

    def _ended(self, name: str, closed: Closed, shock: Mapping[str, Any]) -> None:
        self.outcomes[closed.stage or "not recorded"] += 1
        self.not_looked += NOT_LOOKED in closed.found
        self.nothing += not closed.found
        self.unlisted += UNLISTED in closed.found
        self.tested += closed.cured is not None
        self.passed += closed.cured is True
        self.not_cured += bool(shock.get("not_cured"))
        if shock.get("comeback_of"):
            self.comebacks.append((name, str(shock["comeback_of"])))
        for cause in closed.found:
            if cause in self.knowledge.causes:
                self.kit.update(self.knowledge.causes[cause].remedy.kit)

    def _called(self, closed: Closed, judged: Mapping[str, Any]) -> None:
        believed = _believed(judged)
        if not believed or NOT_LOOKED in closed.found:
            return
        likeliest, chance = next(iter(believed.items()))
        row = self.bins[max(n for n, edge in enumerate(BINS) if chance >= edge)]
        row[0] += 1
        row[1] += chance
        row[2] += likeliest in closed.found
        stage = str((judged.get("stage") or {}).get("id", ""))
        needed = self.needed(closed.found)
        if needed is None or stage not in self.knowledge.stages:
            return
        calls = self.calls.setdefault(stage, Calls())
        ranks = {s: card.rank for s, card in self.knowledge.stages.items()}
        calls.right += stage == needed
        calls.too_deep += stage != needed and ranks[stage] >= ranks[needed]
        calls.too_shallow += ranks[stage] < ranks[needed]

    def _spent(self, closed: Closed, shock: Mapping[str, Any], judged: Mapping[str, Any]) -> None:
        stage = judged.get("stage") or {}
        # An estimate of one stage says nothing of the minutes of another.
        if not stage or stage.get("id") != closed.stage:
            return
        if closed.minutes is not None:
            row = self.minutes.setdefault(closed.stage, Against())
            row.add(float(stage["minutes"]), closed.minutes)
        if isinstance(shock.get("parts_cost"), (int, float)):
            row = self.parts.setdefault(closed.stage, Against())
            row.add(float(stage["parts"]), float(shock["parts_cost"]))

    def _moved(self, events: Iterable[Event]) -> None:
        """Which checks stood between two judgements, and whether the stage was another one."""
        before, done = "", list[str]()
        for event in events:
            if event.kind in ("answered", "measured"):
                done += [event.ask] if event.ask in self.knowledge.checks else []
            elif event.kind == "judged":
                after = str((event.judgement.get("stage") or {}).get("id", ""))
                if before:
                    for check in done:
                        row = self.changed.setdefault(check, [0, 0])
                        row[0] += 1
                        row[1] += after != before
                before, done = after, []

    @cached_property
    def _needs(self) -> dict[str, str]:
        """Cause -> the smallest stage that is likely to cure it."""
        stages = sorted(self.knowledge.stages.values(), key=lambda card: (card.rank, card.id))
        return {
            cause: next(
                (
                    s.id
                    for s in stages
                    if cure_chance(self.knowledge, cause, s.id, UNLISTED) >= _MEANT
                ),
                stages[-1].id,
            )
            for cause in self.knowledge.causes
        }

    def needed(self, found: Iterable[str]) -> str | None:
        """The largest stage that the found causes need; None where no card says."""
        known = [self._needs[cause] for cause in found if cause in self._needs]
        if not known and any(True for _ in found):
            return None
        smallest = min(self.knowledge.stages.values(), key=lambda card: card.rank).id
        return max(known, key=lambda s: self.knowledge.stages[s].rank, default=smallest)


def _believed(judged: Mapping[str, Any]) -> dict[str, float]:
    """Cause -> probability of a judgement as it was stored."""
    return {line["id"]: float(line["probability"]) for line in judged.get("causes") or []}
