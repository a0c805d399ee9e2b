"""What is decided of a job as it is believed: the plan, whether it is sure enough, its price.

Rules
-----
- 'Sure enough' asks the chance that is shown.
- What a floor demands is held by every plan there is to choose from.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from diagnose.belief.network import Floats
from diagnose.reasoning.belief import Belief
from diagnose.reasoning.prepared import Prepared
from diagnose.strategy.plans import Plan
from diagnose.strategy.policy import SURE

__all__ = ["Decision"]


@dataclass(frozen=True, eq=False)
class Decision:
    """What is decided of one job, each part worked out when it is first asked for."""

    belief: Belief

    @property
    def prepared(self) -> Prepared:
        return self.belief.prepared

    @cached_property
    def costs(self) -> Floats:
        """(plans,) expected cost of each plan [currency]."""
        pairs, triples = self.belief.sets
        of_triples = self.prepared.cost_model.costs(triples.present)
        result: Floats = pairs.weights @ self.prepared.set_costs[0] + triples.weights @ of_triples
        return result

    @cached_property
    def quotes(self) -> Floats:
        """(plans,) expected cost of having quoted each plan [currency]."""
        pairs, triples = self.belief.sets
        of_triples = self.prepared.cost_model.misquotes(triples.present)
        result: Floats = pairs.weights @ self.prepared.set_costs[1] + triples.weights @ of_triples
        return result

    @cached_property
    def place(self) -> int:
        """Place of the plan among `CostModel.plans`."""
        model, belief = self.prepared.cost_model, self.belief
        kept = model.holding({s.floor.stage for s in belief.floors if s.floor.stage})
        costs, quotes = np.where(kept, self.costs, np.inf), np.where(kept, self.quotes, np.inf)
        if belief.job.at == "bench":
            return model.choose(costs, quotes)
        return model.quoted(quotes)

    @property
    def plan(self) -> Plan:
        """The plan once nothing forbids opening."""
        return self.prepared.cost_model.plans[self.place]

    @property
    def stages(self) -> tuple[str, ...]:
        """What to call now: outcomes, the larger first."""
        shut = self.prepared.knowledge.device.stages.shut
        return (shut,) if self.belief.signs else self.plan.stages

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
        """It may be opened: nothing forbids it, and the plan is likely to cure all."""
        return not self.belief.signs and self.cured >= SURE

    @property
    def opens(self) -> bool:
        """The plan opens something, so that the bench looks for itself first."""
        stages = self.prepared.knowledge.stages
        return not self.plan.shut and any(stages[stage].opens for stage in self.plan.stages)

    def work(self, stage: str) -> tuple[float, float]:
        """Minutes and parts [currency] that a stage of the plan is likely to take."""
        model, listed = self.prepared.cost_model, self.belief.hypotheses
        minutes, parts = model.stage_work(stage, listed.present, self.plan.shut)
        fits = listed.weights * model.fits(stage, listed.present)
        if fits.sum() > 0.0:
            return float(fits @ minutes / fits.sum()), float(fits @ parts / fits.sum())
        card = self.prepared.knowledge.stages[stage]
        return card.minutes + card.opening_minutes, card.parts
