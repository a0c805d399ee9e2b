"""What comes before anything is weighed by cost: what settles a sign, what decides the ride, and
what is only there before anything is done.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain

from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import Check
from diagnose.reasoning.belief import Belief
from diagnose.reasoning.floors import forbidding, same_thing
from diagnose.symptom_graph.cautions import must_acknowledge

__all__ = ["as_found", "deciding", "probe", "suspected"]


def deciding(belief: Belief, open_ids: Sequence[str]) -> str | None:
    """What comes before any other step: the look or check that shows whether what stops the ride or
    forbids opening is there, where it was only said; and the question that decides the ride of what
    was only heard.
    """
    said = [s for s in belief.floors if s.claim.by in ("heard", "customer")]
    stops = [s for s in said if s.floor.ride == "stop_riding" or "open" in s.floor.forbids]
    first = [c for s in stops for c in s.lifts]
    vague = belief.prepared.vague
    first += [i.ask for i in belief.items if i.words and (i.finding, i.state) in vague]
    said_first = next((ident for ident in open_ids if ident in first), None)
    return said_first or suspected(belief, open_ids)


def suspected(belief: Belief, open_ids: Sequence[str]) -> str | None:
    """The look for a sign that the customer may have meant by another word, as long as nobody spoke
    of the sign itself: a look before a question, a question before what is done to the shock.
    """
    prepared, compiled = belief.prepared, belief.prepared.compiled
    told = {
        item.finding
        for item in belief.items
        if item.by == "customer" and item.state != compiled.states(item.finding)[0]
    }
    floors = prepared.knowledge.floors
    meant = {f.finding for f in floors if not told.isdisjoint(f.suspected_by)}
    meant -= {prepared.card(ask).observes for ask, _ in belief.job.reports}
    cards = (prepared.card(c) for c in open_ids if c not in prepared.knowledge.frames)
    looked_for = [c for c in cards if c.observes in meant]
    handling = {"counter": 0, "bench": 2}
    first = min(
        looked_for, key=lambda c: handling[c.at] if isinstance(c, Check) else 1, default=None
    )
    return None if first is None else first.id


def probe(belief: Belief, open_ids: Sequence[str]) -> tuple[bool, str | None]:
    """What settles the floors that forbid opening or filling: look first, touch the valve last.

    Returns
    -------
    Whether nothing else comes first, and what does; none where nothing can settle it: the shock
    goes out as it is.
    """
    knowledge = belief.prepared.knowledge
    checks = knowledge.checks
    opening, filling = (forbidding(belief.floors, what) for what in ("open", "fill"))
    # What may only be tried by filling waits for what forbids that.
    for standing, about in ((opening, same_thing(knowledge, opening)), (filling, set[str]())):
        lifting = [
            [c for c in s.lifts if c in open_ids and checks[c].at == "bench"] for s in standing
        ]
        if standing and all(lifting):
            bench = [c for c in open_ids if c in checks and checks[c].at == "bench"]
            probes = [c for c in bench if checks[c].observes in about or c in chain(*lifting)]
            return True, min(probes, key=lambda c: _handling(knowledge, checks[c]))
    return bool(opening), None


def as_found(belief: Belief, open_ids: Sequence[str]) -> str | None:
    """What the bench reads before anything else, as far as it may."""
    return next((c for c in belief.prepared.knowledge.pack.as_found if c in open_ids), None)


def _handling(knowledge: Knowledge, check: Check) -> tuple[int, int, float]:
    """How much a check does to a shock: changes, hazards that wait for a key, minutes."""
    full: dict[str, bool] = {}  # unknown: every chamber may hold pressure
    keyed = must_acknowledge(knowledge, check.does, full)
    return len(knowledge.device.effects(check.does)), len(keyed), check.minutes
