"""Strengths from closed jobs: by hand, against a direct maximisation, and in simulation."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.belief.compiled import UNLISTED, Compiled, compile_pack
from diagnose.learning.outcome import NOT_LOOKED, Outcome
from diagnose.learning.strengths import LINK_WORTH, LinkLine, LinkTally, fit
from tests.reports.pages import knowledge

SEAL, FINDING, CHECK = "can_seal_worn", "bubbles_wiper", "bench_bubbles_wiper"
NOBODY = [1.0, 0.0]


@pytest.fixture(scope="module")
def compiled() -> Compiled:
    return compile_pack(knowledge())


def seen(*found: str, state: str = "stream") -> Outcome:
    return Outcome(found=found, reports=((CHECK, "bench", state),))


def proposed(compiled: Compiled, *outcomes: Outcome) -> dict[tuple[str, str], LinkLine]:
    tally = LinkTally(compiled)
    for outcome in outcomes:
        tally.add(outcome, {})
    return {(line.cause, line.finding): line for line in tally.propose()}


def test_where_reports_are_sure_it_is_the_mean_by_hand() -> None:
    # 20 jobs' worth of 0.5, and 8 of 10 jobs: (20 x 0.5 + 8) / (20 + 10) = 0.6.
    learned = fit(
        card=np.array([[0.5, 0.5], NOBODY]),
        leak=np.array([1.0, 0.0]),
        present=np.array([[0, 1, 1], [0, 1, 1]]),
        likelihood=np.array([[0.0, 1.0], [1.0, 0.0]]),
        weight=np.array([8.0, 2.0]),
        worth=20.0,
    )
    assert learned[0, 1] == pytest.approx(0.6)
    assert learned[1].tolist() == NOBODY


def test_with_a_leak_and_doubtful_reports_it_is_where_the_sum_is_largest() -> None:
    """The same number, found by trying out a fine grid."""
    card, leak, worth = 0.3, 0.2, 20.0
    weight, likelihood = np.array([13.0, 7.0]), np.array([[0.1, 0.85], [0.9, 0.15]])
    learned = fit(
        np.array([[1 - card, card], NOBODY]),
        np.array([1 - leak, leak]),
        np.array([[0, 1, 1], [0, 1, 1]]),
        likelihood,
        weight,
        worth,
    )
    grid = np.linspace(0.001, 0.999, 9981)
    shown = 1.0 - (1.0 - grid) * (1.0 - leak)
    score = worth * (card * np.log(grid) + (1 - card) * np.log(1 - grid))
    for jobs, (hidden, there) in zip(weight, likelihood, strict=True):
        score += jobs * np.log(hidden * (1 - shown) + there * shown)
    assert learned[0, 1] == pytest.approx(grid[score.argmax()], abs=1e-3)


@given(
    card=st.floats(0.01, 0.99),
    leak=st.floats(0.0, 0.9),
    jobs=st.integers(0, 500),
    hit=st.floats(0.5, 1.0),
)
def test_no_jobs_leave_the_card_and_signs_raise_it(
    card: float, leak: float, jobs: int, hit: float
) -> None:
    learned = fit(
        np.array([[1 - card, card], NOBODY]),
        np.array([1 - leak, leak]),
        np.array([[0, 1, 1]]),
        np.array([[1 - hit, hit]]),
        np.array([float(jobs)]),
        LINK_WORTH,
    )
    assert learned[0].sum() == pytest.approx(1.0)
    if jobs == 0:
        assert learned[0, 1] == pytest.approx(card)
    else:
        assert learned[0, 1] >= card - 1e-9


def test_causes_together_are_told_apart_and_come_near_the_truth() -> None:
    """Three states, two causes, often together, one job in three unseen: 30,000 jobs."""
    rng = np.random.default_rng(5)
    truth = np.array([[0.3, 0.5, 0.2], [0.8, 0.15, 0.05]])
    leak = np.array([0.95, 0.04, 0.01])
    reporter = np.array([[0.9, 0.07, 0.03], [0.1, 0.8, 0.1], [0.05, 0.1, 0.85]])
    sets = np.array([[0, 2, 2], [1, 2, 2], [0, 1, 2]])
    rows: dict[tuple[int, int], int] = {}
    for _ in range(30_000):
        which = int(rng.integers(3))
        state = max(
            int(rng.choice(3, p=leak)),
            *(int(rng.choice(3, p=truth[c])) for c in sets[which] if c < 2),
        )
        if rng.random() < 2 / 3:
            report = int(rng.choice(3, p=reporter[state]))
            rows[which, report] = rows.get((which, report), 0) + 1
    learned = fit(
        np.array([[0.5, 0.3, 0.2], [0.5, 0.3, 0.2], [1.0, 0.0, 0.0]]),
        leak,
        sets[[which for which, _ in rows]],
        reporter[:, [report for _, report in rows]].T,
        np.array([float(count) for count in rows.values()]),
        LINK_WORTH,
    )
    assert learned[:2] == pytest.approx(truth, abs=0.03)


def test_only_findings_that_somebody_looked_at_are_learned(compiled: Compiled) -> None:
    lines = proposed(compiled, *[seen(SEAL)] * 5)
    assert set(lines) == {(SEAL, FINDING)}
    line = lines[SEAL, FINDING]
    assert (line.shown, line.looked) == (5, 5)
    assert line.after[1] > line.before[1]
    assert list(line.after) == sorted(line.after, reverse=True)


@pytest.mark.parametrize(
    "outcome",
    [
        seen(),
        seen(UNLISTED),
        seen(SEAL, UNLISTED),
        seen(SEAL, "retired_long_ago"),
        seen(SEAL, state="a_state_of_old"),
        seen(SEAL, "valve_core_loose", "shaft_seal_leak", "bushing_worn"),
        Outcome(found=(SEAL,)),
        Outcome(found=(NOT_LOOKED,), reports=((CHECK, "bench", "stream"),)),
    ],
)
def test_what_teaches_nothing_of_strengths(compiled: Compiled, outcome: Outcome) -> None:
    assert proposed(compiled, outcome) == {}


def test_a_job_in_which_nobody_looked_counts_by_its_parts(compiled: Compiled) -> None:
    tally = LinkTally(compiled)
    unseen = Outcome(found=(NOT_LOOKED,), reports=((CHECK, "bench", "none"),))
    for _ in range(20):
        tally.add(unseen, {SEAL: 0.6, "valve_core_loose": 0.4})
    whole = proposed(compiled, *[seen(SEAL, state="none")] * 20)[SEAL, FINDING]
    (line,) = [line for line in tally.propose() if line.cause == SEAL]
    assert (line.shown, line.looked) == (0, 0)
    assert whole.after[0] < line.after[0] < line.before[0]


def test_learned_strengths_take_the_place_of_the_cards(compiled: Compiled) -> None:
    line = proposed(compiled, *[seen(SEAL, state="none")] * 50)[SEAL, FINDING]
    network = compile_pack(knowledge(), strengths={SEAL: {FINDING: line.after}}).network
    for old, new in zip(compiled.network.findings, network.findings, strict=True):
        same = np.all(old.at_least == new.at_least, axis=1)
        changed = {network.causes[c] for c, kept in zip(new.parents, same, strict=True) if not kept}
        assert changed == ({SEAL} if new.name == FINDING else set())


def test_learning_comes_nearer_to_shops_that_differ_as_the_cards_are_believed_to() -> None:
    """Strengths drawn about the card with its own worth; mean squared distance of 200 shops."""
    rng = np.random.default_rng(11)
    card = 0.7
    reporter = np.array([[0.95, 0.05], [0.1, 0.9]])
    means = []
    shops = rng.beta(LINK_WORTH * card, LINK_WORTH * (1 - card), 200)
    for jobs in (0, 10, 40, 160):
        distances = []
        for truth in shops:
            shown = rng.binomial(jobs, truth)
            alarms = rng.binomial(jobs - shown, reporter[0, 1]) + rng.binomial(shown, 0.9)
            learned = fit(
                np.array([[1 - card, card], NOBODY]),
                np.array([1.0, 0.0]),
                np.array([[0, 1, 1], [0, 1, 1]]),
                reporter.T,
                np.array([jobs - alarms, alarms], dtype=float),
                LINK_WORTH,
            )
            distances.append((learned[0, 1] - truth) ** 2)
        means.append(np.mean(distances))
    assert means == sorted(means, reverse=True)
    assert means[3] < 0.3 * means[0]


def test_an_answer_counts_for_each_finding_that_it_speaks_of(compiled: Compiled) -> None:
    low = Outcome(found=("pressure_too_low",), reports=(("bench_pressure", "bench", "low"),))
    lines = proposed(compiled, *[low] * 9)
    assert lines["pressure_too_low", "pressure_low"].shown == 9
    high = Outcome(found=("pressure_over_max",), reports=(("bench_pressure", "bench", "over_max"),))
    lines = proposed(compiled, *[high] * 9)
    assert lines["pressure_over_max", "pressure_high"].shown == 9
