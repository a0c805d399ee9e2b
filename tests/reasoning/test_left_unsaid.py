"""Who was asked what else there is and does not name it has it less often."""

from __future__ import annotations

import numpy as np
import pytest

from diagnose.job.events import Answered, Complained, Event, MoreLeft, Opened
from diagnose.job.state import fold
from diagnose.reasoning.belief import Belief
from tests.real_pack import shop_reasoner

SHOP = shop_reasoner()
NAMED = SHOP.knowledge.pack.reporters.named["noise"]
LOCK = Complained(text="the lockout does not hold")


def belief(*events: Event) -> Belief:
    return Belief(SHOP, fold([Opened(pack="rear_air_shock", knowledge=""), *events]))


def test_silence_is_the_chance_that_nothing_of_a_cause_was_named() -> None:
    """Of a cause that shows itself by one finding alone it is one less the share in the pack."""
    quiet = SHOP.unsaid.factors(())
    index = SHOP.compiled.network.finding_index["squelch"]
    links = SHOP.compiled.network.structure.links[index]
    heard = SHOP.unsaid.factors({"squelch"})
    told = NAMED * (links.exactly @ (np.arange(3) / 2.0))
    assert quiet[links.parents] / heard[links.parents] == pytest.approx(1.0 - told)
    assert np.all((quiet > 0.0) & (quiet <= 1.0))


def test_it_counts_once_somebody_was_asked() -> None:
    before, after = belief(LOCK), belief(LOCK, MoreLeft())
    noisy, mute = "gas_in_oil", "lockout_gate_worn"
    assert after.causes[noisy] / after.causes[mute] < before.causes[noisy] / before.causes[mute]


def test_what_was_answered_has_its_own_answer() -> None:
    """A squelch that was asked for is not held against its causes a second time."""
    asked = belief(LOCK, MoreLeft(), Answered(ask="said_squelch", state="none"))
    place = SHOP.compiled.network.cause_index["gas_in_oil"]
    silent = belief(LOCK, MoreLeft())
    assert asked.network.odds[place] > silent.network.odds[place]


def test_who_had_it_apart_is_told_sooner_than_the_wash() -> None:
    """Of what was done people name the service; nobody thinks of his pressure."""
    quiet = SHOP.unsaid.factors(())
    bleed = SHOP.compiled.network.cause_index["bad_bleed_after_service"]
    silent = quiet[bleed] / SHOP.unsaid.factors({"after_service"})[bleed]
    card = SHOP.knowledge.symptoms["said_after_service"]
    assert card.named is not None
    assert SHOP.knowledge.chance(card.named) > SHOP.knowledge.pack.reporters.named["history"]
    assert silent < 1.0 - SHOP.knowledge.pack.reporters.named["history"]
    assert SHOP.unsaid.factors({"pressure_low"}) == pytest.approx(quiet)
