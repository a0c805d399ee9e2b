"""The kinds of store: tests written once run on each."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from diagnose.records.places import open_store
from diagnose.records.store import JobStore
from tests.records.memory import MemoryStore
from tests.records.server import Server, programs


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    """A running server, or a skip that says why."""
    pytest.importorskip("psycopg", reason="psycopg is not installed")
    folder = programs()
    if folder is None:
        pytest.skip("PostgreSQL's server programs are not installed")
    running = Server(folder)
    yield running
    running.remove()


@pytest.fixture(params=["memory", "file", "server"])
def store(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[JobStore]:
    """An empty store of each kind."""
    if request.param == "memory":
        opened: JobStore = MemoryStore()
    elif request.param == "file":
        opened = open_store(tmp_path / "jobs.sqlite3")
    else:
        opened = open_store(request.getfixturevalue("server").new_database())
    with opened:
        yield opened


@pytest.fixture(params=["file", "server"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> str | Path:
    """A place for a store that outlives its program."""
    if request.param == "file":
        return tmp_path / "jobs.sqlite3"
    url: str = request.getfixturevalue("server").new_database()
    return url


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Callable[[str], Path]]:
    """Mount a disk of one's own with these options."""
    import subprocess

    folder = tmp_path / "disk"
    folder.mkdir()

    def mount(options: str) -> Path:
        command = ["mount", "-t", "tmpfs", "-o", options, "tmpfs", str(folder)]
        done = subprocess.run(command, capture_output=True, text=True, check=False)
        if done.returncode != 0:
            pytest.skip("only root can mount a disk for this test")
        return folder

    yield mount
    while folder.is_mount():
        subprocess.run(["umount", "-l", str(folder)], check=True)
