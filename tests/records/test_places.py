"""What is imported when a store is opened."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from diagnose.records.places import open_store


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
