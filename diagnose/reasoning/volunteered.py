"""What a customer brings up unasked is chosen among all that there is to say.

A question put to everybody is answered with the chance that the cards give. A thing that somebody
brings up was also *chosen*: who has six things to complain of names each of them less often than
who has one. Without that, causes with many signs and several causes at once gain from every word,
and 'nothing is wrong' loses; each thing brought up therefore counts over how much there was to say
in that state of the world, worked out for each cause alone. The first thing is why they came at
all: jobs are counted by those who come, so it is in the rates of the causes already.

Source: common practice (no source); the correction is that of sampling in proportion to size.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from diagnose.belief.compiled import Compiled, odds_for
from diagnose.belief.network import Floats
from diagnose.belief.reports import report_table
from diagnose.job.state import JobState
from diagnose.reasoning.evidence import Item

__all__ = ["brought_up", "choice_odds", "job_odds"]


def choice_odds(compiled: Compiled) -> Floats:
    """(causes,) factor on the odds of each cause for each thing brought up.

    How much there is to say with nothing wrong over how much with this cause alone; a severe state
    counts for more.
    """
    network = compiled.network
    alone = np.eye(len(network.causes) + 1, len(network.causes), -1, dtype=bool)
    chances = network.state_chances(alone)
    much = np.zeros(len(alone))
    for card in compiled.knowledge.symptoms.values():
        states = compiled.states(card.observes)
        if not any(state in card.phrases for state in states[1:]):
            continue
        start = int(network.state_offsets[network.finding_index[card.observes]])
        table = report_table(compiled.knowledge, card, "customer", unasked=True)
        told = chances[:, start : start + len(states)] @ table
        much += told[:, 1:] @ np.arange(1.0, len(states))
    factors: Floats = much[0] / much[1:]
    return factors


def job_odds(compiled: Compiled, choice: Floats, job: JobState, items: Iterable[Item]) -> Floats:
    """(causes,) odds of each cause for this shock, after what was chosen to be said."""
    chosen = max(0.0, brought_up(compiled, items) - 1.0)
    result: Floats = odds_for(compiled, job.shock) * choice**chosen
    return result


def brought_up(compiled: Compiled, items: Iterable[Item]) -> float:
    """How many things that are not well the customer brought up, by how sure the words are."""
    return sum(
        item.certainty
        for item in items
        if item.words and item.state != compiled.states(item.finding)[0]
    )
