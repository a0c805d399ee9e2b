"""``diagnose jobs parts|promise``: where the kit is, and the day on which the shock is ready."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from diagnose.cli.context import Context
from diagnose.cli.jobs import columns, print_json
from diagnose.cli.writing import add_to, day_of, judged_now, stamp_of
from diagnose.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from diagnose.job.events import Event, Supply
    from diagnose.job.state import JobState

__all__ = ["item_named", "kit_of", "parts", "promise"]


def kit_of(context: Context, job: JobState) -> list[str]:
    """Lines of the kit: of the plan as it is judged now, and what was noted before."""
    judgement = judged_now(context, job)
    planned = [item for line in (judgement.stage, *judgement.also_stages) for item in line.kit]
    return list(dict.fromkeys([*planned, *job.kit]))


def item_named(text: str, kit: Sequence[str]) -> list[str]:
    """The line of the kit that a number, its text or a part of it names; ``all`` names all.

    Raises
    ------
    InputError : none of them, or more than one.

    >>> item_named("2", ["seal kit", "oil"]), item_named("seal", ["seal kit", "oil"])
    (['oil'], ['seal kit'])
    """
    word = text.strip().lower()
    if word == "all":
        return list(kit)
    if word.isdigit() and 1 <= int(word) <= len(kit):
        return [kit[int(word) - 1]]
    exact = [item for item in kit if item.lower() == word]
    found = exact or [item for item in kit if word and word in item.lower()]
    if len(found) == 1:
        return found
    lines = "; ".join(f"{n} {item}" for n, item in enumerate(kit, 1))
    what = "names more than one line" if found else "is no line"
    raise InputError(
        f"'{text[:40]}' {what} of the kit.",
        where="kit",
        next_step=f"Name one by its number: {lines}." if kit else "This plan needs no kit.",
    )


def parts(arguments: argparse.Namespace, context: Context) -> int:
    """Show the kit, after writing down what is here, ordered or unknown."""
    from diagnose.job.events import Stocked

    kit: list[str] = []

    def make(job: JobState) -> Sequence[Event]:
        kit.extend(kit_of(context, job))
        stamp = stamp_of(arguments, context)
        new: list[Event] = []
        given: list[tuple[Supply, list[str]]] = [
            ("have", arguments.have),
            ("order", arguments.order),
            ("unknown", arguments.unknown),
        ]
        for state, texts in given:
            for text in texts:
                name, _, day = text.partition("=") if state == "order" else (text, "", "")
                day = day_of(day, stamp["time"], "--order") if day else ""
                for item in item_named(name, kit):
                    new.append(Stocked(item=item, state=state, day=day, **stamp))
        return new

    job = add_to(arguments, context, make)
    if arguments.json:
        from diagnose.job.queue import promised_day

        lines = [{"item": item, "state": _state(job, item), "day": _day(job, item)} for item in kit]
        print_json({"job": arguments.job, "kit": lines, "promised": promised_day(job)})
        return 0
    _print_kit(kit, job, context.clock())
    return 0


def _state(job: JobState, item: str) -> str:
    return job.kit[item].state if item in job.kit else "unknown"


def _day(job: JobState, item: str) -> str:
    return job.kit[item].day if item in job.kit else ""


def _print_kit(kit: Sequence[str], job: JobState, now: str) -> None:
    from diagnose.job.queue import clock_words
    from diagnose.reports.wrapping import wrapped

    width = columns()
    for number, item in enumerate(kit, 1):
        day = _day(job, item)
        until = f", expected {clock_words(day, now)}" if day else ""
        text = f"{item}: {_state(job, item)}{until}"
        print("\n".join(wrapped(text, width, f"{number:>2}  ", "    ")))
    if not kit:
        print("This plan needs no kit.")
    print("\n".join(wrapped(_promise_words(job, now), width)))


def _promise_words(job: JobState, now: str) -> str:
    from diagnose.job.queue import clock_words, promised_day

    day = promised_day(job)
    if not day:
        return "No day is promised: diagnose jobs promise JOB DAY."
    if day != job.promised:
        told = clock_words(job.promised, now)
        return f"Promised for {told}; parts on order move it to {clock_words(day, now)}. Call."
    return f"Promised for {clock_words(day, now)}."


def promise(arguments: argparse.Namespace, context: Context) -> int:
    """Write down the day that the customer was told."""
    from diagnose.job.events import Promised
    from diagnose.job.queue import promised_day
    from diagnose.reports.wrapping import wrapped

    stamp = stamp_of(arguments, context)
    day = "" if arguments.day == "none" else day_of(arguments.day, stamp["time"], "DAY")
    job = add_to(arguments, context, lambda job: [Promised(day=day, **stamp)])
    if arguments.json:
        print_json({"job": arguments.job, "told": day, "promised": promised_day(job)})
        return 0
    print("\n".join(wrapped(_promise_words(job, stamp["time"]), columns())))
    return 0
