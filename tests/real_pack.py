"""The shop's own pack, ready for judging; read once by each process that tests with it."""

from __future__ import annotations

from functools import cache

from diagnose.knowledge.loader import Knowledge, load
from diagnose.knowledge.root import knowledge_root
from diagnose.reasoning.reasoner import Reasoner

__all__ = ["shop_knowledge", "shop_reasoner"]


@cache
def shop_knowledge() -> Knowledge:
    """One for all tests; cards are frozen."""
    return load(knowledge_root())


@cache
def shop_reasoner() -> Reasoner:
    """One for all tests, as nothing in it changes."""
    return Reasoner(shop_knowledge())
