"""A Judgement as plain text at any width: what the counter reads out and the job sheet begins with.

Rules
-----
- Words before numbers; a caution stands whole, with its signal word, before what it guards.
- Nothing is cut and nothing runs over: a word that is too long goes on in the next line.
- Characters that could steer the terminal are shown as a replacement sign.
"""

from __future__ import annotations

import shutil

from diagnose.reasoning.judgement import CautionLine, Judgement, NextStep, StageLine
from diagnose.reasoning.wording import RIDE_WORDS, chance_word
from diagnose.reports.wrapping import wrapped

__all__ = ["judgement_text", "wrapped"]


def caution_block(caution: CautionLine, width: int) -> list[str]:
    """One caution, whole; the alert sign only where a person can be hurt (ANSI Z535.6)."""
    sign = "" if caution.signal_word == "NOTICE" else "/!\\ "
    return wrapped(caution.text, width, f"{sign}{caution.signal_word}: ", "    ")


def stage_block(stage: StageLine, width: int, title: str) -> list[str]:
    """One outcome of the plan."""
    lines = wrapped(f"{title}{stage.name}", width)
    money = f"about {stage.minutes:.0f} min, parts about {stage.parts:.0f} {stage.currency}"
    lines += [] if stage.within else wrapped(money, width, "  ")
    lines += wrapped(stage.reason, width, "  ")
    if stage.kit:
        lines += wrapped(f"kit: {', '.join(stage.kit)}", width, "  ")
    return lines


def step_block(step: NextStep, width: int) -> list[str]:
    """The next step, its cautions first."""
    lines: list[str] = []
    for caution in step.cautions:
        lines += caution_block(caution, width)
    kind = {
        "ask": "Ask",
        "check": "Check",
        "book_inspection": "Book an inspection",
        "done": "Done",
    }[step.kind]
    lines += wrapped(f"{kind}: {step.question or step.why}", width)
    for answer in step.answers:
        lines += wrapped(answer.text, width, f"  {answer.key}  ")
    for reading in step.readings:
        extra = " (optional)" if reading.optional else ""
        lines += wrapped(f"{reading.text} [{reading.unit}]{extra}", width, "  - ")
    if step.question and step.why:
        lines += wrapped(step.why, width, "  why: ")
    return lines


def judgement_text(judgement: Judgement, width: int | None = None, most: int = 6) -> str:
    """The whole judgement."""
    width = width or min(shutil.get_terminal_size((80, 24)).columns, 100)
    out: list[str] = []
    ride = f"[ {RIDE_WORDS[judgement.ride_shown]} ]"
    out += [ride, *wrapped(judgement.ride_reason, width, "  "), ""]
    for caution in judgement.cautions:
        out += caution_block(caution, width)
    out += [""] if judgement.cautions else []
    if judgement.symptoms:
        out.append("Understood and seen")
        for row in judgement.symptoms:
            words = f" ('{row.words}')" if row.words else ""
            denied = "denied: " if row.denied else ""
            out += wrapped(f"{denied}{row.id}: {row.text}{words}", width, "  - ")
        out.append("")
    out.append("What it may be")
    for cause in judgement.causes[:most]:
        word = chance_word(cause.probability)
        out += wrapped(f"{cause.name} - {word} ({cause.probability:.0%})", width, "  - ")
    out.append("")
    out += stage_block(judgement.stage, width, "Plan: ")
    for stage in judgement.also_stages:
        out += stage_block(stage, width, judgement.beside(stage))
    span = judgement.range
    low, high = span.named
    spread = low if low == high else f"{low} to {high}"
    # Nothing is opened under a sign, so there is nothing to name a price for.
    price = "" if judgement.shut else f" Price: {span.told}."
    out += wrapped(f"Plausible: {spread}.{price}", width)
    out.append("")
    if judgement.surprise.suspects:
        names = " or ".join(judgement.surprise.suspects)
        out += wrapped(f"The answers do not fit one another; look again at {names}.", width)
    for text in judgement.would_change:
        out += wrapped(f"Would change the call: {text}", width, "  ")
    out += ["", *step_block(judgement.next_step, width)]
    for warning in judgement.warnings:
        out += wrapped(f"Note: {warning}", width)
    return "\n".join(out).rstrip() + "\n"
