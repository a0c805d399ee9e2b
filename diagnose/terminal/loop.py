"""The loop of one talk.

Rules
-----
- All that is known of the job is its events; the loop holds only what a screen needs.
- Nothing is asked before everything answered so far is durable, or the person was told that it is
  not.
- A caution is acknowledged by a key that differs from the last answer's.
- A reading counts only for the shock whose tag is known to be in hand.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from diagnose.conversation.conversation import Conversation
from diagnose.conversation.prompts import COMPLAINT, NONE, Prompt
from diagnose.conversation.second_reading import names_no_state
from diagnose.errors import DiagnoseError, InputError, RefusedError, StoreError
from diagnose.job.events import Event, HandedOver, Judged, Measured
from diagnose.job.measuring import measured_result
from diagnose.job.state import fold
from diagnose.job.tag import tag_digits, top_line
from diagnose.reasoning.contradiction import Doubt, doubt_of
from diagnose.reasoning.judgement import AnswerLine
from diagnose.reasoning.wording import RIDE_WORDS, Shown
from diagnose.started import runnable
from diagnose.terminal.batching import ask_number, type_results
from diagnose.terminal.choices import DONE, MORE, TYPE, answers_of, marked
from diagnose.terminal.choosing import COMMAND_NAMES, choose, menu, read_on
from diagnose.terminal.door import Block, Door, Interrupted, Left, Outcome, Screen, Settings, Tag
from diagnose.terminal.hearing import HeardScreen
from diagnose.terminal.keys import MENU, Press, read, yes_no
from diagnose.terminal.opening import HELP
from diagnose.terminal.parts import note, text_block
from diagnose.terminal.readings import OTHERS, right_tag, type_readings
from diagnose.terminal.reasons import reasons
from diagnose.terminal.safety import job_cautions
from diagnose.terminal.screens import Scene, prompt_blocks
from diagnose.terminal.suspicion import Suspicion
from diagnose.terminal.transcript import Transcript

if TYPE_CHECKING:
    from diagnose.cells import Fragment

__all__ = ["CHECK_LIST", "Loop", "Paper"]

#: the paper whose results can be typed at once, and the menu's word for doing so
CHECK_LIST, _RESULTS = "check list", "results"

#: the menu's word for asking once more what does not fit
_AGAIN = "again"

#: the job as text, for the menu
Paper = Callable[[Sequence[Event]], str]


#: said under a line that takes the shop's own words
_NOTE_HELP = "Type it, then Enter. Alone on the line: / menu, q leave."


class _Leave(Exception):
    """The person saves and leaves."""


class Loop:
    """State of one talk: the events, and what the last key led to."""

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
        papers: Mapping[str, Paper] | None = None,
        tag: Tag | None = None,
    ) -> None:
        self.events = events
        self.unsaved: list[Event] = []
        self._conversation = conversation
        self._save = save
        self._clock = clock
        self._person = person
        self._plain = settings.plain
        self._door = door
        self._papers = papers or {}
        self._tag = tag
        self._suspicion = Suspicion(conversation)
        self._transcript = Transcript(door, plain=settings.plain)
        self._notes: list[Fragment] = []
        self._last_key = ""
        self._page = 0
        #: readings typed at the open question, by name; and whether its other answers are shown
        self._typed: dict[str, str] = {}
        self._by_eye = False

    # the talk ----------------------------------------------------------------------------------

    def run(self, said: str = "", results: int = 0) -> Outcome:
        """Talk until the job is done, handed over or left.

        ``said``: the complaint, already asked for. ``results``: begin with those of this list.
        """
        try:
            self._door.say(note("quiet", self._conversation.reasoner.knowledge.pack.start_line))
            if said:
                prompt = self._prompt()
                self._keep(self._conversation.reply(self.events, prompt, said, **self._stamp()))
            self._set_top()
            if results:
                self._begin_with(results)
            while True:
                prompt = self._prompt()
                self._set_top(prompt)
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

    def _begin_with(self, results: int) -> None:
        try:
            self._results(results)
        except DiagnoseError as error:
            self._notes.append(("error", self._runs(str(error))))

    def _outcome(self, left: str, status: int = 0) -> Outcome:
        if self.unsaved:
            self._keep([])
        return Outcome(self.events, left, status, list(self.unsaved))  # type: ignore[arg-type]

    def _stamp(self) -> dict[str, str]:
        return {"time": self._clock(), "person": self._person}

    def _prompt(self) -> Prompt:
        prompt = self._conversation.prompt(self.events, self._person)
        prompt = replace(prompt, text=self._runs(prompt.text), why=self._runs(prompt.why))
        if prompt.judgement is not None:
            shown = prompt.judgement.kept()
            if fold(self.events).last_judged != shown:
                said = Judged(judgement=shown, time=self._clock(), person=self._person)
                if not self._keep([said]):
                    return self._prompt()
        return prompt

    def _runs(self, text: str) -> str:
        """A text with its commands as they run here, for this job."""
        return runnable(text, self._tag.job if self._tag else "")

    def _set_top(self, prompt: Prompt | None = None) -> None:
        """What stays in view: at the bench the shock and its gas, at the counter what stops it."""
        job = fold(self.events)
        if job.at == "counter":
            called = prompt is None or prompt.judgement is not None
            self._door.top = "" if called else self._stopped()
            return
        bench = job.at == "bench" and job.closed is None
        device = self._conversation.reasoner.knowledge.device
        name = self._tag.job if self._tag else ""
        self._door.top = top_line(name, job, device) if bench else ""

    def _stopped(self) -> str:
        """What was reported so far that stops it, while questions go on."""
        belief = self._conversation.reasoner.view(fold(self.events)).belief
        stop: Shown = "stop_riding"
        if not any(standing.floor.ride == stop for standing in belief.floors):
            return ""
        shut = " Nothing is let out, filled or opened." if belief.signs else ""
        return f"{RIDE_WORDS[stop]} as it stands now.{shut}"

    def _keep(self, new: Sequence[Event]) -> bool:
        """Make events durable, those included that the store did not take before.

        False: others wrote to the job meanwhile. What they wrote counts, these events do not, and
        whatever they answered is asked again, knowing it.
        """
        waiting = [*self.unsaved, *new]
        try:
            self._save(waiting)
        except StoreError as error:
            if error.meanwhile:
                self.events.extend(error.meanwhile)
                self._notes.append(("error", self._runs(str(error))))
                return False
            self.events.extend(new)
            if not self.unsaved:
                text = f"NOT SAVED: {error} The talk goes on in memory; take the job sheet (/)."
                self._notes.append(("error", text))
            self.unsaved = waiting
        else:
            self.events.extend(new)
            self.unsaved = []
        return True

    # one prompt --------------------------------------------------------------------------------

    def _step(self, prompt: Prompt) -> None:
        """Show one prompt until the job has grown."""
        self._transcript.understood(prompt, self._conversation.reasoner.hear(fold(self.events)))
        self._page = 0
        self._by_eye = False
        self._typed = {line.name: line.proposed for line in prompt.readings if line.proposed}
        begun = len(self.events)
        while len(self.events) == begun:
            try:
                if prompt.kind == "text" and not prompt.cautions:
                    self._text(prompt)
                elif prompt.kind == "readings" and not self._by_eye and _read_before(prompt):
                    self._form(prompt)
                else:
                    self._key(prompt)
            except RefusedError as error:
                # What was shown no longer holds: show it as it is now.
                self._notes.append(("error", self._runs(str(error))))
                return
            except DiagnoseError as error:
                # The prompt that it is about stands on the screen: its id helps nobody here.
                here = error.where == prompt.id
                text = f"{error.what} {error.next_step}".strip() if here else str(error)
                self._notes.append(("error", self._runs(text)))

    def _text(self, prompt: Prompt) -> None:
        scene = Scene(notes=self._taken_notes(), first_words=self._transcript.fresh(prompt))
        sayings = self._conversation.reasoner.recogniser.complete
        self._door.complete = sayings if prompt.id == COMPLAINT else lambda typed: ()
        typed = self._door.line(
            Screen(
                lambda width: [
                    *prompt_blocks(prompt, scene, width),
                    text_block("keys", HELP if prompt.id == COMPLAINT else _NOTE_HELP, width),
                ]
            )
        )
        # One sign alone on the line is a key, as at any other question; more than that is text.
        press = read(typed, (), (*prompt.commands, "safety", "leave", MENU))
        if len(typed) == 1 and press.kind == "command":
            self._command(prompt, press.name)
        else:
            self._reply(prompt, typed)

    def _form(self, prompt: Prompt) -> None:
        """Readings typed at once, the other answers behind one key."""
        self._suspicion.forget()
        form = type_readings(
            self._door,
            prompt.readings,
            partial(self._conversation.take, prompt),
            kept=self._typed,
            head=self._view(replace(prompt, readings=()), ()),
            commands=(*prompt.commands, MENU),
            others=_others(prompt),
            later=partial(self._suspicion.look, self.events, prompt.id),
        )
        if form.values is not None:
            self._make_sure_of_the_tag()
            self._reply(prompt, form.values, _said(prompt, form.values))
        elif form.command == OTHERS:
            self._by_eye = True
        else:
            self._command(prompt, form.command)

    def _written(self, prompt: Prompt) -> bool:
        """What the step asks is typed before it is ticked; False: the person goes back to it."""
        if not prompt.readings:
            return True
        form = type_readings(
            self._door,
            prompt.readings,
            partial(self._conversation.take, prompt),
            kept=self._typed,
            commands=("safety", "leave"),
        )
        if form.values is None:
            if form.command != "back":
                self._command(prompt, form.command)
            return False
        kept = {name: text for name, text in form.values.items() if text}
        if not kept:
            return True
        new = self._conversation.reply(self.events, prompt, kept, **self._stamp())
        said = ", ".join(f"{name} {text}" for name, text in kept.items())
        self._door.say(note("chosen", f"Written down: {said}"))
        return self._keep(new)

    def _key(self, prompt: Prompt) -> None:
        answers = answers_of(prompt, self._last_key, self._page)
        press = self._ask(prompt, answers)
        if press.kind == "command":
            self._command(prompt, press.name)
            return
        if prompt.several:
            taken = [a for a in answers if a.key in press.name]
            words = "; ".join(answer.text for answer in taken)
            self._reply(prompt, [answer.state for answer in taken], words)
            return
        answer = next(a for a in answers if a.key == press.name)
        self._last_key = press.name
        if answer.state == MORE:
            self._page += 1
        elif answer.state == TYPE:
            if prompt.kind == "readings":
                self._form(prompt)
                return
            typed = self._door.line(Screen(note("question", prompt.text)))
            if typed:
                self._reply(prompt, typed)
        elif answer.state != DONE or self._written(prompt):
            self._reply(prompt, answer.state, answer.text)

    def _make_sure_of_the_tag(self) -> None:
        """Ask for the tag where another job was in hand.

        Raises
        ------
        InputError : it is another job's.
        """
        tag = self._tag
        digits = tag_digits(tag.job, fold(self.events).facts.tag) if tag else ""
        if tag is not None and digits and tag.doubtful():
            if not right_tag(self._door, digits):
                raise InputError(
                    "this is not the tag of the job on the screen.",
                    where=f"job {tag.job}",
                    next_step=f"Take the shock with tag {digits}, or leave with q.",
                )
            tag.read()

    def _ask(self, prompt: Prompt, answers: Sequence[AnswerLine]) -> Press:
        self._suspicion.forget()
        # What costs no time to answer, such as a step already done, changes no suspicion.
        weighing = prompt.kind in ("question", "readings") and prompt.minutes > 0.0
        marks: set[str] | None = set() if prompt.several else None
        return self._door.key(
            Screen(
                self._view(prompt, answers, marks),
                tuple(a.key for a in answers),
                (*prompt.commands, MENU),
                enter=next((a.key for a in answers if a.state == prompt.default), ""),
                later=partial(self._suspicion.look, self.events, prompt.id) if weighing else None,
                marks=marks,
                alone=next((a.key for a in answers if a.state == NONE), ""),
                letters={} if prompt.several else yes_no({a.key: a.text for a in answers}),
            )
        )

    def _view(
        self, prompt: Prompt, answers: Sequence[AnswerLine], marks: set[str] | None = None
    ) -> Callable[[int], list[Block]]:
        base = Scene(
            notes=self._taken_notes(),
            first_words=self._transcript.fresh(prompt),
            minutes=self._minutes(),
            called=self._transcript.called(prompt),
            doubt=self._doubt().words if prompt.judgement or prompt.minutes else "",
            plain=self._plain,
        )

        def draw(width: int) -> list[Block]:
            scene = replace(base, answers=marked(answers, marks or ()))
            return prompt_blocks(prompt, scene, width, self._suspicion.shown, self._suspicion.ahead)

        return draw

    def _taken_notes(self) -> tuple[Fragment, ...]:
        notes = tuple(self._notes)
        self._notes.clear()
        return notes

    def _doubt(self) -> Doubt:
        """Which answers do not fit one another."""
        reasoner, job = self._conversation.reasoner, fold(self.events)
        suspects = reasoner.view(job).belief.surprise.suspects
        return doubt_of(reasoner.knowledge, suspects, job.at)

    def _minutes(self) -> float:
        done = {ask for ask, _ in fold(self.events).reports}
        return sum(self._conversation.reasoner.card(ask).minutes for ask in done)

    # what a key leads to -----------------------------------------------------------------------

    def _reply(self, prompt: Prompt, value: object, words: str = "") -> None:
        new = self._conversation.reply(self.events, prompt, value, **self._stamp())
        words = words or str(value) or prompt.proposed
        close = [AnswerLine(key="5", state="close", text="Close the job")]
        if fold([*self.events, *new]).closed and not choose(
            self._door, f"{prompt.text} {words}", close
        ):
            return
        self._transcript.answer(prompt, words)
        if not new:
            raise _Leave
        if self._keep(new):
            self._say_results(new)

    def _say_results(self, new: Sequence[Event]) -> None:
        """What the readings among new events come to."""
        job = fold(self.events)
        for event in new:
            check = self._conversation.reasoner.knowledge.checks.get(getattr(event, "ask", ""))
            if isinstance(event, Measured) and check is not None:
                self._transcript.result(measured_result(check, event.readings, job)[0])

    def _command(self, prompt: Prompt, name: str) -> None:
        if name == MENU:
            shown = {paper: f"Show the {paper}" for paper in self._papers}
            if CHECK_LIST in shown:
                shown[_RESULTS] = "Type the results of a check list"
            again = self._doubt().again
            if again:
                card = self._conversation.reasoner.card(again)
                shown[_AGAIN] = f"Once more, as it does not fit: {card.name}"
            name = menu(self._door, prompt.commands, shown)
        if name == "leave":
            raise _Leave
        if name == "safety":
            read_on(self._door, job_cautions(self._conversation, self.events, prompt))
        elif name == "why":
            read_on(self._door, reasons(self._conversation, self.events, prompt))
        elif name == "words":
            self._correct_words(prompt)
        elif name == _RESULTS:
            self._results(ask_number(self._door, len(self.events)))
        elif name == _AGAIN:
            self._step(self._conversation.again(self.events, self._doubt().again, self._person))
        elif name in self._papers:
            text = self._papers[name](self.events)
            self._door.say(
                lambda width: [text_block("", line, width) for line in text.splitlines()]
            )
        elif name in prompt.commands and name:
            self._change(prompt, name)

    def _correct_words(self, prompt: Prompt) -> None:
        """What was heard, until it is as the customer meant it."""
        screen = HeardScreen(self._door, self._conversation.reasoner)
        while wish := screen.ask(self._conversation.heard(self.events)):
            if wish.words:
                more = Prompt("text", COMPLAINT, "")
                new = self._conversation.reply(self.events, more, wish.words, **self._stamp())
            else:
                new = self._conversation.correct(
                    self.events, prompt, wish.corrections, **self._stamp()
                )
            if self._keep(new) and wish.told:
                self._door.say(note("chosen", f"Noted: {wish.told}"))

    def _results(self, number: int) -> None:
        """Results of a check list, all at once or not at all."""
        prompts = self._conversation.check_list(self.events[:number], self._person)
        if not prompts:
            raise InputError(f"list {number} has no checks.", next_step="Answer the question here.")
        results = type_results(self._door, prompts)
        if any(isinstance(result.value, dict) for result in results):
            self._make_sure_of_the_tag()
        new = self._conversation.results(self.events, results, **self._stamp())
        if not new:
            return
        for result in results:
            self._transcript.answer(result.prompt, result.words)
        if self._keep(new):
            self._say_results(new)

    def _change(self, prompt: Prompt, name: str) -> None:
        new = self._conversation.command(self.events, prompt, name, **self._stamp())
        self._last_key = ""
        self._transcript.answer(prompt, COMMAND_NAMES[name])
        self._keep(new)


def _read_before(prompt: Prompt) -> bool:
    """Every caution was read whole in this visit: none has to be paged through here."""
    return all(caution.again for caution in prompt.cautions)


def _others(prompt: Prompt) -> str:
    """Words for the answers of a measuring check that need no reading."""
    own = [answer.text for answer in prompt.answers if names_no_state(answer.state)]
    by_eye = ["not measured, judged by eye"] if len(own) < len(prompt.answers) else []
    return "; ".join([*own, *by_eye])


def _said(prompt: Prompt, values: Mapping[str, str]) -> str:
    """Typed readings for the transcript."""
    if len(values) == 1 and len(prompt.readings) == 1:
        return next(iter(values.values()))
    names = {line.name: line.text for line in prompt.readings}
    return ", ".join(f"{names[name]} {text}" for name, text in values.items())
