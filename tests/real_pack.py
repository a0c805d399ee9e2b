"""The shop's packs, ready for judging; read once by each process that tests with them."""

from __future__ import annotations

from functools import cache

from diagnose.knowledge.loader import DEFAULT_PACK, Knowledge, load
from diagnose.knowledge.root import knowledge_root
from diagnose.reasoning.reasoner import Reasoner

__all__ = ["PACKS", "pack_knowledge", "pack_reasoner", "shop_knowledge", "shop_reasoner"]

#: every pack that lies in knowledge/
PACKS = sorted(path.parent.name for path in knowledge_root().glob("*/pack.yaml"))


@cache
def pack_knowledge(pack: str) -> Knowledge:
    """One for all tests; cards are frozen."""
    return load(knowledge_root(), pack)


@cache
def pack_reasoner(pack: str) -> Reasoner:
    """One for all tests, as nothing in it changes."""
    return Reasoner(pack_knowledge(pack))


def shop_knowledge() -> Knowledge:
    """The default pack's."""
    return pack_knowledge(DEFAULT_PACK)


def shop_reasoner() -> Reasoner:
    """The default pack's."""
    return pack_reasoner(DEFAULT_PACK)
