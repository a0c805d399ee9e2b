"""No screen promises that something is safe; the ride verdict names what was looked at."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import diagnose
from tests.real_pack import shop_knowledge
from tests.safety.probes import stops

ROOT = Path(diagnose.__file__).parent
ROOMS = ("session", "strategy", "terminal", "reports", "cli", "training", "belief", "simulation")
PROMISE = re.compile(
    r"\b(is|it's|are|perfectly|completely) safe\b|\bsafe to (ride|open|use|vent|post)\b|"
    r"\bno (danger|risk)\b",
    re.IGNORECASE,
)


def texts(path: Path) -> Iterator[tuple[int, str]]:
    """Strings of a module that can reach a screen: all but docstrings."""
    tree = ast.parse(path.read_text("utf-8"))
    docs = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef))
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs:
            yield node.lineno, node.value


def test_no_screen_promises_safety() -> None:
    found = [
        f"{path.relative_to(ROOT)}:{line}: {text}"
        for room in ROOMS
        for path in sorted((ROOT / room).glob("*.py"))
        for line, text in texts(path)
        if PROMISE.search(text)
    ]
    assert found == [], "say what was looked at and what was found instead"


def test_the_search_finds_a_promise() -> None:
    assert PROMISE.search("This shock is safe to ride")
    assert not PROMISE.search("save and leave; safety; unsafe-inline; safe_load")


def test_the_ride_verdict_rests_on_what_was_looked_at() -> None:
    assert list(stops(shop_knowledge())) == []
