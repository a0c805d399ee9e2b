"""Frame questions against the symptoms that they ask for, and conditions against the device."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.errors import Problem
from diagnose.knowledge.cross_checks.common import chance_problem, near
from diagnose.knowledge.loader import Knowledge, Lines

__all__ = ["conditions_fit", "frames_fit", "told_are_chances"]

_REPORTERS = ("customer", "counter", "bench")


def frames_fit(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """A frame asks for ill states of symptoms that are asked, or of looks; each stands in one."""
    asked = {ident: card for ident, card in knowledge.symptoms.items() if card.ask}
    looks = {ident: card for ident, card in knowledge.checks.items() if card.at == "counter"}
    framed: dict[str, str] = {}
    for ident, frame in knowledge.frames.items():
        kind = asked if frame.rows[0].ask in asked else looks
        for n, row in enumerate(frame.rows):
            where = ("rows", n)
            if row.ask not in kind:
                what = f"no symptom that is asked, or no look as the others, '{row.ask}'."
                yield lines.problem("frames", ident, where, what, near(row.ask, kind))
                continue
            observes = kind[row.ask].observes
            if observes not in knowledge.findings:
                continue  # told at that card
            states = knowledge.findings[observes].states
            if row.state not in states[1:]:
                what = f"'{row.state}' is no ill state of {observes}."
                yield lines.problem("frames", ident, where, what, near(row.state, states[1:]))
            if framed.setdefault(row.ask, ident) != ident:
                what = f"'{row.ask}' stands in the frame '{framed[row.ask]}', too."
                yield lines.problem("frames", ident, where, what, "What is asked has one frame.")


def conditions_fit(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """What a check needs is a condition of the device, and events of it make and spoil one."""
    device = knowledge.device
    for name, condition in device.conditions.items():
        for part in ("made_by", "spoiled_by"):
            for event in getattr(condition, part):
                if event not in device.events:
                    where = ("conditions", name, part)
                    what = f"conditions: no event '{event}'."
                    yield lines.problem("device", "", where, what, near(event, device.events))
    for ident, check in knowledge.checks.items():
        for need in check.needs:
            if need not in device.conditions:
                what = f"needs: no condition '{need}' of the device."
                hint = near(need, device.conditions)
                yield lines.problem("checks", ident, ("needs",), what, hint)


def told_are_chances(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """How often people can answer, and name it of themselves, is a chance, on cards and of the
    pack's reporters.
    """
    for kind in ("symptoms", "checks", "frames"):
        for ident, card in getattr(knowledge, kind).items():
            for field in ("known", "named"):
                chance = getattr(card, field, None)
                if chance is not None and (wrong := chance_problem(knowledge, chance)):
                    yield lines.problem(kind, ident, (field,), wrong)
    groups = tuple(sorted({finding.group for finding in knowledge.findings.values()}))
    reporters = knowledge.pack.reporters
    for field, names, word in (("known", _REPORTERS, "reporter"), ("named", groups, "group")):
        for name, chance in getattr(reporters, field).items():
            if name not in names:
                what = f"there is no {word} '{name}'."
                yield lines.problem("pack", "", ("reporters", field), what, near(name, names))
            elif wrong := chance_problem(knowledge, chance):
                yield lines.problem("pack", "", ("reporters", field, name), wrong)
