"""Prompts that ask: what it has, the five places, a symptom, a check."""

from __future__ import annotations

from diagnose.conversation.guarding import Desk, before, held, ready, what_forbids
from diagnose.conversation.prompts import (
    LOOK,
    NONE,
    NOTHING,
    OTHER,
    SIGHT,
    Prompt,
    keyed,
    spoken,
)
from diagnose.conversation.second_reading import offer, warning
from diagnose.job.state import JobState
from diagnose.knowledge.models import Check, Frame
from diagnose.reasoning.judgement import AnswerLine, CautionLine
from diagnose.reasoning.options import Asked, can_look_at, find_card, parts_of
from diagnose.reasoning.reasoner import View
from diagnose.reasoning.said_step import step_of, worth
from diagnose.symptom_graph.routes import deed_of
from diagnose.symptom_graph.variants import with_or_without

__all__ = ["advised", "ask", "first_sight", "look", "look_begun"]


def advised(desk: Desk, view: View) -> str | None:
    """The question or check that comes next, if the gate has nothing against it."""
    ident = view.advice.step
    if ident is None:
        return None
    deed = deed_of(desk.reasoner.knowledge, ident)
    forbidden = deed is not None and what_forbids(desk, view, deed) in ("sign", "damage")
    return None if forbidden else ident


# what it has, and the five-place look ----------------------------------------------------------


def first_sight(desk: Desk, job: JobState) -> Prompt | None:
    """What it has, in one question; None where all of it is known, or nobody can see it here."""
    if job.channel in ("phone", "mail") or job.choices.sight_left:
        return None
    seen = desk.reasoner.knowledge.pack.first_sight
    rows = [(row.feature, row.text) for row in seen if job.shock.get(row.feature) is None]
    if not rows:
        return None
    counter = ("book", "words") if job.at == "counter" else ()
    return Prompt(
        "question",
        SIGHT,
        "What has it? Choose all that apply.",
        answers=tuple(keyed([*rows, (NONE, "None of these")])),
        why="What it does not have is not asked about.",
        commands=("not_sure", "back", "why", "safety", *counter, "leave"),
        minutes=0.2,
        several=True,
    )


def look_begun(desk: Desk, job: JobState) -> bool:
    """Something was seen at one of the places already."""
    done = {ask for ask, _ in job.reports}
    return any(sign.check in done for sign in desk.reasoner.knowledge.pack.look_signs)


def look(desk: Desk, job: JobState) -> Prompt | None:
    """All places in one question: the signs that are seen most, a key each."""
    pack, checks = desk.reasoner.knowledge.pack, desk.reasoner.knowledge.checks
    if job.channel in ("phone", "mail") or job.choices.look_left:
        return None
    done = {ask for ask, _ in job.reports}
    here = [ident for ident in pack.look if can_look_at(checks[ident], job)]
    if all(ident in done for ident in here):
        return None
    begun = look_begun(desk, job)
    answers = [AnswerLine(key="1", state=NOTHING, text="Nothing else" if begun else "All well")]
    for sign in pack.look_signs:
        if sign.check not in done:
            state = f"{sign.check}={sign.state}"
            answers.append(AnswerLine(key=str(len(answers) + 1), state=state, text=sign.text))
    places = ", ".join(spoken(checks[ident].place or ident) for ident in here)
    many = ("", "one place", "two places", "three places", "four places", "five places")[len(here)]
    text = f"Look at {many}, 20 seconds: {places}. What do you see?"
    return Prompt(
        "question",
        LOOK,
        text if not begun else f"Anything else at the {many}?",
        answers=tuple(answers),
        why="Whether it may be ridden rests on what was looked at.",
        commands=("not_sure", "back", "why", "safety", "book", "words", "leave"),
        minutes=0.3,
    )


# questions and checks --------------------------------------------------------------------------


def ask(desk: Desk, view: View, ident: str, person: str) -> Prompt:
    """A symptom or check, or what stands before the check."""
    card = find_card(desk.reasoner.compiled, ident)
    step = step_of(view.belief, ident, worth(view.advice, ident))
    commands = ["not_sure", "back", "why", "skip", "safety"]
    commands += ["book", "words"] if view.job.at == "counter" else []
    commands.append("leave")
    answers = [*step.answers, *_none(desk, view, card, len(step.answers) + 1)]
    steps = tuple(step.steps)
    cautions: tuple[CautionLine, ...] = ()
    deed = deed_of(desk.reasoner.knowledge, ident)
    if deed is not None:
        if isinstance(card, Check) and what_forbids(desk, view, deed):
            return ready(card)
        waits = held(desk, deed, view.job, person)
        if waits is not None:
            return waits
        cautions = before(desk, deed, view.job, person)
    if isinstance(card, Check):
        answers += offer(desk, card, len(answers) + 1) if view.job.at == "bench" else ()
        steps = (*_unmet(desk, view, card), *warning(desk, view.job, card), *steps)
    return Prompt(
        "readings" if step.readings else "question",
        ident,
        f"{_own_words(view, ident)}{step.question}",
        answers=tuple(answers),
        readings=tuple(step.readings),
        steps=steps,
        cautions=cautions,
        why=step.why,
        commands=tuple(commands),
        minutes=step.minutes,
        several=isinstance(card, Frame),
    )


def _none(desk: Desk, view: View, card: Asked, key: int) -> list[AnswerLine]:
    """The answers that what is asked about is not there, where nobody knows whether it is."""
    if isinstance(card, Frame):
        return []
    device = desk.reasoner.knowledge.device
    parts = parts_of(desk.reasoner.compiled, card)
    unknown = {n: has for n, has in parts.items() if view.job.shock.get(n) is None}
    return [
        AnswerLine(
            key=str(n),
            state=f"{OTHER}{name}",
            text=f"There is {'none' if has else 'one'}: {with_or_without(device, name, not has)}",
        )
        for n, (name, has) in enumerate(unknown.items(), key)
    ]


def _unmet(desk: Desk, view: View, check: Check) -> tuple[str, ...]:
    """Said before a check that is asked for by hand though what it needs is not there."""
    gone = desk.reasoner.knowledge.device.unmet(check.needs, view.job.happened)
    return tuple(f"It cannot be made now: {c.says}. What was seen before counts." for c in gone)


def _own_words(view: View, ident: str) -> str:
    """What the customer said of it already: it is asked because the words are not certain."""
    said = next((item.words for item in view.belief.items if item.ask == ident and item.words), "")
    return f"They said '{said}'. " if said else ""
