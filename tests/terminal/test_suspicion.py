"""What weighs how much adds up to what is shown.

Reaches reasoning.evidence_words.
"""

from __future__ import annotations

import math

from diagnose.conversation.batch import worth_doing
from diagnose.conversation.conversation import Conversation
from diagnose.job.events import Answered, Complained, Opened
from diagnose.job.state import fold
from diagnose.terminal.suspicion import Suspicion, weights
from tests.real_pack import shop_reasoner


def test_prior_and_weights_add_up_to_the_log_odds_of_the_first_cause() -> None:
    reasoner = shop_reasoner()
    pack = reasoner.knowledge.pack.id
    events = [
        Opened(pack=pack, knowledge="", at="bench"),
        Answered(ask="said_air_loss", state="overnight", by="customer"),
        Answered(ask="bench_bubbles_valve", state="none", by="bench"),
        Answered(ask="look_oil_slider", state="film", by="counter"),
        Answered(ask="bench_oil_slider", state="film", by="bench"),
    ]
    told = weights(Conversation(reasoner), events)
    chance = next(iter(reasoner.view(fold(events)).belief.causes.values()))
    shown = told.prior + sum(weight for _, weight in told.rows)
    assert abs(shown - 10.0 * math.log10(chance / (1.0 - chance))) <= 1e-8
    assert len(told.rows) == 3, "two reports of one finding are one thing known"
    assert any(said.count(";") == 1 for said, _ in told.rows)


def test_what_nobody_brought_up_is_said_as_that() -> None:
    reasoner = shop_reasoner()
    pack = reasoner.knowledge.pack.id
    events = [
        Opened(pack=pack, knowledge="", at="counter"),
        Complained(text="loses air overnight"),
    ]
    said = [said for said, _ in weights(Conversation(reasoner), events).rows]
    (heard,) = reasoner.view(fold(events)).belief.items
    assert f"{reasoner.card('said_wants_service').name}: not brought up" in said
    assert any(words.startswith(f"the customer's '{heard.words}' = loses air") for words in said)


def test_what_is_still_worth_doing_may_be_a_frame_question() -> None:
    reasoner = shop_reasoner()
    events = [
        Opened(pack=reasoner.knowledge.pack.id, knowledge="", at="bench"),
        Complained(text="it feels dead and bounces"),
    ]
    worth = worth_doing(reasoner.view(fold(events)))
    assert any(ident in reasoner.knowledge.frames for ident in worth)
    suspicion = Suspicion(Conversation(reasoner))
    suspicion.look(events, "bench_pressure")
    assert suspicion.ahead.startswith("May come next: ")
