"""Where a card is used, both ways."""

from __future__ import annotations

import pytest

from diagnose.errors import InputError
from diagnose.knowledge.loader import Knowledge
from diagnose.reports.usage import KINDS, kinds_of, used_by
from tests.real_pack import PACKS, pack_knowledge
from tests.reports.pages import knowledge


def test_a_finding_names_its_witnesses_and_causes() -> None:
    cards = knowledge()
    for finding in cards.findings:
        used = used_by(cards, "finding", finding)
        witnesses = [s.id for s in cards.symptoms.values() if s.observes == finding]
        assert used.get("heard as", []) == witnesses
        for cause in used.get("brought about by", []):
            assert finding in cards.causes[cause].links


def test_a_check_names_the_causes_whose_look_alikes_it_settles() -> None:
    cards = knowledge()
    for cause in cards.causes.values():
        for other in cause.mistaken_for:
            used = used_by(cards, "check", other.settled_by)
            assert cause.id in used["settles a look-alike of"]


def test_every_card_but_the_pack_is_used_somewhere_or_is_a_cause() -> None:
    packs = [pack_knowledge(pack) for pack in PACKS]

    def unused(cards: Knowledge, kind: str) -> set[str]:
        return {i for i in getattr(cards, KINDS[kind]) if not used_by(cards, kind, i)}

    for cards in packs:
        assert not unused(cards, "finding") | unused(cards, "hazard")
        # A stage that no cause needs is the one that a rule chooses.
        assert unused(cards, "stage") <= {"do_not_open"}
    # Cautions are shared by all packs.
    assert not set.intersection(*(unused(cards, "caution") for cards in packs))


def test_a_shared_id_names_both_kinds() -> None:
    assert kinds_of(knowledge(), "pinch") == ["hazard", "caution"]


def test_an_unknown_id_names_the_nearest() -> None:
    with pytest.raises(InputError) as caught:
        kinds_of(knowledge(), "valve_core_losse")
    assert "valve_core_loose" in caught.value.next_step
