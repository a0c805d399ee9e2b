"""Break one safety rule at a time and see that something notices.

Mutants are named. Those of the knowledge take one caution, flag, hazard, order, sign or stop rule
out of the cards; those of the program replace one condition in its source. Each is looked at by
the sheets' rules, the hand-written probes, random attack, and the proof on the graph, in that
order; the first that objects has caught it.

    python tests/safety/mutants.py            all, with a total; exit status 1 if one survives
    python tests/safety/mutants.py WORD ...   those whose name contains a word
"""

# ruff: noqa: E402 - the import path is mended before anything of ours is imported.

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from importlib import import_module
from itertools import pairwise
from pathlib import Path
from types import ModuleType

TOP = Path(__file__).resolve().parents[2]
if __name__ == "__main__":
    here = TOP / "tests" / "safety"
    sys.path[:] = [str(TOP), *(p for p in sys.path if Path(p).resolve() != here)]

import yaml

from diagnose.knowledge.device import Device
from diagnose.knowledge.loader import Knowledge, Lines, load
from diagnose.knowledge.models import Floor, Verdict
from diagnose.knowledge.root import knowledge_root
from tests.safety import attack as attack_module
from tests.safety import probes
from tests.safety.monitor import Broken
from tests.safety.stands import STANDS

Change = Callable[[Knowledge], Knowledge]


@dataclass(frozen=True)
class Mutant:
    """One broken rule: of the knowledge (``change``), or of the program's source."""

    name: str
    change: Change | None = None
    module: str = ""
    old: str = ""
    new: str = ""


def _card(kind: str, ident: str, **changes: object) -> Change:
    def change(knowledge: Knowledge) -> Knowledge:
        cards = dict(getattr(knowledge, kind))
        cards[ident] = cards[ident].model_copy(update=changes)
        return knowledge.model_copy(update={kind: cards})

    return change


def _pack(**changes: object) -> Change:
    def change(knowledge: Knowledge) -> Knowledge:
        return knowledge.model_copy(update={"pack": knowledge.pack.model_copy(update=changes)})

    return change


def _device(kind: str, word: str, **changes: object) -> Change:
    """One word of the device says something else of itself."""

    def change(knowledge: Knowledge) -> Knowledge:
        words = dict(getattr(knowledge.device, kind))
        words[word] = words[word].model_copy(update=changes)
        return with_device(knowledge, **{kind: words})

    return change


def with_device(knowledge: Knowledge, **changes: object) -> Knowledge:
    """The knowledge with other words of its device; what was worked out of the old ones is gone."""
    said = {name: getattr(knowledge.device, name) for name in Device.model_fields}
    return knowledge.model_copy(update={"device": Device(**(said | changes))})


def mutants(knowledge: Knowledge) -> list[Mutant]:
    """All of them, in a fixed order."""
    rows = yaml.safe_load(Path(__file__).with_name("source_mutants.yaml").read_text("utf-8"))
    made = [
        Mutant(r["name"], module=f"diagnose.{r['module']}", old=r["old"], new=r["new"])
        for r in rows
    ]
    for family in (_devices, _hazards, _acts, _sheets, _floors, _stops):
        made += [Mutant(name, change) for name, change in family(knowledge)]
    return made


def _devices(k: Knowledge) -> Iterator[tuple[str, Change]]:
    device = k.device
    yield (
        "device: a shock that hisses no more counts as empty",
        _device("events", "vented", empties=["air"]),
    )
    yield (
        "device: air proved gone counts for the negative side",
        _device("marks", "air_proved_empty", empties=["air", "negative"]),
    )
    yield (
        "device: with the can off the charge counts as gone",
        _device("marks", "can_off", empties=["air", "negative", "charge"]),
    )
    yield (
        "device: a port at zero proves the charge gone",
        _device("marks", "charge_released", empties=["charge"]),
    )
    for kind in ("events", "marks"):
        for word, done in getattr(device, kind).items():
            if done.fills:
                yield f"device: after {word} it counts as empty", _device(kind, word, fills=[])
    for word, event in device.events.items():
        if event.lets_out:
            yield f"device: {word} takes no barrier away", _device("events", word, lets_out=False)
        if event.opens:
            yield (
                f"device: a check may do {word} without notes",
                _device("events", word, opens=False),
            )
    shut = [chamber.model_copy(update={"traps": False}) for chamber in device.chambers]
    yield "device: nothing is ever trapped", lambda know: with_device(know, chambers=shut)
    free = {word: mark.model_copy(update={"right": None}) for word, mark in device.marks.items()}
    yield "device: the charge needs no right of its own", lambda know: with_device(know, marks=free)


