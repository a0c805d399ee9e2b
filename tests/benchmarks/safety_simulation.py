"""Must-stop and do-not-open over simulated jobs: python -P safety_simulation.py [JOBS]

Each job: a truth drawn from the pack's own model, a customer who voices one to three of its signs,
and a counter that does, or does not do, the five-place look. Printed: how often somebody is sent
out on a shock that must stop, how often one is stopped for nothing, and how often a shock without
trapped gas is tagged 'do not open'. Counted is the first judgement, before any question.
"""

from __future__ import annotations

import os
import sys

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np

from diagnose.knowledge.loader import load
from diagnose.knowledge.root import knowledge_root
from diagnose.session.events import Answered, Event, Opened
from diagnose.session.judgement import judge
from diagnose.session.reasoner import Reasoner
from diagnose.session.state import fold
from diagnose.simulation.truth import sample_truth
from diagnose.simulation.world import World


def must_stop(reasoner: Reasoner, truth: frozenset[str], world: World) -> bool:
    """A present cause, or a finding in its true state, means stop by its own card."""
    cards = reasoner.knowledge
    if any(cards.causes[c].ride.verdict == "stop_riding" for c in truth if c in cards.causes):
        return True
    return any(
        floor.ride == "stop_riding"
        for name in dict.fromkeys(floor.finding for floor in cards.floors)
        for floor in cards.floors_of(name, world.state_of(name))
    )


def main() -> None:
    jobs = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    reasoner = Reasoner(load(knowledge_root()))
    cards = reasoner.knowledge
    rng = np.random.default_rng(20261124)
    trapped = {"piston_seal_one_way", "squashed_in_transport"}
    counts = {look: dict.fromkeys(("sent", "stopped", "closed", "found"), 0) for look in (0, 1)}
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
        for look, evidence in ((0, events), (1, events + looks)):
            call = judge(reasoner, reasoner.view(fold(evidence)))
            counts[look]["sent"] += stop and call.ride == "ride"
            counts[look]["stopped"] += not stop and call.ride == "stop_riding"
            counts[look]["closed"] += not trap and call.stage.id == "do_not_open"
            counts[look]["found"] += trap and call.stage.id == "do_not_open"
    print(f"{jobs} jobs, {stops} must stop, {traps} with trapped gas")
    for look, row in counts.items():
        words = "with the look" if look else "from the words"
        print(
            f"{words:15} told to ride though it must stop {row['sent'] / jobs:.3f} of all,"
            f" false stops {row['stopped'] / max(jobs - stops, 1):.3f} of the others,"
            f" false do-not-open {row['closed'] / jobs:.3f},"
            f" trapped found {row['found']} of {traps}"
        )


if __name__ == "__main__":
    main()
