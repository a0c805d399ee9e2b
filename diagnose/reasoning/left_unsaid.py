"""What a customer leaves unsaid who was asked what else there is.

Rules
-----
- Who was asked the open question has told what he thinks matters; of what he could have noticed and
  did not name he speaks less often than of what is not there.
- Each cause is taken to be named by what it shows itself, so that silence is a factor on its odds:
  the chance that nothing of it was named. A state halfway up is named half as often as the last.
- Silence says nothing of what somebody asked about or looked at: that has its own answer.
"""

from __future__ import annotations

from collections.abc import Collection

import numpy as np

from diagnose.belief.compiled import Compiled
from diagnose.belief.network import Floats

__all__ = ["Unsaid"]


class Unsaid:
    """How silence about each finding bears on each cause, worked out once a pack."""

    def __init__(self, compiled: Compiled) -> None:
        knowledge = compiled.knowledge
        named = knowledge.pack.reporters.named
        self._findings: list[str] = []
        rows = []
        for card in knowledge.symptoms.values():
            finding = knowledge.findings[card.observes]
            share = card.named or named.get(finding.group, 0.0)
            if not card.ask or not share or finding.id in self._findings:
                continue
            links = compiled.network.structure.links[compiled.network.finding_index[finding.id]]
            states = len(finding.states)
            grade = np.arange(states) / (states - 1)
            told = np.zeros(len(compiled.causes))
            told[links.parents] = knowledge.chance(share) * (links.exactly @ grade)
            self._findings.append(finding.id)
            rows.append(np.log1p(-told))
        self._logs = np.array(rows).reshape(len(rows), len(compiled.causes))

    def factors(self, spoken: Collection[str]) -> Floats:
        """(causes,) factors on the odds, where only findings ``spoken`` of were named."""
        silent = [n for n, finding in enumerate(self._findings) if finding not in spoken]
        result: Floats = np.exp(self._logs[silent].sum(axis=0))
        return result
