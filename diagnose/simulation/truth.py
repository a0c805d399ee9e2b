"""Draws what is wrong with a shock: a set of causes from the pack's own prior.

The prior is ``P(S) = w**[S is empty] * prod(odds[i] for i in S) / Z``. Drawn exactly: first whether
anything is present, then the first present cause, then every later one by itself.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from diagnose.belief.compiled import Compiled, network_for
from diagnose.belief.network import Floats

__all__ = ["draw_set", "sample_shock", "sample_truth"]


def draw_set(odds: Floats, empty_weight: float, rng: np.random.Generator) -> list[int]:
    """Indices of the present causes.

    Parameters
    ----------
    odds : (n,) prior odds, >= 0. empty_weight : weight of the empty set, > 0.
    """
    grown = float(np.expm1(np.log1p(odds).sum()))
    if rng.random() * (empty_weight + grown) < empty_weight:
        return []
    chances = odds / (1.0 + odds)
    none_before = np.concatenate([[1.0], np.cumprod(1.0 - chances)[:-1]])
    first_chances = chances * none_before
    first = int(rng.choice(len(odds), p=first_chances / first_chances.sum()))
    later = np.flatnonzero(rng.random(len(odds)) < chances)
    return [first, *(int(i) for i in later if i > first)]


def sample_truth(
    compiled: Compiled, rng: np.random.Generator, shock: Mapping[str, object] | None = None
) -> frozenset[str]:
    """Ids of the causes that are present in one job; empty when nothing is wrong.

    Parameters
    ----------
    shock : what is known of the shock, as `network_for` takes it.
    """
    network = network_for(compiled, shock or {})
    chosen = draw_set(network.odds, network.empty_weight, rng)
    return frozenset(compiled.causes[i] for i in chosen)


def sample_shock(compiled: Compiled, rng: np.random.Generator) -> dict[str, object]:
    """Features and context fields of one shock, by their shares of jobs."""
    pack = compiled.knowledge.pack
    shock: dict[str, object] = {name: bool(rng.random() < p) for name, p in pack.features.items()}
    for context in pack.contexts.values():
        shares = np.array([band.share for band in context.bands])
        n = int(rng.choice(len(shares), p=shares / shares.sum()))
        band = context.bands[n]
        if band.value is not None:
            shock[context.field] = band.value
            continue
        low = context.bands[n - 1].below or 0.0 if n else 0.0
        high = band.below if band.below is not None else low + max(low, 1.0)
        shock[context.field] = float(rng.uniform(low, high))
    return shock
