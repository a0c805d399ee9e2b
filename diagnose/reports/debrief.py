"""The debrief of a training session: as text for the screen, and as one page to print.

Rules
-----
- The apprentice's path stands beside the best one, step by step, with what each choice cost.
- Safety lapses come first and are no part of the score.
- The truth is told here and nowhere before.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest

from diagnose.belief.compiled import UNLISTED
from diagnose.pictures.chart import Chart
from diagnose.pictures.svg import chart_svg
from diagnose.pictures.text import chart_text
from diagnose.reports.html import Html, bullets, join, table, tag
from diagnose.reports.judgement_text import wrapped
from diagnose.reports.page import page
from diagnose.training.calling import RIDES
from diagnose.training.fooled import Fooled, fooled
from diagnose.training.moment import CLASSES, Coach
from diagnose.training.scenario import Scenario, skill_of
from diagnose.training.scoring import Result, Step

__all__ = ["belief_chart", "debrief_page", "debrief_text"]

#: suspects in the picture, the truth first
_DRAWN = 4


def _name(coach: Coach, cause: str) -> str:
    return "none of these" if cause == UNLISTED else coach.knowledge.causes[cause].name


def belief_chart(coach: Coach, scenario: Scenario, result: Result) -> Chart:
    """Chance of the truth and of its strongest rivals before each step."""
    top: dict[str, float] = {}
    for step in result.steps:
        for cause, chance in step.belief.items():
            top[cause] = max(top.get(cause, 0.0), chance)
    rivals = sorted((c for c in top if c not in scenario.truth), key=lambda c: -top[c])
    drawn = [*scenario.truth, *rivals][:_DRAWN]
    series = tuple(
        (
            f"{_name(coach, cause)}{' (the truth)' if cause in scenario.truth else ''}",
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
    if result.lapses:
        return f"Score {result.score:.0f} of 100, and not passed: it was not safe."
    return f"Score {result.score:.0f} of 100, {'passed' if result.passed else 'not passed yet'}."


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
    call, stages = result.call, coach.knowledge.stages
    named = " + ".join(_name(coach, c) for c in call.causes) or "nothing wrong"
    belief = result.steps[-1].belief
    likeliest = _name(coach, max(belief, key=lambda cause: belief[cause]))
    so = "so" if call.right else "not so"
    return [
        (
            "work",
            " + ".join(stages[s].name for s in call.stages),
            " + ".join(stages[s].name for s in call.best_stages),
        ),
        ("ride", RIDES[call.ride], RIDES[call.best_ride]),
        ("cause", named, f"likeliest: {likeliest}. What was said is {so}"),
        (
            "confidence",
            f"{100.0 * call.sure:.0f} %",
            f"{100.0 * call.chance:.0f} % (Brier score {call.brier:.2f}; 0 is best)",
        ),
    ]


def _fooled_words(coach: Coach, found: Fooled | None) -> str:
    if found is None:
        return ""
    check = coach.knowledge.checks[found.check].name
    how = f" {found.how}" if found.how else ""
    return f"Looks alike: {_name(coach, found.taken)}. What settles it: {check}.{how}"


def _step_words(step: Step, currency: str) -> str:
    beyond = f"{step.regret:.0f} {currency} beyond the best"
    return f"{CLASSES[step.kind]}; {beyond if step.regret >= 0.5 else 'among the best'}"


def debrief_text(
    coach: Coach,
    scenario: Scenario,
    result: Result,
    best: Result,
    width: int = 80,
    *,
    plain: bool = False,
) -> str:
    """The debrief in lines of at most ``width`` columns.

    Parameters
    ----------
    best : the session of the best path on the same scenario. plain : ASCII pictures.
    """
    money = coach.money.currency
    lines = [_verdict(result)]
    for lapse in result.lapses:
        lines += wrapped(f"{lapse.what}. {lapse.told}", width, "SAFETY: ", "  ")
    lines += ["", *wrapped(_truth(coach, scenario), width)]
    lines += ["", *wrapped(_spent(coach, result, best), width), "", "Your path"]
    for n, step in enumerate(result.steps, 1):
        lines += wrapped(f"{step.name}: {step.told}" if step.told else step.name, width, f"{n:>2} ")
        lines += wrapped(_step_words(step, money), width, "     ")
        if step.regret >= 0.5 and step.best != step.name:
            lines += wrapped(f"better: {step.best}", width, "     ")
    if result.hints:
        lines += wrapped(f"{len(result.hints)} hints: {sum(result.hints):.0f} {money}", width)
    lines += ["", "The best path"]
    for n, step in enumerate(best.steps, 1):
        lines += wrapped(f"{step.name}: {step.told}" if step.told else step.name, width, f"{n:>2} ")
    lines += ["", "The call"]
    for what, said, warranted in _call_lines(coach, result):
        lines += wrapped(f"{said}. From the evidence: {warranted}.", width, f"{what}: ", "  ")
    words = _fooled_words(coach, fooled(coach, scenario.truth, result))
    lines += ["", *wrapped(words, width)] if words else []
    if len(result.steps) > 1:
        chart = belief_chart(coach, scenario, result)
        drawn = chart_text(chart, max(min(width, 80), 30), 10, plain=plain).splitlines()
        # The names in the key are as long as they are; the plot itself keeps to the width.
        lines.append("")
        for line in drawn:
            lines += wrapped(line, width, rest="  ") if len(line) > width else [line]
    return "\n".join(lines)


def _paths(mine: Sequence[Step], best: Sequence[Step], currency: str) -> Html:
    """Both paths beside one another, a row for each step."""
    rows = []
    for n, (own, other) in enumerate(zip_longest(mine, best), 1):
        worth = ""
        if own is not None:
            better = f" Better: {own.best}." if own.regret >= 0.5 and own.best != own.name else ""
            worth = f"{_step_words(own, currency)}.{better}"
        rows.append([_done(n, own), worth, _done(n, other)])
    return table(["Your path", "What it was worth", "The best path"], rows)


def _done(number: int, step: Step | None) -> Html:
    if step is None:
        return Html()
    return join([tag("b", f"{number} {step.name}"), step.told], " ")


def debrief_page(
    coach: Coach, scenario: Scenario, result: Result, best: Result, who: str = "", when: str = ""
) -> str:
    """The debrief as one complete page."""
    money = coach.money.currency
    lapses = [f"{lapse.what}. {lapse.told}" for lapse in result.lapses]
    words = _fooled_words(coach, fooled(coach, scenario.truth, result))
    picture = Html()
    if len(result.steps) > 1:
        picture = Html(chart_svg(belief_chart(coach, scenario, result), 640.0, 300.0))
    hints = f"{len(result.hints)} hints cost {sum(result.hints):.0f} {money}."
    parts = [
        tag("p", f"“{scenario.complaint}”", class_="lead"),
        tag("p", tag("b", _verdict(result))),
        tag("div", tag("p", "Safety", class_="signal"), bullets(lapses), class_="said WARNING")
        if lapses
        else Html(),
        tag("p", _truth(coach, scenario)),
        tag("p", words) if words else Html(),
        tag("h2", "Step by step"),
        tag("p", _spent(coach, result, best)),
        _paths(result.steps, best.steps, money),
        tag("p", hints) if result.hints else Html(),
        tag("h2", "The call"),
        table(["", "You said", "From the evidence"], _call_lines(coach, result)),
        picture,
    ]
    said = " · ".join(
        part for part in (who, when, scenario.id, skill_of(coach.knowledge, scenario.skill)) if part
    )
    foot = f"{said} · knowledge {coach.knowledge.fingerprint}"
    return page("Debrief", *parts, foot=foot)
