"""Exact sums over all fault sets, with every term non-negative.

The idea
--------
Evidence that says 'at most state s' factorises over the causes and is folded into their odds. Any
other observed finding is *open*: it needs the largest state that leak and causes produce.

1. Causes that touch no open finding factorise.
2. The causes of one open finding alone are summed in closed form into that finding's states.
   Differences of products are taken as ``expm1`` of sums of one sign, never subtracted.
3. The cause that ties most of them together (as a rule the one without a card, which may show
   itself by anything) would keep all of them open until its turn. It is told apart first: all sets
   without it, then all sets with it, where it only raises the leak.
4. The other causes that tie open findings together are walked one by one (`Walk`).

Nothing cancels, however improbable the evidence is: the relative error stays near the number of
operations times the rounding unit. Everything is computed for a batch of odds vectors at once:
'cured by plan P' is the same sum under other odds.

The limit: where the evidence ties more states together than `EXACT` (about fifteen vague findings
on dense knowledge), the likeliest fault sets are listed instead; `Lattice.slack` then bounds the
error of every posterior, and `tests/belief/test_written_jobs.py` shows the error itself to be far
smaller.

Source for the problem: Heckerman 1989, *A tractable inference algorithm for diagnosing multiple
diseases*, UAI.
"""

from __future__ import annotations

import numpy as np

from diagnose.belief.listing import Listing
from diagnose.belief.network import Evidence, Floats, Indices, Network
from diagnose.belief.walk import Memory, Walk

__all__ = ["Lattice"]

#: states carried at once up to which the sum is exact; beyond, `Listing` bounds it
EXACT = 6_000

#: numbers that one batch may hold at once in one table (8 bytes each)
TABLE = 2_000_000


