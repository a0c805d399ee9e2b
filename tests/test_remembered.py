"""What is remembered is found by value, and changes no result."""

from __future__ import annotations

from diagnose.remembered import Remembered


def test_equal_values_are_worked_out_once_and_the_oldest_is_forgotten() -> None:
    worked: list[dict[str, int]] = []

    def double(value: dict[str, int]) -> int:
        worked.append(value)
        return 2 * value["n"]

    remembered = Remembered(double, most=2)
    for n in (1, 2, 1, 3, 1, 2):
        assert remembered({"n": n}) == 2 * n
    assert [value["n"] for value in worked] == [1, 2, 3, 2]
