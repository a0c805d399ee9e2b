"""The screen of reasons: where to look, in the state of the job, and on any width."""

from __future__ import annotations

import pytest

from diagnose.cells import plain_text
from diagnose.conversation.conversation import Conversation
from diagnose.conversation.prompts import Prompt
from diagnose.job.events import Event, Happened
from diagnose.job.job_file import events_of
from diagnose.terminal.reasons import reasons
from tests.real_pack import shop_reasoner

KNOWLEDGE = shop_reasoner().knowledge
OPENED = events_of({"at": "bench", "complaint": "it loses air overnight"}, KNOWLEDGE)[0]


def shown(ident: str, width: int, *more: Event) -> list[str]:
    prompt = Prompt("question", ident, "Look?", why="It tells two apart.")
    draw = reasons(Conversation(shop_reasoner()), [*OPENED, *more], prompt)
    return [line for block in draw(width) for line in plain_text(block.lines).splitlines()]


@pytest.mark.parametrize("width", [30, 40, 80])
def test_a_check_shows_where_it_looks(width: int) -> None:
    lines = shown("bench_bubbles_wiper", width)
    assert "Look here: wiper" in lines
    assert sum("<<" in line for line in lines) == 1
    assert all(len(line) <= width for line in lines)


def test_a_step_of_a_sheet_shows_what_it_handles() -> None:
    sheet = KNOWLEDGE.sheets["air_can_service"]
    number, step = next((n, s) for n, s in enumerate(sheet.steps) if s.points_to)
    lines = shown(f"step:{sheet.id}:{number}", 80)
    assert KNOWLEDGE.drawing is not None
    for part in KNOWLEDGE.drawing.placed(step.points_to):
        assert KNOWLEDGE.parts[part].name in next(s for s in lines if s.startswith("Look here"))


def test_a_question_to_the_customer_shows_nothing_to_look_at() -> None:
    assert not any("Look here" in line for line in shown("said_air_loss", 80))


def test_gas_stands_in_it_until_it_was_proved_gone() -> None:
    full = "\n".join(shown("bench_bubbles_valve", 80))
    empty = "\n".join(shown("bench_bubbles_valve", 80, Happened(what="air_proved_empty")))
    assert "|:::|" in full and "|:::|" not in empty
