"""What every page of the book needs: the cards, who names whom, and the address of each card."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import Caution, Check, LookAlike, Symptom
from diagnose.reports.html import Html, join, link
from diagnose.reports.page import page
from diagnose.reports.usage import kinds_of
from diagnose.symptom_graph.cautions import required_cautions
from diagnose.symptom_graph.export import graph, link_strength

__all__ = ["Shelf", "plain"]


def plain(name: str) -> str:
    """An id or field name as words."""
    return name.replace("_", " ")


class Shelf:
    """The knowledge as a reader walks through it.

    Parameters
    ----------
    knowledge : cards that passed the check; an id that leads nowhere is not caught here.
    """

    def __init__(self, knowledge: Knowledge) -> None:
        self.knowledge = knowledge
        self.net = graph(knowledge)
        self.symptoms_of: defaultdict[str, list[Symptom]] = defaultdict(list)
        self.checks_of: defaultdict[str, list[Check]] = defaultdict(list)
        self.causes_of: defaultdict[str, list[tuple[float, str]]] = defaultdict(list)
        self.settled_by: defaultdict[str, list[tuple[str, LookAlike]]] = defaultdict(list)
        self.groups: defaultdict[str, list[str]] = defaultdict(list)
        for symptom in knowledge.symptoms.values():
            self.symptoms_of[symptom.observes].append(symptom)
        for check in knowledge.checks.values():
            for finding in check.findings:
                self.checks_of[finding].append(check)
        for cause in knowledge.causes.values():
            for finding, chance in cause.links.items():
                strength = link_strength(knowledge, chance)
                self.causes_of[finding].append((strength, cause.id))
            for other in cause.mistaken_for:
                self.settled_by[other.settled_by].append((cause.id, other))
        for causes in self.causes_of.values():
            causes.sort(key=lambda pair: (-pair[0], pair[1]))
        for finding_card in knowledge.findings.values():
            self.groups[finding_card.group].append(finding_card.id)

    def address(self, ident: str, kind: str = "") -> str:
        """Page, and place on it, of a card; ``kind`` where cards of two kinds share an id."""
        kind = kind or kinds_of(self.knowledge, ident)[0]
        if kind == "finding":
            return f"findings-{self.knowledge.findings[ident].group}.html#{ident}"
        if kind == "part":
            return f"drawing.html#part-{ident}"
        if kind in ("hazard", "caution"):
            return f"safety.html#{kind}-{ident}"
        return f"numbers.html#source-{ident}" if kind == "source" else f"{kind}-{ident}.html"

    def name(self, ident: str) -> str:
        """The card's name, or its id where cards of that kind have none."""
        return str(getattr(self.knowledge.card(ident), "name", plain(ident)))

    def link(self, ident: str, text: str = "") -> Html:
        """A link to the card, by its name unless another text is given."""
        return link(self.address(ident), text or self.name(ident))

    def cautions(self, acts: Iterable[str]) -> list[Caution]:
        """Cautions of what is done, in reading order, every chamber taken as pressurised."""
        return required_cautions(self.knowledge, acts, {})

    def page(self, title: str, *parts: str, way: Iterable[tuple[str, str]] = ()) -> str:
        """A page of the book: the frame with the way back and the knowledge it rests on."""
        return page(
            title,
            *parts,
            way=[("index.html", "Contents and search"), *way],
            foot=f"{self.knowledge.pack.name}, knowledge {self.knowledge.fingerprint}",
        )

    def answered(self, ident: str, state: str) -> str:
        """The words of an answer to a symptom's or check's question."""
        card = self.knowledge.symptoms.get(ident) or self.knowledge.checks[ident]
        texts = {answer.state: answer.text for answer in card.answers}
        return texts.get(state, plain(state))

    def source(self, ident: str) -> Html:
        """A source as linked words: its kind, and its name where that says more."""
        kind, name = plain(self.knowledge.sources[ident].kind), plain(ident)
        text = kind if kind == name else f"{kind}, {name}"
        return link(self.address(ident, "source"), text)

    def given(self, answers: dict[str, str]) -> Html:
        """Answers as linked words, for an example."""
        return join(
            (
                join([self.link(ask), f": {self.answered(ask, state)}"], "")
                for ask, state in answers.items()
            ),
            "; ",
        )
