"""Which cautions stand before a step in which state, in which order, and which wait for a key."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.symptom_graph.cautions import (
    RANK,
    every_caution,
    hazards_met,
    hazards_now,
    must_acknowledge,
    required_cautions,
)
from tests.real_pack import PACKS, pack_knowledge, shop_knowledge

KNOWLEDGE = shop_knowledge()
DEVICE = KNOWLEDGE.device
FULL = dict.fromkeys(("air", "negative", "charge"), True)

deeds = st.lists(st.sampled_from(sorted(DEVICE.events.keys() | DEVICE.acts.keys())), max_size=8)
chambers = st.fixed_dictionaries(dict.fromkeys(FULL, st.booleans()))


@given(deeds, chambers)
def test_gravest_first_once_each_and_none_left_out(
    names: list[str], state: dict[str, bool]
) -> None:
    cards = required_cautions(KNOWLEDGE, names, state)
    idents = [card.id for card in cards]
    assert len(set(idents)) == len(idents)
    ranks = [RANK[card.signal_word] for card in cards]
    assert ranks == sorted(ranks)
    live = hazards_met(KNOWLEDGE, names, state)
    assert set(idents) == {c for h in live for c in KNOWLEDGE.hazards[h].cautions}


@given(deeds, chambers)
def test_fewer_full_chambers_never_bring_a_hazard(names: list[str], state: dict[str, bool]) -> None:
    assert set(hazards_met(KNOWLEDGE, names, state)) <= set(hazards_met(KNOWLEDGE, names, FULL))
    assert set(must_acknowledge(KNOWLEDGE, names, state)) <= set(
        hazards_met(KNOWLEDGE, names, state)
    )


def test_a_chamber_of_which_nothing_is_known_counts_as_full() -> None:
    assert hazards_now(KNOWLEDGE, ["air_pressure"], {}) == ["air_pressure"]


@pytest.mark.parametrize(
    ("act", "hazard", "empty"),
    [
        ("vented", "air_pressure", "air"),
        ("pulled", "trapped_negative", "negative"),
        ("charge_released", "damper_charge", "charge"),
    ],
)
def test_a_hazard_ends_with_its_chamber(act: str, hazard: str, empty: str) -> None:
    assert hazard in must_acknowledge(KNOWLEDGE, [act], FULL)
    assert hazard not in must_acknowledge(KNOWLEDGE, [act], {**FULL, empty: False})


@pytest.mark.parametrize("pack", PACKS)
def test_a_pack_shows_each_caution_that_it_can_say_and_no_other_pack_s(pack: str) -> None:
    knowledge = pack_knowledge(pack)
    shown = [card.id for card in every_caution(knowledge)]
    assert len(shown) == len(set(shown))
    said = {floor.say for floor in knowledge.floors if floor.say}
    hazards = {ident for hazard in knowledge.hazards.values() for ident in hazard.cautions}
    assert set(shown) == said | hazards | set(knowledge.pack.always)
    assert set(knowledge.device.by_hand) <= set(shown)


def test_no_word_of_air_stands_before_a_coil() -> None:
    shown = {card.id for card in every_caution(pack_knowledge("rear_coil_shock"))}
    assert not shown & {"air_pressure", "above_maximum", "trapped_do_not_open", "hot_shock"}
