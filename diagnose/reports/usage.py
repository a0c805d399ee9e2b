"""Where a card is used: every other card that names it, by the way it does."""

from __future__ import annotations

from diagnose.errors import InputError
from diagnose.knowledge.loader import Knowledge
from diagnose.nearest import nearest
from diagnose.reports.figures import figures

__all__ = ["KINDS", "kinds_of", "used_by"]

#: kind of card -> the field of `Knowledge` that holds its cards, in reading order
KINDS = {
    "cause": "causes",
    "finding": "findings",
    "symptom": "symptoms",
    "check": "checks",
    "block": "blocks",
    "stage": "stages",
    "small_job": "small_jobs",
    "hazard": "hazards",
    "caution": "cautions",
    "source": "sources",
    "retired id": "retired",
    "part": "parts",
}


def kinds_of(knowledge: Knowledge, ident: str) -> list[str]:
    """Kinds of the cards with this id; a hazard and its caution may share one.

    Raises
    ------
    InputError : no card has this id; the nearest ids are named.
    """
    found = [kind for kind, field in KINDS.items() if ident in getattr(knowledge, field)]
    if ident == knowledge.pack.id:
        found.append("pack")
    if not found:
        known = [name for field in KINDS.values() for name in getattr(knowledge, field)]
        hint = nearest(ident, known, otherwise="List all: diagnose knowledge show")
        raise InputError(f"No card has the id '{ident}'.", next_step=hint)
    return found


def used_by(knowledge: Knowledge, kind: str, ident: str) -> dict[str, list[str]]:
    """What names this card.

    Returns
    -------
    Way of use -> ids of the cards that use it so, in id order; ways without a card are left out.
    """
    ways = {
        "cause": _cause,
        "finding": _finding,
        "symptom": _symptom,
        "check": _check,
        "block": _block,
        "stage": _stage,
        "hazard": _hazard,
        "caution": _caution,
        "source": _source,
        "part": _part,
    }
    found = ways[kind](knowledge, ident) if kind in ways else {}
    return {way: users for way, users in found.items() if users}


def _cause(knowledge: Knowledge, ident: str) -> dict[str, list[str]]:
    alike = [
        cause.id
        for cause in knowledge.causes.values()
        if any(other.cause == ident for other in cause.mistaken_for)
    ]
    return {"taken for it": alike}


def _finding(knowledge: Knowledge, ident: str) -> dict[str, list[str]]:
    return {
        "heard as": [s.id for s in knowledge.symptoms.values() if s.observes == ident],
        "checked by": [c.id for c in knowledge.checks.values() if ident in c.findings],
        "brought about by": [c.id for c in knowledge.causes.values() if ident in c.links],
        "forbids": sorted(
            {
                what
                for floor in knowledge.floors
                if floor.finding == ident
                for what in (floor.ride, *floor.forbids)
                if what != "ride"
            }
        ),
    }


def _symptom(knowledge: Knowledge, ident: str) -> dict[str, list[str]]:
    said_first = knowledge.said_first(knowledge.symptoms[ident].observes)
    offered = [line.text for line in knowledge.pack.main_complaints if line.symptom == ident]
    return {"first words to the rider": [card.id for card in said_first], "offered as": offered}


def _check(knowledge: Knowledge, ident: str) -> dict[str, list[str]]:
    settles = [
        cause.id
        for cause in knowledge.causes.values()
        if any(other.settled_by == ident for other in cause.mistaken_for)
    ]
    looked = [sign.text for sign in knowledge.pack.look_signs if sign.check == ident]
    return {
        "settles a look-alike of": settles,
        "takes away": [
            f"{floor.finding} from {floor.at_least} on"
            for floor in knowledge.floors
            if ident in (floor.lifted_by or ())
        ],
        "part of the first look": [knowledge.pack.id] if ident in knowledge.pack.look else [],
        "ticked on the first look as": looked,
    }


def _part(knowledge: Knowledge, ident: str) -> dict[str, list[str]]:
    return {
        "where it sits": [c.id for c in knowledge.causes.values() if ident in c.points_to],
        "looked at by": [c.id for c in knowledge.checks.values() if ident in c.points_to],
        "handled on the sheet": [s for s in knowledge.sheets if ident in knowledge.points_to(s)],
    }


def _block(knowledge: Knowledge, ident: str) -> dict[str, list[str]]:
    first = knowledge.blocks[ident].steps[0]
    return {"on the sheet": [s for s, sheet in knowledge.sheets.items() if first in sheet.steps]}


def _stage(knowledge: Knowledge, ident: str) -> dict[str, list[str]]:
    return {
        "cures": [c.id for c in knowledge.causes.values() if ident in c.cures],
        "contained in": [s.id for s in knowledge.sheets.values() if ident in s.includes],
        "small jobs": [j.id for j in knowledge.small_jobs.values() if j.stage == ident],
    }


def _small_job(knowledge: Knowledge, ident: str) -> dict[str, list[str]]:
    return {"all it takes for": [c.id for c in knowledge.causes.values() if c.remedy.job == ident]}


def _hazard(knowledge: Knowledge, ident: str) -> dict[str, list[str]]:
    acts = set(knowledge.hazards[ident].acts)
    return {
        "met in the step of": [
            sheet.id
            for sheet in knowledge.sheets.values()
            if any(acts & {*step.does, *step.marks} for step in sheet.steps)
        ],
        "met in the check": [c.id for c in knowledge.checks.values() if acts & set(c.does)],
        "comes with the cause": [c.id for c in knowledge.causes.values() if ident in c.hazards],
    }


def _caution(knowledge: Knowledge, ident: str) -> dict[str, list[str]]:
    first = list(dict.fromkeys(f.finding for f in knowledge.floors if f.say == ident))
    return {
        "stands before the hazard": [
            h.id for h in knowledge.hazards.values() if ident in h.cautions
        ],
        "said first on hearing": first,
        "said with the start line": [knowledge.pack.id] if ident in knowledge.pack.always else [],
    }


def _source(knowledge: Knowledge, ident: str) -> dict[str, list[str]]:
    cautions = [c.id for c in knowledge.cautions.values() if c.source == ident]
    numbers = sorted({figure.card for figure in figures(knowledge) if figure.source == ident})
    return {"source of numbers of": numbers, "source of the caution": cautions}
