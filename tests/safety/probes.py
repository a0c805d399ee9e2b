"""Hand-written expectations of the trade, and direct questions to the rules that keep them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import product
from types import SimpleNamespace
from typing import Any

import numpy as np

from diagnose.belief.compiled import Compiled, compile_pack
from diagnose.bench.decay import Decay
from diagnose.complaint.recogniser import Understanding
from diagnose.conversation.conversation import Conversation
from diagnose.conversation.prompts import Prompt
from diagnose.errors import DiagnoseError
from diagnose.job import gate, state
from diagnose.job.events import (
    Acknowledged,
    Answered,
    Approved,
    Event,
    HandedOver,
    Happened,
    Measured,
    Opened,
    Quoted,
    Resumed,
    SheetChosen,
    Stepped,
    Withdrawn,
)
from diagnose.knowledge.loader import Knowledge
from diagnose.reasoning import evidence, floors, options, ride
from diagnose.reasoning.judgement import AnswerLine
from diagnose.reasoning.over_maximum import with_maximum
from diagnose.symptom_graph import cautions, routes
from tests.safety.attack import PEOPLE, StubReasoner, stubbed
from tests.safety.monitor import CHAMBERS, DAMAGED, MUST
from tests.safety.stands import STANDS, WORSE

#: finding -> states in which nobody rides, whatever caused them
STOP_STATES: dict[str, tuple[str, ...]] = {
    "air_loss": ("quick", "minutes"),
    "bolt_bent_missing": ("yes",),
    "bolt_loose": ("yes",),
    "broke_inside": ("yes",),
    "bubbles_wall": ("yes",),
    "can_damaged": ("yes",),
    "can_unscrewing": ("yes",),
    "crack_place": ("frame", "link", "eyelet", "can"),
    "crack_seen": ("suspect", "yes"),
    "fill_fault": ("comes_out", "blocked"),
    "gas_force": ("high",),
    "gauge_while_short": ("some", "near_usual"),
    "oil_on_brake": ("yes",),
    "pressure_high": ("over_max",),
    "pulls_back": ("yes",),
    "rebound_fast": ("pogo",),
    "ring_not_home": ("yes",),
    "shaft_bent": ("yes",),
    "shaft_returns": ("yes",),
    "short_before_air_out": ("yes",),
    "slider_scored": ("deep",),
    "stays_short_with_air": ("partly", "yes"),
    "stuck_short": ("partly", "deep", "long"),
    "will_not_take_air": ("yes",),
    "wrong_size": ("yes",),
}

#: of those, what stops once it is reported; only believed, its cause decides: behind the worn head
#: of a pump stands a shock with nothing wrong
CAUSE_DECIDES = ("fill_fault", "will_not_take_air")

#: causes with which nobody rides
STOP_CAUSES = (
    "axle_or_wheel_knock", "body_bore_scored", "bolt_thread_stripped",
    "can_bore_scored", "can_cracked", "can_dented", "can_not_tight", "check_valve_stuck",
    "damper_body_cracked", "damper_shaft_loose", "direct_mount_loose", "eyelet_cracked",
    "frame_mount_cracked", "link_cracked", "over_charged", "parted_inside", "piston_seal_one_way",
    "pivot_bolt_loose", "pressure_over_max", "reservoir_hose_leak", "ridden_flat_damage",
    "ring_not_seated", "seal_cut_by_scratch", "seal_head_loose", "seal_missing_after_service",
    "shaft_bent_cause", "shaft_scored_cause", "shim_stack_damaged", "shock_bolt_bent",
    "shock_bolt_loose", "shock_bolt_missing", "spring_air_in_damper", "squashed_in_transport",
    "tyre_or_frame_contact", "valve_core_stuck", "vented_flat", "wrong_shock_fitted",
)  # fmt: skip

_ALL = ("customer", "counter", "bench")

#: sign of trapped gas: finding -> states that raise it, and from whom
SIGNS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "stuck_short": (("partly", "deep"), _ALL),
    "gauge_while_short": (("some", "near_usual"), _ALL),
    "pulls_back": (("yes",), _ALL),
    "short_before_air_out": (("yes",), _ALL),
    "stays_short_with_air": (("partly", "yes"), ("bench",)),
    "valve_dead": (("yes",), _ALL),
    "shaft_returns": (("yes",), _ALL),
}


#: findings whose stop is believed from a customer's plain word
TOLD = ("bolt_bent_missing", "bolt_loose", "can_damaged", "crack_place", "crack_seen",
        "fill_fault", "oil_on_brake", "pressure_high", "pulls_back", "rebound_fast", "shaft_bent",
        "stuck_short", "will_not_take_air")  # fmt: skip

#: finding -> bench checks whose healthy answer clears its sign
CLEARED_BY: dict[str, set[str]] = {
    "stuck_short": {"bench_length", "bench_guarded_fill"},
    "pulls_back": {"bench_length", "bench_guarded_fill"},
    "gauge_while_short": {"bench_length", "bench_guarded_fill"},
    "short_before_air_out": {"bench_length", "bench_guarded_fill"},
    "stays_short_with_air": {"bench_length"},
    "valve_dead": set(),
    "shaft_returns": {"bench_shaft_returns"},
}

#: what stops a ride and no hand on the saddle: lost air, lost damping, a brake (common practice)
STILL_PRESSED = {"air_loss", "fill_fault", "oil_on_brake", "rebound_fast", "will_not_take_air"}

#: what no customer reports, only who has it in hand
IN_HAND = {"gas_force", "stays_short_with_air"}

#: finding -> states in which nobody presses or bounces it to try it, whoever reports them
NOT_LOADED = {f: states for f, states in STOP_STATES.items() if f not in STILL_PRESSED}
NOT_LOADED |= {"bolt_thread_bad": ("thread",), "direct_mount_moves": ("yes",)}

#: what a customer may say, and what is said back before any question
FIRST_WORDS = ("said_stuck_short", "said_short_before_air_out", "said_gauge_while_short",
               "said_pulls_back")  # fmt: skip


def _sure(compiled: Compiled, finding: str, states: tuple[str, ...], chance: float) -> Any:
    names = compiled.states(finding)
    found = {n: np.eye(len(compiled.states(n)))[0] for n in compiled.knowledge.findings}
    share = np.zeros(len(names))
    share[names.index(states[0])] = chance
    share[0] += 1.0 - chance
    found[finding] = share
    return found


_LAST: list[Compiled] = []


def _compiled(knowledge: Knowledge) -> Compiled:
    """Compiled once for all questions about the same cards."""
    if not _LAST or _LAST[0].knowledge is not knowledge:
        _LAST[:] = [compile_pack(knowledge, None)]
    return _LAST[0]


def standing(compiled: Compiled, *made: floors.Claim) -> list[Any]:
    """Floors that stand on these reports."""
    return floors.standing_floors(compiled, list(made))


def _closed(found: list[Any]) -> set[str]:
    return {s.floor.finding for s in floors.forbidding(found, "open")}


def signs(knowledge: Knowledge) -> Iterator[str]:
    """A sign of trapped gas stands once it is reported; only the bench's own checks clear it."""
    compiled = _compiled(knowledge)
    states_of = {name: card.states for name, card in knowledge.findings.items()}
    for finding, (bad, reporters) in SIGNS.items():
        for word in bad:
            for by in reporters:
                raised = floors.Claim(finding, "somebody", by, word)
                if finding not in _closed(standing(compiled, raised)):
                    yield f"'{finding}' {word} by the {by} raises no sign"
                yield from _not_undone(compiled, raised)
                for check in ("bench_length", "bench_guarded_fill"):
                    observes = knowledge.checks[check].observes
                    healthy, worst = states_of[observes][0], states_of[observes][-1]
                    well = floors.Claim(observes, check, "bench", healthy)
                    clears = check in CLEARED_BY[finding] and not (
                        word == "near_usual" and by != "customer" and check == "bench_guarded_fill"
                    )
                    if (finding not in _closed(standing(compiled, raised, well))) != clears:
                        yield f"'{check}' clears '{finding}' {word} wrongly or not at all"
                    for who, said in (
                        ("customer", healthy),
                        ("counter", healthy),
                        ("bench", worst),
                    ):
                        other = floors.Claim(observes, check, who, said)
                        if finding not in _closed(standing(compiled, raised, other)):
                            yield f"'{check}' said {said} by the {who} clears '{finding}'"
                    vague = floors.Claim(observes, check, "bench", healthy, clear=False)
                    if finding not in _closed(standing(compiled, raised, vague)):
                        yield f"a vague '{check}' clears '{finding}'"
        if finding in _closed(
            standing(compiled, floors.Claim(finding, "x", "bench", states_of[finding][0]))
        ):
            yield f"'{finding}' well raises a sign"
        faint = floors.Claim(finding, "x", "heard", bad[0], certainty=0.3)
        if _closed(standing(compiled, faint)):
            yield f"a faint word raises '{finding}'"
        likely = replace(faint, certainty=0.6)
        if "customer" in reporters and not _closed(standing(compiled, likely)):
            yield f"a likely word does not raise '{finding}'"
    for check in ("bench_length", "bench_guarded_fill"):
        if knowledge.checks[check].at != "bench":
            yield f"'{check}' clears a sign and is not done at the bench"
    yield from _told_for_good(knowledge)
    yield from _maximum(knowledge)
    for symptom in FIRST_WORDS:
        said = knowledge.said_first(knowledge.symptoms[symptom].observes)
        if "leave_valve_alone" not in {card.id for card in said}:
            yield f"'{symptom}' is not answered with 'leave the valve alone'"


