"""Hand-written expectations of the trade, and direct questions to the rules that keep them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np

from diagnose.belief.compiled import Compiled, compile_pack
from diagnose.errors import DiagnoseError
from diagnose.knowledge.loader import Knowledge
from diagnose.session import gate, options, ride, state, trapped
from diagnose.session.conversation import Conversation
from diagnose.session.events import (
    Acknowledged,
    Answered,
    Approved,
    Event,
    HandedOver,
    Happened,
    Opened,
    Quoted,
    Resumed,
    Skipped,
    Stepped,
)
from diagnose.session.judgement import AnswerLine
from diagnose.session.prompts import Prompt
from diagnose.symptom_graph import cautions, routes
from tests.safety.attack import PEOPLE, StubReasoner, stubbed
from tests.safety.monitor import CHAMBERS, MUST

#: finding -> states in which nobody rides, whatever caused them
STOP_STATES: dict[str, tuple[str, ...]] = {
    "air_loss": ("overnight", "quick"),
    "bolt_bent_missing": ("yes",),
    "bolt_loose": ("yes",),
    "can_damaged": ("yes",),
    "crack_seen": ("suspect", "yes"),
    "oil_on_brake": ("yes",),
    "pressure_high": ("over_max",),
    "pulls_back": ("yes",),
    "rebound_fast": ("pogo",),
    "shaft_bent": ("yes",),
    "slider_scored": ("deep",),
    "stays_short_with_air": ("partly", "yes"),
    "stuck_short": ("partly", "deep"),
    "will_not_take_air": ("yes",),
    "wrong_size": ("yes",),
}

#: causes with which nobody rides
STOP_CAUSES = (
    "axle_or_wheel_knock", "tyre_or_frame_contact",
    "body_bore_scored", "can_bore_scored", "can_cracked", "can_not_tight", "check_valve_stuck",
    "damper_body_cracked", "damper_shaft_loose", "eyelet_cracked", "frame_mount_cracked",
    "link_cracked", "piston_seal_one_way", "pivot_bolt_loose", "pressure_over_max",
    "reservoir_hose_leak", "ridden_flat_damage", "seal_cut_by_scratch", "seal_head_loose",
    "seal_missing_after_service", "shaft_bent_cause", "shaft_scored_cause", "shim_stack_damaged",
    "shock_bolt_bent", "shock_bolt_loose", "shock_bolt_missing", "squashed_in_transport",
    "valve_core_loose", "vented_flat", "wrong_shock_fitted",
)  # fmt: skip

#: sign of trapped gas: finding -> states that raise it
SIGNS: dict[str, tuple[str, ...]] = {
    "gauge_while_short": ("some", "near_usual"),
    "short_before_air_out": ("yes",),
    "stays_short_with_air": ("partly", "yes"),
}

#: finding -> bench checks whose healthy answer clears its sign
CLEARED_BY: dict[str, set[str]] = {
    "gauge_while_short": {"bench_length", "bench_guarded_fill"},
    "short_before_air_out": {"bench_length", "bench_guarded_fill"},
    "stays_short_with_air": {"bench_length"},
}

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


def _item(compiled: Compiled, ask: str, by: str, word: str) -> Any:
    finding = compiled.knowledge.checks[ask].observes
    names = compiled.states(finding)
    likelihood = np.full(len(names), 0.02)
    likelihood[names.index(word)] = 0.96
    return SimpleNamespace(
        finding=finding, ask=ask, by=by, state=word, likelihood=likelihood, words="", certainty=1.0
    )


def signs(knowledge: Knowledge) -> Iterator[str]:
    """Signs stand from the trade's threshold, and only the bench clears them."""
    compiled = compile_pack(knowledge, None)

    def standing(found: Any, items: list[Any]) -> set[str]:
        return {s.sign.finding for s in trapped.standing_signs(compiled, found, items)}

    for finding, states in SIGNS.items():
        found = _sure(compiled, finding, states, 0.3)
        if finding not in standing(found, []):
            yield f"'{finding}' believed with 0.3 raises no sign"
        if finding in standing(_sure(compiled, finding, states, 0.05), []):
            yield f"'{finding}' believed with 0.05 raises a sign"
        for check in ("bench_length", "bench_guarded_fill"):
            names = compiled.states(knowledge.checks[check].observes)
            clears = check in CLEARED_BY[finding]
            well = [_item(compiled, check, "bench", names[0])]
            if (finding not in standing(found, well)) != clears:
                yield f"'{check}' clears '{finding}' wrongly or not at all"
            for by, word in (("customer", names[0]), ("counter", names[0]), ("bench", names[-1])):
                if finding not in standing(found, [_item(compiled, check, by, word)]):
                    yield f"'{check}' said {word} by the {by} clears '{finding}'"
    for symptom in FIRST_WORDS:
        if knowledge.pack.first_words.get(symptom) != "leave_valve_alone":
            yield f"'{symptom}' is not answered with 'leave the valve alone'"


