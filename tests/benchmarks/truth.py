"""Jobs from life, each with a truth sheet and a key to every question, played as conversations.

python -P tests/benchmarks/truth.py FOLDER.. [-v] [ID..]

A folder holds sheets of one hand and keys of another (tests/casebook/truth/README.md). The customer
and the shock answer whatever is asked, by the key. Printed are the verdicts at counter and bench,
what was asked, and of look-alike pairs whether both were called rightly.
"""

from __future__ import annotations

import os
import statistics
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import yaml

from diagnose.conversation.conversation import Conversation
from diagnose.conversation.prompts import (
    LOOK,
    MAIN,
    MORE,
    NONE,
    NOTHING,
    OTHER,
    SIGHT,
    UNDERSTOOD,
    Prompt,
)
from diagnose.errors import DiagnoseError
from diagnose.job.events import NOT_SURE, Complained, Event, HandedOver, Opened
from diagnose.job.state import fold
from diagnose.reasoning.judgement import Judgement, judge
from diagnose.reasoning.reasoner import Reasoner
from tests.real_pack import shop_reasoner

_LIMIT = 60
_SEVERITY = {"ride": 0, "ride_gently": 1, "stop_riding": 2}


@dataclass
class Sheet:
    """A truth sheet with its key."""

    id: str
    opening: str
    stage: list[str]
    also: list[str]
    ride: list[str]
    must_not_ride: bool
    kind: str
    pair: str
    truth: str
    key: dict[str, Any] = field(default_factory=dict)

    def says(self, ask: str, reasoner: Reasoner) -> object:
        """What is answered to a symptom or check: a state, readings, or None: not sure."""
        for part in ("customer", "looks", "bench"):
            value = (self.key.get(part) or {}).get(ask)
            if value is not None:
                return str(value) if not isinstance(value, dict) else value
        for part in ("customer_not_sure", "looks_not_sure", "bench_not_sure", "no_such_part"):
            if ask in (self.key.get(part) or ()):
                return None
        observes = reasoner.card(ask).observes
        return reasoner.compiled.states(observes)[0]


def _words(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value)


def sheets_of(folder: Path) -> list[Sheet]:
    found = []
    for path in sorted(folder.glob("*.yaml")):
        row = yaml.safe_load(path.read_text("utf-8"))
        keyed = folder.parent / "keys" / folder.name / path.name
        key = yaml.safe_load(keyed.read_text("utf-8")) if keyed.exists() else {}
        for part in ("customer", "looks", "bench"):
            # YAML 1.1 reads yes and no as truth values
            key[part] = {
                ask: value if isinstance(value, dict) else _words(value)
                for ask, value in (key.get(part) or {}).items()
            }
        listed = lambda x: [] if x is None else ([x] if isinstance(x, str) else list(x))  # noqa: E731
        found.append(
            Sheet(
                row["id"],
                " ".join(str(row["opening"]).split()),
                listed(row["stage"]),
                listed(row.get("also")),
                listed(row["ride"]),
                bool(row.get("must_not_ride")),
                str(row["kind"]),
                str(row.get("pair") or ""),
                " ".join(str(row["truth"]).split()),
                key,
            )
        )
    return found


@dataclass
class Game:
    """One sheet played."""

    sheet: Sheet
    counter: Judgement
    bench: Judgement
    asked: dict[str, list[str]]
    unknown: list[str]
    no_part: list[str]
    talk: list[str]
    seconds: list[float]
    ends: dict[str, list[Event]]  # desk -> everything up to its call

    def met(self) -> dict[str, bool]:
        sheet = self.sheet
        result: dict[str, bool] = {}
        for desk, call in (("counter", self.counter), ("bench", self.bench)):
            stages = {call.stage.id, *(line.id for line in call.also_stages)}
            whole = not sheet.also or (
                bool(set(sheet.also) & stages) and bool(set(sheet.stage) & stages)
            )
            result[f"{desk} stage"] = call.stage.id in {
                *sheet.stage,
                *(sheet.also if whole else ()),
            }
            if sheet.also:
                result[f"{desk} both"] = whole
            result[f"{desk} ride"] = call.ride in sheet.ride
            if sheet.must_not_ride:
                result[f"{desk} held back"] = call.ride == "stop_riding" or (
                    call.ride in sheet.ride
                )
        return result


