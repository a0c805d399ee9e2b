"""A view is made once for the same job, and each part of it when it is asked for."""

from __future__ import annotations

import pytest

from diagnose.complaint.recogniser import Recogniser
from diagnose.job.events import Answered, Complained, Event, Opened
from diagnose.job.state import fold
from tests.kettle import kettle_reasoner

KETTLE = kettle_reasoner()
EVENTS: list[Event] = [Opened(pack="kettle", knowledge=""), Complained(text="it stays cold")]


def test_equal_jobs_have_one_view_and_others_another() -> None:
    one = KETTLE.view(fold(EVENTS))
    other = KETTLE.view(fold([*EVENTS, Answered(ask="said_drips", state="drips")]))
    assert KETTLE.view(fold(list(EVENTS))) is one
    assert other is not one


def test_the_same_words_are_heard_once(monkeypatch: pytest.MonkeyPatch) -> None:
    heard: list[str] = []
    hear = Recogniser.understand

    def counted(recogniser: Recogniser, words: str) -> object:
        heard.append(words)
        return hear(recogniser, words)

    monkeypatch.setattr(Recogniser, "understand", counted)
    words = "it stays cold and never boils"
    for more in ([], [Answered(ask="said_drips", state="drips")]):
        view = KETTLE.view(fold([EVENTS[0], Complained(text=words), *more]))
        assert view.belief.items
    assert heard == [words]


def test_advice_waits_until_it_is_asked_for() -> None:
    view = KETTLE.view(fold([*EVENTS, Answered(ask="said_drips", state="dry")]))
    assert view.belief.causes and "advice" not in vars(view)
    assert view.advice is view.advice
