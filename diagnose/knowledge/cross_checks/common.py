"""What all checks between cards share: the nearest names, chances, answers, links."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from diagnose.errors import Problem
from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import Sourced
from diagnose.nearest import nearest

__all__ = ["Where", "answer_problem", "chance_problem", "link_problems", "near", "need_hint"]

#: place inside a card
Where = tuple[str | int, ...]


def near(ident: str, known: Iterable[str]) -> str:
    """A hint: the ids nearest to one that leads nowhere."""
    return nearest(ident, known, otherwise="Write that card or correct the id.")


def need_hint(need: str, equipment: Iterable[str]) -> str:
    """A hint for what the shop would need and the pack does not list."""
    return f"{near(need, equipment)} What is new goes into 'equipment' of pack.yaml first."


def chance_problem(knowledge: Knowledge, value: object) -> str:
    """Empty if the value is a chance, else what is wrong with it."""
    if isinstance(value, Sourced):
        value = value.value
    if isinstance(value, str):
        if value in knowledge.pack.scale:
            return ""
        return f"'{value}' is neither a number nor a word of the scale."
    if isinstance(value, (int, float)) and 0.0 < value < 1.0:
        return ""
    return f"{value} is no chance: it must lie between 0 and 1, both excluded."


def link_problems(
    knowledge: Knowledge,
    value: object,
    finding: str,
    path: Where,
    at: Callable[[Where, str, str], Problem],
) -> Iterator[Problem]:
    """Chances of a finding: each is one, of a state that there is, and falls with severity."""
    states = knowledge.findings[finding].states[1:]
    if not isinstance(value, dict):
        if wrong := chance_problem(knowledge, value):
            yield at(path, wrong, "")
        return
    last = 1.0
    for state, chance in value.items():
        if state not in states:
            yield at((*path, state), f"'{finding}' has no state '{state}'.", near(state, states))
        elif wrong := chance_problem(knowledge, chance):
            yield at((*path, state), wrong, "")
    for state in states:
        if state in value and not chance_problem(knowledge, value[state]):
            number = knowledge.chance(value[state])
            if number > last:
                yield at(
                    (*path, state),
                    f"'at least {state}' is likelier than a milder state.",
                    "Chances of at least a state fall with severity.",
                )
            last = number


def answer_problem(knowledge: Knowledge, ask: str, state: str) -> str:
    """Empty if a symptom or check has this answer, else what is wrong with it."""
    card = knowledge.symptoms.get(ask) or knowledge.checks.get(ask)
    if card is None:
        hint = near(ask, {**knowledge.symptoms, **knowledge.checks})
        return f"example answers '{ask}', which is no symptom or check. {hint}"
    states = [answer.state for answer in card.answers]
    if state not in states:
        return f"example answers {ask} with '{state}'; its states: {', '.join(states)}."
    return ""
