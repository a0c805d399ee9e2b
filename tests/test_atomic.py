"""A reader never meets half a file, and a failure leaves nothing behind."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from diagnose.atomic import write_whole


def test_text_and_bytes_arrive_as_they_are(tmp_path: Path) -> None:
    path = tmp_path / "deep" / "down" / "file"
    write_whole(path, "öl\r\nair\n")
    assert path.read_bytes() == "öl\r\nair\n".encode()
    write_whole(path, b"\x00\xff")
    assert path.read_bytes() == b"\x00\xff"
    assert list(path.parent.iterdir()) == [path]


def test_what_cannot_be_written_leaves_the_old_words_and_nothing_beside(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "file"
    write_whole(path, "old")

    def full(self: Path, target: Path) -> Path:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(OSError, match="No space"):
        write_whole(path, "new")
    assert [(entry.name, entry.read_text()) for entry in tmp_path.iterdir()] == [("file", "old")]


def test_those_who_write_at_once_do_not_mix(tmp_path: Path) -> None:
    path = tmp_path / "file"
    texts = [sign * 20_000 for sign in "abcdefgh"]
    write_whole(path, texts[0])
    with ThreadPoolExecutor(4) as pool:
        written = [pool.submit(write_whole, path, text) for text in texts * 5]
        met = {path.read_text() for _ in range(50)}
    assert all(one.exception() is None for one in written)
    assert met <= set(texts)
    assert list(tmp_path.iterdir()) == [path]
