"""Look-alikes put where a mechanic meets them: under what both of them show.

Rules
-----
- Two causes make one pair, whichever card names the other; what both cards say is kept.
- A pair stands under one finding, the one that best explains why they are mixed up: both bring it
  about, few other causes do, and somebody can notice it.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from math import log

from diagnose.knowledge.models import Cause, Example, LookAlike
from diagnose.reports.book_links import Shelf, plain
from diagnose.reports.html import Html, bullets, join, link, tag
from diagnose.symptom_graph.export import link_strength

__all__ = ["Pair", "lookalike_pages", "pairs"]


@dataclass(frozen=True)
class Pair:
    """Two causes that are taken for one another.

    Parameters
    ----------
    first, second : ids of the causes, in id order.
    finding : what both show; what the first shows most where nothing is shared.
    settling : what the cards say settles it, at least one.
    """

    first: str
    second: str
    finding: str
    settling: tuple[LookAlike, ...]


def pairs(shelf: Shelf) -> list[Pair]:
    """All pairs of look-alikes, by finding and then by id."""
    named: defaultdict[tuple[str, str], list[LookAlike]] = defaultdict(list)
    for cause in shelf.knowledge.causes.values():
        for other in cause.mistaken_for:
            first, second = sorted((cause.id, other.cause))
            named[first, second].append(other)
    found = [
        Pair(first, second, _shared(shelf, first, second), tuple(settling))
        for (first, second), settling in named.items()
    ]
    return sorted(found, key=lambda pair: (pair.finding, pair.first, pair.second))


def lookalike_pages(shelf: Shelf) -> dict[str, str]:
    """File name -> page, one for each group of findings that has pairs, and the list of them."""
    by_finding: defaultdict[str, list[Pair]] = defaultdict(list)
    for pair in pairs(shelf):
        by_finding[pair.finding].append(pair)
    files: dict[str, str] = {}
    listed: list[Html] = []
    for group, findings in shelf.groups.items():
        sections = [
            _section(shelf, finding, by_finding[finding])
            for finding in findings
            if by_finding[finding]
        ]
        if sections:
            file = f"lookalikes-{group}.html"
            files[file] = shelf.page(
                f"Look-alikes: {plain(group)}",
                tag("p", "What you notice, what else does that, and what settles it."),
                *sections,
                way=[("lookalikes.html", "Look-alikes")],
            )
            noticed = [
                link(f"{file}#{finding}", shelf.name(finding))
                for finding in findings
                if by_finding[finding]
            ]
            listed += [tag("h2", link(file, plain(group))), bullets(noticed)]
    files["lookalikes.html"] = shelf.page(
        "Look-alikes",
        tag("p", "What you notice, what else does that, and what settles it, by what it is about."),
        *listed,
    )
    return files


def _shared(shelf: Shelf, first: str, second: str) -> str:
    causes, total = shelf.knowledge.causes, len(shelf.knowledge.causes)

    def strength(cause: str, finding: str) -> float:
        return link_strength(shelf.knowledge, causes[cause].links[finding])

    common = sorted(causes[first].links.keys() & causes[second].links.keys())
    if not common:
        return max(causes[first].links, key=lambda finding: strength(first, finding))
    heard = [finding for finding in common if shelf.symptoms_of[finding]]
    # What is only told, never looked at, is the story and not what somebody notices; what bears on
    # the ride is noticed in any case.
    bearing = {floor.finding for floor in shelf.knowledge.floors}
    noticed = [f for f in common if f in bearing or (f in heard and shelf.checks_of[f])]
    return max(
        noticed or heard or common,
        key=lambda finding: (
            min(strength(first, finding), strength(second, finding))
            * log(1 + total / len(shelf.causes_of[finding]))
        ),
    )


def _section(shelf: Shelf, finding: str, found: list[Pair]) -> Html:
    card = shelf.knowledge.findings[finding]
    sayings = [
        f"“{texts[0]}”"
        for symptom in shelf.symptoms_of[finding]
        for state, texts in symptom.phrases.items()
        if state != card.states[0] and texts
    ]
    said = f" Riders say: {', '.join(sayings)}." if sayings else ""
    return join(
        [
            tag("h2", "You notice: ", shelf.link(finding), id=finding),
            tag("p", card.plain, said),
            *(_pair(shelf, pair) for pair in found),
        ]
    )


def _pair(shelf: Shelf, pair: Pair) -> Html:
    causes = shelf.knowledge.causes
    settling = {(look.settled_by, look.how): None for look in pair.settling}
    parts = [
        tag("h3", shelf.link(pair.first), ", or ", shelf.link(pair.second), "?"),
        *(
            tag("p", tag("b", "What settles it: "), shelf.link(check), f". {how}")
            for check, how in settling
        ),
    ]
    for ident in (pair.first, pair.second):
        example = _settled(causes[ident], {check for check, _ in settling})
        if example is not None:
            said = f"“{example.complaint}”; " if example.complaint else ""
            parts.append(
                tag(
                    "p",
                    tag("b", "So it is "),
                    shelf.link(ident),
                    ": ",
                    said,
                    shelf.given(example.answers),
                    class_="soft",
                )
            )
    return join(parts)


def _settled(cause: Cause, checks: set[str]) -> Example | None:
    """A typical picture of the cause in which one of these checks was done."""
    return next((e for e in cause.typical if checks & e.answers.keys()), None)