def _not_undone(compiled: Compiled, raised: floors.Claim) -> Iterator[str]:
    """No word of the customer's, whatever it is about, and no zero gauge takes it away."""
    knowledge = compiled.knowledge
    words = [
        floors.Claim(card.observes, card.id, "customer", state)
        for card in (*knowledge.symptoms.values(), *knowledge.checks.values())
        for state in knowledge.findings[card.observes].states
    ]
    if raised.finding not in _closed(standing(compiled, raised, *words)):
        yield f"words take '{raised.finding}' away"
    gauge = floors.Claim("gauge_while_short", "bench_gauge_while_short", "bench", "empty")
    itself = (raised.by, raised.finding) == ("bench", "gauge_while_short")
    if not itself and raised.finding not in _closed(standing(compiled, raised, gauge)):
        yield f"a zero gauge takes '{raised.finding}' away"


def _made(knowledge: Knowledge, *events: Event, shock: dict[str, Any] | None = None) -> list[Any]:
    """Floors of a job of these events, whose readings come to a gauge above the maximum."""
    compiled = _compiled(knowledge)
    job = state.fold(events)
    job = replace(job, shock=shock or {})
    silent: Any = SimpleNamespace(heard=())
    reading = evidence.Quantity(1.0, 0.1, "1", over_maximum=0.99, response=Decay(170.0, 9.0))

    def measure(*_: object) -> evidence.Quantity:
        return reading

    items = evidence.gather(compiled, job, silent, measure)
    return floors.standing_floors(compiled, floors.claims(compiled, job, [], items, measure))


