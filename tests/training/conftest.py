"""One coach for the room's tests: making one takes longer than using it."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.root import knowledge_root, load_cached
from diagnose.training.moment import Coach


@pytest.fixture(scope="session")
def knowledge(tmp_path_factory: pytest.TempPathFactory) -> Knowledge:
    return load_cached(knowledge_root(None), tmp_path_factory.mktemp("cache"))


@pytest.fixture(scope="session")
def coach(knowledge: Knowledge) -> Coach:
    return Coach(knowledge)


@pytest.fixture(scope="session")
def cases() -> Path:
    return Path(__file__).resolve().parents[2] / "cases"
