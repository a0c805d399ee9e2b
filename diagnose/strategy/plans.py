"""Plans of at most two outcomes, which is right for a set of causes, and what a wrong one costs.

The right plan for a set is the cheapest of those that are meant for it. A wrong call costs, in the
shop's currency, by the desk that makes it: at the counter another call to the customer; at the
bench the work that nobody needed, an opening that nothing called for, and the return of what was
not cured. So a decision rests on one number a plan: the chance that it is the right one.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from functools import cached_property, wraps
from itertools import combinations
from typing import Any, TypeVar

import numpy as np
import numpy.typing as npt

from diagnose.belief.network import Floats
from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import Economics
from diagnose.strategy.policy import AS_GOOD

__all__ = ["MEANT", "CostModel", "Plan", "cure_chance", "included", "plans_of"]


#: chance of a cure above which an outcome counts as meant for a cause
MEANT = 0.5

#: expected costs that differ by less are the same [currency]: rounding of sums
_SAME_COST = 1e-9

#: chance that an outcome cures what no card says it cures; no chance is 0
_BY_CHANCE = 0.02


@dataclass(frozen=True)
class Plan:
    """One or two outcomes, the larger first.

    ``sheets``: what is done for each of them, the outcome itself or a small job in its place (a
    valve core is not a can service); left out, the outcomes themselves.
    """

    stages: tuple[str, ...]
    sheets: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        object.__setattr__(self, "sheets", self.sheets or self.stages)


def included(knowledge: Knowledge, sheet: str) -> set[str]:
    """The stage or small job and everything it contains."""
    found: set[str] = set()
    todo = [sheet]
    while todo:
        name = todo.pop()
        if name not in found:
            found.add(name)
            todo.extend(knowledge.sheets[name].includes)
    return found


def cure_chance(
    knowledge: Knowledge, cause: str, sheet: str, unlisted: str, but: Collection[str] = ()
) -> float:
    """Chance that a stage or small job cures a cause: the best of what it contains.

    A small job cures what names it as well as its stage does. What no card names as a cure still
    succeeds now and then. ``but``: what is done already, and not tried a second time.
    """
    if cause == unlisted:
        return 0.9 if sheet == knowledge.device.stages.refer else _BY_CHANCE
    card, inside = knowledge.causes[cause], included(knowledge, sheet) - {*but}
    if card.remedy.job in inside:
        inside.add(knowledge.small_jobs[card.remedy.job].stage)
    return max([_BY_CHANCE, *(knowledge.chance(c) for s, c in card.cures.items() if s in inside)])


def plans_of(knowledge: Knowledge, allowed: Collection[str] | None = None) -> list[Plan]:
    """All single outcomes, and pairs of which neither contains the other; never do-not-open.

    A small job that opens or contains less than its outcome is planned like an outcome.
    ``allowed``: stages and small jobs that may be planned, None: all.
    """
    shut, stage_of = knowledge.device.stages.shut, knowledge.stage_of
    names = [s for s in knowledge.stages if s != shut]
    names.sort(key=lambda s: (-knowledge.stages[s].rank, s))
    names += [job.id for job in knowledge.small_jobs.values() if knowledge.opens_less(job)]
    inside = {s: included(knowledge, s) for s in names}
    result = [Plan((stage_of(s),), (s,)) for s in names]
    for one, other in combinations(names, 2):
        if {one, stage_of(one)} & inside[other] or {other, stage_of(other)} & inside[one]:
            continue
        larger = sorted((one, other), key=lambda s: -knowledge.stages[stage_of(s)].rank)
        if stage_of(one) != stage_of(other):
            result.append(Plan(tuple(map(stage_of, larger)), tuple(larger)))
    return [plan for plan in result if not allowed or set(plan.sheets) <= set(allowed)]


_Table = TypeVar("_Table")


def _remembered(
    work_out: Callable[[CostModel, npt.NDArray[np.bool_]], _Table],
) -> Callable[[CostModel, npt.NDArray[np.bool_]], _Table]:
    """Work a table out once for the same array of sets: a judgement asks for it a dozen times.

    The array is known by identity and must not be changed afterwards.
    """

    @wraps(work_out)
    def table(model: CostModel, present: npt.NDArray[np.bool_]) -> _Table:
        kept: list[tuple[object, _Table]] = model.remembered.setdefault(work_out.__name__, [])
        for sets, result in kept:
            if sets is present:
                return result
        made = work_out(model, present)
        model.remembered[work_out.__name__] = [(present, made), *kept[:2]]
        return made

    return table


class CostModel:
    """Costs of every plan for every set of causes.

    Parameters
    ----------
    knowledge : cards. causes : ids in network order, the unlisted cause last.
    money : the shop's own economics, or None for the pack's.
    allowed : stages that may be planned, None: all.
    """

    def __init__(
        self,
        knowledge: Knowledge,
        causes: Sequence[str],
        money: Economics | None = None,
        allowed: Collection[str] | None = None,
    ) -> None:
        self.knowledge = knowledge
        self.remembered: dict[str, list[tuple[object, Any]]] = {}
        self.causes = tuple(causes)
        self.money = money or knowledge.pack.economics
        self.plans = plans_of(knowledge, allowed)
        sheets = sorted({s for plan in self.plans for s in plan.sheets})
        self._stages = [s for s in sheets if s in knowledge.stages]
        self._cures = {sheet: self._cures_of(sheet) for sheet in sheets}
        cards = [knowledge.causes.get(c) for c in self.causes]
        self.remedy_minutes = np.array([c.remedy.minutes if c else 30.0 for c in cards])
        self.remedy_parts = np.array([c.remedy.parts if c else 0.0 for c in cards])
        job = np.array([(c.remedy.job or "") if c else "" for c in cards])
        self.cheapest = [self._cheapest_stage(i) for i in range(len(self.causes))]
        cheapest = np.array(self.cheapest)
        # What a small job of its own does needs that, and not the outcome that the job belongs to.
        self._own = {s: (cheapest == s) & ~np.isin(job, sheets) for s in knowledge.stages}
        self._own |= {s: job == s for s in knowledge.small_jobs}
        self._inside = {
            s: own | np.isin(cheapest, list(included(knowledge, s))) for s, own in self._own.items()
        }
        self._same = np.array([[a.stages == b.stages for b in self.plans] for a in self.plans])
        self.cures = np.stack([self._plan_cures(plan) for plan in self.plans], axis=1)

    def _plan_cures(self, plan: Plan) -> Floats:
        """(causes,) chance that a plan cures each cause; what both outcomes hold is done once."""
        first, *more = plan.sheets
        misses: Floats = 1.0 - self._cures[first]
        for sheet in more:
            misses = misses * (1.0 - self._cures_of(sheet, included(self.knowledge, first)))
        return 1.0 - misses

    def _cures_of(self, sheet: str, but: Collection[str] = ()) -> Floats:
        """(causes,) chance that one outcome or small job cures each cause."""
        chances = (
            cure_chance(self.knowledge, cause, sheet, self.causes[-1], but) for cause in self.causes
        )
        return np.array([*chances])

    def _cheapest_stage(self, cause: int) -> str:
        """The stage of least rank that is meant for a cause; the best one if none is."""
        order = sorted(self._stages, key=lambda s: (self.knowledge.stages[s].rank, s))
        for stage in order:
            if self._cures[stage][cause] >= MEANT:
                return stage
        return max(order, key=lambda s: float(self._cures[s][cause]))

    @cached_property
    def leaves_shut(self) -> npt.NDArray[np.bool_]:
        """(plans,) nothing is opened, and nothing goes out as it is."""
        stages, sheets = self.knowledge.stages, self.knowledge.sheets
        return np.array(
            [
                not any(stages[s].goes_out for s in plan.stages)
                and not any(sheets[s].opens for s in plan.sheets)
                for plan in self.plans
            ]
        )

    def meant_for(self, cause: str, stage: str) -> bool:
        """The stage is what a cause needs: the smallest that is likely to cure it."""
        return self.cheapest[self.causes.index(cause)] == stage

    def fits(self, sheet: str, present: npt.NDArray[np.bool_]) -> npt.NDArray[np.bool_]:
        """(sets,) sets in which some cause needs just this outcome, or just this small job."""
        result: npt.NDArray[np.bool_] = (present & self._own[sheet]).any(axis=1)
        return result

    def needed_stages(self, present: npt.NDArray[np.bool_]) -> list[str]:
        """The largest outcome that each set needs; the smallest there is for the empty set."""
        ranks = np.array([self.knowledge.stages[s].rank for s in self.cheapest])
        smallest = min(self._stages, key=lambda s: self.knowledge.stages[s].rank)
        highest = np.where(present, ranks, -1).argmax(axis=1)
        return [
            self.cheapest[h] if row.any() else smallest
            for h, row in zip(highest.tolist(), present, strict=True)
        ]

    def holding(self, stages: Collection[str]) -> npt.NDArray[np.bool_]:
        """(plans,) plans that hold all of these outcomes; all plans where none holds them."""
        kept = np.array([set(stages) <= set(plan.stages) for plan in self.plans])
        return kept if kept.any() else np.ones(len(self.plans), dtype=bool)

    def sheet_work(self, sheet: str, present: npt.NDArray[np.bool_]) -> tuple[Floats, Floats]:
        """Minutes and parts of one outcome or small job in each set of causes: (sets,), (sets,).

        Where the set needs just this one, its remedies are done and nothing else; where it is
        larger than needed or beside the point, its standard work is done in vain. What opens, opens
        every time.
        """
        card = self.knowledge.sheets[sheet]
        needed, done = self.fits(sheet, present), present & self._inside[sheet]
        minutes = done @ self.remedy_minutes + np.where(needed, 0.0, card.minutes)
        parts = done @ self.remedy_parts + np.where(needed, 0.0, card.parts)
        return minutes + card.opening_minutes, parts

    @cached_property
    def _planned(self) -> list[str]:
        """Every outcome and small job that some plan does, each once."""
        return list(dict.fromkeys(sheet for plan in self.plans for sheet in plan.sheets))

    @_remembered
    def work(self, present: npt.NDArray[np.bool_]) -> tuple[Floats, Floats]:
        """Minutes and parts of every plan in each set: (sets, plans) each."""
        minutes = np.zeros((len(present), len(self.plans)))
        parts = np.zeros_like(minutes)
        each = {sheet: self.sheet_work(sheet, present) for sheet in self._planned}
        for p, plan in enumerate(self.plans):
            for sheet in plan.sheets:
                minutes[:, p] += each[sheet][0]
                parts[:, p] += each[sheet][1]
        return minutes, parts

    @_remembered
    def cured(self, present: npt.NDArray[np.bool_]) -> Floats:
        """(sets, plans) chance that every present cause is cured."""
        result: Floats = np.exp(present.astype(float) @ np.log(self.cures))
        return result

    def costs(self, present: npt.NDArray[np.bool_], at: str = "bench") -> Floats:
        """(sets, plans) cost of each plan in each set: the right work, and the wrong call.

        Parameters
        ----------
        at : the desk that calls it.
        """
        right = self.right_plans(present)
        work = self.prices(present)[np.arange(len(present)), right]
        result: Floats = work[:, None] + self.wrong_calls(present, at)
        return result

    def wrong_calls(self, present: npt.NDArray[np.bool_], at: str) -> Floats:
        """(sets, plans) cost of having called each plan in each set of causes, 0 for the right one.

        What no card knows has no right plan yet and counts for none.
        """
        result: Floats = self.rights(present) @ self.wrong[at].T
        return result

    @cached_property
    def wrong(self) -> dict[str, Floats]:
        """Desk -> (plans, plans) cost of having called the one plan where the other is right."""
        requote = self.money.requote * (1.0 - self._same)
        bench = [[self._wrong_work(called, right) for right in self.plans] for called in self.plans]
        return {"counter": requote, "bench": np.array(bench)}

    def _wrong_work(self, called: Plan, right: Plan) -> float:
        """Cost of having done one plan where the other was right [currency].

        What was not cured comes back, whatever was done in vain before; else it was too much.
        """
        done = {s for sheet in called.sheets for s in included(self.knowledge, sheet)}
        needed = {s for sheet in right.sheets for s in included(self.knowledge, sheet)}
        nothing, jobs = self.knowledge.device.stages.nothing, self.knowledge.small_jobs
        extra = [s for s in called.sheets if s not in needed and s != nothing]
        vain = sum(self._standard(s) - self._inside_of(s, right) for s in extra)
        left = [s for s in right.sheets if not {s, self.knowledge.stage_of(s)} & done]
        if not left:
            return vain + max(map(self._needless, extra), default=0.0)
        if called.stages == (nothing,):
            return self.money.sent_home
        shown = [jobs[s].stage for s in called.sheets if s in jobs and jobs[s].shows_at_once]
        if all(self.knowledge.stage_of(sheet) in shown for sheet in left):
            # Its proof shows what its outcome is for, and no fault of another kind.
            return self.money.failed_in_shop
        return vain + self.money.comeback

    def _needless(self, sheet: str) -> float:
        """What an outcome or small job that nothing called for costs beside its work [currency]."""
        if sheet == self.knowledge.device.stages.nothing:
            return 0.0
        opens = self.knowledge.sheets[sheet].opens
        return self.money.needless_opening if opens else self.money.needless_work

    def _inside_of(self, sheet: str, right: Plan) -> float:
        """Price of what the right plan needs of an outcome larger than needed [currency]."""
        inside = [s for s in right.sheets if s in included(self.knowledge, sheet)]
        return max(map(self._standard, inside), default=0.0)

    def _standard(self, sheet: str) -> float:
        """Price of the standard work of an outcome or small job [currency]."""
        card = self.knowledge.sheets[sheet]
        return (card.minutes + card.opening_minutes) * self.money.rate_per_minute + card.parts

    @_remembered
    def prices(self, present: npt.NDArray[np.bool_]) -> Floats:
        """(sets, plans) price of each plan's work, whether it cures or not.

        What nothing called for costs more than its minutes: the bill, and seals where it opens.
        """
        minutes, parts = self.work(present)
        result: Floats = minutes * self.money.rate_per_minute + parts
        vain = {s: ~self.fits(s, present) * self._needless(s) for s in self._planned}
        for p, plan in enumerate(self.plans):
            for sheet in plan.sheets:
                result[:, p] += vain[sheet]
        return result

    @_remembered
    def right_plans(self, present: npt.NDArray[np.bool_]) -> npt.NDArray[np.intp]:
        """(sets,) the plan for a set that is known: the cheapest of those that are meant for it."""
        cured = self.cured(present)
        meant = cured >= AS_GOOD * cured.max(axis=1, keepdims=True)
        result: npt.NDArray[np.intp] = np.where(meant, self.prices(present), np.inf).argmin(axis=1)
        return result

    def right_stages(self, present: npt.NDArray[np.bool_]) -> npt.NDArray[np.intp]:
        """(sets,) the outcomes of the right plan as a number: plans that differ only in a small job
        count as one.
        """
        first = self._same.argmax(axis=1)
        result: npt.NDArray[np.intp] = first[self.right_plans(present)]
        return result

    def choose(self, shares: Floats, kept: npt.NDArray[np.bool_], at: str) -> int:
        """The plan to call: of those kept, the one that is expected to cost least if it is wrong.

        Parameters
        ----------
        shares : (plans,) chance that each is the right one. at : the desk that calls it.
        """
        cost = np.where(kept, self.wrong[at] @ shares, np.inf)
        least = np.flatnonzero(cost <= cost.min() + _SAME_COST)
        return self.sized(int(least[0]), shares) if at == "counter" else int(least[0])

    def sized(self, place: int, shares: Floats) -> int:
        """Of this plan and those that differ from it only in a small job, which are the same as a
        quote, the one that is most often just right; ``shares`` as in `choose`.
        """
        alike = np.flatnonzero(self._same[place])
        return int(alike[np.argmax(shares[alike])])

    @_remembered
    def rights(self, present: npt.NDArray[np.bool_]) -> Floats:
        """(sets, plans) 1 where a plan is the right one for what the cards know, else 0.

        What no card knows has no right plan yet and speaks for none.
        """
        listed = present.copy()
        listed[:, -1] = False
        result = np.zeros((len(present), len(self.plans)))
        result[np.arange(len(present)), self.right_plans(listed)] = 1.0
        result[present[:, -1] & ~listed.any(axis=1)] = 0.0
        return result
