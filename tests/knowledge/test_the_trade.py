"""What a foreman holds against the numbers of the shop's own cards, cause by cause."""

from __future__ import annotations

from tests.real_pack import shop_knowledge

CAUSES = shop_knowledge().causes.values()
CHANCE = shop_knowledge().chance

#: right again in a warm room
ONLY_COLD = {"cold_oil_slow"}
#: right again once knob and lever stand open, as they do when the return is timed
ONLY_SHUT = {"rebound_too_closed", "detent_lost", "compression_left_firm"}


def test_what_is_put_right_without_service_has_lost_no_air() -> None:
    """A hose, a colder day, another height, a filling negative side: seen lost, not lost."""
    set_right = [c for c in CAUSES if CHANCE(c.cures.get("no_service", 0.01)) >= 0.9]
    assert len(set_right) > 15
    assert [c.id for c in set_right if "air_loss" in c.links] == []


def test_what_is_slow_in_the_frost_or_shut_alone_explains_no_reading_in_the_room() -> None:
    slow = {c.id for c in CAUSES if "rebound_slow" in c.links}
    assert {c.id for c in CAUSES if "slow_warm" in c.links} == slow - ONLY_COLD - ONLY_SHUT


def test_no_percentage_is_common_practice() -> None:
    """The trade agrees on what is done; how often something is so was judged or counted."""
    cards = [*CAUSES, *shop_knowledge().findings.values(), *shop_knowledge().checks.values()]
    assert [card.id for card in cards if card.source == "common_practice"] == []
