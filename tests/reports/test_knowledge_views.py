"""Cards in plain text, and how the numbers are covered."""

from __future__ import annotations

import pytest

from diagnose.errors import InputError
from diagnose.reports.figures import source_line
from diagnose.reports.knowledge_views import coverage, show
from diagnose.reports.usage import KINDS, used_by
from tests.reports.pages import knowledge


@pytest.mark.parametrize("kind", KINDS)
def test_every_card_can_be_shown_and_fits(kind: str) -> None:
    for ident in getattr(knowledge(), KINDS[kind]):
        text = show(knowledge(), ident, 60)
        assert text.startswith(tuple(f"{name} {ident}" for name in KINDS))
        wide = [line for line in text.splitlines() if len(line) > 60 and " " in line.strip()]
        assert not wide


def test_narrow_paper_loses_no_word() -> None:
    for ident in ("can_not_tight", "bench_overnight_gauge", "full_service", "said_air_loss"):
        wide, narrow = show(knowledge(), ident, 200), show(knowledge(), ident, 30)
        assert narrow.split() == wide.split()


def test_numbers_are_said_in_words_with_their_source() -> None:
    cards = knowledge()
    cause = next(
        cause
        for cause in cards.causes.values()
        if "usually" in cause.links.values() and used_by(cards, "cause", cause.id)
    )
    finding = next(name for name, chance in cause.links.items() if chance == "usually")
    text = show(cards, cause.id, 200)
    assert f"links, {finding.replace('_', ' ')}: usually, nine in ten (0.9)" in text
    assert f"source {cause.source}, {source_line(cards.sources[cause.source])}" in text
    assert "taken for it: " in text


def test_the_pack_can_be_shown() -> None:
    pack = knowledge().pack
    assert f"economics, comeback: {pack.economics.comeback:g}" in show(knowledge(), pack.id)


def test_an_unknown_id_is_refused_with_the_nearest() -> None:
    with pytest.raises(InputError) as caught:
        show(knowledge(), "full_servce")
    assert "full_service" in str(caught.value)


def test_coverage_counts_each_number_once() -> None:
    counted = coverage(knowledge())
    assert sum(row["count"] for row in counted["by_kind"].values()) == counted["numbers"]
    assert sum(counted["by_source"].values()) == counted["numbers"]
    assert sum(row["share"] for row in counted["by_kind"].values()) == pytest.approx(1, abs=1e-3)
    assert counted["cards"]["cause"] == len(knowledge().causes)
