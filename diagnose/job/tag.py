"""Which shock this is: the bench's top line, and when a tag has to be read again.

Rules
-----
- A job's tag carries the job's name, unless another was noted; its last two digits are read back.
- A reading is taken for the shock in hand. Where the same person had another job in hand since
  this one's tag was read last, the tag is asked for before a reading counts.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from diagnose.job.state import JobState
from diagnose.knowledge.device import Device

__all__ = ["Touch", "other_in_hand", "tag_digits", "top_line"]


class Touch(NamedTuple):
    """Who wrote to a job last, and when: ``number`` only grows from one event to the next."""

    job: str
    person: str
    number: int


def tag_digits(name: str, noted: object = None) -> str:
    """The last two digits of a job's tag; empty where it has fewer.

    Parameters
    ----------
    name : the job's. noted : what was noted of the tag, where it is not the job's name.

    >>> tag_digits("1125-07"), tag_digits("1125-07", "blue 142")
    ('07', '42')
    """
    digits = [sign for sign in str(noted or name) if sign.isdigit()]
    return "".join(digits[-2:]) if len(digits) >= 2 else ""


def other_in_hand(job: str, person: str, touches: Iterable[Touch], since: int) -> bool:
    """Whether this person, or somebody not named, wrote to another job after event ``since``.

    >>> other_in_hand("1125-07", "AB", [Touch("1125-09", "AB", 31)], since=30)
    True
    >>> other_in_hand("1125-07", "AB", [Touch("1125-09", "CD", 31)], since=30)
    False
    """
    return any(
        touch.job != job
        and touch.number > since
        and (touch.person == person or not touch.person or not person)
        for touch in touches
    )


def top_line(name: str, job: JobState, device: Device) -> str:
    """Job, tag, shock, and what may hold pressure, in as few words as a narrow screen needs."""
    chambers = job.chambers(device)
    held = [chamber for chamber, holds in chambers.items() if holds]
    empty = [chamber for chamber, holds in chambers.items() if not holds]
    left = f"{device.holds}: {', '.join(held)}" if held else f"no {device.holds} left"
    known = f"; empty: {', '.join(empty)}" if empty and held else ""
    digits = tag_digits(name, job.facts.tag)
    head = f"{name}, tag {digits}" if digits else name or "not stored yet"
    return f"{head} | {_shock(job, device)} | {left}{known}"


def _shock(job: JobState, device: Device) -> str:
    """The shock in a word or two: its sheet, or its lengths."""
    if job.facts.sheet:
        return job.facts.sheet
    lengths = [job.shock.get(name) for name in device.named_by]
    shown = " x ".join(f"{length:g}" for length in lengths if isinstance(length, (int, float)))
    return f"{shown} mm" if shown else "shock not measured"
