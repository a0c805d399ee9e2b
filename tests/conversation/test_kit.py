"""Lines of the kit as they are named, and days as they are said."""

from __future__ import annotations

import pytest

from diagnose.conversation.kit import day_of, item_named
from diagnose.errors import InputError

TODAY = "2031-04-12T09:00:00"


@pytest.mark.parametrize("text", ["seal", "", "9", "spanner", "0"])
def test_a_line_that_is_not_clear_is_asked_for_again(text: str) -> None:
    with pytest.raises(InputError, match="kit"):
        item_named(text, ["seal kit", "seal grease", "oil"])


def test_days_ahead() -> None:
    assert day_of("today", TODAY, "") == "2031-04-12"
    assert day_of(" 2031-05-01 ", TODAY, "") == "2031-05-01"
    assert day_of("+365", TODAY, "") == "2032-04-11"  # 2032 is a leap year