def play(reasoner: Reasoner, sheet: Sheet) -> Game:
    key = sheet.key
    channel = key.get("channel", "bike_here")
    events: list[Event] = [
        Opened(pack=reasoner.knowledge.pack.id, knowledge="", channel=channel),
        Complained(text=sheet.opening),
    ]
    talk = Conversation(reasoner)
    asked: dict[str, list[str]] = {"counter": [], "bench": []}
    unknown: list[str] = []
    no_part: list[str] = []
    said: list[str] = []
    seconds: list[float] = []
    calls = []
    ends: dict[str, list[Event]] = {}
    for desk in ("counter", "bench"):
        if desk == "bench":
            events.append(HandedOver(to="", at="bench"))
        for _ in range(_LIMIT):
            begin = time.perf_counter()
            prompt = talk.prompt(events)
            seconds.append(time.perf_counter() - begin)
            if prompt.kind in ("judgement", "done"):
                break
            if prompt.kind == "caution":
                events.extend(talk.reply(events, prompt, "acknowledged"))
                continue
            if prompt.id not in asked[desk]:
                asked[desk].append(prompt.id)
            if prompt.id in (key.get("no_such_part") or ()):
                no_part.append(prompt.id)
            new = _answer(talk, events, prompt, sheet, reasoner)
            said.append(f"{prompt.id}: {_said(new)}")
            if any(getattr(e, "state", "") == NOT_SURE for e in new):
                unknown.append(prompt.id)
            if not new:
                break
            events.extend(new)
        calls.append(judge(reasoner, reasoner.view(fold(events))))
        ends[desk] = [*events]
        said.append(f"-- {desk}: {calls[-1].stage.id} {calls[-1].ride}")
    return Game(sheet, calls[0], calls[1], asked, unknown, no_part, said, seconds, ends)


def _graver(sheet: Sheet, row: str, reasoner: Reasoner) -> bool:
    """Whether a sheet shows more than the row of a look says."""
    ask, _, state = row.partition("=")
    states = reasoner.compiled.states(reasoner.card(ask).observes)
    shown = sheet.says(ask, reasoner)
    return shown in states and states.index(str(shown)) > states.index(state)


def _said(new: Sequence[Event]) -> str:
    return "; ".join(
        str(getattr(e, "state", None) or getattr(e, "readings", None) or e.kind) for e in new
    )[:90]


def _answer(
    talk: Conversation, events: Sequence[Event], prompt: Prompt, sheet: Sheet, reasoner: Reasoner
) -> list[Event]:
    if prompt.id == MORE:
        return talk.reply(events, prompt, str(sheet.key.get("anything_else") or ""))
    if prompt.id == SIGHT:
        features = sheet.key.get("features") or {}
        chosen = [a.state for a in prompt.answers if features.get(a.state)]
        return talk.reply(events, prompt, chosen or [NONE])
    if prompt.id in (UNDERSTOOD, MAIN, LOOK) or prompt.id in reasoner.knowledge.frames:
        rows = [a.state for a in prompt.answers if "=" in a.state]
        true = [r for r in rows if sheet.says(r.partition("=")[0], reasoner) == r.partition("=")[2]]
        # A hand points at the nearest row that there is: who sits much lower sits lower.
        told = {row.partition("=")[0] for row in true}
        near = [r for r in rows if r.partition("=")[0] not in told and _graver(sheet, r, reasoner)]
        if prompt.id == LOOK:
            true = true or near
        elif prompt.id not in (UNDERSTOOD, MAIN):
            true += near
        if prompt.id == UNDERSTOOD:
            return talk.reply(events, prompt, true or ["none"])
        if prompt.id == MAIN:
            return talk.reply(events, prompt, true[0] if true else NOT_SURE)
        if prompt.id == LOOK:
            return talk.reply(events, prompt, true[0] if true else NOTHING)
        if not true and all(sheet.says(r.partition("=")[0], reasoner) is None for r in rows):
            return talk.reply(events, prompt, NOT_SURE)
        return talk.reply(events, prompt, true or [NONE])
    if prompt.id in (sheet.key.get("no_such_part") or ()):
        none = [a.state for a in prompt.answers if a.state.startswith(OTHER)]
        return talk.reply(events, prompt, none[0] if none else NOT_SURE)
    try:
        value = sheet.says(prompt.id, reasoner)
    except KeyError:
        return talk.reply(events, prompt, NOT_SURE)
    if value is None:
        return talk.reply(events, prompt, NOT_SURE)
    if isinstance(value, dict):
        names = {reading.name for reading in prompt.readings}
        value = {name: str(text) for name, text in value.items() if name in names}
        try:
            return talk.reply(events, prompt, value)
        except DiagnoseError:
            return talk.command(events, prompt, "skip")
    return talk.reply(events, prompt, value)


