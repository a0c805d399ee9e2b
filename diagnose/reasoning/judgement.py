"""The one Judgement that screen, paper and JSON show.

Rules
-----
- It only puts into words: everything in it is of the belief, the decision or the advice.
- The same job gives the same bytes; numbers are rounded here once, so that no two doors show
  different ones.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Literal

from diagnose.belief.compiled import UNLISTED
from diagnose.reasoning.belief import Belief
from diagnose.reasoning.evidence import answer_of
from diagnose.reasoning.hearing import heard_lines, not_heard_lines
from diagnose.reasoning.lines import (
    AnswerLine,
    CauseLine,
    CautionLine,
    FloorLine,
    HeardLine,
    NextStep,
    NotHeardLine,
    Part,
    Range,
    ReadingLine,
    StageLine,
    Surprise,
    SymptomLine,
    caution_lines,
    caution_text,
)
from diagnose.reasoning.reasoner import Reasoner, View
from diagnose.reasoning.said_stages import plausible_range, stage_lines
from diagnose.reasoning.said_step import changes, next_step
from diagnose.reasoning.section_messages import section_messages
from diagnose.reasoning.wording import Shown

# The lines are spoken of wherever a judgement is.
__all__ = [
    "SCHEMA_VERSION",
    "AnswerLine",
    "CauseLine",
    "CautionLine",
    "HeardLine",
    "Judgement",
    "NextStep",
    "NotHeardLine",
    "ReadingLine",
    "StageLine",
    "Surprise",
    "SymptomLine",
    "caution_lines",
    "caution_text",
    "judge",
]

SCHEMA_VERSION = 1

#: probability from which a cause is kept with the job
_KEPT = 0.005

#: largest error of a posterior that is not worth a word
SETTLED = 1e-3


class Judgement(Part):
    """Everything that is said of a job."""

    schema_version: int = SCHEMA_VERSION
    knowledge: str
    pack: str
    at: str
    symptoms: list[SymptomLine]
    # Judgements that older versions kept have neither.
    heard: tuple[HeardLine, ...] = ()
    not_heard: tuple[NotHeardLine, ...] = ()
    causes: list[CauseLine]
    no_fault: float
    stage: StageLine
    also_stages: list[StageLine]
    range: Range
    ride: Literal["ride", "ride_gently", "stop_riding"]
    ride_reason: str
    # Judgements that older versions kept lack it.
    ride_judged: bool = True
    floors: list[FloorLine]
    cautions: list[CautionLine]
    next_step: NextStep
    would_change: list[str]
    surprise: Surprise
    sure_enough: bool
    warnings: list[str]

    @property
    def ride_shown(self) -> Shown:
        """The verdict as it is said: none where nobody looked and nothing speaks against riding."""
        return self.ride if self.ride_judged else "not_judged"

    @property
    def shut(self) -> bool:
        """A sign forbids opening; the outcomes beside it are for once it is cleared."""
        return any("open" in floor.forbids for floor in self.floors)

    @property
    def hold(self) -> StageLine | None:
        """That it is not opened until a sign is cleared; None where no sign stands."""
        return next((s for s in (self.stage, *self.also_stages) if s.holds), None)

    def beside(self, line: StageLine) -> str:
        """What stands before an outcome that is not the first."""
        if line.holds:
            return "Until it is cleared: "
        return "Once cleared: " if self.stage.holds else "And: "

    def kept(self) -> dict[str, Any]:
        """What a job keeps of it: all that was said, less the causes hardly believed and the
        texts of the next step, which stay with the knowledge whose fingerprint is kept.
        """
        said = self.model_dump(mode="json")
        said["causes"] = [
            {"id": c.id, "name": c.name, "probability": c.probability}
            for c in self.causes
            if c.probability >= _KEPT
        ]
        said["next_step"] = {"kind": self.next_step.kind, "id": self.next_step.id}
        return said


def judge(reasoner: Reasoner, view: View, warnings: Iterable[str] = ()) -> Judgement:
    """Put a view into words and rounded numbers."""
    belief, decision, advice = view.belief, view.decision, view.advice
    stage, *also = stage_lines(decision)
    return Judgement(
        knowledge=reasoner.knowledge.fingerprint,
        pack=reasoner.knowledge.pack.id,
        at=view.job.at,
        symptoms=_symptoms(belief),
        heard=heard_lines(belief),
        not_heard=not_heard_lines(belief),
        causes=_causes(belief),
        no_fault=round(belief.no_fault, 4),
        stage=stage,
        also_stages=also,
        range=plausible_range(decision),
        ride=belief.ride.verdict,  # type: ignore[arg-type]
        ride_reason=belief.ride.reason,
        ride_judged=belief.ride.judged,
        floors=_floors(belief),
        cautions=section_messages(advice),
        next_step=next_step(advice),
        would_change=changes(advice),
        surprise=Surprise(
            value=round(belief.surprise.conflict, 3), suspects=belief.surprise.suspects
        ),
        sure_enough=decision.sure_enough,
        warnings=[
            *warnings,
            *_unexplained(view),
            *_in_doubt(view),
            *_reading_warnings(belief),
            *_unsettled(belief),
        ],
    )


def _unexplained(view: View) -> list[str]:
    """What was expected inside and was not there, and what was seen and fits nothing likely."""
    knowledge = view.belief.prepared.knowledge
    names = [knowledge.causes[c].name for c in view.job.unexplained if c in knowledge.causes]
    said = []
    if names:
        expected = "; ".join(names)
        said.append(f"opened, it was not what was expected ({expected}); it is unexplained.")
    seen = [knowledge.findings[finding].name for finding in view.belief.unexplained]
    if seen:
        said.append(f"not explained by what is likely: {'; '.join(seen)}.")
    return said


def _in_doubt(view: View) -> list[str]:
    """What may have been said, counts for nothing yet, and would change the call."""
    if view.job.at == "bench":
        return []  # nobody asks a customer there; the checks settle it
    return [
        f"'{line.words}' may mean {line.text}; it is not sure enough to count, ask the customer."
        for line in view.in_doubt
    ]


def _reading_warnings(belief: Belief) -> list[str]:
    taken = {item.ask for item in belief.items}
    return [
        f"{item.ask}: {text}"
        for item in belief.items
        if item.quantity is not None
        for text in item.quantity.warnings
    ] + [
        f"{report.ask}: these readings cannot be, and say nothing; take them again."
        for report in belief.job.reports.values()
        if report.readings and report.ask not in taken
    ]


def _unsettled(belief: Belief) -> list[str]:
    """Said where the sum over all faults could not be settled to a thousandth."""
    if belief.slack <= SETTLED:
        return []
    return [
        "so many answers speak at once that each chance shown may be off by up to "
        f"{belief.slack:.1%}; the verdict leans to the cautious side."
    ]


def _floors(belief: Belief) -> list[FloorLine]:
    findings = belief.prepared.knowledge.findings
    return [
        FloorLine(
            finding=standing.floor.finding,
            name=findings[standing.floor.finding].name,
            state=standing.claim.state,
            by=standing.claim.by,
            id=standing.claim.ask,
            ride=standing.floor.ride,
            forbids=list(standing.floor.forbids),
            lifted_by=list(standing.lifts),
            why=standing.floor.why,
        )
        for standing in belief.floors
    ]


def _symptoms(belief: Belief) -> list[SymptomLine]:
    lines = []
    for item in belief.items:
        states = belief.prepared.compiled.states(item.finding)
        card = belief.prepared.card(item.ask)
        about = card.findings
        if item.finding in about[1:]:
            continue  # told with what the check observes, as one answer
        state = answer_of(belief.items, item, card)
        text = next((a.text for a in card.answers if a.state == state), state)
        if item.finding != card.observes:  # what follows from a reading has no answer of its own
            finding = belief.prepared.knowledge.findings[item.finding]
            text = f"{finding.name}: {item.state.replace('_', ' ')}"
        share = float(item.likelihood[states.index(item.state)] / item.likelihood.sum())
        lines.append(
            SymptomLine(
                id=item.ask,
                state=state,
                how_sure=round(item.certainty if item.words else share, 3),
                by=item.by,
                words=item.words,
                denied=bool(item.words) and item.state == states[0],
                text=text,
                outdone_by=item.outdone_by,
            )
        )
    return lines


def _causes(belief: Belief) -> list[CauseLine]:
    lines = []
    for ident, chance in belief.causes.items():
        if ident == UNLISTED:
            name, plain = "none of these", "something that we have no card for"
        else:
            card = belief.prepared.knowledge.causes[ident]
            name, plain = card.name, card.plain
        lines.append(CauseLine(id=ident, name=name, probability=round(chance, 6), plain=plain))
    return lines
