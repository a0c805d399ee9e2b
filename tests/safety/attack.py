"""Random conversations over the real gate, with a belief that is as bad as it can be.

The belief is a stub: it proposes any question, check or plan at any time, so that nothing but the
gate stands between a person and a hazard. Reports, signs, prompts, replies and events are real.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime, timedelta
from types import SimpleNamespace
from typing import Any

from diagnose.belief.compiled import compile_pack
from diagnose.complaint.recogniser import Understanding
from diagnose.conversation import agreements, closing, endings
from diagnose.conversation.conversation import Conversation
from diagnose.conversation.prompts import Prompt
from diagnose.errors import DiagnoseError
from diagnose.job.events import (
    Answered,
    Approved,
    Event,
    HandedOver,
    Happened,
    Opened,
    Resumed,
    Stepped,
)
from diagnose.job.gate import Roles
from diagnose.job.measuring import Quantity
from diagnose.knowledge.loader import Knowledge
from diagnose.reasoning import pricing
from diagnose.reasoning.evidence import gather
from diagnose.reasoning.floors import StandingFloor, claims, forbidding, standing_floors
from tests.safety.monitor import Monitor

PEOPLE = {
    "AA": frozenset({"counter", "air_side", "charge", "supervise"}),
    "BB": frozenset({"counter", "air_side"}),
    "CC": frozenset({"counter"}),
    "DD": frozenset({"air_side", "supervise"}),
}

ACTIONS = (
    "answer", "answer", "answer", "answer", "answer", "answer", "answer", "first", "first", "first",
    "first", "first", "not_sure", "back", "skip", "resume", "hand_over", "person", "wait", "stale",
    "wrong", "approve", "readings", "stranger",
)  # fmt: skip

#: events after which a new job begins
_LONG = 120


class StubReasoner:
    """Everything that a conversation asks of a reasoner, with random advice."""

    def __init__(self, knowledge: Knowledge, seed: int) -> None:
        self.knowledge = knowledge
        self.compiled = compile_pack(knowledge, None)
        self.money = knowledge.pack.economics
        self.shop_has = None
        self.seed = seed
        self.events: list[Event] = []

    def view(self, job: Any) -> Any:
        """A view whose advice and plan follow from nothing but chance."""
        dice = random.Random(f"{self.seed}/{job.count}/{job.epoch}/{len(job.reports)}")
        done = job.dealt_with
        cards = [
            *(self.knowledge.symptoms.values() if job.at == "counter" else ()),
            *(c for c in self.knowledge.checks.values() if job.at == "bench" or c.at == "counter"),
        ]
        options = [c.id for c in cards if c.id not in done]
        if job.at == "counter":
            options += self.knowledge.frames
        pick = dice.randrange(len(options)) if options and dice.random() < 0.8 else None
        floors = self._floors(job)
        sheets = dice.sample(sorted(set(self.knowledge.sheets) - {"do_not_open"}), 2)
        signs = forbidding(floors, "open")
        return SimpleNamespace(
            job=job,
            belief=SimpleNamespace(
                job=job,
                prepared=self,
                items=[SimpleNamespace(by="counter", finding="", ask="", state="", words="")],
                complained=True,
                ride=SimpleNamespace(stop=0.0),
                may_be_loaded=True,
                heard=Understanding(),
                floors=floors,
                first_words=[],
                signs=signs,
                causes=dict.fromkeys(list(self.knowledge.causes)[:3], 0.1),
            ),
            decision=stub_decision(self, sheets, bool(signs), expecting=2),
            advice=stub_advice(options, pick),
            in_doubt=(),
        )

    def _floors(self, job: Any) -> list[StandingFloor]:
        """The real floors of what was answered; the words of the complaint say nothing here."""
        silent: Any = SimpleNamespace(heard=())
        answered = replace(job, reports={k: r for k, r in job.reports.items() if r.state})
        items = gather(self.compiled, answered, silent, no_quantity)
        made = claims(self.compiled, answered, [], items, no_quantity)
        return standing_floors(self.compiled, made)

    def card(self, ident: str) -> Any:
        return self.knowledge.symptoms.get(ident) or self.knowledge.checks[ident]

    def words(self, job: Any) -> str:
        return str(job.complaint)

    def measure(self, card: Any, readings: Any, job: Any) -> None:
        return None


def stub_decision(prepared: Any, sheets: Sequence[str], shut: bool, expecting: int = 0) -> Any:
    """A decision that plans these sheets, and for now none but the shut one.

    ``expecting``: so many causes are expected inside whatever is opened.
    """
    planned, causes = tuple(sheets), prepared.knowledge.causes.values()

    def inside(sheet: str, chamber: str) -> list[str]:
        return [c.id for c in causes if c.inside and c.remedy.opens == chamber][:expecting]

    return SimpleNamespace(
        prepared=prepared,
        plan_sheets=planned,
        sheets=("do_not_open",) if shut else planned,
        inside=inside,
    )


def stub_advice(options: Sequence[str], pick: int | None) -> Any:
    """Advice of one of these questions and checks, or none of them."""
    return SimpleNamespace(
        options=[SimpleNamespace(id=ident) for ident in options],
        step=None if pick is None else options[pick],
        outlook=SimpleNamespace(saving=1.0),
        tells=lambda ident: None,
    )


def no_quantity(*_: object) -> Quantity:
    raise AssertionError("readings are not computed here")


@contextmanager
def stubbed() -> Iterator[None]:
    """Put a judgement that says nothing in the place of the real one."""
    real, lines = endings.judge, pricing.stage_lines
    said = SimpleNamespace(
        sure_enough=True,
        hold=None,
        stage=SimpleNamespace(id="no_service", sheet="no_service", minutes=10.0, parts=0.0),
        also_stages=(),
        range=SimpleNamespace(call_before=100.0),
        kept=dict,
    )
    judging = (agreements, closing, endings)
    for module in judging:
        module.judge = lambda *_: said  # type: ignore[attr-defined]
    pricing.stage_lines = lambda _: [said.stage]  # type: ignore[assignment,list-item]
    try:
        yield
    finally:
        for module in judging:
            module.judge = real  # type: ignore[attr-defined]
        pricing.stage_lines = lines


class Attack:
    """One endless attacker; `step` does one thing to the job and lets the monitor look.

    ``knowledge``: what the program runs on (a mutant's perhaps); ``truth``: what its authors wrote.
    """

    def __init__(
        self,
        knowledge: Knowledge,
        seed: int,
        *,
        truth: Knowledge | None = None,
        people: Mapping[str, frozenset[str]] | None = PEOPLE,
    ) -> None:
        self.truth = truth or knowledge
        self.people = people
        self.dice = random.Random(seed)
        self.reasoner = StubReasoner(knowledge, seed)
        self.talk = Conversation(self.reasoner, Roles(people or {}))  # type: ignore[arg-type]
        self.jobs = self.steps = self.refused = self.hazardous = 0
        self.done: set[str] = set()
        self.sheets: set[str] = set()
        self.begin()

    def begin(self) -> None:
        """A new job with a fresh monitor."""
        self.jobs += 1
        self.time = datetime(2026, 3, 2, 9, 0)
        self.person = self.dice.choice(sorted(PEOPLE))
        at: Any = self.dice.choice(["counter", "bench", "bench"])
        self.events: list[Event] = [
            Opened(pack="rear_air_shock", knowledge="", at=at, time=self._now(), person="AA"),
            Answered(ask="said_air_loss", state="overnight", time=self._now(), person="AA"),
        ]
        self.monitor = Monitor(self.truth, self.people)
        self.monitor.time = self._now()
        self.old: list[Prompt] = []
        self.last_key = ""

    def _now(self) -> str:
        return self.time.isoformat(timespec="seconds")

    def step(self, action: str, number: int) -> None:
        """Do one thing. ``number`` chooses among the possibilities; raises `Broken`."""
        self.steps += 1
        if len(self.events) > _LONG:
            self.begin()
        self.time += timedelta(seconds=20)
        if action == "wait":
            self.time += timedelta(minutes=number % 120)
        elif action == "person":
            self.person = sorted(PEOPLE)[number % len(PEOPLE)]
        elif action == "resume":
            self._add([Resumed(time=self._now(), person=self.person)])
        elif action == "hand_over":
            to = sorted(PEOPLE)[number % len(PEOPLE)]
            at: Any = "counter" if number % 5 == 0 else "bench"
            self._add([HandedOver(to=to, at=at, time=self._now(), person=self.person)])
            self.person = to
        elif action == "approve":
            stages = [sorted(self.truth.sheets)[number % len(self.truth.sheets)]]
            self._add(
                [Approved(stages=stages, declined=number % 4 == 0, time=self._now(), person="AA")]
            )
        else:
            self._talk(action, number)

    def _talk(self, action: str, number: int) -> None:
        prompt = self.talk.prompt(self.events, self.person, self.last_key)
        if action == "stale" and self.old:
            prompt = self.old[number % len(self.old)]
            # The key of a screen from before was chosen for the keys of that time.
            self.monitor.last_key = ""
        self.old = [*self.old[-5:], prompt]
        if prompt.kind == "done":
            self.begin()
            return
        who = sorted(PEOPLE)[number % len(PEOPLE)] if action == "stranger" else self.person
        stamp: dict[str, Any] = {"time": self._now(), "person": who}
        key = ""
        try:
            if action in ("not_sure", "back", "skip"):
                new = self.talk.command(self.events, prompt, action, **stamp)
            elif action == "readings" and prompt.readings:
                values = {r.name: "10" for r in prompt.readings}
                new = self.talk.reply(self.events, prompt, values, **stamp)
            else:
                key = self._key(action, prompt, number)
                more = (
                    prompt.answers[number // 7 % len(prompt.answers)].key if prompt.several else ""
                )
                new = self.talk.reply(self.events, prompt, [key, more] if more else key, **stamp)
        except DiagnoseError:
            self.refused += 1
            return
        self._add(new, prompt, key)

    def _key(self, action: str, prompt: Prompt, number: int) -> str:
        if prompt.kind == "text":
            return sorted(PEOPLE)[number % len(PEOPLE)]
        if action == "wrong" or not prompt.answers:
            return str(number % 10)
        # Deep into the sheets rather than out of the job at the first chance.
        if action == "first" or (prompt.id.startswith(("step:", "decide")) and number % 12):
            return prompt.answers[0].key
        return prompt.answers[number % len(prompt.answers)].key

    def _add(self, new: list[Event], prompt: Prompt | None = None, key: str = "") -> None:
        before = self.monitor.hazardous
        self.monitor.saw(prompt or Prompt("question", "", ""), self.events, new, key)
        self.hazardous += self.monitor.hazardous - before
        self.done |= {e.step for e in new if isinstance(e, Happened)}
        self.sheets |= {e.stage for e in new if isinstance(e, Stepped)}
        self.events += new
        self.last_key = key or self.last_key


def attack(
    knowledge: Knowledge,
    steps: int,
    seed: int,
    truth: Knowledge | None = None,
    people: Mapping[str, frozenset[str]] | None = PEOPLE,
) -> Attack:
    """Run so many random steps; raises `Broken` on the first thing that must not happen."""
    with stubbed():
        run = Attack(knowledge, seed, truth=truth, people=people)
        for _ in range(steps):
            run.step(run.dice.choice(ACTIONS), run.dice.randrange(10_000))
    return run