def _told_for_good(knowledge: Knowledge) -> Iterator[str]:
    """What the customer said once stays said; what was mistyped is withdrawn, and gone."""
    yes = Answered(ask="said_stuck_short", state="deep", by="customer")
    no = Answered(ask="said_stuck_short", state="no", by="customer")
    if not floors.forbidding(_made(knowledge, yes, no), "open"):
        yield "a later answer of the customer takes a sign away"
    if floors.forbidding(_made(knowledge, yes, Withdrawn(number=0)), "open"):
        yield "a mistyped answer cannot be taken back"
    short = Answered(ask="bench_length", state="deep", by="bench")
    full = Answered(ask="bench_guarded_fill", state="no", by="bench")
    blind = Answered(ask="bench_length", state="not_sure", by="bench")
    if not floors.forbidding(_made(knowledge, short, blind), "open"):
        yield "a length that was short is taken back by 'not sure'"
    again = Happened(what="pumped")
    if floors.forbidding(_made(knowledge, short, full), "open"):
        yield "the guarded fill does not clear what was measured before it"
    if not floors.forbidding(_made(knowledge, full, again, yes), "open"):
        yield "what was told after the shock was filled is cleared by what was found before"
    if not floors.forbidding(_made(knowledge, full, again, short), "open"):
        yield "a length that is short after the fill is cleared by the fill"


