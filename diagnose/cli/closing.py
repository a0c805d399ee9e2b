"""``diagnose jobs close``: what was really found, in under a minute; without questions by options.

Rules
-----
- A digit is an answer, several digits are several causes; Enter takes what is proposed.
- A test that does not pass closes nothing: what was found is kept, and the job is open again.
- Nothing is stored before the last answer.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from diagnose.cli.context import Context
from diagnose.cli.jobs import print_json, store
from diagnose.cli.passing import check_comeback
from diagnose.cli.writing import refuse_closed
from diagnose.errors import InputError
from diagnose.nearest import nearest

if TYPE_CHECKING:
    from diagnose.job.events import Ended, Event
    from diagnose.job.state import JobState
    from diagnose.knowledge.loader import Knowledge
    from diagnose.reasoning.judgement import Judgement

__all__ = ["Ending", "close", "ending_events", "read_found"]

#: most causes offered with a digit of their own
_OFFERED = 7

#: words for what has no card of its own -> how it is stored
_SPECIAL = {"none_of_these": ["unlisted"], "nothing": [], "not_looked": ["not_looked"]}

#: endings without our repair in which nothing was done to it
_NOTHING_DONE = ("not_wanted", "not_collected")

_TESTS = {"1": "passed", "2": "failed", "3": "not_repeated", "": "not_repeated"}
_CURED = {"passed": True, "failed": False, "not_repeated": None}


@dataclass(frozen=True)
class Ending:
    """What is known at the end. ``test``: passed | failed | not_repeated; ``left``: as left;
    ``ended``: how it ended if not by our repair.
    """

    found: tuple[str, ...]
    words: str = ""
    stage: str = ""
    minutes: float | None = None
    parts: float | None = None
    test: str = "not_repeated"
    comeback_of: str = ""
    ended: Ended = ""
    left: dict[str, str] = field(default_factory=dict)


def close(arguments: argparse.Namespace, context: Context) -> int:
    """Run the command."""
    from diagnose.job.state import fold
    from diagnose.reasoning.judgement import judge

    with store(arguments, context) as jobs:
        events = jobs.load(arguments.job)
        job = fold(events)
        refuse_closed(arguments.job, job)
        judgement = judge(context.reasoner, context.reasoner.view(job))
        if arguments.comeback_of:
            check_comeback(jobs, arguments.job, arguments.comeback_of)
        if arguments.found is None and not arguments.ended:
            ending = _ask(arguments, context.knowledge, judgement)
        else:
            ending = _given(arguments, context.knowledge, judgement)
        new = ending_events(ending, judgement, job, context.clock(), arguments.person)
        jobs.append(arguments.job, len(events), new)
    reopened = ending.test == "failed"
    if arguments.json:
        print_json(
            {
                "job": arguments.job,
                "state": "bench" if reopened else "closed",
                "found": list(ending.found),
                "stage": ending.stage,
                "ended": ending.ended,
            }
        )
    elif reopened:
        print(f"Not cured: job {arguments.job} is open again: diagnose bench {arguments.job}")
    elif ending.ended:
        print(f"Job {arguments.job} is closed as {ending.ended.replace('_', ' ')}.")
    else:
        print(f"Job {arguments.job} is closed. The card: diagnose jobs handover {arguments.job}")
    return 0


def ending_events(
    ending: Ending, judgement: Judgement, job: JobState, time: str, person: str
) -> list[Event]:
    """Events that an ending adds: the last call, what was used, the closing; open again if the
    complaint's own test did not pass."""
    from diagnose.job.events import Closed, Filed, Judged, Withdrawn
    from diagnose.job.facts import Facts

    stamp: dict[str, Any] = {"time": time, "person": person}
    new: list[Event] = []
    shown = judgement.kept()
    if job.last_judged != shown:
        new.append(Judged(judgement=shown, **stamp))
    facts = Facts(
        parts_cost=ending.parts,
        comeback_of=ending.comeback_of or None,
        as_left=dict(ending.left) or None,
        not_cured=(job.facts.not_cured or 0) + 1 if ending.test == "failed" else None,
    )
    if facts.known():
        new.append(Filed(facts=facts, **stamp))
    new.append(
        Closed(
            found=list(ending.found),
            words=ending.words,
            stage=ending.stage,
            minutes=ending.minutes,
            cured=_CURED[ending.test],
            ended=ending.ended,
            **stamp,
        )
    )
    if ending.test == "failed":
        new.append(Withdrawn(number=job.count + len(new) - 1, **stamp))
    return new


