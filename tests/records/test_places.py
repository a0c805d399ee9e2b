"""The shop's own folder, and what is imported when."""

from __future__ import annotations

import stat
import subprocess
import sys
from pathlib import Path

import platformdirs
import pytest

from diagnose.records.faults import ReadOnly
from diagnose.records.places import home, open_store


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


def test_a_home_that_cannot_be_made(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(ReadOnly, match="DIAGNOSE_HOME") as caught:
        home({"DIAGNOSE_HOME": str(tmp_path / "file" / "below")})
    assert caught.value.where == str(tmp_path / "file" / "below")


def test_a_list_comes_without_the_large_libraries(tmp_path: Path) -> None:
    with open_store(tmp_path / "jobs.sqlite3") as store:
        store.create("2031-04-12T09:00:00")
    code = "import sys, diagnose.records as r; large = {'psycopg', 'pydantic', 'platformdirs'}; "
    code += f"store = r.open_store({str(tmp_path / 'jobs.sqlite3')!r}); "
    code += "print(len(store.find()), large & set(sys.modules))"
    done = subprocess.run(
        [sys.executable, "-P", "-c", f"import sys; sys.path[:0] = {sys.path!r}; {code}"],
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout == "1 set()\n"
