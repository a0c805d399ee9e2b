"""The wheel: it carries the knowledge and the cases, and runs without the checkout."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import venv
import zipfile
from pathlib import Path

import pytest

from diagnose import bootstrap

TOP = Path(__file__).resolve().parents[1]
JOB = {"complaint": "sucked down overnight, hard to pull back out, bit of oil on the shaft"}

pytestmark = pytest.mark.long


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Build the wheel from the checkout."""
    folder = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-P", "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)]
    subprocess.run(command, cwd=TOP, check=True, capture_output=True)
    return next(folder.glob("*.whl"))


def test_it_carries_every_file_of_knowledge_and_cases(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as content:
        inside = set(content.namelist())
    for folder in ("knowledge", "cases"):
        files = [path for path in (TOP / folder).rglob("*") if path.is_file()]
        assert files, f"nothing in {folder}"
        for path in files:
            assert f"diagnose/_data/{path.relative_to(TOP).as_posix()}" in inside
    assert not [name for name in inside if name.startswith(("tests/", "knowledge/", "cases/"))]


def test_installed_in_an_empty_environment_it_says_the_same_bytes(
    wheel: Path, tmp_path: Path
) -> None:
    asked = [sys.executable, "-P", "-m", "diagnose", "assess", "--help"]
    if subprocess.run(asked, cwd=TOP, capture_output=True, check=False).returncode == 2:
        pytest.skip("the command line knows no assess yet")
    place = tmp_path / "environment"
    venv.create(place, symlinks=True, with_pip=False)
    bootstrap.install(str(place / "bin" / "python"), [str(wheel)], constraints=str(TOP / ".lock"))
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / "job.yaml").write_text(json.dumps(JOB))
    commands = (
        [str(place / "bin" / "diagnose")],
        [sys.executable, "-P", "-m", "diagnose"],
    )
    clean = {name: value for name, value in os.environ.items() if name != "PYTHONPATH"}
    said = []
    for command, environment in zip(
        commands, (clean, {**clean, "PYTHONPATH": str(TOP)}), strict=True
    ):
        done = subprocess.run(
            [*command, "assess", "job.yaml", "--json"],
            cwd=elsewhere,
            env=environment,
            capture_output=True,
            check=True,
        )
        said.append(done.stdout)
    assert json.loads(said[0])["stage"]
    assert said[0] == said[1]
