"""Slips of an author's hand, each planted in the shop's own cards, each told by the one command.

What a slip is told with: the file, the line on which it stands (or, where something is missing, the
line that it is missing from), the field, and what to do.

Reaches job.card_fields, symptom_graph.gaps and the whole of knowledge.cross_checks:
knowledge.cross_checks.bench, knowledge.cross_checks.causes, knowledge.cross_checks.common,
knowledge.cross_checks.deeds, knowledge.cross_checks.findings, knowledge.cross_checks.frames,
knowledge.cross_checks.names,
knowledge.cross_checks.observers, knowledge.cross_checks.pack, knowledge.cross_checks.safety and
knowledge.cross_checks.stages.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from diagnose.bench.formulas import MEASURABLE, compute, read_all
from diagnose.cli.gate import changes, gate
from diagnose.errors import KnowledgeError, Problem
from diagnose.job.job_file import events_of
from diagnose.job.state import fold
from diagnose.knowledge.root import knowledge_root
from diagnose.reasoning.judgement import judge
from tests.bench.test_measurable import EXAMPLES, SHEET
from tests.real_pack import shop_reasoner

PACK = "rear_air_shock"
CORE = f"{PACK}/causes/valve_core_loose.yaml"
GAUGE = f"{PACK}/checks/bench_overnight_gauge.yaml"
FORCE = f"{PACK}/checks/bench_gas_force.yaml"
PUMPS = f"{PACK}/checks/bench_reconnect.yaml"
LOSS = f"{PACK}/findings/air_loss.yaml"
OPENS = f"{PACK}/checks/bench_core.yaml"
LOOK = f"{PACK}/checks/look_can_damaged.yaml"
STAGE = f"{PACK}/stages/full_service.yaml"
CHARGE = f"{PACK}/blocks/charge_in.yaml"
SAID = f"{PACK}/symptoms/said_air_loss.yaml"
OWN = f"{PACK}/pack.yaml"
DEVICE = f"{PACK}/device.yaml"
SAG = f"{PACK}/checks/bench_sag.yaml"
RING = f"{PACK}/checks/bench_travel_left.yaml"
HAZARDS = f"{PACK}/hazards.yaml"
FLOORS = f"{PACK}/floors.yaml"
RETIRED = f"{PACK}/retired.yaml"
OIL = f"{PACK}/findings/oil_is_damper_oil.yaml"
GATE = f"{PACK}/causes/lockout_stuck_gate.yaml"


@pytest.fixture(scope="module")
def cards(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the shop's cards; whoever breaks one mends it."""
    return Path(shutil.copytree(knowledge_root(), tmp_path_factory.mktemp("slips") / "knowledge"))


@contextmanager
def slipped(path: Path, old: str, new: str) -> Iterator[None]:
    text = path.read_text("utf-8")
    assert old in text, f"{path.name}: the slip needs a new place"
    path.write_text(text.replace(old, new, 1), "utf-8")
    try:
        yield
    finally:
        path.write_text(text, "utf-8")


def told(root: Path) -> list[Problem]:
    with pytest.raises(KnowledgeError) as refused:
        gate(root, [PACK])
    return refused.value.problems


