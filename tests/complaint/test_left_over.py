"""What no reading used is handed back by its place in the text."""

from __future__ import annotations

from diagnose.complaint.left_over import left_over
from diagnose.complaint.recogniser import Heard, Understanding
from tests.real_pack import shop_reasoner


def spans(text: str, *heard: tuple[int, int], unknown: str) -> list[str]:
    known = Understanding(
        tuple(Heard("s", "x", 0.9, text[a:b], start=a, end=b) for a, b in heard),
        tuple(unknown.split()),
    )
    return [text[start:end] for start, end in left_over(text, known)]


def test_neighbours_stand_together_and_what_was_used_does_not_stand() -> None:
    text = "Squidgy feel, creaks; then creaks oddly"
    found = spans(text, (14, 20), unknown="squidgy feel creaks oddly")
    assert found == ["Squidgy feel", "creaks oddly"]


def test_words_said_of_anything_are_not_missed() -> None:
    assert spans("perhaps the bike yesterday", unknown="perhaps bike yesterday") == []


def test_the_device_itself_is_not_missed() -> None:
    known = Understanding(unknown=("shock", "squidgy"))
    assert left_over("shock squidgy", known, ["shock"]) == [(6, 13)]


def test_the_recognisers_own_places_are_slices_of_the_text() -> None:
    text = "it creaks, is squidgy and loses air overnight"
    known = shop_reasoner().recogniser.understand(text)
    assert known.heard
    assert all(text[said.start : said.end] == said.words for said in known.heard)
    assert "squidgy" in [text[start:end] for start, end in left_over(text, known)]
