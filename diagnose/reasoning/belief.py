"""What is believed of a job: its evidence, the posterior, and what follows from them for the ride.

Rules
-----
- A pure function of (prepared knowledge, job); no clock, no printing, no store.
- One posterior. The chance of a cause, of a cure and of no fault is the exact sum; what a plan
  costs is summed over `sets`; `hypotheses` are a sample, for looking ahead and for the findings.
- Floors go by what was reported, not by belief.
"""

from __future__ import annotations

from copy import copy
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from diagnose.belief.compiled import network_for
from diagnose.belief.hypotheses import KEEP, MOST, Hypotheses, likeliest
from diagnose.belief.lattice import Lattice
from diagnose.belief.network import Floats, Network
from diagnose.belief.reports import denial
from diagnose.complaint.recogniser import Understanding
from diagnose.job.state import JobState
from diagnose.reasoning.evidence import Item, combine, gather, unsaid
from diagnose.reasoning.floors import (
    Claim,
    StandingFloor,
    claims,
    first_words,
    forbidding,
    standing_floors,
)
from diagnose.reasoning.options import WITHOUT_HANDS, state_chances
from diagnose.reasoning.prepared import Prepared
from diagnose.reasoning.ride import RideCall, judge_ride
from diagnose.reasoning.surprise import Surprise, surprise_of
from diagnose.reasoning.trusted_words import as_trusted

__all__ = ["Belief"]


