"""The debrief of a training session: as text for the screen, and as one page to print.

Rules
-----
- The apprentice's path stands beside the best one, step by step, with what each choice cost.
- Safety lapses come first and are no part of the score.
- The truth is told here and nowhere before; of two that look alike, both at once.
- On the screen what matters comes first, in parts that can be read one by one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import zip_longest

from diagnose.belief.compiled import UNLISTED
from diagnose.pictures.chart import Chart
from diagnose.pictures.cross_section import Section
from diagnose.pictures.cross_section_svg import section_svg
from diagnose.pictures.cross_section_text import section_text
from diagnose.pictures.svg import chart_svg
from diagnose.pictures.text import chart_text
from diagnose.reports.html import Html, bullets, join, table, tag
from diagnose.reports.judgement_text import wrapped
from diagnose.reports.page import page
from diagnose.reports.pointing import section_of
from diagnose.training.calling import NO_FAULT, RIDES
from diagnose.training.decisive import Decisive, decisive, not_asked
from diagnose.training.mistaken_cause import Fooled, fooled, settling
from diagnose.training.moment import CLASSES, Coach
from diagnose.training.scenario import Scenario, skill_of
from diagnose.training.scoring import Result, Step
from diagnose.training.showing import said

__all__ = ["Run", "belief_chart", "debrief_page", "debrief_sections"]

#: suspects in the picture, the truth first
_DRAWN = 4

#: lines of the cut-open drawing, so that it stands on one page of a small screen
_ROWS = 15

#: confidence beyond what the evidence gives that is worth a word in the verdict
_TOO_SURE = 0.3

#: chance below which no figure is given
_RARE = 0.01

#: regret from which a better choice is named [currency]
_WORTH = 0.5


@dataclass(frozen=True)
class Run:
    """One scenario that was played. ``best``: the session of the best path on it."""

    scenario: Scenario
    result: Result
    best: Result


def _name(coach: Coach, cause: str) -> str:
    if cause in (UNLISTED, NO_FAULT):
        return "none of these" if cause == UNLISTED else "nothing wrong"
    return coach.knowledge.causes[cause].name


def belief_chart(coach: Coach, scenario: Scenario, result: Result) -> Chart:
    """Chance of the truth and of its strongest rivals before each step."""
    top: dict[str, float] = {}
    for step in result.steps:
        for cause, chance in step.belief.items():
            top[cause] = max(top.get(cause, 0.0), chance)
    truth = scenario.truth or (NO_FAULT,)
    rivals = sorted((c for c in top if c not in truth), key=lambda c: -top[c])
    drawn = [*truth, *rivals][:_DRAWN]
    series = tuple(
        (
            f"{_name(coach, cause)}{' (the truth)' if cause in truth else ''}",
            tuple(
                (float(n), round(100.0 * step.belief.get(cause, 0.0), 1))
                for n, step in enumerate(result.steps)
            ),
        )
        for cause in drawn
    )
    last = result.steps[-1].belief
    said = "; ".join(f"{_name(coach, c)} {100.0 * last.get(c, 0.0):.0f} %" for c in drawn)
    return Chart(
        "What the evidence said, step by step",
        f"At the call: {said}.",
        "answers in hand",
        "chance [%]",
        series,
    )


def _verdict(result: Result) -> str:
    score = f"Score {result.score:.0f} of 100"
    if result.lapses:
        words = f"{score}, and not passed: it was not safe."
    else:
        words = f"{score}, {'passed' if result.passed else 'not passed yet'}."
    if result.call.sure - result.call.chance > _TOO_SURE:
        words += " You were much surer of the cause than what you knew allows."
    return words


def _truth(coach: Coach, scenario: Scenario) -> str:
    names = " and ".join(_name(coach, cause) for cause in scenario.truth)
    known = [coach.knowledge.causes[cause] for cause in scenario.truth if cause != UNLISTED]
    teaching = scenario.teaching or " ".join(card.about for card in known)
    return " ".join(f"It was: {names or 'nothing wrong with it'}. {teaching}".split())


def _spent(coach: Coach, result: Result, best: Result) -> str:
    """What finding out took on either path."""
    money = coach.money.currency
    mine, other = (sum(step.price for step in run.steps) for run in (result, best))
    return f"Finding out took you {mine:.0f} {money}; on the best path {other:.0f} {money}."


def _call_lines(coach: Coach, result: Result) -> list[tuple[str, str, str]]:
    """(what, said, what the evidence warranted)."""
    call, sheets = result.call, coach.knowledge.sheets
    named = " + ".join(_name(coach, c) for c in call.causes) or "nothing wrong"
    belief = result.steps[-1].belief
    likeliest = _name(coach, max(belief, key=lambda cause: belief[cause]))
    so = "so" if call.right else "not so"
    return [
        (
            "work",
            " + ".join(sheets[s].name for s in call.work),
            " + ".join(sheets[s].name for s in call.best_work),
        ),
        ("ride", RIDES[call.ride], RIDES[call.best_ride]),
        ("cause", named, f"likeliest: {likeliest}. What was said is {so}"),
        (
            "confidence",
            f"{100.0 * call.sure:.0f} %",
            f"{100.0 * call.chance:.0f} % (Brier score {call.brier:.2f}; 0 is best)",
        ),
    ]


def _place(coach: Coach, scenario: Scenario) -> Section | None:
    """Where it sat; the shock as it came in, so that every chamber may hold pressure."""
    knowledge = coach.knowledge
    parts = [part for cause in scenario.truth for part in knowledge.points_to(cause)]
    return section_of(knowledge, parts, title="It sat here")


def _decisive_words(coach: Coach, run: Run) -> list[str]:
    """The answer that counted most, and the one that was not asked for."""

    def told(one: Decisive) -> str:
        answer = said(one.step.name, one.step.told).rstrip(".")
        chances = f"{_percent(one.before)} to {_percent(one.after)}"
        return f"“{answer}” took “{_name(coach, one.cause)}” from {chances}."

    mine, best, truth = run.result.steps, run.best.steps, run.scenario.truth
    own, missed = decisive(mine, truth), not_asked(mine, best, truth)
    lines = ["Nothing that you asked spoke for what it was."]
    if own is not None:
        lines = [f"What told you most: {told(own)}"]
    if missed is not None:
        lines.append(f"The question to ask, and you did not: {told(missed)}")
    return lines


def _percent(chance: float) -> str:
    """A chance as people say it.

    >>> _percent(0.004), _percent(0.25)
    ('below 1 %', '25 %')
    """
    return f"{100.0 * chance:.0f} %" if chance >= _RARE else "below 1 %"


def _fooled_words(coach: Coach, found: Fooled | None) -> str:
    if found is None:
        return ""
    how = f" {found.how}" if found.how else ""
    settled = _check(coach, found.check)
    return f"Looks alike: {_name(coach, found.taken)}. What settles it: {settled}.{how}"


def _step_words(step: Step, currency: str) -> str:
    beyond = f"{step.regret:.0f} {currency} beyond the best"
    return f"{CLASSES[step.kind]}; {beyond if step.regret >= _WORTH else 'among the best'}"


def debrief_sections(
    coach: Coach, runs: Sequence[Run], width: int = 80, *, plain: bool = False
) -> list[str]:
    """The debrief in parts, each lines of at most ``width`` columns.

    Parameters
    ----------
    runs : one, or two that look alike. plain : ASCII pictures.
    """
    parts = []
    for number, run in enumerate(runs, 1):
        head = [f"Number {number} of {len(runs)}", ""] if len(runs) > 1 else []
        parts.append([*head, *_outcome(coach, run, width)])
        parts.append(_steps(coach, run, width))
        if (place := _place(coach, run.scenario)) is not None:
            parts.append(section_text(place, width, _ROWS))
        if len(run.result.steps) > 1:
            parts.append(_drawn(coach, run, width, plain=plain))
    if len(runs) > 1:
        parts.append(wrapped(_told_apart(coach, runs), width))
    return ["\n".join(lines) for lines in parts]


def _outcome(coach: Coach, run: Run, width: int) -> list[str]:
    """Score, safety, truth, the call, and what it looks like."""
    lines = wrapped(_verdict(run.result), width)
    for words in _lapses(run.result):
        lines += wrapped(words, width, "SAFETY: ", "  ")
    lines += ["", *wrapped(_truth(coach, run.scenario), width), "", "The call"]
    for what, answer, warranted in _call_lines(coach, run.result):
        lines += wrapped(f"{answer}. By what you knew: {warranted}.", width, f"{what}: ", "  ")
    likeness = [_fooled_words(coach, fooled(coach, run.scenario.truth, run.result))]
    for told in filter(None, [*_decisive_words(coach, run), *likeness]):
        lines += ["", *wrapped(told, width)]
    return lines


def _steps(coach: Coach, run: Run, width: int) -> list[str]:
    """Both paths, one after the other."""
    money, result = coach.money.currency, run.result
    lines = ["Your path"]
    for n, step in enumerate(result.steps, 1):
        lines += wrapped(said(step.name, step.told), width, f"{n:>2} ")
        lines += wrapped(_step_words(step, money), width, "     ")
        if step.regret >= _WORTH and step.best != step.name:
            lines += wrapped(f"better: {step.best}", width, "     ")
    if result.hints:
        lines += wrapped(_hints(result, money), width)
    lines += ["", "The best path"]
    for n, step in enumerate(run.best.steps, 1):
        lines += wrapped(said(step.name, step.told), width, f"{n:>2} ")
    return [*lines, "", *wrapped(_spent(coach, result, run.best), width)]


def _drawn(coach: Coach, run: Run, width: int, *, plain: bool) -> list[str]:
    chart = belief_chart(coach, run.scenario, run.result)
    lines: list[str] = []
    # The names in the key are as long as they are; the plot itself keeps to the width.
    for line in chart_text(chart, max(min(width, 80), 30), 10, plain=plain).splitlines():
        lines += wrapped(line, width, rest="  ") if len(line) > width else [line]
    return lines


def _told_apart(coach: Coach, runs: Sequence[Run]) -> str:
    """What tells a pair apart."""
    one, other = (run.scenario.truth[0] for run in runs[:2])
    check, how = settling(coach, one, other)
    words = f"Both came in with the same words. What tells them apart: {_check(coach, check)}."
    return f"{words} {how}".strip()


def _check(coach: Coach, ident: str) -> str:
    card = coach.knowledge.checks[ident]
    return f"“{card.name}”, at the {card.at}"


def _lapses(result: Result) -> list[str]:
    """What was done and what would have come of it; the same consequence is told once."""
    lines, told = [], set[str]()
    for lapse in result.lapses:
        words = [lapse.what, "The same would have come of it" if lapse.told in told else lapse.told]
        told.add(lapse.told)
        lines.append(" ".join(f"{w[:1].upper()}{w[1:].rstrip('.')}." for w in words))
    return lines


def _hints(result: Result, money: str) -> str:
    count = len(result.hints)
    return f"{count} hint{'s' if count > 1 else ''}: {sum(result.hints):.0f} {money}."


def _paths(mine: Sequence[Step], best: Sequence[Step], currency: str) -> Html:
    """Both paths beside one another, a row for each step."""
    rows = []
    for n, (own, other) in enumerate(zip_longest(mine, best), 1):
        worth = ""
        if own is not None:
            worth = f"{_step_words(own, currency)}."
            if own.regret >= _WORTH and own.best != own.name:
                worth = f"{worth} Better: {own.best}"
        rows.append([_done(n, own, worth), _done(n, other)])
    return table(["Your path, and what it was worth", "The best path"], rows)


def _done(number: int, step: Step | None, worth: str = "") -> Html:
    if step is None:
        return Html()
    lines = [join([tag("b", f"{number} {step.name}"), step.told], " ")]
    return join([*lines, tag("em", worth)] if worth else lines, tag("br"))


def debrief_page(coach: Coach, runs: Sequence[Run], who: str = "", when: str = "") -> str:
    """The debrief as one complete page; two that look alike on one page."""
    parts: list[Html] = []
    for number, run in enumerate(runs, 1):
        if len(runs) > 1:
            parts.append(tag("h2", f"Number {number} of {len(runs)}"))
        parts += _parts(coach, run)
    if len(runs) > 1:
        parts += [tag("h2", "What tells them apart"), tag("p", _told_apart(coach, runs))]
    first = runs[0].scenario
    skill = skill_of(coach.knowledge, first.skill)
    ids = ", ".join(run.scenario.id for run in runs)
    foot = " · ".join(part for part in (who, when, ids, skill) if part)
    return page("Debrief", *parts, foot=f"{foot} · knowledge {coach.knowledge.fingerprint}")


def _parts(coach: Coach, run: Run) -> list[Html]:
    money, result = coach.money.currency, run.result
    lapses = _lapses(result)
    words = _fooled_words(coach, fooled(coach, run.scenario.truth, result))
    picture = Html()
    if len(result.steps) > 1:
        picture = Html(chart_svg(belief_chart(coach, run.scenario, result), 480.0, 280.0))
    return [
        tag("p", f"“{run.scenario.complaint}”", class_="lead"),
        tag("p", tag("b", _verdict(result))),
        tag("div", tag("p", "Safety", class_="signal"), bullets(lapses), class_="said WARNING")
        if lapses
        else Html(),
        tag("p", _truth(coach, run.scenario)),
        Html(section_svg(place, named="marked"))
        if (place := _place(coach, run.scenario)) is not None
        else Html(),
        # The drawing of the shock with the faulty part marked belongs here.
        *(tag("p", told) for told in _decisive_words(coach, run)),
        tag("p", words) if words else Html(),
        tag("h3", "The call"),
        table(["Part", "You said", "By what you knew"], _call_lines(coach, result)),
        picture,
        tag("h3", "Step by step"),
        tag("p", _spent(coach, result, run.best)),
        _paths(result.steps, run.best.steps, money),
        tag("p", _hints(result, money)) if result.hints else Html(),
    ]
