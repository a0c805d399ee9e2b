"""Plain values with lines; every fault of a file is a problem with its place."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.errors import Problem
from diagnose.knowledge.yaml_lines import MAX_BYTES, Document, parse_text, read_yaml


def parsed(text: str) -> Document:
    problems: list[Problem] = []
    document = parse_text(text, "f.yaml", problems)
    assert document is not None
    assert problems == []
    return document


def faults(text: str) -> list[Problem]:
    problems: list[Problem] = []
    parse_text(text, "f.yaml", problems)
    return problems


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("yes", "yes"),
        ("no", "no"),
        ("on", "on"),
        ("Off", "Off"),
        ("true", True),
        ("False", False),
        ("~", None),
        ("2026-03-01", "2026-03-01"),
        ("12", 12),
        ("-3", -3),
        ("0.25", 0.25),
        (".5", 0.5),
        ("1e-3", 1e-3),
        ("0x10", "0x10"),
        ("12:30", "12:30"),
        ("'true'", "true"),
        ('"12"', "12"),
        ("1_000", "1_000"),
    ],
)
def test_scalars_mean_what_a_foreman_wrote(text: str, value: object) -> None:
    found = parsed(f"x: {text}").value["x"]
    assert found == value
    assert type(found) is type(value)


def test_every_part_knows_its_line() -> None:
    document = parsed("a: 1\nb:\n  c:\n  - x\n  - y: 2\n")
    assert document.line(("a",)) == 1
    assert document.line(("b", "c")) == 3
    assert document.line(("b", "c", 0)) == 4
    assert document.line(("b", "c", 1, "y")) == 5


def test_what_is_missing_is_looked_for_where_it_would_stand() -> None:
    document = parsed("a: 1\nb:\n  c: 2\n")
    assert document.line(("b", "nothing", "here")) == 2
    assert document.line(("nothing",)) == 1


@pytest.mark.parametrize(
    ("text", "line", "words", "hint"),
    [
        ("a: 1\n\tb: 2\n", 2, "not YAML", "spaces, not tabs"),
        ("a: 1\nb: [1, 2\nc: 3\n", 3, "not YAML", "quotes"),
        ("a: 1\nb: 2\na: 3\n", 3, "'a' stands here twice", "one of the two"),
        ("a: 1\n? [x, y]\n: 2\n", 2, "a key must be a word", "Quote"),
        ("a: &self\n  b: *self\n", 1, "contains itself", "Write it out"),
        ("a: 1\n--- \nb: 2\n", 2, "not YAML", ""),
        ("a: \x00\n", 1, "not YAML", ""),
    ],
)
def test_a_fault_says_where_and_what_to_do(text: str, line: int, words: str, hint: str) -> None:
    problem = faults(text)[0]
    assert (problem.file, problem.line) == ("f.yaml", line)
    assert words in problem.what
    assert hint in problem.next_step


def test_nothing_in_a_file_is_run() -> None:
    """A tag that other readers turn into a call stays the text behind it."""
    assert parsed("a: !!python/object/apply:os.getcwd []\n").value == {"a": []}


def test_deep_nesting_is_a_problem_and_no_crash() -> None:
    assert "not YAML" in faults("[" * 100_000)[0].what


def test_an_empty_file_has_no_value() -> None:
    assert parsed("").value is None
    assert parsed("# only words\n").line(("x",)) == 1


def test_too_large_a_file_is_not_read(tmp_path: Path) -> None:
    path = tmp_path / "large.yaml"
    path.write_bytes(b"a: " + b"x" * 10 * MAX_BYTES)
    problems: list[Problem] = []
    assert read_yaml(path, "large.yaml", problems) is None
    assert problems == [
        Problem("large.yaml", 1, "the file has 10,000,003 bytes, over 1,000,000.", "Split it.")
    ]


def test_other_encodings_are_named_with_their_line(tmp_path: Path) -> None:
    path = tmp_path / "latin.yaml"
    path.write_bytes(b"a: 1\nb: caf\xe9\n")
    problems: list[Problem] = []
    assert read_yaml(path, "latin.yaml", problems) is None
    assert problems == [
        Problem("latin.yaml", 2, "this is not UTF-8 text.", "Save the file as UTF-8.")
    ]


def test_a_file_that_is_not_there_is_a_problem(tmp_path: Path) -> None:
    problems: list[Problem] = []
    assert read_yaml(tmp_path / "none.yaml", "none.yaml", problems) is None
    assert "cannot be read" in problems[0].what


VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(st.characters(codec="utf-8")),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text("abc"), inner, max_size=3),
    max_leaves=8,
)


@given(VALUES)
def test_json_reads_as_itself(value: Any) -> None:
    assert parsed(json.dumps(value)).value == value


@given(st.text(st.characters(codec="utf-8"), max_size=60))
def test_no_text_raises(text: str) -> None:
    problems: list[Problem] = []
    document = parse_text(text, "f", problems)
    assert document is not None or problems