def _maximum(knowledge: Knowledge) -> Iterator[str]:
    """A gauge above the marked maximum stops the ride, whichever check it was read for."""
    compiled = _compiled(knowledge)
    for check in ("bench_pressure", "bench_overnight_gauge", "bench_reconnect"):
        read = Measured(ask=check, readings={"gauge": "340 psi"})
        if "pressure_high" not in {s.floor.finding for s in _made(knowledge, read)}:
            yield f"a gauge above the maximum, read for '{check}', stops nobody"
    for usual, over in ((340.0, True), (300.0, False)):
        shock = {"set_pressure": usual, "maximum_pressure": 300.0}
        found = {s.floor.finding for s in _made(knowledge, shock=shock)}
        if ("pressure_high" in found) != over:
            yield f"set to {usual} of at most 300 counts wrongly"
        words = f"I pumped it to {usual:.0f} psi, maximum is 300 psi"
        heard = with_maximum(knowledge, Understanding(()), words).heard
        claims = [floors.Claim("pressure_high", h.symptom, "heard", h.state, h.certainty)
                  for h in heard]  # fmt: skip
        if bool(standing(compiled, *claims)) != over:
            yield f"told '{words}' counts wrongly"
    told = Measured(ask="bench_pressure", readings={"gauge": "340 psi"}, by="customer")
    less = Answered(ask="bench_pressure", state="no", by="customer")
    if "pressure_high" not in {s.floor.finding for s in _made(knowledge, told, less)}:
        yield "a gauge above the maximum that the customer read is taken back by a word"


def rows(knowledge: Knowledge) -> Iterator[str]:
    """Each line of the trade's own list: verdict, what it forbids, the plan."""
    compiled = _compiled(knowledge)
    for row in STANDS:
        for word, by in product(row.states, row.by):
            found = standing(compiled, floors.Claim(row.finding, "somebody", by, word))
            forbids = {what for s in found for what in s.floor.forbids}
            worst = max((WORSE[s.floor.ride] for s in found), default=-1)
            named = f"'{row.finding}' {word} from the {by}"
            if worst < WORSE[row.ride]:
                yield f"{named} may be ridden"
            if (row.shut, row.dry) != ("open" in forbids, "fill" in forbids):
                yield f"{named} forbids {', '.join(sorted(forbids)) or 'nothing'}"
            if row.stage and row.stage not in {s.floor.stage for s in found}:
                yield f"{named} falls out of the plan"
    read = floors.Claim("gauge_while_short", "somebody", "bench", "near_usual")
    empty = floors.Claim("gauge_while_short", "bench_gauge_while_short", "bench", "empty")
    out = floors.Claim("stays_short_with_air", "bench_guarded_fill", "bench", "no")
    left = floors.forbidding(standing(compiled, read, empty, out), "open")
    if "stop_riding" not in {s.floor.ride for s in left}:
        yield "a second gauge lets a shock be filled that stood short at its usual pressure"


def until_asked(knowledge: Knowledge) -> Iterator[str]:
    """A slow loss is a chance until it was asked how long it holds, and no floor."""
    compiled = _compiled(knowledge)
    if standing(compiled, floors.Claim("air_loss", "bench_short_gauge", "bench", "slow")):
        yield "a slow loss sets a floor"
    found = _sure(compiled, "air_loss", ("slow",), 0.9)
    for asked, verdict in (((), "ride_gently"), (("loss_noticed",), "ride")):
        said = ride.judge_ride(compiled, {}, found, (), ["slider"], [], False, asked=asked)
        if said.verdict != verdict:
            yield f"a slow loss, asked for {asked or 'nothing'}: {said.verdict}"


