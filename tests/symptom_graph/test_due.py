"""Every act in every state of the chambers has just the cautions that the trade wants before it.

The table is a second writing of the trade's hazards, hazard by hazard: what must be known before
what, and while which chamber may hold pressure. It knows nothing of ``hazards.yaml``.
"""

from __future__ import annotations

from itertools import product

import pytest

from diagnose.symptom_graph.cautions import required_cautions
from tests.real_pack import shop_knowledge

KNOWLEDGE = shop_knowledge()
CHAMBERS = ("air", "negative", "charge")

#: caution -> (chambers, one of which may hold pressure; none: always), (acts that it precedes);
#: common practice (no source)
DUE: dict[str, tuple[str, str]] = {
    # letting out, adding, clamping, pulling, heating, unthreading, posting a stuck-short shock
    "trapped_negative": (
        "negative",
        "vented let_down pumped refilled gauged clamped pulled pushed_in forced core_out opened "
        "can_off sent",
    ),
    # valve core and can; any pump put on, any shock taken in the hand as it came
    "air_pressure": (
        "air",
        "vented let_down pumped gauged core_out opened can_off touched pushed_in",
    ),
    # charge port, bleed screw, seal head, body; can off with the damper still charged
    "damper_charge": ("charge", "charge_released damper_open opened can_off"),
    "residual_gas": ("", "charge_released charge_proved_empty damper_open ifp_out body_faced"),
    # every filling step
    "over_maximum": ("", "pumped pumped_back refilled"),
    # the damper has no marked maximum; its sheet has the figure
    "over_charge": ("", "charged"),
    "damaged_pressure_part": ("", "let_down pumped pumped_back refilled damage_sought"),
    # gas from a bottle
    "never_oxygen": ("", "charged"),
    "nitrogen_bottle": ("", "charged"),
    # opening what somebody else had open
    "unknown_history": ("", "opened can_off damper_open"),
    # any ride or loaded test
    "structural_stop": ("", "loaded"),
    "ifp_flies": ("", "ifp_out piston_moved"),
    # a locked thread
    "no_heat_on_charged": ("air negative charge", "can_off forced tagged"),
    # touching and reading after a descent
    "hot_shock": ("", "touched gauged"),
    # leak search, ports
    "fluid_jet": ("", "leak_sought charge_released damper_open charged ifp_out"),
    # taking the shock off, and putting it back
    "frame_drops": ("", "off_bike bolted"),
    "ebike_motor": ("", "off_bike bolted"),
    # cleaning, oil
    "solvents": ("", "cleaned oil_handled"),
    "oil_on_brake": ("", "damper_open brake_near"),
    "sealing_surfaces": ("", "cleaned resealed"),
    "pinch": ("", "reached off_bike bolted pushed_in charge_proved_empty charge_proved"),
    "vice_strap": ("", "clamped can_off"),
    "do_not_post_pressurised": ("", "sent"),
    "small_charge": ("", "port_gauged"),
    "trapped_do_not_open": ("negative", "tagged"),
}

MARKS = {mark for s in KNOWLEDGE.stages.values() for step in s.steps for mark in step.marks}
EVERY = sorted(KNOWLEDGE.device.events.keys() | KNOWLEDGE.device.acts.keys() | MARKS)
STATES = [dict(zip(CHAMBERS, row, strict=True)) for row in product((True, False), repeat=3)]


def due(act: str, state: dict[str, bool]) -> set[str]:
    return {
        caution
        for caution, (chambers, acts) in DUE.items()
        if act in acts.split() and (not chambers or any(state[c] for c in chambers.split()))
    }


@pytest.mark.parametrize("act", EVERY)
def test_act_has_just_its_cautions_in_every_state(act: str) -> None:
    for state in STATES:
        said = [card.id for card in required_cautions(KNOWLEDGE, [act], state)]
        assert len(said) == len(set(said))
        assert set(said) == due(act, state), state


def test_the_table_names_acts_and_cautions_that_there_are() -> None:
    shown = {c for hazard in KNOWLEDGE.hazards.values() for c in hazard.cautions}
    assert set(DUE) == shown
    assert {act for _, acts in DUE.values() for act in acts.split()} <= set(EVERY)


def test_what_changes_or_meets_nothing_says_nothing() -> None:
    silent = {act for act in EVERY if not any(due(act, state) for state in STATES)}
    print(f"{len(EVERY) * len(STATES)} pairs of act and state checked")
    proofs = MARKS - {"charged", "can_off", "charge_released", "charge_proved_empty", "damper_open",
                      "ifp_out", "charge_proved"}  # fmt: skip
    assert silent == proofs | {"cycled"}


def test_acts_come_in_order_and_meet_what_was_filled_before_them() -> None:
    empty = dict.fromkeys(CHAMBERS, False)
    said = {card.id for card in required_cautions(KNOWLEDGE, ["refilled", "vented"], empty)}
    assert {"air_pressure", "trapped_negative"} <= said
    said = {card.id for card in required_cautions(KNOWLEDGE, ["vented", "refilled"], empty)}
    assert not {"air_pressure", "trapped_negative"} & said


@pytest.mark.parametrize("ident", sorted(KNOWLEDGE.cautions))
def test_a_caution_is_short_and_its_first_sentence_stands_alone(ident: str) -> None:
    card = KNOWLEDGE.cautions[ident]
    assert len(f"{card.hazard} {card.consequence} {card.avoidance}".split()) <= 37
    assert len(card.hazard.split()) >= 4 and card.hazard.endswith(".")


def test_what_crushes_fingers_is_a_warning_and_what_only_damages_a_notice() -> None:
    word = {ident: card.signal_word for ident, card in KNOWLEDGE.cautions.items()}
    assert word["frame_drops"] == "WARNING"
    assert {i for i, w in word.items() if w == "NOTICE"} == {"sealing_surfaces", "small_charge"}
    danger = {i for i, w in word.items() if w == "DANGER"}
    assert danger == {"trapped_do_not_open", "overcharged_do_not_open"}


def test_a_fill_by_hand_names_what_must_not_take_the_place_of_the_pump() -> None:
    text = KNOWLEDGE.cautions["over_maximum"].avoidance
    assert all(word in text for word in ("ump", "never oxygen", "compressor", "cartridge"))
