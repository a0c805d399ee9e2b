"""The loop of one talk.

Rules
-----
- All that is known of the job is its events; the loop holds only what a screen needs.
- Nothing is asked before everything answered so far is durable, or the person was told that it is
  not.
- A caution is acknowledged by a key that differs from the last answer's.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from diagnose.errors import DiagnoseError, InputError, RefusedError, StoreError
from diagnose.session.conversation import Conversation
from diagnose.session.events import NOT_SURE, Closed, Event, HandedOver, Judged
from diagnose.session.judgement import AnswerLine, Judgement
from diagnose.session.prompts import Prompt
from diagnose.session.state import fold
from diagnose.terminal.choices import MORE, offered
from diagnose.terminal.door import Block, Door, Interrupted, Left, Outcome, Screen, Settings
from diagnose.terminal.keys import MENU, Press, acknowledge_key, spelled_keys
from diagnose.terminal.opening import HELP
from diagnose.terminal.parts import caution_blocks, choice_blocks, note, text_block
from diagnose.terminal.readings import type_readings
from diagnose.terminal.reasons import reasons
from diagnose.terminal.safety import job_cautions
from diagnose.terminal.screens import (
    Scene,
    answered,
    heard_blocks,
    prompt_blocks,
)
from diagnose.terminal.suspicion import Suspicion
from diagnose.terminal.verdict import call_blocks

if TYPE_CHECKING:
    from diagnose.terminal.wrap import Fragment

__all__ = ["Loop"]

#: state of the answer that opens the line for readings or words
_TYPE = "type_readings"

#: words of the menu and of the transcript
_NAMES: dict[str, str] = {
    "book": "Book an inspection",
    "words": "Correct what was understood",
    "sheet": "Show the job sheet",
    "leave": "Save and leave",
    "not_sure": "Not sure",
    "skip": "Skip this",
    "back": "Take the last answer back",
    "why": "Why this is asked",
    "safety": "All cautions",
}
_BACK = ("back",)


class _Leave(Exception):
    """The person saves and leaves."""


class Loop:
    """State of one talk: the events, what was said already, and what the last key led to."""

    def __init__(
        self,
        conversation: Conversation,
        events: list[Event],
        save: Callable[[Sequence[Event]], None],
        *,
        clock: Callable[[], str],
        person: str,
        settings: Settings,
        door: Door,
        sheet: Callable[[Sequence[Event]], str] | None = None,
    ) -> None:
        self.events = events
        self.unsaved: list[Event] = []
        self._conversation = conversation
        self._save = save
        self._clock = clock
        self._person = person
        self._settings = settings
        self._door = door
        self._sheet = sheet
        self._suspicion = Suspicion(conversation)
        self._notes: list[Fragment] = []
        self._said: set[str] = set()
        self._heard: object = None
        self._called: Judgement | None = None
        self._read: tuple[str, frozenset[str]] = ("", frozenset())
        self._last_key = ""
        self._page = 0

    # the talk ----------------------------------------------------------------------------------

    def run(self, said: str = "") -> Outcome:
        """Talk until the job is done, handed over or left."""
        try:
            self._door.say(note("quiet", self._conversation.reasoner.knowledge.pack.start_line))
            if said:
                self._reply(self._prompt(), said)
            while True:
                prompt = self._prompt()
                if prompt.kind == "done":
                    self._door.say(self._view(prompt, prompt.answers))
                    return self._outcome("done")
                begun = len(self.events)
                self._step(prompt)
                if any(isinstance(event, HandedOver) for event in self.events[begun:]):
                    return self._outcome("done")
        except (_Leave, Left):
            return self._outcome("left")
        except Interrupted as reason:
            return self._outcome("interrupted", reason.status)

    def _outcome(self, left: str, status: int = 0) -> Outcome:
        if self.unsaved:
            self._keep([])
        return Outcome(self.events, left, status, list(self.unsaved))  # type: ignore[arg-type]

    def _prompt(self) -> Prompt:
        prompt = self._conversation.prompt(self.events, self._person)
        if prompt.judgement is not None:
            shown = prompt.judgement.kept()
            if fold(self.events).last_judged != shown:
                self._keep([Judged(time=self._clock(), person=self._person, judgement=shown)])
        return prompt

    def _keep(self, new: Sequence[Event]) -> None:
        """Make events durable, those included that the store did not take before."""
        self.events.extend(new)
        waiting = [*self.unsaved, *new]
        try:
            self._save(waiting)
        except StoreError as error:
            if not self.unsaved:
                text = f"NOT SAVED: {error} The talk goes on in memory; take the job sheet (/)."
                self._notes.append(("error", text))
            self.unsaved = waiting
        else:
            self.unsaved = []

    # one prompt --------------------------------------------------------------------------------

    def _step(self, prompt: Prompt) -> None:
        """Show one prompt until the job has grown."""
        self._say_heard(prompt)
        self._page = 0
        begun = len(self.events)
        while len(self.events) == begun:
            try:
                if prompt.kind == "text" and not prompt.cautions:
                    self._text(prompt)
                else:
                    self._key(prompt)
            except RefusedError as error:
                # What was shown no longer holds: show it as it is now.
                self._notes.append(("error", str(error)))
                return
            except DiagnoseError as error:
                self._notes.append(("error", str(error)))

    def _text(self, prompt: Prompt) -> None:
        scene = Scene(notes=self._taken_notes())
        typed = self._door.line(
            Screen(
                lambda width: [
                    *prompt_blocks(prompt, scene, width),
                    text_block("keys", HELP, width),
                ]
            )
        )
        if typed == "q":
            raise _Leave
        if typed == "*":
            self._command(prompt, "safety")
        elif typed == "/":
            self._command(prompt, MENU)
        else:
            self._reply(prompt, typed)

    def _key(self, prompt: Prompt) -> None:
        answers = self._answers(prompt)
        press = self._ask(prompt, answers)
        if press.kind == "command":
            self._command(prompt, press.name)
            return
        answer = next(a for a in answers if a.key == press.name)
        self._last_key = press.name
        if answer.state == MORE:
            self._page += 1
        elif answer.state == _TYPE:
            typed = self._typed(prompt)
            if typed:
                self._reply(prompt, typed)
        else:
            self._reply(prompt, answer.state, answer.text)

    def _typed(self, prompt: Prompt) -> object:
        """Readings or a line of text; nothing if the person goes back to the question."""
        if prompt.readings:
            return type_readings(self._door, prompt.readings, plain=self._settings.plain)
        return self._door.line(Screen(note("question", prompt.text)))

    def _answers(self, prompt: Prompt) -> tuple[AnswerLine, ...]:
        if prompt.kind == "caution":
            key = acknowledge_key(self._last_key)
            return tuple(a.model_copy(update={"key": key}) for a in prompt.answers)
        if prompt.kind == "text":
            return (AnswerLine(key="1", state=_TYPE, text="Type it"),)
        if prompt.readings:
            first = AnswerLine(key="1", state=_TYPE, text="Type the readings")
            rest = [
                a.model_copy(update={"key": "", "text": f"Not measured, judged: {a.text}"})
                for a in prompt.answers
            ]
            return offered([first, *rest], self._page)
        return offered(prompt.answers, self._page)

    def _ask(self, prompt: Prompt, answers: Sequence[AnswerLine]) -> Press:
        self._suspicion.shown = ()
        # What costs no time to answer, such as a step already done, changes no suspicion.
        weighing = prompt.kind in ("question", "readings") and prompt.minutes > 0.0
        return self._door.key(
            Screen(
                self._view(prompt, answers),
                tuple(a.key for a in answers),
                (*prompt.commands, MENU),
                later=self._look if weighing else None,
            )
        )

    def _look(self) -> None:
        self._suspicion.look(self.events)

    def _view(self, prompt: Prompt, answers: Sequence[AnswerLine]) -> Callable[[int], list[Block]]:
        fresh = tuple(c for c in prompt.first_words if c.id not in self._said)
        step, read = self._read
        base = Scene(
            header=self._header(),
            notes=self._taken_notes(),
            first_words=fresh,
            read=read if step == prompt.id and prompt.kind != "caution" else frozenset(),
            answers=tuple(answers),
            minutes=self._minutes(),
            plain=self._settings.plain,
        )

        def draw(width: int) -> list[Block]:
            return prompt_blocks(prompt, base, width, self._suspicion.shown)

        return draw

    def _taken_notes(self) -> tuple[Fragment, ...]:
        notes = tuple(self._notes)
        self._notes.clear()
        return notes

    def _header(self) -> str:
        job = fold(self.events)
        if job.at != "bench":
            return self._settings.header
        held = [name for name, holds in job.chambers.items() if holds]
        state = f"may hold pressure: {', '.join(held) or 'nothing'}"
        return f"{self._settings.header} | {state}" if self._settings.header else state

    def _minutes(self) -> float:
        done = {ask for ask, _ in fold(self.events).reports}
        return sum(self._conversation.reasoner.card(ask).minutes for ask in done)

    # what a key leads to -----------------------------------------------------------------------

    def _reply(self, prompt: Prompt, value: object, words: str = "") -> None:
        new = self._conversation.reply(
            self.events, prompt, value, time=self._clock(), person=self._person
        )
        if any(isinstance(event, Closed) for event in new) and not self._choose(
            f"{prompt.text} {words}", [AnswerLine(key="5", state="close", text="Close the job")]
        ):
            return
        self._transcript(prompt, words or _words_of(value))
        if not new:
            raise _Leave
        if prompt.kind == "caution":
            self._read = (prompt.id, frozenset(c.id for c in prompt.cautions))
        self._keep(new)

    def _transcript(self, prompt: Prompt, words: str) -> None:
        fresh = [c for c in prompt.first_words if c.id not in self._said]
        self._said |= {c.id for c in fresh}
        if self._door.keeps:
            self._door.say(note("chosen", f"Noted: {words}"))
            return
        judgement = prompt.judgement if prompt.judgement != self._called else None
        self._called = prompt.judgement or self._called
        if prompt.kind == "caution":
            read = ", ".join(f"{c.signal_word} {c.id.replace('_', ' ')}" for c in prompt.cautions)
            words = f"{words}: {read}"

        def draw(width: int) -> list[Block]:
            blocks = caution_blocks(fresh, width)
            if judgement is not None:
                blocks += call_blocks(judgement, width, plain=self._settings.plain)
            return [*blocks, *answered(prompt.text, words, width)]

        self._door.say(draw)

    def _say_heard(self, prompt: Prompt) -> None:
        """What was understood, once, as soon as it is settled."""
        if not prompt.heard or prompt.heard == self._heard or prompt.id == "understood":
            return
        self._heard = prompt.heard
        known = self._conversation.reasoner.hear(fold(self.events))
        self._door.say(
            lambda width: heard_blocks(prompt.heard, known.corrections, known.unknown, width)
        )

    def _command(self, prompt: Prompt, name: str) -> None:
        if name == MENU:
            name = self._menu(prompt)
        if name == "leave":
            raise _Leave
        if name == "safety":
            self._read_on(job_cautions(self._conversation, self.events, prompt))
        elif name == "why":
            self._read_on(reasons(self._conversation, self.events, prompt))
        elif name == "words":
            self._correct(prompt)
        elif name == "sheet" and self._sheet is not None:
            text = self._sheet(self.events)
            self._door.say(
                lambda width: [text_block("", line, width) for line in text.splitlines()]
            )
        elif name in prompt.commands and name:
            self._change(prompt, name)

    def _change(self, prompt: Prompt, name: str) -> None:
        new = self._conversation.command(
            self.events, prompt, name, time=self._clock(), person=self._person
        )
        self._last_key = ""
        self._transcript(prompt, _NAMES[name])
        self._keep(new)

    def _menu(self, prompt: Prompt) -> str:
        """One command by digit: everything that has no sign on the numpad, and all the rest."""
        names = [
            name
            for name in _NAMES
            if name in prompt.commands or (name == "sheet" and self._sheet is not None)
        ]
        rows = [AnswerLine(key="", state=name, text=_NAMES[name]) for name in names]
        return self._choose("What now?", rows, spelled_keys(prompt.commands))

    def _choose(self, title: str, rows: Sequence[AnswerLine], foot: str = "") -> str:
        """State of one of these answers, empty if the person goes back."""
        sheet = 0
        while True:
            answers = offered(rows, sheet)

            def draw(width: int, shown: Sequence[AnswerLine] = answers) -> list[Block]:
                blocks = [text_block("question", title, width), *choice_blocks(shown, width)]
                return [*blocks, text_block("note", foot, width)] if foot else blocks

            press = self._door.key(Screen(draw, tuple(a.key for a in answers), _BACK))
            if press.kind == "command":
                return ""
            state = next(a.state for a in answers if a.key == press.name)
            if state != MORE:
                return state
            sheet += 1

    def _read_on(self, draw: Callable[[int], list[Block]]) -> None:
        """Something to read; any command or the answer goes back to the question."""
        back = [AnswerLine(key="5", state="back", text="Go on")]
        self._door.key(
            Screen(lambda width: [*draw(width), *choice_blocks(back, width)], ("5",), _BACK)
        )

    def _correct(self, prompt: Prompt) -> None:
        """Another answer for one understood symptom."""
        rows = [
            AnswerLine(key="", state=ident, text=f"{text} ('{words}')")
            for ident, text, words, _ in prompt.heard
        ]
        if not rows:
            raise InputError("no words of the customer were understood.")
        ident = self._choose("Which one was not meant so?", rows)
        if not ident:
            return
        card = self._conversation.reasoner.card(ident)
        states = [AnswerLine(key="", state=a.state, text=a.text) for a in card.answers]
        states.append(AnswerLine(key="", state=NOT_SURE, text="The customer did not say that"))
        state = self._choose(f"What does the customer say of: {card.name}?", states)
        if state:
            correction = Prompt(
                "question", ident, card.name, answers=tuple(states), commands=("not_sure",)
            )
            words = next(a.text for a in states if a.state == state)
            self._reply(correction, state, words)


def _words_of(value: object) -> str:
    if isinstance(value, dict):
        return ", ".join(f"{name.replace('_', ' ')} {text}" for name, text in value.items())
    return str(value)
