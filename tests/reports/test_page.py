"""The frame: one whole file that needs nothing and forbids what it does not need."""

from __future__ import annotations

import re
from typing import get_args

import pytest

from diagnose.knowledge.models import Caution
from diagnose.reasoning.wording import Shown
from diagnose.reports.html import tag
from diagnose.reports.page import Paper, caution_box, embedded, page, ride_box, write_in
from tests.reports.pages import knowledge, read

HOSTILE = "<script>alert('x')</script>&\"'\x1b[2J\u202e"


@pytest.mark.parametrize("paper", get_args(Paper))
def test_a_page_is_whole_and_needs_nothing_else(paper: Paper) -> None:
    made = page("Title", tag("p", "text"), way=[("a.html", "A")], foot="foot", paper=paper)
    reader = read(made)
    assert not reader.faults
    assert made.startswith("<!doctype html>\n")
    assert "script" not in reader.tags
    assert all(source.startswith("data:") for source in reader.sources)
    assert not re.search(r"https?:|url\(|@import", made)
    assert "script-src" not in made


def test_hostile_text_stays_text() -> None:
    made = page(HOSTILE, HOSTILE, way=[(HOSTILE, HOSTILE)], foot=HOSTILE)
    reader = read(made)
    assert not reader.faults
    assert "script" not in reader.tags
    assert not set(made) & set("\x1b\u202e")


def test_only_a_page_with_code_permits_code() -> None:
    assert "script-src &#x27;unsafe-inline&#x27;" in page("t", script="1 < 2;")
    assert "<script>1 < 2;</script>" in page("t", script="1 < 2;")


def test_data_for_code_cannot_end_its_own_tag() -> None:
    reader = read(embedded('{"a": "</script><b>"}'))
    assert reader.tags == ["script"] and not reader.faults


def test_a_caution_stands_whole() -> None:
    for caution in knowledge().cautions.values():
        said = read(caution_box(caution)).text
        for part in (caution.signal_word, caution.hazard, caution.consequence, caution.avoidance):
            assert part in said


def test_signal_words_differ_by_frame_and_not_by_colour_alone() -> None:
    style = re.search(r"<style>(.*)</style>", page("t"), re.DOTALL)
    assert style
    frames = set()
    for word in ("DANGER", "WARNING", "CAUTION", "NOTICE"):
        rule = re.search(rf"\.{word}\{{(border[^}}]*)\}}", style[1])
        assert rule, word
        frames.add(re.sub(r"#\w+", "", rule[1]))
        card = Caution(
            id="x", signal_word=word, hazard="h.", consequence="c", avoidance="a", source="s"
        )
        assert f'class="said {word}"' in caution_box(card)
    assert len(frames) == 4


@pytest.mark.parametrize(
    ("verdict", "words"),
    [
        ("ride", "No reason found to stop riding"),
        ("ride_gently", "Ride gently"),
        ("stop_riding", "Stop riding"),
        ("not_judged", "Not looked at: not judged"),
    ],
)
def test_a_ride_verdict_is_words(verdict: Shown, words: str) -> None:
    box = ride_box(verdict, "because <b>")
    assert read(box).text == f"{words}because <b>"
    assert "safe" not in box


def test_a_line_to_write_on_names_what_belongs_there() -> None:
    assert read(write_in("torque of <each> bolt")).text == "torque of <each> bolt"


def test_paper_is_fixed_only_on_request() -> None:
    assert "size:" not in re.search(r"<style>(@page\{[^}]*\})", page("t"))[1]  # type: ignore[index]
    assert "@page{size:A4" in page("t", paper="a4")
    assert "@page{size:80mm" in page("t", paper="receipt")
