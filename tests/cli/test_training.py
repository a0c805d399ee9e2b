"""``diagnose train`` from outside: its objects, its exit codes, what it keeps.

Reaches cli.training_cases, cli.training_people, cli.training_session, lines.sitting and
terminal.sitting too.
"""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path
from typing import Any

import pytest

from diagnose.cli.main import main
from diagnose.cli.schema import line_schema
from tests.cli.client import hold, in_order

pytestmark = pytest.mark.usefixtures("practice")

Run = list[dict[str, Any]]


def lines(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], said: list[Any], *more: str
) -> Run:
    text = "".join(json.dumps(one) + "\n" for one in said)
    monkeypatch.setattr("sys.stdin", io.StringIO(text))
    assert main(["train", "--json-lines", *more]) == 0
    return [json.loads(line) for line in capsys.readouterr().out.splitlines()]


def notes(run: Run) -> list[str]:
    return [data["text"] for data in run if data["kind"] == "note"]


CALL = ["call", "do_not_open", "piston_seal_one_way", "none", "stop_riding", "80 %"]


def test_another_program_holds_a_session_and_is_told_the_score(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], own_home: Path
) -> None:
    said = [{"answer": "bench_length"}, {"answer": "7"}, *({"answer": part} for part in CALL)]
    out = lines(monkeypatch, capsys, said, "--person", "AB", "--case", "van_strap_short")
    kinds = [data["kind"] for data in out]
    assert kinds.index("caution") < kinds.index("note")
    assert kinds[-3:] == ["judgement", "result", "end"]
    assert out[-1]["score"] == out[-2]["score"] > 0
    assert [cause["id"] for cause in out[-2]["truth"]] == ["piston_seal_one_way"]
    assert '"truth"' not in json.dumps(out[:-2])
    kept = json.loads((own_home / "training" / "people" / "AB.json").read_text("utf-8"))
    assert len(kept["sessions"]) == 1
    assert kept["open"] == []


def test_a_client_that_knows_no_ids_holds_a_session_in_words(
    environment: dict[str, str],
) -> None:
    words = [
        "Look over the five places",
        "Read and understood: do it",
        "Make the call",
        "air can service",
        "Nothing else",
        "None of these",
        "No other",
        "Stop riding",
        "70 %",
    ]
    program = [sys.executable, "-P", "-m", "diagnose", "train", "--json-lines", "--seed", "3"]
    given = [f"{name}={value}" for name, value in environment.items()]
    run = list(hold(["env", *given, *program], in_order(words)))
    assert words == ["Read and understood: do it"]
    assert [data["kind"] for data in run[-2:]] == ["result", "end"]
    assert 0.0 < run[-1]["score"] <= 100.0
    assert run[-2]["truth"][0]["name"]
    assert all(answer["text"] for data in run for answer in data.get("answers", []))


