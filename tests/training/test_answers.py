"""A case answers as it is written, and of one piece with its truth where it is not."""

from __future__ import annotations

from pathlib import Path

from diagnose.casebook.cases import read_case
from diagnose.job.events import Answered, Measured
from diagnose.job.job_file import events_of
from diagnose.job.measuring import measure_check
from diagnose.job.state import Report, fold
from diagnose.reasoning.evidence import reported
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


def test_one_number_tells_of_the_finding_that_is_not_as_it_should_be(coach: Coach) -> None:
    """Set too low, or far too high: one gauge, and what it reads says so."""
    check = coach.card("bench_pressure")
    for cause, finding in (
        ("pressure_too_low", "pressure_low"),
        ("pressure_over_max", "pressure_high"),
    ):
        case = {"truth": [cause], "counter": {}, "bench": {}}
        answers = answers_of(coach, generate(coach.compiled, 3).model_copy(update=case))
        event = answers.ask(check).event
        assert isinstance(event, Measured)
        report = Report(0, check.id, "bench", readings=event.readings)
        said = reported(coach.compiled, report, fold([]), measure_check)
        assert {item.finding: item.state for item in said}[finding] == answers.state_of(finding)
        assert answers.state_of(finding) != coach.compiled.states(finding)[0]


def test_an_answer_by_eye_tells_of_both_findings(coach: Coach) -> None:
    bill = coach.card("look_bill")
    for seed in range(6):
        answers = answers_of(coach, generate(coach.compiled, seed))
        event = answers.ask(bill).event
        assert isinstance(event, Answered)
        assert event.state in {answer.state for answer in bill.answers}
