"""Cards and all problems of form at once, each with file, line and what to do."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from diagnose.errors import KnowledgeError, Problem
from diagnose.knowledge.loader import DEFAULT_PACK, fingerprint, load, read_pack
from diagnose.knowledge.models import Cause, Sourced
from diagnose.knowledge.root import knowledge_root
from tests.kettle import GONE, PACK, kettle, write_kettle

BURNT = "kettle/causes/element_burnt.yaml"
COLD = "kettle/findings/stays_cold.yaml"


def problems_of(folder: Path, changes: dict[str, Any]) -> list[Problem]:
    """Problems of form after the changes."""
    return read_pack(write_kettle(folder, changes), PACK)[2]


def line_of(folder: Path, file: str, text: str) -> int:
    """Line of the first row of a written file that holds this text."""
    rows = (folder / "knowledge" / file).read_text("utf-8").splitlines()
    return next(n for n, row in enumerate(rows, 1) if text in row)


def test_a_pack_of_another_device_is_read_like_the_shocks(tmp_path: Path) -> None:
    knowledge = kettle(tmp_path)
    assert list(knowledge.causes) == ["element_burnt", "lid_bent", "limescale", "seal_perished"]
    assert knowledge.pack.economics.currency == "XTS"
    assert knowledge.second_opinion.findings["stays_cold"]["usually"] == ["element_burnt"]


def test_the_shops_own_pack_has_no_problem() -> None:
    assert load(knowledge_root()).pack.id == DEFAULT_PACK


def test_a_chance_is_a_word_a_number_or_either_with_its_source(tmp_path: Path) -> None:
    knowledge = kettle(tmp_path)
    assert knowledge.chance("usually") == 0.9
    assert knowledge.chance(0.25) == 0.25
    assert knowledge.chance(Sourced(value="rarely", source="invented")) == 0.05
    assert knowledge.chance(knowledge.causes["seal_perished"].links["drips"]) == 0.9


def test_a_card_is_found_by_its_id_whatever_its_kind(tmp_path: Path) -> None:
    knowledge = kettle(tmp_path)
    assert isinstance(knowledge.card("limescale"), Cause)
    for ident in ("drips", "said_drips", "bench_lid", "descale", "hot_water", "scald", "invented"):
        assert getattr(knowledge.card(ident), "id") == ident  # noqa: B009
    assert knowledge.card("nothing") is None


@pytest.mark.parametrize(
    ("change", "value", "words"),
    [
        (f"{BURNT}:colour", "red", "'colour' is not a field of this card."),
        (f"{BURNT}:per_1000", GONE, "per_1000: field required."),
        (f"{BURNT}:per_1000", "many", "per_1000: "),
        (f"{BURNT}:per_1000", True, "'true' or 'false' stands where a word or number is wanted"),
        (f"{BURNT}:remedy.minutes", "10", "remedy.minutes: input should be a valid number."),
        (f"{BURNT}:remedy.minutes", True, "'true' or 'false' stands where a word or number"),
        (f"{BURNT}:links.stays_cold", True, "'true' or 'false' stands where a word or number"),
        (f"{BURNT}:name", 7, "name: input should be a valid string."),
        (f"{BURNT}:remedy.minutes", -3, "remedy.minutes: input should be greater than 0."),
        (f"{BURNT}:remedy.minutes", 241, "remedy.minutes: input should be less than or equal"),
        (f"{BURNT}:remedy.opens", "The Lid", "remedy.opens: string should match pattern"),
        (f"{BURNT}:ride.verdict", "fly", "ride"),
        (f"{COLD}:states", ["hot"], "states: list should have at least 2 items"),
        (
            f"{COLD}:states.1",
            True,
            "states.1: 'true' or 'false' stands where a word or number is wanted.",
        ),
        (f"{COLD}:id", "Stays Cold", "id: string should match pattern"),
        ("kettle/pack.yaml:stop_at", 1.5, "stop_at: input should be less than 1."),
        ("kettle/pack.yaml:no_fault_per_1000", 0, "no_fault_per_1000: input should be greater"),
        ("kettle/hazards.yaml:hazards.1.cautions", [], "cautions: list should have at least 1"),
        ("cautions/hot_water.yaml:signal_word", "BEWARE", "signal_word: input should be 'DANGER'"),
    ],
)
def test_a_fault_of_form_names_file_line_and_field(
    tmp_path: Path, change: str, value: object, words: str
) -> None:
    problems = problems_of(tmp_path, {change: value})
    file, _, path = change.partition(":")
    field = [part for part in path.split(".") if not part.isdigit()][-1]
    assert words in problems[0].what
    assert problems[0].file == f"knowledge/{file}"
    if value is not GONE and field != "states":
        shown = f"{field}: []" if value == [] else f"{field}:"
        assert problems[0].line == line_of(tmp_path, file, shown)
    assert problems[0].next_step


def test_an_unknown_field_is_answered_with_the_known_ones(tmp_path: Path) -> None:
    (problem,) = problems_of(tmp_path, {f"{BURNT}:colour": "red"})
    assert "per_1000" in problem.next_step


def test_all_faults_of_all_files_are_told_at_once(tmp_path: Path) -> None:
    problems = problems_of(
        tmp_path,
        {
            f"{BURNT}:colour": "red",
            f"{COLD}:group": GONE,
            "kettle/checks/bench_lid.yaml": "id: bench_lid\n\tname: x\n",
            "cautions/live_wire.yaml": b"id: caf\xe9\n",
        },
    )
    assert {p.file.rpartition("/")[2] for p in problems} == {
        "element_burnt.yaml",
        "stays_cold.yaml",
        "bench_lid.yaml",
        "live_wire.yaml",
    }


def test_a_file_is_named_like_its_card(tmp_path: Path) -> None:
    (problem,) = problems_of(tmp_path, {"kettle/stages/descale.yaml:id": "descaling"})
    assert "the id is 'descaling' but the file is named 'descale'" in problem.what
    assert problem.next_step == "Rename the file to descaling.yaml or change the id."


def test_an_id_stands_once_in_a_list(tmp_path: Path) -> None:
    (problem,) = problems_of(tmp_path, {"kettle/hazards.yaml:hazards.1.id": "scald"})
    assert "the id 'scald' stands here twice" in problem.what


@pytest.mark.parametrize(
    "content", ["", "just words\n", "hazards: 3\n"], ids=["empty", "a word", "a number"]
)
def test_a_list_that_is_none_is_a_problem(tmp_path: Path, content: str) -> None:
    (problem, *_) = problems_of(tmp_path, {"kettle/hazards.yaml": content})
    assert "needs a list under 'hazards:'" in problem.what


@pytest.mark.parametrize("name", ["pack", "words"])
def test_without_the_packs_own_file_there_is_no_knowledge(tmp_path: Path, name: str) -> None:
    root = write_kettle(tmp_path, {f"kettle/{name}.yaml": GONE})
    knowledge, _, problems = read_pack(root, PACK)
    assert knowledge is None
    assert "cannot be read" in problems[0].what


def test_an_unknown_pack_is_answered_with_the_packs_there_are(tmp_path: Path) -> None:
    with pytest.raises(KnowledgeError, match=r"no pack 'toaster'\. Packs here: kettle\."):
        load(write_kettle(tmp_path), "toaster")


def test_what_is_raised_shows_every_problem_and_the_way_on(tmp_path: Path) -> None:
    root = write_kettle(tmp_path, {f"{BURNT}:colour": "red", f"{COLD}:group": GONE})
    with pytest.raises(KnowledgeError) as caught:
        load(root, PACK)
    rows = str(caught.value).splitlines()
    assert len(rows) == 3, "that others name what cannot be read is no problem of theirs"
    assert rows[0].startswith("knowledge/kettle/causes/element_burnt.yaml:")
    assert rows[1].startswith("knowledge/kettle/findings/stays_cold.yaml:")
    assert rows[2].startswith("2 problems in the knowledge files Mend the files")


@pytest.mark.parametrize(
    "change",
    [
        {f"{BURNT}:per_1000": 101},
        {BURNT: GONE},
        {"kettle/words.yaml:beside": ["it is the red one"]},
        {"sources.yaml:sources.0.date": "2026-01-02"},
        {"cautions/hot_water.yaml:consequence": "It burns."},
    ],
)
def test_the_fingerprint_covers_every_file(tmp_path: Path, change: dict[str, Any]) -> None:
    before = fingerprint(write_kettle(tmp_path / "a"), PACK)
    assert fingerprint(write_kettle(tmp_path / "b"), PACK) == before
    assert fingerprint(write_kettle(tmp_path / "c", change), PACK) != before
