"""First, later, broken, simultaneous, offline starts, on small checkouts and home-made wheels."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from diagnose import bootstrap

TOP = Path(__file__).resolve().parents[1]
PYTHON = getattr(sys, "_base_executable", sys.executable)

PYPROJECT = """\
[project]
name = "diagnose"
dependencies = ["pebble>=1"]

[project.optional-dependencies]
server = []
tests = ["gravel>=1"]
outside = ["missing_stone>=1"]
"""

MAIN = """\
import os, sys
import pebble

def main():
    print(pebble.VERSION, os.getcwd(), *sys.argv[1:])
    return 7
"""


def write_wheel(folder: Path, name: str, version: str) -> None:
    """Write a pure wheel of one module that knows its version."""
    info = f"{name}-{version}.dist-info"
    with zipfile.ZipFile(folder / f"{name}-{version}-py3-none-any.whl", "w") as wheel:
        wheel.writestr(f"{name}.py", f"VERSION = {version!r}\n")
        wheel.writestr(
            f"{info}/METADATA", f"Metadata-Version: 2.1\nName: {name}\nVersion: {version}\n"
        )
        wheel.writestr(
            f"{info}/WHEEL", "Wheel-Version: 1.0\nRoot-Is-Purelib: true\nTag: py3-none-any\n"
        )
        wheel.writestr(f"{info}/RECORD", "")


@pytest.fixture
def checkout(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A small checkout, with a space in its path, and the wheels that it needs."""
    wheels = tmp_path / "wheels"
    wheels.mkdir()
    for name, version in (("pebble", "1.0"), ("pebble", "2.0"), ("gravel", "1.0")):
        write_wheel(wheels, name, version)
    top = tmp_path / "a checkout"
    (top / "diagnose" / "cli").mkdir(parents=True)
    (top / "tests").mkdir()
    for name in ("__init__.py", "__main__.py", "bootstrap.py"):
        shutil.copy(TOP / "diagnose" / name, top / "diagnose" / name)
    shutil.copy(TOP / "tests" / "__main__.py", top / "tests" / "__main__.py")
    (top / "diagnose" / "cli" / "main.py").write_text(MAIN)
    (top / "pyproject.toml").write_text(PYPROJECT)
    (top / ".lock").write_text("# run\npebble==1.0\n")
    monkeypatch.setenv("DIAGNOSE_WHEELS", str(wheels))
    return top


def start(top: Path, *arguments: str, program: str = "diagnose", cwd: Path | None = None):
    """Run ``python3 diagnose ARGUMENTS`` on the checkout."""
    command = [PYTHON, str(top / program), *arguments]
    return subprocess.run(command, capture_output=True, text=True, cwd=cwd, check=False)


def test_first_start_says_one_line_and_hands_over_and_later_ones_say_nothing(
    checkout: Path, tmp_path: Path
) -> None:
    first = start(checkout, "counter", "two words", cwd=tmp_path)
    assert first.stderr.splitlines() == [
        f"Setting up {checkout}/.venv (once, about half a minute) ..."
    ]
    # The locked version, though a newer wheel lies beside it; arguments, folder, status kept.
    assert first.stdout == f"1.0 {tmp_path} counter two words\n"
    assert first.returncode == 7

    later = start(checkout, cwd=checkout / "diagnose")
    assert (later.stdout, later.stderr) == (f"1.0 {checkout}/diagnose\n", "")
    assert start(Path(), program=".", cwd=checkout / "diagnose").stdout == later.stdout
    left_behind = {path.name for path in checkout.iterdir()}
    assert left_behind == {".lock", ".venv", ".venv.lock", "diagnose", "pyproject.toml", "tests"}


def test_a_file_in_the_folder_one_stands_in_hides_nothing(checkout: Path, tmp_path: Path) -> None:
    trap = 'raise SystemExit("trapped")\n'
    for name in ("pebble.py", "argparse.py", "diagnose.py"):
        (tmp_path / name).write_text(trap)
    for name in ("subprocess.py", "venv.py", "tomllib.py", "fcntl.py"):
        (checkout / "diagnose" / name).write_text(trap)
    assert start(checkout, cwd=tmp_path).stdout == f"1.0 {tmp_path}\n"