#: file, what stands there, what is written instead; what the line told holds, what is said, hint
SLIPS = [
    (
        CORE,
        "settled_by: bench_reconnect",
        "settled_by: bench_sticky",
        "pump_hose_loss",
        "settled_by: 'bench_sticky' tells nothing between 'valve_core_loose' and 'pump_hose_loss'",
        "Name what only one of the two brings about",
    ),
    # ids and words that lead nowhere
    (
        GAUGE,
        "unexplained_loss_psi",
        "unexplained_los_psi",
        "quantity:",
        "reading.quantity",
        "unexplained_loss_psi",
    ),
    (
        GAUGE,
        "unexplained_loss_psi\n",
        "drop_per_reconnect_psi\n",
        "shows",
        "reading.shows",
        "Leave it out",
    ),
    (
        GAUGE,
        "shop_needs: [shock_pump",
        "shop_needs: [shock_pum",
        "shop_needs",
        "shop_needs: no equipment 'shock_pum'",
        "shock_pump",
    ),
    (
        STAGE,
        "nitrogen_charger",
        "nitrogen_chargr",
        "nitrogen_chargr",
        "shop_needs: no equipment",
        "nitrogen_charger",
    ),
    (
        GAUGE,
        "shock pump with gauge",
        "shock pump with gage",
        "tools",
        "tools: no tool",
        "shock pump with gauge",
    ),
    (
        GAUGE,
        "act: pump_on",
        "act: pumps_on",
        "act:",
        "act: no other check shares 'pumps_on'",
        "pump_on",
    ),
    (
        GAUGE,
        "act: pump_on\n",
        "",
        "act_minutes",
        "act_minutes: 1 minutes of no act",
        "Name the act",
    ),
    (
        GAUGE,
        "act_minutes: 1",
        "act_minutes: 11",
        "act_minutes",
        "'pump_on' takes 1",
        "Write the same",
    ),
    (
        RETIRED,
        "replaced_by: look_rebound_setting",
        "replaced_by: look_rebound_seting",
        "look_rebound_seting",
        "replaced_by: there is no card",
        "look_rebound_setting",
    ),
    (
        RETIRED,
        "states: {no: not_sure, yes: open_end}",
        "states: {no: not_sure, yes: open_and}",
        "open_and",
        "states: 'rebound_setting' has no state",
        "open_end",
    ),
    (
        RETIRED,
        "{id: bench_rebound_open,",
        "{id: bench_rebound_knob,",
        "bench_rebound_knob",
        "'bench_rebound_knob' is retired and a card at once",
        "Remove",
    ),
    (
        DEVICE,
        "bearing_eyelets: {kind: flag, says: bearings in its eyes}",
        "bearing_eyelets: {kind: flag}",
        "bearing_eyelets",
        "fields: nobody can be asked for 'bearing_eyelets', it has no words",
        "'says'",
    ),
    (
        OWN,
        "{feature: direct_mount,",
        "{feature: direct_mont,",
        "direct_mont",
        "first_sight: no feature 'direct_mont'",
        "direct_mount",
    ),
    (
        OWN,
        "{feature: direct_mount,",
        "{feature: piggyback,",
        "{feature: piggyback, text: 'An end",
        "first_sight: 'piggyback' stands here twice",
        "Keep one",
    ),
    (
        DEVICE,
        "    direct_mount: an end bolted straight on",
        "    direct_mont: an end bolted straight on",
        "direct_mont",
        "sheet: no flag among the fields 'direct_mont'",
        "direct_mount",
    ),
    (
        SAG,
        "says: {sag_high: no, sag_low: yes}",
        "says: {sag_hi: no, sag_low: yes}",
        "sag_hi",
        "says: 'low' does not say what it means of 'sag_high'",
        "no, yes, much",
    ),
    (
        SAG,
        "says: {sag_high: no, sag_low: yes}",
        "says: {sag_high: no, sag_low: ys}",
        "sag_low: ys",
        "says: 'sag_low' has no state 'ys'",
        "yes",
    ),
    (
        SAG,
        "- finding: sag_low",
        "- finding: dives",
        "- finding: dives",
        "reading.also: no answer says anything of 'dives'",
        "'says'",
    ),
    (
        DEVICE,
        "spoiled_by: [pumped, refilled]",
        "spoiled_by: [pumpt, refilled]",
        "pumpt",
        "conditions: no event 'pumpt'",
        "pumped",
    ),
    (
        RING,
        "needs: [as_ridden]",
        "needs: [as_riden]",
        "as_riden",
        "needs: no condition 'as_riden' of the device",
        "as_ridden",
    ),
    (
        OIL,
        "seen_with: {oil_slider: film,",
        "seen_with: {oil_slide: film,",
        "oil_slide: film",
        "no finding 'oil_slide'",
        "oil_slider",
    ),
    (
        OIL,
        "seen_with: {oil_slider: film,",
        "seen_with: {oil_slider: drop,",
        "oil_slider: drop",
        "'oil_slider' has no ill state 'drop'",
        "drops",
    ),
    (
        GATE,
        "firm_cable_off: 0.95",
        "firm_cable_off: 0.98",
        "firm_cable_off",
        "'firm_cable_off' with 0.98, but it must be seen first with lockout_stuck",
        "Lower it",
    ),
    (
        GAUGE,
        "\nsource:",
        "\napplies_when: {pigyback: true}\nsource:",
        "applies_when",
        "applies_when: no feature 'pigyback'",
        "piggyback",
    ),
    (
        SAID,
        "\nsource:",
        "\napplies_when: {pigyback: true}\nsource:",
        "applies_when",
        "applies_when: no feature",
        "piggyback",
    ),
    (
        OWN,
        "field: age_years",
        "field: age_year",
        "field",
        "field: a shock has no field 'age_year'",
        "age_years",
    ),
    (
        OWN,
        "  piggyback: 0.45",
        "  pigyback: 0.45",
        "pigyback",
        "features: no job says",
        "piggyback",
    ),
    (
        CHARGE,
        "asks_sheet: [charge_pressure",
        "asks_sheet: [charge_presure",
        "asks_sheet",
        "asks_sheet: no data sheet",
        "charge_pressure",
    ),
    (STAGE, "- block: piston_out", "- block: piston_ot", "piston_ot", "no block", "piston_out"),
    (
        f"{PACK}/blocks/piston_out.yaml",
        "applies_when: {bladder: false}",
        "applies_when: {blader: false}",
        "blader",
        "applies_when: no field 'blader'",
        "bladder",
    ),
    (
        OWN,
        "- look_bolt_loose",
        "- look_bolt_lose",
        "look_bolt_lose",
        "no check 'look_bolt_lose'",
        "look_bolt_loose",
    ),
    (
        OWN,
        "- look_bolt_loose",
        "- bench_length",
        "bench_length",
        "look: 'bench_length' is no look",
        "at: counter",
    ),
    (
        OWN,
        "look_can_damaged, state: yes",
        "look_can_damaged, state: no",
        "look_can_damaged",
        "look_signs: 'no' is the healthy",
        "is a sign",
    ),
    (
        FLOORS,
        "lifted_by: [",
        "lifted_by: [bench_lenght, ",
        "bench_lenght",
        "no check 'bench_lenght'",
        "bench_length",
    ),
    (
        HAZARDS,
        "acts: [tagged]",
        "acts: [tagged, pulled_off]",
        "acts",
        "no act 'pulled_off'",
        "pulled",
    ),
    # numbers that cannot be
    (
        CORE,
        "per_1000: ",
        "per_1000: 0 #",
        "per_1000",
        "per_1000: input should be greater than 0",
        "mend",
    ),
    (
        CORE,
        "per_1000: ",
        "per_1000: -5 #",
        "per_1000",
        "per_1000: input should be greater than 0",
        "mend",
    ),
    (CORE, "per_1000: ", "per_1000: 9000 #", "per_1000", "less than or equal to 500", "mend"),
    (
        CORE,
        "minutes: 10",
        "minutes: 600",
        "remedy",
        "remedy.minutes: input should be less",
        "mend",
    ),
    (CORE, "parts: ", "parts: 4000, kit: [x]} #", "remedy", "parts for 4000", "Correct the price"),
    (GAUGE, "\nminutes: ", "\nminutes: 900 #", "minutes", "minutes: input should be less", "mend"),
    (
        SAID,
        "\nminutes: ",
        "\nminutes: 90 #",
        "minutes",
        "minutes: input should be less",
        "mend",
    ),
    (CORE, "rank: 1", "rank: 0", "rank", "rank: input should be greater", "mend"),
    (
        FORCE,
        "mean: 0.55",
        "mean: 400",
        "mean: 400",
        "reading.states.low: 400",
        "Correct the number",
    ),
    (
        FORCE,
        "mean: 0.05, sd: 0.09",
        "mean: 0.55, sd: 0.17",
        "none:",
        "reading.states.none: the same",
        "Say how",
    ),
    # a rate is read by rates, a state that can be, and what another check measures
    (GAUGE, "shows: slow", "shows: slo", "shows", "no ill state 'slo'", "slow"),
    (GAUGE, "  shows: slow\n", "", "quantity", "lie apart in time", "shows:"),
    (
        GAUGE,
        "bench_reconnect: drop",
        "bench_reconect: drop",
        "uses:",
        "no measuring check",
        "bench_",
    ),
    (GAUGE, ": drop_per_reconnect_psi", ": play_mm", "uses:", "does not measure", "drop_per"),
    (
        LOSS,
        "  slow: {median: 0.002",
        "  slow: {median: 0.2",
        "overnight:",
        "no faster than",
        "quicker",
    ),
    (PUMPS, "value: share_of_reported", "value: share", "value:", "gives no value", "share_of"),
    (
        LOOK,
        "hit: ",
        "hit: almost_never, false_alarm: often} #",
        "reliability",
        "hit: 0.01 is no more",
        "exchange",
    ),
    # a picture that no job could be
    (
        CORE,
        "answers: {",
        "shock: {pigyback: true}, answers: {",
        "pigyback",
        "shock field 'pigyback'",
        "Correct",
    ),
    (CORE, "answers: {", "shock: {age_years: 900}, answers: {", "age_years", "age_years", ""),
    (CORE, "answers: {", "answers: {bench_cor: yes, ", "bench_cor", "bench_cor", "Name one"),
    (CORE, "answers: {", "answers: {bench_rub: {a: 1}, ", "bench_rub", "one word", "an id"),
    # what is done and not said
    (
        OPENS,
        "\ndoes: [",
        "\ndoes: [] #",
        "Air out slowly",
        "does: the step says 'air out slowly'",
        "Add 'vented'",
    ),
    (OPENS, "core_out, ", "", "core out", "does: the step says 'core out'", "Add 'core_out'"),
]


