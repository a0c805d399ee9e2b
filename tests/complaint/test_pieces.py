"""Cutting words by hand-made vocabularies, worked out by hand."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.complaint.pieces import Piece, Pieces

SMALL = ["[UNK]", "top", "tops", "##s", "##out", "out", "un", "##aff", "##able", ",", "cafe", "_"]
PIECES = Pieces(SMALL)


@pytest.mark.parametrize(
    ("text", "pieces"),
    [
        ("", []),
        (" \n\t", []),
        ("tops", ["tops"]),  # the longest piece first, not top + ##s
        ("topout", ["top", "##out"]),
        ("top out", ["top", "out"]),
        ("unaffable", ["un", "##aff", "##able"]),
        ("TOPS,out", ["tops", ",", "out"]),
        ("topx", ["[UNK]"]),  # a word with a hole in it is no word
        ("Café", ["cafe"]),
        ("top_out", ["top", "_", "out"]),
    ],
)
def test_a_word_is_cut_into_the_longest_pieces_from_the_left(text: str, pieces: list[str]) -> None:
    assert [SMALL[piece.number] for piece in PIECES.of(text)] == pieces


def test_a_piece_has_its_place_in_the_text_as_typed() -> None:
    assert PIECES.of("  Topout,  É") == [
        Piece(2, 5, SMALL.index("top")),
        Piece(5, 8, SMALL.index("##out")),
        Piece(8, 9, SMALL.index(",")),
        Piece(11, 12, 0),
    ]


def test_a_sign_that_is_two_in_lower_case_moves_nothing() -> None:
    text = "İ top"  # dotted capital I: two signs in lower case
    assert text[PIECES.of(text)[-1].start :] == "top"


@given(st.text(max_size=80))
def test_pieces_lie_in_order_side_by_side_and_never_on_a_space(text: str) -> None:
    end = 0
    for piece in PIECES.of(text):
        assert end <= piece.start < piece.end <= len(text)
        assert not any(sign.isspace() for sign in text[piece.start : piece.end])
        end = piece.end