def stops(knowledge: Knowledge) -> Iterator[str]:
    """The ride verdict stops for every reason of the trade, and promises nothing."""
    compiled = _compiled(knowledge)
    fine = _sure(compiled, "crack_seen", ("yes",), 0.0)

    def call(causes: Any, found: Any, standing: Any = (), unseen: bool = False) -> Any:
        looked, missing = (["slider"], []) if not unseen else ([], ["slider"])
        return ride.judge_ride(compiled, causes, found, standing, looked, missing, unseen)

    if ride.judge_ride(compiled, {}, fine, (), [], ["slider"], False).judged:
        yield "where nobody looked the ride is judged"
    for finding, states in STOP_STATES.items():
        for word in states:
            found = _sure(compiled, finding, (word,), 0.4)
            trapped = word in SIGNS.get(finding, ((), ()))[0]
            decided = trapped or finding in CAUSE_DECIDES
            if not decided and call({}, found).verdict != "stop_riding":
                yield f"'{finding}' {word} believed with 0.4 does not stop the ride"
            for by in ("counter", "bench", *(("customer",) if finding in TOLD else ())):
                if by not in SIGNS.get(finding, ((), ("counter",)))[1] and by == "counter":
                    continue
                made = [floors.Claim(finding, "somebody", by, word)]
                said = call({}, fine, floors.standing_floors(compiled, made))
                if said.verdict != "stop_riding":
                    yield f"'{finding}' {word}, from the {by}, does not stop the ride"
                if knowledge.findings[finding].name not in said.reason:
                    yield f"'{finding}' {word} stops the ride and is not named"
    for cause in STOP_CAUSES:
        if call({cause: 0.4}, fine).verdict != "stop_riding":
            yield f"'{cause}' believed with 0.4 does not stop the ride"
    good = call({}, fine)
    if good.verdict != "ride" or "looked at" not in good.reason:
        yield "the best verdict does not name what was looked at"
    if "safe" in good.reason.lower():
        yield "the verdict says 'safe'"
    if call({}, fine, unseen=True).verdict == "ride":
        yield "an unseen bike gets the best verdict"


def fills(knowledge: Knowledge) -> Iterator[str]:
    """What may be damaged is looked at under a lamp before it is filled, and what is above its
    maximum is let down; a damaged part stays in the plan.
    """
    compiled = _compiled(knowledge)
    for finding, (states, clearing) in DAMAGED.items():
        for word in states:
            for by in ("customer", "counter", "bench"):
                raised = floors.Claim(finding, "somebody", by, word)
                found = standing(compiled, raised)
                if not floors.forbidding(found, "fill"):
                    yield f"'{finding}' {word} from the {by} lets it be filled"
        plain = floors.Claim(finding, "somebody", "heard", states[0], certainty=0.85)
        if not floors.forbidding(standing(compiled, plain), "fill"):
            yield f"a plain word of '{finding}' lets it be filled"
        for check in clearing or ():
            observes = knowledge.checks[check].observes
            well = floors.Claim(observes, check, "bench", knowledge.findings[observes].states[0])
            told = floors.Claim(finding, "somebody", "customer", states[0])
            if knowledge.checks[check].at != "bench":
                continue
            if floors.forbidding(standing(compiled, told, well), "fill"):
                yield f"'{check}' does not clear '{finding}'"
    for at in ("counter", "bench"):
        job = state.JobState(at=at)
        for card in options.candidates(compiled, job, [], trapped=None, fill=False):
            if {"pumped", "refilled"} & set(getattr(card, "does", [])):
                yield f"'{card.id}' fills what may be damaged"
    for ident in ("no_service", "air_can_service", "damper_service"):
        deed = routes.step_deed(knowledge, knowledge.stages[ident], 0)
        agreed = state.fold([Approved(stages=[ident])])
        if gate.obstacle(knowledge, deed, agreed, sign=False, fill=False) != "damage":
            yield f"'{ident}' is begun although it fills what may be damaged"


