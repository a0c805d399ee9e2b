"""Search for answers that take away what stands: at random, and guided by what lowers it most.

A job begins with one report or two that must stand, among whatever the customer says. Then come

- the customer's answers to everything, also to what only a mechanic can know, further words, 'not
  sure', skips, pauses and hand-overs: nothing of it takes away what stands, whoever set it;
- for what was seen or measured also every look, check and reading other than its own.

After each event the floor must stand in the real fold, and in some jobs the whole judgement is
looked at: verdict, 'do not open', the plan. What must stand is written in `stands` by hand; the
program is asked for what does stand and never for what should.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache

import numpy as np

from diagnose.complaint.recogniser import Understanding
from diagnose.job.events import (
    Answered,
    Booked,
    Complained,
    Described,
    Event,
    HandedOver,
    Happened,
    Measured,
    Opened,
    Resumed,
    Skipped,
    Understood,
)
from diagnose.job.state import JobState, fold
from diagnose.reasoning.evidence import gather
from diagnose.reasoning.floors import claims, standing_floors
from diagnose.reasoning.judgement import judge
from diagnose.reasoning.options import options_for, state_chances
from diagnose.reasoning.reasoner import Reasoner, View
from tests.safety.monitor import Broken
from tests.safety.stands import STANDS, WORSE, Stands

#: the customer's own words for it
WORDS: tuple[tuple[str, str], ...] = (
    ("stuck_short", "it is stuck half way down and does not come back out"),
    ("pulls_back", "it pulls itself in when I pull it out"),
    ("crack_seen", "I found a crack"),
    ("crack_place", "there is a crack in the can"),
    ("bolt_loose", "the shock bolt is loose"),
    ("bolt_bent_missing", "the shock bolt is missing"),
    ("shaft_bent", "the shaft is bent"),
    ("can_damaged", "the air can has a dent"),
    ("oil_on_brake", "there is oil on the brake disc"),
    ("stuck_short", "after one landing the shock stayed completely compressed"),
    ("can_damaged", "there's a nasty dent on the outer sleeve from a rock"),
    ("slider_scored", "the stanchion has a deep groove that catches my nail"),
    ("rebound_fast", "there is no damping whatsoever, it bounces like a pogo stick"),
    ("after_crash", "this all began when I crashed into a tree"),
    ("pressure_high", "I pumped it to 340 psi, maximum is 300 psi"),
)

#: what people say afterwards
SAID = (
    "no, it is not stuck, it comes out to full length", "it is not short any more",
    "I let all the air out", "the gauge shows nothing", "there is no crack, it is a scratch",
    "the bolt is tight", "nothing is loose and nothing is bent", "no oil anywhere",
    "it is set to 200 psi", "the maximum is 400 psi", "it was only 250 psi", "all is fine",
    "I just want a service", "it does not lose any air", "it squelches", "I did not crash",
    "forget what I said about it", "it knocks over bumps", "no dents in the can",
    "it comes back out to full length every time", "the shock isn't stuck down",
    "a few light scratches on the shaft, can't feel them", "there was no crash",
    "comes back up a lot quicker than last season", "hangs slightly compressed on the stand",
)  # fmt: skip

#: marked maximum 300 psi; readings that lie above it, of whichever check
OVER: tuple[tuple[str, dict[str, str]], ...] = (
    ("bench_pressure", {"gauge": "340 psi", "usual_pressure": "300 psi"}),
    ("bench_pressure", {"gauge": "340 psi", "usual_pressure": "340 psi"}),
    ("bench_pressure", {"gauge": "345 psi", "usual_pressure": "350 psi"}),
    ("bench_short_gauge", {
        "before": "345 psi", "after": "340 psi", "elapsed": "0.25 h", "reconnections": "1",
        "temperature_before": "20 C", "temperature_after": "20 C",
    }),
)  # fmt: skip

#: readings that find something
BAD: tuple[tuple[str, str, dict[str, str]], ...] = (
    ("stuck_short", "bench_length", {"length": "188 mm", "marked_length": "230 mm",
                                     "stroke": "65 mm"}),
    ("gauge_while_short", "bench_gauge_while_short", {"gauge": "157 psi",
                                                      "usual_pressure": "165 psi"}),
    ("wrong_size", "bench_size", {"length": "212 mm", "marked_length": "200 mm"}),
    ("rebound_fast", "bench_rebound_time", {"return_time": "0.1 s"}),
    ("play_shock", "bench_play_shock", {"play": "1.3 mm"}),
    ("dead_spot", "bench_dead_spot", {"free_stroke": "8 mm"}),
    ("air_loss", "bench_short_gauge", {
        "before": "190 psi", "after": "149 psi", "elapsed": "0.25 h", "reconnections": "0",
        "temperature_before": "20 C", "temperature_after": "20 C",
    }),
)  # fmt: skip

#: readings of a sound shock, taken for other purposes
SOUND: tuple[tuple[str, dict[str, str]], ...] = (
    ("bench_pressure", {"gauge": "165 psi", "usual_pressure": "165 psi"}),
    ("bench_gauge_while_short", {"gauge": "0 psi", "usual_pressure": "165 psi"}),
    ("bench_pressure", {"gauge": "160 psi", "usual_pressure": "165 psi"}),
    ("bench_short_gauge", {
        "before": "165 psi", "after": "165 psi", "elapsed": "0.25 h", "reconnections": "0",
        "temperature_before": "20 C", "temperature_after": "20 C",
    }),
)  # fmt: skip

MARKED = Described(shock={"maximum_pressure": 300.0})


@dataclass
class Counts:
    """What was tried. ``answers``: everything that was said or found after what stands."""

    jobs: int = 0
    answers: int = 0
    judged: int = 0
    guided: int = 0
    started: dict[str, int] = field(default_factory=dict)

    def __str__(self) -> str:
        begun = ", ".join(f"{n} by {how}" for how, n in sorted(self.started.items()))
        return (
            f"{self.answers} answers ({self.guided} guided) in {self.jobs} jobs, {self.judged} "
            f"whole judgements; what stands was set: {begun}"
        )


@dataclass(frozen=True)
class Start:
    """How a job came to what stands: the events, and the check that found it, if one did."""

    row: Stands
    how: str
    events: tuple[Event, ...]
    ask: str = ""


class Search:
    """Jobs of one seed. ``seen``: other looks and checks take part, and what stands was found."""

    def __init__(self, reasoner: Reasoner, seed: int, *, seen: bool) -> None:
        self.reasoner = reasoner
        self.knowledge = reasoner.knowledge
        self.seen = seen
        self.dice = random.Random(seed)
        self.counts = Counts()
        self.starts: dict[str, list[Start]] = {}
        for start in self._all_starts():
            if not seen or start.how in ("found", "read"):
                self.starts.setdefault(start.how, []).append(start)
        self._hear = cache(self._heard)

    # What stands ------------------------------------------------------------------------------

    def _all_starts(self) -> Iterator[Start]:
        k = self.knowledge
        rows = {row.finding: row for row in reversed(STANDS)}
        for row in STANDS:
            for state in row.states:
                for said in k.symptoms.values():
                    if said.observes == row.finding and "customer" in row.by:
                        yield Start(row, "answer", (Answered(ask=said.id, state=state),))
                for check in k.checks.values():
                    if check.observes != row.finding:
                        continue
                    if "customer" in row.by:
                        yield Start(row, "answer", (Answered(ask=check.id, state=state),))
                    found = Answered(ask=check.id, state=state, by=check.at)
                    yield Start(row, "found", (found,), check.id)
        for finding, text in WORDS:
            yield Start(rows[finding], "words", (Complained(text=text),))
        for ask, readings in OVER:
            read = Measured(ask=ask, readings=readings)
            yield Start(rows["pressure_high"], "read", (MARKED, read), ask)
            told = Measured(ask=ask, readings=readings, by="customer")
            yield Start(rows["pressure_high"], "told", (MARKED, told))
        for finding, ask, readings in BAD:
            yield Start(rows[finding], "read", (Measured(ask=ask, readings=readings),), ask)
        set_to = Described(shock={"set_pressure": 340.0, "maximum_pressure": 300.0})
        yield Start(rows["pressure_high"], "told", (set_to,))

    def _heard(self, complaint: str) -> Understanding:
        return self.reasoner.hear(JobState(complaint=complaint))

    def stands(self, events: Sequence[Event], starts: Sequence[Start]) -> None:
        """Raise `Broken` unless all of it stands on the real reports of these events."""
        compiled, job = self.reasoner.compiled, fold(events)
        heard = [self._hear(words) for words in (job.complaint, *job.wordings)]
        items = gather(compiled, job, heard[0], self.reasoner.measure)
        found = standing_floors(
            compiled, claims(compiled, job, heard, items, self.reasoner.measure)
        )
        for row in (start.row for start in starts):
            mine = [s.floor for s in found if s.floor.finding == row.finding]
            holds = (
                any(WORSE[f.ride] >= WORSE[row.ride] for f in mine)
                and (not row.shut or any("open" in f.forbids for f in mine))
                and (not row.dry or any("fill" in f.forbids for f in mine))
                and (not row.stage or any(f.stage == row.stage for f in mine))
            )
            if not holds:
                raise Broken(f"'{row.finding}' {row.states} does not stand after {_told(events)}")

    def judged(self, events: Sequence[Event], starts: Sequence[Start]) -> View:
        """Raise `Broken` unless verdict and plan of the whole judgement say so."""
        self.counts.judged += 1
        view = self.reasoner.view(fold(events))
        call = judge(self.reasoner, view)
        plan = [call.stage.id, *(line.id for line in call.also_stages)]
        for row in (start.row for start in starts):
            if (
                WORSE[call.ride] < WORSE[row.ride]
                or (row.shut and call.stage.id != "do_not_open")
                or (row.stage and row.stage not in plan)
            ):
                raise Broken(f"'{row.finding}': {call.ride}, {plan} after {_told(events)}")
        return view

    # What is said and done after it -------------------------------------------------------------

    def _own(self, starts: Sequence[Start], ask: str) -> bool:
        """Whether the shop's answer to this may take away something that stands."""
        card = self.knowledge.symptoms.get(ask) or self.knowledge.checks[ask]
        return any(
            card.observes == start.row.finding or ask in (start.ask, *start.row.own)
            for start in starts
        )

    def _said(self) -> Event:
        """Something of the customer's, or of how a job goes on."""
        dice, k = self.dice, self.knowledge
        throw = dice.random()
        if throw < 0.04:
            return Complained(text=dice.choice([*SAID, *(text for _, text in WORDS)]))
        if throw < 0.08:
            return Skipped(ask=dice.choice(sorted(k.symptoms)))
        if throw < 0.12:
            return dice.choice([
                Resumed(), HandedOver(to="BB", at="bench"), HandedOver(to="AA", at="counter"),
                Understood(), Booked(),
            ])  # fmt: skip
        if throw < 0.14:
            ask, readings = dice.choice(SOUND)
            return Measured(ask=ask, readings=readings, by="customer")
        ids = sorted(k.checks) if throw < 0.27 else sorted(k.symptoms)
        return self._answer(dice.choice(ids), "customer")

    def _answer(self, ask: str, by: str) -> Answered:
        card = self.knowledge.symptoms.get(ask) or self.knowledge.checks[ask]
        states = self.knowledge.findings[card.observes].states
        # The healthy answer, which takes most away, as often as all the others together.
        words = [states[0]] * len(states) + [*states, "not_sure"]
        return Answered(ask=ask, state=self.dice.choice(words), by=by)  # type: ignore[arg-type]

    def _found(self, starts: Sequence[Start]) -> Event | None:
        """A look, check or reading that is not its own or finds nothing out, or a deed."""
        throw = self.dice.random()
        if throw < 0.05:
            return Happened(what=self.dice.choice(["vented", "pumped", "cycled", "refilled"]))
        if throw < 0.15:
            ask, readings = self.dice.choice(SOUND)
            return None if self._own(starts, ask) else Measured(ask=ask, readings=readings)
        if throw < 0.25:
            again = self.dice.choice(starts).events[-1]
            if isinstance(again, Answered | Measured):
                return Answered(ask=again.ask, state="not_sure", by=again.by)
        ask = self.dice.choice(sorted(self.knowledge.checks))
        by = self.dice.choice([self.knowledge.checks[ask].at, "counter", "bench"])
        return None if self._own(starts, ask) else self._answer(ask, by)

    def _again(self, starts: Sequence[Start]) -> Event:
        """The customer is asked about the very thing, once more."""
        start = self.dice.choice(starts)
        about = [c.id for c in (*self.knowledge.symptoms.values(), *self.knowledge.checks.values())
                 if c.observes == start.row.finding or c.id == start.ask]  # fmt: skip
        return self._answer(self.dice.choice(about), "customer")

    def next(self, starts: Sequence[Start]) -> Event:
        throw = self.dice.random()
        if throw < 0.15:
            return self._again(starts)
        found = self._found(starts) if self.seen and throw < 0.6 else None
        return found or self._said()

    def _begin(self) -> tuple[list[Start], list[Event]]:
        starts = [self._start()]
        other = self._start()
        apart = other.row.finding != starts[0].row.finding
        if apart and not any(
            ask and self._own([one], ask)
            for one, ask in ((starts[0], other.ask), (other, starts[0].ask))
        ):
            starts.append(other)
        self.counts.jobs += 1
        at = self.dice.choice(["counter", "bench"])
        opened = Opened(pack=self.knowledge.pack.id, knowledge="", at=at)  # type: ignore[arg-type]
        events: list[Event] = [opened, *(self._said() for _ in range(self.dice.randrange(4)))]
        for start in starts:
            self.counts.started[start.how] = self.counts.started.get(start.how, 0) + 1
            events += start.events
        self.stands(events, starts)
        return starts, events

    def _start(self) -> Start:
        how = self.dice.choice(sorted(self.starts))
        return self.dice.choice(self.starts[how])

    # The two ways of searching ------------------------------------------------------------------

    def at_random(self, answers: int, judge_each: int = 200) -> None:
        """So many random answers; every so many of them the whole judgement."""
        goal = self.counts.answers + answers
        while self.counts.answers < goal:
            starts, events = self._begin()
            for _ in range(min(self.dice.randrange(10, 60), goal - self.counts.answers)):
                events.append(self.next(starts))
                self.counts.answers += 1
                self.stands(events, starts)
                if self.counts.answers % judge_each == 0:
                    self.judged(events, starts)

    def guided(self, answers: int, length: int = 12) -> None:
        """So many answers, each the one that lowers most what stands, judged whole each time."""
        goal = self.counts.answers + answers
        while self.counts.answers < goal:
            starts, events = self._begin()
            aim = self.dice.choice(("finding", "stop", "plan"))
            if self.dice.random() < 0.5:
                events.append(self._again(starts))
            for _ in range(min(length, goal - self.counts.answers)):
                view = self.judged(events, starts)
                events.append(self._lowest(starts, view, aim))
                self.counts.answers += 1
                self.counts.guided += 1
                self.stands(events, starts)
            self.judged(events, starts)

    def _lowest(self, starts: Sequence[Start], view: View, aim: str) -> Answered:
        """The answer after which the finding, or a reason to stop, is least likely, or another plan
        is cheaper by most.
        """
        k, reasoner, hypotheses = self.knowledge, self.reasoner, view.belief.hypotheses
        done = {ask for ask, _ in view.job.reports}
        cards = [
            *(card for card in k.symptoms.values() if card.id not in done),
            *(
                card
                for card in k.checks.values()
                if self.seen and card.id not in done and not self._own(starts, card.id)
            ),
        ]
        if not cards:
            return self._answer(self.dice.choice(sorted(k.symptoms)), "customer")
        accounts = list(
            zip(view.belief.evidences, (a.hidden for a in view.belief.accounts), strict=True)
        )
        options = options_for(
            reasoner.compiled, cards, hypotheses, accounts, view.job, reasoner.money
        )
        if aim == "finding":
            row = starts[0].row
            bad = [k.findings[row.finding].states.index(state) for state in row.states]
            chances = state_chances(
                reasoner.compiled, row.finding, hypotheses, view.belief.evidences
            )
            shown = chances[:, bad].sum(axis=1)
        else:
            stop = np.array([c.ride.verdict == "stop_riding" for c in k.causes.values()])
            shown = hypotheses.present[:, : len(stop)][:, stop].any(axis=1).astype(float)
        costs = reasoner.cost_model.costs(hypotheses.present)
        best: tuple[float, str, str] = (np.inf, "", "")
        by_id = {card.id: card for card in cards}
        for option in options:
            card = by_id.get(option.id)
            # A frame question, and what a card tells besides, are no answers of their own.
            if card is None or option.finding != card.observes:
                continue
            for place, state in enumerate(option.answers[:-1]):
                branch = hypotheses.weights * option.outcomes[:, place]
                branch = branch / max(float(branch.sum()), 1e-12)
                if aim == "plan":
                    dear = branch @ costs
                    left = float(dear.min() - dear[view.decision.place])
                else:
                    left = float(branch @ shown)
                best = min(best, (left, card.id, state))
        by = "customer" if best[1] in k.symptoms else k.checks[best[1]].at
        return Answered(ask=best[1], state=best[2], by=by)  # type: ignore[arg-type]


def _told(events: Sequence[Event]) -> str:
    """The events in short, so that a violation can be played again."""
    return "; ".join(
        str({n: v for n, v in event.model_dump(exclude_defaults=True).items() if n != "knowledge"})
        for event in events
    )
