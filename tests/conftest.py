"""What holds for every test: no test touches the user's own files or leaves any in the checkout."""

from __future__ import annotations

from pathlib import Path

import hypothesis
import pytest

# No deadline: a test must not fail because the machine is busy. No database: nothing in the
# checkout.
hypothesis.settings.register_profile("house", deadline=None, database=None)
hypothesis.settings.load_profile("house")


@pytest.fixture(autouse=True)
def own_home(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Give each test an empty DIAGNOSE_HOME of its own."""
    home = tmp_path_factory.mktemp("home")
    monkeypatch.setenv("DIAGNOSE_HOME", str(home))
    return home
