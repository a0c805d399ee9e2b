"""The sums behind the foreman's report: one closed job after the other.

Rules
-----
- A call is what was judged last before closing; it is right if it is what the found causes need.
- What is not recorded (minutes, parts, test) is left out of its own sum only.
- Sums are over all jobs; alarms look at the latest jobs only, which were judged by knowledge like
  today's.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import Any

from diagnose.belief.compiled import UNLISTED
from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import Economics
from diagnose.learning.alarms import LATEST
from diagnose.learning.outcome import Outcome
from diagnose.strategy.plans import MEANT, cure_chance

__all__ = ["BINS", "Against", "Calls", "ForemanFigures"]

#: lower edges of the bins of the calibration plot
BINS = (0.0, 0.2, 0.4, 0.6, 0.8)


#: what is not a sum
_INSIDE = frozenset({"knowledge", "prices", "seen", "_needs", "_ranks", "_smallest"})


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

    Parameters
    ----------
    knowledge : the cards. prices : the shop's money; None: the pack's.

    Attributes
    ----------
    first, last : times of the earliest opening and the latest closing. outcomes : stage done ->
    jobs. calls : judged stage -> right and wrong. bins : of the likeliest cause's probability ->
    [jobs, sum of probabilities, jobs in which it was found]. minutes, parts, money : stage done ->
    estimate and what it was; money is minutes at the bench's rate and parts. causes : cause ->
    times found in the year before the latest closing. year : jobs closed in that year.
    changed : check -> [times done, times the call was another one after it]. seen : the latest
    jobs, for the alarms.
    """

    knowledge: Knowledge
    prices: Economics | None = None
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
    money: dict[str, Against] = field(default_factory=dict)
    changed: dict[str, list[int]] = field(default_factory=dict)
    causes: Counter[str] = field(default_factory=Counter)
    year: int = 0
    seen: list[tuple[str, Outcome]] = field(default_factory=list)

    def add(self, name: str, outcome: Outcome) -> None:
        """Count one closed job; give the latest first."""
        self.jobs += 1
        self.first = min(filter(None, (self.first, outcome.opened[:10])), default="")
        self.last = max(self.last, outcome.closed[:10])
        if len(self.seen) < LATEST:
            self.seen.append((name, outcome))
        self._ended(name, outcome)
        self._called(outcome)
        self._spent(outcome)
        for ask, moved in outcome.moved:
            if ask in self.knowledge.checks:
                row = self.changed.setdefault(ask, [0, 0])
                row[0] += 1
                row[1] += moved

    @property
    def kit(self) -> Counter[str]:
        """Part -> times needed for the causes found in the last year."""
        needed: Counter[str] = Counter()
        for cause, times in self.causes.items():
            if cause in self.knowledge.causes:
                for part in self.knowledge.causes[cause].remedy.kit:
                    needed[part] += times
        return needed

    def sums(self) -> dict[str, Any]:
        """All sums as plain values, for other programs."""
        plain = {key: value for key, value in vars(self).items() if key not in _INSIDE}
        plain["kit"] = self.kit
        for key in ("calls", "minutes", "parts", "money"):
            plain[key] = {stage: vars(row) for stage, row in plain[key].items()}
        return plain

    def _ended(self, name: str, outcome: Outcome) -> None:
        self.outcomes[outcome.stage or outcome.ended or "not recorded"] += 1
        self.not_looked += not outcome.looked
        self.nothing += outcome.looked and not outcome.found
        self.unlisted += UNLISTED in outcome.found
        self.tested += outcome.cured is not None
        self.passed += outcome.cured is True
        self.not_cured += bool(outcome.facts.get("not_cured"))
        if outcome.facts.get("comeback_of"):
            self.comebacks.append((name, str(outcome.facts["comeback_of"])))
        if outcome.closed[:10] < _year_before(self.last):
            return
        self.year += 1
        for cause in outcome.found:
            self.causes[cause] += 1

    def _called(self, outcome: Outcome) -> None:
        if not outcome.believed or not outcome.looked:
            return
        likeliest, chance = next(iter(outcome.believed.items()))
        row = self.bins[bisect_right(BINS, chance) - 1]
        row[0] += 1
        row[1] += chance
        row[2] += likeliest in outcome.found
        stage, needed = outcome.call, self.needed(outcome.found)
        if needed is None or stage not in self._ranks:
            return
        calls = self.calls.setdefault(stage, Calls())
        calls.right += stage == needed
        calls.too_deep += stage != needed and self._ranks[stage] >= self._ranks[needed]
        calls.too_shallow += self._ranks[stage] < self._ranks[needed]

    def _spent(self, outcome: Outcome) -> None:
        # An estimate of one stage says nothing of the minutes of another.
        if not outcome.call or outcome.call != outcome.stage:
            return
        spent = outcome.facts.get("parts_cost")
        parts = float(spent) if isinstance(spent, (int, float)) else None
        rate = (self.prices or self.knowledge.pack.economics).rate_per_minute
        for table, estimated, real in (
            (self.minutes, outcome.call_minutes, outcome.minutes),
            (self.parts, outcome.call_parts, parts),
            (
                self.money,
                _cost(outcome.call_minutes, outcome.call_parts, rate),
                _cost(outcome.minutes, parts, rate),
            ),
        ):
            if estimated is not None and real is not None:
                table.setdefault(outcome.stage, Against()).add(estimated, real)

    @cached_property
    def _ranks(self) -> dict[str, int]:
        return {stage: card.rank for stage, card in self.knowledge.stages.items()}

    @cached_property
    def _needs(self) -> dict[str, str]:
        """Cause -> the smallest stage that is likely to cure it."""
        stages = sorted(self.knowledge.stages.values(), key=lambda card: (card.rank, card.id))
        return {
            cause: next(
                (
                    s.id
                    for s in stages
                    if cure_chance(self.knowledge, cause, s.id, UNLISTED) >= MEANT
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
        return max(known, key=self._ranks.__getitem__, default=self._smallest)

    @cached_property
    def _smallest(self) -> str:
        return min(self._ranks, key=self._ranks.__getitem__)


def _cost(minutes: float | None, parts: float | None, rate: float) -> float | None:
    return None if minutes is None or parts is None else minutes * rate + parts


@lru_cache
def _year_before(day: str) -> str:
    """The same day a year earlier, to be compared with days; empty where there is none."""
    return f"{int(day[:4]) - 1:04}{day[4:]}" if day[:4].isdecimal() else ""
