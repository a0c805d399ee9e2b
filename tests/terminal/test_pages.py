"""Every line is on just one page, and an answer counts from the page that shows it."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from diagnose.terminal.door import Block
from diagnose.terminal.pages import paged


def numbered(sizes: list[int]) -> list[Block]:
    return [
        Block(tuple((("", f"line {n} {i}"),) for i in range(size)), frozenset({str(n)}))
        for n, size in enumerate(sizes)
    ]


BLOCKS = st.lists(st.integers(1, 14), max_size=12).map(numbered)


@given(BLOCKS, st.integers(1, 20))
def test_nothing_is_lost_doubled_or_too_high(blocks: list[Block], height: int) -> None:
    pages = paged(blocks, height)
    assert all(len(page.lines) <= height for page in pages)
    assert [x for page in pages for x in page.lines] == [x for b in blocks for x in b.lines]
    assert {k for page in pages for k in page.keys} == {k for b in blocks for k in b.keys}


@given(BLOCKS, st.integers(1, 20))
def test_a_key_comes_with_the_end_of_its_words(blocks: list[Block], height: int) -> None:
    for page in paged(blocks, height):
        for block in blocks:
            if block.keys <= page.keys:
                assert block.lines[-1] in page.lines


def test_a_block_that_fits_is_not_broken() -> None:
    assert [len(page.lines) for page in paged(numbered([1, 3, 2]), 3)] == [1, 3, 2]


def test_a_page_does_not_begin_with_a_blank_line() -> None:
    blocks = [*numbered([2]), Block(((), (("", "heading"),)))]
    assert [len(page.lines) for page in paged(blocks, 2)] == [2, 1]
