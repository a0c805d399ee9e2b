"""What stands whatever is believed: floors set by what was said, seen or measured.

Rules
-----
- The table is knowledge (`floors.yaml`): a finding from a state on, whose report sets the floor,
  what it forbids, and what lifts it. This file only reads reports against it.
- A customer's word may set a floor and lifts none that somebody else set: everything that a
  customer ever answered or read counts, whatever was answered later, and words are heard together
  and apart. Taking a mistyped answer back, or striking out words that were misheard, is the shop's
  own correction and not a word of the customer.
- What lifts a floor is the healthy answer of a look or check by a better witness than the one who
  set it: whoever looked over who told, the bench over the counter. A check that the table names
  lifts what its own bench found before it, too. What was told or found after the last thing that
  was done to the shock is not lifted by what was found before it.
- No probability enters: belief may move, a floor may not.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from diagnose.belief.compiled import Compiled
from diagnose.complaint.recogniser import Understanding
from diagnose.job.measuring import Measure
from diagnose.job.state import JobState
from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import Floor
from diagnose.reasoning.evidence import CLEARLY, Item, reported

__all__ = [
    "Claim",
    "StandingFloor",
    "claims",
    "first_words",
    "forbidding",
    "same_thing",
    "standing_floors",
]

#: who outdoes whom as a witness
_WITNESS = {"heard": 0, "customer": 1, "counter": 2, "bench": 3}


@dataclass(frozen=True)
class Claim:
    """Somebody's report that a finding is in a state.

    ``certainty``: of the words, 1.0 for an answer. ``epoch``: physical events before it.
    ``clear``: it leaves no doubt about the state (a reading may).
    """

    finding: str
    ask: str
    by: str
    state: str
    certainty: float = 1.0
    epoch: int = 0
    clear: bool = True


@dataclass(frozen=True)
class StandingFloor:
    """A floor, the report that set it, and the checks that would lift it."""

    floor: Floor
    claim: Claim
    lifts: tuple[str, ...]


def claims(
    compiled: Compiled,
    job: JobState,
    heard: Iterable[Understanding],
    items: Iterable[Item],
    measure: Measure,
) -> list[Claim]:
    """Every report that may set or lift a floor, the customer's first.

    Words, answers and readings of the customer are all there, also those that a later one replaced.
    heard : what was understood of the words, together and apart.
    """
    knowledge = compiled.knowledge
    result = [
        Claim(knowledge.symptoms[said.symptom].observes, said.symptom, "heard", said.state,
              said.certainty)
        for understanding in heard
        for said in understanding.heard
        if said.symptom not in job.struck
    ]  # fmt: skip
    for told in job.told:
        result += [_claim(compiled, item) for item in reported(compiled, told, job, measure)]
    result += _set_over_maximum(compiled, job)
    for item in items:
        if item.by != "customer":
            result.append(_claim(compiled, item))
    return result


def _claim(compiled: Compiled, item: Item) -> Claim:
    place = compiled.states(item.finding).index(item.state)
    rest = np.delete(item.likelihood, place)
    clear = float(rest.max(initial=0.0)) <= CLEARLY * float(item.likelihood[place])
    return Claim(item.finding, item.ask, item.by, item.state, epoch=item.epoch, clear=clear)


def _set_over_maximum(compiled: Compiled, job: JobState) -> list[Claim]:
    """The usual pressure that was told for this shock lies above what it is marked with."""
    over, device = compiled.knowledge.pack.over_maximum, compiled.knowledge.device
    told = device.field_of("usual pressure")
    usual, most = job.shock.get(told), job.shock.get(device.field_of("maximum pressure"))
    if over is None or not isinstance(usual, float) or not isinstance(most, float):
        return []
    return [Claim(over.finding, told, "customer", over.state)] if usual > most else []


def standing_floors(compiled: Compiled, made: list[Claim]) -> list[StandingFloor]:
    """Floors that some report set and none lifted, in the order of the table."""
    knowledge = compiled.knowledge
    found = []
    for floor in knowledge.floors:
        if floor.until_asked is not None:
            continue
        bad = knowledge.states_of(floor)
        named = floor.lifted_by
        lifts = tuple(
            c.id for c in knowledge.checks.values() if floor.finding in c.findings
        ) if named is None else tuple(named)  # fmt: skip
        pack = knowledge.pack
        careful = "open" in floor.forbids or floor.ride == "ride_gently"
        sure = pack.said_likely if careful else pack.said_plainly
        setting = [
            claim
            for claim in made
            if claim.finding == floor.finding
            and (claim.by in floor.by or (claim.by == "heard" and "customer" in floor.by))
            and claim.certainty >= sure
            and claim.state in bad
        ]
        lifting = [
            c
            for c in made
            if c.ask in lifts
            and c.clear
            and _at_its_place(compiled, c)
            and _speaks_of(compiled, floor, c)
            and _below(compiled, floor, c)
        ]
        left = [s for s in setting if not any(_lifts(s, other, named) for other in lifting)]
        if left:
            # The best witness is named.
            claim = max(left, key=lambda c: _WITNESS[c.by])
            found.append(StandingFloor(floor, claim, lifts))
    return found


def _at_its_place(compiled: Compiled, claim: Claim) -> bool:
    """A bench check that the counter merely passes on proves nothing; words prove nothing."""
    check = compiled.knowledge.checks.get(claim.ask)
    return check is not None and claim.by in (check.at, "bench")


def _speaks_of(compiled: Compiled, floor: Floor, claim: Claim) -> bool:
    """What a check of several findings says of the floor's own, if it speaks of that."""
    check = compiled.knowledge.checks[claim.ask]
    about = floor.finding if floor.finding in check.findings else check.observes
    return claim.finding == about


def first_words(compiled: Compiled, made: list[Claim]) -> list[str]:
    """Cautions to say before any question, of what stands.

    They are said sooner than a floor stands, as soon as it is asked whether it was meant; what the
    bench cleared needs none.
    """
    least = compiled.knowledge.pack.hearing.asked
    plain = [replace(c, certainty=1.0) for c in made if c.by != "heard" or c.certainty >= least]
    standing = standing_floors(compiled, plain)
    return list(dict.fromkeys(s.floor.say for s in standing if s.floor.say is not None))


def _below(compiled: Compiled, floor: Floor, claim: Claim) -> bool:
    """The report says that it is not so: a milder state, or another finding's healthy one."""
    states = compiled.states(claim.finding)
    if claim.finding == floor.finding:
        return states.index(claim.state) < states.index(floor.at_least)
    return claim.state == states[0]


def _lifts(setting: Claim, other: Claim, named: list[str] | None) -> bool:
    if setting.epoch > other.epoch:
        return False
    better = _WITNESS[other.by] - _WITNESS[setting.by]
    if better > 0:
        return True
    return better == 0 and other.by == "bench" and named is not None and other.ask != setting.ask


def same_thing(knowledge: Knowledge, standing: Iterable[StandingFloor]) -> set[str]:
    """Findings that the checks lifting these floors are about: one thing from many sides."""
    lifts = {check for s in standing for check in s.lifts}
    return {f.finding for f in knowledge.floors if lifts & {*(f.lifted_by or ())}}


def forbidding(floors: Iterable[StandingFloor], what: str) -> list[StandingFloor]:
    """Those of the standing floors that forbid ``open`` or ``fill``."""
    return [standing for standing in floors if what in standing.floor.forbids]
