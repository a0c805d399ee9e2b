"""Listed fault sets weighted so that they say of every cause what the exact sum says.

The list holds the likeliest sets only, of three causes at most. Whatever is worked out over it
would speak of another posterior than the one that is shown; the least change of its weights that
brings the chance of every cause, and of no cause, to the exact one makes it a sample of that.

Source: Deming & Stephan 1940, *On a least squares adjustment of a sampled frequency table*
(iterative proportional fitting); that it is the least change in information, Ireland & Kullback
1968, *Contingency tables with given marginals*.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from diagnose.belief.hypotheses import Hypotheses
from diagnose.belief.network import Floats

__all__ = ["raked"]

#: largest difference of a chance that is let stand, and sweeps over all causes at most
_CLOSE, _SWEEPS = 1e-4, 50


def raked(listed: Hypotheses, chances: Floats, none: float) -> Hypotheses:
    """The same sets under weights that agree with the exact chances.

    A cause that no listed set holds, or all of them hold, cannot be brought to its chance and is
    left as it is.

    Parameters
    ----------
    chances : (causes,) exact chance of each cause. none : exact chance of no cause.
    """
    groups = np.concatenate([listed.present, ~listed.present.any(axis=1, keepdims=True)], axis=1)
    wanted = np.concatenate([chances, [none]])
    free = groups.any(axis=0) & ~groups.all(axis=0) & (wanted > 0.0) & (wanted < 1.0)
    inside, wanted = groups[:, free].astype(float), wanted[free]
    weights = listed.weights / listed.weights.sum()
    for _ in range(_SWEEPS):
        if float(np.abs(weights @ inside - wanted).max(initial=0.0)) <= _CLOSE:
            break
        for column, chance in zip(inside.T, wanted, strict=True):
            held = float(weights @ column)
            if 0.0 < held < 1.0:
                weights = weights * np.where(
                    column > 0.0, chance / held, (1.0 - chance) / (1.0 - held)
                )
    return replace(listed, weights=weights / weights.sum())
