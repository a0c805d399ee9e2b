"""Plays the strategy on simulated jobs, from the customer's words to the decision at the bench.

Rules
-----
- Truth, answers and words come from `World`; what the program sees is what a shop would see.
- Costs are those of the strategy's own model, but in the true set of causes: what was asked, plus
  what the plan costs in this truth. *Avoidable* is what is above the right plan for nothing asked.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from diagnose.belief.compiled import UNLISTED
from diagnose.belief.network import Floats
from diagnose.job.state import JobState, Report
from diagnose.knowledge.models import Check, Symptom
from diagnose.reasoning.open_options import open_rows
from diagnose.reasoning.reasoner import Reasoner, View
from diagnose.simulation.truth import sample_shock, sample_truth
from tests.benchmarks.world import NOT_SURE, Nature, World, floors_of

__all__ = ["Bins", "Played", "calibration", "play_job", "play_jobs"]

#: steps at the bench after which a job is decided anyway
_MOST_CHECKS = 20


@dataclass(frozen=True)
class Played:
    """One simulated job.

    Attributes
    ----------
    truth : present causes. asked : ids, in order. plan : stages decided on.
    spent : price of everything asked [currency]. avoidable : spent and the plan's cost above the
    least cost possible in this truth [currency].
    top : first cause; top_chance : what was said of it.
    cures : chance said that the plan cures everything; cured : its true chance in this truth.
    stop : chance said of a reason to stop riding; stops : whether there is one.
    held : a sign forbade opening.
    """

    truth: frozenset[str]
    asked: tuple[str, ...]
    plan: tuple[str, ...]
    spent: float
    avoidable: float
    top: str
    top_chance: float
    cures: float
    cured: float
    stop: float
    stops: bool
    held: bool

    @property
    def right(self) -> bool:
        """The first cause is present, or nothing is wrong and no cause was even likely."""
        return self.top in self.truth if self.truth else self.top_chance < 0.5


def play_jobs(
    reasoner: Reasoner, count: int, seed: int, nature: Nature | None = None
) -> list[Played]:
    """Play so many jobs; the same seed gives the same shocks and truths under every nature."""
    return [play_job(reasoner, np.random.default_rng((seed, n)), nature) for n in range(count)]


def play_job(reasoner: Reasoner, rng: np.random.Generator, nature: Nature | None = None) -> Played:
    """Play one job: a complaint in the customer's words, the counter, the bench, the decision."""
    compiled = reasoner.compiled
    shock = sample_shock(compiled, rng)
    truth = sample_truth(compiled, rng, shock)
    world = World(compiled, truth, rng, nature)
    job = JobState(shock=shock, complaint=_words(reasoner, world, shock, rng))
    job, counter, spent = _asked(reasoner, world, job)
    job, bench, more = _asked(reasoner, world, replace(job, at="bench"))
    view = reasoner.view(job)
    return _judged(reasoner, world, view, (*counter, *bench), spent + more)


def _words(
    reasoner: Reasoner, world: World, shock: dict[str, object], rng: np.random.Generator
) -> str:
    """What is complained of, in sayings of the cards."""
    said = []
    for symptom, state in world.complaint().items():
        card = reasoner.knowledge.symptoms[symptom]
        needs = {**reasoner.compiled.finding(card.observes).applies_when, **card.applies_when}
        phrases = card.phrases.get(state)
        if phrases and all(shock.get(name) in (None, wanted) for name, wanted in needs.items()):
            said.append(phrases[int(rng.integers(len(phrases)))])
    return ". ".join(said)


