"""Cards held against truth sheets: what causes bring about, and how people report it.

python -P tests/benchmarks/audit.py FOLDER.. [--least 0.1]

Printed are the links that differ from what the sheets of a cause show, with both figures and the
counts; the cards that are asked of more than one witness: how often the weaker witness names what
the stronger one found, and what he did not; by group of findings how often something is named that
nothing true brings about, with what the cards expect; and how much of what people know comes out at
the open question. The true causes of a sheet stand in
tests/casebook/truth/causes.yaml, named by a hand that saw neither cards nor program. A figure is an
occasion to think of a hundred such jobs, not a number to copy: a sheet is written to mislead.
"""

from __future__ import annotations

import argparse
import sys
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import yaml

from diagnose.belief.reports import report_table
from diagnose.job.events import Complained, Opened
from diagnose.job.state import fold
from diagnose.knowledge.models import Check, Symptom
from diagnose.reasoning.reasoner import Reasoner
from tests.benchmarks.truth import Sheet, sheets_of
from tests.real_pack import shop_reasoner

TRUTH = Path(__file__).resolve().parents[1] / "casebook" / "truth"

#: the better witness last
_WITNESS = {"customer": 0, "counter": 1, "bench": 2}

#: sheets that a card's number counts as, when the sheets move it
_CARD = 6.0


def answered(sheet: Sheet, reasoner: Reasoner) -> Iterator[tuple[str, str, str, int]]:
    """Finding, question, witness and place of the state, of all that can be asked and is known."""
    knowledge, key = reasoner.knowledge, sheet.key
    has = key.get("features") or {}
    cards: list[Symptom | Check] = [*knowledge.symptoms.values(), *knowledge.checks.values()]
    for card in cards:
        if isinstance(card, Symptom) and not card.ask:
            continue
        if any(has.get(f, False) != wanted for f, wanted in card.applies_when.items()):
            continue
        named = any(card.id in key[part] for part in ("customer", "looks", "bench"))
        if knowledge.findings[card.observes].seen_with and not named:
            continue
        state = sheet.says(card.id, reasoner)
        states = reasoner.compiled.states(card.observes)
        if state in states:
            witness = card.at if isinstance(card, Check) else "customer"
            yield card.observes, card.id, witness, states.index(str(state))


def links(
    sheets: Sequence[Sheet], truth: Mapping[str, list[str]], reasoner: Reasoner, least: float
) -> Iterator[str]:
    """Links that the sheets of their cause would move by so much, by the best witness's word.

    ``truth``: causes by sheet.
    """
    network = reasoner.compiled.network
    leak = {t.name: float(t.leak[0]) for t in network.findings}
    own = {
        (network.causes[p], t.name): float(row[0])
        for t in network.findings
        for p, row in zip(t.parents, t.at_least, strict=True)
    }
    seen: dict[tuple[str, str], list[float]] = defaultdict(list)
    for sheet in sheets:
        best: dict[str, tuple[int, int]] = {}
        for finding, _, witness, place in answered(sheet, reasoner):
            best[finding] = max(best.get(finding, (-1, 0)), (_WITNESS[witness], place))
        for finding, (_, place) in best.items():
            for cause in truth[sheet.id]:
                # What shows is laid to this cause by its share in what would show it.
                mine, rest = max(own.get((cause, finding), 0.0), 0.08), 1.0 - leak[finding]
                for other in truth[sheet.id]:
                    rest *= 1.0 if other == cause else 1.0 - own.get((other, finding), 0.02)
                share = mine / (1.0 - (1.0 - mine) * rest)
                seen[cause, finding].append(share if place else 0.0)
    for (cause, finding), shares in sorted(seen.items()):
        card = own.get((cause, finding), 0.0)
        moved = (_CARD * card + sum(shares)) / (_CARD + len(shares))
        if len(shares) > 1 and abs(moved - card) >= least:
            shown = sum(share > 0 for share in shares)
            yield f"{cause}: {finding} {card:.2f} -> {moved:.2f} ({shown} of {len(shares)})"


