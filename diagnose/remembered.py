"""Work done once for the same value: the last few results, found again by equality.

For pure functions of values that cannot be hashed (a job holds what people typed), asked for the
same value many times in a row. What is remembered changes no result, only when it is worked out.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar

__all__ = ["Remembered"]

_Value = TypeVar("_Value")
_Result = TypeVar("_Result")


class Remembered(Generic[_Value, _Result]):
    """A pure function that remembers its last results.

    Parameters
    ----------
    work : the function; neither its value nor its result is changed afterwards. most : results
    kept, the latest asked for first.

    >>> calls = []
    >>> double = Remembered(lambda x: calls.append(x) or [2 * n for n in x], 2)
    >>> double([1, 2]), double([1, 2]), len(calls)
    ([2, 4], [2, 4], 1)
    """

    def __init__(self, work: Callable[[_Value], _Result], most: int) -> None:
        self._work, self._most = work, most
        self._kept: list[tuple[_Value, _Result]] = []

    def __call__(self, value: _Value) -> _Result:
        for place, (known, result) in enumerate(self._kept):
            if known == value:
                self._kept.insert(0, self._kept.pop(place))
                return result
        made = self._work(value)
        self._kept = [(value, made), *self._kept[: self._most - 1]]
        return made
