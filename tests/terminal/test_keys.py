"""What a key means, and when it counts."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from diagnose.terminal.keys import (
    LETTERS,
    NUMPAD,
    Guard,
    Press,
    acknowledge_key,
    key_help,
    read,
    yes_no,
)
from diagnose.terminal.parts import key_lines

ALL = (*LETTERS, "menu")


def test_every_command_has_its_own_letter_and_sign() -> None:
    signs = [*LETTERS.values(), *NUMPAD.values()]
    assert len(set(signs)) == len(signs)
    assert not set(signs) & set("123456789")


def test_the_numpad_reaches_every_command() -> None:
    for command, sign in NUMPAD.items():
        assert read(sign, ["1"], ALL) == Press("command", command)
    assert read("/", ["1"], ALL) == Press("command", "menu")
    assert read(",", ["1"], ALL) == Press("command", "back"), "a keyboard with a decimal comma"


def test_letters_reach_commands_in_either_case() -> None:
    for command, letter in LETTERS.items():
        assert read(letter, [], ALL) == Press("command", command)
        assert read(letter.upper(), [], ALL) == Press("command", command)


def test_y_and_n_are_the_answers_that_say_yes_and_no_and_nothing_else() -> None:
    letters = yes_no({"1": "No", "2": "Yes, it hisses", "3": "None of these"})
    assert letters == {"n": "1", "y": "2"}
    for key, letter in (("1", "n"), ("2", "Y")):
        assert read(letter, ["1", "2"], ALL, letters=letters) == Press("answer", key)
    assert yes_no({"1": "No", "2": "Yes, a little", "3": "Yes, much"}) == {"n": "1"}
    assert yes_no({"1": "Yesterday", "2": "North"}) == {}
    for letter in "yn":
        assert read(letter, ["1", "2"], ALL).kind == "unknown", "never a command"


def test_enter_turns_the_page_and_never_answers() -> None:
    for key in ("\r", "\n", "enter"):
        assert read(key, ["1", "enter"], ALL).kind == "page"


@given(st.text(min_size=1, max_size=3), st.sets(st.sampled_from("123456789")))
def test_only_what_is_offered_counts(key: str, answers: set[str]) -> None:
    press = read(key, answers, ["back"])
    if press.kind == "answer":
        assert press.name in answers
    if press.kind == "command":
        assert press.name == "back"


def test_all_offered_commands_are_shown() -> None:
    assert [word for _, word in key_help(ALL)] == [
        "unsure",
        "back",
        "why",
        "skip",
        "safety",
        "book",
        "words",
        "leave",
        "menu",
    ]


@given(st.sampled_from("0123456789"))
def test_the_key_of_a_caution_is_not_the_last_one(last: str) -> None:
    assert acknowledge_key(last) != last


def test_the_guard_drops_keys_for_a_moment() -> None:
    time = [10.0]
    guard = Guard(0.25, lambda: time[0])
    guard.begin()
    seen = []
    for now in (10.0, 10.2, 10.3):
        time[0] = now
        seen.append(guard.admits())
    assert seen == [False, False, True]
    guard.begin()
    assert not guard.admits()


def test_the_keys_fit_one_line_of_eighty_columns() -> None:
    assert len(key_lines(ALL, 80)) == 1
