"""A name that there is not is answered with those like it, or with what there is."""

from __future__ import annotations

import doctest

from diagnose import nearest as module
from diagnose.nearest import nearest

NAMES = ["counter", "bench", "bench", "calc"]


def test_examples_are_true() -> None:
    assert doctest.testmod(module).failed == 0


def test_the_likest_comes_first_and_each_once() -> None:
    assert nearest("bensh", [*NAMES, "benches"]) == "Nearest: bench, benches."


def test_an_alias_is_shown_as_it_is_written() -> None:
    assert nearest("newtonm", ["newton metre"], written={"newton metre": "N·m"}) == (
        "Nearest: N·m."
    )


def test_no_more_than_asked_for() -> None:
    assert nearest("ab", ["abc", "abd", "abe", "abf"], 2).count(",") == 1


def test_where_nothing_is_like_it_the_caller_may_say_what_to_do() -> None:
    assert nearest("zzz", NAMES, otherwise="See: diagnose --help") == "See: diagnose --help"