def offers(knowledge: Knowledge) -> Iterator[str]:
    """Nothing loads what may fail under a hand; nothing is done under a sign."""
    compiled = _compiled(knowledge)
    for finding, states in NOT_LOADED.items():
        for by, state_ in product(_ALL[1:] if finding in IN_HAND else _ALL, states):
            told = floors.Claim(finding, "somebody", by, state_)
            if not floors.forbidding(standing(compiled, told), "load"):
                yield f"'{finding}' {state_}, said by {by}, is loaded to try it"
    for at in ("counter", "bench"):
        job = state.JobState(at=at)
        if any(
            "loaded" in getattr(c, "does", ())
            for c in options.candidates(compiled, job, [], load=False, trapped=None)
        ):
            yield f"a check at the {at} loads a shock of which a part may fail"
        for card in options.candidates(compiled, job, [], trapped={"bench_length"}):
            done = knowledge.device.effects(getattr(card, "does", ()))
            if done and card.id != "bench_length":
                yield f"'{card.id}' is offered under a sign of trapped gas"


def effects(knowledge: Knowledge) -> Iterator[str]:
    """What an effect proves of a chamber, and what it does not."""
    holds = dict.fromkeys(("air", "negative", "charge"), True)
    empty = dict.fromkeys(holds, False)
    shown = {
        "air_proved_empty": {"air"},
        "can_off": {"air", "negative"},
        "charge_proved_empty": {"charge"},
    }
    filled = {"pumped": {"air", "negative"}, "refilled": {"air", "negative"},
              "air_filled": {"air", "negative"}, "charged": {"charge"}}  # fmt: skip
    for what in (
        *shown,
        *filled,
        "vented",
        "charge_released",
        "opened",
        "cycled",
        "off_bike",
        "damper_open",
    ):
        after = knowledge.device.after(holds, what)
        if {c for c in after if not after[c]} != shown.get(what, set()):
            yield f"'{what}' proves too much or too little"
        after = knowledge.device.after(empty, what)
        if {c for c in after if after[c]} != filled.get(what, set()):
            yield f"'{what}' fills too much or too little"


def hazards_exist(knowledge: Knowledge) -> Iterator[str]:
    """Which chambers bring a hazard about, and which hazards are always there."""
    for ident, hazard in knowledge.hazards.items():
        if set(hazard.chambers) != set(CHAMBERS.get(ident, ())):
            yield f"'{ident}' exists with {hazard.chambers or 'any state'}"


def acts_meet(knowledge: Knowledge) -> Iterator[str]:
    """Which act meets which hazard."""
    for ident, hazard in knowledge.hazards.items():
        if set(hazard.acts) != {act for act, hazards in MUST.items() if ident in hazards}:
            yield f"'{ident}' is met by {', '.join(hazard.acts)}"


def order_of_words(knowledge: Knowledge) -> Iterator[str]:
    """The gravest word first."""
    words = [c.signal_word for c in cautions.sort_cautions(knowledge, list(knowledge.cautions))]
    rank = ["DANGER", "WARNING", "CAUTION", "NOTICE"]
    if words != sorted(words, key=rank.index):
        yield "cautions do not stand gravest first"


def acknowledgements(knowledge: Knowledge) -> Iterator[str]:
    """When a key holds, for whom, and what ends it; asked of the gate one by one."""
    check = knowledge.checks["bench_gauge_while_short"]
    deed = routes.check_deed(knowledge, check)
    roles = gate.Roles(PEOPLE)
    key = Acknowledged(hazards=list(KEYS), step=check.id, person="AA", time="2026-03-02T09:00")
    begin: list[Event] = [Opened(pack="p", knowledge="", at="bench", time="2026-03-02T08:59"), key]

    def open_to(events: list[Event], person: str = "AA", what: Any = deed) -> bool:
        try:
            gate.require(knowledge, what, state.fold(events), person, roles)
        except DiagnoseError:
            return False
        return True

    if not open_to(begin):
        yield "a key does not hold at all"
    if open_to(begin[:1]):
        yield "a check is open without a key"
    if open_to(begin, "DD"):
        yield "one person's key opens for another"
    lapses: dict[str, Event] = {
        "a hand-over": HandedOver(to="AA", at="bench", person="AA"),
        "resuming": Resumed(person="AA"),
        "a physical event": Happened(what="cycled", person="AA"),
        "a break of 31 minutes": Answered(ask="x", state="y", time="2026-03-02T09:31"),
    }
    for name, event in lapses.items():
        if open_to([*begin, event]):
            yield f"a key outlives {name}"
    apprentice = key.model_copy(update={"person": "CC"})
    if open_to([begin[0], apprentice], "CC"):
        yield "an apprentice's key needs no second name"
    for boss, counts in (("AA", True), ("BB", False), ("CC", False), ("ZZ", False), ("DD", True)):
        signed = apprentice.model_copy(update={"supervisor": boss})
        if open_to([begin[0], signed], "CC") != counts:
            yield f"second name {boss} counts wrongly"
    # DD may supervise the air side only.
    charge = routes.Deed("x", "x", ("charged",), ("charged",))
    for boss, counts in (("AA", True), ("DD", False)):
        signed = apprentice.model_copy(update={"supervisor": boss})
        if open_to([begin[0], signed], "CC", charge) != counts:
            yield f"second name {boss} counts wrongly at the charge"
    if open_to([begin[0], key.model_copy(update={"person": "DD"})], "DD", charge):
        yield "no right for the charge, and the charge is open"


