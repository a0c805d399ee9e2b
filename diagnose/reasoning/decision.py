"""What is decided of a job as it is believed: the plan, whether it is sure enough, its price.

Rules
-----
- 'Sure enough' asks the chance that is shown.
- What a floor demands is held by every plan there is to choose from.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from diagnose.belief.compiled import UNLISTED
from diagnose.belief.network import Floats
from diagnose.reasoning.belief import Belief
from diagnose.reasoning.prepared import Prepared
from diagnose.strategy.plans import MEANT, Plan, included
from diagnose.strategy.policy import SURE

__all__ = ["Decision"]

#: chance from which a cause is named as what an outcome is for
_LIKELY = 0.05

#: causes of which it is said what they look like inside
_SHOWN = 2


@dataclass(frozen=True, eq=False)
class Decision:
    """What is decided of one job, each part worked out when it is first asked for."""

    belief: Belief

    @property
    def prepared(self) -> Prepared:
        return self.belief.prepared

    @cached_property
    def shares(self) -> Floats:
        """(plans,) chance that each plan is the right one."""
        return self._expected(self.prepared.set_rights, self.prepared.cost_model.rights)

    @cached_property
    def costs(self) -> Floats:
        """(plans,) expected cost of each plan [currency]."""
        model = self.prepared.cost_model
        return self._expected(self.prepared.set_costs, model.costs)

    def _expected(
        self, of_pairs: Floats, table: Callable[[npt.NDArray[np.bool_]], Floats]
    ) -> Floats:
        """(plans,) mean of a table over the sets; that of the pairs is worked out once a pack."""
        pairs = self.prepared.sets.present
        result: Floats = np.zeros(of_pairs.shape[1])
        for sets in self.belief.sets:
            result += sets.weights @ (of_pairs if sets.present is pairs else table(sets.present))
        return result

    @cached_property
    def place(self) -> int:
        """Place of the plan among `CostModel.plans`."""
        model, belief = self.prepared.cost_model, self.belief
        kept = model.holding({s.floor.stage for s in belief.floors if s.floor.stage})
        return model.choose(self.shares, kept, belief.job.at)

    @property
    def plan(self) -> Plan:
        """The plan once nothing forbids opening."""
        return self.prepared.cost_model.plans[self.place]

    @property
    def call(self) -> tuple[str, ...]:
        """What to call now, by the name that it has in the shop: outcomes, or small jobs in their
        place, the larger first.
        """
        shut = self.prepared.knowledge.device.stages.shut
        if not self.belief.signs:
            return self.plan_sheets
        return (shut,) if self.held else (*self.plan_sheets, shut)

    @property
    def stages(self) -> tuple[str, ...]:
        """The outcomes of what to call now, the larger first."""
        return tuple(map(self.prepared.knowledge.stage_of, self.call))

    @property
    def held(self) -> bool:
        """A sign forbids the plan. Where it is likely enough that what is needed is done here and
        opens nothing, whatever it is, such a plan may be called beside the sign.
        """
        shut = self.prepared.cost_model.leaves_shut
        called = shut[self.place] and float(self.shares @ shut) >= SURE
        return bool(self.belief.signs) and not called

    @cached_property
    def sheets(self) -> tuple[str, ...]:
        """What to go through at the bench now: of the plan, or for what is not opened."""
        shut = self.prepared.knowledge.device.stages.shut
        return (shut,) if self.belief.signs else self.plan_sheets

    @cached_property
    def plan_sheets(self) -> tuple[str, ...]:
        """For each outcome of the plan what is done: the outcome, or a small job in its place.

        A small job that costs the same opening as its outcome has no plan of its own: it takes the
        outcome's place where it is all that the likely causes need.
        """
        return tuple(
            self._small_job(stage) or stage if sheet == stage else sheet
            for stage, sheet in zip(self.plan.stages, self.plan.sheets, strict=True)
        )

    def _small_job(self, stage: str) -> str | None:
        knowledge = self.prepared.knowledge
        named = {knowledge.causes[cause].remedy.job for cause in self.meant(stage)}
        job = knowledge.small_jobs.get(named.pop() or "") if len(named) == 1 else None
        if job is None or job.stage != stage or knowledge.opens_less(job):
            return None
        return job.id

    def meant(self, stage: str) -> list[str]:
        """The likely causes that an outcome is meant for, the likeliest first."""
        model = self.prepared.cost_model
        return [
            cause
            for cause, chance in self.belief.causes.items()
            if cause != UNLISTED and chance >= _LIKELY and model.meant_for(cause, stage)
        ]

    @cached_property
    def within(self) -> tuple[str, ...]:
        """Outcomes that an outcome of the plan contains and that another fault needs, a likely one.

        Two faults of which one opening takes in both are two all the same.
        """
        model, listed = self.prepared.cost_model, self.belief.hypotheses
        if not self.opens:
            return ()
        planned = set(self.plan.stages)
        held = set().union(*(included(self.prepared.knowledge, s) for s in self.plan.stages))
        named = [s for s in self.prepared.knowledge.stages if s in held - planned]
        own = {s: model.fits(s, listed.present) for s in (*planned, *named)}
        beside = np.any([own[s] for s in planned], axis=0)
        return tuple(s for s in named if float(listed.weights @ (own[s] & beside)) >= MEANT)

    def inside(self, sheet: str, chamber: str) -> list[str]:
        """The likely causes that a sheet of the plan is meant for and that are seen in a chamber,
        the likeliest first; none that a look inside spoke against.
        """
        if sheet not in self.plan_sheets:
            return []
        knowledge, denied = self.prepared.knowledge, self.belief.job.denied
        meant = (knowledge.causes[c] for c in self.meant(knowledge.stage_of(sheet)))
        seen = (c.id for c in meant if c.inside and c.remedy.opens == chamber)
        return [cause for cause in seen if cause not in denied][:_SHOWN]

    @property
    def cost(self) -> float:
        """Expected cost of the plan [currency]."""
        return float(self.costs[self.place])

    @property
    def cured(self) -> float:
        """Chance that the plan cures every present cause."""
        return float(self.belief.cured[self.place])

    @property
    def sure_enough(self) -> bool:
        """It may be opened: nothing forbids it, the plan is likely to cure all, and what was seen,
        inside or outside, is explained.
        """
        unexplained = self.belief.job.unexplained or self.belief.unexplained
        return not self.belief.signs and not unexplained and self.cured >= SURE

    @property
    def opens(self) -> bool:
        """The plan opens something, so that the bench looks for itself first."""
        sheets = self.prepared.knowledge.sheets
        return any(sheets[sheet].opens for sheet in self.plan.sheets)

    def work(self, sheet: str) -> tuple[float, float]:
        """Minutes and parts [currency] that an outcome or small job is likely to take."""
        model, listed = self.prepared.cost_model, self.belief.hypotheses
        minutes, parts = model.sheet_work(sheet, listed.present)
        fits = listed.weights * model.fits(sheet, listed.present)
        if fits.sum() > 0.0:
            return float(fits @ minutes / fits.sum()), float(fits @ parts / fits.sum())
        card = self.prepared.knowledge.sheets[sheet]
        return card.minutes + card.opening_minutes, card.parts
