"""Every number has a source, and a chance is said as it is."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.knowledge.models import Source, Sourced
from diagnose.reports.figures import figures, in_words, of_card, said, source_line
from tests.reports.pages import knowledge


def test_every_number_has_a_source_that_exists() -> None:
    numbers = list(figures(knowledge()))
    assert len(numbers) > 1000
    assert not [figure for figure in numbers if figure.source not in knowledge().sources]


def test_no_number_is_listed_twice() -> None:
    places = Counter((figure.card, figure.field) for figure in figures(knowledge()))
    assert not [place for place, count in places.items() if count > 1]


def test_each_link_and_cure_of_a_cause_is_listed() -> None:
    for cause in knowledge().causes.values():
        listed = {figure.field for figure in of_card(knowledge(), cause.id)}
        for finding, chance in cause.links.items():
            states = [(state,) for state in chance] if isinstance(chance, dict) else [()]
            assert {("links", finding, *state) for state in states} <= listed
        assert {("cures", stage) for stage in cause.cures} <= listed


def test_a_number_of_other_origin_keeps_its_own_source() -> None:
    cards = knowledge()
    cause = next(iter(cards.causes.values()))
    stage = next(iter(cause.cures))
    source = next(ident for ident in cards.sources if ident != cause.source)
    own = Sourced(value="rarely", source=source, note="computed")
    changed = cause.model_copy(update={"cures": {stage: own}})
    cards = cards.model_copy(update={"causes": {cause.id: changed}})
    number = next(f for f in of_card(cards, cause.id) if f.field == ("cures", stage))
    assert (number.source, number.note, number.word) == (source, "computed", "rarely")
    assert number.number == cards.pack.scale["rarely"]
    assert said(number) == "rarely, one in twenty (0.05)"


@pytest.mark.parametrize(
    ("chance", "words"),
    [
        (0.01, "one in a hundred"),
        (0.05, "one in twenty"),
        (0.2, "one in five"),
        (0.5, "one in two"),
        (0.75, "three in four"),
        (0.9, "nine in ten"),
        (0.97, "all but three in a hundred"),
    ],
)
def test_the_scale_is_said_as_its_readme_says_it(chance: float, words: str) -> None:
    assert in_words(chance) == words


SMALL = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
NUMBERS = {word: number for number, word in enumerate(SMALL, 1)}
NUMBERS |= {"a hundred": 100, "a thousand": 1000, "twenty": 20}


@given(st.floats(min_value=0.0005, max_value=0.9995))
def test_what_is_said_is_near_what_is_meant(chance: float) -> None:
    words = in_words(chance).removeprefix("about ")
    rest = words.startswith("all but ")
    part, _, whole = words.removeprefix("all but ").partition(" in ")
    spoken = NUMBERS[part] / NUMBERS[whole]
    spoken = 1 - spoken if rest else spoken
    assert abs(spoken - chance) <= 0.051
    assert 0 < spoken < 1


def test_a_counted_source_says_its_counts() -> None:
    source = Source(id="jobs", kind="counted", text="Closed jobs.", date="2026", n=3, m=40)
    assert source_line(source) == "counted, 3 of 40: Closed jobs. (2026)"


def test_every_number_of_the_pack_is_listed_but_the_scale_and_the_edges_of_bands() -> None:
    def count(value: object) -> int:
        if isinstance(value, dict):
            return sum(map(count, value.values()))
        if isinstance(value, list):
            return sum(map(count, value))
        return int(isinstance(value, int | float) and not isinstance(value, bool))

    pack = knowledge().pack
    dumped = pack.model_dump(exclude={"scale"})
    for context in dumped["contexts"].values():
        for band in context["bands"]:
            del band["below"]
    assert len(list(of_card(knowledge(), pack.id))) == count(dumped)