def _hazards(k: Knowledge) -> Iterator[tuple[str, Change]]:
    for ident, hazard in k.hazards.items():
        for caution in hazard.cautions:
            left = [c for c in hazard.cautions if c != caution] or [
                "pinch" if caution != "pinch" else "solvents"
            ]
            yield f"caution: {ident} without {caution}", _card("hazards", ident, cautions=left)
        if hazard.acknowledge:
            yield f"key: {ident} needs none", _card("hazards", ident, acknowledge=False)
        if hazard.chambers:
            other = ["charge"] if "charge" not in hazard.chambers else ["air"]
            yield f"chambers: {ident} only with {other[0]}", _card("hazards", ident, chambers=other)


def _acts(k: Knowledge) -> Iterator[tuple[str, Change]]:
    for ident, hazard in k.hazards.items():
        for act in hazard.acts:
            left = [a for a in hazard.acts if a != act]
            yield f"act: {act} does not meet {ident}", _card("hazards", ident, acts=left)
    for ident, check in k.checks.items():
        if {"core_out", "opened"} & set(check.does):
            left = [a for a in check.does if a != "air_proved_empty"]
            yield f"proof: {ident} takes silence for it", _card("checks", ident, does=left)


def _sheets(k: Knowledge) -> Iterator[tuple[str, Change]]:
    for ident, stage in k.sheets.items():
        kind = k.sheet_kind(ident)
        marked = [(n, m) for n, step in enumerate(stage.steps) for m in step.marks]
        if not k.lets_out(stage):
            continue
        if stage.opens:
            yield f"sheet: {ident} says it opens nothing", _card(kind, ident, opens=[])
        for n, mark in marked:
            left = [step for i, step in enumerate(stage.steps) if i != n]
            yield f"sheet: {ident} without {mark}", _card(kind, ident, steps=left)
            asks = stage.steps[n].asks_sheet
            if mark in ("charged", "charge_released", "air_filled") and asks:
                steps = list(stage.steps)
                steps[n] = steps[n].model_copy(update={"asks_sheet": []})
                yield (
                    f"sheet: {ident} {mark} without its values",
                    _card(kind, ident, steps=steps),
                )
        for (a, first), (b, second) in pairwise(marked):
            steps = list(stage.steps)
            steps[a], steps[b] = steps[b], steps[a]
            yield f"order: {ident} {second} before {first}", _card(kind, ident, steps=steps)
    stage = k.stages["do_not_open"]
    bare = [stage.steps[0].model_copy(update={"does": []}), *stage.steps[1:]]
    yield "sheet: do_not_open without its DANGER", _card("stages", "do_not_open", steps=bare)
    vent = [*stage.steps, stage.steps[-1].model_copy(update={"does": ["vented"]})]
    yield "sheet: do_not_open lets air out", _card("stages", "do_not_open", steps=vent)


def _floors(k: Knowledge) -> Iterator[tuple[str, Change]]:
    yield "floor: words from 0.95 on", _pack(said_likely=0.95, said_plainly=0.99)
    stands = {(row.finding, state) for row in STANDS for state in row.states}
    for n, floor in enumerate(k.floors):
        name = f"{floor.finding} {floor.at_least}"
        if (floor.finding, floor.at_least) not in stands:
            continue
        rest = [f for m, f in enumerate(k.floors) if m != n]

        def changed(rest: list[Floor] = rest, floor: Floor = floor, **fields: object) -> Change:
            return lambda know: know.model_copy(
                update={"floors": [*rest, floor.model_copy(update=fields)]}
            )

        # What another row of the same finding does as well is no rule of this one.
        beside = [f for f in rest if f.finding == floor.finding
                  and set(k.states_of(floor)) <= set(k.states_of(f))]  # fmt: skip
        same = [f for f in beside if set(floor.by) <= set(f.by) and f.lifted_by == floor.lifted_by]
        ride = floor.ride != "ride" and not any(f.ride == floor.ride for f in same)
        forbids = set(floor.forbids) - {what for f in same for what in f.forbids}
        stage = floor.stage and not any(f.stage == floor.stage for f in same)
        if ride:
            yield f"floor: {name} may be ridden", changed(ride="ride")
        if forbids:
            yield f"floor: {name} forbids nothing", changed(forbids=[])
        if stage:
            yield f"floor: {name} falls out of the plan", changed(stage=None)
        if ride or forbids or stage:
            yield (
                f"floor: {name} left out",
                lambda know, r=rest: know.model_copy(update={"floors": r}),
            )
            if "customer" in floor.by:
                yield f"floor: {name} only from the bench", changed(by=["bench"])
        if floor.say == "leave_valve_alone" and not any(f.say == floor.say for f in beside):
            yield f"first words: none for {name}", changed(say=None)
        if floor.at_most:
            yield f"floor: {name} and whatever is graver", changed(at_most=None)
        stops = floor.believed and floor.ride == "stop_riding"
        if stops and not any(f.believed and f.ride == floor.ride for f in beside):
            yield f"floor: {name} is not believed", changed(believed=False)
        for check in floor.lifted_by or ():
            if k.checks[check].at == "bench":
                left = [c for c in floor.lifted_by or () if c != check]
                yield f"lifting: {name} not by {check}", changed(lifted_by=left)
                for other in (f"{check}_", "bench_knob_clicks"):
                    yield f"lifting: {name} by {other}", changed(lifted_by=[*left, other])
        if "open" in floor.forbids:
            more = [*(floor.lifted_by or ()), "bench_gauge_while_short"]
            yield f"lifting: {name} by reading a gauge", changed(lifted_by=more)
    for check in ("bench_length", "bench_guarded_fill"):
        yield f"lifting: {check} at the counter", _card("checks", check, at="counter")
        yield f"lifting: {check} lets air out", _card("checks", check, does=["vented"])
    for n, floor in enumerate(k.floors):
        if floor.until_asked:
            told = [*k.floors[:n], floor.model_copy(update={"until_asked": None}),
                    *k.floors[n + 1 :]]  # fmt: skip
            yield (
                f"floor: {floor.finding} {floor.at_least} without asking",
                lambda know, told=told: know.model_copy(update={"floors": told}),
            )


