"""What a lesson says in words and what it scores as the best call are the same, case by case."""

from __future__ import annotations

import zlib
from pathlib import Path

import pytest
import yaml

from diagnose.casebook.cases import read_case
from diagnose.knowledge.loader import DEFAULT_PACK, load
from diagnose.knowledge.root import knowledge_root
from diagnose.reasoning.said_stages import stage_lines
from diagnose.reports.debrief import Run, debrief_sections
from diagnose.training.apprentices import best_move
from diagnose.training.calling import NONE
from diagnose.training.exercise import Exercise, Move
from diagnose.training.moment import Coach
from diagnose.training.scenario import of_case

CASES = sorted((Path(__file__).resolve().parents[2] / "cases").glob("*.yaml"))

#: one case in so many is walked in every run, all of them with --long
_SHARE = 16

WALKED = [
    pytest.param(path, id=path.stem)
    if path.stem == "spit_on_the_valve" or zlib.crc32(path.stem.encode()) % _SHARE == 0
    else pytest.param(path, id=path.stem, marks=pytest.mark.long)
    for path in CASES
]


@pytest.fixture(scope="module")
def coaches() -> dict[str, Coach]:
    return {}


def coach_of(path: Path, coaches: dict[str, Coach]) -> Coach:
    pack = yaml.safe_load(path.read_text("utf-8")).get("pack", DEFAULT_PACK)
    if pack not in coaches:
        coaches[pack] = Coach(load(knowledge_root(None), pack))
    return coaches[pack]


@pytest.mark.parametrize("path", WALKED)
def test_the_best_call_in_the_words_is_the_best_call_in_the_score(
    path: Path, coaches: dict[str, Coach]
) -> None:
    coach = coach_of(path, coaches)
    case = read_case(path, coach.knowledge, [])
    assert case is not None
    exercise = Exercise(coach, of_case(case, coach.knowledge))
    while exercise.phase != "done":
        exercise.apply(best_move(exercise))
    best = exercise.result
    assert best.score == 100.0
    # One set of words: the judgement's, the debrief's, and what may be called.
    sheets = coach.knowledge.sheets
    names = [sheets[sheet].name for sheet in best.call.best_work]
    lines = stage_lines(exercise.moment.view.decision)
    advised = [line.name for line in lines if not line.within]
    assert advised[: len(names)] == names or advised[-len(names) :] == names
    assert best.call.work == best.call.best_work
    run = Run(exercise.scenario, best, best)
    text = " ".join(debrief_sections(coach, [run], 400)[0].split())
    assert f"work: {' + '.join(names)}. By what you knew: {' + '.join(names)}." in text
    # No other call scores better, and what is worse for the shop costs.
    moment = exercise.moment
    for sheet in sheets:
        regret = moment.call_regret([sheet])
        assert regret >= 0.0
        if (sheet,) == best.call.best_work:
            assert regret == 0.0
        elif moment.view.belief.signs and coach.knowledge.device.stages.shut != sheet:
            assert regret > 0.0


@pytest.mark.parametrize(
    "ident", [path.stem for path in CASES if "try it before anyone says" in path.read_text("utf-8")]
)
def test_a_lesson_that_warns_of_too_much_work_scores_it_as_worse(
    ident: str, coaches: dict[str, Coach]
) -> None:
    path = next(path for path in CASES if path.stem == ident)
    coach = coach_of(path, coaches)
    case = read_case(path, coach.knowledge, [])
    assert case is not None
    scores = {}
    for small in (True, False):
        exercise = Exercise(coach, of_case(case, coach.knowledge))
        while exercise.phase != "done":
            move = best_move(exercise)
            if move.kind == "stage" and not small:
                move = Move(kind="stage", value=coach.knowledge.stage_of(move.value))
            if move.kind == "also" and not small:
                move = Move(kind="also", value=NONE)
            exercise.apply(move)
        scores[small] = exercise.result.score
    assert scores[False] < 90.0 < scores[True]
