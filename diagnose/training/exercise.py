"""One session: moves in, what to show next out; the same moves on the same scenario are the same.

Rules
-----
- A session is a scenario and a list of moves; everything else follows from them, so that a session
  that was broken off goes on where it was, and a finished one can be looked at again.
- A move that cannot be understood raises `InputError` and changes nothing.
- No hazardous step before its cautions were acknowledged. What the gate of a real job forbids can
  be done here after them: its consequence is told, and it counts as a lapse.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from pydantic import BaseModel, ConfigDict

from diagnose.conversation.guarding import happenings
from diagnose.conversation.prompts import Prompt
from diagnose.errors import InputError
from diagnose.job.events import Acknowledged, Answered, Event, HandedOver, Happened
from diagnose.job.job_file import events_of
from diagnose.job.state import fold
from diagnose.knowledge.models import Check
from diagnose.reasoning.judgement import AnswerLine, judge
from diagnose.symptom_graph.cautions import hazards_met
from diagnose.symptom_graph.routes import check_deed, sheet_hazards
from diagnose.training.answers import Answers
from diagnose.training.calling import (
    BACK,
    MORE,
    NO_FAULT,
    NONE,
    QUESTIONS,
    allowed,
    answer_words,
    call_answers,
    call_of,
    named_in,
    percent,
)
from diagnose.training.consequences import forbidden, lapses_of_call, opened
from diagnose.training.hints import hint
from diagnose.training.menu import OPEN, choices, openings
from diagnose.training.moment import LOOK, Coach, Moment, StepClass
from diagnose.training.scenario import Scenario
from diagnose.training.scoring import Call, Lapse, Result, Step, result_of
from diagnose.training.showing import (
    CALL,
    HINT,
    caution_prompt,
    find,
    name_of,
    said,
    ticket,
    work_prompt,
)

__all__ = ["Exercise", "Move"]

#: belief is drawn for so many suspects
_DRAWN = 6

Kind = Literal[
    "do",
    "acknowledge",
    "leave_out",
    "more",
    "back",
    "hint",
    "call",
    "stage",
    "also",
    "cause",
    "second",
    "ride",
    "sure",
]


class Move(BaseModel):
    """One thing that the apprentice did."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    kind: Kind
    value: str = ""