KEYS = (
    "trapped_negative",
    "air_pressure",
    "damper_charge",
    "over_pressure",
    "over_charge",
    "ifp_projectile",
)


def houses(knowledge: Knowledge) -> Iterator[str]:
    """However the shop works, a refusal and a quote that waits keep a sheet shut, and what the shop
    cannot close again is not opened.
    """
    stage = knowledge.stages["air_can_service"]
    first = routes.step_deed(knowledge, stage, 0)
    free = gate.House(asks=False)
    lacking = gate.House(lacks=lambda *_: ["seal kit"])

    def forbidden(house: gate.House, *events: Event) -> str:
        return gate.obstacle(knowledge, first, state.fold(events), sign=False, house=house)

    no = Approved(stages=[stage.id], declined=True)
    for name, answers in (("refused", [no]), ("quoted", [Quoted(stages=[stage.id])])):
        if forbidden(free, *answers) != "approval":
            yield f"where nothing is asked, a stage that was {name} is opened"
    if forbidden(free):
        yield "where nothing is asked, something is asked"
    if not forbidden(lacking, Approved(stages=[stage.id])):
        yield "what the shop cannot close again is opened"


def conversation_guards(knowledge: Knowledge) -> Iterator[str]:
    """Screens of another state, pressed keys, breaks and order, asked of the conversation."""
    with stubbed():
        yield from _conversation_guards(knowledge)


