"""The check list: checks worth doing, done together with gloves on, their results typed at once.

Rules
-----
- A list holds only checks that do nothing to the shock and wait for no key: whatever changes a
  chamber, or needs its cautions acknowledged, is done one by one, with the program.
- A list has a number: how many events the job had when it was made. The same number gives the same
  list again, whatever was learned since, so that paper and program cannot fall apart.
- All results are read before the first of them counts.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from diagnose.bench.typed import with_unit
from diagnose.conversation.guarding import Desk, held, what_forbids
from diagnose.conversation.prompts import OTHER, Prompt
from diagnose.conversation.questions import ask
from diagnose.errors import InputError
from diagnose.job.events import NOT_SURE, Event
from diagnose.job.state import fold
from diagnose.knowledge.models import Check
from diagnose.reasoning.options import find_card
from diagnose.reasoning.reasoner import View
from diagnose.reasoning.weighing import situation_of
from diagnose.strategy.lookahead import advise
from diagnose.symptom_graph.routes import check_deed

__all__ = ["Result", "check_list", "letter", "read_line", "read_named", "read_one", "worth_doing"]

#: checks on one list: more than that and somebody loses the thread (a foreman's judgement)
_MOST = 8

#: what a check must save by itself, were it free, to be worth a line [share of its price]
_LEAST = 0.1

#: between two results: a comma in a number is followed by a digit, not by a blank
_BETWEEN = re.compile(r"\s*;\s*|\s*,\s+(?=\d+\s)")
_ONE = re.compile(r"(\d+)[.:)]?\s+(.+)")


@dataclass(frozen=True)
class Result:
    """One line of a list as it was typed: ``value`` a state or readings by name."""

    prompt: Prompt
    value: object
    words: str


def letter(number: int) -> str:
    """The letter of an answer on paper, counted from 0: a reading can never be taken for it.

    >>> letter(1)
    'b'
    """
    return "abcdefghijklmnopqrstuvwxyz"[number]


def worth_doing(view: View) -> list[str]:
    """Questions and checks that still tell something, best first."""
    options = view.advice.options
    if not options:
        return []
    # Each as if it were the only one: the advice looks further ahead from its best few only, so
    # that beside them no other would seem to tell anything.
    alone = advise(situation_of(view.decision, options), ahead=1)
    prices = np.array([option.whole_price for option in options])
    tells = alone.stop_cost - (alone.values - prices) >= _LEAST * prices
    order = np.argsort(alone.values, kind="stable")
    # A check that tells of several findings is an option for each.
    best = list(dict.fromkeys(options[n].id for n in order.tolist() if tells[n]))
    first = view.advice.step
    return best if first is None else [first, *(ident for ident in best if ident != first)]


def check_list(desk: Desk, events: Sequence[Event], person: str = "") -> tuple[Prompt, ...]:
    """The checks of a list made after these events; empty where nothing is worth a line."""
    view = desk.reasoner.view(replace(fold(events), at="bench"))
    prompts: list[Prompt] = []
    for ident in worth_doing(view):
        card = find_card(desk.reasoner.compiled, ident)
        if not isinstance(card, Check) or len(prompts) == _MOST:
            continue
        deed = check_deed(desk.reasoner.knowledge, card)
        if (
            deed.effects
            or what_forbids(desk, view, deed)
            or held(desk, deed, view.job, person) is not None
        ):
            continue
        prompt = ask(desk, view, ident, person)
        states = {answer.state for answer in card.answers}
        own = tuple(a for a in prompt.answers if a.state in states or a.state.startswith(OTHER))
        prompts.append(replace(prompt, answers=own, why=card.name))
    return tuple(prompts)


def read_line(typed: str, prompts: Sequence[Prompt]) -> list[Result]:
    """Results from one line, such as ``1 b, 2 165 psi, 3 ?``.

    Raises
    ------
    InputError : a number that the list does not have, or a result that does not fit its line.
    """
    results: dict[int, Result] = {}
    for part in filter(None, _BETWEEN.split(typed.strip())):
        found = _ONE.fullmatch(part.strip())
        if found is None or not 1 <= int(found[1]) <= len(prompts):
            raise InputError(
                f"'{part[:40]}' names no line of the list.",
                next_step=f"A number from 1 to {len(prompts)}, a blank, the result: 1 b, 2 165 psi",
            )
        number = int(found[1])
        if number in results:
            raise InputError(f"line {number} has two results.", next_step="Give each once.")
        result = read_one(found[2], prompts[number - 1], where=f"line {number}")
        if result is not None:
            results[number] = result
    return list(results.values())


def read_named(typed: Mapping[str, object], prompts: Sequence[Prompt]) -> list[Result]:
    """Results by the ids of their checks: a state, or readings by name.

    Raises
    ------
    InputError : a check that the list does not have.
    """
    listed = {prompt.id: prompt for prompt in prompts}
    unknown = [ident for ident in typed if ident not in listed]
    if unknown:
        raise InputError(
            f"'{unknown[0][:40]}' is not on the list.",
            next_step=f"It has: {', '.join(listed) or 'nothing'}.",
        )
    return [Result(listed[ident], value, str(value)) for ident, value in typed.items()]


def read_one(typed: str, prompt: Prompt, where: str = "") -> Result | None:
    """One result: a letter, ``?`` for not sure, readings with `/` between; None for ``-``.

    Raises
    ------
    InputError : none of these; says what the line takes.
    """
    word = typed.strip()
    if word == "-":
        return None
    if word == "?":
        return Result(prompt, NOT_SURE, "not sure")
    letters = {letter(n): answer for n, answer in enumerate(prompt.answers)}
    if word.lower() in letters:
        answer = letters[word.lower()]
        return Result(prompt, answer.state, answer.text)
    if prompt.readings and any(sign.isdigit() for sign in word):
        values = [part.strip() for part in word.split("/")]
        if len(values) <= len(prompt.readings):
            pairs = zip(prompt.readings, values, strict=False)
            typed_in = {r.name: with_unit(value, r.unit) for r, value in pairs if value}
            return Result(prompt, typed_in, ", ".join(typed_in.values()))
    takes = [f"{key} {answer.text}" for key, answer in letters.items()]
    if prompt.readings:
        takes.append(" / ".join(f"{r.text} [{r.unit}]" for r in prompt.readings))
    raise InputError(
        f"'{word[:40]}' is no result of '{prompt.why}'.",
        where=where,
        next_step=f"It takes: {'; '.join(takes)}; ? not sure; - not done.",
    )
