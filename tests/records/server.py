"""A PostgreSQL server of the tests' own, on a folder and a port of its own."""

from __future__ import annotations

import os
import pwd
import shutil
import signal
import socket
import subprocess
import tempfile
import time
from pathlib import Path
from typing import Any


def programs() -> Path | None:
    """Folder of PostgreSQL's programs, if it is installed."""
    folders = sorted(Path("/usr/lib/postgresql").glob("*/bin"), reverse=True)
    found = shutil.which("initdb")
    folders += [Path(found).resolve().parent] if found else []
    needed = ("initdb", "pg_isready", "postgres", "psql")
    for folder in folders:
        if all((folder / name).exists() for name in needed):
            return folder
    return None


class Server:
    """Started and stopped at will; gone with its folder after `remove`."""

    def __init__(self, bin_folder: Path) -> None:
        self._bin = bin_folder
        self._folder = Path(tempfile.mkdtemp(prefix="diagnose-pg-"))
        # It refuses to run as root.
        self._as: dict[str, Any] = {}
        if os.getuid() == 0:
            names = {entry.pw_name: entry for entry in pwd.getpwall()}
            user = names.get("postgres") or names["nobody"]
            os.chown(self._folder, user.pw_uid, user.pw_gid)
            self._as = {"user": user.pw_uid, "group": user.pw_gid, "extra_groups": []}
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self._data = self._folder / "data"
        self._count = 0
        self._process: subprocess.Popen[bytes] | None = None
        try:
            self._run("initdb", "-D", self._data, "-A", "trust", "-U", "shop", "-N", "-E", "UTF8")
            self.start()
        except BaseException:
            self.remove()
            raise

    def _run(self, program: str, *arguments: str | Path) -> None:
        done = subprocess.run(
            [self._bin / program, *arguments],
            cwd=self._folder,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            check=False,
            **self._as,
        )
        assert done.returncode == 0, done.stdout

    def start(self) -> None:
        """Start, and wait until it answers."""
        self._process = subprocess.Popen(
            [
                self._bin / "postgres",
                *("-D", self._data, "-p", str(self.port), "-k", self._folder),
                *("-c", "listen_addresses=127.0.0.1", "-c", "fsync=off"),
            ],
            cwd=self._folder,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            **self._as,
        )
        for _ in range(300):
            ready = [self._bin / "pg_isready", "-q", "-h", "127.0.0.1", "-p", str(self.port)]
            if subprocess.run(ready, check=False).returncode == 0:
                return
            time.sleep(0.1)
        raise AssertionError("the server did not start within 30 seconds")

    def stop(self) -> None:
        """Stop at once; those connected are cut off."""
        if self._process is not None:
            self._process.send_signal(signal.SIGINT)
            self._process.wait(30)
            self._process = None

    def new_database(self) -> str:
        """URL of a place with nothing in it: a schema, which is made faster than a database."""
        self._count += 1
        url = f"postgresql://shop@127.0.0.1:{self.port}/postgres"
        self._run("psql", "-q", "-c", f"CREATE SCHEMA shop_{self._count}", url)
        return f"{url}?options=-csearch_path%3Dshop_{self._count}"

    def remove(self) -> None:
        """Stop, and leave nothing behind."""
        if self._process is not None:
            self._process.send_signal(signal.SIGQUIT)
            self._process.wait(30)
        shutil.rmtree(self._folder, ignore_errors=True)
