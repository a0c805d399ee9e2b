"""Jobs for the tests of paper, judged by the knowledge of this checkout."""

from __future__ import annotations

from typing import Any

from diagnose.job.events import Event
from diagnose.job.job_file import events_of
from diagnose.job.state import JobState, fold
from diagnose.reasoning.judgement import Judgement, judge
from tests.real_pack import shop_knowledge
from tests.real_pack import shop_reasoner as reasoner

__all__ = ["NASTY", "judged", "reasoner"]

#: what a customer may paste: code, a terminal's escape, a change of direction, one long word
NASTY = "loses air overnight <script>alert(1)</script> \x1b[2J \u202e & " + "w" * 120


def judged(data: dict[str, Any], *more: Event) -> tuple[Judgement, JobState]:
    """A job as it is typed, with events after it, and what is said of it."""
    events, warnings = events_of(data, shop_knowledge())
    job = fold([*events, *more])
    return judge(reasoner(), reasoner().view(job), warnings), job
