"""What cards say of each other: every contradiction and dangling id at once.

Each check is a pure function from the knowledge to problems with file and line.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from diagnose.errors import Problem
from diagnose.knowledge.cross_checks.bench import acts_are_shared, readings_fit, tools_are_known
from diagnose.knowledge.cross_checks.causes import causes_fit, insides_told, look_alikes_settled
from diagnose.knowledge.cross_checks.deeds import told_is_done
from diagnose.knowledge.cross_checks.device import device_fits, words_are_the_devices
from diagnose.knowledge.cross_checks.drawing import drawing_fits, pointed_is_drawn
from diagnose.knowledge.cross_checks.findings import findings_fit, seen_with_holds
from diagnose.knowledge.cross_checks.frames import (
    conditions_fit,
    frames_fit,
    told_are_chances,
)
from diagnose.knowledge.cross_checks.names import (
    counts_hold,
    ids_once,
    retired_are_replaced,
    sources_exist,
)
from diagnose.knowledge.cross_checks.observers import observers_fit
from diagnose.knowledge.cross_checks.pack import pack_fits
from diagnose.knowledge.cross_checks.safety import floors_fit, hazards_fit
from diagnose.knowledge.cross_checks.second_opinion import opinions_agree
from diagnose.knowledge.cross_checks.stages import asks_reached, jobs_fit, sheets_fit
from diagnose.knowledge.loader import Knowledge, Lines

__all__ = ["CHECKS", "find_problems"]


def find_problems(
    knowledge: Knowledge, lines: Lines, form: Iterable[Problem] = ()
) -> list[Problem]:
    """All problems between cards.

    Parameters
    ----------
    form : problems of form; that a card names one which could not be read is no problem of its own.
    """
    # What stands in a block is told once, however many sheets have it.
    unread = {f"'{problem.file.rpartition('/')[2].removesuffix('.yaml')}'" for problem in form}
    return list(
        dict.fromkeys(
            problem
            for check in CHECKS
            for problem in check(knowledge, lines)
            if not any(ident in problem.what for ident in unread)
        )
    )


CHECKS: tuple[Callable[[Knowledge, Lines], Iterator[Problem]], ...] = (
    ids_once,
    causes_fit,
    look_alikes_settled,
    findings_fit,
    seen_with_holds,
    observers_fit,
    frames_fit,
    conditions_fit,
    told_are_chances,
    readings_fit,
    tools_are_known,
    acts_are_shared,
    device_fits,
    words_are_the_devices,
    told_is_done,
    drawing_fits,
    pointed_is_drawn,
    sheets_fit,
    asks_reached,
    insides_told,
    jobs_fit,
    hazards_fit,
    pack_fits,
    floors_fit,
    opinions_agree,
    sources_exist,
    counts_hold,
    retired_are_replaced,
)
