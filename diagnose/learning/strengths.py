"""How strongly causes show: the cards' strengths and what was seen in closed jobs together.

A card's strength of a link counts as so many jobs in which the cause was found and the finding
looked at; the shop's own jobs are added (expectation maximisation, the mean of a Dirichlet
distribution as the step of maximisation):

    P(the cause alone brings about j) = (worth x card's chance + times it did) / (worth + jobs)

Rules
-----
- Findings nobody looked at say nothing. What was looked at was chosen by what was known by then, so
  that leaving out the rest bends nothing (missing at random, Rubin 1976).
- A report counts as far as its reporter is believed: what the finding was is not known but weighed.
- Several causes in a job share what was seen by the noisy-MAX of the network, with the leak, so
  that none is credited with another's sign.
- A job that was cured without anybody looking counts for each cause by its part.
- 'None of these' has no card: a job that names it says nothing here. Leaks stay the cards'.

Sources: Dempster, Laird & Rubin 1977, *Maximum likelihood from incomplete data via the EM
algorithm*; Rubin 1976, *Inference and missing data*, Biometrika 63.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from diagnose.belief.compiled import UNLISTED, Compiled
from diagnose.belief.network import Floats
from diagnose.belief.reports import report_table
from diagnose.knowledge.models import Check, Symptom, reports_of
from diagnose.learning.outcome import Outcome
from diagnose.learning.priors import interval

__all__ = ["LINK_WORTH", "LinkLine", "LinkTally", "fit"]

#: how many jobs with the cause found and the finding looked at a card's strength is worth (a
#: foreman's judgement)
LINK_WORTH = 20.0

#: causes in one job from which it teaches nothing: no telling which of them showed what
_MOST = 3
#: part of a job below which it is not worth counting
_LEAST_PART = 0.02
#: no learned chance goes nearer to 0 or 1
_EDGE = 0.002
_ROUNDS, _STILL = 60, 1e-4

#: reports on one finding: (ask, by, state) of each
_Signature = tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class LinkLine:
    """One link of a proposal.

    ``shown`` of ``looked`` jobs in which the cause was found and the finding looked at; ``low`` and
    ``high``: interval of that share at 95 %. ``before``, ``after``: chance of at least state 1..k
    from the cause alone.
    """

    cause: str
    finding: str
    shown: int
    looked: int
    low: float
    high: float
    before: tuple[float, ...]
    after: tuple[float, ...]

    @property
    def change(self) -> float:
        """Largest change of a chance."""
        return max(abs(a - b) for a, b in zip(self.after, self.before, strict=True))


@dataclass
class _Rows:
    """Jobs that are alike on one finding: whole ones, and parts of others."""

    whole: int = 0
    weight: float = 0.0


@dataclass
class LinkTally:
    """What was seen of findings in closed jobs, by the causes that were found.

    Parameters
    ----------
    compiled : the pack as its cards say, without anything learned.
    """

    compiled: Compiled
    _seen: dict[str, dict[tuple[tuple[int, ...], _Signature], _Rows]] = field(
        default_factory=dict, repr=False
    )

    def __post_init__(self) -> None:
        knowledge, network = self.compiled.knowledge, self.compiled.network
        self._cards: dict[str, Symptom | Check] = {**knowledge.symptoms, **knowledge.checks}
        self._states = {ask: {a.state for a in c.answers} for ask, c in self._cards.items()}
        self._parents = {table.name: frozenset(table.parents) for table in network.findings}
        self._likelihoods: dict[tuple[str, tuple[str, str, str]], Floats] = {}

    def add(self, outcome: Outcome, parts: Mapping[str, float]) -> None:
        """Count one closed job.

        Parameters
        ----------
        parts : where nobody looked, each cause's part in the job (`Tally.parts`).
        """
        index = self.compiled.network.cause_index
        if outcome.looked:
            causes = {index[cause] for cause in outcome.found if cause in index}
            if len(causes) < len(set(outcome.found)) or index[UNLISTED] in causes:
                return
            sets = [(frozenset(causes), 1.0)] if 0 < len(causes) <= _MOST else []
        else:
            sets = [(frozenset({index[c]}), w) for c, w in parts.items() if w >= _LEAST_PART]
        if not sets:
            return
        by_finding: dict[str, list[tuple[str, str, str]]] = {}
        for report in outcome.reports:
            ask, by, answer = report
            if answer in self._states.get(ask, ()):
                for finding, state in reports_of(self._cards[ask], answer).items():
                    by_finding.setdefault(finding, []).append((ask, by, state))
        for finding, reports in by_finding.items():
            rows = self._seen.setdefault(finding, {})
            signature = tuple(sorted(reports))
            for causes_present, weight in sets:
                linked = causes_present & self._parents[finding]
                if linked:
                    row = rows.setdefault((tuple(sorted(linked)), signature), _Rows())
                    row.whole += outcome.looked
                    row.weight += weight

    def propose(self, worth: float = LINK_WORTH) -> list[LinkLine]:
        """A line for each link that something was seen of, the largest change first."""
        lines = []
        for table in self.compiled.network.findings:
            rows = self._seen.get(table.name)
            if rows:
                lines += self._fitted(table.name, rows, worth)
        lines.sort(key=lambda line: (-line.change, line.cause, line.finding))
        return lines

    def _fitted(
        self,
        finding: str,
        rows: Mapping[tuple[tuple[int, ...], _Signature], _Rows],
        worth: float,
    ) -> list[LinkLine]:
        network = self.compiled.network
        table = network.findings[network.finding_index[finding]]
        place = {cause: n for n, cause in enumerate(table.parents)}
        nobody = len(place)  # stands in a job with fewer causes than others: brings about nothing
        present = np.full((len(rows), _MOST), nobody)
        likelihood = np.empty((len(rows), table.states))
        weight = np.array([row.weight for row in rows.values()])
        shown, looked = np.zeros(nobody, int), np.zeros(nobody, int)
        for r, ((causes, signature), row) in enumerate(rows.items()):
            parents = [place[cause] for cause in causes]
            present[r, : len(parents)] = parents
            likelihood[r] = self._likelihood(finding, signature)
            looked[parents] += row.whole
            shown[parents] += row.whole * int(np.argmax(likelihood[r]) > 0)
        card = np.vstack([_spread(table.at_least), np.eye(1, table.states)])
        learned = fit(card, _spread(table.leak[None])[0], present, likelihood, weight, worth)
        after = np.clip(np.cumsum(learned[:, ::-1], axis=1)[:, -2::-1], _EDGE, 1.0 - _EDGE)
        return [
            LinkLine(
                network.causes[cause],
                finding,
                int(shown[n]),
                int(looked[n]),
                *interval(float(shown[n]), float(looked[n])),
                tuple(table.at_least[n].tolist()),
                tuple(after[n].round(4).tolist()),
            )
            for cause, n in place.items()
            if (present == n).any() and network.causes[cause] != UNLISTED
        ]

    def _likelihood(self, finding: str, signature: _Signature) -> Floats:
        """(states,) likelihood of the reports on a finding together."""
        result: Floats = np.ones(1)
        for report in signature:
            if (finding, report) not in self._likelihoods:
                ask, by, state = report
                knowledge, states = self.compiled.knowledge, self.compiled.states(finding)
                trusted = report_table(knowledge, self._cards[ask], by, finding=finding)
                self._likelihoods[finding, report] = trusted[:, states.index(state)]
            result = result * self._likelihoods[finding, report]
        return result


def _spread(at_least: Floats) -> Floats:
    """(rows, states) chances of exactly each state, from those of at least states 1..k."""
    above = np.hstack([np.ones((len(at_least), 1)), at_least, np.zeros((len(at_least), 1))])
    return -np.diff(above, axis=1)


def fit(
    card: Floats,
    leak: Floats,
    present: np.ndarray,
    likelihood: Floats,
    weight: Floats,
    worth: float,
) -> Floats:
    """Chances of each state from each cause alone, learned.

    Parameters
    ----------
    card : (causes + 1, states) as the cards say; the last row stands for nobody.
    leak : (states,) what no cause brings about.
    present : (jobs, most) row numbers of the causes in each job, filled up with nobody.
    likelihood : (jobs, states) of the reports. weight : (jobs,) how many jobs each stands for.
    worth : how many jobs the card is worth.

    Returns
    -------
    (causes + 1, states)
    """
    now = card.copy()
    for _ in range(_ROUNDS):
        counts = np.zeros_like(card)
        below = np.cumsum(now, axis=1)[present]
        for slot in range(present.shape[1]):
            others = np.cumsum(leak) * np.delete(below, slot, axis=1).prod(axis=1)
            exactly = np.diff(others, axis=1, prepend=0.0)
            # This cause brings about j: it shows if the others stay at or below, else theirs does.
            theirs = np.cumsum((likelihood * exactly)[:, ::-1], axis=1)[:, ::-1]
            rest = np.hstack([theirs[:, 1:], np.zeros((len(theirs), 1))])
            share = now[present[:, slot]] * (likelihood * others + rest)
            share *= (weight / share.sum(axis=1))[:, None]
            np.add.at(counts, present[:, slot], share)
        after = (worth * card + counts) / (worth + counts.sum(axis=1, keepdims=True))
        after[-1] = card[-1]
        moved = float(np.abs(after - now).max())
        now = after
        if moved < _STILL:
            break
    return now
