"""A session is its moves; cautions come first; what is forbidden can be done and is told.

Reaches training.calling, training.consequences and training.hints too.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.casebook.cases import load_cases
from diagnose.errors import InputError
from diagnose.job.state import fold
from diagnose.knowledge.models import Check
from diagnose.knowledge.root import cases_root
from diagnose.training.apprentices import APPRENTICES, best_move, best_path, play
from diagnose.training.exercise import Exercise, Move
from diagnose.training.generate import generate
from diagnose.training.menu import SHEET
from diagnose.training.moment import LOOK, Coach
from diagnose.training.scenario import Scenario
from tests.real_pack import shop_knowledge
from tests.training.test_answers import written


@pytest.fixture(scope="module")
def stuck(coach: Coach, cases: Path) -> Scenario:
    # In so many words, so that nothing here hangs on how well loose words are understood.
    words = "It is stuck down and was short before any air was let out."
    return written(coach, cases, "van_strap_short").model_copy(update={"complaint": words})


def to_the_end(exercise: Exercise) -> None:
    while exercise.phase != "done":
        exercise.apply(best_move(exercise))


def do(exercise: Exercise, ident: str) -> None:
    """Choose it and acknowledge what stands before it."""
    exercise.apply(Move(kind="do", value=ident))
    if exercise.phase == "caution":
        exercise.apply(Move(kind="acknowledge"))


CASES = [case.id for case in load_cases(cases_root(None), shop_knowledge())]


def best_is_100(coach: Coach, scenario: Scenario) -> None:
    result = best_path(coach, scenario)
    assert (result.score, result.lapses, result.passed) == (100.0, (), True)


@pytest.mark.parametrize("name", CASES[::16])
def test_the_best_path_scores_100(coach: Coach, cases: Path, name: str) -> None:
    best_is_100(coach, written(coach, cases, name))


@pytest.mark.long
@pytest.mark.parametrize("name", CASES)
def test_the_best_path_scores_100_on_every_case(coach: Coach, cases: Path, name: str) -> None:
    best_is_100(coach, written(coach, cases, name))


@pytest.mark.parametrize("seed", [0, 2, 5])
def test_the_best_path_scores_100_whatever_is_wrong(coach: Coach, seed: int) -> None:
    best_is_100(coach, generate(coach.compiled, seed))


@pytest.mark.long
@pytest.mark.parametrize("seed", range(10, 60))
def test_the_best_path_scores_100_however_many_steps_it_takes(coach: Coach, seed: int) -> None:
    best_is_100(coach, generate(coach.compiled, seed))


def test_a_killed_session_goes_on_where_it_was(coach: Coach) -> None:
    scenario = generate(coach.compiled, 3)
    whole = Exercise(coach, scenario)
    to_the_end(whole)
    for cut in (len(whole.moves) // 2, len(whole.moves) - 1):
        again = Exercise(coach, scenario, whole.moves[:cut])
        to_the_end(again)
        assert again.result == whole.result


def test_asked_ten_times_it_is_one_answer_and_nine_prices(coach: Coach) -> None:
    exercise = Exercise(coach, generate(coach.compiled, 3))
    ident = "said_creak"
    for _ in range(10):
        do(exercise, ident)
    assert len({step.told.removeprefix("As before: ") for step in exercise.steps}) == 1
    assert [step.kind for step in exercise.steps[1:]] == ["repeats"] * 9
    price = coach.price(coach.card(ident))
    assert [step.regret for step in exercise.steps[1:]] == [pytest.approx(price)] * 9
    assert len(fold(exercise.events).reports) == 1


def test_no_hazardous_step_before_its_cautions(coach: Coach) -> None:
    exercise = Exercise(coach, generate(coach.compiled, 3))
    exercise.apply(Move(kind="do", value="bench_overnight_gauge"))
    prompt = exercise.prompt()
    assert prompt.kind == "caution"
    assert prompt.cautions
    assert not exercise.steps
    with pytest.raises(InputError):
        exercise.reply("bench_core")
    exercise.apply(exercise.reply("9"))
    assert exercise.phase == "work"
    assert not exercise.steps


def test_a_physical_step_asks_for_its_cautions_again(coach: Coach) -> None:
    exercise = Exercise(coach, generate(coach.compiled, 3))
    do(exercise, "bench_overnight_gauge")
    exercise.apply(Move(kind="do", value="bench_short_gauge"))
    assert exercise.phase == "caution"


def test_the_first_words_come_before_the_first_choice(coach: Coach, stuck: Scenario) -> None:
    exercise = Exercise(coach, stuck)
    assert exercise.prompt().first_words
    do(exercise, LOOK)
    assert not exercise.prompt().first_words


def test_opened_first_is_told_and_counts_as_a_lapse(coach: Coach, stuck: Scenario) -> None:
    exercise = Exercise(coach, stuck)
    do(exercise, "open:air_can_service")
    assert "This one held gas." in exercise.told
    assert exercise.steps[0].kind == "swaps"
    to_the_end(exercise)
    assert len(exercise.result.lapses) == 1
    assert not exercise.result.passed


def test_a_high_score_does_not_outweigh_a_lapse(coach: Coach, stuck: Scenario) -> None:
    exercise = Exercise(coach, stuck)
    forbidden = next(
        ident
        for ident, reason in exercise.moment.forbidden.items()
        if reason == "sign" and isinstance(coach.card(ident), Check)
    )
    do(exercise, forbidden)
    to_the_end(exercise)
    assert exercise.result.lapses
    assert not exercise.result.passed


def test_letting_it_ride_more_laxly_than_known_is_a_lapse(coach: Coach, stuck: Scenario) -> None:
    exercise = Exercise(coach, stuck)
    while exercise.phase != "ride":
        exercise.apply(best_move(exercise))
    exercise.apply(Move(kind="ride", value="ride"))
    to_the_end(exercise)
    assert any("let it go" in lapse.what for lapse in exercise.result.lapses)


@pytest.mark.parametrize("typed", ["85 psi", "0.8", "100", "-5", "nearly sure", "nan", ""])
def test_a_confidence_is_in_per_cent(coach: Coach, typed: str) -> None:
    exercise = Exercise(coach, generate(coach.compiled, 3))
    while exercise.phase != "sure":
        exercise.apply(best_move(exercise))
    with pytest.raises(InputError):
        exercise.reply(typed)
    assert exercise.reply("85 %") == Move(kind="sure", value="85")


def test_what_does_not_fit_changes_nothing(coach: Coach) -> None:
    exercise = Exercise(coach, generate(coach.compiled, 3))
    for wrong in (Move(kind="ride", value="ride"), Move(kind="acknowledge")):
        with pytest.raises(InputError):
            exercise.apply(wrong)
    with pytest.raises(InputError):
        exercise.reply("no such thing")
    assert exercise.moves == []


def test_hints_grow_more_explicit_and_cost_more(coach: Coach) -> None:
    exercise = Exercise(coach, generate(coach.compiled, 3))
    said = []
    for _ in range(3):
        exercise.apply(Move(kind="hint"))
        said.append(exercise.told)
    assert exercise.hints == sorted(exercise.hints)
    assert exercise.hints[0] > 0
    assert len(set(said)) == 3
    to_the_end(exercise)
    assert exercise.result.score < 100.0


def test_a_hint_before_the_look_names_no_suspect(coach: Coach) -> None:
    exercise = Exercise(coach, generate(coach.compiled, 3))
    names = [cause.name for cause in coach.knowledge.causes.values()]
    for _ in range(3):
        exercise.apply(Move(kind="hint"))
        assert not any(name in exercise.told for name in names)


def test_the_first_sheet_holds_the_best_an_opening_and_the_look(coach: Coach) -> None:
    for seed in range(4):
        exercise = Exercise(coach, generate(coach.compiled, seed))
        listed = [answer.state for answer in exercise.prompt().answers]
        assert listed == [answer.state for answer in exercise.prompt().answers]
        assert len(listed) == len(set(listed)) == SHEET + 3
        assert LOOK in listed
        assert any(ident.startswith("open:") for ident in listed)
        assert exercise.moment.best_id in (None, *listed)


def test_further_sheets_show_everything_that_can_be_done(coach: Coach) -> None:
    exercise = Exercise(coach, generate(coach.compiled, 3))
    seen: set[str] = set()
    for _ in range(40):
        seen |= {answer.state for answer in exercise.prompt().answers}
        exercise.apply(Move(kind="more"))
    assert {*exercise.moment.values, *exercise.moment.forbidden} <= seen


def test_a_guess_scores_less_than_the_best(coach: Coach) -> None:
    scenario = generate(coach.compiled, 4)
    assert play(coach, scenario, APPRENTICES[0]).score < 100.0
    assert play(coach, scenario, APPRENTICES[0]) == play(coach, scenario, APPRENTICES[0])
