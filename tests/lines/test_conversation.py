"""The conversation with another program: whole jobs held by a client that knows no ids.

Reaches cli.talk too.
"""

from __future__ import annotations

import io
import json
import sys
from collections.abc import Sequence
from typing import Any

import pytest

from diagnose.conversation.conversation import Conversation
from diagnose.errors import StoreError
from diagnose.job.events import Answered, Closed, Complained, Event, HandedOver, Opened
from diagnose.job.state import fold
from diagnose.lines.conversation import converse
from tests.cli.client import hold, in_order
from tests.cli.conftest import environment  # noqa: F401 - a fixture
from tests.heard_words import spelled_talk
from tests.kettle import kettle_reasoner

TALK = Conversation(kettle_reasoner())
Message = dict[str, Any]

#: the complaint, and that there is nothing else
DRIPS: tuple[Message, Message] = ({"text": "it drips"}, {"text": "Nothing else"})


class Told:
    """One conversation about a kettle: what was said to it, what came out, what was saved."""

    def __init__(
        self,
        *lines: object,
        at: str = "counter",
        fault: bool = False,
        talk: Conversation = TALK,
    ) -> None:
        self.saved: list[Event] = []
        self.fault = fault
        texts = [line if isinstance(line, str) else json.dumps(line) for line in lines]
        out = io.StringIO()
        begin: list[Event] = [Opened(pack="kettle", knowledge="")]
        if at == "bench":
            begin.append(Complained(text="it stays cold"))
            begin.append(HandedOver(to="AB", at="bench"))
        self.events = converse(
            talk,
            begin,
            self.save,
            lambda: "2026-03-02T09:00:00+00:00",
            "AB",
            io.StringIO("".join(text + "\n" for text in texts)),
            out,
            lambda: "1",
        )
        self.out: list[Message] = [json.loads(line) for line in out.getvalue().splitlines()]

    def save(self, new: Sequence[Event]) -> None:
        if self.fault:
            raise StoreError("the disk is full.", where="jobs")
        self.saved.extend(new)

    def kinds(self) -> list[str]:
        return [message["kind"] for message in self.out]

    def asked(self) -> list[str]:
        return [message["id"] for message in self.out if message["kind"] == "question"]


