"""The debrief and the trainer's page say what happened, and are whole files."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from diagnose.reports.debrief import (
    Run,
    belief_chart,
    debrief_page,
    debrief_sections,
)
from diagnose.reports.trainer_page import trainer_page, trend
from diagnose.shop.rights import Signature
from diagnose.training.apprentices import APPRENTICES, best_path, play
from diagnose.training.decisive import not_asked
from diagnose.training.generate import contrast, contrasts, generate
from diagnose.training.ledger import Person, Session
from diagnose.training.mistaken_cause import fooled, settling
from diagnose.training.moment import Coach
from diagnose.training.scenario import Scenario
from tests.training.test_answers import written


def run_of(coach: Coach, scenario: Scenario) -> Run:
    mine = play(coach, scenario, APPRENTICES[0])
    return Run(scenario, mine, best_path(coach, scenario))


@pytest.fixture(scope="module")
def played(coach: Coach, cases: Path) -> Run:
    return run_of(coach, written(coach, cases, "van_strap_short"))


def test_the_text_tells_both_paths_the_truth_and_every_lapse(coach: Coach, played: Run) -> None:
    scenario, mine, best = played.scenario, played.result, played.best
    text = "\n\n".join(debrief_sections(coach, [played], 72, plain=True))
    words = " ".join(text.split())
    assert max(map(len, text.splitlines())) <= 72
    for cause in scenario.truth:
        assert coach.knowledge.causes[cause].name in words
    for step in (*mine.steps, *best.steps):
        assert step.name.split(":")[0] in words
    assert words.count("SAFETY:") == len(mine.lapses)
    missed = not_asked(mine.steps, best.steps, scenario.truth)
    assert ("The question to ask, and you did not:" in words) == (missed is not None)
    assert "What told you most:" in words or "Nothing that you asked" in words


def test_the_page_is_one_file_without_anything_from_outside(coach: Coach, played: Run) -> None:
    html = debrief_page(coach, [played], who="AB", when="2026-03-02")
    assert html.startswith("<!doctype html>")
    assert "<script" not in html
    assert "http-equiv" in html
    assert 'src="' not in html
    assert html.count("<svg") == (2 if len(played.result.steps) > 1 else 1)


def test_the_place_of_the_truth_is_shown(coach: Coach, played: Run) -> None:
    parts = coach.knowledge.points_to(played.scenario.truth[0])
    name = coach.knowledge.parts[parts[0]].name
    assert f"<< {name.upper()}" in "\n".join(debrief_sections(coach, [played], 40, plain=True))
    assert "It sat here: " in debrief_page(coach, [played])


def test_what_a_customer_says_does_nothing_on_the_page(coach: Coach, played: Run) -> None:
    nasty = played.scenario.model_copy(update={"complaint": "<script>alert(1)</script>"})
    assert "<script" not in debrief_page(coach, [replace(played, scenario=nasty)])


@pytest.mark.parametrize("wrong", [True, False])
def test_the_picture_begins_with_the_truth(coach: Coach, played: Run, wrong: bool) -> None:
    best, truth = played.best, played.scenario.truth if wrong else ()
    chart = belief_chart(coach, played.scenario.model_copy(update={"truth": truth}), best)
    assert "(the truth)" in chart.series[0][0]
    assert len(chart.series[0][1]) == len(best.steps)
    assert all(0.0 <= y <= 100.0 for _, points in chart.series for _, y in points)


def test_what_settles_a_pair_is_what_its_card_says(coach: Coach) -> None:
    for cause in list(coach.knowledge.causes.values())[:20]:
        for look in cause.mistaken_for:
            if look.settled_by in coach.knowledge.symptoms:
                continue  # what the customer tells is no check
            check, how = settling(coach, cause.id, look.cause)
            assert check in coach.knowledge.checks
            assert how


def test_a_wrong_name_is_what_fooled(coach: Coach) -> None:
    for seed in range(4):
        scenario = generate(coach.compiled, seed)
        found = fooled(coach, scenario.truth, play(coach, scenario, APPRENTICES[1]))
        if found is not None:
            assert found.taken not in scenario.truth
            assert found.truth in scenario.truth


def session(score: float, lapses: list[str]) -> Session:
    return Session(
        time="2026-03-02T09:00:00+00:00",
        scenario="x",
        skill="frame/tell_apart",
        score=score,
        passed=not lapses,
        lapses=lapses,
        hints=0,
        sure=0.8,
        right=True,
        brier=0.04,
        kinds={},
    )


def test_a_trend_needs_sessions_to_compare() -> None:
    assert trend([session(50.0, [])] * 5) == "too few sessions to say"
    assert trend([session(50.0, [])] * 5 + [session(80.0, [])] * 5) == "better by 30 points"
    assert trend([session(80.0, [])] * 5 + [session(50.0, [])] * 5) == "worse by 30 points"
    assert trend([session(80.0, [])] * 10) == "about the same"


def test_the_trainers_page_shows_lapses_and_leaves_the_signature_to_a_hand(coach: Coach) -> None:
    due = (datetime(2026, 3, 2, tzinfo=UTC) + timedelta(days=1)).isoformat()
    person = Person(
        initials="AB",
        cards={"frame/tell_apart": {"due": due}},
        sessions=[session(90.0, ["opened it <with> a sign"]), session(95.0, [])],
    )
    signed = {"AB": {"air_side": Signature("AB", "air_side", "given", "XY", "2026-03-01T09:00:00")}}
    html = trainer_page([person], coach.knowledge, {"AB": "next_case"}, signed, "2026-03-02")  # type: ignore[arg-type]
    lapse = "opened it &lt;with&gt; a sign"
    right = "air side: XY, 2026-03-01"
    for words in ("AB", lapse, "next_case", "2026-03-03", right, "trainer, date"):
        assert words in html
    assert "Nobody has practised yet" in trainer_page([], coach.knowledge, {}, {})


def test_a_pair_is_told_together_with_what_tells_it_apart(coach: Coach) -> None:
    pair = contrasts(coach.compiled)[0]
    runs = [run_of(coach, scenario) for scenario in contrast(coach.compiled, pair, 1)]
    check, _ = settling(coach, *pair)
    name = coach.knowledge.checks[check].name
    parts = debrief_sections(coach, runs, 72, plain=True)
    assert name in " ".join(parts[-1].split())
    html = debrief_page(coach, runs)
    assert name in html.partition("What tells them apart")[2]
    for cause in pair:
        assert coach.knowledge.causes[cause].name in html


@pytest.mark.parametrize("width", [30, 40, 80])
def test_no_line_is_wider_than_the_screen(coach: Coach, played: Run, width: int) -> None:
    for part in debrief_sections(coach, [played], width, plain=True):
        assert max(map(len, part.splitlines())) <= width


@pytest.mark.parametrize(("sure", "said"), [(0.95, True), (0.4, False)])
def test_who_was_surer_than_the_evidence_is_told_so_at_once(
    coach: Coach, played: Run, sure: float, said: bool
) -> None:
    call = replace(played.best.call, sure=sure, chance=0.3)
    run = replace(played, result=replace(played.best, call=call))
    first = debrief_sections(coach, [run], 80)[0].partition("\n\n")[0]
    assert ("surer" in first) is said
