"""Plays a case through the program: the words alone, the counter, the bench.

Rules
-----
- The counter and the bench are played as conversations: what the program asks is answered from the
  case; what the case does not say is answered 'not sure'.
- Nothing of the truth reaches the program.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagnose.casebook.cases import Case, meets
from diagnose.conversation.conversation import Conversation
from diagnose.conversation.prompts import (
    LOOK,
    MAIN,
    MORE,
    NONE,
    NOTHING,
    READY,
    SIGHT,
    UNDERSTOOD,
    Prompt,
)
from diagnose.errors import DiagnoseError
from diagnose.job.events import NOT_SURE, Event, HandedOver
from diagnose.job.job_file import events_of
from diagnose.job.state import fold
from diagnose.reasoning.judgement import Judgement, judge
from diagnose.reasoning.reasoner import Reasoner

__all__ = ["Played", "play", "verdicts"]

#: prompts after which a conversation counts as stuck
_LIMIT = 60


@dataclass(frozen=True)
class Played:
    """Judgements at the three moments, and what was asked."""

    case: Case
    words: Judgement
    counter: Judgement
    bench: Judgement
    asked_counter: tuple[str, ...]
    asked_bench: tuple[str, ...]
    keys: int


def play(reasoner: Reasoner, case: Case) -> Played:
    """Play one case to its end."""
    events, _ = events_of({"complaint": case.complaint, "shock": case.shock}, reasoner.knowledge)
    talk = Conversation(reasoner)
    words = judge(reasoner, reasoner.view(fold(events)))
    asked_counter, keys = _talk(talk, events, case)
    counter = judge(reasoner, reasoner.view(fold(events)))
    events.append(HandedOver(to="", at="bench"))
    asked_bench, more = _talk(talk, events, case)
    bench = judge(reasoner, reasoner.view(fold(events)))
    return Played(case, words, counter, bench, asked_counter, asked_bench, keys + more)


def _talk(talk: Conversation, events: list[Event], case: Case) -> tuple[tuple[str, ...], int]:
    """Answer prompts until the program decides; returns what was asked and the keys pressed."""
    asked: list[str] = []
    keys = 0
    for _ in range(_LIMIT):
        prompt = talk.prompt(events)
        if prompt.kind in ("judgement", "done"):
            break
        if prompt.kind not in ("caution", "text"):
            asked.append(prompt.id)
        keys += 1
        new = _answer(talk, events, prompt, case)
        if not new:
            break
        events.extend(new)
    return tuple(asked), keys


def _answer(talk: Conversation, events: Sequence[Event], prompt: Prompt, case: Case) -> list[Event]:
    if prompt.kind == "caution":
        return talk.reply(events, prompt, "acknowledged")
    if prompt.id == UNDERSTOOD:
        return talk.reply(events, prompt, _confirm(prompt, case))
    if prompt.id == MORE:
        return talk.reply(events, prompt, "")
    if prompt.id in talk.reasoner.knowledge.frames:
        return talk.reply(events, prompt, _framed(prompt, case))
    if prompt.id == MAIN:
        return talk.reply(events, prompt, _main(prompt, case))
    if prompt.id == SIGHT:
        has = [answer.state for answer in prompt.answers if case.shock.get(answer.state)]
        return talk.reply(events, prompt, has or NOT_SURE)
    if prompt.id == LOOK:
        return talk.reply(events, prompt, _look(prompt, case, talk.reasoner))
    if prompt.id.startswith(READY):
        known = prompt.id.removeprefix(READY) in case.bench
        return talk.reply(events, prompt, "ready" if known else NOT_SURE)
    value = {**case.counter, **case.bench}.get(prompt.id)
    if isinstance(value, dict) and prompt.readings:
        try:
            return talk.reply(events, prompt, value)
        except DiagnoseError:
            return talk.command(events, prompt, "skip")
    if isinstance(value, str) and value != NOT_SURE:
        return talk.reply(events, prompt, value)
    return talk.reply(events, prompt, NOT_SURE)


def _main(prompt: Prompt, case: Case) -> str:
    for answer in prompt.answers:
        symptom, state = answer.state.split("=")
        if case.counter.get(symptom) == state:
            return answer.state
    return NOT_SURE


def _confirm(prompt: Prompt, case: Case) -> str:
    """The first reading in doubt that the case confirms, else 'none'."""
    for answer in prompt.answers:
        symptom, _, state = answer.state.partition("=")
        if case.counter.get(symptom) == state:
            return answer.state
    return "none"


def _framed(prompt: Prompt, case: Case) -> list[str]:
    """All that the case names of these; not sure, where it knows none of them either way."""
    rows = [answer.state for answer in prompt.answers if "=" in answer.state]
    known = [row for row in rows if row.partition("=")[0] in case.counter]
    named = [row for row in known if case.counter[row.partition("=")[0]] == row.partition("=")[2]]
    return named or ([NONE] if known else [NOT_SURE])


def _look(prompt: Prompt, case: Case, reasoner: Reasoner) -> str:
    """The first of these answers that the case shows, or the nearest below it, else nothing."""
    lesser = NOTHING
    for answer in prompt.answers:
        check, _, state = answer.state.partition("=")
        shown = case.counter.get(check)
        if shown == state:
            return answer.state
        states = reasoner.compiled.states(reasoner.card(check).observes) if shown else ()
        if shown in states and states.index(shown) > states.index(state):
            lesser = answer.state
    return lesser


def verdicts(played: Played) -> dict[str, bool]:
    """All verdicts of a played case: ``words.stage`` .. ``bench.also``, ``top1``, ``top3``."""
    result: dict[str, bool] = {}
    for moment in ("words", "counter", "bench"):
        expected = getattr(played.case.expect, moment)
        if expected is None:
            continue
        for name, good in meets(getattr(played, moment), expected).items():
            result[f"{moment}.{name}"] = good
    truth = set(played.case.truth)
    ranked = [line.id for line in played.bench.causes]
    count = max(len(truth), 1)
    result["top1"] = not truth or bool(truth & set(ranked[:count]))
    result["top3"] = not truth or truth <= set(ranked[: count + 2])
    return result
