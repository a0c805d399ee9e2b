"""One coach for the room's tests: making one takes longer than using it."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.knowledge.loader import Knowledge
from diagnose.training.moment import Coach
from tests.real_pack import shop_knowledge


@pytest.fixture(scope="session")
def knowledge() -> Knowledge:
    return shop_knowledge()


@pytest.fixture(scope="session")
def coach(knowledge: Knowledge) -> Coach:
    return Coach(knowledge)


@pytest.fixture(scope="session")
def cases() -> Path:
    return Path(__file__).resolve().parents[2] / "cases"
