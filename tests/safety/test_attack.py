"""Nobody gets to a hazardous step round its cautions, whatever is answered, by whom and when."""

from __future__ import annotations

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, rule

from diagnose.knowledge.loader import Knowledge
from tests.real_pack import shop_knowledge
from tests.safety.attack import ACTIONS, PEOPLE, Attack, attack, stubbed

KNOWLEDGE = shop_knowledge()


class Conversations(RuleBasedStateMachine):
    """Random people, answers, pauses and stale screens; the monitor looks at every reply."""

    @initialize(seed=st.integers(0, 2**16), shop=st.booleans())
    def begin(self, seed: int, shop: bool) -> None:
        self.run = Attack(KNOWLEDGE, seed, people=PEOPLE if shop else None)

    @rule(action=st.sampled_from(ACTIONS), number=st.integers(0, 9999))
    def act(self, action: str, number: int) -> None:
        with stubbed():
            self.run.step(action, number)

    @rule(numbers=st.lists(st.integers(0, 9999), min_size=5, max_size=20))
    def go_on(self, numbers: list[int]) -> None:
        with stubbed():
            for number in numbers:
                self.run.step("first", number)


class TestConversations(Conversations.TestCase):  # type: ignore[misc, name-defined]
    settings = settings(max_examples=6, stateful_step_count=25, deadline=None, database=None)


@pytest.mark.long
class TestManyConversations(Conversations.TestCase):  # type: ignore[misc, name-defined]
    settings = settings(max_examples=100, stateful_step_count=25, deadline=None, database=None)


def steps_of(knowledge: Knowledge, steps: int, seed: int) -> Attack:
    run = attack(knowledge, steps, seed)
    print(
        f"{run.steps} steps, {run.jobs} jobs, {run.hazardous} hazards met guarded, "
        f"{run.refused} replies refused, {len(run.done)} kinds of physical step done"
    )
    return run


def test_random_walk_meets_hazards_and_finds_all_of_them_guarded() -> None:
    run = steps_of(KNOWLEDGE, 600, seed=1)
    assert run.hazardous > 100
    assert len(run.done) > 5


@pytest.mark.long
def test_hundred_thousand_steps_reach_every_sheet_and_stay_guarded() -> None:
    run = steps_of(KNOWLEDGE, 100_000, seed=2)
    assert run.sheets == {ident for ident, stage in KNOWLEDGE.sheets.items() if stage.steps}
