"""What a session shows: its choices in words, each with its minutes, and the cautions of a step."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from diagnose.conversation.prompts import Prompt
from diagnose.errors import InputError
from diagnose.knowledge.models import Check
from diagnose.reasoning.judgement import AnswerLine, caution_lines
from diagnose.reasoning.reasoner import View
from diagnose.symptom_graph.cautions import cautions_of
from diagnose.training.calling import MORE
from diagnose.training.menu import OPEN, everything
from diagnose.training.moment import LOOK, Coach, Moment

__all__ = ["CALL", "HINT", "caution_prompt", "find", "name_of", "said", "ticket", "work_prompt"]

CALL, HINT = "call", "hint"

#: minutes from which a choice names them; a glance or a question costs less
_WORTH_NAMING = 1.0

#: endings of the fields of a shock that are units
_UNITS = frozenset({"mm", "kg", "cc", "years"})

#: letters from which typed words look for what they name, and how many of several are named
_LEAST_TYPED, _NAMED = 3, 6


def name_of(coach: Coach, ident: str) -> str:
    """A choice in words."""
    if ident == LOOK:
        return "Look over the five places"
    if ident.startswith(OPEN):
        return f"Open it: {coach.knowledge.stages[ident.removeprefix(OPEN)].name}"
    if ident == CALL:
        return "Make the call"
    card = coach.card(ident)
    if not isinstance(card, Check):
        return f"Ask: {card.question}"
    how = "Look" if card.at == "counter" else "Check" if card.reading is None else "Measure"
    return f"{how}: {card.name}"


def said(name: str, told: str) -> str:
    """A choice and what it brought, as one line.

    >>> said("Ask: Since when?", "Today")
    'Ask: Since when? Today'
    >>> said("Look: slider", "Dry")
    'Look: slider: Dry'
    """
    if not told:
        return name
    return f"{name} {told}" if name.endswith("?") else f"{name}: {told}"


def ticket(shock: Mapping[str, object]) -> str:
    """What is known of the shock itself, in words; empty: nothing.

    >>> ticket({"lockout": True, "piggyback": False, "hours_since_air_service": 40.7})
    'On the ticket: lockout, no piggyback, hours since air service 41.'
    >>> ticket({"stroke_mm": 55, "set_pressure": "165 psi"})
    'On the ticket: stroke 55 mm, set pressure 165 psi.'
    """
    words = []
    for field, value in shock.items():
        name, _, unit = field.rpartition("_")
        if unit not in _UNITS:
            name, unit = field, ""
        name = name.replace("_", " ")
        if str(value).lower() in ("true", "false", "yes", "no"):
            words.append(name if str(value).lower() in ("true", "yes") else f"no {name}")
        elif isinstance(value, (int, float)):
            words.append(f"{name} {value:.0f} {unit}".strip())
        else:
            words.append(f"{name} {value}")
    return f"On the ticket: {', '.join(words)}." if words else ""


def find(moment: Moment, typed: str) -> str:
    """The one thing to do whose name holds all these words; what was typed if there is none.

    Raises
    ------
    InputError : several do; names them.
    """
    words = typed.casefold().split()
    if len(typed) < _LEAST_TYPED:
        return typed
    names = {ident: name_of(moment.coach, ident) for ident in everything(moment)}
    found = [i for i, name in names.items() if all(word in name.casefold() for word in words)]
    # A whole name is meant as it stands, though others may hold it.
    whole = [i for i in found if f": {' '.join(words)}\n" in f": {names[i].casefold()}\n"]
    if len(whole or found) > 1:
        listed = "; ".join(names[ident] for ident in found[:_NAMED])
        more = "; and others" if len(found) > _NAMED else ""
        raise InputError(
            f"'{typed[:40]}' fits several: {listed}{more}.", next_step="Type more of its words."
        )
    return next(iter(whole or found), typed)


def work_prompt(coach: Coach, view: View, complaint: str, idents: Sequence[str]) -> Prompt:
    """What can be done next; 8 and 9 mean the same on every sheet.

    Parameters
    ----------
    complaint : how it came in, before the first move, else empty. idents : choices, in order.
    """
    lines = [_line(coach, ident, str(key)) for key, ident in enumerate(idents, 1)]
    lines += [
        AnswerLine(key="8", state=CALL, text="Make the call"),
        AnswerLine(key="9", state=MORE, text="Other things to do"),
        AnswerLine(key="+", state=HINT, text="A hint, at a price"),
    ]
    ident, text = ("what_first", complaint) if complaint else ("what_next", "What next?")
    cards = [coach.knowledge.cautions[ident] for ident in view.belief.first_words]
    first = tuple(caution_lines(cards)) if complaint else ()
    return Prompt("question", ident, text, answers=tuple(lines), first_words=first)


def _line(coach: Coach, ident: str, key: str) -> AnswerLine:
    name = name_of(coach, ident)
    card = coach.knowledge.checks.get(ident)
    minutes = 0.0 if card is None else card.minutes
    if ident.startswith(OPEN):
        stage = coach.knowledge.stages[ident.removeprefix(OPEN)]
        minutes = stage.minutes + stage.opening_minutes
    text = f"{name}, {minutes:.0f} min" if minutes >= _WORTH_NAMING else name
    return AnswerLine(key=key, state=ident, text=text, means="" if card is None else card.at)


def caution_prompt(
    coach: Coach, ident: str, hazards: Sequence[str], waiting: Sequence[str]
) -> Prompt:
    """The cautions of a step, whole, before it is done.

    Parameters
    ----------
    hazards : of the step. waiting : those that are not acknowledged yet.
    """
    cards = cautions_of(coach.knowledge, hazards)
    return Prompt(
        "caution",
        ident,
        f"This comes before “{name_of(coach, ident)}”.",
        answers=(
            AnswerLine(key="7", state="acknowledged", text="Read and understood: do it"),
            AnswerLine(key="9", state="leave_out", text="Leave it out"),
        ),
        cautions=tuple(caution_lines(cards)),
        acknowledge=tuple(waiting),
    )
