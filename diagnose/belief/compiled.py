"""Cards become numbers: one network for a pack, prior odds for one shock.

Rules
-----
- The structure (findings, parents, strengths) depends on the knowledge alone; what is known of the
  shock, and where its job came from, change the prior only, so that one compiled pack serves every
  job.
- A counter sends most jobs of set-up and handling home, a bench hardly meets them: two priors, each
  scaled by itself. Where a job came from does not change when it is handed on.
- An unknown context is the mean over its bands; an unknown feature leaves the rate as it is; a
  part that the shock lacks removes its causes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from diagnose.belief.network import FindingTable, Floats, Network
from diagnose.belief.priors import scale_odds
from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import Cause, Finding, Place, rate_at

__all__ = ["UNLISTED", "Compiled", "compile_pack", "network_for"]

#: id of 'none of these', a cause without a card
UNLISTED = "unlisted"


@dataclass(frozen=True)
class Compiled:
    """A pack as numbers.

    Attributes
    ----------
    network : with the prior of a shock of which nothing is known, come in at the counter.
    at_bench : the same for one that came straight to the bench.
    causes : ids in network order, `UNLISTED` last.
    findings : ids in network order.
    """

    knowledge: Knowledge
    network: Network
    at_bench: Network

    @property
    def causes(self) -> tuple[str, ...]:
        return self.network.causes

    def finding(self, ident: str) -> Finding:
        return self.knowledge.findings[ident]

    def states(self, finding: str) -> list[str]:
        return self.knowledge.findings[finding].states

    @cached_property
    def context_factors(self) -> dict[str, dict[str, Floats]]:
        """Context -> band -> (causes,) factor on the odds; its mean over the bands is 1."""
        found: dict[str, dict[str, Floats]] = {}
        for name, context in self.knowledge.pack.contexts.items():
            shares = np.array([band.share for band in context.bands])
            table = np.ones((len(self.causes), len(shares)))
            for i, cause in enumerate(self.knowledge.causes.values()):
                own = cause.context.get(name, {})
                table[i] = [own.get(band.id, 1.0) for band in context.bands]
            table /= (table @ shares / shares.sum())[:, None]
            found[name] = {band.id: table[:, n] for n, band in enumerate(context.bands)}
        return found

    @cached_property
    def needs(self) -> tuple[tuple[int, str, bool], ...]:
        """Index of a cause, the feature that it needs, and whether there or missing."""
        causes = self.knowledge.causes.values()
        return tuple(
            (i, feature, wanted)
            for i, cause in enumerate(causes)
            for feature, wanted in cause.needs.items()
        )

    @cached_property
    def prior_states(self) -> dict[str, Floats]:
        """Chance of each state of each finding in a job of which nothing is known, exact."""
        network = self.network
        below = np.exp(network.log_miss)
        grown = np.expm1(np.log1p(network.odds[:, None] * below).sum(axis=0))
        whole = float(np.expm1(np.log1p(network.odds).sum())) + network.empty_weight
        cumulative = np.exp(network.log_leak_miss) * (network.empty_weight + grown) / whole
        result = {}
        for f, table in enumerate(network.findings):
            part = cumulative[int(network.offsets[f]) : int(network.offsets[f + 1])]
            result[table.name] = np.diff(np.concatenate([[0.0], part, [1.0]]))
        return result


def compile_pack(
    knowledge: Knowledge,
    rates: Mapping[str, float] | None = None,
    strengths: Mapping[str, Mapping[str, Sequence[float]]] | None = None,
) -> Compiled:
    """Compile a pack.

    Parameters
    ----------
    knowledge : cards that passed all checks.
    rates : jobs in a thousand by cause id, learned from closed jobs; they move the card's rates of
    both places by the same factor, because closed jobs are counted together.
    strengths : cause -> finding -> chances of at least state 1..k, learned likewise.
    """
    ids = [*knowledge.causes, UNLISTED]
    index = {ident: i for i, ident in enumerate(ids)}
    learned = strengths or {}
    tables = [_table(knowledge, finding, index, learned) for finding in knowledge.findings.values()]
    network = Network(ids, *_prior(knowledge, "counter", rates or {}), tables)
    return Compiled(knowledge, network, network.with_odds(*_prior(knowledge, "bench", rates or {})))


def _prior(knowledge: Knowledge, at: Place, rates: Mapping[str, float]) -> tuple[Floats, float]:
    """(causes,) odds and the weight of the empty set, of jobs that come from there."""
    pack = knowledge.pack
    own = (_rate(cause, at, rates) for cause in knowledge.causes.values())
    return scale_odds(
        np.array([*own, pack.unlisted_per_1000]) / 1000.0,
        rate_at(pack.no_fault_per_1000, at) / 1000.0,
        pack.second_fault_per_100 / 100.0,
    )


def _rate(cause: Cause, at: Place, rates: Mapping[str, float]) -> float:
    rate = rate_at(cause.per_1000, at)
    if cause.id in rates:
        rate *= rates[cause.id] / rate_at(cause.per_1000, "counter")
    return rate


def _table(
    knowledge: Knowledge,
    finding: Finding,
    index: Mapping[str, int],
    learned: Mapping[str, Mapping[str, Sequence[float]]],
) -> FindingTable:
    parents, rows = [], []
    for cause in knowledge.causes.values():
        if finding.id in cause.links:
            parents.append(index[cause.id])
            row = learned.get(cause.id, {}).get(finding.id)
            rows.append(list(row or knowledge.at_least(finding, cause.links[finding.id])))
    leak = knowledge.at_least(finding, finding.leak)
    weak = knowledge.pack.unlisted_strength
    parents.append(index[UNLISTED])
    rows.append([weak / 2.0**s for s in range(len(finding.states) - 1)])
    return FindingTable(finding.id, np.array(leak), tuple(parents), np.array(rows))


def network_for(compiled: Compiled, shock: Mapping[str, object], at: Place = "counter") -> Network:
    """The network under the prior of a shock of which these fields are known.

    Parameters
    ----------
    shock : feature -> bool, context field -> number or word; unknown fields are left out.
    at : where its job came from.
    """
    knowledge = compiled.knowledge
    network = compiled.at_bench if at == "bench" else compiled.network
    odds = network.odds.copy()
    for name, by_band in compiled.context_factors.items():
        band = _band(knowledge, name, shock)
        if band is not None:
            odds *= by_band[band]
    for i, feature, wanted in compiled.needs:
        known = shock.get(feature)
        if known is not None:
            share = knowledge.pack.features[feature]
            odds[i] *= (1.0 / (share if wanted else 1.0 - share)) if known == wanted else 0.0
    return network.with_odds(odds)


def _band(knowledge: Knowledge, name: str, shock: Mapping[str, object]) -> str | None:
    context = knowledge.pack.contexts[name]
    value = shock.get(context.field)
    if value is None:
        return None
    for band in context.bands:
        if band.value is not None:
            if band.value == value:
                return band.id
        elif band.below is None or (isinstance(value, (int, float)) and value < band.below):
            return band.id
    return None
