"""The shop's own folder."""

from __future__ import annotations

import stat
from pathlib import Path

import platformdirs
import pytest

from diagnose.records.faults import ReadOnly
from diagnose.records.places import JOB_FILE, open_store
from diagnose.shop.home import home


def test_home_is_the_named_folder_and_is_made(tmp_path: Path) -> None:
    named = tmp_path / "deep" / "down"
    assert home({"DIAGNOSE_HOME": str(named)}) == named
    assert named.is_dir()
    assert stat.S_IMODE(named.stat().st_mode) & 0o077 == 0, "customers' data are not for all"


def test_home_is_else_the_platforms_data_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.setenv("HOME", str(tmp_path))
    found = home({"DIAGNOSE_HOME": ""})
    assert found == Path(platformdirs.user_data_dir("diagnose", appauthor=False))
    assert found.is_dir()


def test_a_home_that_cannot_be_made_is_told_by_whoever_writes_there(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    folder = home({"DIAGNOSE_HOME": str(tmp_path / "file" / "below")})
    with pytest.raises(ReadOnly, match="DIAGNOSE_HOME") as caught:
        open_store(folder / JOB_FILE)
    assert caught.value.where == str(folder / JOB_FILE)
