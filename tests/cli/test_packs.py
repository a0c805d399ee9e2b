"""Which pack a command works with: a job's own, else the one it is told, else the default.

Reaches cli.context and cli.gate.
"""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from diagnose.job.events import Opened
from diagnose.knowledge.loader import DEFAULT_PACK
from diagnose.knowledge.root import knowledge_root
from diagnose.records.places import JOB_FILE, open_store
from tests.cli.conftest import Run
from tests.kettle import PACK, write_kettle

DAY = "2026-03-02T09:00:00+00:00"


@pytest.fixture
def cards(tmp_path: Path) -> Path:
    """The shop's packs, and a kettle beside them."""
    root = Path(shutil.copytree(knowledge_root(), tmp_path / "both"))
    kettle = write_kettle(tmp_path / "made_up")
    shutil.copytree(kettle / PACK, root / PACK)
    for name in ("sources", "rights"):
        own = (kettle / f"{name}.yaml").read_text("utf-8").split(":\n", 1)[1]
        with (root / f"{name}.yaml").open("a", encoding="utf-8") as file:
            file.write(own if name == "sources" else "- {id: electric, name: open the base}\n")
    for caution in (kettle / "cautions").glob("*.yaml"):
        shutil.copy(caution, root / "cautions")
    return root


@pytest.fixture
def stored(own_home: Path) -> str:
    """The name of a stored job about a kettle."""
    with open_store(own_home / JOB_FILE) as store:
        return store.create(DAY, first=[Opened(pack=PACK, knowledge="", at="bench", time=DAY)])


def pack_of(run: Run, cards: Path, job: Path, *more: str) -> str:
    done = run("assess", str(job), "--json", "--knowledge", str(cards), *more)
    assert done.status == 0, done.err
    found: str = json.loads(done.out)["pack"]
    return found


def test_a_job_file_says_which_device_it_is_about(run: Run, cards: Path, tmp_path: Path) -> None:
    job = tmp_path / "job.yaml"
    job.write_text("complaint: it stays cold\n", "utf-8")
    assert pack_of(run, cards, job) == DEFAULT_PACK
    assert pack_of(run, cards, job, "--pack", PACK) == PACK
    job.write_text(f"pack: {PACK}\ncomplaint: it stays cold\n", "utf-8")
    assert pack_of(run, cards, job) == PACK


def test_a_job_is_never_taken_for_one_of_another_pack(
    run: Run, cards: Path, tmp_path: Path
) -> None:
    job = tmp_path / "job.yaml"
    job.write_text(f"pack: {PACK}\n", "utf-8")
    done = run("assess", str(job), "--knowledge", str(cards), "--pack", DEFAULT_PACK)
    assert done.status == 1
    assert f"is a job of the pack '{PACK}', not of '{DEFAULT_PACK}'" in done.err
    assert "Leave --pack out" in done.err


def test_a_stored_job_goes_on_with_its_own_pack(run: Run, cards: Path, stored: str) -> None:
    done = run("jobs", "ticket", stored, "--knowledge", str(cards), "--json")
    assert done.status == 0, done.err
    assert json.loads(done.out)["pack"] == PACK
    done = run("jobs", "ticket", stored, "--knowledge", str(cards), "--pack", DEFAULT_PACK)
    assert done.status == 1 and "Leave --pack out" in done.err


def test_a_pack_that_is_not_there_names_those_that_are(run: Run, cards: Path) -> None:
    done = run("knowledge", "prove", "--knowledge", str(cards), "--pack", "toaster")
    assert done.status == 1
    assert "there is no pack 'toaster'" in done.err and PACK in done.err


@pytest.mark.long
def test_a_fault_of_any_pack_is_told(run: Run, cards: Path) -> None:
    broken = cards / PACK / "causes" / "limescale.yaml"
    broken.write_text(broken.read_text("utf-8").replace("system: heating", "system: heat"), "utf-8")
    done = run("knowledge", "check", "--knowledge", str(cards))
    assert done.status == 1
    assert f"{PACK}/causes/limescale.yaml" in done.err and "no system 'heat'" in done.err
