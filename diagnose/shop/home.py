"""The folder in which the shop's own files lie: jobs, settings, sheets, what was learned."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

__all__ = ["home"]


def home(environ: Mapping[str, str]) -> Path:
    """The folder, made if it is missing; where it cannot be made, whoever writes there says so.

    Parameters
    ----------
    environ : the environment; ``DIAGNOSE_HOME`` names the folder, else the platform's data folder.
    """
    named = environ.get("DIAGNOSE_HOME", "")
    if named:
        folder = Path(named).expanduser()
    else:
        import platformdirs

        folder = platformdirs.user_data_path("diagnose", appauthor=False)
    with suppress(OSError):
        # Customers' data: not for other people on the machine.
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    return folder
