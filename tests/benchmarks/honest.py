"""Is what is said true? python -P tests/benchmarks/honest.py [JOBS] [PART...]

Jobs in thousands, drawn from the cards' own model and judged without words or conversation: a form
of the ten main complaints, then eight reports, each on something that a likely cause would show.
Such a choice rests on what was reported alone, so that it biases nothing. Judged by the sets of up
to two causes; 'table' shows how far that lies from the exact judgement. Seeds fixed.

Parts: table, calibration, perturbed, answers, unknown, planted. JOBS: of calibration (50,000); the
other parts take their share of it.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np
import numpy.typing as npt

from diagnose.analysis.written import Caller
from diagnose.belief.compiled import network_for
from diagnose.belief.network import FindingTable, Floats, Network
from diagnose.belief.reports import report_table
from diagnose.job.state import JobState, Report
from diagnose.knowledge.loader import load
from diagnose.knowledge.models import Check, Symptom
from diagnose.knowledge.root import knowledge_root
from diagnose.simulation.truth import draw_set, sample_shock
from diagnose.strategy.policy import SURE
from tests.benchmarks.simulated import Bins, calibration
from tests.benchmarks.world import floors_of

QUESTIONS = 8
STOP = "stop_riding"


@dataclass(frozen=True)
class Card:
    """A symptom or check: its finding, (true, reported) chances, and its answers in every set."""

    id: str
    by: str
    finding: int
    table: Floats
    told: Floats


@dataclass(frozen=True)
class Asked:
    """One answer; -1: not sure."""

    card: Card
    answer: int


@dataclass
class Job:
    """A job and what is believed of it. ``weights``: (sets,) sum 1."""

    shock: dict[str, object]
    truth: npt.NDArray[np.bool_]
    states: Callable[[int], int]
    asked: list[Asked]
    prior: Floats
    weights: Floats


class Bulk:
    """The cards as tables over all sets of up to two causes."""

    def __init__(self) -> None:
        self.knowledge = load(knowledge_root())
        self.caller = Caller(self.knowledge)
        self.network = self.caller.compiled.network
        self.present = self.caller.sets.present
        self.chances = self.caller.sets.chances
        self.model = self.caller.cost_model
        model = self.model
        self.rights = model.rights(self.present)
        self.every = np.ones(len(model.plans), dtype=bool)
        self.cured = self.model.cured(self.present)
        self.cards = [self._card(c) for c in self._all()]
        self.by_finding: dict[int, list[Card]] = {}
        for card in self.cards:
            self.by_finding.setdefault(card.finding, []).append(card)
        main = [row.symptom for row in self.knowledge.pack.main_complaints]
        self.form = [card for card in self.cards if card.id in main]
        shown = np.expm1(-self.network.log_miss) >= 0.2
        starts = self.network.offsets
        self.shows = [
            [f for f in range(len(starts) - 1) if row[starts[f]] and f in self.by_finding]
            for row in shown
        ]
        causes = list(self.knowledge.causes.values())
        self.stops = np.array([c.ride.verdict == STOP for c in causes] + [False])
        self.stop_states = {
            self.network.finding_index[f.id]: [
                s
                for s, name in enumerate(f.states)
                if any(floor.ride == STOP for floor in floors_of(self.knowledge, f.id, name))
            ]
            for f in self.knowledge.findings.values()
        }
        self.stop_states = {f: rows for f, rows in self.stop_states.items() if rows}
        self.stop_chances = {
            f: self.chances[:, [int(self.network.state_offsets[f]) + s for s in rows]].sum(axis=1)
            for f, rows in self.stop_states.items()
        }

    def _all(self) -> list[Symptom | Check]:
        symptoms = [card for card in self.knowledge.symptoms.values() if card.ask]
        return [*symptoms, *self.knowledge.checks.values()]

    def _card(self, card: Symptom | Check) -> Card:
        f = self.network.finding_index[card.observes]
        start, end = self.network.state_offsets[f : f + 2]
        by = "customer" if isinstance(card, Symptom) else card.at
        table = report_table(self.knowledge, card, by)
        return Card(card.id, by, f, table, self.chances[:, start:end] @ table)

    def prior(self, odds: Floats) -> Floats:
        """(sets,) prior weights; every set has at most two causes."""
        n = len(odds)
        first, second = np.triu_indices(n, 1)
        pairs = odds[first] * odds[second]
        return np.concatenate([[self.network.empty_weight], odds, pairs])

    def draw(
        self,
        rng: np.random.Generator,
        nature: Network | None = None,
        cause: int | None = None,
        odds: Floats | None = None,
    ) -> Job:
        """A new job. ``nature``: what it is drawn from; ``cause``: one that is present."""
        shock = sample_shock(self.caller.compiled, rng)
        believed = network_for(self.caller.compiled, shock).odds
        true = believed if nature is None else believed * nature.odds / self.network.odds
        nature = nature or self.network
        chosen = draw_set(true, nature.empty_weight, rng)
        if cause is not None:
            others = np.flatnonzero(rng.random(len(true)) < true / (1.0 + true))
            chosen = sorted({cause, *others.tolist()})
        truth = np.zeros(len(true), dtype=bool)
        truth[chosen] = True
        below = np.exp(nature.log_miss[truth].sum(axis=0) + nature.log_leak_miss)
        drawn: dict[int, int] = {}

        def state(f: int) -> int:
            if f not in drawn:
                row = below[int(nature.offsets[f]) : int(nature.offsets[f + 1])]
                drawn[f] = int(np.searchsorted(row, rng.random(), side="right"))
            return drawn[f]

        weights = self.prior(believed if odds is None else believed * odds)
        return Job(shock, truth, state, [], weights, weights / weights.sum())

    def ask(
        self, job: Job, rng: np.random.Generator, flips: float = 0.0, unsure: float = 0.0,
        questions: int = QUESTIONS,
    ) -> Job:  # fmt: skip
        """The form, then so many questions."""
        for card in self.form:
            self._answer(job, card, rng, flips, unsure)
        for _ in range(questions):
            card = self._next(job, rng)
            if card is not None:
                self._answer(job, card, rng, flips, unsure)
        return job

    def _answer(
        self, job: Job, card: Card, rng: np.random.Generator, flips: float, unsure: float
    ) -> None:
        said = int(np.searchsorted(np.cumsum(card.table[job.states(card.finding)]), rng.random()))
        said = min(said, len(card.table) - 1)
        if rng.random() < flips:
            said = int(rng.choice([s for s in range(len(card.table)) if s != said]))
        if rng.random() < unsure:
            said = -1
        else:
            job.weights = job.weights * card.told[:, said]
            job.weights /= job.weights.sum()
        job.asked.append(Asked(card, said))

    def _next(self, job: Job, rng: np.random.Generator) -> Card | None:
        """A card on a finding that a cause drawn from the belief would show."""
        seen = {asked.card.finding for asked in job.asked}
        reached = np.cumsum(job.weights)
        for _ in range(20):
            row = self.present[int(np.searchsorted(reached, rng.random() * reached[-1]))]
            causes = np.flatnonzero(row)
            if not len(causes):
                continue
            free = [f for f in self.shows[int(rng.choice(causes))] if f not in seen]
            if free:
                cards = self.by_finding[int(rng.choice(free))]
                return cards[int(rng.integers(len(cards)))]
        return None

    def judge(self, job: Job) -> dict[str, float]:
        """What is said of a job and what came of it, by name."""
        weights = job.weights
        marginal = weights @ self.present
        top = int(np.argmax(marginal))
        plan = self.model.choose(weights @ self.rights, self.every, "bench")
        truth = job.truth[None]
        right = self.model.right_stages(truth)[0]
        stop, every = self._stop(job, marginal)
        stops = bool(job.truth[self.stops].any()) or any(
            job.states(f) in rows for f, rows in self.stop_states.items()
        )
        return {
            "top": marginal[top],
            "top met": float(job.truth[top]),
            "right": float(job.truth[top] if job.truth.any() else marginal[top] < 0.5),
            "cures": float(weights @ self.cured[:, plan]),
            "cures met": float(self.model.cured(truth)[0, plan]),
            "stop": stop,
            "every": every,
            "stop met": float(stops),
            "wrong plan": float(self.model.right_stages(truth[:, :])[0] != right),
        }

    def _stop(self, job: Job, marginal: Floats) -> tuple[float, float]:
        """Chance of a reason to stop: as the program counts it, and of any reason at all."""
        said = 1.0 - float(np.prod(1.0 - marginal[self.stops]))
        fine = np.where(self.present[:, self.stops].any(axis=1), 0.0, job.weights)
        likelihoods: dict[int, Floats] = {}
        for asked in job.asked:
            if asked.answer >= 0:
                likelihoods[asked.card.finding] = asked.card.table[:, asked.answer]
        for f, rows in self.stop_states.items():
            chance = self.stop_chances[f]
            if f in likelihoods:
                start, end = self.network.state_offsets[f : f + 2]
                shown = self.chances[:, start:end] * likelihoods[f]
                chance = shown[:, rows].sum(axis=1) / shown.sum(axis=1)
            said = max(said, float(job.weights @ chance))
            fine = fine * (1.0 - chance)
        return said, 1.0 - float(fine.sum())


def told(name: str, bins: Bins, stated: Sequence[float], met: Sequence[float]) -> None:
    print(
        f"{name:>28} said {np.mean(stated):.3f} met {np.mean(met):.3f}"
        f" error {bins.error:.4f} floor {bins.floor:.4f}",
        flush=True,
    )


CALIBRATED = (
    ("first cause", "top", "top met"),
    ("the plan cures", "cures", "cures met"),
    ("stop, as the program counts", "stop", "stop met"),
    ("stop, any reason", "every", "stop met"),
)


def show(rows: list[dict[str, float]]) -> None:
    for name, stated, met in CALIBRATED:
        a, b = [row[stated] for row in rows], [row[met] for row in rows]
        told(name, calibration(a, b), a, b)


def table(bulk: Bulk, jobs: int) -> None:
    """The table of pairs against the program's own exact view of the same jobs."""
    count = max(20, jobs // 250)
    rows = []
    for n in range(count):
        rng = np.random.default_rng((1, n))
        job = bulk.ask(bulk.draw(rng), rng)
        said = bulk.judge(job)
        reports = {}
        for asked in job.asked:
            card = asked.card
            name = bulk.network.findings[card.finding].name
            state = bulk.knowledge.findings[name].states[asked.answer]
            reports[card.id, card.by] = Report(len(reports), card.id, card.by, state)  # type: ignore[arg-type]
        view = bulk.caller.view(JobState(at="bench", shock=job.shock, reports=reports))
        top = max(v for c, v in view.belief.causes.items())
        rows.append(
            (said["top"] - top, said["cures"] - float(view.belief.cured[view.decision.place]))
        )
    off = np.abs(np.array(rows))
    print(
        f"{count} jobs, table against exact: first cause off by {off[:, 0].mean():.4f} on average,"
    )
    most = off.max(axis=0)
    print(f"plan cures by {off[:, 1].mean():.4f}; at most {most[0]:.3f} and {most[1]:.3f}")


def calibrated(bulk: Bulk, jobs: int) -> None:
    rows = []
    for n in range(jobs):
        rng = np.random.default_rng((2, n))
        rows.append(bulk.judge(bulk.ask(bulk.draw(rng), rng)))
    print(f"calibration, {jobs} jobs; right first {np.mean([r['right'] for r in rows]):.3f}")
    show(rows)


def shaken(network: Network, rng: np.random.Generator, deviation: float = 1.0) -> Network:
    """Every number with noise on its log-odds; states stay in their order."""

    def chance(values: Floats) -> Floats:
        values = np.clip(values, 1e-9, 1.0 - 1e-9)
        log = np.log(values / (1.0 - values)) + rng.normal(0.0, deviation, values.shape)
        return np.minimum.accumulate(1.0 / (1.0 + np.exp(-log)), axis=-1)

    odds = network.odds * np.exp(rng.normal(0.0, deviation, len(network.odds)))
    tables = [
        FindingTable(t.name, chance(t.leak), t.parents, chance(t.at_least))
        for t in network.findings
    ]
    return Network(network.causes, odds, network.empty_weight, tables)


def perturbed(bulk: Bulk, jobs: int) -> None:
    """The world is not as the cards say: noise of one on the log-odds of every number."""
    worlds, each = 50, max(1, jobs // 50)
    rows = []
    for w in range(worlds):
        nature = shaken(bulk.network, np.random.default_rng((3, w)))
        for n in range(each):
            rng = np.random.default_rng((4, w, n))
            rows.append(bulk.judge(bulk.ask(bulk.draw(rng, nature), rng)))
    right = np.mean([row["right"] for row in rows])
    print(f"calibration, {worlds} perturbed truths x {each} jobs; right first {right:.3f}")
    show(rows)


def answers(bulk: Bulk, jobs: int) -> None:
    """A tenth of the answers flipped; three in ten 'not sure', with three questions more.

    *Knowing*: judged by somebody who knows how often answers are flipped, which is the ceiling.
    """
    count = max(100, jobs // 10)
    base = 0.0
    for name, flips, unsure, more in (
        ("as they are", 0.0, 0.0, 0),
        ("1 in 10 flipped", 0.1, 0.0, 0),
        ("3 in 10 not sure", 0.0, 0.3, 0),
        ("the same, 3 questions more", 0.0, 0.3, 3),
    ):
        right, knowing = [], []
        for n in range(count):
            rng = np.random.default_rng((5, n))
            job = bulk.ask(bulk.draw(rng), rng, flips, unsure, QUESTIONS + more)
            right.append(bulk.judge(job)["right"])
            job.weights = _knowing(job, flips)
            knowing.append(bulk.judge(job)["right"])
        base = base or float(np.mean(right))
        noise = np.std(right) / np.sqrt(count)
        print(
            f"{name:>28} right first {np.mean(right):.3f} +- {noise:.3f},"
            f" {np.mean(right) / base:.3f} of undisturbed; knowing {np.mean(knowing) / base:.3f}",
            flush=True,
        )


def _knowing(job: Job, flips: float) -> Floats:
    """What to believe of a job if so many answers are replaced by any other state."""
    weights = job.prior
    for asked in job.asked:
        if asked.answer >= 0:
            told = asked.card.told[:, asked.answer]
            others = len(asked.card.table) - 1
            weights = weights * ((1.0 - flips) * told + flips / others * (1.0 - told))
    return weights / weights.sum()


def unknown(bulk: Bulk, jobs: int) -> None:
    """Each cause in turn has no card: is it said to be none of these?

    Two detectors at 5 % false alarms: the chance of 'none of these', and the surprise (mean log of
    how likely the answers were expected to be, less how likely they were). The ceiling knows the
    missing cause's card. Confidently wrong: sure enough to open, by a plan that does not cure it.
    """
    ordinary, each = max(200, jobs // 10), max(10, jobs // 2000)
    n = len(bulk.network.causes)
    nulls, known, anyway = [], [], 0
    for k in range(ordinary):
        rng = np.random.default_rng((6, k))
        job = bulk.ask(bulk.draw(rng), rng)
        said = bulk.judge(job)
        anyway += said["cures"] >= SURE and said["cures met"] < 0.5
        marginal = job.weights @ bulk.present
        nulls.append((marginal[-1], surprise(bulk, job)))
        known.append(marginal)
    limits = np.quantile(np.array(nulls), 0.95, axis=0)
    knows = np.quantile(np.array(known), 0.95, axis=0)
    found, ceiling, wrong, sure = [], [], 0, 0
    for cause in range(n - 1):
        odds = np.ones(n)
        odds[cause] = 0.0
        for k in range(each):
            rng = np.random.default_rng((7, cause, k))
            job = bulk.ask(bulk.draw(rng, cause=cause, odds=odds), rng)
            marginal = job.weights @ bulk.present
            found.append((marginal[-1] > limits[0], surprise(bulk, job) > limits[1]))
            said = bulk.judge(job)
            sure += said["cures"] >= SURE
            wrong += said["cures"] >= SURE and said["cures met"] < 0.5
            full = bulk.prior(network_for(bulk.caller.compiled, job.shock).odds)
            for asked in job.asked:
                full = full * asked.card.told[:, asked.answer]
            chance = float(full @ bulk.present[:, cause] / full.sum())
            ceiling.append(chance > knows[cause])
    rates, top = np.mean(found, axis=0), float(np.mean(ceiling))
    count = len(found)
    noise = np.sqrt(top * (1.0 - top) / count)
    print(f"each of {n - 1} causes left out, {each} jobs each, {ordinary} ordinary ones")
    print(f"  found at 5 % false alarms: none of these {rates[0]:.3f}, surprise {rates[1]:.3f};")
    parts = rates / top
    print(f"  knowing the card {top:.3f} +- {noise:.3f}; shares {parts[0]:.2f}, {parts[1]:.2f}")
    print(
        f"  sure enough to open {sure / count:.3f}, of all confidently wrong {wrong / count:.4f}"
        f" (of ordinary jobs {anyway / ordinary:.4f})"
    )


def surprise(bulk: Bulk, job: Job) -> float:
    """log of how likely the answers are one by one, less how likely they are together."""
    prior = job.prior / job.prior.sum()
    weights, single = prior, 0.0
    for asked in job.asked:
        if asked.answer >= 0:
            column = asked.card.told[:, asked.answer]
            single += float(np.log(prior @ column))
            weights = weights * column
    return single - float(np.log(weights.sum()))


def planted(bulk: Bulk, jobs: int) -> None:
    """One answer of a job turned over: is it among the two that are suspected?

    The ceiling suspects by the chance of each answer to be the turned one, given all of them.
    """
    count = max(100, jobs // 20)
    hits = np.zeros((count, 2))
    for k in range(count):
        rng = np.random.default_rng((8, k))
        job = bulk.ask(bulk.draw(rng), rng)
        place = int(rng.integers(len(job.asked)))
        old = job.asked[place]
        others = [s for s in range(len(old.card.table)) if s != old.answer]
        job.asked[place] = replace(old, answer=int(rng.choice(others)))
        prior = job.prior / job.prior.sum()
        columns = np.array([a.card.told[:, a.answer] for a in job.asked])
        whole = float(np.prod(columns, axis=0) @ prior)
        rest = np.array(
            [np.prod(np.delete(columns, n, axis=0), axis=0) @ prior for n in range(len(columns))]
        )
        sizes = np.array([len(a.card.table) - 1 for a in job.asked])
        ours = rest / whole * (columns @ prior)
        ideal = (rest - whole) / sizes
        hits[k] = [place in np.argsort(-score)[:2] for score in (ours, ideal)]
    ours_rate, best = hits.mean(axis=0)
    noise = np.sqrt(best * (1.0 - best) / count)
    print(
        f"planted: {count} jobs of {len(job.asked)} answers; among two suspects {ours_rate:.3f},"
        f" ceiling {best:.3f} +- {noise:.3f}, share {ours_rate / best:.2f}"
    )


PARTS: dict[str, Callable[[Bulk, int], None]] = {
    "table": table,
    "calibration": calibrated,
    "perturbed": perturbed,
    "answers": answers,
    "unknown": unknown,
    "planted": planted,
}


def main() -> None:
    numbers = [int(word) for word in sys.argv[1:] if word.isdigit()]
    jobs = numbers[0] if numbers else 50_000
    bulk = Bulk()
    for name in [word for word in sys.argv[1:] if not word.isdigit()] or list(PARTS):
        start = time.perf_counter()
        PARTS[name](bulk, jobs)
        print(f"{name}: {time.perf_counter() - start:.0f} s\n", flush=True)


if __name__ == "__main__":
    main()
