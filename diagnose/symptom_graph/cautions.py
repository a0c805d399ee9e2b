"""Which cautions stand before a deed: one function for the gate, the proof and the judgement.

Rules
-----
- A deed meets a hazard by what is done: one of its acts is among the hazard's. No card names its
  hazards.
- A hazard exists while one of its chambers may hold pressure; a hazard without chambers always
  exists.
- Acts come in order, and each is met by what the chambers may hold by then: what a deed fills and
  then lets out again is let out under pressure.
- Cautions come in reading order: the gravest signal word first, then as the hazards stand in their
  file.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import Caution, Hazard

__all__ = [
    "RANK",
    "cautions_of",
    "every_caution",
    "hazards_met",
    "hazards_now",
    "must_acknowledge",
    "required_cautions",
    "sort_cautions",
]

#: reading order of signal words (ANSI Z535.6: the greatest hazard first)
RANK = {"DANGER": 0, "WARNING": 1, "CAUTION": 2, "NOTICE": 3}


def hazards_met(
    knowledge: Knowledge, acts: Iterable[str], chambers: Mapping[str, bool]
) -> list[str]:
    """Hazards that a deed meets, in reading order.

    Parameters
    ----------
    acts : what is done, in order. chambers : chamber -> may hold pressure before it.
    """
    met: set[str] = set()
    now = dict(chambers)
    for act in acts:
        met |= {h.id for h in knowledge.hazards.values() if act in h.acts and _exists(h, now)}
        now = knowledge.device.after(now, act)
    return [ident for ident in knowledge.hazards if ident in met]


def hazards_now(
    knowledge: Knowledge, hazards: Iterable[str], chambers: Mapping[str, bool]
) -> list[str]:
    """Those of the named hazards that exist while these chambers may hold pressure."""
    unique = dict.fromkeys(hazards)
    return [ident for ident in unique if _exists(knowledge.hazards[ident], chambers)]


def _exists(hazard: Hazard, chambers: Mapping[str, bool]) -> bool:
    needs = hazard.chambers
    return not needs or any(chambers.get(chamber, True) for chamber in needs)


def sort_cautions(knowledge: Knowledge, idents: Iterable[str]) -> list[Caution]:
    """Cautions once each, gravest first, otherwise in the order given."""
    unique = list(dict.fromkeys(idents))
    cards = [knowledge.cautions[ident] for ident in unique]
    return sorted(cards, key=lambda card: RANK[card.signal_word])


def cautions_of(knowledge: Knowledge, hazards: Iterable[str]) -> list[Caution]:
    """Cautions of these hazards in reading order."""
    named = (caution for hazard in hazards for caution in knowledge.hazards[hazard].cautions)
    return sort_cautions(knowledge, named)


def every_caution(knowledge: Knowledge) -> list[Caution]:
    """Cautions of the pack's hazards and floors, and what is always said; packs share the cards."""
    hazards = (ident for hazard in knowledge.hazards.values() for ident in hazard.cautions)
    floors = (floor.say for floor in knowledge.floors if floor.say)
    return sort_cautions(knowledge, [*floors, *hazards, *knowledge.pack.always])


def required_cautions(
    knowledge: Knowledge, acts: Iterable[str], chambers: Mapping[str, bool]
) -> list[Caution]:
    """Cautions that must stand before a deed of these acts."""
    return cautions_of(knowledge, hazards_met(knowledge, acts, chambers))


def must_acknowledge(
    knowledge: Knowledge, acts: Iterable[str], chambers: Mapping[str, bool]
) -> list[str]:
    """Those of the hazards met that wait for a person's acknowledgement."""
    met = hazards_met(knowledge, acts, chambers)
    return [ident for ident in met if knowledge.hazards[ident].acknowledge]
