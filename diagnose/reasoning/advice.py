"""What to do next of a decision: the step, what it was chosen from, what would change the plan.

Rules
-----
- What decides the ride or settles a sign comes first (`coming_first`); then what saves more than it
  costs (`weighing`); at the bench the last looks, else nothing.
- An adviser is a function from a decision to an advice, so that others may advise otherwise: with
  other options open, or not at all.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from diagnose.belief.compiled import UNLISTED
from diagnose.reasoning.coming_first import as_found, deciding, probe
from diagnose.reasoning.decision import Decision
from diagnose.reasoning.open_options import open_now
from diagnose.reasoning.weighing import weighed
from diagnose.strategy.lookahead import Option, Outlook

__all__ = ["Advice", "Adviser", "Change", "advise_nothing", "advise_step", "first_of"]

#: chance from which an answer is named that would change the plan
_LIKELY = 0.05

#: likely causes among which it is said which two a question tells apart
_TOLD = 8


@dataclass(frozen=True)
class Change:
    """An answer that would change the plan: to which sheets, and what that saves [currency]."""

    ask: str
    state: str
    sheets: tuple[str, ...]
    saves: float


@dataclass(frozen=True, eq=False)
class Advice:
    """The next step.

    Attributes
    ----------
    options : what is open. outlook : what each of them is worth. step : id of the one to take, or
    None: decide now.
    """

    decision: Decision
    options: Sequence[Option]
    outlook: Outlook
    step: str | None

    @cached_property
    def would_change(self) -> list[Change]:
        """Single answers, not too unlikely, that would change the plan."""
        decision, model = self.decision, self.decision.prepared.cost_model
        listed = decision.belief.hypotheses
        costs = model.wrong_calls(listed.present, decision.belief.job.at)
        changes = []
        for option in self.options:
            for a, state in enumerate(option.answers[:-1]):
                branch = listed.weights * option.outcomes[:, a]
                if float(branch.sum()) < _LIKELY:
                    continue
                after = branch @ costs
                best = int(np.argmin(after))
                if model.plans[best].stages == decision.plan.stages:
                    continue
                if decision.belief.job.at == "counter":
                    best = model.sized(best, branch @ model.rights(listed.present))
                saves = float(after[decision.place] - after[best])
                changes.append(Change(option.id, state, model.plans[best].sheets, saves))
        return changes

    def tells(self, ident: str) -> tuple[str, str] | None:
        """The two likely causes that an open question or check tells apart best, or None.

        The likelier both are, and the more their answers differ, the better.
        """
        option = next((option for option in self.options if option.id == ident), None)
        if option is None:
            return None
        listed = self.decision.belief.hypotheses
        shares = listed.weights @ listed.present
        likely = [int(n) for n in np.argsort(-shares, kind="stable")[:_TOLD] if shares[n] > 0.0]
        answers = {
            n: (listed.weights * listed.present[:, n]) @ option.outcomes / shares[n] for n in likely
        }
        pairs = [
            (float(shares[a] * shares[b] * np.abs(answers[a] - answers[b]).sum()), a, b)
            for place, a in enumerate(likely)
            for b in likely[place + 1 :]
        ]
        if not pairs or max(pairs)[0] <= 0.0:
            return None
        _, a, b = max(pairs)
        causes = self.decision.prepared.compiled.causes
        return (causes[a], causes[b]) if UNLISTED not in (causes[a], causes[b]) else None


Adviser = Callable[[Decision], Advice]


def advise_step(decision: Decision) -> Advice:
    """The next step where the job is."""
    options = open_now(decision.belief)
    return first_of(decision, options, weighed(decision, options))


def advise_nothing(decision: Decision) -> Advice:
    """The decision as it stands, without a look at what might come next."""
    return Advice(decision, (), weighed(decision, ()), None)


def first_of(decision: Decision, options: Sequence[Option], outlook: Outlook) -> Advice:
    """The step to take among options whose worth is known."""
    belief = decision.belief
    ids = [option.id for option in options]
    step = None if outlook.option is None else ids[outlook.option]
    if belief.job.at == "counter":
        step = deciding(belief, ids) or step
    else:
        # What forbids opening or filling is settled before anything is weighed by cost.
        settled, first = probe(belief, ids)
        early = deciding(belief, ids) or as_found(belief, ids)
        step = first if settled else early or step
    return Advice(decision, options, outlook, step)
