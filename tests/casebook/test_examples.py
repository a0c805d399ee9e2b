"""What is told of pictures beside cause cards; those of the packs are held by `knowledge check`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from diagnose.casebook.examples import input_problems, picture_problems
from diagnose.errors import Problem
from diagnose.knowledge.loader import Lines
from diagnose.reasoning.reasoner import Reasoner
from tests.kettle import kettle
from tests.real_pack import shop_reasoner

BURNT = "kettle/causes/element_burnt.yaml"


def told(folder: Path, changes: dict[str, Any]) -> list[Problem]:
    """Problems of the pictures beside one cause of the kettle."""
    reasoner = Reasoner(kettle(folder, changes))
    return picture_problems(reasoner, Lines(), causes=["element_burnt"])


def test_the_pictures_of_the_kettle_hold(tmp_path: Path) -> None:
    assert told(tmp_path, {}) == []


@pytest.mark.parametrize(
    ("change", "what"),
    [
        # a hot kettle speaks against a dead heater
        ({"typical.0.answers": {"bench_heat": "hot"}}, "typical: 'it stays cold': element_burnt"),
        # a cold one speaks for it, so that it comes first where it must not
        ({"near_miss.0.answers": {"bench_heat": "cold"}}, "it must not be first"),
        ({"typical.0.missed": "hard to hear"}, "missed: this typical picture holds today"),
        ({"typical": []}, "typical: the card has no such picture"),
    ],
)
def test_a_picture_that_says_otherwise_than_its_card_is_told(
    tmp_path: Path, change: dict[str, Any], what: str
) -> None:
    (problem,) = told(tmp_path, {f"{BURNT}:{path}": value for path, value in change.items()})
    assert what in problem.what
    assert problem.next_step


def test_a_picture_that_is_known_to_be_missed_is_no_problem(tmp_path: Path) -> None:
    missed = {"typical.0.answers": {"bench_heat": "hot"}, "typical.0.missed": "hot today"}
    assert told(tmp_path, {f"{BURNT}:{path}": value for path, value in missed.items()}) == []


def test_several_processes_find_what_one_finds(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("diagnose.casebook.examples._MANY", 1)
    causes = ["dry_pivot_creak", "wiper_worn", "valve_core_loose"]
    knowledge = shop_reasoner().knowledge
    cards = {
        cause: card.model_copy(
            update={"typical": [e.model_copy(update={"missed": ""}) for e in card.typical]}
        )
        for cause, card in knowledge.causes.items()
    }
    reasoner = Reasoner(knowledge.model_copy(update={"causes": cards}))
    alone = picture_problems(reasoner, Lines(), 1, causes)
    assert alone, "a picture that is known to be missed"
    assert picture_problems(reasoner, Lines(), 2, causes) == alone


@pytest.mark.parametrize(
    ("shock", "what"),
    [
        ({"pigyback": True}, "shock field 'pigyback' is not known. Nearest: piggyback"),
        ({"piggyback": "perhaps"}, "'perhaps' is neither true nor false"),
        ({"age_years": 400}, "400"),
        ({"climate": "wet"}, "'wet' is not one of them"),
    ],
)
def test_what_a_picture_says_of_its_shock_is_understood(
    tmp_path: Path, shock: dict[str, object], what: str
) -> None:
    knowledge = shop_reasoner().knowledge
    card = knowledge.causes["wiper_worn"]
    typical = [card.typical[0].model_copy(update={"shock": shock}), *card.typical[1:]]
    wrong = {"wiper_worn": card.model_copy(update={"typical": typical})}
    (problem,) = input_problems(knowledge.model_copy(update={"causes": wrong}), Lines())
    assert what in problem.what
    assert problem.next_step
