"""The screen of reasons: why this is asked, and what weighs how much so far."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from diagnose.job.state import fold
from diagnose.pictures.cross_section_text import section_text
from diagnose.reasoning.wording import percent
from diagnose.symptom_graph.routes import points_to
from diagnose.terminal.door import Block
from diagnose.terminal.parts import heading, text_block
from diagnose.terminal.suspicion import weights
from diagnose.terminal.words import weighed

if TYPE_CHECKING:
    from diagnose.conversation.conversation import Conversation
    from diagnose.conversation.prompts import Prompt
    from diagnose.job.events import Event

__all__ = ["reasons"]

_WEIGHED = 5

#: lines of the drawing, so that it stands whole on a small screen
_ROWS = 11


def reasons(
    conversation: Conversation, events: Sequence[Event], prompt: Prompt
) -> Callable[[int], list[Block]]:
    """Why a prompt is put, what its answers mean, and what speaks for the likeliest cause."""
    told = weights(conversation, events)
    reason = prompt.why
    if not reason and prompt.judgement is not None:
        reason = f"{prompt.judgement.stage.reason} ({prompt.judgement.next_step.why})"

    def draw(width: int) -> list[Block]:
        blocks = [text_block("question", f"Why: {prompt.text}", width)]
        blocks.append(text_block("", reason, width))
        for answer in prompt.answers:
            if answer.means:
                blocks.append(text_block("", f"{answer.text}: {answer.means}", width, "  - "))
        blocks += _picture(conversation, events, prompt, width)
        blocks.append(heading(f"What speaks for or against: {told.cause}", width))
        lines = [f"before anything was said: {_chance(told.prior)}"]
        lines += [f"{weighed(decibans)}: {said}" for said, decibans in told.rows[:_WEIGHED]]
        rest = sum(row for _, row in told.rows[_WEIGHED:])
        if told.rows[_WEIGHED:]:
            lines.append(f"{weighed(rest)}: all else together")
        whole = told.prior + sum(row for _, row in told.rows)
        lines.append(f"in all: {_chance(whole)}")
        blocks += [text_block("", line, width, "  - ") for line in lines]
        if told.rows and not told.carried:
            blocks.append(text_block("", "No single answer carries it.", width))
        return blocks

    return draw


def _chance(decibans: float) -> str:
    return percent(1.0 / (1.0 + 10.0 ** (-decibans / 10.0)))


def _picture(
    conversation: Conversation, events: Sequence[Event], prompt: Prompt, width: int
) -> list[Block]:
    """Where to look, cut open, in the state of the job."""
    knowledge = conversation.reasoner.knowledge
    pointed = points_to(knowledge, prompt.id)
    if knowledge.drawing is None or not knowledge.drawing.placed(pointed):
        return []
    job = fold(events)
    section = knowledge.drawing.section(
        knowledge.device,
        pointed,
        title="Look here",
        chambers=job.chambers(knowledge.device),
        flags=job.shock,
    )
    lines = section_text(section, width, _ROWS)
    return [Block(((), *((("", line),) for line in lines)))]
