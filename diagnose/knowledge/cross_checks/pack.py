"""The pack's own lists and numbers."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.errors import Problem
from diagnose.knowledge.cross_checks.common import Where, answer_problem, near
from diagnose.knowledge.loader import Knowledge, Lines
from diagnose.knowledge.models import reports_of

__all__ = ["pack_fits"]


def _ill(knowledge: Knowledge, check: str, state: str) -> bool:
    """The answer reports something that is not as it should be."""
    said = reports_of(knowledge.checks[check], state)
    return any(s != knowledge.findings[f].states[0] for f, s in said.items())


def pack_fits(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """Scale, shares, the look and main complaints of the pack."""
    pack = knowledge.pack

    def at(path: Where, what: str, hint: str) -> Problem:
        return lines.problem("pack", "", path, what, hint)

    if list(pack.scale.values()) != sorted(set(pack.scale.values())):
        yield at(("scale",), "its numbers do not rise from word to word.", "Put them in order.")
    for word, number in pack.scale.items():
        if not 0.0 < number < 1.0:
            yield at(("scale", word), f"{number} is no chance: it must lie between 0 and 1.", "")
    if pack.hearing.asked >= pack.hearing.counts:
        what = "hearing: what is asked about must be less sure than what counts."
        yield at(("hearing",), what, "Put 'asked' below 'counts'.")
    for feature, share in pack.features.items():
        if not 0.0 < share < 1.0:
            yield at(("features", feature), f"{share} is no share between 0 and 1.", "")
    for n, sight in enumerate(pack.first_sight):
        for name in (sight.feature, *sight.implies):
            if name not in pack.features:
                what = f"first_sight: no feature '{name}'."
                yield at(("first_sight", n), what, near(name, pack.features))
        if sight.feature in [other.feature for other in pack.first_sight[:n]]:
            what = f"first_sight: '{sight.feature}' stands here twice."
            yield at(("first_sight", n), what, "Keep one.")
    for n, ident in enumerate(pack.look):
        if ident not in knowledge.checks:
            yield at(("look", n), f"no check '{ident}'.", near(ident, knowledge.checks))
        elif knowledge.checks[ident].at != "counter" or knowledge.checks[ident].place is None:
            what = f"look: '{ident}' is no look at a place, made at the counter."
            yield at(("look", n), what, "Name one with 'at: counter' and a 'place'.")
        if ident in pack.look[:n]:
            yield at(("look", n), f"look: '{ident}' stands here twice.", "Keep one.")
    for n, seen in enumerate(pack.look_signs):
        if wrong := answer_problem(knowledge, seen.check, seen.state):
            yield at(("look_signs", n), f"look_signs: {wrong}", "Name one of them.")
        elif seen.check not in knowledge.checks or knowledge.checks[seen.check].at != "counter":
            what = f"look_signs: '{seen.check}' is no check at the counter."
            yield at(("look_signs", n), what, "Name a look.")
        elif not _ill(knowledge, seen.check, seen.state):
            what = f"look_signs: '{seen.state}' is the healthy state of {seen.check}."
            yield at(("look_signs", n), what, "Name a state that is a sign.")
    for n, ident in enumerate(pack.as_found):
        if ident not in knowledge.checks and ident not in knowledge.frames:
            nearest = near(ident, {*knowledge.checks, *knowledge.frames})
            yield at(("as_found", n), f"as_found: no check or frame '{ident}'.", nearest)
    for n, line in enumerate(pack.main_complaints):
        if wrong := answer_problem(knowledge, line.symptom, line.state):
            yield at(("main_complaints", n), wrong, "")
    for name, context in pack.contexts.items():
        limits = [band.below for band in context.bands if band.below is not None]
        words = [band.value for band in context.bands if band.value is not None]
        if limits and (
            words
            or len(limits) != len(context.bands) - 1
            or context.bands[-1].below is not None
            or limits != sorted(set(limits))
        ):
            hint = "Each band but the last has a 'below', and they rise."
            yield at(("contexts", name, "bands"), "its bands do not follow on each other.", hint)
        if not limits and len(set(words)) != len(context.bands):
            hint = "Give each band a 'value' of its own, or each but the last a 'below'."
            yield at(("contexts", name, "bands"), "its bands cannot be told apart.", hint)
        total = sum(band.share for band in context.bands)
        if abs(total - 1.0) > 1e-6:
            yield at(("contexts", name), f"the shares of its bands add up to {total:g}, not 1.", "")
