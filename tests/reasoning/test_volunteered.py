"""What is brought up unasked was chosen among all that there was to say."""

import numpy as np

from diagnose.belief.compiled import odds_for
from diagnose.job.events import Complained, Opened
from diagnose.job.state import fold
from diagnose.reasoning.volunteered import brought_up, choice_odds
from tests.kettle import kettle_reasoner

KETTLE = kettle_reasoner()


def odds(*said: str) -> np.ndarray:
    job = fold([Opened(pack="kettle", knowledge=""), *(Complained(text=t) for t in said)])
    return KETTLE.odds(job, KETTLE.view(job).belief.items)


def test_every_cause_gives_more_to_say_than_none_at_all() -> None:
    factors = choice_odds(KETTLE.compiled)
    assert factors.shape == (len(KETTLE.compiled.network.causes),)
    assert (factors > 0).all() and (factors <= 1 + 1e-12).all()


def test_what_they_came_for_is_in_the_rates_already() -> None:
    np.testing.assert_allclose(odds(), odds_for(KETTLE.compiled, {}))


def test_well_is_not_counted_as_a_complaint() -> None:
    job = fold([Opened(pack="kettle", knowledge=""), Complained(text="it switches off")])
    items = KETTLE.view(job).belief.items
    healthy = [i for i in items if i.state == KETTLE.compiled.states(i.finding)[0]]
    assert brought_up(KETTLE.compiled, healthy) == 0.0