def _stops(k: Knowledge) -> Iterator[tuple[str, Change]]:
    yield "stop: threshold at 0.95", _pack(stop_at=0.95)
    fine = Verdict(verdict="ride", why="nothing")
    for ident in probes.STOP_CAUSES:
        yield f"stop: {ident} may be ridden", _card("causes", ident, ride=fine)


def caught_by(mutant: Mutant, knowledge: Knowledge, attack_steps: int = 800) -> str:
    """Name of what noticed the mutant, or nothing. Changes this process: call it in a child."""
    changed = knowledge
    if mutant.module:
        _mutate(import_module(mutant.module), mutant.old, mutant.new)
    if mutant.change is not None:
        changed = mutant.change(knowledge)
    sheets = import_module("diagnose.symptom_graph.sheets")
    if not mutant.module and sheets.sheet_problems(changed):
        return "sheets"
    checks = import_module("diagnose.knowledge.cross_checks")
    if not mutant.module and checks.find_problems(changed, Lines()):
        return "cross-checks"
    if any(probes.failures(changed)):
        return "probes"
    for seed in range(3):
        try:
            attack_module.attack(changed, attack_steps, seed, truth=knowledge)
        except Broken:
            return "attack"
    proof = import_module("diagnose.symptom_graph.proof")
    return "proof" if proof.prove(changed).unguarded else ""


def _mutate(module: ModuleType, old: str, new: str) -> None:
    """Run a module's source with one change, and let everybody who imported from it see it."""
    assert module.__file__ is not None
    source = Path(module.__file__).read_text("utf-8")
    if source.count(old) < 1:
        raise ValueError(f"{module.__name__} has no '{old}': the mutant needs a new place")
    before = dict(vars(module))
    exec(compile(source.replace(old, new, 1), module.__file__, "exec"), vars(module))
    after = vars(module)
    fresh = {id(value): after[name] for name, value in before.items() if callable(value)
             and getattr(value, "__module__", "") == module.__name__}  # fmt: skip
    for other in [m for name, m in sys.modules.items() if name.startswith(("diagnose.", "tests."))]:
        for name, value in list(vars(other).items()):
            if other is not module and id(value) in fresh:
                setattr(other, name, fresh[id(value)])
            if isinstance(value, (int, tuple)) and before.get(name) is value and name in after:
                setattr(other, name, after[name])


def in_child(mutant: Mutant, knowledge: Knowledge) -> str:
    """`caught_by` in a process of its own; an error there is named, and counts as not caught."""
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(read)
        try:
            said = caught_by(mutant, knowledge)
        except Exception as error:  # the parent reports it; a child must never return
            said = f"!{type(error).__name__}: {error}"
        os.write(write, said.encode()[:4000])
        os._exit(0)
    os.close(write)
    with os.fdopen(read, "rb") as pipe:
        said = pipe.read().decode()
    os.waitpid(child, 0)
    return said


def main(words: Sequence[str]) -> int:
    """Run the mutants and print who caught whom."""
    knowledge = load(knowledge_root(None))
    chosen = [m for m in mutants(knowledge) if not words or any(w in m.name for w in words)]
    begin, caught, lines = time.perf_counter(), 0, {}
    for mutant in chosen:
        said = in_child(mutant, knowledge)
        good = bool(said) and not said.startswith("!")
        caught += good
        lines[said] = lines.get(said, 0) + 1
        if not good:
            print(f"SURVIVED  {mutant.name} {said}", flush=True)
        elif words:
            print(f"{said:8}  {mutant.name}")
    share = ", ".join(f"{n} by {who}" for who, n in sorted(lines.items()) if who)
    print(f"{caught}/{len(chosen)} mutants caught in {time.perf_counter() - begin:.0f} s ({share})")
    return 0 if caught == len(chosen) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
