"""Look-alikes stand once, where both can be noticed, with what settles them."""

from __future__ import annotations

from diagnose.reports.book_links import Shelf
from diagnose.reports.lookalikes import lookalike_pages, pairs
from tests.reports.pages import knowledge, read


def test_each_pair_stands_once_and_none_is_lost() -> None:
    found = [(pair.first, pair.second) for pair in pairs(Shelf(knowledge()))]
    named = {
        tuple(sorted((cause.id, other.cause)))
        for cause in knowledge().causes.values()
        for other in cause.mistaken_for
    }
    assert len(found) == len(set(found))
    assert set(found) == named


def test_a_pair_stands_under_what_both_show_if_they_share_anything() -> None:
    causes = knowledge().causes
    for pair in pairs(Shelf(knowledge())):
        first, second = causes[pair.first].links.keys(), causes[pair.second].links.keys()
        assert pair.finding in (first & second or first)


def test_what_settles_it_is_said_as_the_cards_say_it() -> None:
    text = "".join(read(page).text for page in lookalike_pages(Shelf(knowledge())).values())
    for cause in knowledge().causes.values():
        for other in cause.mistaken_for:
            assert other.how in text


def test_a_valve_core_and_a_can_seal_meet_at_lost_air_or_bubbles() -> None:
    # Common practice (no source): both lose air, and soap tells where it leaves.
    pair = next(
        pair
        for pair in pairs(Shelf(knowledge()))
        if {pair.first, pair.second} == {"can_seal_worn", "valve_core_loose"}
    )
    assert knowledge().findings[pair.finding].group == "air"
