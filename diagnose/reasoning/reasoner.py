"""From a job to everything that can be said about it: belief, decision, advice.

Rules
-----
- Each of the three rests on the one before, and is worked out when it is first asked for.
- The same job gives the same view: the last ones are kept, known again by the value of the job.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from diagnose.job.retired_ids import in_todays_ids
from diagnose.job.state import JobState
from diagnose.reasoning.advice import Advice, Adviser, advise_step
from diagnose.reasoning.belief import Belief
from diagnose.reasoning.decision import Decision
from diagnose.reasoning.hearing import in_doubt
from diagnose.reasoning.lines import HeardLine
from diagnose.reasoning.prepared import Prepared
from diagnose.remembered import Remembered

__all__ = ["Reasoner", "View"]


@dataclass(frozen=True, eq=False)
class View:
    """Everything that follows from one job."""

    belief: Belief
    adviser: Adviser

    @property
    def job(self) -> JobState:
        return self.belief.job

    @cached_property
    def decision(self) -> Decision:
        """What is decided now."""
        return Decision(self.belief)

    @cached_property
    def in_doubt(self) -> tuple[HeardLine, ...]:
        """Readings of the customer's words to be asked about now."""
        return in_doubt(self.decision)

    @cached_property
    def advice(self) -> Advice:
        """What to do next."""
        return self.adviser(self.decision)


class Reasoner(Prepared):
    """Judges jobs."""

    def advise(self, decision: Decision) -> Advice:
        """What comes next; a kind of reasoner may advise otherwise, or not at all."""
        return advise_step(decision)

    def view(self, job: JobState) -> View:
        """What follows from a job."""
        return self._views(job)

    @cached_property
    def _views(self) -> Remembered[JobState, View]:
        # A key asks for the job before and after its reply, and as the bench would see it.
        return Remembered(self._view, most=4)

    def _view(self, job: JobState) -> View:
        return View(Belief(self, in_todays_ids(job, self.knowledge.retired)), self.advise)
