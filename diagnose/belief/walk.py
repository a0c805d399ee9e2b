"""The walk through the causes that tie several open findings together.

A finding opens at the first of its shared causes and meets its evidence after the last, so that
only few are open at once. Carried is one number for each combination of 'largest state so far' of
the open findings, in two rows: no cause so far, and some cause (the empty set has a weight of its
own). Each step only adds and multiplies non-negative numbers.

Tables are (rows, states, batch): the batch runs fastest, so that thousands of odds vectors cost
little more than one.

Source: Zhang & Poole 1996, *Exploiting causal independence in Bayesian network inference*, JAIR 5,
for eliminating causes through maxima of independent effects.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from diagnose.belief.network import Floats

__all__ = ["Memory", "Walk"]

#: (below, exactly) of one cause on one finding, each (states,)
Effect = tuple[Floats, Floats]


@dataclass(frozen=True)
class _Step:
    """One cause: findings to open as last axes, effects, axes to close, highest first.

    ``effects`` are (states before the axis, its states, states after, below, exactly);
    ``closes`` are (states before, its states, states after, finding).
    """

    cause: int
    opens: tuple[int, ...]
    width: int
    effects: tuple[tuple[int, int, int, Floats, Floats], ...]
    closes: tuple[tuple[int, int, int, int], ...]


@dataclass
class Memory:
    """What the way back needs: tables before each opening and before each cause."""

    opened: list[Floats] = field(default_factory=list)
    before: list[Floats] = field(default_factory=list)


class Walk:
    """The order and layout for one pattern of shared causes.

    Parameters
    ----------
    touches : (causes, findings) which shared cause acts on which open finding.
    sizes : states of each finding.
    effects : for each cause, finding -> its effect.
    """

    def __init__(
        self,
        touches: npt.NDArray[np.bool_],
        sizes: Sequence[int],
        effects: Sequence[dict[int, Effect]],
    ) -> None:
        self._steps = _lay_out(_order(touches, sizes), sizes, effects)
        #: largest number of states carried at once
        self.widest = max((step.width for step in self._steps), default=1)
        #: states carried over all steps, a measure of the time it takes
        self.effort = sum(step.width * (2 + len(step.effects)) for step in self._steps)

    def forward(
        self,
        odds: Floats,
        none: Floats,
        some: Floats,
        likelihoods: Sequence[Floats],
        memory: Memory | None,
    ) -> tuple[Floats, Floats]:
        """Carry the table through all shared causes.

        Parameters
        ----------
        odds : (causes, batch). none, some : (findings, states, batch) weight of each state without
        any cause and with some cause, from the leak and the causes of that finding alone.

        Returns
        -------
        (batch,) weights without and with some cause; findings without a shared cause left out.
        """
        batch = odds.shape[1]
        carried = np.zeros((2, 1, batch))
        carried[0] = 1.0
        for step in self._steps:
            for f in step.opens:
                size = len(likelihoods[f])
                bare, rest = none[f, None, :size], some[f, None, :size]
                if memory is not None:
                    memory.opened.append(carried[0] + carried[1])
                wider = carried[:, :, None] * bare
                wider[1] += carried.sum(axis=0)[:, None] * rest
                carried = wider.reshape(2, -1, batch)
            before = carried[0] + carried[1]
            if memory is not None:
                memory.before.append(before)
            moved = before * odds[step.cause]
            for left, size, right, below, exactly in step.effects:
                _raise(moved.reshape(left, size, right * batch), below, exactly)
            carried[1] += moved
            for left, size, right, f in step.closes:
                view = carried.reshape(2 * left, size, right * batch)
                carried = _weigh(view, likelihoods[f]).reshape(2, -1, batch)
        return carried[0, 0], carried[1, 0]

    def backward(
        self,
        odds: Floats,
        whole: Floats,
        likelihoods: Sequence[Floats],
        memory: Memory,
        final: Floats,
        message: Floats,
    ) -> Floats:
        """Walk back with the weight still to come.

        Parameters
        ----------
        whole : (findings, states, batch) ``none + some`` of `forward`. final : (batch,) weight of
        everything outside the walk. message : (findings, states, batch), filled with the weight
        that each state of each finding of the walk meets elsewhere.

        Returns
        -------
        (causes, batch) weights with each shared cause present.
        """
        joint = np.zeros_like(odds)
        batch = odds.shape[1]
        ahead = final[None, :]
        opened = len(memory.opened)
        for step, before in zip(reversed(self._steps), reversed(memory.before), strict=True):
            for left, _, right, f in reversed(step.closes):
                view = ahead.reshape(left, 1, right * batch)
                ahead = (view * likelihoods[f][:, None]).reshape(-1, batch)
            pulled = ahead * odds[step.cause]
            for left, size, right, below, exactly in step.effects:
                _lower(pulled.reshape(left, size, right * batch), below, exactly)
            joint[step.cause] = (before * pulled).sum(axis=0)
            ahead = ahead + pulled
            for f in reversed(step.opens):
                opened -= 1
                size = len(likelihoods[f])
                view = ahead.reshape(-1, size, batch)
                message[f, :size] = (memory.opened[opened][:, None] * view).sum(axis=0)
                ahead = (view * whole[f, :size]).sum(axis=1)
        return joint


def _raise(view: Floats, below: Floats, exactly: Floats) -> None:
    """In place: the largest of the state so far and the state that one cause produces."""
    for s in range(view.shape[1] - 1, 0, -1):
        lower = view[:, 0] if s == 1 else view[:, :s].sum(axis=1)
        if below[s] != 1.0:
            view[:, s] *= below[s]
        view[:, s] += exactly[s] * lower
    view[:, 0] *= below[0]


def _lower(view: Floats, below: Floats, exactly: Floats) -> None:
    """In place: transpose of `_raise`."""
    size = view.shape[1]
    for s in range(size - 1):
        view[:, s] *= below[s]
        for higher in range(s + 1, size):
            view[:, s] += exactly[higher] * view[:, higher]
    if below[-1] != 1.0:
        view[:, -1] *= below[-1]


def _weigh(view: Floats, likelihood: Floats) -> Floats:
    """Weigh the middle axis with its likelihood and sum it out."""
    result: Floats = view[:, 0] * likelihood[0]
    for s in range(1, len(likelihood)):
        result += view[:, s] * likelihood[s]
    return result


def _order(touches: npt.NDArray[np.bool_], sizes: Sequence[int]) -> list[tuple[int, list[int]]]:
    """Causes with their findings, each next one that after which the table is smallest."""
    matrix = touches.astype(float)
    size = np.log(np.asarray(sizes, dtype=float))
    unopened, left = size.copy(), matrix.sum(axis=0)
    waiting = np.zeros(len(matrix))
    order = []
    for _ in range(len(matrix)):
        opens = matrix @ unopened
        growth = opens - matrix @ (size * (left == 1.0)) + 1e-6 * opens + waiting
        cause = int(np.argmin(growth))
        here = np.flatnonzero(touches[cause])
        waiting[cause] = np.inf
        unopened[here] = 0.0
        left[here] -= 1.0
        order.append((cause, here.tolist()))
    return order


def _lay_out(
    order: list[tuple[int, list[int]]],
    sizes: Sequence[int],
    effects: Sequence[dict[int, Effect]],
) -> list[_Step]:
    last = {f: cause for cause, here in order for f in here}
    axes: list[int] = []
    steps = []
    for cause, here in order:
        opens = tuple(f for f in here if f not in axes)
        axes.extend(opens)
        shape = [sizes[f] for f in axes]
        acts = []
        for f in here:
            axis = axes.index(f)
            left, right = math.prod(shape[:axis]), math.prod(shape[axis + 1 :])
            acts.append((left, shape[axis], right, *effects[cause][f]))
        width = math.prod(shape)
        closes = []
        for axis in range(len(axes) - 1, -1, -1):
            f = axes[axis]
            if last[f] == cause:
                left, right = math.prod(shape[:axis]), math.prod(shape[axis + 1 :])
                closes.append((left, shape[axis], right, f))
                del axes[axis], shape[axis]
        steps.append(_Step(cause, opens, width, tuple(acts), tuple(closes)))
    return steps
