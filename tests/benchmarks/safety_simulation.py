"""Must-stop and do-not-open over simulated jobs: python -P safety_simulation.py [JOBS]

Each job: a truth drawn from the pack's own model, a customer who voices one to three of its signs,
and a counter that does, or does not do, the five-place look, and then asks what the program asks.
Printed: how often somebody is sent out on a shock that must stop, and how many of these had
something said or seen that means stop; how often one is stopped for nothing, or where gently would
do; and how often a shock without trapped gas is tagged 'do not open'.
"""

from __future__ import annotations

import os
import sys

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np

from diagnose.job.events import Answered, Event, Opened
from diagnose.job.state import fold
from diagnose.knowledge.loader import load
from diagnose.knowledge.root import knowledge_root
from diagnose.reasoning.judgement import judge
from diagnose.reasoning.open_options import open_rows
from diagnose.reasoning.reasoner import Reasoner
from diagnose.simulation.truth import sample_truth
from tests.benchmarks.world import World, floors_of


def must_stop(reasoner: Reasoner, truth: frozenset[str], world: World) -> bool:
    """A present cause, or a finding in its true state, means stop by its own card."""
    cards = reasoner.knowledge
    if any(cards.causes[c].ride.verdict == "stop_riding" for c in truth if c in cards.causes):
        return True
    return any(
        floor.ride == "stop_riding"
        for name in dict.fromkeys(floor.finding for floor in cards.floors)
        for floor in floors_of(cards, name, world.state_of(name))
    )


def main() -> None:
    jobs = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    reasoner = Reasoner(load(knowledge_root()))
    cards = reasoner.knowledge
    rng = np.random.default_rng(20261124)
    trapped = {"piston_seal_one_way", "squashed_in_transport"}
    names = ("from the words", "with the look", "after the questions")
    zero = ("sent", "warned", "stopped", "closed", "found", "asked")
    counts = {name: dict.fromkeys(zero, 0) for name in names}
    stops = traps = 0
    for _ in range(jobs):
        truth = sample_truth(reasoner.compiled, rng)
        world = World(reasoner.compiled, truth, rng)
        said = world.complaint()
        stop, trap = must_stop(reasoner, truth, world), bool(truth & trapped)
        stops += stop
        traps += trap
        events: list[Event] = [Opened(pack=cards.pack.id, knowledge=cards.fingerprint)]
        events += [Answered(ask=ask, state=state, by="customer") for ask, state in said.items()]
        looks: list[Event] = [
            Answered(ask=ask, state=world.report(cards.checks[ask]), by="counter")
            for ask in cards.pack.look
        ]
        for name in names:
            if name == names[1]:
                events += looks
            elif name == names[2]:
                events += asked(reasoner, world, events)
            call = judge(reasoner, reasoner.view(fold(events)))
            row = counts[name]
            row["sent"] += stop and call.ride == "ride"
            row["warned"] += stop and call.ride == "ride" and warned(reasoner, events)
            row["stopped"] += not stop and call.ride == "stop_riding"
            row["closed"] += not trap and call.stage.id == "do_not_open"
            row["found"] += trap and call.stage.id == "do_not_open"
            row["asked"] += len(events)
    print(f"{jobs} jobs, {stops} must stop, {traps} with trapped gas")
    for name, row in counts.items():
        print(
            f"{name:20} told to ride though it must stop {row['sent'] / jobs:.4f} of all"
            f" (something said or seen meant stop in {row['warned']}),"
            f" false stops {row['stopped'] / max(jobs - stops, 1):.3f} of the others,"
            f" false do-not-open {row['closed'] / jobs:.3f},"
            f" trapped found {row['found']} of {traps}"
        )


def asked(reasoner: Reasoner, world: World, events: list[Event]) -> list[Event]:
    """What the counter's questions bring, as long as the program asks."""
    new: list[Event] = []
    for _ in range(12):
        view = reasoner.view(fold([*events, *new]))
        ident = view.advice.step
        if ident is None:
            break
        frame = reasoner.knowledge.frames.get(ident)
        rows = [ident] if frame is None else [r.ask for r in open_rows(view.belief, frame)]
        for ask in dict.fromkeys(rows):
            by = "customer" if ask in reasoner.knowledge.symptoms else "counter"
            said = world.report(reasoner.card(ask))
            new.append(Answered(ask=ask, state=said, by=by))  # type: ignore[arg-type]
    return new


def warned(reasoner: Reasoner, events: list[Event]) -> bool:
    """Somebody reported a state that means stop."""
    cards = {**reasoner.knowledge.symptoms, **reasoner.knowledge.checks}
    return any(
        floor.ride == "stop_riding"
        for event in events
        if isinstance(event, Answered) and event.state != "not_sure"
        for floor in floors_of(reasoner.knowledge, cards[event.ask].observes, event.state)
        if event.by in floor.by or event.by != "customer"
    )


if __name__ == "__main__":
    main()