@dataclass(frozen=True, eq=False)
class Belief:
    """All that is believed of one job, each part worked out when it is first asked for."""

    prepared: Prepared
    job: JobState

    def read_by(self, prepared: Prepared) -> Belief:
        """The same belief in other words: of cards on which no probability rests."""
        other = copy(self)
        object.__setattr__(other, "prepared", prepared)
        return other

    # evidence ----------------------------------------------------------------------------------

    @cached_property
    def heard(self) -> Understanding:
        """What was understood of the customer's words."""
        return self.prepared.hear(self.job)

    @cached_property
    def items(self) -> list[Item]:
        """Every piece of evidence, in the order in which it came, words as far as trusted."""
        prepared, job = self.prepared, self.job
        items = gather(prepared.compiled, job, self.heard, prepared.measure)
        return as_trusted(prepared.compiled, prepared.sets, self.network, items)

    @cached_property
    def evidence(self) -> dict[int, Floats]:
        """Finding index -> (states,) likelihood."""
        compiled = self.prepared.compiled
        return unsaid(compiled, self.job, self.items) | combine(compiled, self.items)

    @property
    def complained(self) -> bool:
        """Something was said that is wrong or wanted, not only that it is broken, or since when."""
        vague, states = self.prepared.knowledge.pack.no_complaint, self.prepared.compiled.states
        return any(
            item.by == "customer"
            and item.finding not in vague
            and item.state != states(item.finding)[0]
            for item in self.items
        )

    # posterior ---------------------------------------------------------------------------------

    @cached_property
    def network(self) -> Network:
        """The compiled network under the prior of this job, less what a look inside denied."""
        network = network_for(self.prepared.compiled, self.job.shock, self.job.opened_at)
        denied = [i for i, cause in enumerate(network.causes) if cause in self.job.denied]
        if not denied:
            return network
        odds = network.odds.copy()
        odds[denied] *= denial(self.prepared.knowledge)
        return network.with_odds(odds)

    @cached_property
    def _lattice(self) -> Lattice:
        return Lattice(self.network, self.evidence)

    @cached_property
    def _marginals(self) -> tuple[float, Floats]:
        """Weight of the evidence, and (causes,) chance of each cause, in network order."""
        total, joint = self._lattice.marginals()
        return float(total[0]), joint[0] / total[0]

    @cached_property
    def causes(self) -> dict[str, float]:
        """Chance of each cause, exact up to `slack`, descending."""
        chances = self._marginals[1]
        order = np.argsort(-chances, kind="stable")
        return {self.prepared.compiled.causes[i]: float(chances[i]) for i in order}

    @cached_property
    def _shares(self) -> Floats:
        """(plans + 1,) chance that each plan cures all; the last, that there is nothing to cure."""
        cures = self.prepared.cost_model.cures.T
        nothing = np.zeros((1, cures.shape[1]))  # no cause has odds: the empty set alone is left
        result: Floats = self._lattice.total(np.concatenate([cures, nothing])) / self._marginals[0]
        return result

    @property
    def cured(self) -> Floats:
        """(plans,) chance that each plan cures every present cause."""
        return self._shares[:-1]

    @property
    def no_fault(self) -> float:
        """Chance that no cause is present."""
        return float(self._shares[-1])

    @property
    def slack(self) -> float:
        """Largest possible error of a chance."""
        return self._lattice.slack

    @cached_property
    def sets(self) -> tuple[Hypotheses, Hypotheses]:
        """Every set of up to two causes with its chance, and triples of the likeliest causes."""
        return self.prepared.sets.whole(self.network, self.evidence)

    @cached_property
    def hypotheses(self) -> Hypotheses:
        """The likeliest sets of causes, for whatever looks ahead and for the findings."""
        return likeliest(*self.sets, KEEP, MOST)

    @cached_property
    def findings(self) -> dict[str, Floats]:
        """Finding -> (states,) chance of each of its states."""
        return {
            name: self.hypotheses.weights @ self._shown(name)
            for name in self.prepared.knowledge.findings
        }

    def _shown(self, finding: str) -> Floats:
        return state_chances(self.prepared.compiled, finding, self.hypotheses, self.evidence)

    @cached_property
    def surprise(self) -> Surprise:
        """How badly the answers fit one another."""
        return surprise_of(self.prepared.sets, self.network, self.items)

    # what stands whatever is believed ----------------------------------------------------------

    @cached_property
    def _claims(self) -> list[Claim]:
        # Words may change how others read, before and after them; what each meant stays said.
        prepared, job = self.prepared, self.job
        others = [w for w in job.wordings if w != job.complaint]
        apart = [prepared.hear_apart(words) for words in others]
        heard = [self.heard, *apart]
        return claims(prepared.compiled, job, heard, self.items, prepared.measure)

    @cached_property
    def floors(self) -> list[StandingFloor]:
        """What stands whatever is believed."""
        return standing_floors(self.prepared.compiled, self._claims)

    @cached_property
    def signs(self) -> list[StandingFloor]:
        """Those of the floors that forbid opening."""
        return forbidding(self.floors, "open")

    @cached_property
    def first_words(self) -> list[str]:
        """Cautions to say before any question."""
        return first_words(self.prepared.compiled, self._claims)

    # ride --------------------------------------------------------------------------------------

    @cached_property
    def ride(self) -> RideCall:
        """The verdict for the ride."""
        knowledge, job = self.prepared.knowledge, self.job
        done = {i.finding for i in self.items if i.by != "customer"}
        looked: list[str] = []
        missing: list[str] = []
        for ident in knowledge.pack.look:
            check = knowledge.checks[ident]
            words = (check.place or check.observes).replace("_", " ")
            (looked if check.observes in done else missing).append(words)
        asked = {
            i.finding
            for i in self.items
            if not i.words
            or (
                i.certainty >= knowledge.pack.said_plainly
                and (i.finding, i.state) not in self.prepared.vague
            )
        }
        return judge_ride(
            self.prepared.compiled,
            self.causes,
            self._risky_findings,
            self.floors,
            looked,
            missing,
            job.channel in WITHOUT_HANDS,
            # What the sum could not settle counts as a reason to stop.
            min(1.0, self._any_stop + self._lattice.unlisted),
            asked,
        )

    @cached_property
    def _harmless(self) -> npt.NDArray[np.bool_]:
        """(sets,) sets that are all set-up and normal behaviour: what they show is no danger."""
        stop, gently = self.prepared.ride_tables
        nothing = self.prepared.knowledge.device.stages.nothing
        well = np.array([stage == nothing for stage in self.prepared.cost_model.cheapest])
        present, harmless = self.hypotheses.present, well & (stop == 0.0) & (gently == 0.0)
        result: npt.NDArray[np.bool_] = present.any(axis=1) & ~present[:, ~harmless].any(axis=1)
        return result

    @cached_property
    def _risky_findings(self) -> dict[str, Floats]:
        """Finding -> (states,) chance of each of its states with a cause that is not harmless."""
        risky = np.where(self._harmless, 0.0, self.hypotheses.weights)
        return {name: risky @ self._shown(name) for name in self.prepared.knowledge.findings}

    @property
    def _any_stop(self) -> float:
        """Chance that some cause or some finding is a reason to stop, whichever it is."""
        stop, _ = self.prepared.ride_tables
        listed, risky = self.hypotheses, ~self._harmless
        fine = np.where(listed.present[:, stop > 0.0].any(axis=1), 0.0, listed.weights)
        for name, places in self.prepared.stop_states.items():
            fine = fine * (1.0 - risky * self._shown(name)[:, places].sum(axis=1))
        return 1.0 - float(fine.sum())
