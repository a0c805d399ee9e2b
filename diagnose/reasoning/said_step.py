"""The next step in words: a question, a check, or why there is none."""

from __future__ import annotations

from diagnose.bench.given import Input
from diagnose.bench.units import BARE
from diagnose.job.measuring import wanted_readings
from diagnose.knowledge.models import NONE, Check, Frame
from diagnose.reasoning.advice import Advice
from diagnose.reasoning.belief import Belief
from diagnose.reasoning.decision import Decision
from diagnose.reasoning.lines import AnswerLine, NextStep, ReadingLine, caution_lines
from diagnose.reasoning.open_options import open_rows
from diagnose.reasoning.options import Asked, find_card
from diagnose.symptom_graph.cautions import required_cautions
from diagnose.symptom_graph.routes import acts_of

__all__ = ["changes", "next_step", "reading_line", "step_of", "worth"]

#: changes of the plan that are named
_NAMED = 3


def next_step(advice: Advice) -> NextStep:
    """The best question or check, or why there is none."""
    decision, belief = advice.decision, advice.decision.belief
    job = belief.job
    if job.closed is not None:
        return NextStep(kind="done", why="the job is closed")
    if advice.step is not None and not job.booked:
        return step_of(belief, advice.step, worth(advice, advice.step))
    if job.at == "counter":
        if decision.sure_enough and not job.booked and _opens_nothing(decision):
            return NextStep(kind="done", why="no question would change the call")
        why = (
            "a sign of trapped gas stands, and only the bench can clear it"
            if belief.signs
            else "no question is worth the customer's time; the bench finds out"
        )
        return NextStep(kind="book_inspection", why=why)
    if belief.signs:
        return NextStep(kind="done", why="a sign of trapped gas stands: do not open")
    if decision.sure_enough:
        return NextStep(kind="done", why="sure enough to open")
    return NextStep(kind="done", why="no check left is worth its minutes")


def _opens_nothing(decision: Decision) -> bool:
    """The plan needs no confirmation at the bench, and nobody who might find more."""
    stages = decision.prepared.knowledge.stages
    return not any(stages[stage].opens for stage in decision.plan.stages)


def worth(advice: Advice, ident: str) -> str:
    """What a question or check is for: the two suspects that it tells apart; empty: no two."""
    pair = advice.tells(ident)
    if pair is None:
        return ""
    causes = advice.decision.prepared.knowledge.causes
    return f"Tells '{causes[pair[0]].name}' from '{causes[pair[1]].name}'."


def step_of(belief: Belief, ident: str, worth: str = "") -> NextStep:
    """A question or check as a step, cautions first."""
    card = find_card(belief.prepared.compiled, ident)
    why = " ".join(x for x in (card.why, worth) if x)
    if isinstance(card, Frame):
        return _framed(belief, card, why)
    answers = [
        AnswerLine(key=str(n), state=a.state, text=a.text, means=a.means)
        for n, a in enumerate(card.answers, 1)
    ]
    if not isinstance(card, Check):
        return NextStep(
            kind="ask",
            id=ident,
            question=card.question,
            answers=answers,
            why=why,
            minutes=card.minutes,
        )
    chambers = belief.job.chambers(belief.prepared.knowledge.device)
    cautions = required_cautions(belief.prepared.knowledge, card.does, chambers)
    readings = [reading_line(wanted) for wanted in wanted_readings(card)]
    return NextStep(
        kind="check",
        id=ident,
        question=card.question,
        answers=answers,
        readings=readings,
        steps=card.steps,
        minutes=card.minutes,
        cautions=caution_lines(cautions),
        why=why,
    )


def reading_line(wanted: Input) -> ReadingLine:
    """A reading of a check, as it is asked for."""
    return ReadingLine(
        name=wanted.name,
        text=wanted.text,
        unit="" if wanted.wanted_unit in BARE else wanted.wanted_unit,
        optional=wanted.optional,
        usual=wanted.usual,
    )


def _framed(belief: Belief, frame: Frame, why: str) -> NextStep:
    """A frame question: none of it, or any of what is still open."""
    rows = open_rows(belief, frame)
    texts = [*((f"{row.ask}={row.state}", row.text) for row in rows), (NONE, frame.none)]
    does = acts_of(belief.prepared.knowledge, frame)
    chambers = belief.job.chambers(belief.prepared.knowledge.device)
    return NextStep(
        kind="check" if does else "ask",
        id=frame.id,
        question=frame.question,
        answers=[
            AnswerLine(key=str(n), state=state, text=text)
            for n, (state, text) in enumerate(texts, 1)
        ],
        why=why,
        minutes=frame.minutes,
        cautions=caution_lines(required_cautions(belief.prepared.knowledge, does, chambers)),
    )


def changes(advice: Advice) -> list[str]:
    """The answers that would change the plan most, each with the plan that it brings."""
    prepared, decision = advice.decision.prepared, advice.decision
    # What stays in the plan keeps its name.
    named = dict(zip(decision.plan.sheets, decision.plan_sheets, strict=True))
    rows = []
    for change in advice.would_change:
        card = find_card(prepared.compiled, change.ask)
        text = _answer_text(card, change.state)
        plan = " + ".join(prepared.knowledge.sheets[named.get(s, s)].name for s in change.sheets)
        rows.append((change.saves, f"{card.name}: {text} -> {plan}"))
    rows.sort(key=lambda row: (-row[0], row[1]))
    return [text for _, text in rows[:_NAMED]]


def _answer_text(card: Asked, state: str) -> str:
    if isinstance(card, Frame):
        rows = {f"{row.ask}={row.state}": row.text for row in card.rows}
        return rows.get(state, card.none)
    return next((answer.text for answer in card.answers if answer.state == state), state)