def test_a_client_that_knows_no_ids_holds_a_whole_job(
    environment: dict[str, str],  # noqa: F811
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Counter to bench to the closing record, through the program as it is installed."""
    for name, value in environment.items():
        monkeypatch.setenv(name, value)
    program = [sys.executable, "-P", "-m", "diagnose"]
    counter = [
        *hold(
            [*program, "counter", "--json-lines", "--person", "AB"],
            in_order(["loses air overnight", "no", "All well", "Hand over to the bench"]),
        )
    ]
    job = counter[-1]["job"] or "1"
    assert counter[-1]["kind"] == "end"
    assert not [message for message in counter if message["kind"] == "error"]
    assert [m["heard"][0]["text"] for m in counter if m["kind"] == "heard"]
    judgement = [m["judgement"] for m in counter if m["kind"] == "judgement"][-1]
    assert judgement["stage"]["id"]

    close = ["Close the job: what was found", "Nobody looked", "It was not wanted"]
    bench = [
        *hold(
            [*program, "bench", job, "--json-lines", "--person", "CD"],
            in_order(["Read and understood"] * 20 + close),
        )
    ]
    assert not [message for message in bench if message["kind"] == "error"]
    assert (bench[-1]["kind"], bench[-1]["id"]) == ("end", "closed")
    assert any(message["kind"] == "caution" for message in bench)


def test_one_object_a_line_and_one_reply_awaited_at_a_time() -> None:
    told = Told(*DRIPS, {"answer": "All well"}, {"command": "leave"})
    awaiting = [message for message in told.out if message.get("reply")]
    assert [message["kind"] for message in told.out].count("end") == 1
    assert len(awaiting) == 4
    for message in awaiting[1:]:
        assert message["text"]
        assert all({"key", "state", "text"} <= answer.keys() for answer in message["answers"])


@pytest.mark.parametrize(
    "reply",
    [
        {"answer": "2"},
        {"answer": 2},
        {"key": "2"},
        {"state": "look_cord=bare"},
        {"text": "Bare wire"},
        {"answer": "bARE wire"},
        {"reply": "Bare wires"},
        '"Bare wire"',
        2,
    ],
    ids=str,
)
def test_key_state_and_text_mean_the_same(reply: object) -> None:
    told = Told(*DRIPS, reply)
    (answer,) = (event for event in told.saved if isinstance(event, Answered))
    assert (answer.ask, answer.state, answer.by) == ("look_cord", "bare", "counter")


@pytest.mark.parametrize(
    ("line", "what"),
    [
        ("{", "this line is not JSON."),
        ("it drips", "this line is not JSON."),
        ("[1, 2]", "no answer was found in this object."),
        ("null", "no answer was found in this object."),
        ("{}", "no answer was found in this object."),
        ('{"colour": "red"}', "no answer was found in this object."),
        ('{"answer": "purple"}', "'purple' is not one of the answers."),
        ('{"answer": null}', "'None' is not one of the answers."),
        ('{"readings": {"sag": "17 mm"}}', "no readings are asked for here."),
        ('{"command": "dance"}', "'dance' does nothing here."),
        ('{"command": 3}', "no answer was found in this object."),
    ],
)
def test_what_cannot_be_understood_is_an_error_object_and_changes_nothing(
    line: str, what: str
) -> None:
    before = Told(*DRIPS)
    told = Told(*DRIPS, line, {"answer": "1"})
    error = next(message for message in told.out if message["kind"] == "error")
    assert error["what"] == what
    assert error["next"] or what.startswith("no readings")
    assert error["reply"], "the question stands"
    assert "Traceback" not in json.dumps(told.out)
    assert told.saved[: len(before.saved)] == before.saved
    assert told.saved == Told(*DRIPS, {"answer": "1"}).saved


def test_an_error_leaves_the_question_in_force() -> None:
    told = Told(*DRIPS, {"answer": "purple"}, {"answer": "purple"})
    assert told.kinds()[-3:] == ["error", "error", "end"]
    assert "Choose: 1 " in told.out[-2]["next"]


def test_empty_words_are_asked_for_again() -> None:
    told = Told({"text": "  "}, {"text": "it drips"})
    assert told.out[1]["what"] == "nothing was said."
    assert fold(told.events).complaint == "it drips"


def test_empty_lines_are_passed_over() -> None:
    assert Told("", "  ", {"text": "it drips"}).kinds()[:2] == ["question", "heard"]


def test_the_end_of_input_ends_it_with_everything_saved() -> None:
    told = Told({"text": "it drips"})
    assert told.out[-1] == {"kind": "end", "text": "no more input", "job": "1", "reply": False}
    assert fold([*told.events]).complaint == "it drips"
    assert told.saved == told.events[1:]


def test_leaving_ends_it() -> None:
    told = Told({"text": "it drips"}, {"text": "no"}, {"command": "leave"}, {"answer": "1"})
    assert told.out[-1]["text"] == "saved"
    assert told.kinds().count("question") == 3


def test_going_back_takes_the_last_answer_back() -> None:
    told = Told(*DRIPS, {"answer": "1"}, {"command": "back"})
    questions = [message for message in told.out if message["kind"] == "question"]
    assert questions[2] == questions[-1], "one reply back, and the same question is put again"
    assert fold(told.events).reports == {}


def test_why_is_answered_and_the_question_stands() -> None:
    told = Told(*DRIPS, {"command": "why"}, {"answer": "1"})
    note = next(message for message in told.out if message["kind"] == "note")
    assert note["reply"]
    assert note["text"]
    assert len([e for e in told.saved if isinstance(e, Answered)]) >= 1


def test_a_skipped_question_is_not_put_again() -> None:
    told = Told(*DRIPS, {"command": "not_sure"}, {"command": "skip"})
    assert len(set(told.asked())) == len(told.asked())


def test_booking_goes_straight_to_the_judgement() -> None:
    told = Told({"text": "it drips"}, {"text": "no"}, {"command": "book"})
    judgement = [m["judgement"] for m in told.out if m["kind"] == "judgement"][-1]
    assert judgement["next_step"]["kind"] == "book_inspection"
    assert judgement["range"]["call_before"] > 0
    assert told.out[-2]["id"] == "decide"


def test_first_words_come_before_the_next_question_and_once() -> None:
    told = Told({"text": "the lid is jammed"}, {"command": "not_sure"}, {"command": "skip"})
    cautions = [
        n for n, m in enumerate(told.out) if m["kind"] == "caution" and m["when"] == "first"
    ]
    assert [told.out[n]["id"] for n in cautions] == ["steam_locked"]
    assert told.kinds()[cautions[0] + 1 :].count("question") >= 2
    assert told.kinds()[: cautions[0]] == ["question"]


def test_what_was_heard_is_told_with_its_place_and_corrected_in_one_reply() -> None:
    text = "oil_slider 0.9 wibble creak 0.8"
    told = Told(
        {"text": text},
        {"heard": {"said_creak": "struck", "said_harsh": "yes"}},
        {"heard": {"said_creak": "meant"}},
        talk=spelled_talk(),
    )
    heard = [message for message in told.out if message["kind"] == "heard"]
    assert [[line["standing"] for line in message["heard"]] for message in heard] == [
        ["counts", "counts"],
        ["counts", "struck"],
        ["counts", "counts"],
    ]
    for line in (*heard[0]["heard"], *heard[0]["not_heard"]):
        assert text[line["start"] : line["end"]] == line["words"]
    assert [line["words"] for line in heard[0]["not_heard"]] == ["wibble"]
    assert heard[0]["heard"][0]["probability"] == 0.9
    # A state that is said is an answer, and the open question comes before any answer alone.
    steps = {"complaint", "anything_else", "first_sight"}
    assert set(told.asked()) == steps, "nothing more is asked for that"
    assert [event.kind for event in told.saved] == ["complained", "struck", "answered", "withdrawn"]


def test_readings_in_doubt_are_taken_several_at_once() -> None:
    told = Told(
        {"text": "creak 0.4 harsh 0.4 stuck_short 0.3"},
        {"answer": ["said_creak=yes", "said_harsh=yes"]},
        talk=spelled_talk(),
    )
    question = next(m for m in told.out if m.get("id") == "understood")
    assert not question.get("default"), "where danger may be meant, no reply is no answer"
    assert len(question["answers"]) == 4
    assert [event.kind for event in told.saved[1:]] == [
        "answered",
        "answered",
        "struck",
        "understood",
    ]


@pytest.mark.parametrize("wish", [{"said_creek": "struck"}, {"said_harsh": "meant"}])
def test_a_correction_that_cannot_be_is_an_error_object(wish: dict[str, str]) -> None:
    told = Told({"text": "creak 0.9"}, {"heard": wish}, talk=spelled_talk())
    assert "error" in told.kinds() and len(told.saved) == 1


def test_words_that_are_not_understood_are_asked_for_by_number() -> None:
    told = Told({"text": "wibble wobble"}, {"answer": "2"})
    question = next(m for m in told.out if m.get("id") == "main_complaint")
    assert [answer["text"] for answer in question["answers"]][:3] == [
        "it stays cold",
        "it drips",
        "the lid is jammed",
    ]
    assert ("said_drips", "drips") in [
        (e.ask, e.state) for e in told.saved if isinstance(e, Answered)
    ]


def test_cautions_stand_before_their_check_and_wait() -> None:
    cold, read = {"answer": "Cold"}, {"answer": "Read and understood"}
    told = Told({"command": "skip"}, cold, read, cold, at="bench")
    looked, caution, waits = told.out[:3]
    assert looked["id"] == "look_drips", "what costs nothing and needs no caution comes first"
    assert (caution["kind"], caution["when"], caution["id"]) == ("caution", "before", "hot_water")
    assert (waits["kind"], waits["asks"], waits["reply"]) == ("question", "caution", True)
    assert told.out[3]["kind"] == "error", "no answer is taken before its caution was read"
    heat = next(m for m in told.out[1:] if m.get("asks") == "question")
    assert heat["text"] == "How warm after a minute?"
    assert [e.ask for e in told.saved if isinstance(e, Answered)] == ["bench_heat"]


def test_a_job_is_closed_with_what_was_found() -> None:
    lines: list[Message] = []
    for _ in range(12):
        told = Told(*lines, at="bench")
        question = [m for m in told.out if m["kind"] == "question"][-1]
        texts = [answer["text"] for answer in question["answers"]]
        if "Close the job: what was found" in texts:
            lines.append({"answer": "Close the job: what was found"})
        elif "Nothing was wrong" in texts:
            # what was found; then nothing else, and all as proposed
            lines += [{"answer": "limescale"}, *[{"answer": ""}] * 5]
            break
        else:
            lines.append({"command": "skip"})
    else:
        pytest.fail("it does not come to an end")
    told = Told(*lines, at="bench")
    (closed,) = (event for event in told.saved if isinstance(event, Closed))
    assert closed.found == ["limescale"]
    assert told.out[-1]["kind"] == "end"
    assert told.out[-2]["kind"] == "judgement"


def test_what_cannot_be_saved_is_told_and_goes_on_in_memory() -> None:
    told = Told(*DRIPS, {"answer": "1"}, {"command": "leave"}, fault=True)
    notes = [message["text"] for message in told.out if message["kind"] == "note"]
    assert notes[0] == "not saved: jobs: the disk is full."
    assert told.saved == []
    assert fold(told.events).complaint == "it drips"
    assert told.out[-1]["text"] == "not saved"


def test_a_check_list_is_given_and_answered_at_once() -> None:
    (listed,) = [m for m in Told({"command": "list"}, at="bench").out if m["kind"] == "list"]
    check = listed["checks"][0]
    state = check["answers"][-1]["state"]
    results = {"results": {check["id"]: state}, "list": listed["number"]}
    told = Told({"command": "list"}, results, at="bench")
    assert (check["id"], "bench") in fold(told.events).reports or (
        check["id"], "counter"
    ) in fold(told.events).reports  # fmt: skip


@pytest.mark.parametrize(
    "line",
    [{"results": {"no_such": "yes"}}, {"results": {}, "list": 99}, {"results": {}, "list": "x"}],
)
def test_results_that_fit_no_list_change_nothing(line: dict[str, Any]) -> None:
    told = Told(line, at="bench")
    assert "error" in told.kinds() and not told.saved


def test_what_it_has_is_taken_several_at_once() -> None:
    chosen = {"answer": ["piggyback", "lockout"]}
    told = Told({"text": "creak 0.9"}, {"answer": "no"}, chosen, talk=spelled_talk())
    asked = next(m for m in told.out if m.get("id") == "first_sight")
    assert asked["several"] and not asked["default"]
    assert told.saved[-1].kind == "described"
    assert [name for name, has in told.saved[-1].shock.items() if has] == ["lockout", "piggyback"]
