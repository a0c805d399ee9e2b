"""The safety proof: no route from any complaint to a hazardous deed goes round its cautions.

Rules
-----
- The graph's edges are what the gate permits, asked of the gate's own functions in `routes` and
  `cautions`. What must stand before a deed is a second opinion, the table `demands` of
  device.yaml: it says again, act by act, which hazards of hazards.yaml are met.
- A hazard is proved guarded by taking away every place where its cautions are shown and
  acknowledged: no deed that demands it may be reachable any more. The shortest route that is left
  is the counter-example.
- The same with the customer's approval, with 'written down and can be closed again', with the
  clearing of a sign of trapped gas, and with 'the air is proved empty' before it is opened.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace

import networkx as nx

from diagnose.knowledge.device import CAN_CLOSE, WRITTEN
from diagnose.knowledge.loader import Knowledge
from diagnose.symptom_graph.cautions import (
    hazards_met,
    hazards_now,
    must_acknowledge,
    required_cautions,
)
from diagnose.symptom_graph.routes import (
    Deed,
    all_deeds,
    clearing_of,
    keys_after,
    may_be_trapped,
    why_not,
)
from diagnose.symptom_graph.variants import marks_of, steps_of, variants

__all__ = ["Proof", "Unguarded", "demanded", "prove", "route_graph"]


@dataclass(frozen=True)
class Unguarded:
    """A counter-example: what can be reached without ``what``, and by which route."""

    what: str
    deed: str
    route: tuple[str, ...]

    def __str__(self) -> str:
        return f"{self.deed} without {self.what}: {' > '.join(self.route)}"


@dataclass(frozen=True)
class Proof:
    """What was proved: routes, deeds and states looked at, and every counter-example."""

    unguarded: tuple[Unguarded, ...]
    deeds: int
    nodes: int
    edges: int
    routes: int


@dataclass(frozen=True)
class _At:
    """Where a job stands: counter, bench or a place in a sheet; what may hold pressure; keys.

    ``holding``: (chamber, may hold pressure), in the device's order. ``shock``: features that are
    known of it, on a sheet whose steps depend on them.
    """

    place: str
    holding: tuple[tuple[str, bool], ...]
    keys: frozenset[tuple[str, str]] = frozenset()
    sign: bool = False
    shock: tuple[tuple[str, bool], ...] = ()

    @property
    def chambers(self) -> dict[str, bool]:
        return dict(self.holding)

    @property
    def full(self) -> frozenset[str]:
        return frozenset(chamber for chamber, holds in self.holding if holds)


_ONE = "somebody"


def demanded(knowledge: Knowledge, deed: Deed, chambers: dict[str, bool]) -> list[str]:
    """Hazards that must be known before a deed in this state: the file's and the table's."""
    wanted = hazards_met(knowledge, deed.acts, chambers)
    device, now = knowledge.device, dict(chambers)
    for act in deed.acts:
        asked = device.demands.get(act, ())
        known = [hazard for hazard in asked if hazard in knowledge.hazards]
        wanted += hazards_now(knowledge, known, now)
        now = device.after(now, act)
    return list(dict.fromkeys(wanted))


def route_graph(knowledge: Knowledge) -> nx.DiGraph:
    """Every way that the gate lets a job go.

    Returns
    -------
    Nodes: ``("complaint", symptom)``; ``("at", where)``; ``("caution", deed, where)`` with the
    hazards acknowledged there (``keys``); ``("prompt", deed, where)`` with the cautions that stand
    in it (``shows``); ``("ready", ...)``, ``("approval", ...)``, ``("cleared", ...)``;
    ``("do", deed, where)`` with the deed itself.
    """
    net = nx.DiGraph()
    deeds = all_deeds(knowledge)
    sheets = {(deed.stage, deed.number): deed for deed in deeds if deed.stage}
    checks = {at: [d for d in deeds if not d.stage and d.at == at] for at in ("counter", "bench")}
    begin = _At("counter", tuple(knowledge.device.all_full().items()))
    todo: deque[_At] = deque()
    seen: set[_At] = set()

    def reach(source: object, where: _At) -> None:
        net.add_edge(source, ("at", where))
        if where not in seen:
            seen.add(where)
            todo.append(where)

    for symptom in knowledge.symptoms:
        for sign in (False, True):
            reach(("complaint", symptom), _At(begin.place, begin.holding, sign=sign))
    while todo:
        where = todo.popleft()
        here = ("at", where)
        if where.keys:
            # Another person, a hand-over, a long break: the same place without a key.
            reach(here, _moved(where, where.place, where.shock))
        if where.place == "counter":
            reach(here, _moved(where, "bench"))
        if where.place in checks:
            offered = checks[where.place] + (checks["counter"] if where.place == "bench" else [])
            for deed in offered:
                _offer(knowledge, net, where, deed, where.place, reach)
        if where.place == "bench":
            for ident, sheet in knowledge.sheets.items():
                for kind in variants(sheet):
                    first = f"step:{ident}:{steps_of(sheet, kind)[0]}"
                    reach(here, _moved(where, first, tuple(kind.items())))
        if where.place.startswith("step:"):
            _, ident, number = where.place.split(":")
            # A sheet is gone through to its end: no way leads out of its middle and back.
            here_on = steps_of(knowledge.sheets[ident], dict(where.shock))
            later = [n for n in here_on if n > int(number)]
            after = f"step:{ident}:{later[0]}" if later else "bench"
            _offer(knowledge, net, where, sheets[ident, int(number)], after, reach)
            # What the step before uncovered is looked at, and nothing else is done there.
            before = [n for n in here_on if n < int(number)][-1:]
            if any(knowledge.sheets[ident].steps[n].uncovers for n in before):
                for deed in (*checks["bench"], *checks["counter"]):
                    if knowledge.device.may_lie_open(deed.acts):
                        _offer(knowledge, net, where, deed, where.place, reach)
    return net


def _moved(where: _At, place: str, shock: tuple[tuple[str, bool], ...] = ()) -> _At:
    """The same shock elsewhere; keys stay behind."""
    return _At(place, where.holding, sign=where.sign, shock=shock)


def _offer(
    knowledge: Knowledge,
    net: nx.DiGraph,
    where: _At,
    deed: Deed,
    after: str,
    reach: Callable[[object, _At], None],
) -> None:
    """Add what the gate puts between a place and a deed, and where the deed leads."""
    here: object = ("at", where)
    clearing = clearing_of(knowledge) if where.sign else set()
    marks: set[str] = set()
    if deed.stage:
        sheet = knowledge.sheets[deed.stage]
        before = (n for n in steps_of(sheet, dict(where.shock)) if n < deed.number)
        marks = set(marks_of(sheet, before))
    approved = False
    for _ in range(3):
        reason = why_not(
            knowledge,
            deed,
            where.chambers,
            marks=marks,
            sign=where.sign,
            clearing=clearing,
            approved=approved,
        )
        if reason == "approval":
            net.add_edge(here, ("approval", deed.stage, where))
            here, approved = ("approval", deed.stage, where), True
        elif reason in (WRITTEN, CAN_CLOSE) and not deed.stage:
            net.add_edge(here, ("ready", deed.ident, where))
            here, marks = ("ready", deed.ident, where), marks | {WRITTEN, CAN_CLOSE}
        elif reason:
            return
    held = {hazard for _, hazard in where.keys}
    waiting = must_acknowledge(knowledge, deed.acts, where.chambers)
    shown = tuple(c.id for c in required_cautions(knowledge, deed.acts, where.chambers))
    if set(waiting) - held:
        node = ("caution", deed.ident, where)
        net.add_node(node, keys=frozenset(waiting), shows=shown)
        net.add_edge(here, node)
        reach(node, replace(where, keys=frozenset((_ONE, h) for h in {*held, *waiting})))
        return
    prompt = ("prompt", deed.ident, where)
    net.add_node(prompt, shows=shown)
    net.add_edge(here, prompt)
    done = ("do", deed.ident, where)
    net.add_node(done, deed=deed, chambers=where.chambers, sign=where.sign)
    net.add_edge(prompt, done)
    chambers, keys = where.chambers, where.keys
    for effect in deed.effects:
        chambers = knowledge.device.after(chambers, effect)
        keys = keys_after(keys, effect)
    shock = where.shock if after.startswith("step:") else ()
    left = _At(after, tuple(chambers.items()), keys, where.sign, shock)
    reach(done, left)
    if where.sign and deed.ident in clearing:
        cleared = ("cleared", deed.ident, where)
        net.add_edge(done, cleared)
        reach(cleared, replace(left, sign=False))


def prove(knowledge: Knowledge, net: nx.DiGraph | None = None) -> Proof:
    """Take every guard away in turn and look for what can still be reached."""
    net = route_graph(knowledge) if net is None else net
    found = list(_without_cautions(knowledge, net))
    found += _order(knowledge, net)
    found += _under_sign(knowledge, net)
    found += _unproved(knowledge, net)
    done = [data["deed"].ident for _, data in net.nodes(data=True) if "deed" in data]
    routes = len(knowledge.symptoms) * len(set(done))
    return Proof(
        tuple(sorted(set(found), key=lambda u: (len(u.route), str(u)))),
        len(set(done)),
        net.number_of_nodes(),
        net.number_of_edges(),
        routes,
    )


def _reached(
    net: nx.DiGraph, gone: Iterable[object] = (), starts: Iterable[object] = ()
) -> set[object]:
    """What is reached from a complaint, or from ``starts``, with some nodes taken away."""
    taken = set(gone)
    todo = [*_kind(net, "complaint"), *starts]
    reached: set[object] = set()
    while todo:
        fresh = [n for n in net.adj[todo.pop()] if n not in reached and n not in taken]
        reached.update(fresh)
        todo += fresh
    return reached


def _counter_example(
    net: nx.DiGraph,
    goal: object,
    what: str,
    gone: Iterable[object],
    starts: Iterable[object] = (),
) -> Unguarded:
    taken = set(gone)
    left = nx.subgraph_view(net, filter_node=lambda node: node not in taken)
    routes = nx.single_target_shortest_path(left, goal)
    for begin in (_kind(net, "complaint"), starts):
        found = [routes[start] for start in begin if start in routes and start != goal]
        if found:
            route = min(found, key=lambda path: (len(path), str(path[0])))
            return Unguarded(what, goal[1], tuple(map(_said, route)))  # type: ignore[index]
    return Unguarded(what, goal[1], (_said(goal),))  # type: ignore[arg-type, index]


def _said(node: tuple[object, ...]) -> str:
    if node[0] == "at":
        where = node[1]
        assert isinstance(where, _At)
        return f"{where.place} ({', '.join(sorted(where.full)) or 'empty'})"
    return f"{node[0]} {node[1]}"


def _without_cautions(knowledge: Knowledge, net: nx.DiGraph) -> Iterator[Unguarded]:
    data = net.nodes(data=True)
    done = [
        (n, d["deed"], demanded(knowledge, d["deed"], d["chambers"]))
        for n, d in data
        if d.get("deed")
    ]
    # A key lasts for one state of the shock: from each physical event the search begins anew.
    device = knowledge.device
    fresh = [node for node, deed, _ in done if device.events.keys() & set(deed.effects)]
    demanded_at_all = {h for rows in device.demands.values() for h in rows}
    for hazard in sorted(demanded_at_all | knowledge.hazards.keys()):
        if hazard not in knowledge.hazards:
            yield Unguarded(f"hazard '{hazard}', which has no card", "every deed", ())
            continue
        cautions = set(knowledge.hazards[hazard].cautions)
        if hazard in device.keyed:
            guards = [node for node, d in data if hazard in d.get("keys", ())]
        else:
            guards = [n for n, d in data if n[0] == "prompt" and cautions <= set(d["shows"])]
        reached = _reached(net, guards, fresh)
        seen: set[str] = set()
        for node, deed, wanted in done:
            if hazard not in wanted or deed.ident in seen:
                continue
            # A key given for another deed does not spare the reader the text before this one.
            silent = not all(
                cautions <= set(net.nodes[before]["shows"]) for before in net.predecessors(node)
            )
            if node in reached:
                seen.add(deed.ident)
                yield _counter_example(net, node, f"its cautions of '{hazard}'", guards, fresh)
            elif silent:
                seen.add(deed.ident)
                what = f"the text of its cautions of '{hazard}'"
                yield _counter_example(net, node, what, (), fresh)


def _without(
    net: nx.DiGraph, gone: Iterable[object], wants: Callable[[Deed], bool], what: str
) -> list[Unguarded]:
    """Wanted deeds that are still reached when some nodes are taken away, once each."""
    taken = set(gone)
    reached = _reached(net, taken)
    found: dict[str, Unguarded] = {}
    for node, data in net.nodes(data=True):
        if "deed" in data and node in reached and wants(data["deed"]):
            deed = data["deed"].ident
            if deed not in found:
                found[deed] = _counter_example(net, node, what, taken)
    return list(found.values())


def _order(knowledge: Knowledge, net: nx.DiGraph) -> Iterator[Unguarded]:
    """Opening deeds without approval, without the notes, without 'can be closed again'."""

    def sheet(deed: Deed) -> bool:
        return bool(deed.stage) and bool(knowledge.device.letting_out & set(deed.effects))

    yield from _without(net, _kind(net, "approval"), sheet, "the customer's approval")
    yield from _without(
        net,
        _kind(net, "ready"),
        lambda deed: not deed.stage and bool(knowledge.device.opening & set(deed.effects)),
        "'written down' and 'can be closed again'",
    )
    for mark in (WRITTEN, CAN_CLOSE):
        done = [
            node
            for node, data in net.nodes(data=True)
            if "deed" in data and data["deed"].stage and mark in data["deed"].effects
        ]
        yield from _without(net, done, sheet, f"'{mark}'")


def _kind(net: nx.DiGraph, kind: str) -> list[object]:
    return [node for node in net if node[0] == kind]


def _under_sign(knowledge: Knowledge, net: nx.DiGraph) -> Iterator[Unguarded]:
    """What does something to a shock while a sign stands, other than clearing it."""
    clearing, events = clearing_of(knowledge), knowledge.device.events.keys()
    seen: set[str] = set()
    for node, data in net.nodes(data=True):
        if "deed" not in data or not data["sign"]:
            continue
        if not may_be_trapped(knowledge, data["chambers"]):
            continue
        deed = data["deed"]
        if deed.ident in clearing | seen or not events & set(deed.effects):
            continue
        seen.add(deed.ident)
        yield _counter_example(net, node, "clearing the sign of trapped gas", ())


def _unproved(knowledge: Knowledge, net: nx.DiGraph) -> Iterator[Unguarded]:
    """What opens a chamber while it may hold pressure: silence is no proof."""
    device = knowledge.device
    seen: set[str] = set()
    for node, data in net.nodes(data=True):
        if "deed" not in data or data["deed"].ident in seen:
            continue
        now, deed = dict(data["chambers"]), data["deed"]
        for act in deed.acts:
            blind = [c for c in device.chambers if act in c.opened_by and now[c.id]]
            if blind:
                seen.add(deed.ident)
                yield _counter_example(net, node, f"a proof that '{blind[0].id}' is empty", ())
                break
            now = device.after(now, act)