def test_every_object_and_every_field_of_it_is_in_the_printed_schema(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    forms = {}
    for form in line_schema()["$defs"]["out"]["anyOf"]:
        kind = form["properties"]["kind"]
        forms |= dict.fromkeys(kind.get("enum", [kind.get("const")]), form["properties"])
    said = [{"answer": "bench_length"}, {"answer": "7"}, *({"answer": part} for part in CALL)]
    for data in lines(monkeypatch, capsys, said, "--case", "van_strap_short"):
        assert set(data) <= {*forms[data["kind"]], "reply"}, data["kind"]


def test_broken_off_it_is_offered_by_the_bare_command(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    creak = {"answer": "said_creak"}
    first = lines(monkeypatch, capsys, [creak], "--person", "AB", "--seed", "3")
    assert first[-1] == {"kind": "end", "text": "saved", "reply": False}
    again = lines(monkeypatch, capsys, [{"answer": "1"}, creak])
    assert again[0]["id"] == "resume"
    assert again[0]["answers"][0]["text"].startswith("AB: ")
    assert [a["state"] for a in again[0]["answers"]] == ["broken_off_1", "new"]
    assert notes(again)[0].startswith(notes(first)[0])
    assert "As before: " in notes(again)[1]


def test_broken_off_it_goes_on_with_the_same_command_without_a_question(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    options = ("--person", "AB", "--contrast", "--seed", "5")
    lines(monkeypatch, capsys, [{"answer": "said_creak"}], *options)
    again = lines(monkeypatch, capsys, [{"answer": "said_creak"}], *options)
    assert "As before: " in notes(again)[1]


def test_something_new_leaves_what_was_broken_off_where_it_was(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    for seed in ("3", "4"):
        lines(monkeypatch, capsys, [{"answer": "said_creak"}], "--person", "AB", "--seed", seed)
    new = lines(monkeypatch, capsys, [{"answer": "9"}, {"answer": "hint"}], "--person", "AB")
    assert new[0]["answers"][0]["key"] == "1"
    states = [a["state"] for a in lines(monkeypatch, capsys, [], "--person", "AB")[0]["answers"]]
    assert states == ["broken_off_1", "broken_off_2", "broken_off_3", "new", "drop"]
    lines(monkeypatch, capsys, [{"answer": "drop"}, {"answer": "hint"}], "--person", "AB")
    states = [a["state"] for a in lines(monkeypatch, capsys, [], "--person", "AB")[0]["answers"]]
    assert states == ["broken_off_1", "new", "drop"]


def test_of_a_pair_nothing_is_told_before_both_are_over(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], own_home: Path
) -> None:
    call = [{"answer": part} for part in ("call", "no_service", "none", "no_fault", "ride", "60 %")]
    pair = ("can_seal_worn", "piston_seal_worn")
    options = ("--person", "AB", "--contrast", ",".join(pair), "--seed", "4")
    half = lines(monkeypatch, capsys, call, *options)
    words = json.dumps(half[:-1])
    for word in ('"truth"', '"score"', '"result"'):
        assert word not in words
    assert sum("put aside" in note.lower() for note in notes(half)) == 1
    whole = lines(monkeypatch, capsys, [{"answer": "1"}, *call], "--person", "AB")
    results = [data for data in whole if data["kind"] == "result"]
    assert sorted(result["truth"][0]["id"] for result in results) == sorted(pair)
    assert whole[-1]["score"] == pytest.approx(sum(r["score"] for r in results) / 2, abs=0.06)
    kept = json.loads((own_home / "training" / "people" / "AB.json").read_text("utf-8"))
    assert len(kept["sessions"]) == 2
    assert kept["open"] == []


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
        ["--contrast", "a"],
        ["--skill", "a/b"],
        ["sign", "AB", "air_side"],
        ["sign", "AB"],
        ["erase", "ZZ"],
        ["erase"],
        ["page"],
        ["page", "no/such/folder/page.html"],
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


def test_a_person_at_a_pipe_plays_to_the_end_and_gets_the_page(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    typed = "/\n1\n*\nsoap\n8\n13\n0.8\n.\n13\n1\nn\n3\n0.8 bar\n80 %\n"
    monkeypatch.setattr("sys.stdin", io.StringIO(typed))
    page = tmp_path / "told.html"
    options = ["--plain", "--case", "van_strap_short", "--html", str(page)]
    assert main(["train", *options]) == 0
    told = capsys.readouterr().out
    for words in ("fits several", "'0.8' is no answer here", "'0.8 bar' is no confidence", "Score"):
        assert words in told
    assert "Your path" in told
    assert page.read_text("utf-8").startswith("<!doctype html>")


def test_a_right_signed_here_is_one_that_the_gate_reads(
    capsys: pytest.CaptureFixture[str], own_home: Path
) -> None:
    from diagnose.cli.context import Context

    signing = ["train", "sign", "AB", "air_side", "--trainer"]
    (own_home / "shop.yaml").write_text(
        "people:\n  AB: [counter]\n  XY: [counter, air_side, supervise]\n  VW: [air_side]\n",
        "utf-8",
    )
    assert not Context().shop.roles.may("AB", "air_side")
    assert main([*signing, "VW"]) == 1
    assert "May sign it: XY" in capsys.readouterr().err
    assert main([*signing, "XY"]) == 0
    assert Context().shop.roles.may("AB", "air_side")
    assert not Context().shop.roles.may("AB", "charge")
    assert main([*signing, "XY", "--take"]) == 0
    assert not Context().shop.roles.may("AB", "air_side")
    assert main([*signing, "XY"]) == 0
    assert main(["train", "erase", "AB"]) == 0
    assert not Context().shop.roles.may("AB", "air_side")
    assert Context().shop.roles.may("AB", "counter")


def test_where_nobody_is_listed_a_signature_says_that_it_changes_nothing(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["train", "sign", "AB", "air_side", "--trainer", "XY"]) == 0
    assert "everybody may do everything" in capsys.readouterr().out


def test_a_line_of_the_rights_that_is_wrong_stops_the_shop_and_is_named(
    capsys: pytest.CaptureFixture[str], own_home: Path
) -> None:
    (own_home / "shop.yaml").write_text("people:\n  XY: [air_side, supervise]\n", "utf-8")
    (own_home / "rights.csv").write_text("who,right,deed,by,time\nAB,fly,given,XY,x\n", "utf-8")
    assert main(["shop", "check"]) == 1
    assert "rights.csv:2: 'fly' is no right." in capsys.readouterr().out


def test_a_case_is_offered_without_its_answer(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from diagnose.training.scenario import number_of

    assert main(["train", "list"]) == 0
    listed = capsys.readouterr().out
    ids = [path.stem for path in Path(__file__).parents[2].glob("cases/*.yaml")]
    assert len({number_of(ident) for ident in ids}) == len(ids)
    assert number_of("van_strap_short") in listed
    assert not [ident for ident in ids if ident in listed]
    first = lines(monkeypatch, capsys, [], "--case", number_of("van_strap_short"))
    assert first == lines(monkeypatch, capsys, [], "--case", "van_strap_short")
    assert "van_strap_short" not in json.dumps(first)
