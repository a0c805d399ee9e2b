"""Rows of an SQLite file read straight from its pages, for a file that SQLite refuses to read.

No head, pointer or type of page is trusted: every page is read as if it held rows, and whoever asks
must know by a checksum which rows are real. The format is that of 'Database File Format',
sqlite.org/fileformat2.html, sections 1.5, 1.6, 2.1 and 4.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from pathlib import Path
from typing import IO

__all__ = ["Value", "rows_of"]

Value = None | int | float | bytes

# bytes, by the file format of SQLite
_WAL_HEAD = 32
_FRAME_HEAD = 24


def rows_of(path: Path, page_size: int) -> Iterator[tuple[int, list[Value]]]:
    """(row number, values) of all that could be a row; of two versions, the later comes later.

    Parameters
    ----------
    path : the database file; its write-ahead log is read too.
    page_size : size of a page [bytes].
    """
    log = path.with_name(path.name + "-wal")
    frames = list(_frames(log, page_size)) if log.exists() else []
    with path.open("rb") as file:
        reader = _Reader(file, page_size, dict(frames))
        for number in range(1, path.stat().st_size // page_size + 2):
            yield from reader.rows(number, reader.in_file(number))
        for number, page in frames:
            yield from reader.rows(number, page)


def _frames(log: Path, page_size: int) -> Iterator[tuple[int, bytes]]:
    """(page number, page) of the committed frames of a write-ahead log, in order."""
    waiting: list[tuple[int, bytes]] = []
    with log.open("rb") as file:
        salts = file.read(_WAL_HEAD)[16:24]
        while len(frame := file.read(_FRAME_HEAD + page_size)) == _FRAME_HEAD + page_size:
            number, size_after_commit = struct.unpack_from(">II", frame)
            if frame[8:16] != salts:
                return  # left over from before the log was begun again
            waiting.append((number, frame[_FRAME_HEAD:]))
            if size_after_commit:
                yield from waiting
                waiting.clear()


class _Reader:
    """Pages by number, those of the log before those of the file."""

    def __init__(self, file: IO[bytes], size: int, newer: dict[int, bytes]) -> None:
        self._file = file
        self._size = size
        self._newer = newer

    def in_file(self, number: int) -> bytes:
        """The page as it is in the file; short or empty at a broken end."""
        self._file.seek((number - 1) * self._size)
        return self._file.read(self._size)

    def rows(self, number: int, page: bytes) -> Iterator[tuple[int, list[Value]]]:
        """(row number, values) of each cell of a page that can be read as a row."""
        start = 100 if number == 1 else 0
        if len(page) < start + 8:
            return
        cells = int.from_bytes(page[start + 3 : start + 5], "big")
        for index in range(min(cells, (len(page) - start - 8) // 2)):
            at = start + 8 + 2 * index
            try:
                length, cell = _varint(page, int.from_bytes(page[at : at + 2], "big"))
                row, cell = _varint(page, cell)
                values = _values(self._payload(page, cell, length))
            except (IndexError, ValueError, struct.error):
                continue
            yield row, values

    def _payload(self, page: bytes, at: int, length: int) -> bytes:
        """All bytes of a cell, with those that did not fit into its page."""
        most = self._size - 35
        if length <= most:
            payload = page[at : at + length]
        else:
            least = (self._size - 12) * 32 // 255 - 23
            inside = least + (length - least) % (self._size - 4)
            inside = inside if inside <= most else least
            parts = [page[at : at + inside]]
            following = int.from_bytes(page[at + inside : at + inside + 4], "big")
            missing = length - inside
            seen: set[int] = set()
            while missing > 0:
                if following == 0 or following in seen:
                    raise ValueError("the chain of pages is broken")
                seen.add(following)
                more = self._newer.get(following) or self.in_file(following)
                part = more[4 : 4 + missing]
                if not part:
                    raise ValueError("the chain of pages ends early")
                parts.append(part)
                missing -= len(part)
                following = int.from_bytes(more[:4], "big")
            payload = b"".join(parts)
        if len(payload) != length:
            raise ValueError("the cell reaches beyond its page")
        return payload


def _varint(data: bytes, at: int) -> tuple[int, int]:
    """(value, place after it) of a number of one to nine bytes."""
    value = 0
    for index in range(8):
        byte = data[at + index]
        value = value << 7 | byte & 0x7F
        if byte < 0x80:
            return value, at + index + 1
    return value << 8 | data[at + 8], at + 9


#: serial type -> bytes, by the file format of SQLite
_INTEGER_SIZES = {1: 1, 2: 2, 3: 3, 4: 4, 5: 6, 6: 8}


def _values(payload: bytes) -> list[Value]:
    """The values of a record; texts as bytes."""
    end, at = _varint(payload, 0)
    body = end
    values: list[Value] = []
    while at < end:
        kind, at = _varint(payload, at)
        if kind == 0:
            value: Value = None
            size = 0
        elif kind in _INTEGER_SIZES:
            size = _INTEGER_SIZES[kind]
            value = int.from_bytes(payload[body : body + size], "big", signed=True)
        elif kind == 7:
            size = 8
            (value,) = struct.unpack_from(">d", payload, body)
        elif kind in {8, 9}:
            value, size = kind - 8, 0
        elif kind >= 12:
            size = (kind - 12) // 2
            value = payload[body : body + size]
        else:
            raise ValueError("no such kind of value")
        body += size
        if body > len(payload):
            raise ValueError("the value reaches beyond its record")
        values.append(value)
    return values
