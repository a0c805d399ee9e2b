"""What is only seen with something else: asked for once that was reported, by whoever saw best."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.job.events import Answered, Complained, Event, HandedOver, Opened
from diagnose.job.state import fold
from diagnose.reasoning.in_place import in_place
from diagnose.reasoning.options import candidates
from diagnose.reasoning.reasoner import Reasoner
from tests.kettle import kettle

#: the cord is looked at once it drips
CHANGE = {"kettle/findings/cord.yaml:seen_with": {"drips": "drips"}}
SAID = Answered(ask="said_drips", state="drips")
SEEN = Answered(ask="look_drips", state="drips", by="counter")
DRY = Answered(ask="look_drips", state="dry", by="counter")
PROVED = Answered(ask="bench_leak", state="drips", by="bench")


@pytest.fixture(scope="module")
def reasoner(tmp_path_factory: pytest.TempPathFactory) -> Reasoner:
    folder: Path = tmp_path_factory.mktemp("kettle")
    return Reasoner(kettle(folder, CHANGE))


@pytest.mark.parametrize(
    ("events", "there"),
    [
        ([], False),
        ([Complained(text="it drips")], True),
        ([Complained(text="no drips")], False),
        ([SAID], True),
        ([SEEN], True),
        ([SAID, DRY], False),
        ([Complained(text="it drips"), DRY], False),
        ([DRY, PROVED], True),
        ([Answered(ask="said_drips", state="not_sure")], False),
        # Reported itself, by whoever was not asked: what was seen with it must have been there.
        ([Answered(ask="look_cord", state="bare", by="counter")], True),
        ([Answered(ask="look_cord", state="whole", by="counter")], False),
    ],
)
def test_it_waits_for_what_it_is_seen_with(
    reasoner: Reasoner, events: list[Event], there: bool
) -> None:
    view = reasoner.view(fold([Opened(pack="kettle", knowledge=""), *events]))
    assert in_place(reasoner.compiled, view.belief.items, "cord") is there
    assert in_place(reasoner.compiled, view.belief.items, "lid_jammed")


def test_a_look_is_offered_once_it_makes_sense(reasoner: Reasoner) -> None:
    def offered(*events: Event) -> set[str]:
        job = fold([Opened(pack="kettle", knowledge=""), *events, HandedOver(to="", at="bench")])
        items = reasoner.view(job).belief.items
        cards = candidates(reasoner.compiled, job, items, trapped=None)
        return {card.id for card in cards}

    assert "look_cord" not in offered()
    assert "look_cord" in offered(SAID)