@pytest.mark.parametrize(
    "damage", ["no stamp", "no python", "lock", "pyproject", "moved", "package"]
)
def test_a_broken_or_outdated_set_up_mends_itself(checkout: Path, damage: str) -> None:
    start(checkout)
    expected = "1.0"
    if damage == "no stamp":
        (checkout / ".venv" / "stamp").unlink()
    elif damage == "no python":
        (checkout / ".venv" / "bin" / "python").unlink()
    elif damage == "lock":
        (checkout / ".lock").write_text("pebble==2.0\n")
        expected = "2.0"
    elif damage == "pyproject":
        (checkout / "pyproject.toml").write_text(PYPROJECT.replace("pebble>=1", "pebble>=1.0"))
    elif damage == "moved":
        checkout = checkout.rename(checkout.with_name("elsewhere"))
    else:
        next(checkout.glob(".venv/lib/*/site-packages/pebble.py")).unlink()
        gap = start(checkout)
        assert gap.returncode == 1
        assert gap.stderr == (
            "diagnose: the package pebble is missing. Start again: the set-up will mend itself.\n"
        )
    mended = start(checkout)
    assert mended.stderr.startswith("Setting up ")
    assert mended.stdout.split()[0] == expected
    assert start(checkout).stderr == ""


def test_two_first_starts_set_up_once(checkout: Path) -> None:
    command = [PYTHON, str(checkout / "diagnose")]
    both = [
        subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        for _ in range(2)
    ]
    spoken = [process.communicate() for process in both]
    assert [process.returncode for process in both] == [7, 7]
    assert all(out.startswith("1.0 ") for out, _ in spoken)
    assert sum(err.count("Setting up ") for _, err in spoken) == 1


def test_tests_add_to_what_is_there_and_a_failed_addition_takes_nothing_away(
    checkout: Path,
) -> None:
    top = str(checkout)
    start(checkout)
    assert bootstrap.is_ready(top, "run") and not bootstrap.is_ready(top, "tests")

    bootstrap.set_up(top, "tests")
    assert bootstrap.is_ready(top, "tests") and bootstrap.is_ready(top, "run")
    assert list(checkout.glob(".venv/lib/*/site-packages/gravel.py"))

    refused = start(checkout, "--outside", program="tests")
    assert refused.returncode == 1
    assert "Adding to " in refused.stderr and "missing_stone" in refused.stderr
    assert "Traceback" not in refused.stderr
    assert bootstrap.is_ready(top, "tests") and not bootstrap.is_ready(top, "outside")


def test_an_offline_machine_gets_one_sentence(
    checkout: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("DIAGNOSE_WHEELS")
    for name in [name for name in os.environ if name.startswith("PIP_")]:
        monkeypatch.delenv(name)
    monkeypatch.setenv("PIP_CONFIG_FILE", os.devnull)
    monkeypatch.setenv("PIP_INDEX_URL", "http://127.0.0.1:9/simple")  # nobody listens on discard
    offline = start(checkout)
    assert offline.returncode == 1 and offline.stdout == ""
    _, sentence = offline.stderr.splitlines()
    assert sentence.startswith("diagnose: the first start needs the network")
    assert "DIAGNOSE_WHEELS" in sentence
    assert not bootstrap.is_ready(str(checkout), "run")


def test_pip_own_words_are_shown_when_it_fails(checkout: Path) -> None:
    (checkout / ".lock").write_text("pebble==9.9\n")
    failed = start(checkout)
    assert failed.returncode == 1
    assert "pebble" in failed.stderr and "Mend this, then start again." in failed.stderr
    assert "Traceback" not in failed.stderr


def test_a_wheel_folder_that_is_none_is_named(
    checkout: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("DIAGNOSE_WHEELS", "/nowhere/at all")
    failed = start(checkout)
    assert failed.returncode == 1
    assert failed.stderr.endswith("names /nowhere/at all, which is not a folder.\n")


def test_a_place_that_cannot_be_written_is_named(checkout: Path) -> None:
    (checkout / ".venv.lock").mkdir()  # holds for root too, whom no permission stops
    failed = start(checkout)
    assert failed.returncode == 1
    assert f"cannot set up: {checkout}/.venv.lock" in failed.stderr
    assert "Traceback" not in failed.stderr


def test_a_gap_in_our_own_modules_is_not_hidden(checkout: Path) -> None:
    (checkout / "diagnose" / "cli" / "main.py").write_text("import diagnose.cellar\n")
    failed = start(checkout)
    assert "ModuleNotFoundError: No module named 'diagnose.cellar'" in failed.stderr
    assert bootstrap.is_ready(str(checkout), "run")


def test_a_warm_start_imports_nothing_beyond_what_python_itself_has_loaded() -> None:
    # -S -I: only what the interpreter loads by itself; path entries of a site could load more.
    code = (
        "import os, sys; before = set(sys.modules); "
        f"sys.path.insert(0, {str(TOP)!r}); import diagnose.bootstrap as b; "
        f"b.is_ready({str(TOP)!r}, 'run'); print(*sorted(set(sys.modules) - before))"
    )
    loaded = subprocess.run(
        [PYTHON, "-I", "-S", "-c", code], capture_output=True, text=True, check=True
    )
    assert loaded.stdout.split() == ["__future__", "diagnose", "diagnose.bootstrap"]