def witnesses(sheets: Sequence[Sheet], reasoner: Reasoner) -> Iterator[str]:
    """Of each question of which a better witness was asked as well: named, and named wrongly."""
    counts: dict[str, list[int]] = defaultdict(lambda: [0, 0, 0, 0])
    for sheet in sheets:
        heard: dict[str, list[tuple[int, str, int]]] = defaultdict(list)
        for finding, ask, witness, place in answered(sheet, reasoner):
            heard[finding].append((_WITNESS[witness], ask, place))
        for said in heard.values():
            top = max(witness for witness, _, _ in said)
            there = any(place for witness, _, place in said if witness == top)
            for witness, ask, place in said:
                if witness < top:
                    counts[ask][0 if there else 2] += place > 0
                    counts[ask][1 if there else 3] += 1
    for ask, (hit, present, false, absent) in sorted(counts.items()):
        if present > 4:
            yield f"{ask}: named {hit} of {present}, for nothing {false} of {absent}"


def unexplained(
    sheets: Sequence[Sheet], truth: Mapping[str, list[str]], reasoner: Reasoner
) -> Iterator[str]:
    """By group and witness: answers that nothing true accounts for, and as many as expected."""
    network, cards = reasoner.compiled.network, reasoner.knowledge
    counts: dict[tuple[str, str], list[float]] = defaultdict(lambda: [0.0, 0.0, 0.0])
    for sheet in sheets:
        causes = {network.cause_index[cause] for cause in truth[sheet.id]}
        for finding, ask, witness, place in answered(sheet, reasoner):
            table = network.findings[network.finding_index[finding]]
            if causes & set(table.parents):
                continue
            card = cards.symptoms.get(ask) or cards.checks[ask]
            said = report_table(cards, card, witness, finding=finding)
            leak = float(table.leak[0])
            expected = 1.0 - (1.0 - leak) * said[0, 0] - leak * said[1, 0]
            row = counts[cards.findings[finding].group, witness]
            for n, value in enumerate((place > 0, expected, 1.0)):
                row[n] += value
    for (group, witness), (seen, expected, asked) in sorted(counts.items()):
        yield f"{group} by {witness}: {seen:.0f} of {asked:.0f}, expected {expected:.0f}"


def brought_out(sheets: Sequence[Sheet], reasoner: Reasoner) -> Iterator[str]:
    """By group: what the key knows, the opening left out, and the open question brought out."""
    counts: dict[str, list[int]] = defaultdict(lambda: [0, 0])
    for sheet in sheets:
        opening = [
            Opened(pack=reasoner.knowledge.pack.id, knowledge="", channel="bike_here"),
            Complained(text=sheet.opening),
        ]
        told = Complained(text=str(sheet.key.get("anything_else") or "."))
        first, then = (
            {item.finding for item in reasoner.view(fold(events)).belief.items}
            for events in (opening, [*opening, told])
        )
        for finding, _, witness, place in answered(sheet, reasoner):
            if witness == "customer" and place and finding not in first:
                row = counts[reasoner.knowledge.findings[finding].group]
                row[0] += finding in then
                row[1] += 1
    for group, (named, known) in sorted(counts.items()):
        yield f"{group}: {named} of {known} named when asked what else, {named / known:.2f}"


def main(arguments: Sequence[str]) -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("folders", nargs="+", type=Path)
    parser.add_argument("--least", type=float, default=0.1)
    wanted = parser.parse_args(arguments)
    sheets = [sheet for folder in wanted.folders for sheet in sheets_of(folder)]
    truth = yaml.safe_load((TRUTH / "causes.yaml").read_text("utf-8"))
    if unnamed := [sheet.id for sheet in sheets if sheet.id not in truth]:
        parser.error(f"causes.yaml: no line for {', '.join(unnamed)}; have another hand name them.")
    reasoner = shop_reasoner()
    print(*links(sheets, truth, reasoner, wanted.least), sep="\n")
    print()
    print(*witnesses(sheets, reasoner), sep="\n")
    print()
    print(*unexplained(sheets, truth, reasoner), sep="\n")
    print()
    print(*brought_out(sheets, reasoner), sep="\n")


if __name__ == "__main__":
    main(sys.argv[1:])
