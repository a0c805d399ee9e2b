"""The words that people use most lead to what a foreman thinks of and asks first.

Nothing here is a phrase that a card or the corpus must hold: cards link the finding, complaints of
many hands teach how it is said.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from diagnose.conversation.conversation import Conversation
from diagnose.conversation.prompts import LOOK, MORE, SIGHT
from diagnose.job.job_file import events_of
from diagnose.job.state import fold
from diagnose.reasoning.judgement import Judgement, judge
from tests.real_pack import shop_reasoner

ROWS: list[dict[str, Any]] = yaml.safe_load(
    Path(__file__).with_name("words_people_use.yaml").read_text("utf-8")
)
REASONER = shop_reasoner()


def rows() -> list[Any]:
    """A row each; one that waits fails its test once it is met."""
    return [
        pytest.param(
            row,
            id=row["say"],
            marks=[pytest.mark.xfail(reason=row["waits"], strict=True)] if "waits" in row else [],
        )
        for row in ROWS
    ]


@cache
def told(say: str) -> tuple[Judgement, str]:
    """The judgement on the words alone, and what is asked first, what is asked of all apart."""
    events, _ = events_of({"complaint": say}, REASONER.knowledge)
    judgement = judge(REASONER, REASONER.view(fold(events)))
    first = Conversation(REASONER).prompt(events).id
    opening = (MORE, SIGHT, LOOK)
    return judgement, (judgement.next_step.id or "") if first in opening else first


@pytest.mark.parametrize("row", rows())
def test_the_words_lead_where_a_foreman_s_thoughts_go(row: dict[str, Any]) -> None:
    judgement, first = told(row["say"])
    causes = REASONER.knowledge.causes
    systems = {causes[line.id].system for line in judgement.causes[:3] if line.id in causes}
    assert first in row.get("asks", [first]), row["why"]
    assert systems & set(row.get("systems", systems)), row["why"]


def test_a_given_up_shock_is_hardly_ever_set_up_badly() -> None:
    events, _ = events_of({"answers": {"said_called_broken": "yes"}}, REASONER.knowledge)
    view = REASONER.view(fold(events))
    first = judge(REASONER, view).causes[0]
    assert REASONER.knowledge.causes[first.id].system not in ("setup", "environment")
