"""The command line."""

from __future__ import annotations

import sys

import diagnose

__all__ = ["main"]


def main(argv: list[str] | None = None) -> int:
    """Run one command and return its exit status."""
    arguments = sys.argv[1:] if argv is None else argv
    if arguments == ["--version"]:
        print(diagnose.__version__)
        return 0
    return 2
