"""The author's gate: everything that a card can get wrong, asked of every room that knows of it.

Rules
-----
- First the form of each card, and cards against each other, the bench and the fields of a job. Only
  where these hold is there anything to compute with: then the sheets, the safety proof, and every
  picture beside a cause.
- Every pack of the folder is read: they share sources, rights and cautions, and a caution must be
  shown by one of them.
- All problems of a stage are told at once, each with file and line; passing means that no stage
  found any.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.errors import KnowledgeError, Problem
from diagnose.knowledge.cross_checks import find_problems
from diagnose.knowledge.loader import DEFAULT_PACK, Knowledge, Lines, pack_names, read_pack

if TYPE_CHECKING:
    from diagnose.reasoning.reasoner import Reasoner


#: time between two looks at the files [s]
_PAUSE = 0.5


def gate(root: Path, packs: Sequence[str] = ()) -> str:
    """What the packs come to, in lines, once nothing is wrong with any of them.

    Parameters
    ----------
    packs : those to read; none named: every pack of the folder, and what they share.

    Raises
    ------
    KnowledgeError : with every problem that was found.
    """
    from diagnose.symptom_graph.sheets import unused_cautions

    names = list(packs) or pack_names(root)
    problems: list[Problem] = []
    read: list[tuple[Knowledge, Lines]] = []
    said: list[str] = []
    for name in names or [DEFAULT_PACK]:
        knowledge, lines, words, found = _one(root, name)
        # What packs share is read with each of them, and told once.
        problems += [problem for problem in found if problem not in problems]
        said += words
        if knowledge is not None:
            read.append((knowledge, lines))
    if not packs and not problems:
        problems = unused_cautions((knowledge for knowledge, _ in read), read[0][1])
    if problems:
        raise KnowledgeError(problems)
    return "\n".join(said)


def _one(root: Path, pack: str) -> tuple[Knowledge | None, Lines, list[str], list[Problem]]:
    """A pack, where its cards stand, what it comes to, and what is wrong with it."""
    from diagnose.casebook.examples import input_problems, picture_problems
    from diagnose.job.card_fields import field_problems
    from diagnose.reasoning.reasoner import Reasoner
    from diagnose.symptom_graph.gaps import gap_problems
    from diagnose.symptom_graph.proof import prove
    from diagnose.symptom_graph.sheets import sheet_problems

    begun = time.perf_counter()
    knowledge, lines, problems = read_pack(root, pack)
    if knowledge is not None:
        problems += find_problems(knowledge, lines, problems)
        problems += field_problems(knowledge, lines) + input_problems(knowledge, lines)
    if knowledge is None or problems:
        return knowledge, lines, [], problems
    read = time.perf_counter()
    proof = prove(knowledge)
    problems = sheet_problems(knowledge, lines) + gap_problems(proof, knowledge, lines)
    proved = time.perf_counter()
    reasoner = Reasoner(knowledge)
    problems += picture_problems(reasoner, lines, _processors())
    took = (read - begun, proved - read, time.perf_counter() - proved)
    said = [
        *_counts(knowledge, reasoner),
        f"{proof.routes} routes to {proof.deeds} steps, none unguarded; {_pictures(knowledge)}",
        f"cards {took[0]:.1f} s, sheets and proof {took[1]:.1f} s, pictures {took[2]:.1f} s",
        f"fingerprint {knowledge.fingerprint}",
    ]
    return knowledge, lines, said, problems


def _counts(knowledge: Knowledge, reasoner: Reasoner) -> Iterator[str]:
    from diagnose.belief.priors import shares

    network = reasoner.compiled.network
    none, second = shares(network.odds, network.empty_weight)
    kinds = ("causes", "findings", "symptoms", "checks", "stages", "small_jobs", "cautions")
    counted = ", ".join(
        f"{len(getattr(knowledge, kind))} {kind.replace('_', ' ')}" for kind in kinds
    )
    yield f"no problems: {counted} of {knowledge.pack.name} ({knowledge.pack.id})"
    yield f"no fault {none:.1%} of jobs, a second fault in {second:.1%} of the faulty ones"


def _pictures(knowledge: Knowledge) -> str:
    pictures = [e for c in knowledge.causes.values() for e in (*c.typical, *c.near_miss)]
    missed = sum(1 for example in pictures if example.missed)
    return f"{len(pictures)} pictures, {missed} of them known to be missed"


def _processors() -> int:
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def changes(root: Path, sleep: Callable[[float], None] = time.sleep) -> Iterator[None]:
    """Once at the start, then after each change of a knowledge file; never ends by itself."""
    known: dict[Path, int] = {}
    while True:
        now = _written(root)
        if now != known:
            known = now
            yield
        else:
            sleep(_PAUSE)


def _written(root: Path) -> dict[Path, int]:
    found = {}
    for path in root.rglob("*.yaml"):
        try:
            found[path] = path.stat().st_mtime_ns
        except OSError:
            continue  # an editor that writes anew takes a file away for a moment
    return found
