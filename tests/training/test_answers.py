"""A case answers as it is written, and of one piece with its truth where it is not."""

from __future__ import annotations

from pathlib import Path

from diagnose.casebook.cases import read_case
from diagnose.job.job_file import events_of
from diagnose.job.state import fold
from diagnose.training.answers import Answers
from diagnose.training.generate import generate
from diagnose.training.moment import Coach
from diagnose.training.scenario import Scenario, of_case


def answers_of(coach: Coach, scenario: Scenario) -> Answers:
    data = {"complaint": scenario.complaint, "shock": scenario.shock}
    return Answers(coach.compiled, scenario, fold(events_of(data, coach.knowledge)[0]))


def written(coach: Coach, cases: Path, name: str) -> Scenario:
    case = read_case(cases / f"{name}.yaml", coach.knowledge, [])
    assert case is not None
    return of_case(case, coach.knowledge)


def test_what_is_written_is_said_as_written(coach: Coach, cases: Path) -> None:
    scenario = written(coach, cases, "leak_and_a_clack")
    answers = answers_of(coach, scenario)
    for ask, state in scenario.counter.items():
        assert answers.ask(coach.card(ask)).event.state == state  # type: ignore[union-attr]
    measured = answers.ask(coach.card("bench_overnight_gauge")).event
    assert measured.readings["after"] == "101 psi"  # type: ignore[union-attr]


def test_what_is_not_written_agrees_with_what_is(coach: Coach, cases: Path) -> None:
    # The bench measured 0.7 mm of play, so whoever else looks, looks at a shock with play.
    answers = answers_of(coach, written(coach, cases, "leak_and_a_clack"))
    assert answers.state_of("play_shock") in ("slight", "clear")


def test_everybody_says_the_same_again_in_any_order(coach: Coach) -> None:
    scenario = generate(coach.compiled, 11)
    cards = [*coach.knowledge.symptoms.values(), *coach.knowledge.checks.values()]
    one, other = answers_of(coach, scenario), answers_of(coach, scenario)
    forwards = {card.id: one.ask(card) for card in cards}
    backwards = {card.id: other.ask(card) for card in reversed(cards)}
    assert forwards == backwards
    assert all(one.ask(card) == forwards[card.id] for card in cards)


def test_two_checks_of_one_quantity_read_one_value(coach: Coach) -> None:
    for seed in range(5):
        answers = answers_of(coach, generate(coach.compiled, seed))
        high = answers.ask(coach.card("bench_pressure_high")).event
        low = answers.ask(coach.card("bench_pressure_low")).event
        assert high.readings == low.readings  # type: ignore[union-attr]
