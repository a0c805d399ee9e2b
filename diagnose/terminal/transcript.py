"""What stays above: each question with its answer, the words understood, the call, a reading.

Rules
-----
- Nothing is said twice: first words, a call and what was understood each stand there once.
- Where the door keeps its questions in view anyway, only the answer is noted.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagnose.conversation.prompts import UNDERSTOOD
from diagnose.terminal.door import Block, Door
from diagnose.terminal.parts import caution_blocks, note
from diagnose.terminal.readings import result_blocks
from diagnose.terminal.screens import answered, heard_blocks
from diagnose.terminal.verdict import call_blocks

if TYPE_CHECKING:
    from diagnose.bench.formula import Result
    from diagnose.complaint.recogniser import Understanding
    from diagnose.conversation.prompts import Prompt
    from diagnose.reasoning.judgement import CautionLine, Judgement

__all__ = ["Transcript"]


class Transcript:
    """What was said for good, and so is not said again."""

    def __init__(self, door: Door, *, plain: bool) -> None:
        self._door = door
        self._plain = plain
        self._said: set[str] = set()
        self._heard: object = None
        self._called: Judgement | None = None

    def fresh(self, prompt: Prompt) -> tuple[CautionLine, ...]:
        """First words that were not said yet."""
        return tuple(c for c in prompt.first_words if c.id not in self._said)

    def called(self, prompt: Prompt) -> bool:
        """Whether this prompt's call stands above as it is."""
        return prompt.judgement is not None and prompt.judgement == self._called

    def answer(self, prompt: Prompt, words: str) -> None:
        """A question with its answer, below what was shown with it for the first time."""
        fresh = self.fresh(prompt)
        self._said |= {c.id for c in fresh}
        judgement = None if self.called(prompt) else prompt.judgement
        self._called = prompt.judgement or self._called
        if self._door.keeps:
            self._door.say(note("chosen", f"Noted: {words}"))
            return
        if prompt.kind == "caution":
            read = ", ".join(f"{c.signal_word} {c.id.replace('_', ' ')}" for c in prompt.cautions)
            words = f"{words}: {read}"

        def draw(width: int) -> list[Block]:
            blocks = caution_blocks(fresh, width)
            if judgement is not None:
                blocks += call_blocks(judgement, width, plain=self._plain)
            return [*blocks, *answered(prompt.text, words, width)]

        self._door.say(draw)

    def understood(self, prompt: Prompt, known: Understanding) -> None:
        """What was understood, once, and again when it was corrected."""
        # That a question about the same was answered meanwhile stands in the transcript already.
        lines = [line for line in prompt.heard if line.standing != "struck"]
        if prompt.id == UNDERSTOOD:
            lines = [line for line in lines if line.standing != "asked"]
        now = ([(line.id, line.words) for line in lines], prompt.not_heard)
        if not any(now) or now == self._heard:
            return
        self._heard = now
        hint = "words" in prompt.commands
        self._door.say(
            lambda width: heard_blocks(lines, known.corrections, prompt.not_heard, width, hint=hint)
        )

    def result(self, result: Result) -> None:
        """What a reading comes to: the arithmetic to repeat to a customer, and a picture."""
        self._door.say(lambda width: result_blocks(result, width, plain=self._plain))