class Exercise:
    """A session of one scenario.

    Parameters
    ----------
    moves : of a session that goes on.

    Attributes
    ----------
    told : what the last move brought, for the person who made it. called : parts of the call so
    far.
    """

    def __init__(self, coach: Coach, scenario: Scenario, moves: Iterable[Move] = ()) -> None:
        self.coach = coach
        self.scenario = scenario
        events, _ = events_of(
            {"complaint": scenario.complaint, "shock": scenario.shock}, coach.knowledge
        )
        self.events: list[Event] = [*events, HandedOver(to="", at="bench")]
        self.answers = Answers(coach.compiled, scenario, fold(self.events))
        self.moves: list[Move] = []
        self.steps: list[Step] = []
        self.hints: list[float] = []
        self.lapses: list[Lapse] = []
        self.told = ""
        self.moment: Moment = coach.moment(fold(self.events))
        self.floor = self.moment.best + self.moment.look_price
        self._pending = ""
        self._sheet = 0
        self._hinted = 0
        self.called: dict[str, str] = {}
        self._asked: list[str] = []
        for move in moves:
            self.apply(move)

    # where it stands ---------------------------------------------------------------------------

    @property
    def phase(self) -> str:
        """``work``, ``caution``, ``stage``, ``also``, ``cause``, ``second``, ``ride``, ``sure`` or
        ``done``."""
        if self._pending:
            return "caution"
        if "call" not in self.called:
            return "work"
        order = ("stage", "also", "cause", "second", "ride", "sure")
        return next((part for part in order if part not in self.called), "done")

    @property
    def result(self) -> Result:
        """The score; only once the call was made.

        Raises
        ------
        InputError : the session is not at its end.
        """
        if self.phase != "done":
            raise InputError("the call is not made yet.", next_step="Make the call first.")
        return result_of(
            self.scenario.id,
            self.scenario.skill,
            self.floor,
            self.steps,
            self.hints,
            self.lapses,
            self._call(),
        )

    def prompt(self) -> Prompt:
        """What to show next."""
        match self.phase:
            case "work":
                return self._work()
            case "caution":
                return self._caution()
            case "done":
                judgement = judge(self.coach, self.moment.view)
                return Prompt("done", "debrief", "The session is over.", judgement=judgement)
            case part:
                return Prompt("question", part, QUESTIONS[part], answers=self._answers(part))

    def _work(self) -> Prompt:
        idents = choices(self.moment, self.scenario.seed, len(self.steps), self._sheet)
        complaint = "" if self.moves else " ".join(self.known())
        return work_prompt(self.coach, self.moment.view, complaint, idents)

    def _caution(self) -> Prompt:
        ident = self._pending
        return caution_prompt(self.coach, ident, self._hazards(ident), self._waiting(ident))

    def known(self) -> list[str]:
        """How it came in and everything that was told since, a line each."""
        lines = [f"The customer: “{self.scenario.complaint}”", ticket(self.scenario.shock)]
        lines += [said(step.name, step.told) for step in self.steps if step.told]
        return [line for line in lines if line]

    # what a reply means ------------------------------------------------------------------------

    def reply(self, value: object) -> Move:
        """The move that a key, an id or words mean at this moment.

        Raises
        ------
        InputError : none of the answers; names them.
        """
        word = str(value).strip()
        prompt = self.prompt()
        if word == BACK:
            return Move(kind="back")
        if self.phase == "sure":
            return Move(kind="sure", value=f"{percent(word):g}")
        chosen = next((a.state for a in prompt.answers if word in (a.key, a.state, a.text)), word)
        match self.phase:
            case "caution":
                if chosen in ("acknowledged", "leave_out"):
                    return Move(kind="acknowledge" if chosen == "acknowledged" else "leave_out")
            case "work":
                if chosen in (MORE, HINT, CALL):
                    return Move(kind=chosen)  # type: ignore[arg-type]
                if not self._can_do(chosen):
                    chosen = find(self.moment, chosen)
                if self._can_do(chosen):
                    return Move(kind="do", value=chosen)
            case "done":
                raise InputError("the session is over.", next_step="Start another one.")
            case part:
                if chosen == MORE and part in ("cause", "second"):
                    return Move(kind="more")
                if chosen in allowed(self.coach, part, self.called):
                    return Move(kind=part, value=chosen)  # type: ignore[arg-type]
        keys = " ".join(answer.key for answer in prompt.answers)
        raise InputError(f"'{word[:40]}' is no answer here.", next_step=f"Choose one of: {keys}.")

    def _can_do(self, ident: str) -> bool:
        moment = self.moment
        if ident == LOOK or ident in openings(moment):
            return True
        done = {ask for ask, _ in moment.view.job.reports}
        cards = {*self.coach.knowledge.checks, *self.coach.knowledge.symptoms}
        return ident in cards and (
            ident in moment.values
            or ident in moment.forbidden
            or ident in done
            or ident in moment.view.job.unsure
        )

    # what a move does --------------------------------------------------------------------------

    def apply(self, move: Move) -> None:
        """Make a move.

        Raises
        ------
        InputError : it does not fit here; nothing is changed.
        """
        self._check(move)
        self.moves.append(move)
        self.told = ""
        match move.kind:
            case "do":
                if self._waiting(move.value):
                    self._pending = move.value
                else:
                    self._do(move.value)
            case "acknowledge":
                ident, self._pending = self._pending, ""
                self.events.append(Acknowledged(hazards=self._waiting(ident), step=ident))
                self._do(ident)
            case "leave_out":
                self._pending, self.told = "", "Left out."
            case "more":
                self._sheet += 1
            case "back":
                self._back()
            case "hint":
                self.told, price = hint(self.moment, self._hinted)
                self._hinted += 1
                self.hints.append(price)
                cost = f"price {price:.1f} {self.coach.money.currency}" if price else "said before"
                self.told = f"Hint, {cost}: {self.told}"
            case "call":
                self.called["call"] = ""
                self._sheet = self._hinted = 0
                self._record("call", "call", self.moment.stop_regret(), 0.0, "")
            case _:
                self._decide(move)

    def _check(self, move: Move) -> None:
        wanted = {
            "do": "work",
            "hint": "work",
            "call": "work",
            "acknowledge": "caution",
            "leave_out": "caution",
        }.get(move.kind, move.kind)
        if move.kind == "back":
            if self.phase == "done" or (self.phase == "work" and not self._sheet):
                raise InputError(
                    "what was asked and seen stays known: there is no answer to take back.",
                    next_step="Go on, or make the call.",
                )
            return
        fits = self.phase == wanted or (
            move.kind == "more" and self.phase in ("work", "cause", "second")
        )
        if not fits:
            raise InputError(f"'{move.kind}' does not fit here.", where=self.phase)

    def _back(self) -> None:
        """Back to the list before, to the part of the call before, or to work.

        Nothing was learned by what is taken back: it costs nothing.
        """
        if self._pending:
            self._pending = ""
        elif self._sheet:
            self._sheet -= 1
        elif self._asked:
            parts = list(self.called)
            for part in parts[parts.index(self._asked.pop()) :]:
                del self.called[part]
        else:
            del self.called["call"]
            self.steps.pop()

    def _do(self, ident: str) -> None:
        self._sheet = self._hinted = 0
        if ident.startswith(OPEN):
            self._open(ident)
        elif ident == LOOK:
            self._look()
        else:
            self._ask(ident)
        self.moment = self.coach.moment(fold(self.events))

    def _ask(self, ident: str) -> None:
        card, moment = self.coach.card(ident), self.moment
        answer = self.answers.ask(card)
        told = answer.text
        reason = moment.forbidden.get(ident)
        if reason is not None:
            self.lapses.append(forbidden(moment, self.answers, card.name, reason))
            told = f"{told} In the shop: {self.lapses[-1].told}"
        times = sum(step.ident == ident for step in self.steps)
        if times:
            told = f"As before: {told}"
        price = self.coach.price(card)
        self._record(ident, moment.class_of(ident), moment.regret(ident), price, told)
        self.events.append(answer.event)
        if isinstance(card, Check):
            knowledge = self.coach.knowledge
            deed = check_deed(knowledge, card)
            self.events += happenings(knowledge.device, deed, "", "")

    def _look(self) -> None:
        checks = self.coach.knowledge.checks
        pack = self.coach.knowledge.pack
        told, new = [], list[Event]()
        for ident in dict.fromkeys([*pack.look, *(sign.check for sign in pack.look_signs)]):
            event = self.answers.ask(checks[ident]).event
            healthy = self.coach.compiled.states(checks[ident].observes)[0]
            state = event.state if isinstance(event, Answered) else healthy
            if state != healthy:
                told.append(f"{checks[ident].name}: {self.answers.ask(checks[ident]).text}")
            if ident in pack.look or state != healthy:
                new.append(event)
        moment = self.moment
        words = "; ".join(told) or "All five places look well."
        self._record(LOOK, moment.class_of(LOOK), moment.regret(LOOK), moment.look_price, words)
        self.events += new

    def _open(self, ident: str) -> None:
        stage = self.coach.knowledge.stages[ident.removeprefix(OPEN)]
        told, lapse = opened(self.moment, self.answers, self.scenario, stage)
        self.lapses += [lapse] if lapse else []
        price = self.moment.opening_price(stage.id)
        self._record(ident, "swaps", self.moment.opening_regret(stage.id), price, told)
        device = self.coach.knowledge.device
        self.events += [Happened(what=what, step=ident) for what in sorted(device.opening)]

    def _record(self, ident: str, kind: StepClass, regret: float, price: float, told: str) -> None:
        # The look comes first on the best path as well: a ride verdict rests on it.
        best = (self.moment.best_id or CALL) if self.moment.looked else LOOK
        belief = dict(list(self.moment.view.belief.causes.items())[:_DRAWN])
        belief |= {c: self.moment.view.belief.causes[c] for c in self.scenario.truth}
        belief[NO_FAULT] = self.moment.view.belief.no_fault
        name, better = name_of(self.coach, ident), name_of(self.coach, best)
        self.told = said(name, told) if told else ""
        self.steps.append(Step(ident, name, kind, regret, price, better, told, belief))

    # cautions ----------------------------------------------------------------------------------

    def _hazards(self, ident: str) -> list[str]:
        """Hazards of a check, or those of a whole sheet that wait for a key, as the shock is."""
        knowledge = self.coach.knowledge
        chambers = fold(self.events).chambers(knowledge.device)
        if ident.startswith(OPEN):
            stage = knowledge.stages[ident.removeprefix(OPEN)]
            met = sheet_hazards(knowledge, stage, chambers)
            return [h for h in met if knowledge.hazards[h].acknowledge]
        card = knowledge.checks.get(ident)
        return hazards_met(knowledge, card.does, chambers) if card is not None else []

    def _waiting(self, ident: str) -> list[str]:
        """Hazards of a step that were not acknowledged in this state of the shock."""
        known = fold(self.events).acknowledged
        return [hazard for hazard in self._hazards(ident) if ("", hazard) not in known]

    # the call ----------------------------------------------------------------------------------

    @property
    def named(self) -> tuple[str, ...]:
        """Causes that were named so far."""
        return named_in(self.called)

    def _answers(self, part: str) -> tuple[AnswerLine, ...]:
        ranked = list(self.moment.view.belief.causes)
        return call_answers(self.coach, part, self.called, ranked, self._sheet, self.scenario.seed)

    def _decide(self, move: Move) -> None:
        words = answer_words(self.coach, move.kind, self.called, move.value)
        self.told = said(QUESTIONS[move.kind], words)
        self.called[move.kind] = move.value
        self._asked.append(move.kind)
        self._sheet = 0
        shut = self.coach.knowledge.device.stages.shut
        if move.kind == "stage" and (move.value == shut or len(self._answers("also")) == 1):
            self.called["also"] = NONE
        if move.kind == "cause" and move.value == NO_FAULT:
            self.called["second"] = NONE
        if self.phase == "done":
            self.lapses += lapses_of_call(self.moment, self.answers, self._call())

    def _call(self) -> Call:
        return call_of(self.moment, self.called, self.scenario.truth)
