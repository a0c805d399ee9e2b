"""The conversation: what to show next for a list of events, and what a reply adds to the list.

Rules
-----
- `prompt` and `reply` are pure; every door (terminal, JSON lines, training) drives these two.
- A prompt carries all that a door needs: text, answers with keys, readings wanted, cautions first.
- A reply is a key, a state, a text or readings; what cannot be understood raises `InputError` and
  leaves the events as they were.
- A step behind the gate is never offered: its cautions are the prompt until they are acknowledged,
  with a key that differs from the last one pressed, and no way to skip them in a sheet.
- A reply after a long break is not taken for a step that waits for cautions: they come again.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from difflib import get_close_matches
from typing import Any, cast

from diagnose.belief.compiled import UNLISTED
from diagnose.errors import InputError, RefusedError
from diagnose.knowledge.models import Check, Stage
from diagnose.session.events import (
    HAPPENINGS,
    NOT_SURE,
    Acknowledged,
    Answered,
    Approved,
    Booked,
    Closed,
    Complained,
    Event,
    HandedOver,
    Happened,
    Happening,
    Resumed,
    Skipped,
    Stepped,
    Understood,
    Withdrawn,
)
from diagnose.session.evidence import PLAIN_FROM
from diagnose.session.gate import (
    REASONS,
    Clearance,
    Roles,
    clearance,
    effects_of,
    obstacle,
    ready_key,
    require,
    require_way,
    supervisor,
)
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
from diagnose.session.options import find_card
from diagnose.session.reasoner import Reasoner, View
from diagnose.session.state import JobState, fold, long_break, undoable
from diagnose.symptom_graph.cautions import must_acknowledge
from diagnose.symptom_graph.routes import (
    CAN_CLOSE,
    DO_NOT_OPEN,
    Deed,
    check_deed,
    deed_of,
    step_deed,
)

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
DECIDE, FOUND = "decide", "found"
_APPROVAL, _SUPERVISOR = "approval:", "supervisor:"

#: keys of an acknowledgement: the second where the first was just pressed for something else
_ACKNOWLEDGE = ("7", "8")

#: certainty below which the reading of the words is put to the customer
_CONFIRM_BELOW = 0.5

NOTHING = "nothing"


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
    """Prompts and replies over one reasoner.

    Parameters
    ----------
    roles : who of the shop may do what; None: everybody may do everything.
    """

    def __init__(self, reasoner: Reasoner, roles: Roles | None = None) -> None:
        self.reasoner = reasoner
        self.roles = roles or Roles()

    # what to show ------------------------------------------------------------------------------

    def prompt(self, events: Sequence[Event], person: str = "", last_key: str = "") -> Prompt:
        """The next thing to show for these events.

        Parameters
        ----------
        person : who reads it. last_key : the key that was pressed last, so that the same key
        pressed once too often acknowledges nothing.
        """
        prompt = self._prompt(events, person)
        if prompt.kind == "caution" and last_key == prompt.answers[0].key:
            answer = prompt.answers[0].model_copy(update={"key": _ACKNOWLEDGE[1]})
            prompt = replace(prompt, answers=(answer,))
        return prompt

    def _prompt(self, events: Sequence[Event], person: str) -> Prompt:
        job = fold(events)
        if not job.complaint and not job.reports and job.at == "counter":
            return Prompt(
                "text", COMPLAINT, "What does the customer say?", commands=("safety", "leave")
            )
        view = self.reasoner.view(job)
        if job.closed is not None:
            return self._judgement(view, "done", "closed", "This job is closed.")
        if job.at == "counter":
            return self._counter(job, view, person)
        return self._bench(job, view, person)

    def _counter(self, job: JobState, view: View, person: str) -> Prompt:
        first = self._first_words(view)
        heard = self._heard(view)
        if not view.items and MAIN not in job.skipped:
            return self._main(first)
        if job.booked:
            return self._decide(view)
        if not job.confirmed and self._doubtful(view):
            return self._understood(view, first, heard)
        look = self._look(job, view)
        if look is not None:
            return self._with(look, first, heard)
        ident = self._advised(view)
        if ident is None:
            return self._decide(view)
        return self._with(self._ask(view, ident, person or job.person), first, heard)

    def _bench(self, job: JobState, view: View, person: str) -> Prompt:
        if FOUND in job.skipped:
            return self._found(view)
        stage = self._stage_in_hand(job)
        if stage is not None:
            return self._sheet_step(job, view, stage, person)
        ident = self._advised(view)
        if ident is not None and DECIDE not in job.skipped:
            return self._ask(view, ident, person)
        return self._decide(view)

    def _advised(self, view: View) -> str | None:
        """The question or check that comes next, if the gate has nothing against it."""
        if view.advice.option is None:
            return None
        ident = view.options[view.advice.option].id
        deed = deed_of(self.reasoner.knowledge, ident)
        forbidden = deed is not None and self._obstacle(view, deed) == "sign"
        return None if forbidden else ident

    def _obstacle(self, view: View, deed: Deed) -> str:
        return obstacle(
            self.reasoner.knowledge,
            deed,
            view.job,
            sign=bool(view.signs),
            clearing=_clearing(view),
        )

    def _with(
        self,
        prompt: Prompt,
        first: tuple[CautionLine, ...],
        heard: tuple[tuple[str, str, str, bool], ...],
    ) -> Prompt:
        return Prompt(**{**prompt.__dict__, "first_words": first, "heard": heard})

    def _doubtful(self, view: View) -> bool:
        """Nothing of the customer's words is certain enough, and nothing else is known."""
        said = [item for item in view.items if item.by == "customer"]
        return bool(said) and all(item.words and item.certainty < _CONFIRM_BELOW for item in said)

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
            if said.certainty < PLAIN_FROM:
                continue
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

    def _look(self, job: JobState, view: View) -> Prompt | None:
        """All places in one question: the signs that are seen most, a key each."""
        pack, checks = self.reasoner.knowledge.pack, self.reasoner.knowledge.checks
        if job.channel in ("phone", "mail") or LOOK in job.skipped:
            return None
        done = {ask for ask, _ in job.reports}
        if all(ident in done for ident in pack.look):
            return None
        begun = any(sign.check in done for sign in pack.look_signs)
        answers = [AnswerLine(key="1", state=NOTHING, text="Nothing else" if begun else "All well")]
        for sign in pack.look_signs:
            if sign.check not in done:
                state = f"{sign.check}={sign.state}"
                answers.append(AnswerLine(key=str(len(answers) + 1), state=state, text=sign.text))
        places = ", ".join(_words(checks[ident].place or ident) for ident in pack.look)
        text = f"Look at five places, 20 seconds: {places}. What do you see?"
        return Prompt(
            "question",
            LOOK,
            text if not begun else "Anything else at the five places?",
            answers=tuple(answers),
            why="Whether it may be ridden rests on what was looked at.",
            commands=("not_sure", "back", "why", "safety", "book", "leave"),
            minutes=0.3,
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
            deed = check_deed(card)
            if self._obstacle(view, deed):
                return self._ready(card)
            held = self._held(deed, view.job, person)
            if held is not None:
                return held
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

    def _held(self, deed: Deed, job: JobState, person: str) -> Prompt | None:
        """What this person has to read or have signed before the deed, or None."""
        clear = clearance(self.reasoner.knowledge, deed, job, person, self.roles)
        if clear.waiting:
            return self._caution(deed, clear)
        if clear.unsigned:
            return Prompt(
                "text",
                f"{_SUPERVISOR}{deed.ident}",
                "Initials of the supervisor who read the cautions with you and stands beside?",
                cautions=tuple(caution_lines(clear.cautions)),
                acknowledge=clear.unsigned,
                commands=("back", "safety", "leave"),
            )
        return None

    def _caution(self, deed: Deed, clear: Clearance) -> Prompt:
        return Prompt(
            "caution",
            deed.ident,
            f"Before: {deed.name}",
            cautions=tuple(caution_lines(clear.cautions)),
            acknowledge=clear.waiting,
            answers=(
                AnswerLine(key=_ACKNOWLEDGE[0], state="acknowledged", text="Read and understood"),
            ),
            # A check may be left out with its cautions; a sheet has no step to leave out.
            commands=("back", *(() if deed.stage else ("skip",)), "safety", "leave"),
        )

    def _ready(self, card: Check) -> Prompt:
        """Asked before a check that opens something, as the sheets ask it before theirs."""
        return Prompt(
            "question",
            ready_key(card.id),
            f"{card.name} opens the shock. Is written down how it came in, and can we close it "
            "again today (sheet, seals, tools, time)?",
            answers=(
                AnswerLine(key="1", state="ready", text="Yes, both"),
                AnswerLine(key="2", state="not_ready", text="No, leave this check out"),
            ),
            commands=("not_sure", "back", "safety", "leave"),
        )

    def _approval(self, stage: Stage) -> Prompt:
        return Prompt(
            "question",
            f"{_APPROVAL}{stage.id}",
            f"Has the customer agreed to this: {stage.name}?",
            answers=(
                AnswerLine(key="1", state="agreed", text="Yes, agreed"),
                AnswerLine(key="2", state="declined", text="No, declined"),
            ),
            why="Nothing is opened that the customer has not agreed to.",
            commands=("back", "why", "safety", "leave"),
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
        stage = self._openable(view)
        rows = []
        sure = judge(self.reasoner, view).sure_enough
        text = "Sure enough to go ahead." if sure else "No check left is worth its minutes."
        if stage is not None and self._declined(stage, job):
            text = f"The customer declined: {stage.name}. Nothing is opened."
        elif stage is not None:
            rows.append(("sheet", f"Go through the sheet: {stage.name}"))
        rows += [("close", "Close the job: what was found"), ("leave", "Save and leave")]
        return self._judgement(view, "judgement", DECIDE, text, _keyed(rows))

    def _openable(self, view: View) -> Stage | None:
        """The sheet that comes next: of the plan, or for a shock that is not opened."""
        plan = (DO_NOT_OPEN,) if view.signs else self.reasoner.plan(view).stages
        for ident in plan:
            stage = self.reasoner.knowledge.stages[ident]
            if _next_step(view.job, stage) < len(stage.steps):
                return stage
        return None

    def _declined(self, stage: Stage, job: JobState) -> bool:
        answer = job.approved
        return (
            bool(stage.opens)
            and answer is not None
            and answer.declined
            and (not answer.stages or stage.id in answer.stages)
        )

    def _stage_in_hand(self, job: JobState) -> Stage | None:
        """The sheet that was begun and is not through, or None.

        A sheet of which a step was done is gone through to its end before anything else is done
        to the shock: what its steps proved of the chambers must still hold at the next one. Only
        the sheet for a shock that is not opened comes before it.
        """
        chosen = [s[6:] for s in job.skipped if s.startswith("sheet:")]
        begun = [name for name, _ in reversed(job.steps)]
        first = [name for name in chosen[-1:] if name == DO_NOT_OPEN]
        for name in (*first, *begun, *reversed(chosen)):
            stage = self.reasoner.knowledge.stages[name]
            if _next_step(job, stage) < len(stage.steps):
                return stage
        return None

    def _sheet_step(self, job: JobState, view: View, stage: Stage, person: str) -> Prompt:
        number = _next_step(job, stage)
        step, deed = stage.steps[number], step_deed(stage, number)
        reason = self._obstacle(view, deed)
        if reason == "approval" and not self._declined(stage, job):
            return self._approval(stage)
        if reason:
            what, follow = REASONS[reason]
            return self._refused(view, f"{deed.name}: {what} {follow}")
        held = self._held(deed, job, person)
        if held is not None:
            return held
        wanted = [f"from the shock's sheet: {_words(name)}: ______" for name in step.asks_sheet]
        blanks = [f"write down: {name}: ______" for name in step.records]
        done, stop = "Done", "Stop here: close the job"
        if CAN_CLOSE in step.marks:
            done, stop = "Yes, we can close it again today", "No: it is not opened today"
        clear = clearance(self.reasoner.knowledge, deed, job, person, self.roles)
        return Prompt(
            "question",
            deed.ident,
            f"{deed.name} of {len(stage.steps)}. {step.do}",
            answers=(
                AnswerLine(key="1", state="done", text=done),
                AnswerLine(key="2", state="stop", text=stop),
            ),
            steps=(*wanted, *blanks),
            cautions=tuple(caution_lines(clear.cautions)),
            commands=("safety", "leave"),
        )

    def _refused(self, view: View, text: str) -> Prompt:
        """The call, with the reason why the sheet in hand does not go on."""
        rows = [("close", "Close the job: what was found"), ("leave", "Save and leave")]
        stage = self._openable(view)
        if stage is not None and stage.id == DO_NOT_OPEN:
            rows.insert(0, ("sheet", f"Go through the sheet: {stage.name}"))
        return self._judgement(view, "judgement", DECIDE, text, _keyed(rows))

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
        if prompt.id.startswith(_SUPERVISOR):
            return self._signed(events, prompt, str(value), time, person)
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
        raise InputError(
            f"'{word[:40]}' is not one of the answers.",
            where=prompt.id,
            next_step=f"Choose: {choices}.",
        )

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
        again = self._gate(events, check_deed(card), time, person)
        if again:
            return again
        readings = {str(k): str(v) for k, v in value.items()}
        self.reasoner.measure(card, readings, fold([*events, *new]))
        return [*new, *_happenings(card.does, card.id, time, person)]

    def _chosen(
        self, events: Sequence[Event], prompt: Prompt, state: str, time: str, person: str
    ) -> list[Event]:
        stamp: dict[str, Any] = {"time": time, "person": person}
        ident = prompt.id
        if prompt.kind == "caution":
            self._same_state(events, prompt, person)
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
            if state == NOT_SURE:
                return [Skipped(ask=LOOK, **stamp)]
            if state != NOTHING:
                check, word = state.split("=")
                return [Answered(ask=check, state=word, by="counter", **stamp)]
            return self._all_well(fold(events), stamp)
        if ident == DECIDE:
            return self._decided(events, state, stamp)
        if ident == FOUND:
            found = [] if state == "no_fault" else [state]
            stage = judge(self.reasoner, self.reasoner.view(fold(events))).stage.id
            return [Closed(found=found, stage=stage, **stamp)]
        if ident.startswith("step:"):
            return self._stepped(events, ident, state, stamp)
        if ident.startswith(ready_key("")):
            word = ident if state == "ready" else ident.removeprefix(ready_key(""))
            return [Skipped(ask=word, **stamp)]
        if ident.startswith(_APPROVAL):
            stage = ident.removeprefix(_APPROVAL)
            return [Approved(stages=[stage], declined=state != "agreed", **stamp)]
        card = find_card(self.reasoner.compiled, ident)
        by = card.at if isinstance(card, Check) else "customer"
        if state == NOT_SURE:
            return [Answered(ask=ident, state=NOT_SURE, by=by, **stamp)]
        if isinstance(card, Check):
            again = self._gate(events, check_deed(card), time, person)
            if again:
                return again
            return [
                Answered(ask=ident, state=state, by=by, **stamp),
                *_happenings(card.does, card.id, time, person),
            ]
        return [Answered(ask=ident, state=state, by=by, **stamp)]

    def _all_well(self, job: JobState, stamp: dict[str, Any]) -> list[Event]:
        """The healthy answer of each of the look's checks that was not answered."""
        done = {ask for ask, _ in job.reports}
        return [
            Answered(
                ask=ident,
                state=self.reasoner.compiled.states(self.reasoner.knowledge.checks[ident].observes)[
                    0
                ],
                by="counter",
                **stamp,
            )
            for ident in self.reasoner.knowledge.pack.look
            if ident not in done
        ]

    def _last_reply(self, events: Sequence[Event]) -> list[int]:
        """Numbers of the events that the latest reply added: 'all well' answers several checks."""
        numbers: list[int] = []
        events = list(events)
        while (number := undoable(events)) is not None:
            if numbers and not self._well(events[number]):
                break
            numbers.append(number)
            if not self._well(events[number]):
                break
            events.append(Withdrawn(number=number))
        return numbers

    def _well(self, event: Event) -> bool:
        """A check of the look that found nothing."""
        if not isinstance(event, Answered) or event.ask not in self.reasoner.knowledge.pack.look:
            return False
        observes = self.reasoner.knowledge.checks[event.ask].observes
        return event.state == self.reasoner.compiled.states(observes)[0]

    def _decided(self, events: Sequence[Event], state: str, stamp: dict[str, Any]) -> list[Event]:
        if state == "book":
            return [Booked(**stamp)]
        if state == "to_bench":
            return [HandedOver(to=stamp["person"], at="bench", **stamp)]
        if state == "sheet":
            stage = self._openable(self.reasoner.view(fold(events)))
            if stage is None:
                raise RefusedError(
                    "no sheet is left to go through.", where=DECIDE, next_step="Close the job."
                )
            return [Skipped(ask=f"sheet:{stage.id}", **stamp)]
        if state == "close":
            return [Skipped(ask=FOUND, **stamp)]
        return []

    def _stepped(
        self, events: Sequence[Event], ident: str, state: str, stamp: dict[str, Any]
    ) -> list[Event]:
        _, name, number = ident.split(":")
        stage = self.reasoner.knowledge.stages[name]
        if state == "stop":
            return [Skipped(ask=FOUND, **stamp)]
        job = fold(events)
        if self._stage_in_hand(job) != stage or int(number) != _next_step(job, stage):
            raise RefusedError(
                "another step of this sheet comes first.",
                where=ident,
                next_step="Go through the sheet in its order.",
            )
        deed = step_deed(stage, int(number))
        again = self._gate(events, deed, stamp["time"], stamp["person"])
        if again:
            return again
        happened = _happenings(
            effects_of(stage.steps[int(number)]), ident, stamp["time"], stamp["person"]
        )
        return [Stepped(stage=name, number=int(number), **stamp), *happened]

    # the gate ----------------------------------------------------------------------------------

    def _gate(self, events: Sequence[Event], deed: Deed, time: str, person: str) -> list[Event]:
        """Refuse a deed, or say what comes before it: resuming, after a long break.

        Raises
        ------
        RefusedError : cautions, initials, a sign, approval or order stand in the way.
        """
        job, knowledge = fold(events), self.reasoner.knowledge
        keyed = must_acknowledge(knowledge, deed.hazards, job.chambers)
        if keyed and long_break(job.time, time):
            return [Resumed(time=time, person=person)]
        require(knowledge, deed, job, person, self.roles)
        if deed.effects or deed.stage:
            in_hand = self._stage_in_hand(job)
            if in_hand is not None and deed.stage != in_hand.id:
                raise RefusedError(
                    f"the sheet '{in_hand.name}' is in hand.",
                    where=deed.ident,
                    next_step="Go through it to its end first.",
                )
            view = self.reasoner.view(job)
            require_way(knowledge, deed, job, sign=bool(view.signs), clearing=_clearing(view))
        return []

    def _same_state(self, events: Sequence[Event], prompt: Prompt, person: str) -> None:
        """Refuse a key for cautions that were shown in another state of the shock.

        Raises
        ------
        RefusedError : the cautions have to be shown again.
        """
        deed = deed_of(self.reasoner.knowledge, prompt.id)
        assert deed is not None
        clear = clearance(self.reasoner.knowledge, deed, fold(events), person, self.roles)
        if list(prompt.cautions) != caution_lines(clear.cautions) or (
            set(prompt.acknowledge) != set(clear.waiting)
        ):
            raise RefusedError(
                "these cautions were shown before something changed.",
                where=prompt.id,
                next_step="Read them as they are now.",
            )

    def _signed(
        self, events: Sequence[Event], prompt: Prompt, initials: str, time: str, person: str
    ) -> list[Event]:
        """The apprentice's acknowledgement again, with the second name on it.

        Raises
        ------
        InputError : not somebody who may supervise this.
        """
        deed = deed_of(self.reasoner.knowledge, prompt.id.removeprefix(_SUPERVISOR))
        assert deed is not None
        clear = clearance(self.reasoner.knowledge, deed, fold(events), person, self.roles)
        name = supervisor(self.roles, clear.right, initials)
        return [
            Acknowledged(
                hazards=list(clear.unsigned),
                step=deed.ident,
                supervisor=name,
                time=time,
                person=person,
            )
        ]

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
        stamp: dict[str, Any] = {"time": time, "person": person}
        if name == "back":
            numbers = self._last_reply(events)
            if not numbers:
                raise InputError("there is nothing to take back.")
            return [Withdrawn(number=number, **stamp) for number in numbers]
        if name == "skip":
            return [Skipped(ask=prompt.id, **stamp)]
        if name == "book":
            return [Booked(**stamp)]
        if name == "not_sure":
            return self._chosen(events, prompt, NOT_SURE, time, person)
        return []


def _next_step(job: JobState, stage: Stage) -> int:
    """Number of the first step of a sheet that is not done."""
    done = {n for name, n in job.steps if name == stage.id}
    return next(n for n in range(len(stage.steps) + 1) if n not in done)


def _clearing(view: View) -> list[str]:
    """Checks that may clear the standing signs."""
    return [check for sign in view.signs for check in sign.clearing]


def _happenings(what: Sequence[str], step: str, time: str, person: str) -> list[Event]:
    return [
        Happened(what=cast(Happening, name), step=step, time=time, person=person)
        for name in what
        if name in HAPPENINGS
    ]


def _keyed(rows: Sequence[tuple[str, str]]) -> list[AnswerLine]:
    return [
        AnswerLine(key=str(n), state=state, text=text) for n, (state, text) in enumerate(rows, 1)
    ]


def _words(ident: str) -> str:
    return ident.replace("_", " ")
