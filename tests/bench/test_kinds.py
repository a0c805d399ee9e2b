"""Kinds of quantity: what is believable lies within what can be, and nothing else is read."""

from __future__ import annotations

import pytest

from diagnose.bench.kinds import KINDS
from diagnose.bench.typed import read, require_possible
from diagnose.bench.units import find_unit, from_unit
from diagnose.errors import InputError


@pytest.mark.parametrize("name", sorted(KINDS))
def test_each_kind_is_whole(name: str) -> None:
    kind = KINDS[name]
    find_unit(kind.unit, kind.dimension)
    assert kind.floor <= kind.low < kind.high <= kind.ceiling
    assert kind.why and not kind.why.endswith("."), "the end of a sentence"
    assert not read(kind.example, name).question


@pytest.mark.parametrize("name", sorted(KINDS))
def test_the_limits_can_be_and_nothing_beyond_them(name: str) -> None:
    kind = KINDS[name]
    width = kind.ceiling - kind.floor
    for end in (kind.floor, kind.ceiling):
        require_possible(from_unit(end, kind.unit, kind.dimension), name)
    for beyond in (kind.floor - 0.01 * width, kind.ceiling + 0.01 * width, 1e9):
        value = from_unit(beyond, kind.unit, kind.dimension)
        with pytest.raises(InputError) as caught:
            require_possible(value, name, where="here")
        assert kind.why in caught.value.what
        assert f"{name} is " in caught.value.what and " to " in caught.value.what
        assert caught.value.where == "here" and caught.value.next_step
