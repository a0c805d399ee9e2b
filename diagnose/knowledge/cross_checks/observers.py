"""Symptoms and checks against the finding that they observe."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from diagnose.errors import Problem
from diagnose.knowledge.cross_checks.common import chance_problem, near
from diagnose.knowledge.loader import Knowledge, Lines
from diagnose.knowledge.models import Check, Finding, Symptom

__all__ = ["observers_fit"]


def _distributions(
    check: Check, finding: Finding
) -> Iterator[tuple[tuple[str | int, ...], str, Iterable[str]]]:
    """Place, finding and states of each distribution of a measuring check."""
    reading = check.reading
    assert reading is not None
    if reading.shows is None:
        yield ("states",), finding.id, reading.states
    else:
        yield ("rates",), finding.id, reading.rates
    if reading.instead is not None:
        yield ("instead", "states"), finding.id, reading.instead.states
    for n, said in enumerate(reading.also):
        yield ("also", n, "states"), said.finding, said.states


def _answers_say(
    knowledge: Knowledge, kind: str, card: Symptom | Check, lines: Lines
) -> Iterator[Problem]:
    """What an answer says besides is a state of a finding, and none leaves the check's own open."""
    for n, answer in enumerate(card.answers):
        where = ("answers", n, "says")
        if answer.says and isinstance(card, Symptom):
            what = "says: one question to a customer asks for one finding."
            yield lines.problem(kind, card.id, where, what, "Write a symptom of its own.")
            continue
        own = knowledge.findings[card.observes].states
        if answer.says and answer.state not in own and card.observes not in answer.says:
            what = f"says: '{answer.state}' does not say what it means of '{card.observes}'."
            yield lines.problem(kind, card.id, where, what, f"Its states: {', '.join(own)}.")
        for finding, state in answer.says.items():
            if finding not in knowledge.findings:
                hint = near(finding, knowledge.findings)
                yield lines.problem(kind, card.id, where, f"says: no finding '{finding}'.", hint)
            elif state not in (states := knowledge.findings[finding].states):
                what = f"says: '{finding}' has no state '{state}'."
                yield lines.problem(kind, card.id, where, what, near(state, states))


_A_CHANCE = "Write a word of the scale, or a number between 0 and 1."


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
                    near(card.observes, knowledge.findings),
                )
                continue
            yield from _answers_say(knowledge, kind, card, lines)
            own = [a.state for a in card.answers if a.state in finding.states or not a.says]
            offered = [answer.state for answer in card.answers]
            if sorted(own) != sorted(finding.states) or len({*offered}) < len(offered):
                yield lines.problem(
                    kind,
                    ident,
                    ("answers",),
                    f"the answers must be the states {', '.join(finding.states)}, each once.",
                    "Write one answer for each.",
                )
            if kind == "symptoms":
                for state in card.phrases:
                    if state not in finding.states:
                        yield lines.problem(
                            kind,
                            ident,
                            ("phrases", state),
                            f"'{card.observes}' has no state '{state}'.",
                            near(state, finding.states),
                        )
            elif card.reading:
                for path, of, states in _distributions(card, finding):
                    whose = knowledge.findings.get(of)
                    wanted = whose.states if whose else []
                    if sorted(states) != sorted(wanted):
                        what = "needs a distribution for each state, no other."
                        hint = (
                            f"States: {', '.join(wanted)}."
                            if whose
                            else near(of, knowledge.findings)
                        )
                        yield lines.problem(kind, ident, ("reading", *path), what, hint)
            reliability = card.customer if kind == "symptoms" else card.reliability
            place = "customer" if kind == "symptoms" else "reliability"
            for name in ("hit", "false_alarm", "grade"):
                if wrong := chance_problem(knowledge, getattr(reliability, name)):
                    yield lines.problem(kind, ident, (place, name), wrong, _A_CHANCE)
            pair = (reliability.hit, reliability.false_alarm)
            if not any(chance_problem(knowledge, value) for value in pair):
                hit, alarm = map(knowledge.chance, pair)
                if hit <= alarm:
                    what = f"hit: {hit:g} is no more than its false_alarm {alarm:g}."
                    hint = "A witness says it more often when it is there: exchange or correct."
                    yield lines.problem(kind, ident, (place, "hit"), what, hint)
            for feature, wanted in card.applies_when.items():
                if feature not in knowledge.pack.features:
                    what = f"applies_when: no feature '{feature}'."
                    hint = near(feature, knowledge.pack.features)
                    yield lines.problem(kind, ident, ("applies_when", feature), what, hint)
                elif finding.applies_when.get(feature, wanted) != wanted:
                    what = f"applies_when: '{card.observes}' never applies there."
                    hint = "Say the same of the feature as the finding does."
                    yield lines.problem(kind, ident, ("applies_when", feature), what, hint)
