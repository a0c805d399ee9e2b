"""YAML files as plain values plus the line of every value.

Rules
-----
- Scalars follow YAML 1.2: only ``true``/``false`` are booleans, so ``yes``, ``no``, ``on`` and
  ``off`` stay the words that a foreman wrote; dates stay text.
- Every fault is a `Problem` with a line; nothing here raises for what a file contains.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import yaml

from diagnose.errors import Problem

__all__ = ["MAX_BYTES", "Document", "parse_text", "read_yaml"]

#: a card has some thousands; a file of a million is no card, and is not read to its end
MAX_BYTES = 1_000_000

_INT = re.compile(r"[-+]?[0-9]+$")
_FLOAT = re.compile(
    r"[-+]?(\.[0-9]+|[0-9]+\.[0-9]*)([eE][-+]?[0-9]+)?$|[-+]?[0-9]+[eE][-+]?[0-9]+$"
)
_PAIR = re.compile(r"(\\\\)|\\u(d[89ab][0-9a-f]{2})\\u(d[c-f][0-9a-f]{2})", re.IGNORECASE)
_CONSTANTS: dict[str, Any] = {"true": True, "false": False, "null": None, "~": None, "": None}
_Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

Path_ = tuple[str | int, ...]


class Document:
    """The value of one file and where each part of it stands.

    ``elsewhere``: parts that were put together from other places, each with its document and path.
    """

    def __init__(
        self,
        file: str,
        value: Any,
        lines: dict[Path_, int],
        elsewhere: Mapping[Path_, tuple[Document, Path_]] | None = None,
    ) -> None:
        self.file = file
        self.value = value
        self.lines = lines
        self.elsewhere = elsewhere or {}

    def place(self, path: Path_) -> tuple[str, int]:
        """File and line (from 1) where this part is written."""
        for length in range(len(path), 0, -1):
            if path[:length] in self.elsewhere:
                document, begin = self.elsewhere[path[:length]]
                return document.place((*begin, *path[length:]))
        return self.file, self.line(path)

    def line(self, path: Path_) -> int:
        """Line (from 1) of the deepest part of ``path`` that is in the file."""
        parts = tuple(path)
        while parts and parts not in self.lines:
            parts = parts[:-1]
        return self.lines.get(parts, 1)


def read_yaml(path: Path, shown: str, problems: list[Problem]) -> Document | None:
    """Read a file; a fault goes to ``problems`` and gives None."""
    try:
        size = path.stat().st_size
        if size > MAX_BYTES:
            problems.append(
                Problem(shown, 1, f"the file has {size:,} bytes, over {MAX_BYTES:,}.", "Split it.")
            )
            return None
        text = path.read_bytes().decode("utf-8")
    except UnicodeDecodeError as error:
        line = path.read_bytes()[: error.start].count(b"\n") + 1
        problems.append(Problem(shown, line, "this is not UTF-8 text.", "Save the file as UTF-8."))
        return None
    except OSError as error:
        problems.append(
            Problem(shown, 1, f"cannot be read: {error.strerror}.", "Check its rights.")
        )
        return None
    return parse_text(text, shown, problems)


def parse_text(text: str, shown: str, problems: list[Problem]) -> Document | None:
    """Parse YAML (or JSON) text; a fault goes to ``problems`` and gives None."""
    text = _PAIR.sub(_joined, text)
    try:
        node = yaml.compose(text, Loader=_Loader)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        line = mark.line + 1 if mark else 1
        rows = text.splitlines()
        tab = line <= len(rows) and "\t" in rows[line - 1]
        hint = "Use spaces, not tabs." if tab else "Check indents, colons and quotes there."
        problems.append(Problem(shown, line, f"not YAML: {error.problem or error.context}.", hint))
        return None
    except (yaml.YAMLError, ValueError, RecursionError) as error:
        first = str(error).splitlines()[0] if str(error) else type(error).__name__
        problems.append(Problem(shown, 1, f"not YAML: {first}.", "Check the file."))
        return None
    lines: dict[Path_, int] = {}
    if node is None:
        return Document(shown, None, lines)
    value = _value(node, (), lines, shown, problems, frozenset())
    return Document(shown, value, lines)


def _joined(pair: re.Match[str]) -> str:
    """JSON writes a character beyond the first 65,536 as two halves; YAML knows only the whole."""
    if pair[1]:
        return pair[1]
    high, low = int(pair[2], 16), int(pair[3], 16)
    return f"\\U{0x10000 + ((high - 0xD800) << 10) + (low - 0xDC00):08x}"


def _value(
    node: yaml.Node,
    path: Path_,
    lines: dict[Path_, int],
    shown: str,
    problems: list[Problem],
    above: frozenset[int],
) -> Any:
    line = node.start_mark.line + 1
    lines.setdefault(path, line)
    if id(node) in above:
        problems.append(Problem(shown, line, "a part contains itself.", "Write it out."))
        return None
    if isinstance(node, yaml.ScalarNode):
        return _scalar(node)
    inside = above | {id(node)}
    if isinstance(node, yaml.SequenceNode):
        return [
            _value(child, (*path, index), lines, shown, problems, inside)
            for index, child in enumerate(node.value)
        ]
    result: dict[str, Any] = {}
    for key_node, value_node in node.value:
        key_line = key_node.start_mark.line + 1
        if not isinstance(key_node, yaml.ScalarNode):
            problems.append(Problem(shown, key_line, "a key must be a word.", "Quote it."))
            continue
        key = str(key_node.value)
        if key in result:
            problems.append(
                Problem(shown, key_line, f"'{key}' stands here twice.", "Keep one of the two.")
            )
        lines[(*path, key)] = key_line
        result[key] = _value(value_node, (*path, key), lines, shown, problems, inside)
    return result


def _scalar(node: yaml.ScalarNode) -> Any:
    text = str(node.value)
    if node.style in ("'", '"', "|", ">"):
        return text
    if text.lower() in _CONSTANTS:
        return _CONSTANTS[text.lower()]
    if _INT.match(text):
        return int(text)
    if _FLOAT.match(text):
        return float(text)
    return text