@pytest.mark.parametrize(
    ("file", "old", "new", "stands", "what", "hint"),
    SLIPS,
    ids=[f"{Path(s[0]).stem}: {s[4]}" for s in SLIPS],
)
def test_each_slip_is_told_where_it_stands(
    cards: Path, file: str, old: str, new: str, stands: str, what: str, hint: str
) -> None:
    path = cards / file
    with slipped(path, old, new):
        problems = [p for p in told(cards) if what in p.what]
        rows = path.read_text("utf-8").splitlines()
    assert problems
    assert {p.file for p in problems} == {f"knowledge/{file}"}
    assert any(stands in " ".join(rows[p.line - 1 : p.line + 1]) for p in problems)
    assert all(p.next_step and hint in p.next_step for p in problems)


@pytest.mark.long
def test_a_picture_against_its_card_and_an_unguarded_deed_are_told_together(cards: Path) -> None:
    """Both need sound cards, so they come after everything above; neither hides the other."""
    picture, hazard = cards / CORE, cards / HAZARDS
    ask = "typical:\n- {complaint: it creaks at the eyelet, answers: {look_creak: yes}, rank: 1}\n"
    with (
        slipped(picture, "typical:\n", ask),
        slipped(hazard, "acts: [tagged]", "acts: [sent]"),
    ):
        problems = told(cards)
    (wrong,) = [p for p in problems if p.file.endswith(CORE)]
    assert "typical: 'it creaks at the eyelet': valve_core_loose is number" in wrong.what
    rows = picture.read_text("utf-8").splitlines()
    assert wrong.line == 2 + rows.index("typical:")
    assert [p for p in problems if "unguarded" in p.what and p.file.endswith("do_not_open.yaml")]


