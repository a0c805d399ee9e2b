"""What the counter struck out or confirmed becomes lines that an author can take over."""

from __future__ import annotations

import io
import json
from typing import Any

from diagnose.job.events import Answered, Complained, Event, Opened, Struck
from diagnose.reports.corpus import write_corpus
from tests.heard_words import spelled_talk

REASONER = spelled_talk().reasoner
TEXT = "creak 0.9 air_loss 0.3 oil_slider 0.9"


def lines(*events: Event, pack: str = "rear_air_shock") -> list[dict[str, Any]]:
    out = io.StringIO()
    job = [Opened(pack=pack, knowledge=""), Complained(text=TEXT), *events]
    count = write_corpus([job, job], REASONER, out)
    found = [json.loads(line) for line in out.getvalue().splitlines()]
    assert len(found) == count, "the same line once"
    return found


def test_what_nobody_judged_gives_no_line() -> None:
    assert lines() == []


def test_a_reading_struck_out_and_one_confirmed_in_another_state() -> None:
    struck, confirmed = lines(
        Struck(ask="said_creak"), Answered(ask="said_air_loss", state="overnight")
    )
    assert (struck["verdict"], struck["finding"], struck["state"]) == ("struck", "creak", "yes")
    assert confirmed["verdict"] == "confirmed"
    assert (confirmed["finding"], confirmed["state"]) == ("loss_noticed", "overnight")
    for line in (struck, confirmed):
        assert TEXT[line["start"] : line["end"]] == line["words"]


def test_an_answer_to_the_contrary_shows_nothing_of_the_words() -> None:
    assert lines(Answered(ask="said_creak", state="no")) == []


def test_a_job_of_another_pack_is_left_to_its_own() -> None:
    assert lines(Struck(ask="said_creak"), pack="rear_coil_shock") == []
