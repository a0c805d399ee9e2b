"""Closed jobs as counts of causes, also where nobody looked inside.

Rules
-----
- A job that names its causes counts one for each; 'none of these' counts as a cause of its own.
- A job that was cured by a stage without anybody looking counts in parts: each cause by what was
  believed of it and by how likely that stage cures it. This is one step of expectation
  maximisation (Dempster, Laird & Rubin 1977) from the belief of that day.
- Any other job in which nobody looked says nothing of causes and is only counted as left out.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

from diagnose.belief.compiled import UNLISTED
from diagnose.knowledge.loader import Knowledge
from diagnose.learning.outcome import Outcome
from diagnose.strategy.plans import cure_chance

__all__ = ["Tally"]


@dataclass
class Tally:
    """Counts over closed jobs.

    Attributes
    ----------
    jobs : all jobs added. looked : those that named what was found, 'nothing' included.
    nothing : those in which nothing was wrong. partly : those counted in parts. left_out : those
    that say nothing. unknown : found ids that no card has (any more).
    counts : cause -> times found, in parts too; `UNLISTED` for none of these.
    whole : cause -> times found by somebody who looked.
    """

    knowledge: Knowledge
    jobs: int = 0
    looked: int = 0
    nothing: int = 0
    partly: int = 0
    left_out: int = 0
    unknown: Counter[str] = field(default_factory=Counter)
    counts: dict[str, float] = field(default_factory=dict)
    whole: Counter[str] = field(default_factory=Counter)
    _cures: dict[tuple[str, str], float] = field(default_factory=dict, repr=False)

    def add(self, outcome: Outcome) -> None:
        """Count one closed job."""
        self.jobs += 1
        if not outcome.looked:
            self._in_parts(outcome)
            return
        self.looked += 1
        self.nothing += not outcome.found
        for cause in dict.fromkeys(outcome.found):
            if cause != UNLISTED and cause not in self.knowledge.causes:
                self.unknown[cause] += 1
                continue
            self.whole[cause] += 1
            self.counts[cause] = self.counts.get(cause, 0.0) + 1.0

    def parts(self, outcome: Outcome) -> dict[str, float]:
        """Cause -> its part in a job that was cured without anybody looking; empty for others."""
        if outcome.looked or outcome.cured is not True:
            return {}
        if outcome.stage not in self.knowledge.stages:
            return {}
        weights = {
            cause: chance * self._cure(cause, outcome.stage)
            for cause, chance in outcome.believed.items()
            if cause in self.knowledge.causes
        }
        whole = sum(weights.values())
        return {cause: weight / whole for cause, weight in weights.items()} if whole > 0.0 else {}

    def _in_parts(self, outcome: Outcome) -> None:
        parts = self.parts(outcome)
        self.partly += bool(parts)
        self.left_out += not parts
        for cause, part in parts.items():
            self.counts[cause] = self.counts.get(cause, 0.0) + part

    def _cure(self, cause: str, stage: str) -> float:
        key = (cause, stage)
        if key not in self._cures:
            self._cures[key] = cure_chance(self.knowledge, cause, stage, UNLISTED)
        return self._cures[key]
