"""The command line itself: exit codes, 'did you mean', closed pipes, homes that do not write.

Reaches cli.commands and cli.options too.
"""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

import diagnose
from diagnose.cli import main as door
from tests.cli.conftest import Run
from tests.real_pack import shop_reasoner


def test_the_version_names_the_knowledge(run: Run) -> None:
    done = run("--version")
    fingerprint = shop_reasoner().knowledge.fingerprint
    assert done.out == f"diagnose {diagnose.__version__}, knowledge {fingerprint}\n"
    assert re.fullmatch(r"[0-9a-f]{16}", fingerprint)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (
            ["asses", "x"],
            "there is no command 'asses'. Nearest: assess",
        ),
        (["conuter"], "Nearest: counter"),
        (["knowledge", "chek"], "Nearest: check"),
        (["counter", "--channel", "fone"], "--channel does not take 'fone'. Nearest: phone."),
        (["assess"], "the following arguments are required: job Help: diagnose assess --help"),
        (["assess", "x", "--jsn"], "unrecognized arguments: --jsn"),
        (["bench"], "the following arguments are required: job"),
        (["zzzzzz"], "there is no command 'zzzzzz'. Help:"),
    ],
)
def test_wrong_usage_is_2_and_says_what_was_meant(
    run: Run, arguments: list[str], words: str
) -> None:
    done = run(*arguments)
    assert (done.status, done.out) == (2, "")
    assert words in done.err
    assert "Traceback" not in done.err


def test_help_is_0_and_shows_every_command(run: Run) -> None:
    done = run("--help")
    assert done.status == 0
    for command in ("assess", "counter", "bench", "calc", "knowledge"):
        assert command in done.out


def test_an_interrupt_is_130(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupt(_: object) -> int:
        raise KeyboardInterrupt

    monkeypatch.setattr(door, "_run", interrupt)
    done = run("--version")
    assert done.status == 130
    assert "interrupted" in done.err


def test_a_job_that_is_not_there_is_1_and_says_where_to_look(run: Run) -> None:
    done = run("bench", "999")
    assert done.status == 1
    assert "There is no job 999" in done.err
    assert "diagnose jobs list" in done.err


def test_a_folder_that_is_not_there_is_named(run: Run, tmp_path: Path) -> None:
    done = run("assess", "-", "--knowledge", tmp_path / "none")
    assert done.status == 1
    assert "--knowledge: there is no folder" in done.err


def test_a_reader_that_goes_away_is_no_error_of_ours(environment: dict[str, str]) -> None:
    with subprocess.Popen(
        [sys.executable, "-P", "-m", "diagnose", "knowledge", "graph", "--format", "json"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=environment,
    ) as program:
        assert program.stdout is not None
        assert program.stderr is not None
        program.stdout.readline()
        program.stdout.close()
        errors = program.stderr.read().decode()
        assert program.wait() in (0, 1)
    assert errors == ""


def test_without_a_terminal_it_goes_line_by_line(run: Run) -> None:
    done = run("counter", given="loses air overnight\nAll well\nq\n")
    assert done.status == 0
    assert "loses air" in done.out
    assert "\x1b" not in done.out, "no colours, no cursor"
    assert "is saved" in done.out


def test_where_nothing_can_be_kept_it_goes_on_and_says_so(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    in_the_way = tmp_path / "file"
    in_the_way.touch()
    monkeypatch.setenv("DIAGNOSE_HOME", str(in_the_way / "home"))
    done = run("counter", given="loses air overnight\nAll well\nq\n")
    assert done.status == 0
    assert "Not saved:" in done.err
    assert "DIAGNOSE_HOME" in done.err
    sheet = done.out.rpartition("Understood and seen")[2]
    assert "Plan: " in sheet, "the job sheet is offered instead"
    assert "is saved" not in done.out


def test_judging_and_checking_need_no_home(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    in_the_way = tmp_path / "file"
    in_the_way.touch()
    monkeypatch.setenv("DIAGNOSE_HOME", str(in_the_way / "home"))
    assert run("assess", "-", given="{}").status == 0
    assert run("--version").status == 0
