"""'There is none': what hangs on a part that nobody knows can be answered so, and is remembered.

Reaches conversation.questions and conversation.answers too.
"""

from __future__ import annotations

from diagnose.conversation.batch import check_list, read_line
from diagnose.conversation.conversation import Conversation
from diagnose.conversation.guarding import Desk
from diagnose.conversation.prompts import OTHER, Prompt
from diagnose.job.events import Answered, Described, Event, Opened
from diagnose.job.gate import Roles
from diagnose.job.state import fold
from diagnose.reasoning.open_options import open_at
from diagnose.terminal.choices import answers_of
from tests.real_pack import shop_reasoner

TALK = Conversation(shop_reasoner())
BENCH: list[Event] = [
    Opened(pack="rear_air_shock", knowledge="", at="bench"),
    Answered(ask="said_lockout_weak", state="sinks"),
]


def asked(ident: str, *events: Event) -> Prompt:
    return TALK.again([*BENCH, *events], ident)


def states(prompt: Prompt) -> list[str]:
    return [answer.state for answer in prompt.answers]


def offered(*events: Event) -> set[str]:
    view = TALK.reasoner.view(fold([*BENCH, *events]))
    return {option.id for option in open_at(view.belief, "bench", gated=False)}


def test_it_is_offered_only_where_nobody_knows() -> None:
    prompt = asked("look_lever_on")
    assert states(prompt) == ["no", "yes", f"{OTHER}lockout"]
    assert [answer.key for answer in prompt.answers] == ["1", "2", "3"]
    assert prompt.answers[-1].text == "There is none: without a lockout lever"
    known = Described(shock={"lockout": True})
    assert states(asked("look_lever_on", known)) == ["no", "yes"]
    assert not any(state.startswith(OTHER) for state in states(asked("look_creak")))


def test_the_answer_is_remembered_and_nothing_of_that_part_is_asked_again() -> None:
    prompt = asked("look_lever_on")
    new = TALK.reply(BENCH, prompt, f"{OTHER}lockout")
    assert isinstance(new[-1], Described)
    assert fold([*BENCH, *new]).shock == {"lockout": False}
    gone = {"look_lever_on", "look_lockout_weak", "look_lockout_stuck"}
    assert gone <= offered()
    assert not gone & offered(*new)
    assert TALK.reasoner.view(fold([*BENCH, *new])).belief.causes["lockout_gate_worn"] == 0.0


def test_it_stands_before_a_wish_for_readings_and_on_a_list() -> None:
    prompt = asked("bench_lockout")
    rows = answers_of(prompt, "")
    assert [row.text for row in rows[:3]] == [
        "Type the readings",
        "There is none: without a lockout lever",
        "Not measured, judged: Two or three millimetres, then it stands",
    ]
    desk = Desk(TALK.reasoner, Roles())
    listed = [p for p in check_list(desk, BENCH) if any(OTHER in state for state in states(p))]
    assert listed
    number = list(check_list(desk, BENCH)).index(listed[0]) + 1
    last = "abcdefgh"[len(listed[0].answers) - 1]
    (result,) = read_line(f"{number} {last}", check_list(desk, BENCH))
    assert str(result.value).startswith(OTHER)
