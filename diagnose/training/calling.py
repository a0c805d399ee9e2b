"""The call at the end: what is asked for it, which answers there are, and what it was worth."""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping, Sequence

from diagnose.belief.compiled import UNLISTED
from diagnose.errors import InputError
from diagnose.knowledge.loader import Knowledge
from diagnose.reasoning.judgement import AnswerLine
from diagnose.strategy.plans import included
from diagnose.training.moment import Coach, Moment
from diagnose.training.scoring import Call

__all__ = [
    "BACK",
    "MORE",
    "NONE",
    "NO_FAULT",
    "QUESTIONS",
    "RIDES",
    "allowed",
    "answer_words",
    "call_answers",
    "call_of",
    "named_in",
    "percent",
]

MORE, BACK, NONE, NO_FAULT = "more", "back", "none", "no_fault"

#: ride verdicts from the laxest to the strictest, in the apprentice's words
RIDES: dict[str, str] = {
    "ride": "Ride: no reason found to stop",
    "ride_gently": "Ride gently",
    "stop_riding": "Stop riding",
}

#: parts of the call in the order in which they are asked
QUESTIONS: dict[str, str] = {
    "stage": "What has to be done?",
    "also": "Anything else beside it?",
    "cause": "What is the cause?",
    "second": "Is there a second cause?",
    "ride": "May it be ridden as it came in?",
    "sure": "How sure are you of the cause, in per cent?",
}

#: what calling a ride one step too strictly costs, in comebacks
_TOO_STRICT = 0.1

#: what one may say of one's own sureness, in percent: finer than people can tell apart is noise
_SURE = (50, 60, 70, 80, 90, 95, 99)

#: suspects on one sheet
_SUSPECTS = 6


def allowed(coach: Coach, part: str, called: Mapping[str, str]) -> set[str]:
    """All that may be answered, whether it is on this sheet or not."""
    if part in ("cause", "second"):
        known = {*coach.compiled.causes, NO_FAULT if part == "cause" else NONE}
        return known - {called.get("cause", "")}
    return {answer.state for answer in call_answers(coach, part, called, (), 0, 0)}


def answer_words(coach: Coach, part: str, called: Mapping[str, str], chosen: str) -> str:
    """What was answered to one part, in words."""
    if part == "sure":
        return f"{chosen} %"
    if chosen in coach.knowledge.causes:
        return coach.knowledge.causes[chosen].name
    answers = call_answers(coach, part, called, (), 0, 0)
    return next(answer.text for answer in answers if answer.state == chosen)


def call_answers(
    coach: Coach,
    part: str,
    called: Mapping[str, str],
    ranked: Sequence[str],
    sheet: int,
    seed: int,
) -> tuple[AnswerLine, ...]:
    """Answers of one part, keyed.

    Parameters
    ----------
    called : parts answered so far. ranked : causes by what the evidence says; each sheet is
    shuffled, so that its order gives nothing away. No key moves when a list gets shorter.
    """
    knowledge = coach.knowledge
    match part:
        case "stage":
            return _keyed(_work(knowledge))
        case "also":
            named = called["stage"]
            # What is left of the list keeps its numbers; the one that was named already says no.
            return tuple(
                answer.model_copy(update={"state": NONE, "text": "Nothing else"})
                if answer.state == named
                else answer
                for answer in _keyed(_work(knowledge))
                if answer.state == named or _beside(knowledge, named, answer.state)
            )
        case "cause" | "second":
            return _suspects(coach, part, called, ranked, sheet, seed)
        case "ride":
            return _keyed(RIDES.items())
        case _:
            return _keyed((str(value), f"{value} %") for value in _SURE)


def _keyed(rows: Iterable[tuple[str, str]]) -> tuple[AnswerLine, ...]:
    return tuple(AnswerLine(key=str(n), state=i, text=t) for n, (i, t) in enumerate(rows, 1))


def _work(knowledge: Knowledge) -> list[tuple[str, str]]:
    """All that can be called, the smallest first: outcomes, each after its small jobs."""

    def size(sheet: str) -> tuple[int, bool, str]:
        return knowledge.stages[knowledge.stage_of(sheet)].rank, sheet in knowledge.stages, sheet

    return [(sheet, knowledge.sheets[sheet].name) for sheet in sorted(knowledge.sheets, key=size)]


def _beside(knowledge: Knowledge, named: str, other: str) -> bool:
    """Whether two things are called beside one another: neither holds the other."""
    stage_of = knowledge.stage_of
    if other == knowledge.device.stages.shut:
        return not knowledge.sheets[named].opens
    mine, its = included(knowledge, named), included(knowledge, other)
    apart = not {named, stage_of(named)} & its and not {other, stage_of(other)} & mine
    return apart and stage_of(named) != stage_of(other)


def _suspects(
    coach: Coach,
    part: str,
    called: Mapping[str, str],
    ranked: Sequence[str],
    sheet: int,
    seed: int,
) -> tuple[AnswerLine, ...]:
    """A sheet of causes from 1; the three last keys mean the same on every sheet."""
    left = [c for c in ranked if c not in (UNLISTED, called.get("cause"))]
    start = _SUSPECTS * (sheet % max(-(-len(left) // _SUSPECTS), 1))
    shown = left[start : start + _SUSPECTS]
    random.Random(f"{seed}:{part}:{start}").shuffle(shown)
    last = [("8", NO_FAULT, "Nothing is wrong with it")]
    if part == "second":
        last = [("8", NONE, "No other")]
    if called.get("cause") != UNLISTED:
        last.insert(0, ("7", UNLISTED, "None of these"))
    last.append(("9", MORE, "Other causes"))
    rows = [(str(n), c, coach.knowledge.causes[c].name) for n, c in enumerate(shown, 1)]
    return tuple(AnswerLine(key=key, state=i, text=t) for key, i, t in [*rows, *last])


def percent(word: str) -> float:
    """A typed confidence in per cent.

    Raises
    ------
    InputError : no number, another unit, or not from 1 to 99.
    """
    number = word.removesuffix("%").strip().replace(",", ".")
    try:
        value = float(number)
    except ValueError:
        value = float("nan")
    keyed = {str(n): float(value) for n, value in enumerate(_SURE, 1)}
    if number in keyed and not word.endswith("%"):
        return keyed[number]
    if not 1.0 <= value <= 99.9:
        raise InputError(
            f"'{word[:20]}' is no confidence in per cent.",
            where="sure",
            next_step="Type per cent, for instance 85 %; nothing is certain.",
        )
    return value


def named_in(called: Mapping[str, str]) -> tuple[str, ...]:
    """Causes that were named so far."""
    parts = (called.get(part, NONE) for part in ("cause", "second"))
    return tuple(cause for cause in parts if cause not in (NONE, NO_FAULT))


def call_of(moment: Moment, called: Mapping[str, str], truth: Sequence[str]) -> Call:
    """A whole call beside what the evidence warranted.

    Parameters
    ----------
    called : every part with its answer.
    """
    work = tuple(s for s in (called["stage"], called["also"]) if s != NONE)
    causes, best_ride, order = named_in(called), moment.view.belief.ride.verdict, list(RIDES)
    stricter = max(order.index(called["ride"]) - order.index(best_ride), 0)
    return Call(
        work=work,
        causes=causes,
        ride=called["ride"],
        sure=float(called["sure"]) / 100.0,
        best_work=moment.call,
        best_ride=best_ride,
        work_regret=moment.call_regret(work),
        ride_regret=stricter * _TOO_STRICT * moment.coach.money.comeback,
        chance=moment.chance_of(causes),
        right=set(causes) <= set(truth) if causes else not truth,
    )
