"""A row says by itself whether it is whole."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.job.events import Noted
from diagnose.records.faults import Damaged, NewerFile
from diagnose.records.rows import body_of, checksum, event_of
from tests.records.examples import whole_job


@pytest.mark.parametrize("number", range(11))
def test_there_and_back(number: int) -> None:
    event = whole_job(1)[number]
    body = body_of(event)
    assert event_of("1", number, body, checksum("1", number, body), where="") == event


@given(place=st.integers(0, 10_000), bit=st.integers(0, 6), text=st.text(max_size=40))
def test_any_single_flipped_bit_is_noticed(place: int, bit: int, text: str) -> None:
    body = body_of(Noted(text="".join(c for c in text if c.isprintable())))
    flipped = list(body)
    place %= len(body)
    flipped[place] = chr(ord(flipped[place]) ^ 1 << bit)
    with pytest.raises(Damaged, match="Event 3 of job 7"):
        event_of("7", 3, "".join(flipped), checksum("7", 3, body), where="here")


@pytest.mark.parametrize(("job", "number"), [("8", 3), ("7", 4)])
def test_a_row_in_another_place_is_noticed(job: str, number: int) -> None:
    body = body_of(Noted(text="x"))
    with pytest.raises(Damaged):
        event_of(job, number, body, checksum("7", 3, body), where="here")


@pytest.mark.parametrize("body", ["{}", '{"kind":"weighed"}', '{"kind":"noted","text":"a","b":1}'])
def test_what_this_version_does_not_know(body: str) -> None:
    with pytest.raises(NewerFile, match="update this one"):
        event_of("7", 3, body, checksum("7", 3, body), where="here")
