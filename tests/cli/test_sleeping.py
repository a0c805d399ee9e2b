"""Over JSON lines: a night between two readings, and somebody else who writes to the job."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from typing import Any

from diagnose.conversation.conversation import Conversation
from diagnose.job.events import Answered, Event, Measured, Opened, Promised, Resumed, SightLeft
from diagnose.job.state import fold
from diagnose.lines.conversation import converse
from diagnose.records.faults import Conflict
from tests.conversation.test_second_reading import EVENING, MORNING, NIGHT, Advises
from tests.real_pack import shop_reasoner
from tests.safety.attack import stubbed


def talk(
    events: list[Event],
    time: str,
    *lines: object,
    save: Callable[[object], None] = lambda new: None,
) -> list[dict[str, Any]]:
    """Hold one conversation at this time; what came out."""
    out = io.StringIO()
    reasoner = Advises(shop_reasoner().knowledge, 0)
    reasoner.then = "bench_play_shock"
    conversation = Conversation(reasoner)  # type: ignore[arg-type]
    with stubbed():
        converse(
            conversation,
            events,
            save,
            lambda: time,
            "AB",
            io.StringIO("".join(json.dumps(line) + "\n" for line in lines)),
            out,
            lambda: "1124-07",
        )
    return [json.loads(line) for line in out.getvalue().splitlines()]


def questions(said: list[dict[str, Any]]) -> list[str]:
    return [message["id"] for message in said if message["kind"] == "question"]


def test_first_readings_leave_and_the_second_the_next_morning() -> None:
    events: list[Event] = [
        Opened(pack="p", knowledge="", at="bench", time=EVENING, person="AB"),
        Answered(ask="said_air_loss", state="overnight", time=EVENING, person="AB"),
        SightLeft(time=EVENING, person="AB"),
    ]
    first = {"readings": {"before": "165 psi", "wait": "10 h"}}
    said = talk(events, EVENING, {"answer": "7"}, {"answer": "read_later"}, first, {"answer": "1"})
    assert questions(said) == [NIGHT, NIGHT, f"first:{NIGHT}", f"asleep:{NIGHT}"]
    asked = next(m for m in said if m.get("id") == f"first:{NIGHT}")
    assert [r["name"] for r in asked["readings"]][-1] == "wait"
    assert [m["kind"] for m in said].count("caution") > 3
    assert said[-1] == {"kind": "end", "text": "saved", "job": "1124-07", "reply": False}

    events.append(Resumed(time=MORNING, person="AB"))
    wrong = {"readings": {"after": "120 mm"}}
    said = talk(events, MORNING, {"answer": "7"}, wrong, {"readings": {"after": "120 psi"}})
    assert questions(said)[:2] == [NIGHT, f"second:{NIGHT}"]
    assert [m["kind"] for m in said].count("error") == 1
    taken = [e for e in events if isinstance(e, Measured)]
    assert [e.readings for e in taken] == [
        {"before": "165 psi", "after": "120 psi", "elapsed": "13 h 12 min"}
    ]
    assert fold(events).awaited is None


def test_what_others_wrote_meanwhile_is_told_and_the_question_is_put_again() -> None:
    events: list[Event] = [
        Opened(pack="p", knowledge="", at="bench", time=EVENING, person="AB"),
        Answered(ask="said_air_loss", state="overnight", time=EVENING, person="AB"),
        SightLeft(time=EVENING, person="AB"),
    ]
    theirs = Promised(day="2031-04-15", person="CD")
    refusals = [Conflict("1124-07", 3, [theirs])]

    def save(new: object) -> None:
        if refusals:
            raise refusals.pop()

    out = talk(events, EVENING, {"answer": "7"}, {"answer": "8"}, save=save)
    assert questions(out) == [NIGHT, NIGHT, NIGHT]
    assert "CD wrote to this job meanwhile: promised" in next(
        m["text"] for m in out if m["kind"] == "note"
    )
    assert [e.kind for e in events[3:]] == ["promised", "read", "acknowledged"]