class Lattice:
    """The sum over all fault sets for one body of evidence.

    Parameters
    ----------
    network : causes and findings.
    evidence : finding index -> (states,) likelihood.
    """

    def __init__(self, network: Network, evidence: Evidence) -> None:
        self.network = network
        odds = network.odds.copy()
        constant = 1.0
        opened: list[int] = []
        self._likelihoods: list[Floats] = []
        for f, likelihood in evidence.items():
            values = likelihood.tolist()
            top = max(s for s, value in enumerate(values) if value > 0.0)
            links = network.structure.links[f]
            if values[: top + 1] != [values[0]] * (top + 1):
                opened.append(f)
                self._likelihoods.append(np.asarray(likelihood, dtype=float))
                continue
            constant *= values[0] * float(links.leak_below[top])
            if top + 1 < len(values):
                odds[links.parents] *= links.below[:, top]
        self._base = odds
        self._constant = constant
        self._open(opened)

    def _open(self, opened: list[int]) -> None:
        """Sort the causes into passive, private to one open finding, and shared."""
        network = self.network
        n, count = len(network.causes), len(opened)
        size = max((len(row) for row in self._likelihoods), default=1)
        touches = np.zeros((n, count), dtype=bool)
        # Padded states are never produced and weigh nothing.
        self._leak_below = np.ones((count, size, 1))
        self._leak_exactly = np.zeros((count, size, 1))
        self._likelihood = np.zeros((count, size, 1))
        below = np.ones((n, count, size))
        exactly = np.zeros((n, count, size))
        for position, f in enumerate(opened):
            links, k = network.structure.links[f], len(self._likelihoods[position])
            touches[links.parents, position] = True
            below[links.parents, position, :k] = links.below
            exactly[links.parents, position, :k] = links.exactly
            self._leak_below[position, :k, 0] = links.leak_below
            self._leak_exactly[position, :k, 0] = links.leak_exactly
            self._likelihood[position, :k, 0] = self._likelihoods[position]
        touches[self._base == 0.0] = False
        self._below, self._exactly = below, exactly
        self._active: Indices = np.flatnonzero(touches.any(axis=1))
        states = [len(row) for row in self._likelihoods]
        ties = np.where(touches.sum(axis=1) > 1, touches @ np.log(states), 0.0)
        self._apart: Indices = np.flatnonzero(ties == ties.max(initial=1.0))[:1]
        touches[self._apart] = False
        times = touches.sum(axis=1)
        self._passive: Indices = np.setdiff1d(np.arange(n), self._active)
        self._private: Indices = np.flatnonzero(times == 1)
        self._shared: Indices = np.flatnonzero(times > 1)
        self._owner: Indices = np.nonzero(touches[self._private])[1]
        self._owned = np.zeros((count, len(self._private)))
        self._owned[self._owner, np.arange(len(self._private))] = 1.0
        effects = [
            {
                int(p): (below[c, p, :k], exactly[c, p, :k])
                for p in np.flatnonzero(touches[c])
                for k in [states[p]]
            }
            for c in self._shared
        ]
        tied = touches[self._shared]
        self._alone: Indices = np.flatnonzero(~tied.any(axis=0))
        self._walk = Walk(tied, states, effects)
        self._evidence = dict(zip(opened, self._likelihoods, strict=True))
        self._listing: Listing | None = None
        if self._walk.widest > EXACT:
            self._listing = Listing(network, self._base, self._evidence)

    @property
    def widest(self) -> int:
        """Largest number of states that are carried at once."""
        return self._walk.widest

    @property
    def slack(self) -> float:
        """Largest possible absolute error of any posterior for factors of 0..1; 0.0 is exact."""
        return 0.0 if self._listing is None else self._listing.slack

    @property
    def unlisted(self) -> float:
        """Share of the weight that probably lies where the sum did not reach; 0.0 is exact."""
        return 0.0 if self._listing is None else self._listing.unlisted

    def total(self, factors: Floats | None = None) -> Floats:
        """Unnormalised weight of the evidence.

        Parameters
        ----------
        factors : (batch, n) factors on the prior odds; None means one row of ones.

        Returns
        -------
        (batch,) weights, comparable with one another.
        """
        if self._listing is not None:
            return self._constant * np.concatenate(
                [listing.total(rows) for listing, rows in self._listed(factors)]
            )
        odds = self._odds(factors)
        parts = []
        for piece in self._pieces(odds.shape[1]):
            empty, some, _ = self._active_part(odds[:, piece], self._leak(), back=False)
            grown = np.expm1(np.log1p(odds[self._passive, piece]).sum(axis=0))
            parts.append(empty * (self.network.empty_weight + grown) + some * (1.0 + grown))
        return self._constant * np.concatenate(parts)

    def marginals(self, factors: Floats | None = None) -> tuple[Floats, Floats]:
        """Weight of the evidence, and its part in which each cause is present.

        Returns
        -------
        (batch,) weights and (batch, n) weights with the cause present.
        """
        if self._listing is not None:
            parts = [listing.marginals(rows) for listing, rows in self._listed(factors)]
            weights, present = (np.concatenate(part) for part in zip(*parts, strict=True))
            return self._constant * weights, self._constant * present
        odds = self._odds(factors)
        total = np.empty(odds.shape[1])
        joint = np.empty_like(odds)
        for piece in self._pieces(odds.shape[1]):
            empty, some, active = self._active_part(odds[:, piece], self._leak(), back=True)
            outside = odds[self._passive, piece]
            grown = np.expm1(np.log1p(outside).sum(axis=0))
            total[piece] = empty * (self.network.empty_weight + grown) + some * (1.0 + grown)
            joint[self._active, piece] = active * (1.0 + grown)
            plain = (empty + some) * (1.0 + grown)
            joint[self._passive, piece] = outside / (1.0 + outside) * plain
        return self._constant * total, self._constant * joint.T

    def _raised(self, leak: tuple[Floats, Floats], causes: Indices) -> tuple[Floats, Floats]:
        """A leak, by row, with the cause of each row present for sure."""
        leak_below, leak_exactly = leak
        alone = self._below[causes].transpose(1, 2, 0)
        exactly = leak_exactly * alone
        exactly[:, 1:] += leak_below[:, :-1] * self._exactly[causes].transpose(1, 2, 0)[:, 1:]
        return leak_below * alone, exactly

    def _listed(self, factors: Floats | None) -> list[tuple[Listing, Floats]]:
        """Listings that answer for these factors, each with rows of factors up to 1."""
        assert self._listing is not None
        ones = np.ones((1, len(self._base)))
        rows = ones if factors is None else np.asarray(factors, dtype=float)
        if rows.max(initial=0.0) <= 1.0:
            return [(self._listing, rows)]
        # Raised odds make other sets weighty: each row needs a list of its own.
        return [(Listing(self.network, self._base * row, self._evidence), ones) for row in rows]

    def _odds(self, factors: Floats | None) -> Floats:
        """(n, batch) odds with the folded evidence."""
        base = self._base[:, None]
        return base if factors is None else base * np.asarray(factors, dtype=float).T

    def _leak(self) -> tuple[Floats, Floats]:
        return self._leak_below, self._leak_exactly

    def _pieces(self, batch: int) -> list[slice]:
        """Cuts of a batch that keep each table small."""
        most = max(1, TABLE // max(4 * self.widest, len(self.network.causes)))
        return [slice(start, start + most) for start in range(0, batch, most)]

    def _active_part(
        self, odds: Floats, leak: tuple[Floats, Floats], back: bool
    ) -> tuple[Floats, Floats, Floats]:
        """Sum over the sets of active causes.

        Parameters
        ----------
        odds : (n, batch). leak : below and exactly, (open findings, states, batch or 1).

        Returns
        -------
        (batch,) weights without and with an active cause, and (active, batch) weights with each
        active cause, passive causes left out; the last is 0 unless ``back``.
        """
        if not len(self._apart):
            empty, filled, joint = self._walked(odds, leak, back)
            return empty, filled, joint[self._active]
        batch, apart = odds.shape[1], odds[self._apart[0]]
        raised = self._raised(leak, self._apart)
        wide = (*self._leak_below.shape[:2], batch)
        below, exactly = (
            np.concatenate([np.broadcast_to(part, wide) for part in parts], axis=2)
            for parts in zip(leak, raised, strict=True)
        )
        empty, filled, joint = self._walked(np.tile(odds, 2), (below, exactly), back)
        present = apart * (empty + filled)[batch:]
        joint = joint[:, :batch] + apart * joint[:, batch:]
        joint[self._apart] = present
        return empty[:batch], filled[:batch] + present, joint[self._active]

    def _walked(
        self, odds: Floats, leak: tuple[Floats, Floats], back: bool
    ) -> tuple[Floats, Floats, Floats]:
        """As `_active_part`, over the sets without the cause told apart; the last is for all
        causes, 0 where they are not walked.
        """
        batch = odds.shape[1]
        leak_below, leak_exactly = leak
        own = odds[self._private]
        below = self._below[self._private, self._owner][:, :, None]
        exactly = self._exactly[self._private, self._owner][:, :, None]
        # log of (1 + odds * below), its sums, and the sums' steps from state to state, all >= 0
        grow = np.log1p(own[:, None] * below)
        step = np.log1p(own[:, None] * exactly[:, 1:] * np.exp(-grow[:, :-1]))
        grown, stepped = self._gather(grow), self._gather(step)
        product = np.exp(grown)
        risen = leak_below[:, :-1] * product[:, :-1] * np.expm1(stepped)
        some = leak_exactly * np.expm1(grown)
        some[:, 1:] += risen
        none = np.broadcast_to(leak_exactly, some.shape)
        whole = none + some

        memory = Memory() if back else None
        shared = odds[self._shared]
        empty, filled = self._walk.forward(shared, none, some, self._likelihoods, memory)
        for p in self._alone:
            bare = (self._likelihood[p] * none[p]).sum(axis=0)
            rest = (self._likelihood[p] * some[p]).sum(axis=0)
            filled = filled * (bare + rest) + empty * rest
            empty = empty * bare
        joint = np.zeros((len(odds), batch))
        if memory is None:
            return empty, filled, joint

        met = (self._likelihood[self._alone] * whole[self._alone]).sum(axis=1)
        message = np.zeros_like(some)
        final = met.prod(axis=0)
        with_shared = self._walk.backward(shared, whole, self._likelihoods, memory, final, message)
        # A finding that can show nothing of its evidence makes the whole weight 0.
        rest = np.divide(empty + filled, met, out=np.zeros_like(met), where=met > 0.0)
        message[self._alone] = self._likelihood[self._alone] * rest[:, None]

        # Each private cause present, the others of its finding as they come.
        others = np.exp(grown[self._owner] - grow)
        others_below = leak_below[self._owner] * others
        others_exactly = leak_exactly[self._owner] * others
        left = np.maximum(stepped[self._owner] - step, 0.0)
        others_exactly[:, 1:] += others_below[:, :-1] * np.expm1(left)
        shows = exactly * others_below
        shows[:, 1:] += below[:, :-1] * others_exactly[:, 1:]
        with_private = own * (shows * message[self._owner]).sum(axis=1)

        joint[self._private] = with_private
        joint[self._shared] = with_shared
        return empty, filled, joint

    def _gather(self, values: Floats) -> Floats:
        """Sums over the private causes of each open finding."""
        causes, size, batch = values.shape
        summed = self._owned @ values.reshape(causes, size * batch)
        return summed.reshape(len(self._owned), size, batch)
