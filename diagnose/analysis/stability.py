"""What it does to the call when one number of the cards is one word off.

Every chance (links and leaks) is moved to the next words of the verbal scale, every rate halved and
doubled, one at a time. In one job all of that is one product of matrices, over the likeliest sets
of causes; `sensitivity` has the exact functions of single numbers.

Rules
-----
- *Kept*: the plan is the same. *Loss*: what the old plan costs more than the best one, were the
  moved number the true one; averaged over all jobs it says what an expert's hour on that number is
  worth.
- A number that bears on nothing in a job keeps its call.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from diagnose.analysis.sensitivity import Number, neighbours
from diagnose.analysis.written import Caller
from diagnose.belief.network import Floats
from diagnose.reasoning.reasoner import View

__all__ = ["Moved", "Stability", "moves"]

#: a number by its place: kind, cause, finding, state
Place = tuple[str, str, str, int]


@dataclass(frozen=True)
class Moved:
    """One number one step off in one job, whether the call is kept, and the loss if not."""

    number: Number
    value: float
    kept: bool
    loss: float


@dataclass
class Stability:
    """Sums over jobs.

    Attributes
    ----------
    jobs : how many. tipped : job -> the numbers that change its call.
    """

    jobs: int = 0
    steps: int = 0
    tipped: dict[str, list[Moved]] = field(default_factory=dict)
    _lost: dict[Place, list[float]] = field(default_factory=dict)
    _changed: dict[tuple[Place, float], int] = field(default_factory=dict)

    def add(self, name: str, rows: Sequence[Moved]) -> None:
        """One more job."""
        self.jobs += 1
        self.steps += len(rows)
        for row in rows:
            place = _place(row.number)
            self._lost.setdefault(place, []).append(row.loss)
            if not row.kept:
                self.tipped.setdefault(name, []).append(row)
                step = (place, row.value)
                self._changed[step] = self._changed.get(step, 0) + 1

    @property
    def kept_of_bearing(self) -> float:
        """Share of kept calls among all steps of numbers that bear on their job."""
        return 1.0 - sum(self._changed.values()) / max(self.steps, 1)

    @property
    def steadfast(self) -> float:
        """Share of jobs whose call no single step changes."""
        return 1.0 - len(self.tipped) / max(self.jobs, 1)

    def least_kept(self) -> list[tuple[Place, float, float]]:
        """(number, moved to, share of all jobs that keep their call), the least first."""
        rows = [(p, value, 1.0 - n / self.jobs) for (p, value), n in self._changed.items()]
        return sorted(rows, key=lambda row: (row[2], row[0]))

    def worth(self) -> list[tuple[Place, float]]:
        """(number, mean loss a job [currency] when it is one step off), the dearest first."""
        rows = [(p, sum(lost) / 2.0 / self.jobs) for p, lost in self._lost.items()]
        return sorted(rows, key=lambda row: (-row[1], row[0]))


def _place(number: Number) -> Place:
    return number.kind, number.cause, number.finding, number.state


def moves(caller: Caller, view: View) -> list[Moved]:
    """Every number that bears on a job, one step off at a time.

    The call that is kept or not is that of the same likeliest sets, under the numbers as they are.
    """
    numbers, values, rows = [], [], [view.belief.hypotheses.weights]
    for number, value, ratio in _steps(caller, view):
        numbers.append(number)
        values.append(value)
        rows.append(view.belief.hypotheses.weights * ratio)
    weights = np.array(rows)
    weights /= weights.sum(axis=1, keepdims=True)
    model, present = caller.cost_model, view.belief.hypotheses.present
    all_plans = np.ones(len(model.plans), dtype=bool)
    shares = weights @ model.rights(present)
    plans = [model.choose(share, all_plans, view.job.at) for share in shares]
    before, result = plans[0], []
    for n, (number, value) in enumerate(zip(numbers, values, strict=True), 1):
        kept = model.plans[plans[n]].stages == model.plans[before].stages
        wrong = model.wrong[view.job.at] @ shares[n]
        loss = float(wrong[before] - wrong[plans[n]])
        result.append(Moved(number, value, kept, 0.0 if kept else max(loss, 0.0)))
    return result


def _steps(caller: Caller, view: View) -> Iterator[tuple[Number, float, Floats]]:
    """(number, new value, factor on the weight of each set) for every step."""
    present, network = view.belief.hypotheses.present, caller.compiled.network
    for i, cause in enumerate(network.causes):
        if present[:, i].any():
            number = Number("odds", cause, "", 0, float(network.odds[i]), 0.0, np.inf)
            for factor in (0.5, 2.0):
                yield number, number.value * factor, np.where(present[:, i], factor, 1.0)
    scale = list(caller.knowledge.pack.scale.values())
    for f, likelihood in view.belief.evidence.items():
        table = network.findings[f]
        start = int(network.state_offsets[f])
        chances = view.belief.hypotheses.chances[:, start : start + table.states]
        below = np.cumsum(chances, axis=1)[:, :-1]
        before = np.maximum(chances @ likelihood, 1e-300)
        for row, parent in enumerate((*table.parents, None)):
            here = np.ones(len(present), dtype=bool) if parent is None else present[:, parent]
            if not here.any():
                continue
            chain = table.leak if parent is None else table.at_least[row]
            for s, value in enumerate(chain.tolist()):
                low = float(chain[s + 1]) if s + 1 < len(chain) else 0.0
                high = float(chain[s - 1]) if s else 1.0
                cause = "" if parent is None else network.causes[parent]
                kind = "leak" if parent is None else "link"
                number = Number(kind, cause, table.name, s + 1, value, low, high)  # type: ignore[arg-type]
                for moved in neighbours(scale, value):
                    new = min(max(moved, low), high)
                    after = below.copy()
                    after[here, s] *= (1.0 - new) / (1.0 - value)
                    shown = np.diff(after, axis=1, prepend=0.0, append=1.0)
                    yield number, new, (shown @ likelihood) / before
