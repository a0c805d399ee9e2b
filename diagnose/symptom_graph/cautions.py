"""Which cautions stand before a step: one function for the gate and for the proof.

Rules
-----
- A hazard exists while one of its chambers may hold pressure; a hazard without chambers always
  exists.
- Cautions come in reading order: the gravest signal word first, then as the hazard lists them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import Caution

__all__ = ["RANK", "hazards_now", "must_acknowledge", "required_cautions", "sort_cautions"]

#: reading order of signal words (ANSI Z535.6: the greatest hazard first)
RANK = {"DANGER": 0, "WARNING": 1, "CAUTION": 2, "NOTICE": 3}


def hazards_now(
    knowledge: Knowledge, hazards: Iterable[str], chambers: Mapping[str, bool]
) -> list[str]:
    """The step's hazards that exist while these chambers may hold pressure."""
    result = []
    for ident in dict.fromkeys(hazards):
        needs = knowledge.hazards[ident].chambers
        if not needs or any(chambers.get(chamber, True) for chamber in needs):
            result.append(ident)
    return result


def sort_cautions(knowledge: Knowledge, idents: Iterable[str]) -> list[Caution]:
    """Cautions once each, gravest first, otherwise in the order given."""
    unique = list(dict.fromkeys(idents))
    cards = [knowledge.cautions[ident] for ident in unique]
    return sorted(cards, key=lambda card: RANK[card.signal_word])


def required_cautions(
    knowledge: Knowledge, hazards: Sequence[str], chambers: Mapping[str, bool]
) -> list[Caution]:
    """Cautions that must stand in full before a step with these hazards."""
    live = hazards_now(knowledge, hazards, chambers)
    return sort_cautions(
        knowledge, (caution for hazard in live for caution in knowledge.hazards[hazard].cautions)
    )


def must_acknowledge(
    knowledge: Knowledge, hazards: Sequence[str], chambers: Mapping[str, bool]
) -> list[str]:
    """Those of the step's hazards that wait for a person's acknowledgement."""
    return [
        ident
        for ident in hazards_now(knowledge, hazards, chambers)
        if knowledge.hazards[ident].acknowledge
    ]