def main() -> None:
    words = sys.argv[1:]
    verbose = "-v" in words
    folders = [Path(word) for word in words if Path(word).is_dir()]
    ids = {word for word in words if not word.startswith("-") and not Path(word).is_dir()}
    reasoner = shop_reasoner()
    games = [
        play(reasoner, sheet)
        for folder in folders
        for sheet in sheets_of(folder)
        if not ids or sheet.id in ids
    ]
    report(games, verbose=verbose)


def report(games: Sequence[Game], *, verbose: bool) -> None:
    rows: dict[str, list[bool]] = {}
    for game in games:
        met = game.met()
        for name, good in met.items():
            rows.setdefault(name, []).append(good)
        missed = [name for name, good in met.items() if not good]
        if verbose and missed:
            sheet = game.sheet
            print(f"\n{sheet.id} [{sheet.kind}] {sheet.opening}")
            print(f"   truth {sheet.truth[:230]}")
            print(f"   want {sheet.stage} + {sheet.also} {sheet.ride}; missed {missed}")
            for line in game.talk:
                print(f"     {line}")
            for desk, call in (("counter", game.counter), ("bench", game.bench)):
                top = [(c.id, round(c.probability, 2)) for c in call.causes[:5]]
                also = [line.id for line in call.also_stages]
                print(f"   {desk}: {call.stage.id} {also} {call.ride} {top}")
    for name in sorted(rows):
        met = rows[name]
        print(f"{name:>18} {sum(met):3} of {len(met)} {sum(met) / len(met):.3f}")
    by_id = {game.sheet.id: game for game in games}
    pairs = {frozenset((g.sheet.id, g.sheet.pair)) for g in games if g.sheet.pair in by_id}
    apart = [all(by_id[i].met()["bench stage"] for i in pair) for pair in pairs]
    if apart:
        print(f"{'pairs apart':>18} {sum(apart):3} of {len(apart)} {sum(apart) / len(apart):.3f}")
    for desk in ("counter", "bench"):
        counts = [len(game.asked[desk]) for game in games]
        middle, mean = statistics.median(counts), statistics.mean(counts)
        print(f"{desk}: median {middle}, mean {mean:.1f}, most {max(counts)} asked")
    total = sum(len(g.asked[d]) for g in games for d in g.asked)
    print(
        f"not known {sum(len(g.unknown) for g in games)}, no such part "
        f"{sum(len(g.no_part) for g in games)} of {total} asked"
    )
    took = sorted(s for game in games for s in game.seconds)
    p99 = took[int(0.99 * len(took))]
    print(f"next prompt: median {1e3 * statistics.median(took):.0f} ms, p99 {1e3 * p99:.0f} ms")


if __name__ == "__main__":
    main()
