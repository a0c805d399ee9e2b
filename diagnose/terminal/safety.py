"""The safety screen: every caution that bears on the job, whole, one key away."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from diagnose.terminal.door import Block
from diagnose.terminal.screens import safety_blocks

if TYPE_CHECKING:
    from diagnose.conversation.conversation import Conversation
    from diagnose.conversation.prompts import Prompt
    from diagnose.job.events import Event

__all__ = ["all_cautions", "job_cautions"]


def job_cautions(
    conversation: Conversation, events: Sequence[Event], prompt: Prompt
) -> Callable[[int], list[Block]]:
    """Cautions of this step first, then those of the job as it is judged now, then the others."""
    from diagnose.job.state import fold
    from diagnose.reasoning.judgement import caution_lines, judge
    from diagnose.symptom_graph.cautions import every_caution

    reasoner = conversation.reasoner
    groups = [("For this step", [*prompt.first_words, *prompt.cautions])]
    job = fold(events)
    if job.complaint or job.reports:
        groups.append(("For this job", judge(reasoner, reasoner.view(job)).cautions))
    groups.append(("Further cautions", caution_lines(every_caution(reasoner.knowledge))))
    return lambda width: safety_blocks(groups, width)


def all_cautions(conversation: Conversation) -> Callable[[int], list[Block]]:
    """Every caution of the pack."""
    from diagnose.reasoning.judgement import caution_lines
    from diagnose.symptom_graph.cautions import every_caution

    cards = caution_lines(every_caution(conversation.reasoner.knowledge))
    return lambda width: safety_blocks([("Safety", cards)], width)
