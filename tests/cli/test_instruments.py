"""``diagnose knowledge explain|sensitivity|mutate|compare|simulate``: the author's instruments.

Reaches cli.checklist_comparison, cli.card_numbers and cli.wrong_cards too.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from pathlib import Path

import pytest

from diagnose.cli.progress import Progress
from diagnose.knowledge.root import knowledge_root
from tests.cli.conftest import Run

JOB = """\
complaint: loses air overnight
answers: {bench_bubbles_valve: stream, look_oil_slider: none}
"""


@pytest.fixture
def job(tmp_path: Path) -> Path:
    path = tmp_path / "job.yaml"
    path.write_text(JOB, "utf-8")
    return path


def test_weights_of_an_explained_job_add_up(run: Run, job: Path) -> None:
    told = json.loads(run("knowledge", "explain", job, "--json").out)
    judged = json.loads(run("assess", job, "--json").out)
    chances = {row["id"]: row["probability"] for row in judged["causes"]}
    for part in ("why", "why_not"):
        row = told[part]
        shown = row["prior"] + sum(w["weight"] for w in row["weights"])
        assert abs(shown - row["log_odds"]) <= 1e-9
        chance, trusted = row["by_the_story"], told["trusted"]
        assert row["log_odds"] == pytest.approx(math.log(chance / (1.0 - chance)), abs=1e-3)
        mixed = trusted * chance + (1.0 - trusted) * row["without_it"]
        assert chances[row["cause"]] == pytest.approx(mixed, abs=1e-4)
    assert told["why"]["cause"] == judged["causes"][0]["id"]
    assert told["next_step"]["id"] == judged["next_step"]["id"]


def test_an_explanation_is_in_words(run: Run, job: Path) -> None:
    out = run("knowledge", "explain", job).out
    assert "Why not " in out and "before anything was said" in out and "Next: " in out
    assert "answer carries it" in out


def test_a_job_without_a_name_is_read_from_standard_input(run: Run) -> None:
    ran = run("knowledge", "explain", "-", given="complaint: loses air overnight")
    assert ran.status == 0
    assert "Why" in ran.out


def test_another_cause_may_be_asked_for(run: Run, job: Path) -> None:
    told = json.loads(run("knowledge", "explain", job, "--json", "--cause", "charge_low").out)
    assert told["why_not"]["cause"] == "charge_low"
    done = run("knowledge", "explain", job, "--cause", "charge_lo")
    assert done.status == 1 and "charge_low" in done.err


def test_the_functions_of_one_job_give_back_its_chance(run: Run, job: Path) -> None:
    told = json.loads(run("knowledge", "sensitivity", job, "--json").out)
    kinds = {row["number"].split()[0] for row in told["numbers"]}
    assert "rate" in kinds and len(told["numbers"]) > 100
    for row in told["numbers"][:20]:
        (a, b), (c, d) = row["probability"]["numerator"], row["probability"]["denominator"]
        chance = (a + b * row["value"]) / (c + d * row["value"])
        assert chance == pytest.approx(told["probability"], rel=1e-6)


def test_steps_of_numbers_over_a_few_jobs(run: Run) -> None:
    told = json.loads(run("knowledge", "sensitivity", "--sample", 3, "--json").out)
    assert told["jobs"] == 3 and told["steps"] > 300
    assert 0.9 <= told["kept"] <= 1.0 and told["worth"]
    assert "worth an expert's hour" in run("knowledge", "sensitivity", "--sample", 1).out.lower()


def test_nothing_to_look_at_is_refused(run: Run) -> None:
    done = run("knowledge", "sensitivity", "--sample", 0)
    assert done.status == 1 and "--sample" in done.err


def test_an_unknown_kind_of_fault_names_the_kinds(run: Run) -> None:
    done = run("knowledge", "mutate", "--kind", "links dropped")
    assert done.status == 1 and "link dropped" in done.err


def test_the_same_cards_say_the_same(run: Run) -> None:
    folder = knowledge_root()
    told = json.loads(run("knowledge", "compare", folder, folder, "--sample", 2, "--json").out)
    assert told["old"] == told["new"] and told["compared"] >= 2 and told["changes"] == []
    done = run("knowledge", "compare", folder, "/no/such/folder")
    assert done.status == 2 and "/no/such/folder" in done.err


def test_the_strategy_is_held_against_a_list(run: Run, tmp_path: Path) -> None:
    picture = tmp_path / "cost.svg"
    done = run("knowledge", "simulate", "--sample", 1, "--svg", picture, "--json")
    (row,) = json.loads(done.out)["complaints"]
    assert row["causes_known"] < row["all_checks_free"] < row["strategy"] <= row["at_once"] + 1e-9
    assert row["strategy_curve"][0] == pytest.approx(row["at_once"])
    assert picture.read_text("utf-8").startswith("<svg")
    assert run("knowledge", "simulate", "--sample", 1, "--svg", tmp_path).status == 1


def test_interrupted_work_says_how_far_it_came(capsys: pytest.CaptureFixture[str]) -> None:
    def rows() -> Iterator[int]:
        yield from (1, 2, 3)

    def work(row: int) -> int:
        if row == 3:
            raise KeyboardInterrupt
        return 10 * row

    progress = Progress()
    assert progress.each(work, rows(), "rows") == [10, 20]
    assert progress.status == 130
    assert "interrupted; rows: 2 of 3" in capsys.readouterr().err
    assert progress.each(work, [1], "more") == []
