"""Rows read from pages are the rows that SQLite itself reads."""

from __future__ import annotations

import sqlite3
import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.records.pages import rows_of

CELL = st.one_of(
    st.none(),
    st.integers(-(2**63), 2**63 - 1),
    st.floats(allow_nan=False),
    st.binary(max_size=60),
    st.text(st.characters(codec="utf-8"), max_size=40),
    st.integers(0, 30_000).map(lambda size: b"x" * size),
)


@settings(max_examples=40)
@given(rows=st.lists(st.tuples(CELL, CELL, CELL), max_size=30), page=st.sampled_from([512, 4096]))
def test_what_sqlite_reads(rows: list[tuple[object, ...]], page: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "some.sqlite3"
        made = sqlite3.connect(file)
        made.execute(f"PRAGMA page_size={page}")
        made.execute("CREATE TABLE t (a BLOB, b BLOB, c BLOB)")
        made.executemany("INSERT INTO t VALUES (?, ?, ?)", rows)
        made.commit()
        made.close()
        found = {
            number: row
            for number, row in rows_of(file, page)
            if len(row) == 3 and row[0] != b"table"
        }
        wanted = {
            number: [value.encode() if isinstance(value, str) else value for value in row]
            for number, row in enumerate(rows, 1)
        }
        assert {number: found[number] for number in wanted} == wanted


@given(noise=st.binary(max_size=3000))
@settings(max_examples=60)
def test_noise_gives_rows_or_nothing_but_no_fault(noise: bytes) -> None:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "noise"
        file.write_bytes(noise)
        file.with_name("noise-wal").write_bytes(noise[::-1])
        for number, row in rows_of(file, 512):
            assert isinstance(number, int)
            assert isinstance(row, list)


def test_a_ring_of_pages_ends() -> None:
    # One cell of 5000 bytes on a page of 512, whose chain of further pages leads back to itself.
    page = bytearray(512)
    page[0] = 13
    page[3:5] = (1).to_bytes(2, "big")
    page[8:10] = (100).to_bytes(2, "big")
    page[100:103] = bytes([0x80 | 5000 >> 7, 5000 & 0x7F, 1])
    least = (512 - 12) * 32 // 255 - 23
    inside = least + (5000 - least) % (512 - 4)
    inside = inside if inside <= 512 - 35 else least
    page[103 + inside : 107 + inside] = (2).to_bytes(4, "big")
    ring = (2).to_bytes(4, "big") + bytes(508)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "ring"
        file.write_bytes(bytes(512) + ring + bytes(page))
        assert list(rows_of(file, 512)) == []


def test_a_missing_file(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        list(rows_of(tmp_path / "nowhere", 512))