def stops(knowledge: Knowledge) -> Iterator[str]:
    """The ride verdict stops for every reason of the trade, and promises nothing."""
    compiled = compile_pack(knowledge, None)
    fine = _sure(compiled, "crack_seen", ("yes",), 0.0)

    def call(causes: Any, found: Any, told: Any = None, unseen: bool = False) -> Any:
        looked, missing = (["slider"], []) if not unseen else ([], ["slider"])
        return ride.judge_ride(compiled, causes, found, told or {}, looked, missing, unseen)

    for finding, states in STOP_STATES.items():
        for word in states:
            found = _sure(compiled, finding, (word,), 0.4)
            if call({}, found).verdict != "stop_riding":
                yield f"'{finding}' {word} believed with 0.4 does not stop the ride"
            if call({}, fine, {finding: word}).verdict != "stop_riding":
                yield f"'{finding}' {word}, told and not looked at, does not stop the ride"
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


def offers(knowledge: Knowledge) -> Iterator[str]:
    """Nothing loads a shock that must not be ridden; nothing is done under a sign."""
    compiled = compile_pack(knowledge, None)
    for at in ("counter", "bench"):
        job = state.JobState(at=at)
        if any(
            getattr(c, "loaded", False)
            for c in options.candidates(compiled, job, [], stop=True, trapped=None)
        ):
            yield f"a check at the {at} loads a shock that must not be ridden"
        for card in options.candidates(compiled, job, [], stop=False, trapped={"bench_length"}):
            if getattr(card, "effects", ()) and card.id != "bench_length":
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
        after = cautions.chambers_after(holds, what)
        if {c for c in after if not after[c]} != shown.get(what, set()):
            yield f"'{what}' proves too much or too little"
        after = cautions.chambers_after(empty, what)
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
    deed = routes.check_deed(check)
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


KEYS = ("trapped_negative", "air_pressure", "damper_charge", "over_pressure", "ifp_projectile")


def houses(knowledge: Knowledge) -> Iterator[str]:
    """However the shop works, a refusal and a quote that waits keep a sheet shut, and what the shop
    cannot close again is not opened.
    """
    stage = knowledge.stages["air_can_service"]
    first = routes.step_deed(stage, 0)
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
        Skipped(ask=f"sheet:{stage.id}", **stamp),
    ]
    if talk.prompt(begin, "AA").id != f"approval:{stage.id}":
        yield "a sheet begins without approval"
    declined = [*begin, Approved(stages=[stage.id], declined=True, **stamp)]
    if talk.prompt(declined, "AA").id.startswith("step:"):
        yield "a declined sheet is gone through"
    agreed = state.fold([*begin, Approved(stages=[stage.id], **stamp)])
    if not gate.obstacle(knowledge, routes.step_deed(stage, venting), agreed, sign=False):
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
    bad = Answered(ask="bench_short_gauge", state="yes", by="bench", **stamp)
    said = Answered(ask="said_short_before_air_out", state="yes", by="customer", **stamp)
    for sign in (bad, said):
        if knowledge.checks.get(sign.ask, knowledge.symptoms.get(sign.ask)) is None:
            continue
        if talk.reasoner.view(state.fold([*acked, sign])).signs and not _refused(
            talk, [*acked, sign], step, "1", stamp
        ):
            yield "a step is taken although a sign of trapped gas stands"
    other = knowledge.checks["bench_take_air"]
    shown = Prompt("question", other.id, "", answers=step.answers)
    shown = shown.__class__(**{**shown.__dict__, "answers": (_answer("no"),)})
    keyed = [*acked, Acknowledged(hazards=list(KEYS), step=other.id, **stamp)]
    if not _refused(talk, keyed, shown, "no", stamp):
        yield "a check pumps a shock in the middle of a sheet"
    marked = [e for e in begin if not isinstance(e, Skipped)]
    spacers = Prompt("question", "bench_spacers", "", answers=(_answer("no"),))
    keyed = [*marked, Acknowledged(hazards=list(KEYS), step="bench_spacers", **stamp)]
    if not _refused(talk, keyed, spacers, "no", stamp):
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
    stops,
    offers,
    effects,
    hazards_exist,
    acts_meet,
    order_of_words,
    acknowledgements,
    houses,
    conversation_guards,
)


def failures(knowledge: Knowledge) -> list[str]:
    """Everything that does not hold; an exception of the program counts too."""
    found: list[str] = []
    for probe in PROBES:
        try:
            found += list(probe(knowledge))
        except (
            DiagnoseError,
            StopIteration,
            LookupError,
            ValueError,
            AttributeError,
            TypeError,
        ) as error:
            found.append(f"{probe.__name__}: {type(error).__name__} {error}")
    return found