def _conversation_guards(knowledge: Knowledge) -> Iterator[str]:
    talk = Conversation(StubReasoner(knowledge, 0))  # type: ignore[arg-type]
    stage = knowledge.stages["air_can_service"]
    venting = next(n for n, step in enumerate(stage.steps) if "vented" in step.does)
    stamp: dict[str, Any] = {"person": "AA", "time": "2026-03-02T09:00"}
    begin: list[Event] = [
        Opened(pack="p", knowledge="", at="bench", **stamp),
        Answered(ask="said_air_loss", state="overnight", **stamp),
        SheetChosen(stage=stage.id, **stamp),
    ]
    if talk.prompt(begin, "AA").id != f"approval:{stage.id}":
        yield "a sheet begins without approval"
    declined = [*begin, Approved(stages=[stage.id], declined=True, **stamp)]
    if talk.prompt(declined, "AA").id.startswith("step:"):
        yield "a declined sheet is gone through"
    agreed = state.fold([*begin, Approved(stages=[stage.id], **stamp)])
    if not gate.obstacle(
        knowledge, routes.step_deed(knowledge, stage, venting), agreed, sign=False
    ):
        yield "steps that were not done count as done"
    begin.append(Approved(stages=[stage.id], **stamp))
    first = talk.prompt(begin, "AA")
    at_vent = [*begin, *(Stepped(stage=stage.id, number=n, **stamp) for n in range(venting))]
    caution = talk.prompt(at_vent, "AA", "7")
    if caution.kind != "caution":
        yield "the venting step stands open without a key"
        return
    if any(line.again for line in caution.cautions):
        yield "cautions that nobody read stand short"
    read = [*at_vent, *talk.reply(at_vent, caution, caution.answers[0].key, **stamp)]
    if any(line.again for line in talk.prompt(read, "DD").cautions):
        yield "cautions that somebody else read stand short"
    if caution.answers[0].key == "7" or talk.prompt(at_vent, "AA", "1").answers[0].key == "1":
        yield "the key of an acknowledgement is the one that was just pressed"
    if "skip" in caution.commands:
        yield "the cautions of a sheet can be skipped"
    gone_on = [*at_vent, Happened(what="air_proved_empty", **stamp)]
    if not _refused(talk, gone_on, caution, caution.answers[0].key, stamp):
        yield "cautions of an earlier state of the shock are acknowledged"
    if not _refused(talk, at_vent, first, "1", stamp):
        yield "a step out of its order is taken"
    acked = [*at_vent, *talk.reply(at_vent, caution, caution.answers[0].key, **stamp)]
    step = talk.prompt(acked, "AA")
    for shown in (step, replace(step, cautions=())):
        later = talk.reply(acked, shown, "1", person="AA", time="2026-03-02T09:45")
        if any(isinstance(e, Stepped) for e in later):
            yield "a step is taken after a long break with the key from before it"
    # A sign that came up after the screen was shown holds the step back all the same.
    bad = Answered(ask="bench_length", state="deep", by="bench", **stamp)
    said = Answered(ask="said_short_before_air_out", state="yes", by="customer", **stamp)
    for sign in (bad, said):
        if knowledge.checks.get(sign.ask, knowledge.symptoms.get(sign.ask)) is None:
            continue
        if talk.reasoner.view(state.fold([*acked, sign])).belief.signs and not _refused(
            talk, [*acked, sign], step, "1", stamp
        ):
            yield "a step is taken although a sign of trapped gas stands"
    other = knowledge.checks["bench_take_air"]
    shown = Prompt("question", other.id, "", answers=step.answers)
    shown = shown.__class__(**{**shown.__dict__, "answers": (_answer("no"),)})
    keyed = [*acked, Acknowledged(hazards=list(KEYS), step=other.id, **stamp)]
    if not _refused(talk, keyed, shown, "no", stamp):
        yield "a check pumps a shock in the middle of a sheet"
    marked = [e for e in begin if not isinstance(e, SheetChosen)]
    # No check of this pack opens; one that did would wait all the same.
    opener = other.model_copy(update={"does": sorted(knowledge.device.opening), "reading": None})
    would = knowledge.model_copy(update={"checks": {**knowledge.checks, other.id: opener}})
    opens = Prompt("question", opener.id, "", answers=(_answer("no"),))
    keyed = [*marked, Acknowledged(hazards=list(KEYS), step=opener.id, **stamp)]
    if not _refused(Conversation(StubReasoner(would, 0)), keyed, opens, "no", stamp):  # type: ignore[arg-type]
        yield "a check opens the shock before notes and 'can we close it again'"


def _answer(word: str) -> Any:
    return AnswerLine(key="1", state=word, text=word)


def _refused(talk: Any, events: list[Event], prompt: Any, key: str, stamp: dict[str, Any]) -> bool:
    try:
        new = talk.reply(events, prompt, key, **stamp)
    except DiagnoseError:
        return True
    return not any(isinstance(e, (Acknowledged, Stepped, Happened)) for e in new)


PROBES: tuple[Callable[[Knowledge], Iterator[str]], ...] = (
    signs,
    rows,
    until_asked,
    stops,
    fills,
    offers,
    effects,
    hazards_exist,
    acts_meet,
    order_of_words,
    acknowledgements,
    houses,
    conversation_guards,
)


def failures(knowledge: Knowledge) -> Iterator[str]:
    """Everything that does not hold; an exception of the program counts too."""
    for probe in PROBES:
        try:
            yield from probe(knowledge)
        except (
            DiagnoseError,
            StopIteration,
            LookupError,
            ValueError,
            AttributeError,
            TypeError,
        ) as error:
            yield f"{probe.__name__}: {type(error).__name__} {error}"
