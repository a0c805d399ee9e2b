"""Pages of the book that hold many cards: findings with pictures, safety, numbers, words, lists."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import Finding, Hazard, Verdict
from diagnose.reports.book_links import Shelf, plain
from diagnose.reports.figures import in_words, of_card, said, source_line
from diagnose.reports.html import Html, bullets, join, link, numbered, table, tag
from diagnose.reports.knowledge_views import coverage
from diagnose.reports.page import caution_box, ride_box
from diagnose.reports.usage import used_by
from diagnose.symptom_graph.drawing import around, draw, group_part

__all__ = ["overview_pages"]


def overview_pages(shelf: Shelf) -> dict[str, str]:
    """File name -> page for every page that is not about one card and not the contents."""
    files = {
        "safety.html": _safety(shelf),
        "numbers.html": _numbers(shelf),
        "words.html": _words(shelf),
        "findings.html": _map(shelf),
        **_lists(shelf),
    }
    for group in shelf.groups:
        files[f"findings-{group}.html"] = _findings(shelf, group)
    return files


def _findings(shelf: Shelf, group: str) -> str:
    part = group_part(shelf.net, group)
    name = plain(group)
    picture = draw(
        part,
        f"Symptom graph, {name}",
        f"Symptoms and checks, the findings of {name}, their surest causes and the stages that "
        "cure those. The same in words stands below, finding by finding.",
        width=736,
        page_of=shelf.address,
    )
    return shelf.page(
        f"Findings: {name}",
        tag(
            "p",
            "From left to right: what is said (dashed) or checked, the finding, what surely "
            "brings it about, the stage that most likely cures that. A thicker line is a surer "
            "one; weaker links are left out here and stand below.",
            class_="wide-only",
        ),
        tag("div", Html(picture), class_="wide-only"),
        tag(
            "p",
            "The picture of the whole group needs a wider screen or paper. Each finding has "
            "its own below.",
            class_="narrow-only",
        ),
        *(_finding(shelf, shelf.knowledge.findings[ident]) for ident in shelf.groups[group]),
        way=[("findings.html", "Symptom graph")],
    )


def _finding(shelf: Shelf, finding: Finding) -> Html:
    causes = shelf.causes_of[finding.id]
    chances = {ident: strength for strength, ident in causes}
    part = around(shelf.net, finding.id)
    drawn = draw(
        part,
        f"Around: {finding.name}",
        f"Who can tell {finding.name}, and what brings it about.",
        width=372,
        page_of=shelf.address,
        note_of=lambda ident: f"{chances[ident]:g}" if ident in chances else "",
    )
    left_out = len(causes) - sum(1 for ident in part if ident in chances)
    more = tag("p", f"{left_out} weaker causes are in the list.", class_="soft")
    states = ", ".join(map(plain, finding.states))
    needs = ", ".join(
        f"{'with' if wanted else 'without'} {plain(feature)}"
        for feature, wanted in finding.applies_when.items()
    )
    leaks = [
        f"{plain(figure.field[-1])}: {said(figure)}"
        for figure in of_card(shelf.knowledge, finding.id)
    ]
    row = shelf.knowledge.second_opinion.findings.get(finding.id, {})
    opinions = {cause: word for word, named in row.items() for cause in named}
    return join(
        [
            tag("h2", finding.name, id=finding.id),
            tag("p", f"{finding.plain} From healthy to worst: {states}."),
            tag("p", f"Only on shocks {needs}.") if needs else Html(),
            tag("p", finding.about) if finding.about else Html(),
            *(
                join(
                    [
                        tag("p", f"When {' or '.join(found)}:"),
                        ride_box(verdict.verdict, verdict.why),
                    ]
                )
                for verdict, found in _verdicts(shelf.knowledge, finding)
            ),
            Html(drawn),
            more if left_out else Html(),
            table(
                ["cause", "shows it", "second opinion"],
                [
                    [
                        shelf.link(ident),
                        f"{in_words(value)} ({value:g})",
                        opinions.get(ident, "none"),
                    ]
                    for value, ident in causes
                ],
            ),
            tag(
                "p",
                "With no cause of this book present: ",
                "; ".join(leaks),
                ". Source: ",
                shelf.source(finding.source),
                ".",
            ),
        ]
    )


def _verdicts(knowledge: Knowledge, finding: Finding) -> list[tuple[Verdict, list[str]]]:
    """Each verdict that a floor holds, with the states from which it stands."""
    found: list[tuple[Verdict, list[str]]] = []
    for floor in knowledge.floors:
        if floor.finding == finding.id and floor.ride != "ride":
            verdict = Verdict(verdict=floor.ride, why=floor.why)
            found.append((verdict, [plain(state) for state in knowledge.states_of(floor)]))
    return found


def _map(shelf: Shelf) -> str:
    return shelf.page(
        "Symptom graph",
        tag(
            "p",
            "Findings are what can be true of the shock and its story. Symptoms and checks "
            "tell of them, causes bring them about, stages cure causes. One page for each group "
            "of findings, with its picture.",
        ),
        *(
            join(
                [
                    tag("h2", link(f"findings-{group}.html", plain(group))),
                    bullets(map(shelf.link, idents)),
                ]
            )
            for group, idents in shelf.groups.items()
        ),
    )


def _safety(shelf: Shelf) -> str:
    knowledge = shelf.knowledge
    signs = [
        join(
            [
                tag("h3", plain(floor.finding)),
                tag(
                    "p",
                    f"From {plain(floor.at_least)} on, from {', '.join(floor.by)}: {floor.why}.",
                ),
                tag(
                    "p",
                    "Cleared only by ",
                    join(map(shelf.link, floor.lifted_by or ()), ", "),
                    ".",
                ),
            ]
        )
        for floor in knowledge.floors
        if "open" in floor.forbids
    ]
    first = [
        join([shelf.link(floor.finding), ": ", link(f"#caution-{floor.say}", plain(floor.say))], "")
        for floor in knowledge.floors
        if floor.say is not None
    ]
    return shelf.page(
        "Safety",
        tag("p", knowledge.pack.start_line, class_="lead"),
        tag("h2", "The first look, before any verdict"),
        numbered(map(shelf.link, knowledge.pack.look)),
        tag("p", "What it may show:"),
        bullets(shelf.link(sign.check, sign.text) for sign in knowledge.pack.look_signs),
        tag("h2", "Signs on which nobody opens it"),
        *signs,
        tag("p", "What to do then: ", shelf.link(knowledge.device.stages.shut), "."),
        tag("h2", "Said before any question"),
        bullets(first),
        tag("h2", "Hazards and where they are met"),
        *(_hazard(shelf, hazard) for hazard in knowledge.hazards.values()),
        tag("h2", "Every caution"),
        *(
            tag(
                "div",
                caution_box(card),
                tag("p", "Source: ", shelf.source(card.source), ".", class_="soft"),
                id=f"caution-{card.id}",
            )
            for card in knowledge.cautions.values()
        ),
    )


def _hazard(shelf: Shelf, hazard: Hazard) -> Html:
    chambers = " or ".join(hazard.chambers)
    when = f"While {chambers} may hold pressure. " if chambers else "Always. "
    waits = "The step waits for a key." if hazard.acknowledge else "It stands in its step."
    places = [
        join([f"{way}: ", join(map(shelf.link, users), ", ")], "")
        for way, users in used_by(shelf.knowledge, "hazard", hazard.id).items()
    ]
    cautions = [
        link(f"#caution-{ident}", f"{shelf.knowledge.cautions[ident].signal_word}, {plain(ident)}")
        for ident in hazard.cautions
    ]
    return join(
        [
            tag("h3", hazard.name, id=f"hazard-{hazard.id}"),
            tag("p", "Met by: ", ", ".join(map(plain, hazard.acts)), ". ", when, waits),
            tag("p", "Cautions: ", join(cautions, "; "), "."),
            bullets(places),
        ]
    )


def _numbers(shelf: Shelf) -> str:
    knowledge = shelf.knowledge
    counted = coverage(knowledge)
    kinds = [
        [plain(kind), f"{row['count']}", f"{100 * row['share']:.1f} %"]
        for kind, row in counted["by_kind"].items()
    ]
    sources = [
        join(
            [
                tag("h3", plain(source.id), id=f"source-{source.id}"),
                tag(
                    "p",
                    source_line(source),
                    f" Numbers that rest on it: {counted['by_source'].get(source.id, 0)}.",
                ),
            ]
        )
        for source in knowledge.sources.values()
    ]
    pack = [
        [", ".join(map(plain, figure.field)), said(figure), plain(figure.source)]
        for figure in of_card(knowledge, knowledge.pack.id)
    ]
    scale = [
        [plain(word), f"{value:g}", in_words(value)] for word, value in knowledge.pack.scale.items()
    ]
    cards = [[f"{kind}s", str(count)] for kind, count in counted["cards"].items()]
    return shelf.page(
        "Numbers and sources",
        tag("p", f"{counted['numbers']} numbers stand on the cards. Each has a source."),
        table(["kind of source", "numbers", "share"], kinds),
        tag("h2", "The verbal scale"),
        table(["word", "chance", "as people say it"], scale),
        tag("h2", "Sources"),
        *sources,
        tag("h2", "Shares, thresholds and money"),
        table(["what", "number", "source"], pack),
        tag("h2", "Cards"),
        table(["kind", "how many"], cards),
    )


def _words(shelf: Shelf) -> str:
    words = shelf.knowledge.lexicon
    offered = [
        join([shelf.link(line.symptom, line.text), f" ({plain(line.state)})"], "")
        for line in shelf.knowledge.pack.main_complaints
    ]
    return shelf.page(
        "Words",
        tag("p", "A whole complaint is read at once; each symptom's own page has its sayings."),
        tag("h2", "Offered when the words were not understood"),
        numbered(offered),
        tag("h2", "Said besides a complaint"),
        numbered([plain(text) for text in words.beside]),
        tag("h2", "What makes a number a limit"),
        tag("p", ", ".join(words.limit_words) or "none", "."),
    )


def _lists(shelf: Shelf) -> dict[str, str]:
    cards = shelf.knowledge
    systems = cards.pack.systems
    causes = _grouped(
        (systems.get(cause.system, cause.system), cause.id) for cause in cards.causes.values()
    )
    symptoms = _grouped(
        (plain(cards.findings[card.observes].group), card.id) for card in cards.symptoms.values()
    )
    checks = _grouped(
        (f"at the {card.at}: {plain(cards.findings[card.observes].group)}", card.id)
        for card in cards.checks.values()
    )
    return {
        "causes.html": _list(shelf, "Causes", causes),
        "symptoms.html": _list(shelf, "Symptoms", symptoms),
        "checks.html": _list(shelf, "Checks", dict(sorted(checks.items()))),
        "stages.html": shelf.page(
            "Sheets",
            tag("p", "The ways in which a job can end, each a sheet to work by."),
            bullets(
                join([shelf.link(stage.id), f": {stage.plain}"], "")
                for stage in sorted(cards.stages.values(), key=lambda card: card.rank)
            ),
            tag("p", "Small jobs, each a part of one of them.") if cards.small_jobs else Html(),
            bullets(
                join([shelf.link(job.id), f": {job.plain}"], "")
                for job in cards.small_jobs.values()
            ),
        ),
    }


def _grouped(rows: Iterable[tuple[str, str]]) -> dict[str, list[str]]:
    found: defaultdict[str, list[str]] = defaultdict(list)
    for head, ident in rows:
        found[head].append(ident)
    return dict(found)


def _list(shelf: Shelf, title: str, groups: dict[str, list[str]]) -> str:
    return shelf.page(
        title,
        *(
            join(
                [
                    tag("h2", head),
                    tag(
                        "ul",
                        join(tag("li", shelf.link(ident)) for ident in idents),
                        class_="columns",
                    ),
                ]
            )
            for head, idents in groups.items()
        ),
    )
