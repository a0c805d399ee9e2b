"""What is known of a job in words, finding by finding, for whoever is shown what each weighs."""

from __future__ import annotations

from diagnose.reasoning.belief import Belief
from diagnose.reasoning.evidence import Item, answer_of

__all__ = ["evidence_words"]


def evidence_words(belief: Belief) -> dict[str, str]:
    """Finding -> what was said or found of it; of what counts by silence, that nobody named it."""
    prepared = belief.prepared
    said: dict[str, list[str]] = {}
    for item in belief.items:
        said.setdefault(item.finding, []).append(_said(belief, item))
    for card in prepared.knowledge.symptoms.values():
        if prepared.compiled.network.finding_index[card.observes] in belief.evidence:
            said.setdefault(card.observes, [f"{card.name}: not brought up"])
    return {finding: "; ".join(words) for finding, words in said.items()}


def _said(belief: Belief, item: Item) -> str:
    """In the customer's own words where there are some."""
    card = belief.prepared.card(item.ask)
    state = answer_of(belief.items, item, card)
    text = next((a.text for a in card.answers if a.state == state), state)
    own = f"the customer's '{item.words}' = " if item.words else ""
    return f"{own}{card.name}: {text}"