def read_found(text: str, knowledge: Knowledge, offered: Sequence[str] = ()) -> tuple[str, ...]:
    """Causes from ids, names, special words, or digits of what was offered.

    Raises
    ------
    InputError : not one of them; names the nearest.
    """
    word = text.strip()
    if offered and word.isdigit():
        wrong = [digit for digit in word if not 1 <= int(digit) <= len(offered)]
        if wrong:
            raise InputError(f"there is no answer {wrong[0]}.", next_step="Use the digits shown.")
        chosen = dict.fromkeys(offered[int(digit) - 1] for digit in word)
    else:
        chosen = dict.fromkeys(_named(part.strip(), knowledge) for part in word.split(","))
    specials = [name for name in chosen if name in _SPECIAL]
    if specials and len(chosen) > 1 and specials != ["none_of_these"]:
        raise InputError(f"'{specials[0].replace('_', ' ')}' goes with nothing else.")
    return tuple(ident for name in chosen for ident in _SPECIAL.get(name, [name]))


def _named(word: str, knowledge: Knowledge) -> str:
    ident = word.lower().replace(" ", "_")
    if ident in knowledge.causes or ident in _SPECIAL:
        return ident
    names = {card.name.lower(): card.id for card in knowledge.causes.values()}
    if word.lower() in names:
        return names[word.lower()]
    raise InputError(
        f"'{word[:40]}' is no cause.",
        where="found",
        next_step=nearest(
            ident, [*knowledge.causes, *_SPECIAL], otherwise="Use none_of_these and words."
        ),
    )


def _given(arguments: argparse.Namespace, knowledge: Knowledge, judgement: Judgement) -> Ending:
    ended = arguments.ended
    if ended and arguments.test == "failed":
        raise InputError(
            "what did not pass its test is open again, not closed.",
            where="--test",
            next_step="Leave --test out, or --as.",
        )
    outcomes = knowledge.device.stages
    usual = outcomes.nothing if ended in _NOTHING_DONE else outcomes.refer
    stage = arguments.stage or (usual if ended else judgement.stage.id)
    if stage not in knowledge.stages:
        raise InputError(
            f"'{stage}' is no stage.",
            where="--stage",
            next_step=f"Stages: {', '.join(knowledge.stages)}.",
        )
    # Nobody looked, unless it is said what was found: statistics must not take it for a repair.
    found = read_found(arguments.found or "not_looked", knowledge)
    if "unlisted" in found and not arguments.words:
        raise InputError("none of these needs words.", where="--words")
    return Ending(
        found,
        arguments.words,
        stage,
        arguments.minutes,
        arguments.parts,
        arguments.test,
        arguments.comeback_of,
        ended,
    )


def _ask(arguments: argparse.Namespace, knowledge: Knowledge, judgement: Judgement) -> Ending:
    causes = [c for c in judgement.causes if c.id in knowledge.causes][:_OFFERED]
    offered = [*(c.id for c in causes), "none_of_these", "nothing"]
    names = [*(c.name for c in causes), "none of these", "nothing was wrong"]
    print("What was really found? Several: type their digits, or a cause's name.")
    for number, name in enumerate(names, 1):
        print(f"  {number}  {name}")
    print("  0  nobody looked (not wanted, not collected, referred)")
    found = _until(
        lambda text: read_found("not_looked" if text == "0" else text, knowledge, offered)
    )
    words = arguments.words
    while "unlisted" in found and not words:
        words = _line("In words, what was it? ")
    stage = _stage(knowledge, judgement.stage.id)
    minutes = _number("Minutes", judgement.stage.minutes)
    parts = _number(f"Parts, {judgement.range.currency}", judgement.stage.parts)
    print("The complaint's own test, repeated:  1 passed  2 did not pass  3 not repeated")
    test = _until(lambda text: _TESTS[text])
    left = {
        name: text
        for name in ("air pressure", "sag", "rebound clicks from closed")
        if (text := _line(f"As left, {name} (Enter: not noted): "))
    }
    return Ending(found, words, stage, minutes, parts, test, arguments.comeback_of, "", left)


def _line(question: str) -> str:
    print(question, end="", flush=True)
    text = sys.stdin.readline()
    if not text:
        raise InputError(
            "the answers ended before the job was closed.",
            next_step="Nothing was stored; close it again.",
        )
    return text.strip()


def _until(reading: Any) -> Any:
    """The first answer that can be read."""
    while True:
        text = _line("> ")
        try:
            return reading(text)
        except KeyError:
            print(f"'{text[:20]}' is not one of the answers.")
        except InputError as error:
            print(error)


def _stage(knowledge: Knowledge, proposed: str) -> str:
    stages = list(knowledge.stages)
    rows = "  ".join(f"{n} {knowledge.stages[s].name}" for n, s in enumerate(stages, 1))
    print(f"What was done? Enter: {knowledge.stages[proposed].name}\n  {rows}")
    keys = {str(n): s for n, s in enumerate(stages, 1)} | {"": proposed}
    return str(_until(lambda text: keys[text]))


def _number(name: str, proposed: float) -> float:
    print(f"{name}? Enter: {proposed:.0f}")

    def reading(text: str) -> float:
        try:
            value = float(text.replace(",", ".")) if text else proposed
        except ValueError:
            raise InputError(f"'{text[:20]}' is no number.") from None
        if not 0 <= value < 100_000:
            raise InputError(f"{text} is not believable.")
        return value

    return float(_until(reading))
