"""A job in a file, or on standard input, as the mapping that was written."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

from diagnose.errors import InputError

__all__ = ["read_job"]


def read_job(name: str) -> dict[str, Any]:
    """The job in a file, or on standard input for ``-``; YAML or JSON.

    Raises
    ------
    InputError : not to be read, not YAML, not a mapping.
    """
    from diagnose.knowledge.yaml_lines import parse_text

    where = "standard input" if name == "-" else name
    try:
        raw = sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes()
        text = raw.decode("utf-8-sig")
    except OSError as error:
        raise InputError(
            f"cannot be read: {error.strerror}.", where=where, next_step="Check name and rights."
        ) from error
    except UnicodeDecodeError as error:
        raise InputError(
            "this is not UTF-8 text.", where=where, next_step="Save as UTF-8."
        ) from error
    problems: list[Any] = []
    document = parse_text(text, where, problems)
    if problems or document is None:
        first = problems[0]
        raise InputError(first.what, where=f"{first.file}:{first.line}", next_step=first.next_step)
    value = {} if document.value is None else document.value
    if not isinstance(value, dict):
        raise InputError(
            "a job is a mapping of fields.",
            where=f"{where}:1",
            next_step="Example: complaint: loses air overnight",
        )
    return value
