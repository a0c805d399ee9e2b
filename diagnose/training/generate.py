"""Scenarios without end, and pairs that look alike: drawn from the cards, the same for a seed.

Rules
-----
- The truth is drawn as often as it comes in; a pair is drawn from what the cards say is mixed up.
- The customer complains of what this shock shows them, in sayings of the cards.
- A truth that shows its customer nothing is drawn again: nobody would have come in.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from diagnose.belief.compiled import Compiled
from diagnose.job.events import Answered
from diagnose.job.job_file import events_of
from diagnose.job.state import fold
from diagnose.knowledge.models import Symptom
from diagnose.simulation.truth import sample_shock, sample_truth
from diagnose.training.answers import Answers
from diagnose.training.scenario import Scenario, strategy_of, system_of

__all__ = ["contrast", "contrasts", "generate"]

#: draws after which nothing more is tried
_TRIES = 50

#: sayings in one complaint, at most
_SAYINGS = 3


def generate(compiled: Compiled, seed: int) -> Scenario:
    """A scenario of any truth that comes in; the same for the same seed and knowledge."""
    for turn in range(_TRIES):
        rng = np.random.default_rng([seed, turn])
        shock = sample_shock(compiled, rng)
        truth = tuple(sorted(sample_truth(compiled, rng, shock)))
        made = _complaining(compiled, _bare(compiled, f"g{seed}", seed, truth, shock), rng)
        if made.complaint:
            return made
    raise AssertionError("the pack's causes show nobody anything")


def contrasts(compiled: Compiled) -> list[tuple[str, str]]:
    """Pairs of causes that the cards say are mixed up, each once."""
    causes = compiled.knowledge.causes
    pairs = {
        (min(card.id, other.cause), max(card.id, other.cause))
        for card in causes.values()
        for other in card.mistaken_for
        if other.cause in causes
    }
    return sorted(pairs)


def contrast(compiled: Compiled, pair: Sequence[str], seed: int) -> tuple[Scenario, Scenario]:
    """Two scenarios with the same complaint, one of each cause of a pair.

    The complaint is the one of the first, kept to what the second could have shown as well.
    """
    shock = _shared_features(compiled, pair)
    ids = tuple(f"c{seed}-{cause}" for cause in pair)
    first, second = (
        _bare(compiled, ident, seed, (cause,), shock).model_copy(
            update={"origin": "contrast", "strategy": "tell_apart", "twin": twin}
        )
        for ident, cause, twin in zip(ids, pair, reversed(ids), strict=True)
    )
    links = [set(compiled.knowledge.causes[cause].links) for cause in pair]
    both = links[0] & links[1]
    for turn in range(_TRIES):
        rng = np.random.default_rng([seed, turn])
        tried = first.model_copy(update={"seed": seed + turn})
        spoken = _complaining(compiled, tried, rng, among=both)
        if spoken.complaint:
            break
    if not spoken.complaint:
        spoken = _complaining(compiled, tried, rng, always=True)
    shared = {"complaint": spoken.complaint, "seed": spoken.seed, "counter": spoken.counter}
    return first.model_copy(update=shared), second.model_copy(update=shared)


def _shared_features(compiled: Compiled, pair: Sequence[str]) -> dict[str, object]:
    needs: dict[str, object] = {}
    for cause in pair:
        needs.update(compiled.knowledge.causes[cause].needs)
    return needs


def _bare(
    compiled: Compiled, ident: str, seed: int, truth: tuple[str, ...], shock: dict[str, object]
) -> Scenario:
    knowledge = compiled.knowledge
    return Scenario(
        id=ident,
        seed=seed,
        origin="generated",
        system=system_of(knowledge, truth),
        strategy=strategy_of(knowledge, truth, shut=False, hard=False),
        complaint="",
        shock={k: round(v, 1) if isinstance(v, float) else v for k, v in shock.items()},
        truth=truth,
    )


def _complaining(
    compiled: Compiled,
    scenario: Scenario,
    rng: np.random.Generator,
    *,
    among: set[str] | None = None,
    always: bool = False,
) -> Scenario:
    """The scenario with the complaint of its customer; empty if there is nothing to say.

    Parameters
    ----------
    among : findings that may be spoken of, None: all. always : something is said although it may
    not be so.
    """
    events, _ = events_of({"shock": scenario.shock}, compiled.knowledge)
    answers = Answers(compiled, scenario, fold(events))
    said: list[tuple[Symptom, str]] = []
    for card in compiled.knowledge.symptoms.values():
        if among is not None and card.observes not in among:
            continue
        states = compiled.states(card.observes)
        event = answers.ask(card).event
        state = event.state if isinstance(event, Answered) else states[0]
        true = answers.state_of(card.observes)
        if state in card.phrases and state != states[0] and (true != states[0] or always):
            said.append((card, state))
    if not said:
        return scenario
    count = min(len(said), int(rng.integers(1, _SAYINGS + 1)))
    # Links first: people come in for what the fault does, and mention the rest by the way.
    linked = {
        f
        for c in scenario.truth
        if c in compiled.knowledge.causes
        for f in compiled.knowledge.causes[c].links
    }
    # And what is only told, never looked at, is the story and not the complaint.
    seen = {f for check in compiled.knowledge.checks.values() for f in check.findings}
    said.sort(
        key=lambda pair: (
            pair[0].observes not in linked,
            pair[0].observes not in seen,
            rng.random(),
        )
    )
    if scenario.truth and not always and not {said[0][0].observes} <= linked & seen:
        return scenario
    words = [str(rng.choice(card.phrases[state])) for card, state in said[:count]]
    told = {card.id: state for card, state in said[:count]}
    shut = {"strategy": "keep_shut"} if answers.standing() else {}
    return scenario.model_copy(update={"complaint": ". ".join(words), "counter": told, **shut})
