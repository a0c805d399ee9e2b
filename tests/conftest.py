"""What holds for every test: no test touches the user's own files or leaves any in the checkout."""

from __future__ import annotations

from pathlib import Path

import hypothesis
import pytest

# No deadline: a test must not fail because the machine is busy. No database: nothing in the
# checkout.
hypothesis.settings.register_profile("house", deadline=None, database=None)
hypothesis.settings.load_profile("house")


@pytest.fixture(scope="session")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What is slow to build from the cards, kept from test to test under their fingerprint."""
    return tmp_path_factory.mktemp("built")


@pytest.fixture(autouse=True)
def own_home(
    tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch, built: Path
) -> Path:
    """Give each test a DIAGNOSE_HOME of its own, with nothing in it but what was built before."""
    home = tmp_path_factory.mktemp("home")
    (home / "cache").symlink_to(built, target_is_directory=True)
    monkeypatch.setenv("DIAGNOSE_HOME", str(home))
    return home
