"""``diagnose assess``: one job in, one Judgement out, as other programs rely on it.

Reaches complaint.cache and cli.job_input too.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import yaml

from tests.cli.conftest import Run

STAGES = {
    "no_service",
    "on_bike_hardware",
    "air_can_service",
    "damper_service",
    "full_service",
    "replace_or_refer",
    "do_not_open",
}
WHOLE: dict[str, Any] = {
    "pack": "rear_air_shock",
    "at": "bench",
    "shock": {"set_pressure": "165 psi", "stroke_mm": 55, "lockout": False, "climate": "cold"},
    "complaint": "loses air overnight, no oil on the shaft, holds its lockout fine",
    "answers": {
        "said_air_loss": "overnight",
        "said_oil_slider": {"state": "none", "by": "counter"},
        "look_crack_seen": "no",
        "bench_core": "not_sure",
        "bench_sag": {"sag": "17 mm", "stroke": "55 mm"},
    },
}


def judged(run: Run, data: Any, form: str = "json") -> dict[str, Any]:
    text = json.dumps(data) if form == "json" else yaml.safe_dump(data, sort_keys=False)
    done = run("assess", "-", "--json", given=text)
    assert done.status == 0, done.err
    judgement: dict[str, Any] = json.loads(done.out)
    return judgement


def refused(run: Run, data: Any) -> str:
    done = run("assess", "-", "--json", given=json.dumps(data))
    assert (done.status, done.out) == (1, "")
    assert done.err.startswith("diagnose: ")
    assert done.err.count("\n") == 1, "one line, no traceback"
    return done.err


def test_what_was_heard_is_told_with_its_place_and_what_was_not_too(run: Run) -> None:
    text = "it creaks, is squidgy and loses air overnight"
    found = judged(run, {"complaint": text})
    for line in (*found["heard"], *found["not_heard"]):
        assert text[line["start"] : line["end"]] == line["words"]
    certain = [line["probability"] for line in found["heard"]]
    assert certain == sorted(certain, reverse=True)
    assert "squidgy" in [line["words"] for line in found["not_heard"]]
    weighing = {line["id"] for line in found["heard"] if line["standing"] == "counts"}
    assert weighing == {row["id"] for row in found["symptoms"]}


def test_the_judgement_has_every_part_of_the_contract(run: Run) -> None:
    found = judged(run, WHOLE)
    assert found["schema_version"] == 1
    assert found["knowledge"]
    assert found["stage"]["id"] in STAGES
    assert found["ride"] in {"ride", "ride_gently", "stop_riding"}
    assert found["ride_reason"]
    parts = {
        "symptoms": {"id", "state", "how_sure"},
        "causes": {"id", "name", "probability"},
        "cautions": {"id", "signal_word", "text"},
    }
    for part, fields in parts.items():
        assert found[part]
        assert all(fields <= row.keys() for row in found[part])
    fields = {"id", "cures", "expected_cost", "currency", "minutes", "reason"}
    assert all(fields <= row.keys() for row in [found["stage"], *found["also_stages"]])
    step = {"kind", "id", "question", "answers", "readings", "cautions", "why"}
    assert step <= found["next_step"].keys()
    assert found["next_step"]["kind"] in {"ask", "check", "book_inspection", "done"}
    assert found["surprise"].keys() == {"value", "suspects"}
    assert found["warnings"] == []


def test_causes_come_in_descending_order(run: Run) -> None:
    chances = [row["probability"] for row in judged(run, WHOLE)["causes"]]
    assert chances == sorted(chances, reverse=True)


@pytest.mark.parametrize("part", ["pack", "at", "shock", "complaint", "answers"])
def test_every_part_may_be_missing(run: Run, part: str) -> None:
    without = {name: value for name, value in WHOLE.items() if name != part}
    assert judged(run, without)["stage"]["id"] in STAGES


@pytest.mark.parametrize(
    "text", ["", "{}", "# nothing\n", "complaint:\n", "shock: {}\nanswers: {}"]
)
def test_an_empty_job_is_judged_too(run: Run, text: str) -> None:
    done = run("assess", "-", "--json", given=text)
    found = json.loads(done.out)
    assert (done.status, found["at"], found["symptoms"]) == (0, "counter", [])


def test_yaml_and_json_of_one_job_give_the_same_bytes(run: Run, tmp_path: Path) -> None:
    outputs = set()
    for name, text in (
        ("job.yaml", yaml.safe_dump(WHOLE, sort_keys=False)),
        ("job.json", json.dumps(WHOLE)),
    ):
        (tmp_path / name).write_text(text, "utf-8")
        outputs.add(run("assess", tmp_path / name, "--json").out)
        outputs.add(run("assess", "-", "--json", given=text).out)
    assert len(outputs) == 1


def test_the_same_job_gives_the_same_bytes_in_another_process(
    environment: dict[str, str],
) -> None:
    """Other hash seeds, a cold and a warm cache."""
    text = json.dumps(WHOLE)
    outputs = set()
    for seed in ("1", "2"):
        done = subprocess.run(
            [sys.executable, "-P", "-m", "diagnose", "assess", "-", "--json"],
            input=text,
            capture_output=True,
            text=True,
            env={**environment, "PYTHONHASHSEED": seed},
            check=True,
        )
        outputs.add(done.stdout)
    assert len(outputs) == 1


def test_nothing_is_stored(run: Run, own_home: Path) -> None:
    run("assess", "-", "--json", given=json.dumps(WHOLE))
    assert not (own_home / "jobs.sqlite3").exists()


@pytest.mark.parametrize(
    ("data", "words", "nearest"),
    [
        (
            {"answers": {"said_air_los": "slow"}},
            "answers.said_air_los: there is no",
            "said_air_loss",
        ),
        ({"answers": {"bench_cores": "no"}}, "answers.bench_cores: there is no", "bench_core"),
        (
            {"answers": {"said_air_loss": "weekly"}},
            "'weekly' is no state of said_air_loss",
            "overnight",
        ),
        ({"answers": {"bench_sag": {"sag": "17 stone"}}}, "answers.bench_sag: ", "mm"),
        ({"answers": {"bench_sag": {"sagg": "17 mm"}}}, "answers.bench_sag: ", "sag"),
        ({"answers": {"said_creak": {"state": "no", "by": "costumer"}}}, "no reporter", "customer"),
        ({"shock": {"set_pressure": "165 pis"}}, "shock.set_pressure: ", "psi"),
        ({"shock": {"climate": "tropical"}}, "shock.climate: ", "hot"),
        ({"pack": "front_fork"}, "this is a job of the pack 'front_fork'", "rear_air_shock"),
        ({"at": "counterr"}, "at: 'counterr' is no place", "counter"),
        ({"complaints": "x"}, "'complaints' is no field", "complaint"),
    ],
)
def test_what_is_unknown_is_refused_with_the_nearest_names(
    run: Run, data: dict[str, Any], words: str, nearest: str
) -> None:
    error = refused(run, data)
    assert words in error
    assert nearest in error.partition(words)[2]


def test_an_unknown_field_of_the_shock_is_a_warning(run: Run) -> None:
    found = judged(run, {"shock": {"colour": "red", "age": 3}})
    assert "'colour' is not known" in found["warnings"][0]
    assert "age_years" in found["warnings"][1]


@pytest.mark.parametrize("words", ["holds air fine", "no oil", "no oil on the shaft"])
def test_denials_in_the_complaint_count(run: Run, words: str) -> None:
    symptoms = judged(run, {"complaint": f"it creaks, {words}"})["symptoms"]
    assert [row["denied"] for row in symptoms].count(True) == 1
    denied = next(row for row in symptoms if row["denied"])
    assert denied["state"] in {"no", "none"}
    assert 0.0 < denied["how_sure"] <= 1.0


def test_a_denial_makes_its_causes_less_likely(run: Run) -> None:
    def leak(complaint: str) -> float:
        rows = judged(run, {"complaint": complaint})["causes"]
        return next(r["probability"] for r in rows if r["id"] == "shaft_seal_leak")  # type: ignore[no-any-return]

    assert (
        leak("squelches, no oil on the shaft") < leak("squelches") < leak("squelches, oil on shaft")
    )


def test_answers_override_the_words(run: Run) -> None:
    said = {"complaint": "oil on the shaft"}
    asked = {**said, "answers": {"said_oil_slider": "none"}}
    (row,) = judged(run, asked)["symptoms"]
    assert (row["id"], row["state"], row["by"]) == ("said_oil_slider", "none", "customer")
    other = {**asked, "complaint": "no oil on the shaft"}  # not none: silence says something too
    assert judged(run, asked)["causes"] == judged(run, other)["causes"]


def test_who_says_it_matters(run: Run) -> None:
    def chances(by: str) -> Any:
        answer = {"look_oil_slider": {"state": "drops", "by": by}}
        return judged(run, {"answers": answer})["causes"]

    assert chances("customer") != chances("counter")
    plain = judged(run, {"answers": {"look_oil_slider": "drops"}})["causes"]
    assert plain == chances("counter")


def test_not_sure_says_nothing(run: Run) -> None:
    unsure = judged(run, {"answers": {"look_oil_slider": "not_sure", "bench_core": "not_sure"}})
    assert unsure["symptoms"] == []
    assert unsure["causes"] == judged(run, {})["causes"]


def test_readings_are_computed_with_their_units(run: Run) -> None:
    def sag(typed: str) -> Any:
        return judged(
            run, {"at": "bench", "answers": {"bench_sag": {"sag": typed, "stroke": "55 mm"}}}
        )

    deep, same, usual = sag("27 mm"), sag("2.7 cm"), sag("15 mm")
    assert deep["causes"] == same["causes"]
    assert deep["symptoms"][0]["state"] == "much"
    assert usual["symptoms"][0]["state"] == "no"


def test_a_history_is_the_customers_report(run: Run) -> None:
    found = judged(run, {"shock": {"history": "oil on the shaft"}})
    assert [row["id"] for row in found["symptoms"]] == ["said_oil_slider"]


def test_a_job_with_any_character_is_read(run: Run) -> None:
    data = {"complaint": "it creaks \U0001f62c äß 変"}
    assert judged(run, data) == judged(run, data, "yaml")


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"complaint: caf\xe9", "standard input: this is not UTF-8 text. Save as UTF-8."),
        (b"a: [1, 2", "standard input:2: not YAML"),
        (b"a:\n\t- b", "standard input:2: not YAML"),
        (b"- a\n- b", "standard input:1: a job is a mapping of fields."),
        (b"complaint: a\ncomplaint: b", "standard input:2: 'complaint' stands here twice."),
    ],
)
def test_a_file_that_cannot_be_read_says_where(run: Run, raw: bytes, words: str) -> None:
    done = run("assess", "-", given=raw)
    assert (done.status, done.out) == (1, "")
    assert words in done.err


def test_a_file_that_is_not_there(run: Run, tmp_path: Path) -> None:
    done = run("assess", tmp_path / "none.yaml")
    assert done.status == 1
    assert "none.yaml: cannot be read: No such file" in done.err


def test_the_text_says_what_the_json_says(run: Run) -> None:
    found = judged(run, WHOLE)
    text = run("assess", "-", "--width", "60", given=json.dumps(WHOLE)).out
    assert max(map(len, text.splitlines())) <= 60
    flat = " ".join(text.split())
    assert found["stage"]["name"] in flat
    assert found["causes"][0]["name"] in flat
    assert found["ride_reason"] in flat


@pytest.mark.parametrize("given", ["", "complaint: just want a check"])
def test_a_judgement_of_what_nobody_looked_at_is_none_for_the_ride(run: Run, given: str) -> None:
    found = json.loads(run("assess", "-", "--json", given=given).out)
    assert not found["ride_judged"] and "before it is ridden look at" in found["ride_reason"]
    out = run("assess", "-", given=given).out
    assert "NOT LOOKED AT: NOT JUDGED" in out and "[ RIDE ]" not in out


@pytest.mark.parametrize("command", [[], ["assess", "-"], ["train"]])
def test_a_closed_standard_input_is_an_empty_one(command: list[str], tmp_path: Path) -> None:
    shell = ["sh", "-c", 'exec "$@" <&-', "sh", sys.executable, "-P", "-m", "diagnose", *command]
    home = {**os.environ, "HOME": str(tmp_path), "XDG_DATA_HOME": str(tmp_path)}
    done = subprocess.run(shell, capture_output=True, text=True, env=home, check=False, timeout=60)
    assert "Traceback" not in done.stderr
    assert done.stdout


def test_a_closed_standard_output_ends_without_a_word() -> None:
    top = Path(__file__).resolve().parents[2]
    started = [sys.executable, str(top / "diagnose"), "assess", "-"]
    shell = ["sh", "-c", 'exec "$@" </dev/null >&-', "sh", *started]
    done = subprocess.run(shell, stderr=subprocess.PIPE, text=True, check=False, timeout=300)
    assert (done.returncode, done.stderr) == (0, "")
