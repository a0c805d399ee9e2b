"""A file is written whole or not at all: whoever reads it meets the old words or the new ones."""

from __future__ import annotations

import secrets
from pathlib import Path

__all__ = ["write_whole"]


def write_whole(path: Path, content: str | bytes) -> None:
    """Put this in the place of the file; its folder is made, for its owner alone, if need be.

    Parameters
    ----------
    content : bytes as they are, or text, which becomes UTF-8 with its line ends as they are.

    Raises
    ------
    OSError : it cannot be written; what was there is there still, and nothing lies beside it.
    """
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    # Beside the file: a rename is one step only within a file system. Under a name of its own: two
    # who write at once do not write into one another.
    fresh = path.with_name(f".{path.name}.{secrets.token_hex(4)}.new")
    try:
        fresh.write_bytes(content.encode() if isinstance(content, str) else content)
        fresh.replace(path)
    except BaseException:
        fresh.unlink(missing_ok=True)
        raise
