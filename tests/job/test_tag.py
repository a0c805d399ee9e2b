"""Which shock is in hand: the digits of a tag, and when they have to be read again."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.job.events import Described, Happened, Opened
from diagnose.job.state import fold
from diagnose.job.tag import Touch, other_in_hand, tag_digits, top_line
from tests.real_pack import shop_knowledge

DEVICE = shop_knowledge().device

OPENED = Opened(pack="p", knowledge="", at="bench")


@pytest.mark.parametrize(
    ("name", "noted", "digits"),
    [("1125-07", None, "07"), ("1125-07", "red 3 1", "31"), ("job-4", None, ""), ("", "", "")],
)
def test_the_last_two_digits_of_the_tag(name: str, noted: object, digits: str) -> None:
    assert tag_digits(name, noted) == digits


@pytest.mark.parametrize(
    ("touch", "asks"),
    [
        (Touch("B", "AB", 9), True),
        (Touch("B", "", 9), True),
        (Touch("B", "CD", 9), False),
        (Touch("B", "AB", 5), False),
        (Touch("A", "AB", 9), False),
    ],
)
def test_only_the_same_hand_with_another_job_since_asks_for_the_tag(
    touch: Touch, asks: bool
) -> None:
    assert other_in_hand("A", "AB", [touch], since=5) is asks


@given(st.lists(st.tuples(st.sampled_from("AB"), st.integers(0, 20)), max_size=6))
def test_once_read_the_tag_is_not_asked_for_until_more_is_written(
    rows: list[tuple[str, int]],
) -> None:
    touches = [Touch(job, "", number) for job, number in rows]
    latest = max((touch.number for touch in touches), default=0)
    assert not other_in_hand("A", "AB", touches, since=latest)


def test_the_top_line_says_job_tag_shock_and_what_may_hold_pressure() -> None:
    new = top_line("1125-07", fold([OPENED]), DEVICE)
    assert new == "1125-07, tag 07 | shock not measured | gas: air, negative, charge"
    known = [
        OPENED,
        Described(shock={"eye_to_eye_mm": 230.0, "stroke_mm": 65.0}),
        Happened(what="can_off"),
    ]
    said = top_line("1125-07", fold(known), DEVICE)
    assert "230 x 65 mm" in said and "gas: charge" in said and "empty: air, negative" in said
