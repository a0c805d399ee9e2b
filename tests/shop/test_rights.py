"""Rights are signed by who may, stand until they are taken, and are erased with a person."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from diagnose.errors import InputError, Problem
from diagnose.job.gate import Roles
from diagnose.shop.rights import RIGHTS_FILE, Signature, erase, held, read, sign
from diagnose.training.apprentices import APPRENTICES, play
from diagnose.training.generate import generate
from diagnose.training.moment import Coach
from tests.real_pack import shop_knowledge

SHOP = Roles(
    {
        "AB": frozenset({"counter"}),
        "VW": frozenset({"air_side"}),
        "XY": frozenset({"air_side", "supervise"}),
    }
)

RIGHTS = tuple(shop_knowledge().rights)


def signature(
    who: str = "AB", right: str = "air_side", deed: str = "given", by: str = "XY"
) -> Signature:
    return Signature(who, right, deed, by, "2026-03-02T09:00:00+00:00")


def standing(folder: Path) -> dict[str, set[str]]:
    problems: list[Problem] = []
    found = held(read(folder, RIGHTS, problems))
    assert problems == []
    return {who: set(rights) for who, rights in found.items()}


def test_a_signature_stands_until_it_is_taken(tmp_path: Path) -> None:
    assert standing(tmp_path) == {}
    sign(tmp_path, signature(), SHOP, RIGHTS)
    assert standing(tmp_path) == {"AB": {"air_side"}}
    sign(tmp_path, signature(deed="taken"), SHOP, RIGHTS)
    assert standing(tmp_path) == {}
    sign(tmp_path, signature(), SHOP, RIGHTS)
    assert standing(tmp_path) == {"AB": {"air_side"}}
    with (tmp_path / RIGHTS_FILE).open(newline="", encoding="utf-8") as file:
        assert [row["deed"] for row in csv.DictReader(file)] == ["given", "taken", "given"]


@pytest.mark.parametrize(
    "wrong",
    [
        signature(by=""),
        signature(by="AB"),
        signature(who="XY", by="XY"),
        signature(by="VW"),
        signature(by="ZZ"),
        signature(right="charge"),
        signature(right="fly"),
        signature(who="../x"),
    ],
)
def test_nobody_signs_what_they_may_not(tmp_path: Path, wrong: Signature) -> None:
    with pytest.raises(InputError):
        sign(tmp_path, wrong, SHOP, RIGHTS)
    assert list(tmp_path.iterdir()) == []


def test_no_score_signs_anything(tmp_path: Path) -> None:
    coach = Coach(shop_knowledge())
    assert play(coach, generate(coach.compiled, 1), APPRENTICES[-1]).score == 100.0
    assert standing(tmp_path) == {}


def test_erased_are_the_lines_of_one_person(tmp_path: Path) -> None:
    for who in ("AB", "CD", "AB"):
        sign(tmp_path, signature(who=who), SHOP, RIGHTS)
    assert erase(tmp_path, "AB")
    assert not erase(tmp_path, "AB")
    assert standing(tmp_path) == {"CD": {"air_side"}}


@pytest.mark.parametrize(
    "line", ["AB,air_side,given,XY", "AB,fly,given,XY,x", "AB,charge,lent,XY,x"]
)
def test_a_wrong_line_gives_no_right_and_is_named(tmp_path: Path, line: str) -> None:
    (tmp_path / RIGHTS_FILE).write_text(f"who,right,deed,by,time\n{line}\n", "utf-8")
    problems: list[Problem] = []
    assert read(tmp_path, RIGHTS, problems) == []
    assert [problem.line for problem in problems] == [2]
