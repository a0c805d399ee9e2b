"""What the best mechanic would know at one moment: belief, and what each thing to do is worth.

Rules
-----
- Counter and bench are one room here: whatever can be asked, looked at or measured is an option, at
  the price of its own place.
- The value of an option is the expected cost of the whole job from here on if it is done first: its
  price, what comes after it, and the decision at the end. Stopping is an option too.
- What the gate forbids has no value, only a price; what was answered already changes nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np

from diagnose.belief.network import Floats
from diagnose.job.state import JobState
from diagnose.knowledge.models import Check, Economics, Symptom
from diagnose.reasoning.advice import Advice, first_of
from diagnose.reasoning.belief import Belief
from diagnose.reasoning.decision import Decision
from diagnose.reasoning.open_options import open_at
from diagnose.reasoning.reasoner import Reasoner, View
from diagnose.reasoning.weighing import acts_done
from diagnose.strategy.lookahead import Option, Situation, advise
from diagnose.strategy.plans import Plan

__all__ = ["CLASSES", "LOOK", "Coach", "Moment", "StepClass"]

StepClass = Literal["splits", "one_suspect", "swaps", "repeats", "nothing", "call"]

#: kind of step -> how it is called
CLASSES: dict[str, str] = {
    "splits": "splits the field",
    "one_suspect": "one suspect at a time",
    "swaps": "swaps parts",
    "repeats": "repeats",
    "nothing": "changes nothing",
    "call": "makes the call",
}

#: the look over all places at once
LOOK = "five_places"

#: share of the movement of belief from which it is all about one suspect
_ONE = 0.8

#: mean movement of belief (total variation), and minutes saved, below which nothing is changed
_NOTHING, _SAVED = 0.03, 0.1

#: share of the best value, and minutes, within which a choice counts as best
_SHARE, _MINUTES = 0.05, 2.0

#: share of the tolerance that a step must save to be advised at all
_WHISKER = 0.25

#: minutes of the look over all places
_LOOK_MINUTES = 0.4


def advise_both_rooms(decision: Decision) -> Advice:
    """The next step of either room, two steps ahead, where it saves a whisker at least."""
    options = _both_rooms(decision.belief)
    prepared, listed = decision.prepared, decision.belief.hypotheses
    costs = prepared.cost_model.costs(listed.present)
    acts = acts_done(prepared.knowledge, decision.belief.job)
    situation = Situation(listed.weights, (costs,), tuple(options), acts)
    outlook = advise(situation, ahead=2)
    if outlook.saving <= _WHISKER * tolerance(prepared.money, outlook.stop_cost):
        outlook = replace(outlook, option=None)
    return first_of(decision, options, outlook)


def _both_rooms(belief: Belief, *, gated: bool = True) -> list[Option]:
    """Options of both rooms, each at the price of its own.

    Frame questions are left out: one thing is asked or done at a time, and each of their answers is
    open by itself.
    """
    frames = belief.prepared.knowledge.frames
    counter = open_at(belief, "counter", gated=gated)
    listed = {*frames, *(option.id for option in counter)}
    bench = open_at(belief, "bench", gated=gated)
    return [
        *(option for option in counter if option.id not in frames),
        *(option for option in bench if option.id not in listed),
    ]


def tolerance(money: Economics, cost: float) -> float:
    """Distance from an expected cost that still counts as that cost [currency]."""
    return max(_SHARE * cost, _MINUTES * money.rate_per_minute)


class Coach(Reasoner):
    """A reasoner to whom counter and bench are one room, and who looks two steps ahead."""

    def advise(self, decision: Decision) -> Advice:
        return advise_both_rooms(decision)

    def ungated(self, view: View) -> list[Option]:
        """What could be done if nothing were forbidden."""
        return _both_rooms(view.belief, gated=False)

    @property
    def price_of_minute(self) -> float:
        """A minute at the bench [currency]."""
        return self.money.rate_per_minute

    def price(self, card: Symptom | Check) -> float:
        """What asking or doing a card costs by itself [currency]."""
        counter = isinstance(card, Symptom) or card.at == "counter"
        money = self.money
        rate = money.counter_rate_per_minute if counter else money.rate_per_minute
        return card.minutes * rate

    def moment(self, job: JobState) -> Moment:
        """Appraise one moment."""
        return Moment(self, self.view(job))


@dataclass(frozen=True)
class Moment:
    """Belief and values before one choice."""

    coach: Coach
    view: View

    @cached_property
    def values(self) -> Mapping[str, float]:
        """Expected cost of the job if this permitted option is taken first."""
        advice = self.view.advice
        # A check that tells of several findings is an option for each.
        found: dict[str, float] = {}
        for option, value in zip(advice.options, advice.outlook.values.tolist(), strict=True):
            found[option.id] = min(value, found.get(option.id, value))
        return found

    @cached_property
    def costs(self) -> Floats:
        """(plans,) expected cost of each plan, over the sets that the options are valued over."""
        listed = self.view.belief.hypotheses
        return listed.weights @ self.coach.cost_model.costs(listed.present)

    @property
    def stop(self) -> float:
        """Expected cost of deciding now."""
        return self.view.advice.outlook.stop_cost

    @cached_property
    def best(self) -> float:
        """Expected cost of the best choice, deciding now included."""
        return min([self.stop, *self.values.values()])

    @property
    def tolerance(self) -> float:
        """Distance from the best that still counts as best."""
        return tolerance(self.coach.money, self.best)

    @property
    def best_id(self) -> str | None:
        """The option to take, or None to decide now: what the program itself would do next."""
        return self.view.advice.step

    @property
    def plan(self) -> Plan:
        """The plan to go with now, whether or not a sign forbids opening."""
        return self.view.decision.plan

    @property
    def call(self) -> tuple[str, ...]:
        """What to call now, outcomes or small jobs, the larger first: what the program says itself,
        and what a call is scored by.
        """
        return self.view.decision.call

    @cached_property
    def forbidden(self) -> dict[str, str]:
        """Checks that the gate forbids now: id -> 'sign' or 'stop'."""
        view, coach = self.view, self.coach
        effects = coach.knowledge.device.effects
        result = {}
        for option in coach.ungated(view):
            card = coach.knowledge.checks.get(option.id)
            if card is not None and option.id not in self.values:
                result[option.id] = "sign" if view.belief.signs and effects(card.does) else "stop"
        return result

    # what a choice is worth --------------------------------------------------------------------

    def regret(self, ident: str) -> float:
        """Expected cost beyond the best choice [currency]; within the tolerance it is 0."""
        if ident == LOOK:
            return 0.0 if not self.looked else self.look_price
        if ident == self.best_id:
            return 0.0
        if ident in self.values:
            # Cheap as it may be: what can change nothing is not among the best.
            lost = self.values[ident] - self.best
            forgiven = lost <= self.tolerance and self.class_of(ident) != "nothing"
            return 0.0 if forgiven else lost
        return self.coach.price(self.coach.card(ident)) + (
            max(self.stop - self.best, 0.0) if ident in self.forbidden else 0.0
        )

    def opening_regret(self, stage: str) -> float:
        """Expected cost beyond the best of opening now for this stage.

        At least its own price: the session goes on with the shock as it came in.
        """
        plans = self.coach.cost_model.plans
        index = next(n for n, plan in enumerate(plans) if plan == Plan((stage,)))
        return max(float(self.costs[index]) - self.best, self.opening_price(stage))

    def opening_price(self, stage: str) -> float:
        """What opening it for a stage and closing it again costs [currency]."""
        card = self.coach.knowledge.stages[stage]
        minutes = card.minutes + card.opening_minutes
        return minutes * self.coach.price_of_minute + card.parts

    def stop_regret(self) -> float:
        """Expected cost of deciding now beyond the best choice; within the tolerance it is 0, and
        where a sign stands that nothing can settle: then nothing else comes first.
        """
        if self.best_id is None:
            return 0.0
        lost = self.stop - self.best
        return 0.0 if lost <= self.tolerance else lost

    def call_regret(self, work: Sequence[str]) -> float:
        """Expected cost of calling this work beyond `call`; 0 for that, and for what is planned as
        the same.

        Parameters
        ----------
        work : outcomes or small jobs.
        """
        if set(work) == set(self.call):
            return 0.0
        knowledge, signs = self.coach.knowledge, self.view.belief.signs
        outcomes = knowledge.device.stages
        named = [s for s in work if s != outcomes.shut]
        if not named or (outcomes.shut in work and not signs):
            # What is kept shut without a sign goes out as it is.
            named = [outcomes.refer]
        lost = float(self.costs[self._planned(named)] - self.costs[self.view.decision.place])
        if signs and outcomes.shut not in work:
            # What is opened against a sign was at best for nothing, or the score would advise it.
            return max(lost, 0.0) + self.coach.money.comeback
        return 0.0 if lost <= self.tolerance and not signs else max(lost, 0.0)

    def _planned(self, work: Sequence[str]) -> int:
        """Place of the plan that does this work.

        A small job that no plan tells from its outcome is planned as that; of two of which one
        contains the other the larger is all that is done.
        """
        knowledge, plans = self.coach.knowledge, self.coach.cost_model.plans
        apart = {sheet for plan in plans for sheet in plan.sheets}
        named = {s if s in apart else knowledge.stage_of(s) for s in work}
        for place, plan in enumerate(plans):
            if set(plan.sheets) == named:
                return place
        largest = max(named, key=lambda s: (knowledge.stages[knowledge.stage_of(s)].rank, s))
        whole = largest if len(named) > 1 else knowledge.stage_of(largest)
        return self._planned([whole])

    # what kind of choice it is -----------------------------------------------------------------

    def class_of(self, ident: str) -> StepClass:
        """The kind of step that asking this is now."""
        if ident == LOOK:
            return "splits" if not self.looked else "repeats"
        option = next((o for o in self.view.advice.options if o.id == ident), None)
        if option is None:
            return "nothing" if ident in self.forbidden else "repeats"
        moved = self.movement(option)
        saved = self.stop + option.price - self.values[ident]
        if float(moved.sum()) < 2.0 * _NOTHING and saved < _SAVED * self.coach.price_of_minute:
            # The check that confirms what is believed already moves little, and is still wanted.
            return "one_suspect" if ident == self.best_id else "nothing"
        return "one_suspect" if float(moved.max()) >= _ONE * 0.5 * float(moved.sum()) else "splits"

    def movement(self, option: Option) -> Floats:
        """(causes + none,) mean change of each suspect's chance by the answer."""
        hypotheses = self.view.belief.hypotheses
        present = hypotheses.present.astype(float)
        none = (~hypotheses.present.any(axis=1)).astype(float)
        suspects = np.concatenate([present, none[:, None]], axis=1)
        before = hypotheses.weights @ suspects
        branches = (option.outcomes * hypotheses.weights[:, None]).T
        chances = branches.sum(axis=1)
        after = branches @ suspects
        result: Floats = np.abs(after - chances[:, None] * before).sum(axis=0)
        return result

    # the look over all places ------------------------------------------------------------------

    @property
    def looked(self) -> bool:
        """Every place of the look was looked at."""
        done = {item.ask for item in self.view.belief.items if item.by != "customer"}
        return set(self.coach.knowledge.pack.look) <= done

    @property
    def look_price(self) -> float:
        """What the look costs [currency]."""
        return _LOOK_MINUTES * self.coach.money.counter_rate_per_minute

    # suspects ----------------------------------------------------------------------------------

    def chance_of(self, causes: Sequence[str]) -> float:
        """Chance that just these causes explain it: all of them present, or none for no names."""
        if not causes:
            return self.view.belief.no_fault
        index = [self.coach.compiled.causes.index(c) for c in causes]
        held = self.view.belief.hypotheses.present[:, index].all(axis=1)
        return float(self.view.belief.hypotheses.weights[held].sum())
