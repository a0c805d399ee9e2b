"""``diagnose train`` from outside: its objects, its exit codes, what it keeps."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import pytest

from diagnose.cli.main import main
from diagnose.cli.training_doors import majority


def lines(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], said: list[Any], *more: str
) -> list[dict[str, Any]]:
    text = "".join(json.dumps(one) + "\n" for one in said)
    monkeypatch.setattr("sys.stdin", io.StringIO(text))
    assert main(["train", "--json-lines", *more]) == 0
    return [json.loads(line) for line in capsys.readouterr().out.splitlines()]


CALL = ["call", "do_not_open", "piston_seal_one_way", "none", "stop_riding", "80 %"]


def test_another_program_holds_a_session_and_is_told_the_score(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], own_home: Path
) -> None:
    said = [{"answer": "bench_length"}, {"answer": "7"}, *({"answer": part} for part in CALL)]
    out = lines(monkeypatch, capsys, said, "--person", "AB", "--case", "van_strap_short")
    kinds = [data["kind"] for data in out]
    assert kinds[:2] == ["caution", "question"]
    assert set(kinds) == {"caution", "question", "note", "judgement", "end"}
    assert out[-1]["score"] > 0
    assert out[-1]["truth"] == ["piston_seal_one_way"]
    truths = [data for data in out[:-2] if "truth" in data]
    assert truths == []
    kept = json.loads((own_home / "training" / "people" / "AB.json").read_text("utf-8"))
    assert len(kept["sessions"]) == 1
    assert kept["open"] is None


def test_broken_off_it_goes_on_with_the_same_command(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    first = lines(monkeypatch, capsys, [{"answer": "said_creak"}], "--person", "AB", "--seed", "3")
    assert first[-1] == {"kind": "end", "text": "saved", "reply": False}
    again = lines(monkeypatch, capsys, [{"answer": "said_creak"}], "--person", "AB")
    notes = [data["text"] for data in again if data["kind"] == "note"]
    assert notes[1] == notes[0].replace("? ", "? As before: ")


def test_an_error_leaves_the_session_where_it_was(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    said = [{"answer": "no such thing"}, {"command": "why"}, {"readings": {"play": "3 bar"}}]
    out = lines(monkeypatch, capsys, said, "--seed", "3")
    assert [data["kind"] for data in out if data.get("reply") is not True][-1] == "end"
    assert sum(data["kind"] == "error" and data["reply"] for data in out) == 3


@pytest.mark.parametrize(
    "wrong",
    [
        ["--case", "gone_by_mondy"],
        ["--contrast", "a,b"],
        ["sign", "AB", "air_side"],
        ["erase", "ZZ"],
        ["new", "missing.yaml"],
        ["new"],
        ["--person", "../x", "--seed", "1"],
    ],
)
def test_what_cannot_be_done_is_refused_with_a_reason(
    wrong: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["train", *wrong]) == 1
    assert capsys.readouterr().err.startswith("diagnose: ")


def test_the_most_votes_win_and_nothing_is_kept_of_a_group(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], own_home: Path
) -> None:
    assert majority("3, 1 3") == ("3", "3 has 2 of 3 votes")
    assert majority("1 3")[0] == "1"
    assert majority(" ") == ("", "")
    monkeypatch.setattr("sys.stdin", io.StringIO(". . 1\nq\n"))
    assert main(["train", "--group", "--plain", "--seed", "3"]) == 0
    assert ". has 2 of 3 votes" in capsys.readouterr().out
    assert not (own_home / "training").exists()
