"""What cards say of each other: every contradiction and dangling id at once.

Each check is a pure function from the knowledge to problems with file and line.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from difflib import get_close_matches

from diagnose.errors import Problem
from diagnose.knowledge.loader import Knowledge, Lines
from diagnose.knowledge.models import ACTS, EVENTS, Sourced

__all__ = ["CHECKS", "find_problems"]

Where = tuple[str | int, ...]


def find_problems(
    knowledge: Knowledge, lines: Lines, form: Iterable[Problem] = ()
) -> list[Problem]:
    """All problems between cards.

    Parameters
    ----------
    form : problems of form; that a card names one which could not be read is no problem of its own.
    """
    unread = {f"'{problem.file.rpartition('/')[2].removesuffix('.yaml')}'" for problem in form}
    return [
        problem
        for check in CHECKS
        for problem in check(knowledge, lines)
        if not any(ident in problem.what for ident in unread)
    ]


def _near(ident: str, known: Iterable[str]) -> str:
    close = get_close_matches(ident, list(known), n=3, cutoff=0.5)
    return f"Nearest: {', '.join(close)}." if close else "Write that card or correct the id."


def _chance_problem(knowledge: Knowledge, value: object) -> str:
    """Empty if the value is a chance, else what is wrong with it."""
    if isinstance(value, Sourced):
        value = value.value
    if isinstance(value, str):
        if value in knowledge.pack.scale:
            return ""
        return f"'{value}' is neither a number nor a word of the scale."
    if isinstance(value, (int, float)) and 0.0 < value < 1.0:
        return ""
    return f"{value} is no chance: it must lie between 0 and 1, both excluded."


def ids_once(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """An id names one card, of whatever kind."""
    seen: dict[str, str] = {}
    for kind in ("causes", "findings", "symptoms", "checks", "stages"):
        for ident in getattr(knowledge, kind):
            if ident in seen:
                yield lines.problem(
                    kind, ident, ("id",), f"'{ident}' is an id in {seen[ident]} too.", "Rename it."
                )
            seen[ident] = kind


def causes_fit(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """Causes link to findings and states, cure by stages, name systems, hazards and features."""
    pack, findings = knowledge.pack, knowledge.findings
    for ident, cause in knowledge.causes.items():

        def at(path: Where, what: str, hint: str, ident: str = ident) -> Problem:
            return lines.problem("causes", ident, path, what, hint)

        if cause.system not in pack.systems:
            yield at(("system",), f"no system '{cause.system}'.", _near(cause.system, pack.systems))
        for feature in cause.needs:
            if feature not in pack.features:
                hint = _near(feature, pack.features)
                yield at(("needs", feature), f"no feature '{feature}'.", hint)
        for context, bands in cause.context.items():
            if context not in pack.contexts:
                hint = _near(context, pack.contexts)
                yield at(("context", context), f"no context '{context}'.", hint)
                continue
            known = {b.id for b in pack.contexts[context].bands}
            for band in bands:
                if band not in known:
                    yield at(("context", context, band), f"no band '{band}'.", _near(band, known))
        for finding, value in cause.links.items():
            path: Where = ("links", finding)
            if finding not in findings:
                yield at(path, f"no finding '{finding}'.", _near(finding, findings))
                continue
            yield from _link(knowledge, value, finding, path, at)
            needs = findings[finding].applies_when
            for feature, wanted in cause.needs.items():
                if needs.get(feature, wanted) != wanted:
                    yield at(path, f"'{finding}' never applies where this cause can be.", "")
        for stage, chance in cause.cures.items():
            if stage not in knowledge.stages:
                hint = _near(stage, knowledge.stages)
                yield at(("cures", stage), f"no stage '{stage}'.", hint)
            if wrong := _chance_problem(knowledge, chance):
                yield at(("cures", stage), wrong, "")
        if not cause.cures:
            yield at(("cures",), "no stage cures this cause.", "Name one.")
        for hazard in cause.hazards:
            if hazard not in knowledge.hazards:
                hint = _near(hazard, knowledge.hazards)
                yield at(("hazards",), f"no hazard '{hazard}'.", hint)
        for n, alike in enumerate(cause.mistaken_for):
            if alike.cause not in knowledge.causes:
                yield at(
                    ("mistaken_for", n),
                    f"no cause '{alike.cause}'.",
                    _near(alike.cause, knowledge.causes),
                )
            asks = {**knowledge.checks, **knowledge.symptoms}
            if alike.settled_by not in asks:
                yield at(
                    ("mistaken_for", n),
                    f"no check '{alike.settled_by}'.",
                    _near(alike.settled_by, asks),
                )
        for kind in ("typical", "near_miss"):
            for n, example in enumerate(getattr(cause, kind)):
                for ask, state in example.answers.items():
                    if wrong := _answer_problem(knowledge, ask, state):
                        yield at((kind, n), wrong, "")


def _link(
    knowledge: Knowledge,
    value: object,
    finding: str,
    path: Where,
    at: Callable[[Where, str, str], Problem],
) -> Iterator[Problem]:
    states = knowledge.findings[finding].states[1:]
    if not isinstance(value, dict):
        if wrong := _chance_problem(knowledge, value):
            yield at(path, wrong, "")
        return
    last = 1.0
    for state, chance in value.items():
        if state not in states:
            yield at((*path, state), f"'{finding}' has no state '{state}'.", _near(state, states))
        elif wrong := _chance_problem(knowledge, chance):
            yield at((*path, state), wrong, "")
    for state in states:
        if state in value and not _chance_problem(knowledge, value[state]):
            number = knowledge.chance(value[state])
            if number > last:
                yield at(
                    (*path, state),
                    f"'at least {state}' is likelier than a milder state.",
                    "Chances of at least a state fall with severity.",
                )
            last = number


def _answer_problem(knowledge: Knowledge, ask: str, state: str) -> str:
    card = knowledge.symptoms.get(ask) or knowledge.checks.get(ask)
    if card is None:
        near = _near(ask, {**knowledge.symptoms, **knowledge.checks})
        return f"example answers '{ask}', which is no symptom or check. {near}"
    if card.observes not in knowledge.findings:
        return ""  # told at that card
    states = knowledge.findings[card.observes].states
    if state not in states:
        return f"example answers {ask} with '{state}'; its states: {', '.join(states)}."
    return ""


def observers_fit(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """Symptoms and checks observe a finding and offer each of its states once."""
    for kind in ("symptoms", "checks"):
        for ident, card in getattr(knowledge, kind).items():
            finding = knowledge.findings.get(card.observes)
            if finding is None:
                yield lines.problem(
                    kind,
                    ident,
                    ("observes",),
                    f"no finding '{card.observes}'.",
                    _near(card.observes, knowledge.findings),
                )
                continue
            offered = [answer.state for answer in card.answers]
            if sorted(offered) != sorted(finding.states):
                yield lines.problem(
                    kind,
                    ident,
                    ("answers",),
                    f"the answers must be the states {', '.join(finding.states)}, each once.",
                    "",
                )
            if kind == "symptoms":
                for state in card.phrases:
                    if state not in finding.states:
                        yield lines.problem(
                            kind,
                            ident,
                            ("phrases", state),
                            f"'{card.observes}' has no state '{state}'.",
                            _near(state, finding.states),
                        )
            elif unmet := [
                f
                for f, s in card.only_if.items()
                if f not in knowledge.findings or s not in knowledge.findings[f].states[1:]
            ]:
                what = f"no ill state of '{unmet[0]}'."
                yield lines.problem(kind, ident, ("only_if",), what, "")
            elif card.reading and sorted(card.reading.states) != sorted(finding.states):
                yield lines.problem(
                    kind, ident, ("reading",), "needs a distribution for each state, no other.", ""
                )
            reliability = card.customer if kind == "symptoms" else card.reliability
            for name in ("hit", "false_alarm", "grade"):
                if wrong := _chance_problem(knowledge, getattr(reliability, name)):
                    yield lines.problem(kind, ident, ("reliability", name), wrong, "")


def findings_fit(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """Leaks name states and fall with severity."""
    for ident, card in knowledge.findings.items():

        def at(path: Where, what: str, hint: str, ident: str = ident) -> Problem:
            return lines.problem("findings", ident, path, what, hint)

        yield from _link(knowledge, dict(card.leak), ident, ("leak",), at)
        for feature in card.applies_when:
            if feature not in knowledge.pack.features:
                yield at(
                    ("applies_when", feature),
                    f"no feature '{feature}'.",
                    _near(feature, knowledge.pack.features),
                )


def stages_fit(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """Stages include stages."""
    for ident, stage in knowledge.stages.items():
        for name in stage.includes:
            if name not in knowledge.stages:
                yield lines.problem(
                    "stages",
                    ident,
                    ("includes",),
                    f"no stage '{name}'.",
                    _near(name, knowledge.stages),
                )


def hazards_fit(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """Hazards name cautions, findings, and acts that something on some card can do."""
    marks = {mark for s in knowledge.stages.values() for step in s.steps for mark in step.marks}
    acts = EVENTS | ACTS | marks
    for ident, hazard in knowledge.hazards.items():
        for name, known in (("acts", acts), ("findings", knowledge.findings)):
            for word in getattr(hazard, name):
                if word not in known:
                    what = f"no {name.removesuffix('s')} '{word}'."
                    yield lines.problem("hazards", ident, (name,), what, _near(word, known))
        for caution in hazard.cautions:
            if caution not in knowledge.cautions:
                yield lines.problem(
                    "hazards",
                    ident,
                    ("cautions",),
                    f"no caution '{caution}'.",
                    _near(caution, knowledge.cautions),
                )


def pack_fits(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """Scale, shares, the look and main complaints of the pack."""
    pack = knowledge.pack

    def at(path: Where, what: str, hint: str) -> Problem:
        return lines.problem("pack", "", path, what, hint)

    for word, number in pack.scale.items():
        if not 0.0 < number < 1.0:
            yield at(("scale", word), f"{number} is no chance: it must lie between 0 and 1.", "")
    for feature, share in pack.features.items():
        if not 0.0 < share < 1.0:
            yield at(("features", feature), f"{share} is no share between 0 and 1.", "")
    for n, ident in enumerate(pack.look):
        if ident not in knowledge.checks:
            yield at(("look", n), f"no check '{ident}'.", _near(ident, knowledge.checks))
    for n, seen in enumerate(pack.look_signs):
        if wrong := _answer_problem(knowledge, seen.check, seen.state):
            yield at(("look_signs", n), wrong, "")
    for n, line in enumerate(pack.main_complaints):
        if wrong := _answer_problem(knowledge, line.symptom, line.state):
            yield at(("main_complaints", n), wrong, "")
    for name, context in pack.contexts.items():
        total = sum(band.share for band in context.bands)
        if abs(total - 1.0) > 1e-6:
            yield at(("contexts", name), f"the shares of its bands add up to {total:g}, not 1.", "")


def floors_fit(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """Floors name findings, states, outcomes and checks; what forbids opening says what clears it.

    A floor that forbids opening is cleared by a check at the bench that lets nothing out and opens
    nothing, and a caution is said for it before any question.
    """
    pack = knowledge.pack
    for n, floor in enumerate(knowledge.floors):

        def at(path: Where, what: str, hint: str, n: int = n) -> Problem:
            return lines.problem("floors", str(n), path, what, hint)

        finding = knowledge.findings.get(floor.finding)
        if finding is None:
            near = _near(floor.finding, knowledge.findings)
            yield at(("finding",), f"no finding '{floor.finding}'.", near)
            continue
        if floor.at_least not in finding.states[1:]:
            near = _near(floor.at_least, finding.states[1:])
            yield at(("at_least",), f"no ill state '{floor.at_least}'.", near)
        if floor.at_most is not None and floor.at_most not in finding.states[1:]:
            near = _near(floor.at_most, finding.states[1:])
            yield at(("at_most",), f"no ill state '{floor.at_most}'.", near)
        if floor.until_asked is not None and floor.until_asked not in knowledge.findings:
            near = _near(floor.until_asked, knowledge.findings)
            yield at(("until_asked",), f"no finding '{floor.until_asked}'.", near)
        if floor.say is not None and floor.say not in knowledge.cautions:
            yield at(("say",), f"no caution '{floor.say}'.", _near(floor.say, knowledge.cautions))
        if floor.stage is not None and floor.stage not in knowledge.stages:
            near = _near(floor.stage, knowledge.stages)
            yield at(("stage",), f"no stage '{floor.stage}'.", near)
        if floor.ride == "ride" and not floor.forbids and floor.stage is None:
            yield at((), "this floor forbids nothing.", "Say what stands, or take the row away.")
        for check in floor.lifted_by or ():
            card = knowledge.checks.get(check)
            if card is None:
                yield at(("lifted_by",), f"no check '{check}'.", _near(check, knowledge.checks))
            elif "open" in floor.forbids and {"vented", "opened"} & set(card.does):
                hint = "Clear without opening anything."
                yield at(("lifted_by",), f"'{check}' lets gas out to clear it.", hint)
        if "open" not in floor.forbids:
            continue
        lifts = [knowledge.checks[c] for c in floor.lifted_by or () if c in knowledge.checks]
        if floor.lifted_by is None or (lifts and not any(c.at == "bench" for c in lifts)):
            hint = "Name the bench checks that clear it."
            yield at(("lifted_by",), "what forbids opening is cleared at the bench only.", hint)
        if floor.say is None:
            yield at((), "what forbids opening is said before any question.", "Name it in 'say'.")
    over = pack.over_maximum
    if over is not None:
        states = (
            knowledge.findings[over.finding].states if over.finding in knowledge.findings else []
        )
        if over.state not in states[1:]:
            yield lines.problem(
                "pack",
                "",
                ("over_maximum",),
                f"no ill state '{over.state}' of '{over.finding}'.",
                "",
            )


def orders_hold(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """What an expert is sure of: one cause shows a finding more often than another."""
    for n, order in enumerate(knowledge.orders):
        if order.finding not in knowledge.findings:
            hint = _near(order.finding, knowledge.findings)
            yield lines.problem("orders", str(n), (), f"no finding '{order.finding}'.", hint)
            continue
        chances = []
        for cause in (order.more, order.less):
            if cause not in knowledge.causes:
                yield lines.problem(
                    "orders",
                    str(n),
                    (),
                    f"no cause '{cause}'.",
                    _near(cause, knowledge.causes),
                )
                break
            chances.append(_at_least(knowledge, cause, order.finding, order.state))
        else:
            if not chances[0] > chances[1]:
                yield lines.problem(
                    "orders",
                    str(n),
                    (),
                    f"{order.more} shows {order.finding} '{order.state}' with {chances[0]:g},"
                    f" {order.less} with {chances[1]:g}; the order says more.",
                    "Correct the cards or the order.",
                )


def _at_least(knowledge: Knowledge, cause: str, finding: str, state: str) -> float:
    value = knowledge.causes[cause].links.get(finding)
    if isinstance(value, dict):
        value = value.get(state)
    # What is no chance is a problem of the cause's own card.
    if value is None or _chance_problem(knowledge, value):
        return 0.0
    return knowledge.chance(value)


def sources_exist(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """Every card's source, and every source of a single number, is in sources.yaml."""
    for kind in ("findings", "causes", "symptoms", "checks", "stages", "cautions"):
        for ident, card in getattr(knowledge, kind).items():
            names = {card.source}
            for value in getattr(card, "links", {}).values():
                parts = value.values() if isinstance(value, dict) else [value]
                names |= {part.source for part in parts if isinstance(part, Sourced)}
            for name in sorted(names - knowledge.sources.keys()):
                yield lines.problem(
                    kind, ident, ("source",), f"no source '{name}'.", _near(name, knowledge.sources)
                )


CHECKS: tuple[Callable[[Knowledge, Lines], Iterator[Problem]], ...] = (
    ids_once,
    causes_fit,
    findings_fit,
    observers_fit,
    stages_fit,
    hazards_fit,
    pack_fits,
    floors_fit,
    orders_hold,
    sources_exist,
)