MEASURED = [c.id for c in shop_reasoner().knowledge.checks.values() if c.reading is not None]


@pytest.mark.parametrize("ident", MEASURED)
def test_no_card_that_passes_ends_a_talk_with_an_error(ident: str) -> None:
    """Ordinary readings of each measuring check come through to a judgement."""
    reasoner = shop_reasoner()
    reading = reasoner.knowledge.checks[ident].reading
    assert reading is not None
    shock = {"eye_to_eye_mm": 200, "stroke_mm": 50, "set_pressure": "174 psi"}
    job = {"at": "bench", "shock": shock, "answers": {ident: EXAMPLES[reading.quantity]}}
    events, _ = events_of(job, reasoner.knowledge)
    assert judge(reasoner, reasoner.view(fold(events))).causes


@pytest.mark.parametrize("name", sorted(EXAMPLES))
def test_ordinary_readings_lie_where_a_quantity_can(name: str) -> None:
    low, high = MEASURABLE[name].possible
    assert low <= compute(name, read_all(name, EXAMPLES[name]), SHEET).value <= high


def test_watching_tells_each_change_once(tmp_path: Path) -> None:
    card = tmp_path / "a.yaml"
    card.write_text("id: a\n", "utf-8")
    pauses = []

    def pause(seconds: float) -> None:
        pauses.append(seconds)
        if len(pauses) == 3:
            card.write_text("id: b\n", "utf-8")
            (tmp_path / "c.yaml").write_text("id: c\n", "utf-8")

    seen = changes(tmp_path, pause)
    next(seen)
    assert pauses == []
    next(seen)
    assert len(pauses) == 3
