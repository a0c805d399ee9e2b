"""A printed command runs as it stands, from where the person stands."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from diagnose.bootstrap import STARTED
from diagnose.cli.commands import COMMANDS as LISTED
from diagnose.cli.main import command_first
from diagnose.started import COMMANDS, runnable, started

TOP = Path(__file__).resolve().parents[1]


def test_every_command_is_known() -> None:
    assert set(COMMANDS) == set(LISTED)


def test_what_started_us_from_elsewhere_says_the_plain_name() -> None:
    assert started() == "diagnose"


def test_a_command_is_said_as_it_was_started(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(STARTED, "\x1f".join(["python3", "my bikes/diagnose"]))
    said = runnable("diagnose: no job. See them all: diagnose jobs list")
    assert said == "diagnose: no job. See them all: python3 'my bikes/diagnose' jobs list"
    assert runnable("Record it: diagnose jobs approve JOB.", "1129-01").endswith("1129-01.")


def test_on_the_path_the_name_is_enough(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    script = tmp_path / "diagnose"
    script.write_text("#!/bin/sh\n", "utf-8")
    script.chmod(0o755)
    monkeypatch.delenv(STARTED, raising=False)
    monkeypatch.setattr(sys, "argv", [str(script)])
    assert started() == str(script)
    monkeypatch.setenv("PATH", str(tmp_path), prepend=os.pathsep)
    assert started() == "diagnose"


@pytest.mark.parametrize("place", [".", "tests"])
def test_the_printed_command_runs(place: str, tmp_path: Path) -> None:
    """As a folder, from the checkout and from beside it; what is printed runs in the same shell."""
    program = os.path.relpath(TOP / "diagnose", TOP / place)
    env = {**os.environ, "HOME": str(tmp_path), "XDG_DATA_HOME": str(tmp_path)}
    env.pop(STARTED, None)

    def run(command: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            ["/bin/sh", "-c", command], cwd=TOP / place, env=env, capture_output=True, text=True
        )

    first = run(f"'{sys.executable}' {program} jobs show 0101-01")
    command = re.search(r"See them all: (.+)", first.stderr)
    assert first.returncode == 1 and command, first.stderr
    second = run(command[1])
    assert second.returncode == 0, second.stderr


@pytest.mark.parametrize(
    ("given", "read"),
    [
        ("", "counter"),
        ("--pack x", "counter --pack x"),
        ("--person AB bench 1129-01", "bench 1129-01 --person AB"),
        ("jobs --store s list --json", "jobs list --json --store s"),
        ("bench 1129-01 --person AB", "bench 1129-01 --person AB"),
        ("--help", "--help"),
        ("jobs --help", "jobs --help"),
        ("nonsense --pack x", "nonsense --pack x"),
    ],
)
def test_options_stand_before_or_after_the_command(given: str, read: str) -> None:
    assert command_first(given.split()) == read.split()
