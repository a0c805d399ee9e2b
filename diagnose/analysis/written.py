"""What people wrote down that must be said: the pictures beside cause cards, and the cases.

Each is a job with expectations; a change of knowledge under which one of them fails is noticed.

Rules
-----
- A case gives three jobs, with all its answers up to that moment: the words alone, the counter, the
  bench. Nothing is asked, so that a moment takes milliseconds; how cases are met in conversation is
  the business of the case runner.
- `Caller` judges without looking for the next step, which takes most of a judgement's time.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from diagnose.belief.hypotheses import SetTable
from diagnose.belief.network import Floats, Network
from diagnose.casebook.cases import Case, Expected, meets
from diagnose.casebook.examples import picture_job
from diagnose.job.job_file import events_of
from diagnose.job.state import fold
from diagnose.knowledge.loader import Knowledge
from diagnose.reasoning.advice import Advice, advise_nothing
from diagnose.reasoning.decision import Decision
from diagnose.reasoning.judgement import Judgement, judge
from diagnose.reasoning.reasoner import Reasoner, View
from diagnose.symptom_graph.cautions import cautions_of

__all__ = ["Caller", "Outcome", "Written", "failed", "judged", "view_of", "written_jobs"]


class Caller(Reasoner):
    """Judges a job as it stands, without a next step."""

    def advise(self, decision: Decision) -> Advice:
        return advise_nothing(decision)

    def beside(self, knowledge: Knowledge) -> Caller:
        """The same for other knowledge that says the same of the customer's words.

        What is slow to build is taken over as far as it is not touched.
        """
        other = Caller(knowledge, money=self.money, measure=self.measure)
        other.recogniser = self.recogniser
        mine, new = self.compiled.network, other.compiled.network
        if mine.causes == new.causes and mine.finding_index == new.finding_index:
            other.sets.present = self.sets.present
            other.sets.chances = _chances(self.sets, mine, new)
        return other

    def reading(self, knowledge: Knowledge) -> Caller:
        """The same with other cards on which no probability rests: cautions, hazards, sheets."""
        other = Caller(knowledge, money=self.money, measure=self.measure)
        other.compiled, other.recogniser = self.compiled, self.recogniser
        other.sets, other.cost_model = self.sets, self.cost_model
        return other

    def in_words(self, view: View) -> View:
        """A view of the same job in the words of these cards."""
        return View(view.belief.read_by(self), self.advise)


def _chances(sets: SetTable, mine: Network, new: Network) -> Floats:
    """The finding chances of all sets, worked out again only where a finding changed."""
    if not np.array_equal(mine.state_offsets, new.state_offsets):
        return new.state_chances(sets.present)
    moved = (mine.log_miss != new.log_miss).any(axis=0) | (mine.log_leak_miss != new.log_leak_miss)
    changed = [
        f for f in range(len(new.findings)) if moved[mine.offsets[f] : mine.offsets[f + 1]].any()
    ]
    chances = sets.chances
    if changed:
        part = Network(new.causes, new.odds, 1.0, [new.findings[f] for f in changed])
        chances = chances.copy()
        columns = np.concatenate(
            [np.arange(mine.state_offsets[f], mine.state_offsets[f + 1]) for f in changed]
        )
        chances[:, columns] = part.state_chances(sets.present)
    return chances


@dataclass(frozen=True)
class Written:
    """One job with what is expected of it.

    Attributes
    ----------
    cause : of a picture beside a card: the cause that must be among the first ``rank``, or with
    rank 0 must not be first. expected : outcomes and verdicts that are accepted. cautions, truth :
    of a case.
    """

    name: str
    job: Mapping[str, Any]
    cause: str = ""
    rank: int = 0
    expected: Expected | None = None
    cautions: tuple[str, ...] = ()
    truth: tuple[str, ...] = ()


@dataclass(frozen=True)
class Outcome:
    """What is said of a job, as far as people rely on it, and which expectations it misses."""

    said: tuple[tuple[str, str], ...]
    missed: frozenset[str]


def written_jobs(knowledge: Knowledge, cases: Sequence[Case] = ()) -> list[Written]:
    """All pictures beside the cards of causes, then three moments of each case."""
    rows = []
    for cause in knowledge.causes.values():
        for kind, examples in (("typical", cause.typical), ("near miss", cause.near_miss)):
            for n, example in enumerate(examples, 1):
                picture = picture_job(knowledge, example)
                rank = example.rank if kind == "typical" else 0
                # A picture that names no outcome accepts each.
                wanted = Expected(
                    stage=example.stage or list(knowledge.stages), ride=[*example.ride]
                )
                rows.append(Written(f"{cause.id} {kind} {n}", picture, cause.id, rank, wanted))
    for case in cases:
        words = {"complaint": case.complaint, "shock": case.shock}
        counter = {**words, "answers": dict(case.counter)}
        bench = {**words, "at": "bench", "answers": {**case.counter, **case.bench}}
        for moment, job, cautions, truth in (
            ("words", words, [], []),
            ("counter", counter, [], []),
            ("bench", bench, case.expect.cautions, case.truth),
        ):
            expected = getattr(case.expect, moment)
            if expected is not None:
                name = f"case {case.id} {moment}"
                row = Written(name, job, "", 0, expected, tuple(cautions), tuple(truth))
                rows.append(row)
    return rows


def view_of(caller: Reasoner, job: Mapping[str, Any]) -> View:
    """The view of a job as `assess` takes it.

    Raises
    ------
    InputError : the job cannot be understood.
    """
    events, _ = events_of(job, caller.knowledge)
    return caller.view(fold(events))


def judged(caller: Reasoner, written: Written, view: View | None = None) -> Outcome:
    """What is said of it, and which of its expectations are missed."""
    view = view or view_of(caller, written.job)
    call = judge(caller, view)
    stages = [call.stage.id, *(line.id for line in call.also_stages)]
    said = (
        ("call", " + ".join(stages)),
        ("ride", call.ride),
        ("first", call.causes[0].id),
        ("cautions", ", ".join(line.id for line in call.cautions)),
    )
    return Outcome(said, failed(caller, written, call))


def failed(caller: Reasoner, written: Written, call: Judgement) -> frozenset[str]:
    """Names of the expectations that a judgement does not meet."""
    ranked = [line.id for line in call.causes]
    missed = set()
    if written.cause:
        rank = ranked.index(written.cause) + 1
        if rank > written.rank if written.rank else rank == 1:
            missed.add("rank")
    if written.expected is not None:
        missed |= {name for name, good in meets(call, written.expected).items() if not good}
    if written.truth and not set(written.truth) & set(ranked[: len(written.truth)]):
        missed.add("first")
    shown = _warned(caller, written, call)
    missed |= {
        f"caution {hazard}"
        for hazard in written.cautions
        if hazard not in caller.knowledge.hazards
        or not shown & set(caller.knowledge.hazards[hazard].cautions)
    }
    return frozenset(missed)


def _warned(caller: Reasoner, written: Written, call: Judgement) -> set[str]:
    """Cautions shown with the judgement, before its checks, and before the steps of its sheets."""
    knowledge = caller.knowledge
    acts = {
        act
        for line in (call.stage, *call.also_stages)
        for step in knowledge.sheets[line.sheet].steps
        for act in (*step.does, *step.marks)
    }
    for ask in written.job.get("answers", {}):
        acts |= set(knowledge.checks[ask].does) if ask in knowledge.checks else set()
    met = {hazard.id for hazard in knowledge.hazards.values() if acts & set(hazard.acts)}
    shown = {line.id for line in call.cautions}
    return shown | {card.id for card in cautions_of(knowledge, met)}
