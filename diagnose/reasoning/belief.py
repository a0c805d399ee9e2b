"""What is believed of a job: its evidence, the posterior, and what follows from them for the ride.

Rules
-----
- A pure function of (prepared knowledge, job); no clock, no printing, no store.
- One posterior. The chance of a cause, of a cure and of no fault is the exact sum; what a plan
  costs is summed over `sets`; `hypotheses` are a sample, for looking ahead and for the findings.
- Floors go by what was reported, not by belief.
"""

from __future__ import annotations

from collections.abc import Iterable
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
from diagnose.reasoning.accounts import Account, accounts_of, seen_first
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

__all__ = ["Belief"]

#: chance of set-up and normal behaviour alone, above which they explain what was said
_LIKELIER = 0.5

#: chance that a finding came from nothing, above which it is not explained
_UNEXPLAINED = 0.5


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
    def _reported(self) -> list[Item]:
        """Every piece of evidence, in the order in which it came."""
        prepared = self.prepared
        return gather(prepared.compiled, self.job, self.heard, prepared.measure)

    @cached_property
    def items(self) -> list[Item]:
        """Every piece of evidence; words that were outdone by what was seen weigh nothing."""
        return seen_first(self._reported)

    @cached_property
    def accounts(self) -> tuple[Account, ...]:
        """The ways to take what was reported, among which belief is divided."""
        prepared = self.prepared
        return accounts_of(prepared.compiled, prepared.sets, self.network, self._reported)

    @property
    def trusted(self) -> float:
        """Chance, 0..1, that the customer's story is of this shock."""
        return sum(account.share for account in self.accounts if account.believes)

    @cached_property
    def evidences(self) -> list[dict[int, Floats]]:
        """By account: finding index -> (states,) likelihood."""
        compiled = self.prepared.compiled
        silence = unsaid(compiled, self.job, self.items)
        return [
            (silence if account.believes else {}) | combine(compiled, account.items)
            for account in self.accounts
        ]

    @property
    def evidence(self) -> dict[int, Floats]:
        """Finding index -> (states,) likelihood, the story believed."""
        return self.evidences[0]

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
        """The compiled network under the prior of this job, less what a look inside denied, and
        less what nobody named who was asked what else there is.
        """
        network = network_for(self.prepared.compiled, self.job.shock, self.job.opened_at)
        odds = network.odds.copy()
        if self.job.asked_for_more:
            odds *= self.prepared.unsaid.factors({item.finding for item in self._reported})
        denied = [i for i, cause in enumerate(network.causes) if cause in self.job.denied]
        odds[denied] *= denial(self.prepared.knowledge)
        return network.with_odds(odds)

    @cached_property
    def _sums(self) -> list[tuple[float, Lattice]]:
        """The exact sum of each account, and how much of belief it is."""
        return [
            (account.share, Lattice(self.network, evidence))
            for account, evidence in zip(self.accounts, self.evidences, strict=True)
        ]

    @cached_property
    def _chances(self) -> list[Floats]:
        """(causes,) chances in network order by each account."""
        tables = []
        for _, lattice in self._sums:
            total, joint = lattice.marginals()
            tables.append(joint[0] / total[0])
        return tables

    def chances_if(self, believed: bool) -> Floats:
        """(causes,) chances in network order, the story believed or not; the same without one."""
        kept = [n for n, a in enumerate(self.accounts) if a.believes == believed]
        shares = self._within(kept or range(len(self.accounts)))
        result: Floats = np.sum([share * self._chances[n] for n, share in shares], axis=0)
        return result

    def _within(self, kept: Iterable[int]) -> list[tuple[int, float]]:
        """Some of the accounts and how much of these each is, whatever they are of the whole."""
        kept = list(kept)
        whole = sum(self.accounts[n].share for n in kept)
        if whole <= 0.0:
            return [(kept[0], 1.0)]
        return [(n, self.accounts[n].share / whole) for n in kept]

    @cached_property
    def causes(self) -> dict[str, float]:
        """Chance of each cause, exact up to `slack`, descending."""
        shares = [account.share for account in self.accounts]
        chances: Floats = np.einsum("a,ac->c", shares, np.array(self._chances))
        order = np.argsort(-chances, kind="stable")
        return {self.prepared.compiled.causes[i]: float(chances[i]) for i in order}

    @cached_property
    def _shares(self) -> Floats:
        """(plans + 1,) chance that each plan cures all; the last, that there is nothing to cure."""
        cures = self.prepared.cost_model.cures.T
        nothing = np.zeros((1, cures.shape[1]))  # no cause has odds: the empty set alone is left
        factors = np.concatenate([np.ones((1, cures.shape[1])), cures, nothing])
        result: Floats = np.zeros(len(factors) - 1)
        for share, lattice in self._sums:
            total = lattice.total(factors)
            result += share * total[1:] / total[0]
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
        return sum(share * lattice.slack for share, lattice in self._sums)

    @cached_property
    def _listed(self) -> list[tuple[Hypotheses, Hypotheses]]:
        """By account: every set of up to two causes, and triples of its likeliest causes."""
        return [self.prepared.sets.whole(self.network, evidence) for evidence in self.evidences]

    def _sets_of(self, shares: Iterable[tuple[int, float]]) -> tuple[Hypotheses, ...]:
        return tuple(each.scaled(s, n) for n, s in shares for each in self._listed[n])

    @cached_property
    def sets(self) -> tuple[Hypotheses, ...]:
        """Every set of up to two causes with its chance, and triples, account by account."""
        return self._sets_of((n, a.share) for n, a in enumerate(self.accounts))

    @cached_property
    def hypotheses(self) -> Hypotheses:
        """The likeliest sets of causes, for whatever looks ahead and for the findings."""
        return likeliest(self.sets, KEEP, MOST)

    @cached_property
    def findings(self) -> dict[str, Floats]:
        """Finding -> (states,) chance of each of its states."""
        return {
            name: self.hypotheses.weights @ self._shown(name)
            for name in self.prepared.knowledge.findings
        }

    def _shown(self, finding: str, listed: Hypotheses | None = None) -> Floats:
        sets = listed or self.hypotheses
        return state_chances(self.prepared.compiled, finding, sets, self.evidences)

    @cached_property
    def unexplained(self) -> list[str]:
        """Findings that a look or check of the shop showed and that hardly any likely cause brings
        about: half of their chance and more is that of coming from nothing.
        """
        network, listed = self.network, self.hypotheses
        found = []
        for item in self.items:
            f = network.finding_index[item.finding]
            place = self.prepared.compiled.states(item.finding).index(item.state)
            if item.by == "customer" or place == 0 or item.finding in found:
                continue
            start, end = network.state_offsets[f : f + 2]
            shown = listed.chances[:, int(start) + place : int(end)].sum(axis=1)
            nothing = float(network.findings[f].leak[place - 1]) / np.maximum(shown, 1e-300)
            if float(listed.weights @ np.minimum(nothing, 1.0)) > _UNEXPLAINED:
                found.append(item.finding)
        return found

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
            dict(zip(self.prepared.compiled.causes, self.chances_if(True).tolist(), strict=True)),
            self._risky_findings,
            self.floors,
            looked,
            missing,
            job.channel in WITHOUT_HANDS and job.at == "counter" and not self._harmless.any(),
            # What the sum could not settle counts as a reason to stop.
            min(1.0, self._any_stop + sum(s * lattice.unlisted for s, lattice in self._sums)),
            asked,
        )

    @cached_property
    def _harmless(self) -> npt.NDArray[np.bool_]:
        """(sets,) sets that are all set-up and normal behaviour: what they show is no danger, where
        they are the likelier explanation; none before they are.
        """
        stop, gently = self.prepared.ride_tables
        nothing = self.prepared.knowledge.device.stages.nothing
        well = np.array([stage == nothing for stage in self.prepared.cost_model.cheapest])
        present, harmless = self._cautious.present, well & (stop == 0.0) & (gently == 0.0)
        alone = np.asarray(present.any(axis=1) & ~present[:, ~harmless].any(axis=1))
        return alone & (float(self._cautious.weights @ alone) > _LIKELIER)

    @cached_property
    def _cautious(self) -> Hypotheses:
        """The likeliest sets for the ride: the story is believed, a doubt of it is no safety."""
        believed = [n for n, account in enumerate(self.accounts) if account.believes]
        return likeliest(self._sets_of(self._within(believed)), KEEP, MOST)

    @cached_property
    def _risky_findings(self) -> dict[str, Floats]:
        """Finding -> (states,) chance of each of its states with a cause that is not harmless."""
        listed = self._cautious
        risky = np.where(self._harmless, 0.0, listed.weights)
        names = self.prepared.knowledge.findings
        return {name: risky @ self._shown(name, listed) for name in names}

    @property
    def may_be_loaded(self) -> bool:
        """No part that carries load or holds pressure was reported, or is likely, to fail."""
        knowledge, stop = self.prepared.knowledge, self.prepared.ride_tables[0] > 0.0
        fails = knowledge.device.load_hazard
        failing = [
            cause in knowledge.causes and fails in knowledge.causes[cause].hazards
            for cause in self.prepared.compiled.causes
        ]
        listed = self._cautious
        chance = float(listed.weights @ listed.present[:, stop & failing].any(axis=1))
        return chance < knowledge.pack.stop_at and not forbidding(self.floors, "load")

    @property
    def _any_stop(self) -> float:
        """Chance that some cause or some finding is a reason to stop, whichever it is."""
        stop, _ = self.prepared.ride_tables
        listed, risky = self._cautious, ~self._harmless
        fine = np.where(listed.present[:, stop > 0.0].any(axis=1), 0.0, listed.weights)
        for name, places in self.prepared.stop_states.items():
            shown = self._shown(name, listed)[:, places].sum(axis=1)
            fine = fine * (1.0 - risky * shown)
        return 1.0 - float(fine.sum())
