"""What a step would spoil goes before it, where it is worth doing at all.

A pump on the valve ends the pressure as it was found, and nobody finds it again. The look-ahead
does not know that: to it, both checks can still follow. Of two that are both worth doing the order
changes nothing but this: the one that needs the shock as it came in loses nothing by going first,
and everything by going second. What tells too little to be asked for its own sake
(`policy.Open.bits`), or clearly less for its price than the step, is let go: nobody sits on a shock
for its sag before the soap comes out.
"""

from __future__ import annotations

from dataclasses import replace

from diagnose.reasoning.advice import Advice
from diagnose.reasoning.asking_on import told_of_plan
from diagnose.strategy.policy import OPEN

__all__ = ["unspoiled_first"]

#: share of what the step tells for its price that the other must tell (a foreman's judgement)
_SHARE = 0.5


def unspoiled_first(advice: Advice) -> Advice:
    """The same advice, its step after what it would spoil."""
    belief = advice.decision.belief
    checks, device = belief.prepared.knowledge.checks, belief.prepared.knowledge.device
    if advice.step not in checks:
        return advice
    spoiled = device.spoils(checks[advice.step].does)
    ids = [option.id for option in advice.options]
    waiting = [n for n, i in enumerate(ids) if i in checks and spoiled & {*checks[i].needs}]
    if not waiting or advice.step not in ids:
        return advice
    told, prices = told_of_plan(advice.decision, advice.options)
    worth = told / (prices + 1.0)
    least = _SHARE * worth[ids.index(advice.step)]
    bits = OPEN[belief.job.at].bits
    better = [n for n in waiting if told[n] >= bits and worth[n] >= least]
    if not better:
        return advice
    # The step itself may need what it spoils, and then it is among them.
    return replace(advice, step=ids[max(better, key=lambda n: worth[n])])
