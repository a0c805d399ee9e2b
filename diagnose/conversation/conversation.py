"""The conversation: what to show next for a list of events, and what a reply adds to the list.

Rules
-----
- `prompt` and `reply` are pure; every door (terminal, JSON lines, training) drives these two.
- A prompt carries all that a door needs: text, answers with keys, readings wanted, cautions first.
- A reply is a key, a state, a text or readings; what cannot be understood raises `InputError` and
  leaves the events as they were.
- The order of prompts is decided here. What they look like is in `questions`, `sheet_steps` and
  `endings`; what stands before a deed in `guarding`; what a reply adds in `answers`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from diagnose.conversation.answers import chosen, chosen_several, last_reply, measured
from diagnose.conversation.batch import Result, check_list
from diagnose.conversation.closing import closing_prompt, closing_reply, is_closing
from diagnose.conversation.endings import closed, decide, first_words, set_back, told, told_reply
from diagnose.conversation.guarding import Desk, other_key, read_whole, signed, unread
from diagnose.conversation.prompts import (
    COMMANDS,
    COMPLAINT,
    MORE,
    SUPERVISOR,
    TOLD,
    Prompt,
)
from diagnose.conversation.questions import advised, ask, first_sight, look, look_begun
from diagnose.conversation.second_reading import FIRST, SECOND, read_half, twice
from diagnose.conversation.sheet_steps import sheet_step
from diagnose.conversation.taking import take
from diagnose.conversation.understanding import (
    corrected,
    main,
    more,
    told_more,
    understood,
)
from diagnose.conversation.writing import STEP, written
from diagnose.errors import InputError
from diagnose.job.agreement import untold
from diagnose.job.events import (
    NOT_SURE,
    Booked,
    Complained,
    Event,
    MoreLeft,
    NoteLeft,
    Skipped,
    Withdrawn,
)
from diagnose.job.gate import House, Roles
from diagnose.job.state import JobState, fold
from diagnose.reasoning.chosen_sheet import sheet_in_hand
from diagnose.reasoning.hearing import heard_lines, not_heard_lines
from diagnose.reasoning.judgement import HeardLine
from diagnose.reasoning.open_options import asked_at_bench, asked_at_counter
from diagnose.reasoning.reasoner import Reasoner, View

__all__ = ["Conversation"]


class Conversation:
    """Prompts and replies over one reasoner.

    Parameters
    ----------
    roles : who of the shop may do what; None: everybody may do everything.
    house : how the shop works; None: it asks before it opens, and it has everything.
    """

    def __init__(
        self, reasoner: Reasoner, roles: Roles | None = None, house: House | None = None
    ) -> None:
        self.reasoner = reasoner
        self.roles = roles or Roles()
        self._desk = Desk(self.reasoner, self.roles, house or House())

    # what to show ------------------------------------------------------------------------------

    def prompt(self, events: Sequence[Event], person: str = "", last_key: str = "") -> Prompt:
        """The next thing to show for these events.

        Parameters
        ----------
        person : who reads it. last_key : the key that was pressed last, so that the same key
        pressed once too often acknowledges nothing.
        """
        return other_key(self._prompt(events, person), last_key)

    def _prompt(self, events: Sequence[Event], person: str) -> Prompt:
        job = fold(events)
        nothing = not job.complaint and not job.reports and job.choices.ending is None
        if nothing and job.at == "counter" and job.closed is None:
            return Prompt(
                "text", COMPLAINT, "What does the customer say?", commands=("safety", "leave")
            )
        view = self.reasoner.view(job)
        if job.closed is not None:
            return closed(self._desk, view)
        if job.choices.ending is not None:
            return closing_prompt(self._desk, view)
        if untold(job):
            return told(self._desk, job)
        if job.at == "counter":
            return self._counter(job, view, person)
        return self._bench(job, view, person)

    def _counter(self, job: JobState, view: View, person: str) -> Prompt:
        return replace(
            self._counter_step(job, view, person),
            first_words=first_words(self._desk, view),
            heard=heard_lines(view.belief),
            not_heard=not_heard_lines(view.belief),
        )

    def _counter_step(self, job: JobState, view: View, person: str) -> Prompt:
        if job.booked:
            return decide(self._desk, view)
        if view.in_doubt:
            return understood(view)
        if not view.belief.complained and not job.choices.words_left:
            return main(self._desk)
        if self._more_stands(job):
            return more(self._desk)
        places = look(self._desk, job)
        if places is not None:
            sight = None if look_begun(self._desk, job) else first_sight(self._desk, job)
            return sight or places
        ident = advised(self._desk, view)
        return decide(self._desk, view) if ident is None else ask(self._desk, view, ident, person)

    def _more_stands(self, job: JobState) -> bool:
        """The open question: once the words are settled, and before anything else is asked.

        What is not asked then is not asked any more: an older job goes on.
        """
        if job.asked_for_more or job.choices.look_left or look_begun(self._desk, job):
            return False
        asked = asked_at_counter(self.reasoner.knowledge, job) - job.choices.words_left
        return job.confirmed or not asked

    def _bench(self, job: JobState, view: View, person: str) -> Prompt:
        stage = sheet_in_hand(self.reasoner, job)
        if stage is not None and not job.set_back:
            return sheet_step(self._desk, job, view, stage, person)
        reading = twice(self._desk, job, view, person)
        if reading is not None:
            return reading
        fresh = job.untouched and not asked_at_bench(self.reasoner.knowledge, job)
        prompt = first_sight(self._desk, job) if fresh else None
        ident = advised(self._desk, view)
        if prompt is None and ident is not None:
            prompt = ask(self._desk, view, ident, person)
        if prompt is None:
            return set_back(self._desk, view, stage) if stage else decide(self._desk, view)
        return replace(prompt, first_words=first_words(self._desk, view))

    def again(self, events: Sequence[Event], ident: str, person: str = "") -> Prompt:
        """A question or check once more, or what stands before it."""
        return ask(self._desk, self.reasoner.view(fold(events)), ident, person)

    def check_list(self, events: Sequence[Event], person: str = "") -> tuple[Prompt, ...]:
        """Checks to do together and type at once, as of these events; see `batch`."""
        return check_list(self._desk, events, person)

    def results(
        self, events: Sequence[Event], typed: Sequence[Result], *, time: str = "", person: str = ""
    ) -> list[Event]:
        """Events that the results of a check list add, all of them or none.

        Raises
        ------
        InputError, RefusedError : as `reply`, of the first result that cannot count.
        """
        new: list[Event] = []
        for result in typed:
            so_far = [*events, *new]
            new += self.reply(so_far, result.prompt, result.value, time=time, person=person)
        return new

    def heard(self, events: Sequence[Event]) -> tuple[HeardLine, ...]:
        """What was made of the customer's words, the surest first."""
        return heard_lines(self.reasoner.view(fold(events)).belief)

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
        value : key, state, free text, a mapping of readings, or where a prompt takes several
        answers a list of them.

        Raises
        ------
        InputError : not one of the answers; says which there are.
        RefusedError : the step waits for its cautions.
        """
        again = unread(events, prompt, time, person)
        if again:
            return again
        new = self._reply(events, prompt, value, time, person)
        return [*read_whole(events, prompt, time, person), *new] if new else new

    def _reply(
        self, events: Sequence[Event], prompt: Prompt, value: object, time: str, person: str
    ) -> list[Event]:
        if prompt.id.startswith(SUPERVISOR):
            return signed(self._desk, events, prompt, str(value), time, person)
        if is_closing(prompt.id):
            stamp = {"time": time, "person": person}
            return closing_reply(self._desk, events, prompt, value, stamp)
        if prompt.id == MORE:
            return told_more(self._desk, str(value), {"time": time, "person": person})
        if prompt.id == TOLD:
            return told_reply(events, str(value), time, person)
        if prompt.several and isinstance(value, (list, tuple)):
            states = [prompt.named(one).state for one in value]
            return chosen_several(self._desk, events, prompt, states, time, person)
        if prompt.kind == "text":
            text = str(value).strip()
            if not text:
                raise InputError("nothing was said.", next_step="Type the customer's words.")
            return [Complained(time=time, person=person, text=text)]
        if isinstance(value, Mapping) and prompt.id.startswith((FIRST, SECOND)):
            return read_half(self._desk, events, prompt, value, time, person)
        if isinstance(value, Mapping) and prompt.id.startswith(STEP):
            stamp = {"time": time, "person": person}
            return written(self.reasoner.knowledge.device, fold(events), prompt, value, stamp)
        if isinstance(value, Mapping):
            return measured(self._desk, events, prompt, value, time, person)
        state = prompt.named(value).state
        return chosen(self._desk, events, prompt, state, time, person)

    def take(self, prompt: Prompt, name: str, text: str) -> tuple[str, str]:
        """One reading as it is typed, see `taking.take`."""
        return take(self.reasoner.knowledge, prompt, name, text)

    def correct(
        self,
        events: Sequence[Event],
        prompt: Prompt,
        wishes: Mapping[str, str],
        *,
        time: str = "",
        person: str = "",
    ) -> list[Event]:
        """Events that correct what was heard: symptom id -> ``struck``, ``meant`` or a state.

        Raises
        ------
        InputError : not where this prompt stands, or not something that can be corrected so.
        """
        if "words" not in prompt.commands:
            raise InputError("what was heard is corrected at the counter.", where=prompt.id)
        return corrected(self._desk, events, wishes, {"time": time, "person": person})

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
            numbers = last_reply(self._desk, events)
            if not numbers:
                raise InputError("there is nothing to take back.")
            return [Withdrawn(number=number, **stamp) for number in numbers]
        if name == "skip":
            return [NoteLeft(**stamp) if prompt.id == TOLD else Skipped(ask=prompt.id, **stamp)]
        if name == "book":
            return [Booked(**stamp)]
        if name == "not_sure" and prompt.id == MORE:
            return [MoreLeft(**stamp)]
        if name == "not_sure":
            return chosen(self._desk, events, prompt, NOT_SURE, time, person)
        return []
