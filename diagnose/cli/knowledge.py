"""``diagnose knowledge ...``: the author's commands."""

from __future__ import annotations

import argparse

from diagnose.cli.context import Context
from diagnose.errors import InputError, KnowledgeError
from diagnose.knowledge.cross_checks import find_problems
from diagnose.knowledge.loader import read_pack
from diagnose.knowledge.root import knowledge_root

__all__ = ["check", "show"]


def check(arguments: argparse.Namespace, context: Context) -> int:
    """Every problem with file and line, then what the pack comes to."""
    from diagnose.belief.compiled import compile_pack
    from diagnose.belief.priors import shares

    knowledge, lines, problems = read_pack(knowledge_root(arguments.knowledge))
    if knowledge is not None:
        problems += find_problems(knowledge, lines)
    if knowledge is None or problems:
        raise KnowledgeError(problems)
    network = compile_pack(knowledge).network
    none, second = shares(network.odds, network.empty_weight)
    counts = ", ".join(
        f"{len(getattr(knowledge, kind))} {kind}"
        for kind in ("causes", "findings", "symptoms", "checks", "stages", "cautions")
    )
    print(f"no problems: {counts}")
    print(f"no fault {none:.1%} of jobs, a second fault in {second:.1%} of the faulty ones")
    print(f"fingerprint {knowledge.fingerprint}")
    return 0


def show(arguments: argparse.Namespace, context: Context) -> int:
    """One card as text."""
    from diagnose.reports.knowledge_views import show as view

    if context.knowledge.card(arguments.id) is None:
        raise InputError(f"there is no card '{arguments.id}'.", next_step="See knowledge/.")
    print(view(context.knowledge, arguments.id, 80))
    return 0
