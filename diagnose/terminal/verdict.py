"""How a judgement looks: the call first, then what it rests on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagnose.cells import Line, wrap
from diagnose.reasoning.wording import RIDE_WORDS, percent
from diagnose.terminal.door import Block
from diagnose.terminal.parts import (
    Suspect,
    boxed,
    caution_blocks,
    heading,
    suspect_blocks,
    text_block,
)

if TYPE_CHECKING:
    from diagnose.reasoning.judgement import Judgement, StageLine

__all__ = ["call_blocks", "detail_blocks"]

#: causes shown at least, and the chance from which more are shown
_SHOWN, _WORTH_SHOWING = 3, 0.05


def call_blocks(judgement: Judgement, width: int, *, plain: bool) -> list[Block]:
    """Ride verdict and plan: what somebody must be able to say at once."""
    words = RIDE_WORDS[judgement.ride_shown]
    if plain:
        ride = wrap([("box", f"Ride verdict: {words}")], width)
    else:
        ride = boxed(words, "box", width)
    ride += wrap([("", judgement.ride_reason)], width, "  ")
    blocks = [Block(tuple(ride)), _stage(judgement.stage, "Plan: ", width)]
    blocks += [_stage(line, judgement.beside(line), width) for line in judgement.also_stages]
    if not judgement.shut:
        blocks.append(text_block("", f"Price: {judgement.range.told}", width, hang=2))
    return blocks


def _stage(stage: StageLine, title: str, width: int) -> Block:
    lines = wrap([("heading", f"{title}{stage.name}")], width)
    if stage.within:
        lines += wrap([("", "in the same opening, counted above")], width, "  ")
        return Block(tuple(lines))
    figures = f"about {stage.minutes:.0f} min, parts about {stage.parts:.0f} {stage.currency}"
    if stage.cures:
        figures += f"; cures it in {100.0 * stage.cures:.0f} of 100"
    lines += wrap([("", figures)], width, "  ")
    return Block(tuple(lines))


def detail_blocks(judgement: Judgement, width: int, *, plain: bool, doubt: str = "") -> list[Block]:
    """Causes, reasons, kit, what would still change the call, cautions, warnings.

    ``doubt``: which answers do not fit one another.
    """
    shown = [
        Suspect(cause.name, cause.probability)
        for n, cause in enumerate(judgement.causes)
        if n < _SHOWN or cause.probability >= _WORTH_SHOWING
    ]
    blocks = suspect_blocks(shown, width, plain=plain)
    blocks.append(text_block("", f"nothing wrong: {percent(judgement.no_fault)}", width, "  "))
    blocks.append(heading("Why this plan", width))
    for stage in (judgement.stage, *judgement.also_stages):
        blocks.append(text_block("", f"{stage.name}: {stage.reason}", width, "  "))
        if stage.kit:
            blocks.append(text_block("", f"kit: {', '.join(stage.kit)}", width, "  "))
    limits = judgement.range
    low, high = limits.named
    if low != high:
        blocks.append(text_block("", f"it may be from {low} to {high}", width, "  "))
    if judgement.would_change:
        blocks.append(heading("What would change the call", width))
        blocks += [text_block("", text, width, "  - ") for text in judgement.would_change]
    blocks += _doubts(judgement, doubt, width)
    if judgement.cautions:
        blocks += [heading("Cautions", width), *caution_blocks(judgement.cautions, width)]
    return blocks


def _doubts(judgement: Judgement, doubt: str, width: int) -> list[Block]:
    lines: list[Line] = []
    if doubt:
        lines += wrap([("error", doubt)], width)
    read = {line.id for line in judgement.symptoms}
    # What was taken for granted in a reading was said with the reading.
    for warning in (w for w in judgement.warnings if w.partition(":")[0] not in read):
        lines += wrap([("note", f"Note: {warning}")], width)
    return [Block(tuple(lines))] if lines else []
