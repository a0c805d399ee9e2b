"""The conversation: what to show next for a list of events, and what a reply adds to the list.

Rules
-----
- `prompt` and `reply` are pure; every door (terminal, JSON lines, training) drives these two.
- A prompt carries all that a door needs: text, answers with keys, readings wanted, cautions first.
- A reply is a key, a state, a text or readings; what cannot be understood raises `InputError` and
  leaves the events as they were.
- A step behind the gate is never offered: its cautions are the prompt until they are acknowledged.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Any

from diagnose.belief.compiled import UNLISTED
from diagnose.errors import InputError
from diagnose.knowledge.models import Check, Stage
from diagnose.session.events import (
    HAPPENINGS,
    NOT_SURE,
    Acknowledged,
    Answered,
    Booked,
    Closed,
    Complained,
    Event,
    HandedOver,
    Happened,
    Skipped,
    Stepped,
    Understood,
    Withdrawn,
)
from diagnose.session.gate import clearance, effects_of, require
from diagnose.session.job_input import answer_events
from diagnose.session.judgement import (
    AnswerLine,
    CautionLine,
    Judgement,
    ReadingLine,
    caution_lines,
    judge,
    step_of,
)
from diagnose.session.measuring import wanted_readings
from diagnose.session.options import find_card
from diagnose.session.reasoner import Reasoner, View
from diagnose.session.state import JobState, fold, undoable

__all__ = ["COMMANDS", "Conversation", "Prompt"]

#: words of the fixed commands, in the order in which they are shown
COMMANDS: dict[str, str] = {
    "not_sure": "not sure",
    "back": "back",
    "why": "why this",
    "skip": "skip",
    "safety": "safety",
    "book": "book inspection",
    "words": "correct the words",
    "leave": "save and leave",
}

COMPLAINT, MAIN, UNDERSTOOD, LOOK = "complaint", "main_complaint", "understood", "five_places"
DECIDE, FOUND, CURED, CLOSE_AGAIN = "decide", "found", "cured", "close_again"

#: certainty below which the reading of the words is put to the customer
_CONFIRM_BELOW = 0.6

_NOTHING = "nothing"
_CANNOT = "cannot_look"


@dataclass(frozen=True)
class Prompt:
    """One thing to show and wait for.

    Attributes
    ----------
    kind : question | readings | text | caution | judgement | done.
    id : symptom or check id, or one of the conversation's own.
    cautions : shown whole before the text; ``acknowledge``: this prompt waits for just that.
    first_words : cautions to say at once, before anything else.
    heard : (symptom id, its text, words, denied) of what was understood.
    """

    kind: str
    id: str
    text: str
    answers: tuple[AnswerLine, ...] = ()
    readings: tuple[ReadingLine, ...] = ()
    steps: tuple[str, ...] = ()
    cautions: tuple[CautionLine, ...] = ()
    first_words: tuple[CautionLine, ...] = ()
    acknowledge: tuple[str, ...] = ()
    why: str = ""
    heard: tuple[tuple[str, str, str, bool], ...] = ()
    judgement: Judgement | None = None
    commands: tuple[str, ...] = ()
    minutes: float = 0.0
    data: dict[str, Any] = field(default_factory=dict)


class Conversation:
    """Prompts and replies over one reasoner."""

    def __init__(self, reasoner: Reasoner) -> None:
        self.reasoner = reasoner

    # what to show ------------------------------------------------------------------------------

    def prompt(self, events: Sequence[Event], person: str = "") -> Prompt:
        """The next thing to show for these events."""
        job = fold(events)
        if not job.complaint and not job.reports and job.at == "counter":
            return Prompt(
                "text", COMPLAINT, "What does the customer say?", commands=("safety", "leave")
            )
        view = self.reasoner.view(job)
        if job.closed is not None:
            return self._judgement(view, "done", "closed", "This job is closed.")
        if job.at == "counter":
            return self._counter(events, job, view)
        return self._bench(job, view, person)

    def _counter(self, events: Sequence[Event], job: JobState, view: View) -> Prompt:
        first = self._first_words(view)
        heard = self._heard(view)
        if not view.items and MAIN not in job.skipped:
            return self._main(first)
        if job.booked:
            return self._decide(view)
        unsure = [h for h in view.heard.heard if h.certainty < _CONFIRM_BELOW]
        if unsure and not job.confirmed:
            return self._understood(view, first, heard)
        look = self._look(job, view)
        if look is not None:
            return self._with(look, first, heard)
        if view.advice.option is None:
            return self._decide(view)
        ident = view.options[view.advice.option].id
        return self._with(self._ask(view, ident, job.person), first, heard)

    def _bench(self, job: JobState, view: View, person: str) -> Prompt:
        stage = self._stage_in_hand(job)
        if stage is not None:
            return self._sheet_step(job, view, stage, person)
        if view.advice.option is not None and DECIDE not in job.skipped:
            return self._ask(view, view.options[view.advice.option].id, person)
        return self._decide(view)

    def _with(
        self,
        prompt: Prompt,
        first: tuple[CautionLine, ...],
        heard: tuple[tuple[str, str, str, bool], ...],
    ) -> Prompt:
        return Prompt(**{**prompt.__dict__, "first_words": first, "heard": heard})

    def _first_words(self, view: View) -> tuple[CautionLine, ...]:
        knowledge = self.reasoner.knowledge
        said = [
            knowledge.pack.first_words[item.ask]
            for item in view.items
            if item.ask in knowledge.pack.first_words
            and item.state != self.reasoner.compiled.states(item.finding)[0]
        ]
        return tuple(caution_lines([knowledge.cautions[c] for c in dict.fromkeys(said)]))

    def _heard(self, view: View) -> tuple[tuple[str, str, str, bool], ...]:
        rows = []
        for said in view.heard.heard:
            card = self.reasoner.knowledge.symptoms[said.symptom]
            text = next((a.text for a in card.answers if a.state == said.state), said.state)
            rows.append((said.symptom, f"{card.name}: {text}", said.words, said.denied))
        return tuple(rows)

    def _main(self, first: tuple[CautionLine, ...]) -> Prompt:
        lines = self.reasoner.knowledge.pack.main_complaints
        answers = tuple(
            AnswerLine(key=str(n % 10), state=f"{row.symptom}={row.state}", text=row.text)
            for n, row in enumerate(lines, 1)
        )
        return Prompt(
            "question",
            MAIN,
            "The words were not understood. Which comes nearest to the main complaint?",
            answers=answers,
            first_words=first,
            commands=("not_sure", "back", "safety", "leave"),
        )

    def _understood(
        self,
        view: View,
        first: tuple[CautionLine, ...],
        heard: tuple[tuple[str, str, str, bool], ...],
    ) -> Prompt:
        answers = [AnswerLine(key="1", state="right", text="Yes, all of it")]
        for n, (ident, text, words, _) in enumerate(heard[:7], 2):
            answers.append(AnswerLine(key=str(n), state=ident, text=f"No: {text} ('{words}')"))
        return Prompt(
            "question",
            UNDERSTOOD,
            "Is this what the customer means?",
            answers=tuple(answers),
            first_words=first,
            heard=heard,
            why="The words can be read in more than one way.",
            commands=("back", "safety", "book", "leave"),
        )

    # the five-place look -----------------------------------------------------------------------

    def places(self) -> dict[str, list[Check]]:
        """Place -> the look's own check and the other counter checks at that place."""
        checks = self.reasoner.knowledge.checks
        places: dict[str, list[Check]] = {}
        for ident in self.reasoner.knowledge.pack.look:
            places.setdefault(checks[ident].place or ident, []).append(checks[ident])
        for check in checks.values():
            if check.place in places and check.at == "counter" and check not in places[check.place]:
                places[check.place].append(check)
        return places

    def _look(self, job: JobState, view: View) -> Prompt | None:
        if job.channel in ("phone", "mail") or LOOK in job.skipped:
            return None
        done = {ask for ask, _ in job.reports}
        pending = next((s for s in reversed(job.skipped) if s.startswith("look:")), None)
        if pending is not None and not any(c.id in done for c in self.places()[pending[5:]]):
            return self._place_prompt(pending[5:])
        left = [
            place
            for place, checks in self.places().items()
            if not any(c.id in done for c in checks)
        ]
        if not left:
            return None
        begun = len(left) < len(self.places())
        answers = [
            AnswerLine(
                key="1",
                state=_NOTHING,
                text="Nothing else wrong at the others" if begun else "Nothing wrong at any of them",
            )
        ]
        for n, place in enumerate(left, 2):
            answers.append(AnswerLine(key=str(n), state=place, text=_words(place)))
        answers.append(AnswerLine(key=str(len(left) + 2), state=_CANNOT, text="Cannot look now"))
        text = "Look at five places (20 seconds). Where is something wrong?"
        return Prompt(
            "question",
            LOOK,
            text if not begun else "Anything at the other places?",
            answers=tuple(answers),
            why="Whether it may be ridden rests on what was looked at.",
            commands=("back", "why", "safety", "book", "leave"),
            minutes=0.3,
        )

    def _place_prompt(self, place: str) -> Prompt:
        answers: list[AnswerLine] = []
        for check in self.places()[place]:
            healthy = check_states(self.reasoner, check)[0]
            for answer in check.answers:
                if answer.state != healthy and len(answers) < 8:
                    key = str(len(answers) + 1)
                    state = f"{check.id}={answer.state}"
                    answers.append(AnswerLine(key=key, state=state, text=answer.text))
        answers.append(AnswerLine(key="9", state=_NOTHING, text="Nothing wrong after all"))
        return Prompt(
            "question",
            f"look:{place}",
            f"What do you see: {_words(place)}?",
            answers=tuple(answers),
            commands=("back", "safety", "leave"),
        )

    # questions, checks, cautions ---------------------------------------------------------------

    def _ask(self, view: View, ident: str, person: str) -> Prompt:
        card = find_card(self.reasoner.compiled, ident)
        worth = f"it saves about {view.advice.saving:.1f} {self.reasoner.money.currency}"
        step = step_of(self.reasoner, view, ident, worth)
        commands = ["not_sure", "back", "why", "skip", "safety"]
        commands += ["book", "words"] if view.job.at == "counter" else []
        commands.append("leave")
        if isinstance(card, Check):
            clear = clearance(self.reasoner.knowledge, card.hazards, view.job, person)
            if clear.waiting:
                return self._caution(ident, card.name, clear.waiting, caution_lines(clear.cautions))
        return Prompt(
            "readings" if step.readings else "question",
            ident,
            step.question,
            answers=tuple(step.answers),
            readings=tuple(step.readings),
            steps=tuple(step.steps),
            cautions=tuple(step.cautions),
            why=step.why,
            commands=tuple(commands),
            minutes=step.minutes,
        )

    def _caution(
        self, ident: str, name: str, waiting: Sequence[str], cautions: Sequence[CautionLine]
    ) -> Prompt:
        return Prompt(
            "caution",
            ident,
            f"Before: {name}",
            cautions=tuple(cautions),
            acknowledge=tuple(waiting),
            answers=(AnswerLine(key="7", state="acknowledged", text="Read and understood"),),
            commands=("back", "skip", "safety", "leave"),
        )

    # judgement, sheet, closing -----------------------------------------------------------------

    def _judgement(
        self, view: View, kind: str, ident: str, text: str, answers: Sequence[AnswerLine] = ()
    ) -> Prompt:
        return Prompt(
            kind,
            ident,
            text,
            answers=tuple(answers),
            judgement=judge(self.reasoner, view),
            first_words=self._first_words(view),
            commands=("back", "why", "safety", "leave"),
        )

    def _decide(self, view: View) -> Prompt:
        job = view.job
        if job.at == "counter":
            rows = [("to_bench", "Hand over to the bench"), ("leave", "Save, print the ticket")]
            if not view.job.booked:
                rows.insert(0, ("book", "Book an inspection"))
            return self._judgement(view, "judgement", DECIDE, "The call so far.", _keyed(rows))
        if FOUND in job.skipped:
            return self._found(view)
        rows = []
        stage = self._openable(view)
        if stage is not None:
            rows.append(("sheet", f"Go through the sheet: {stage.name}"))
        rows += [("close", "Close the job: what was found"), ("leave", "Save and leave")]
        text = "Sure enough." if judge(self.reasoner, view).sure_enough else "No check left pays."
        return self._judgement(view, "judgement", DECIDE, text, _keyed(rows))

    def _openable(self, view: View) -> Stage | None:
        if view.signs:
            return self.reasoner.knowledge.stages["do_not_open"]
        return self.reasoner.knowledge.stages[self.reasoner.plan(view).stages[0]]

    def _stage_in_hand(self, job: JobState) -> Stage | None:
        """The sheet that was begun and is not through, or None."""
        begun = [s[6:] for s in job.skipped if s.startswith("sheet:")]
        if not begun:
            return None
        stage = self.reasoner.knowledge.stages[begun[-1]]
        done = {n for name, n in job.steps if name == stage.id}
        return stage if len(done) < len(stage.steps) else None

    def _sheet_step(self, job: JobState, view: View, stage: Stage, person: str) -> Prompt:
        number = len({n for name, n in job.steps if name == stage.id})
        step = stage.steps[number]
        ident = f"step:{stage.id}:{number}"
        clear = clearance(self.reasoner.knowledge, step.hazards, job, person)
        title = f"{stage.name}, step {number + 1} of {len(stage.steps)}"
        if clear.waiting:
            return self._caution(ident, title, clear.waiting, caution_lines(clear.cautions))
        wanted = [f"from the shock's sheet: {_words(name)}: ______" for name in step.asks_sheet]
        blanks = [f"write down: {name}: ______" for name in step.records]
        return Prompt(
            "question",
            ident,
            f"{title}. {step.do}",
            answers=(
                AnswerLine(key="1", state="done", text="Done"),
                AnswerLine(key="2", state="stop", text="Stop here: close the job"),
            ),
            steps=(*wanted, *blanks),
            cautions=tuple(caution_lines(clear.cautions)),
            commands=("safety", "leave"),
        )

    def _found(self, view: View) -> Prompt:
        rows = []
        for ident in list(view.causes)[:7]:
            if ident != UNLISTED:
                rows.append((ident, self.reasoner.knowledge.causes[ident].name))
        rows = rows[:7]
        rows += [(UNLISTED, "None of these"), ("no_fault", "Nothing was wrong")]
        return self._judgement(view, "question", FOUND, "What was really found?", _keyed(rows))

    # what a reply adds -------------------------------------------------------------------------

    def reply(
        self,
        events: Sequence[Event],
        prompt: Prompt,
        value: object,
        *,
        time: str = "",
        person: str = "",
    ) -> list[Event]:
        """Events that a reply to a prompt adds.

        Parameters
        ----------
        value : key, state, free text, or a mapping of readings.

        Raises
        ------
        InputError : not one of the answers; says which there are.
        RefusedError : the step waits for its cautions.
        """
        if prompt.kind == "text":
            text = str(value).strip()
            if not text:
                raise InputError("nothing was said.", next_step="Type the customer's words.")
            return [Complained(time=time, person=person, text=text)]
        if isinstance(value, Mapping):
            return self._measured(events, prompt, value, time, person)
        answer = self._answer(prompt, value)
        return self._chosen(events, prompt, answer.state, time, person)

    def _answer(self, prompt: Prompt, value: object) -> AnswerLine:
        word = str(value).strip()
        for answer in prompt.answers:
            if word in (answer.key, answer.state) or word.lower() == answer.text.lower():
                return answer
        if word in (NOT_SURE, "0") and "not_sure" in prompt.commands:
            return AnswerLine(key="0", state=NOT_SURE, text="Not sure")
        texts = [a.text for a in prompt.answers]
        close = get_close_matches(word, texts, n=1, cutoff=0.8)
        if close:
            return prompt.answers[texts.index(close[0])]
        choices = "; ".join(f"{a.key} {a.text}" for a in prompt.answers)
        raise InputError(f"'{word[:40]}' is not one of the answers.", where=prompt.id,
                         next_step=f"Choose: {choices}.")

    def _measured(
        self,
        events: Sequence[Event],
        prompt: Prompt,
        value: Mapping[str, object],
        time: str,
        person: str,
    ) -> list[Event]:
        if not prompt.readings:
            raise InputError("no readings are asked for here.", where=prompt.id)
        new = answer_events(prompt.id, dict(value), self.reasoner.knowledge, "bench", time)
        new = [e.model_copy(update={"person": person}) for e in new]
        card = self.reasoner.knowledge.checks[prompt.id]
        job = fold(events)
        require(self.reasoner.knowledge, card.hazards, job, person)
        readings = {str(k): str(v) for k, v in value.items()}
        self.reasoner.measure(card, readings, fold([*events, *new]))
        return [*new, *_happenings(card.does, card.id, time, person)]

    def _chosen(
        self, events: Sequence[Event], prompt: Prompt, state: str, time: str, person: str
    ) -> list[Event]:
        stamp = {"time": time, "person": person}
        ident, knowledge = prompt.id, self.reasoner.knowledge
        if prompt.kind == "caution":
            return [Acknowledged(hazards=list(prompt.acknowledge), step=ident, **stamp)]
        if ident == MAIN:
            if state == NOT_SURE:
                return [Skipped(ask=MAIN, **stamp)]
            symptom, word = state.split("=")
            return [Answered(ask=symptom, state=word, by="customer", **stamp)]
        if ident == UNDERSTOOD:
            if state == "right":
                return [Understood(**stamp)]
            return [Answered(ask=state, state=NOT_SURE, by="customer", **stamp)]
        if ident == LOOK:
            if state == _CANNOT:
                return [Skipped(ask=LOOK, **stamp)]
            if state != _NOTHING:
                return [Skipped(ask=f"look:{state}", **stamp)]
            return self._all_well(prompt, stamp)
        if ident.startswith("look:"):
            return self._seen(ident[5:], state, stamp)
        if ident == DECIDE:
            return self._decided(events, state, stamp)
        if ident == FOUND:
            found = [] if state == "no_fault" else [state]
            stage = judge(self.reasoner, self.reasoner.view(fold(events))).stage.id
            return [Closed(found=found, stage=stage, **stamp)]
        if ident.startswith("step:"):
            return self._stepped(events, ident, state, stamp)
        card = find_card(self.reasoner.compiled, ident)
        by = card.at if isinstance(card, Check) else "customer"
        if state == NOT_SURE:
            return [Answered(ask=ident, state=NOT_SURE, by=by, **stamp)]
        if isinstance(card, Check):
            require(knowledge, card.hazards, fold(events), person)
            return [
                Answered(ask=ident, state=state, by=by, **stamp),
                *_happenings(card.does, card.id, time, person),
            ]
        return [Answered(ask=ident, state=state, by=by, **stamp)]

    def _all_well(self, prompt: Prompt, stamp: dict[str, str]) -> list[Event]:
        left = {a.state for a in prompt.answers}
        events: list[Event] = []
        for place, checks in self.places().items():
            if place in left:
                look = checks[0]
                healthy = check_states(self.reasoner, look)[0]
                events.append(Answered(ask=look.id, state=healthy, by="counter", **stamp))
        return events

    def _seen(self, place: str, state: str, stamp: dict[str, str]) -> list[Event]:
        """What was seen at a place; the place's own look is healthy unless it was named."""
        look = self.places()[place][0]
        healthy = check_states(self.reasoner, look)[0]
        if state == _NOTHING:
            return [Answered(ask=look.id, state=healthy, by="counter", **stamp)]
        check, word = state.split("=")
        events: list[Event] = [Answered(ask=check, state=word, by="counter", **stamp)]
        if check != look.id:
            events.append(Answered(ask=look.id, state=healthy, by="counter", **stamp))
        return events

    def _decided(
        self, events: Sequence[Event], state: str, stamp: dict[str, str]
    ) -> list[Event]:
        if state == "book":
            return [Booked(**stamp)]
        if state == "to_bench":
            return [HandedOver(to=stamp["person"], at="bench", **stamp)]
        if state == "sheet":
            stage = self._openable(self.reasoner.view(fold(events)))
            assert stage is not None
            return [Skipped(ask=f"sheet:{stage.id}", **stamp)]
        if state == "close":
            return [Skipped(ask=FOUND, **stamp)]
        return []

    def _stepped(
        self, events: Sequence[Event], ident: str, state: str, stamp: dict[str, str]
    ) -> list[Event]:
        _, name, number = ident.split(":")
        stage = self.reasoner.knowledge.stages[name]
        job = fold(events)
        require(self.reasoner.knowledge, stage.steps[int(number)].hazards, job, stamp["person"])
        if state == "stop":
            return [Skipped(ask=FOUND, **stamp)]
        step = stage.steps[int(number)]
        happened = _happenings(effects_of(step), ident, stamp["time"], stamp["person"])
        return [Stepped(stage=name, number=int(number), **stamp), *happened]

    # commands ----------------------------------------------------------------------------------

    def command(
        self,
        events: Sequence[Event],
        prompt: Prompt,
        name: str,
        *,
        time: str = "",
        person: str = "",
    ) -> list[Event]:
        """Events of one of the `COMMANDS` that change the job; the others add nothing.

        Raises
        ------
        InputError : not a command of this prompt.
        """
        if name not in prompt.commands:
            choices = ", ".join(COMMANDS[c] for c in prompt.commands)
            raise InputError(f"'{name}' does nothing here.", next_step=f"Here: {choices}.")
        stamp = {"time": time, "person": person}
        if name == "back":
            number = undoable(events)
            if number is None:
                raise InputError("there is nothing to take back.")
            return [Withdrawn(number=number, **stamp)]
        if name == "skip":
            return [Skipped(ask=prompt.id, **stamp)]
        if name == "book":
            return [Booked(**stamp)]
        if name == "not_sure":
            return self._chosen(events, prompt, NOT_SURE, time, person)
        return []


def check_states(reasoner: Reasoner, check: Check) -> list[str]:
    """States of what a check observes, the healthy one first."""
    return reasoner.compiled.states(check.observes)


def _happenings(what: Sequence[str], step: str, time: str, person: str) -> list[Event]:
    return [
        Happened(what=name, step=step, time=time, person=person)
        for name in what
        if name in HAPPENINGS
    ]


def _keyed(rows: Sequence[tuple[str, str]]) -> list[AnswerLine]:
    return [AnswerLine(key=str(n), state=state, text=text) for n, (state, text) in enumerate(rows, 1)]


def _words(ident: str) -> str:
    return ident.replace("_", " ")
