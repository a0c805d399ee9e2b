"""What the customer's words do to a judgement: python -P tests/benchmarks/with_words.py [-v].

Every written case of every pack, and every picture beside a cause card, is judged three times as
`diagnose assess` would: by all answers and the complaint, by all answers alone, by the complaint
alone. In no set may the words make it worse. A complaint counts as misheard where something that
was heard of it is answered otherwise.

Columns: the outcome, the ride, the true cause first or among the first three, and the mean log2 of
the chance that was given to the truth (nearer to 0 is better).
"""

from __future__ import annotations

import os
import sys
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np

from diagnose.casebook.cases import Case, Expected, load_cases
from diagnose.casebook.examples import pictures_of
from diagnose.job.job_file import events_of
from diagnose.job.state import fold
from diagnose.knowledge.root import cases_root
from diagnose.reasoning.belief import Belief
from diagnose.reasoning.decision import Decision
from diagnose.reasoning.reasoner import Reasoner
from tests.real_pack import PACKS, pack_reasoner

COLUMNS = ("stage", "ride", "top1", "top3", "log2")
WAYS = ("answers and words", "answers alone", "words alone")

#: words up to which a complaint is short
SHORT = 9


@dataclass(frozen=True)
class Row:
    """One job with what is right.

    ``told``, ``alone``: right stages and rides, with answers and from the words alone; empty where
    nobody said. ``never``: the cause that must not come first (a near miss), with no truth known.
    """

    name: str
    kind: str
    complaint: str
    shock: dict[str, Any]
    answers: dict[str, Any]
    truth: tuple[str, ...] = ()
    told: tuple[list[str], list[str]] = field(default=([], []))
    alone: tuple[list[str], list[str]] = field(default=([], []))
    never: str = ""


def rows_of(reasoner: Reasoner) -> Iterator[Row]:
    """All cases and pictures of a pack whose customer said something."""
    for case in load_cases(cases_root(), reasoner.knowledge):
        yield _of_case(case)
    for cause, card in reasoner.knowledge.causes.items():
        stages = _right_stages(reasoner, cause)
        for kind, n, picture in pictures_of(reasoner.knowledge, cause):
            if not picture.complaint:
                continue
            row = Row(
                f"{cause}:{kind}:{n}", "near misses", picture.complaint, picture.shock,
                picture.answers, never=cause,
            )  # fmt: skip
            if kind == "typical":
                right = (stages, [card.ride.verdict])
                row = replace(
                    row, kind="typical pictures", truth=(cause,), told=right, alone=right, never=""
                )
            yield row


def _of_case(case: Case) -> Row:
    def right(expected: Expected | None) -> tuple[list[str], list[str]]:
        return (expected.stage, expected.ride) if expected else ([], [])

    return Row(
        case.id,
        f"cases, {case.difficulty}",
        case.complaint,
        case.shock,
        {**case.counter, **case.bench},
        tuple(case.truth),
        right(case.expect.bench),
        right(case.expect.words),
    )


def _right_stages(reasoner: Reasoner, cause: str) -> list[str]:
    model = reasoner.cost_model
    present = np.array([[c == cause for c in reasoner.compiled.causes]])
    return list(model.plans[int(model.right_plans(present)[0])].stages)


def scores(row: Row, way: str, decision: Decision) -> dict[str, float]:
    """What is right of one judgement, by column; a column that nobody wrote down is left out."""
    belief = decision.belief
    ranked = list(belief.causes)
    if row.never:
        return {"top1": float(ranked[0] != row.never)}
    stages, rides = row.alone if way == "words alone" else row.told
    found: dict[str, float] = {}
    if stages:
        found["stage"] = float(decision.stages[0] in stages)
    if rides:
        found["ride"] = float(belief.ride.verdict in rides)
    truth = set(row.truth)
    if truth:
        found["top1"] = float(bool(truth & set(ranked[: len(truth)])))
        found["top3"] = float(truth <= set(ranked[: len(truth) + 2]))
    chances = [belief.causes[c] for c in row.truth] or [belief.no_fault]
    found["log2"] = float(np.mean(np.log2(np.maximum(chances, 1e-9))))
    return found


def decided(reasoner: Reasoner, row: Row, way: str) -> Decision:
    """What is decided one way; nothing is asked."""
    data: dict[str, Any] = {"pack": reasoner.knowledge.pack.id, "shock": row.shock}
    if way != "answers alone":
        data["complaint"] = row.complaint
    if way != "words alone":
        data |= {"answers": row.answers, "at": "bench"}
    return Decision(Belief(reasoner, fold(events_of(data, reasoner.knowledge)[0])))


def misheard(reasoner: Reasoner, words: Belief, answers: Belief) -> bool:
    """Something heard is answered otherwise: well where it was heard as not, or the reverse."""
    heard = {i.finding: i.state for i in words.items if i.words}
    return any(
        item.finding in heard
        and (item.state == (well := reasoner.compiled.states(item.finding)[0]))
        != (heard[item.finding] == well)
        for item in answers.items
    )


def main() -> None:
    """Score all rows three ways, by set."""
    table: dict[str, dict[str, list[dict[str, float]]]] = defaultdict(lambda: defaultdict(list))
    for pack in PACKS:
        reasoner = pack_reasoner(pack)
        for row in rows_of(reasoner):
            decisions = {way: decided(reasoner, row, way) for way in WAYS}
            by_way = {way: scores(row, way, decision) for way, decision in decisions.items()}
            words, answers = decisions["words alone"].belief, decisions["answers alone"].belief
            long = "short" if len(row.complaint.split()) <= SHORT else "long"
            sets = ["all", row.kind, f"{long} complaints", pack]
            if misheard(reasoner, words, answers):
                sets.append("misheard complaints")
            for name in sets:
                for way in WAYS:
                    table[name][way].append(by_way[way])
            if "-v" in sys.argv:
                _tell_worse(row, by_way, decisions)
    for name, ways in sorted(table.items()):
        print(f"\n{name}: {len(ways[WAYS[0]])}")
        print(f"{'':>20}" + "".join(f"{column:>8}" for column in COLUMNS))
        for way in WAYS:
            means = [_mean([s[column] for s in ways[way] if column in s]) for column in COLUMNS]
            print(f"{way:>20}" + "".join(f"{mean:>8}" for mean in means))


def _tell_worse(
    row: Row, by_way: dict[str, dict[str, float]], decisions: dict[str, Decision]
) -> None:
    having, without = by_way["answers and words"], by_way["answers alone"]
    worse = [c for c in having if c != "log2" and having[c] < without[c]]
    if worse:
        first = [next(iter(decisions[way].belief.causes)) for way in WAYS[:2]]
        print(f"{row.name}: words cost {', '.join(worse)}; first {first[0]}, without {first[1]}")


def _mean(values: list[float]) -> str:
    return f"{np.mean(values):.3f}" if values else "-"


if __name__ == "__main__":
    main()
