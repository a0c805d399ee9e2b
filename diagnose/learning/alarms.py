"""Where the knowledge misses something: causes found that nobody expected, and the reverse.

For each cause, what was believed of it in job after job adds up to how often it should have been
found. Too far off in either direction, or found several times and never among the likely ones, is
an alarm for whoever writes the cards; nothing is changed by it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from math import sqrt
from typing import Literal

from diagnose.belief.compiled import UNLISTED
from diagnose.learning.outcome import Outcome

__all__ = ["LATEST", "Alarm", "alarms"]

#: alarms look at so many closed jobs, the latest: older ones were judged by older knowledge
LATEST = 2000

#: finds from which 'never expected' is said
_OFTEN = 3
#: belief below which a cause was not expected
_EXPECTED = 0.05
#: standard deviations from which too many or too few is said; there are a hundred causes to look at
_FAR = 3.5


@dataclass(frozen=True)
class Alarm:
    """``found`` times, where ``expected`` were; ``jobs``: the latest of them, to read."""

    kind: Literal["never_expected", "too_many", "too_few"]
    cause: str
    found: int
    expected: float
    jobs: tuple[str, ...]


def alarms(seen: Iterable[tuple[str, Outcome]]) -> list[Alarm]:
    """Alarms over closed jobs, the strangest first; jobs in which nobody looked say nothing.

    Parameters
    ----------
    seen : name and outcome of each, the latest first.
    """
    found: defaultdict[str, list[str]] = defaultdict(list)
    surprising: defaultdict[str, int] = defaultdict(int)
    expected: defaultdict[str, float] = defaultdict(float)
    spread: defaultdict[str, float] = defaultdict(float)
    for name, job in seen:
        if not job.looked or not job.believed:
            continue
        for cause, chance in job.believed.items():
            expected[cause] += chance
            spread[cause] += chance * (1.0 - chance)
        for cause in job.found:
            found[cause].append(name)
            surprising[cause] += job.believed.get(cause, 0.0) < _EXPECTED
    rows: list[tuple[float, Alarm]] = []
    for cause in sorted({*found, *expected}):
        count, wanted = len(found[cause]), expected[cause]
        far = (count - wanted) / sqrt(spread[cause] + 0.25)
        jobs = tuple(found[cause][:5])
        # 'None of these' is never expected by design; only too many of it says something.
        if count >= _OFTEN and surprising[cause] == count and cause != UNLISTED:
            rows.append((1e3 + far, Alarm("never_expected", cause, count, wanted, jobs)))
        elif abs(far) >= _FAR:
            kind: Literal["too_many", "too_few"] = "too_many" if far > 0 else "too_few"
            rows.append((abs(far), Alarm(kind, cause, count, wanted, jobs)))
    rows.sort(key=lambda row: (-row[0], row[1].cause))
    return [alarm for _, alarm in rows]