def _asked(
    reasoner: Reasoner, world: World, job: JobState
) -> tuple[JobState, tuple[str, ...], float]:
    """Ask what is advised until the advice is to stop: the job then, ids, and what it cost."""
    asked: list[str] = []
    spent = 0.0
    acts: set[str] = set()
    for _ in range(_MOST_CHECKS):
        view = reasoner.view(job)
        if view.advice.step is None:
            break
        option = next(o for o in view.advice.options if o.id == view.advice.step)
        spent += option.price
        if option.act is not None and option.act not in acts:
            spent += option.act_price
            acts.add(option.act)
        asked.append(option.id)
        job = _answered(reasoner, world, view, option.id)
    return job, tuple(asked), spent


def _answered(reasoner: Reasoner, world: World, view: View, ident: str) -> JobState:
    """The job after one question; of a frame question every row that is open is answered."""
    frame = reasoner.knowledge.frames.get(ident)
    if frame is None:
        return _said(world, view.job, reasoner.card(ident))
    job = view.job
    for ask in dict.fromkeys(row.ask for row in open_rows(view.belief, frame)):
        job = _said(world, job, reasoner.card(ask))
    return job


def _said(world: World, job: JobState, card: Symptom | Check) -> JobState:
    by = "customer" if isinstance(card, Symptom) else card.at
    said = world.report(card, by)
    if said == NOT_SURE:
        return replace(job, unsure=job.unsure | {card.id})
    reports = {**job.reports, (card.id, by): Report(len(job.reports), card.id, by, said)}
    return replace(job, reports=reports)


def _judged(
    reasoner: Reasoner, world: World, view: View, asked: tuple[str, ...], spent: float
) -> Played:
    model = reasoner.cost_model
    present = np.array([[cause in world.truth for cause in reasoner.compiled.causes]])
    costs = model.costs(present)[0]
    top, chance = next(iter(view.belief.causes.items()))
    return Played(
        world.truth,
        asked,
        model.plans[view.decision.place].stages,
        spent,
        spent + float(costs[view.decision.place] - costs.min()),
        top,
        chance,
        float(view.belief.cured[view.decision.place]),
        float(model.cured(present)[0, view.decision.place]),
        view.belief.ride.stop,
        _must_stop(reasoner, world),
        bool(view.belief.signs),
    )


def _must_stop(reasoner: Reasoner, world: World) -> bool:
    """Whether a cause or a state of a finding is a reason to stop riding."""
    knowledge = reasoner.knowledge
    listed = world.truth - {UNLISTED}
    if any(knowledge.causes[cause].ride.verdict == "stop_riding" for cause in listed):
        return True
    return any(
        floor.ride == "stop_riding"
        for name in dict.fromkeys(floor.finding for floor in knowledge.floors)
        for floor in floors_of(knowledge, name, world.state_of(name))
    )


@dataclass(frozen=True)
class Bins:
    """How well stated chances hold.

    Attributes
    ----------
    stated, met : (bins,) mean stated chance and mean outcome. error : mean absolute difference over
    bins of equal mass. floor : the same error, on average, if every stated chance were true.
    """

    stated: Floats
    met: Floats
    error: float
    floor: float


def calibration(
    stated: Sequence[float], met: Sequence[float], bins: int = 15, seed: int = 0
) -> Bins:
    """Compare stated chances with what came of them, in bins of equal mass.

    Parameters
    ----------
    stated : chances. met : outcomes, 0 to 1. seed : of the draws behind the noise floor.
    """
    order = np.argsort(stated, kind="stable")
    said, came = np.asarray(stated, dtype=float)[order], np.asarray(met, dtype=float)[order]
    parts = np.array_split(np.arange(len(said)), min(bins, len(said)))
    means = np.array([said[part].mean() for part in parts])
    outcomes = np.array([came[part].mean() for part in parts])
    rng = np.random.default_rng(seed)
    draws = rng.random((200, len(said))) < said
    drawn = np.stack([draws[:, part].mean(axis=1) for part in parts], axis=1)
    sizes = np.array([len(part) for part in parts]) / len(said)
    floor = float((np.abs(drawn - means) @ sizes).mean())
    return Bins(means, outcomes, float(np.abs(outcomes - means) @ sizes), floor)
