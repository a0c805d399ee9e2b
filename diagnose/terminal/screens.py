"""What each kind of prompt looks like: pure functions from a prompt to blocks of lines.

Rules
-----
- Cautions stand with their signal word before the step that they guard: whole, or with their first
  sentence where this person read them whole in this visit, and the key that shows the rest.
- The question and its answers come next, then what is suspected, then the keys.
- Words carry everything; style only underlines them. No function here reads a clock or a size.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from diagnose.cells import Fragment, wrap
from diagnose.terminal.door import Block
from diagnose.terminal.hearing import heard_words
from diagnose.terminal.parts import (
    Suspect,
    caution_blocks,
    choice_blocks,
    heading,
    suspect_blocks,
    text_block,
)
from diagnose.terminal.verdict import call_blocks, detail_blocks

if TYPE_CHECKING:
    from diagnose.conversation.prompts import Prompt
    from diagnose.reasoning.judgement import AnswerLine, CautionLine, HeardLine, NotHeardLine

__all__ = [
    "Scene",
    "answered",
    "heard_blocks",
    "prompt_blocks",
    "safety_blocks",
]


#: where the call stands, and what it took
_CALLED = "The call stands above, unchanged; h says why."
_SPENT = "About {:.0f} min so far."


@dataclass(frozen=True)
class Scene:
    """What surrounds a prompt.

    Attributes
    ----------
    notes : (style, text) said about the last key. first_words : those not
    said yet. answers : as offered, with the keys that count here. minutes : spent so far.
    called : this very call stands in the transcript above. doubt : which answers do not fit one
    another. plain : no boxes, no bars, for a screen reader.
    """

    notes: tuple[Fragment, ...] = ()
    first_words: tuple[CautionLine, ...] = ()
    answers: tuple[AnswerLine, ...] = ()
    minutes: float = 0.0
    called: bool = False
    doubt: str = ""
    plain: bool = False


def heard_blocks(
    heard: Iterable[HeardLine],
    not_heard: Iterable[NotHeardLine],
    width: int,
    *,
    hint: bool = False,
) -> list[Block]:
    """What was understood of the customer's words, and what was not.

    ``hint``: say which key corrects it.
    """
    shown = [line for line in heard if line.standing not in ("struck", "unsure")]
    blocks = [text_block("", heard_words(line), width, "  ") for line in shown]
    if blocks:
        blocks.insert(0, text_block("heading", "Understood", width))
    left = ", ".join(f'"{line.words}"' for line in not_heard)
    if left:
        blocks.append(text_block("note", f"not understood: {left}", width, "  "))
    if blocks and hint:
        blocks.append(text_block("note", "w corrects what was not meant so", width, "  "))
    return blocks


def prompt_blocks(
    prompt: Prompt,
    scene: Scene,
    width: int,
    suspects: Sequence[Suspect] = (),
    ahead: str = "",
) -> list[Block]:
    """The whole screen of a prompt, its key line aside.

    ``suspects``: likeliest first. ``ahead``: what is still worth doing after this.
    """
    blocks = [text_block(style, text, width) for style, text in scene.notes]
    blocks += caution_blocks(scene.first_words, width)
    if prompt.kind == "caution":
        blocks.append(text_block("heading", _to_read(prompt), width))
    blocks += caution_blocks(prompt.cautions, width)
    if any(c.again for c in prompt.cautions):
        blocks.append(text_block("note", "Read before in this visit; * shows the rest.", width))
    blocks.append(_question(prompt, scene, width))
    if prompt.judgement is not None and scene.called:
        said = text_block("note", f"{_CALLED} {_SPENT.format(scene.minutes)}", width)
        return [*blocks, *choice_blocks(scene.answers, width), said]
    if prompt.judgement is not None:
        if scene.minutes >= 0.5:
            blocks.append(text_block("quiet", _SPENT.format(scene.minutes), width))
        call = call_blocks(prompt.judgement, width, plain=scene.plain)
        choices = choice_blocks(scene.answers, width)
        # A question about a job already called comes before the call; a call before its choices.
        blocks += [*choices, *call] if prompt.kind == "question" else [*call, *choices]
        details = detail_blocks(prompt.judgement, width, plain=scene.plain, doubt=scene.doubt)
        return blocks + details
    blocks += [text_block("", step, width, "  - ") for step in prompt.steps]
    if prompt.kind == "readings" and prompt.readings:
        blocks.append(_wanted(prompt, width))
    blocks += choice_blocks(scene.answers, width)
    blocks += suspect_blocks(suspects, width, plain=scene.plain)
    if scene.doubt:
        blocks.append(text_block("error", scene.doubt, width))
    return [*blocks, text_block("note", ahead, width)] if ahead else blocks


def _to_read(prompt: Prompt) -> str:
    """How much is to be read and for what, so that nobody turns pages without knowing."""
    count, what = len(prompt.cautions), prompt.text.removeprefix("Before: ")
    return f"{count} caution{'' if count == 1 else 's'} to read before: {what}"


def _question(prompt: Prompt, scene: Scene, width: int) -> Block:
    words: list[Fragment] = [("question", prompt.text)]
    if prompt.minutes >= 0.5:
        spent = f", {scene.minutes:.0f} so far" if scene.minutes >= 0.5 else ""
        words.append(("quiet", f" (about {max(prompt.minutes, 1.0):.0f} min{spent})"))
    if prompt.several:
        words.append(("quiet", f" Keys, then Enter{_at_once(scene.answers)}."))
    elif prompt.default:
        words.append(("quiet", f" Enter: {prompt.proposed}"))
    return Block(tuple(wrap(words, width)))


def _at_once(answers: Sequence[AnswerLine]) -> str:
    """The key that waits for no Enter: one pressed after it would answer what comes next."""
    from diagnose.conversation.prompts import NONE

    return next((f"; {a.key} at once" for a in answers if a.state == NONE), "")


def _wanted(prompt: Prompt, width: int) -> Block:
    lines = wrap([("heading", "Readings")], width)
    for reading in prompt.readings:
        may = ", may be left out" if reading.optional else ""
        lines += wrap([("", f"{reading.text} [{reading.unit}]{may}")], width, "  ")
    return Block(tuple(lines))


def safety_blocks(groups: Sequence[tuple[str, Sequence[CautionLine]]], width: int) -> list[Block]:
    """The safety screen: cautions whole, by group, none twice."""
    blocks: list[Block] = []
    said: set[str] = set()
    for title, cautions in groups:
        fresh = [c.model_copy(update={"again": False}) for c in cautions if c.id not in said]
        said |= {c.id for c in fresh}
        if fresh:
            blocks += [heading(title, width), *caution_blocks(fresh, width)]
    return blocks or [text_block("", "No caution belongs to this job so far.", width)]


def answered(question: str, answer: str, width: int) -> list[Block]:
    """One line or two of the transcript that stays above."""
    words = [("quiet", question), ("", " "), ("chosen", f"> {answer}")]
    return [Block(tuple(wrap(words, width, hang=2)))]
