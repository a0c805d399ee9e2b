"""From a job to everything that can be said about it: evidence, belief, plan, signs, next step.

Rules
-----
- A pure function of (knowledge, priors, money, job); no clock, no printing, no store.
- What is compiled once (network, table of sets, cost tables) is kept here and shared by all jobs.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import chain
from pathlib import Path

import numpy as np

from diagnose.belief.compiled import Compiled, compile_pack
from diagnose.belief.hypotheses import Hypotheses, SetTable
from diagnose.belief.lattice import Lattice
from diagnose.belief.network import Floats
from diagnose.complaint.cache import load_recogniser
from diagnose.complaint.recogniser import Recogniser, Understanding
from diagnose.job.measuring import Measure, measure_check
from diagnose.job.state import JobState
from diagnose.knowledge.device import HISTORY
from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import Check, Economics, Symptom
from diagnose.reasoning.evidence import Item, combine, gather
from diagnose.reasoning.floors import (
    StandingFloor,
    claims,
    first_words,
    forbidding,
    same_thing,
    standing_floors,
)
from diagnose.reasoning.options import (
    answered_share,
    candidates,
    find_card,
    options_for,
    state_chances,
)
from diagnose.reasoning.over_maximum import with_maximum
from diagnose.reasoning.ride import RideCall, judge_ride
from diagnose.reasoning.volunteered import choice_odds, job_odds
from diagnose.strategy.lookahead import Advice, Option, Situation, advise
from diagnose.strategy.plans import CostModel, Plan
from diagnose.strategy.telling import bits_told
from diagnose.symptom_graph.cautions import must_acknowledge

__all__ = ["COUNTER_QUESTIONS", "SURE", "Reasoner", "View"]

#: the counter asks at most so many questions, the look included
COUNTER_QUESTIONS = 7

#: what a step must promise to save, over its own price, to be worth the interruption [currency]
_COUNTER_LEAST, _BENCH_LEAST = 0.3, 3.0
#: and at the bench, once it is sure enough, this share of what stopping now would cost
_BENCH_SHARE = 0.02
#: share of the saving within which steps count as alike, so that the one that tells most at once
#: goes first: at the bench more, because a check that cannot be made tells nothing and a row of
#: small ones before the one that settles it tires people
_ALIKE = {"counter": 0.03, "bench": 0.25}
#: chance of a cure from which it is sure enough to open
SURE = 0.85

#: what confirming before opening may cost [currency], and how often it is tried
_CONFIRM_PRICE, _CONFIRM_TRIES = 20.0, 3


@dataclass(frozen=True)
class _Open:
    """Until when it is asked on: share of the likeliest plan, bits a question must tell, how many
    questions at the most.
    """

    sure: float
    bits: float
    most: int


_OPEN = {"counter": _Open(0.6, 0.08, 5), "bench": _Open(0.8, 0.06, 10)}

#: what sending somebody out on a shock that must not be ridden costs, in comebacks
_RIDE_RISK = 4.0
#: what stopping somebody for nothing costs, in comebacks
_RIDE_STOP = 0.25


@dataclass(frozen=True)
class View:
    """Everything that follows from one job.

    Attributes
    ----------
    causes : posterior by cause id, exact, descending. cured : chance that each plan cures all.
    costs : expected cost of each plan. plan : the plan once nothing forbids opening.
    floors : what stands whatever is believed; signs : those of them that forbid opening.
    advice : next step; options : what it chose from. slack : largest possible error of a posterior.
    first_words : cautions to say before any question.
    """

    job: JobState
    heard: Understanding
    items: list[Item]
    evidence: dict[int, Floats]
    causes: dict[str, float]
    no_fault: float
    hypotheses: Hypotheses
    findings: dict[str, Floats]
    cured: Floats
    costs: Floats
    plan: int
    floors: list[StandingFloor]
    signs: list[StandingFloor]
    ride: RideCall
    surprise: float
    suspects: list[str]
    options: list[Option]
    advice: Advice
    asked: int
    slack: float
    first_words: list[str]


class Reasoner:
    """Knowledge made ready for judging jobs.

    Parameters
    ----------
    knowledge : cards. rates, strengths : learned, as `compile_pack` takes them. money : the shop's
    economics. shop_has : equipment of the shop, None: everything. stages : those that may be
    planned, because the shop can close the shock again after them; None: all. cache : folder for
    what is slow to build.
    """

    def __init__(
        self,
        knowledge: Knowledge,
        rates: Mapping[str, float] | None = None,
        money: Economics | None = None,
        shop_has: frozenset[str] | None = None,
        measure: Measure = measure_check,
        cache: Path | None = None,
        stages: frozenset[str] | None = None,
        strengths: Mapping[str, Mapping[str, Sequence[float]]] | None = None,
    ) -> None:
        self.knowledge = knowledge
        self.compiled: Compiled = compile_pack(knowledge, rates, strengths)
        self.money = money or knowledge.pack.economics
        self.shop_has = shop_has
        self.stages = stages
        self.measure = measure
        self._cache = cache
        self._last: View | None = None

    @cached_property
    def recogniser(self) -> Recogniser:
        return load_recogniser(self.knowledge, self._cache)

    @cached_property
    def sets(self) -> SetTable:
        return SetTable(self.compiled.network)

    @cached_property
    def cost_model(self) -> CostModel:
        return CostModel(self.knowledge, self.compiled.causes, self.money, self.stages)

    @cached_property
    def _choice(self) -> Floats:
        return choice_odds(self.compiled)

    @cached_property
    def _ride_tables(self) -> tuple[Floats, Floats]:
        """(causes,) whether a cause alone means stop, or at least gently."""
        stop, gently = np.zeros(len(self.compiled.causes)), np.zeros(len(self.compiled.causes))
        for i, card in enumerate(self.knowledge.causes.values()):
            stop[i] = card.ride.verdict == "stop_riding"
            gently[i] = card.ride.verdict != "ride"
        return stop, gently

    @cached_property
    def _vague(self) -> frozenset[tuple[str, str]]:
        """(finding, state) as which words count that say no more than that it is so: 'loses air',
        where 'flat every morning' says how long it holds.
        """
        rows = self.knowledge.floors
        return frozenset((f.until_asked, f.at_least) for f in rows if f.until_asked)

    @cached_property
    def _stops(self) -> dict[str, list[int]]:
        """Finding -> places of its states that mean stop where they are believed."""
        rows: dict[str, set[int]] = {}
        for floor in self.knowledge.floors:
            if floor.ride == "stop_riding" and floor.believed:
                states = self.compiled.states(floor.finding)
                places = {states.index(s) for s in self.knowledge.states_of(floor)}
                rows[floor.finding] = rows.get(floor.finding, set()) | places
        return {name: sorted(places) for name, places in rows.items()}

    def card(self, ident: str) -> Symptom | Check:
        return find_card(self.compiled, ident)

    def hear(self, job: JobState) -> Understanding:
        """What the customer's words say, the shock's history included."""
        history = job.shock.get(HISTORY)
        words = f"{job.complaint}. {history}" if isinstance(history, str) else job.complaint
        return with_maximum(self.knowledge, self.recogniser.understand(words), words)

    def odds(self, job: JobState, items: list[Item]) -> Floats:
        """(causes,) odds before the evidence: what a list of findings is weighed against."""
        return job_odds(self.compiled, self._choice, job, items)

    def view(self, job: JobState) -> View:
        """Judge a job; asked again at once about the same job, the answer is at hand."""
        last = self._last
        if last is None or last.job != job:
            self._last = last = self._view(job)
        return last

    def _view(self, job: JobState) -> View:
        heard = self.hear(job)
        items = gather(self.compiled, job, heard, self.measure)
        evidence = combine(self.compiled, items)
        odds = self.odds(job, items)
        network = self.compiled.network.with_odds(odds)
        lattice = Lattice(network, evidence)
        model = self.cost_model
        total, joint = lattice.marginals()
        posterior = joint[0] / total[0]
        nothing = np.zeros((1, len(posterior)))  # no cause has odds: the empty set alone is left
        shares = lattice.total(np.concatenate([model.cures.T, nothing])) / total[0]
        cured, empty = shares[:-1], float(shares[-1])
        order = np.argsort(-posterior, kind="stable")
        causes = {self.compiled.causes[i]: float(posterior[i]) for i in order}
        hypotheses = self.sets.posterior(odds, evidence)
        findings = {
            name: hypotheses.weights @ state_chances(self.compiled, name, hypotheses, evidence)
            for name in self.knowledge.findings
        }
        costs = hypotheses.weights @ model.costs(hypotheses.present)
        quotes = hypotheses.weights @ model.misquotes(hypotheses.present)
        # Words may change how others read, before and after them; what each meant stays said.
        others = [w for w in job.wordings if w != job.complaint]
        apart = [self.hear(replace(job, complaint=words)) for words in others]
        made = claims(self.compiled, job, [heard, *apart], items, self.measure)
        floors = standing_floors(self.compiled, made)
        signs = forbidding(floors, "open")
        slack = lattice.slack
        # What the sum could not settle counts as a reason to stop.
        any_stop = min(1.0, self._any_stop(hypotheses, evidence) + slack)
        ride = self._ride(job, items, causes, findings, floors, any_stop)
        surprise, suspects = self._surprise(odds, items)
        asked = self._asked(job)
        options = self._options(job, items, evidence, hypotheses, floors, ride, asked)
        advice = self._advise(job, hypotheses, options)
        plan = self._planned(job, floors, costs, quotes)
        if advice.option is None:
            told = self._telling(job, items, plan, hypotheses, options, asked)
            advice = replace(advice, option=told)
        if job.at == "counter":
            told = self._deciding(items, floors, options)
            advice = advice if told is None else replace(advice, option=told)
        elif floors:
            # What forbids opening or filling is settled before anything is weighed by cost.
            settled, probe = self._probe(floors, options)
            advice = replace(advice, option=probe) if settled else advice
        return View(
            job,
            heard,
            items,
            evidence,
            causes,
            empty,
            hypotheses,
            findings,
            cured,
            costs,
            plan,
            floors,
            signs,
            ride,
            surprise,
            suspects,
            options,
            advice,
            asked,
            slack,
            first_words(self.compiled, made),
        )

    def _planned(
        self, job: JobState, floors: list[StandingFloor], costs: Floats, quotes: Floats
    ) -> int:
        """The plan to go with, among those that hold every outcome that a floor demands."""
        kept = self.cost_model.holding({s.floor.stage for s in floors if s.floor.stage})
        costs, quotes = np.where(kept, costs, np.inf), np.where(kept, quotes, np.inf)
        if job.at == "bench":
            return self.cost_model.choose(costs, quotes)
        return int(np.argmin(quotes))

    def plan(self, view: View) -> Plan:
        return self.cost_model.plans[view.plan]

    def _asked(self, job: JobState) -> int:
        look = set(self.knowledge.pack.look)
        counter = {
            ask for ask, _ in job.reports if ask not in look and self._at(ask) == "counter"
        } | {a for a in job.unsure | set(job.skipped) if a not in look}
        looked = job.choices.look_left or any(ask in look for ask, _ in job.reports)
        return len(counter) + looked + job.choices.words_left

    def _at(self, ask: str) -> str:
        check = self.knowledge.checks.get(ask)
        return check.at if check else "counter"

    def _ride(
        self,
        job: JobState,
        items: list[Item],
        causes: Mapping[str, float],
        findings: Mapping[str, Floats],
        floors: list[StandingFloor],
        any_stop: float,
    ) -> RideCall:
        done = {i.finding for i in items if i.by != "customer"}
        looked: list[str] = []
        missing: list[str] = []
        for ident in self.knowledge.pack.look:
            check = self.knowledge.checks[ident]
            words = (check.place or check.observes).replace("_", " ")
            (looked if check.observes in done else missing).append(words)
        unseen = job.channel != "bike_here"
        plain = self.knowledge.pack.said_plainly
        asked = {
            i.finding
            for i in items
            if not i.words or (i.certainty >= plain and (i.finding, i.state) not in self._vague)
        }
        return judge_ride(
            self.compiled, causes, findings, floors, looked, missing, unseen, any_stop, asked
        )

    def _any_stop(self, hypotheses: Hypotheses, evidence: dict[int, Floats]) -> float:
        """Chance that some cause or some finding is a reason to stop, whichever it is."""
        stop, _ = self._ride_tables
        fine = np.where(hypotheses.present[:, stop > 0.0].any(axis=1), 0.0, hypotheses.weights)
        for name, places in self._stops.items():
            shown = state_chances(self.compiled, name, hypotheses, evidence)
            fine = fine * (1.0 - shown[:, places].sum(axis=1))
        return 1.0 - float(fine.sum())

    def _surprise(self, odds: Floats, items: list[Item]) -> tuple[float, list[str]]:
        """How much less likely the answers are together than one by one, and which stand out.

        The conflict measure of Jensen et al. 1991, *Analysis in HUGIN of data conflict*:
        log10 of prod P(e_i) / P(e); positive: the answers do not fit one another.
        """
        if len(items) < 2:
            return 0.0, []
        sets, network = self.sets, self.compiled.network
        prior = sets.weigh(odds, {})
        prior = prior / prior.sum()
        columns = []
        for item in items:
            start = int(network.state_offsets[network.finding_index[item.finding]])
            likelihood = item.likelihood / max(1.0, float(item.likelihood.max()))
            columns.append(sets.chances[:, start : start + len(likelihood)] @ likelihood)
        table = np.array(columns)
        singles = table @ prior
        whole = float(np.prod(table, axis=0) @ prior)
        rest = np.array(
            [np.prod(np.delete(table, n, axis=0), axis=0) @ prior for n in range(len(items))]
        )
        log = float(np.log10(singles).sum() - np.log10(whole))
        # How much sooner one of its other answers was to be expected, given all the others: no
        # ranking finds a turned answer more often where any may be turned into any other.
        others = np.array([len(item.likelihood) - 1 for item in items])
        doubt = np.log10(np.maximum(rest / whole - 1.0, 1e-9) / others)
        order = np.argsort(-doubt)[:2]
        return log, [items[int(n)].ask for n in order if doubt[int(n)] > 0.5]

    def _telling(
        self,
        job: JobState,
        items: list[Item],
        plan: int,
        hypotheses: Hypotheses,
        options: list[Option],
        asked: int,
    ) -> int | None:
        """What to ask although nothing pays for itself: while the right plan is still open, and
        before anything is opened on other people's words alone.
        """
        if not options:
            return None
        model = self.cost_model
        right = model.right_stages(hypotheses.present)
        told = bits_told(hypotheses.weights, right, options)
        told *= answered_share(self.compiled, job)
        prices = np.array([option.price + option.act_price for option in options])
        if job.at == "bench" and self._unconfirmed(job, items, plan):
            own = np.array([self._at(option.id) == "bench" for option in options])
            told_cheaply = np.where(own & (prices <= _CONFIRM_PRICE), told, 0.0)
            if told_cheaply.max() > 0.0:
                return int(np.argmax(told_cheaply))
        share = float(np.bincount(right, weights=hypotheses.weights).max())
        here = _OPEN[job.at]
        if job.at == "bench":
            asked = sum(by == "bench" or ask in self.knowledge.checks for ask, by in job.reports)
            asked += sum(ask in self.knowledge.checks for ask in (*job.unsure, *job.skipped))
            asked -= len(self.knowledge.pack.look)
        if share >= here.sure or asked >= here.most:
            return None
        worth = np.where(told >= here.bits, told / (prices + 1.0), 0.0)
        return int(np.argmax(worth)) if worth.max() > 0.0 else None

    def _unconfirmed(self, job: JobState, items: list[Item], plan: int) -> bool:
        """The plan opens something and the bench has not looked for itself, nor tried in vain."""
        chosen = self.cost_model.plans[plan]
        opens = not chosen.shut and any(self.knowledge.stages[s].opens for s in chosen.stages)
        tried = [ask for ask, by in job.reports if by == "bench"] + [
            ask for ask in (*job.unsure, *job.skipped) if ask in self.knowledge.checks
        ]
        return opens and not any(i.by == "bench" for i in items) and len(tried) < _CONFIRM_TRIES

    def _deciding(
        self, items: list[Item], floors: list[StandingFloor], options: list[Option]
    ) -> int | None:
        """What comes before any other question at the counter: the look that shows whether a sign
        that was only said is there, and the question that decides the ride of what was only heard.
        """
        first = [c for s in forbidding(floors, "open") if s.claim.by in ("heard", "customer")
                 for c in s.lifts]  # fmt: skip
        first += [i.ask for i in items if i.words and (i.finding, i.state) in self._vague]
        return next((n for n, option in enumerate(options) if option.id in first), None)

    def _handling(self, check: Check) -> tuple[int, int, float]:
        """How much a check does to a shock: changes, hazards that wait for a key, minutes."""
        full: dict[str, bool] = {}  # unknown: every chamber may hold pressure
        keyed = must_acknowledge(self.knowledge, check.does, full)
        return len(self.knowledge.device.effects(check.does)), len(keyed), check.minutes

    def _probe(self, floors: list[StandingFloor], options: list[Option]) -> tuple[bool, int | None]:
        """What settles the floors that forbid opening or filling: look first, touch the valve last.

        Returns
        -------
        Whether nothing else comes first, and the option; none where nothing can settle it: the
        shock goes out as it is.
        """
        checks = self.knowledge.checks
        ids = [option.id for option in options]
        for what in ("open", "fill"):
            standing = forbidding(floors, what)
            if not standing:
                continue
            lifting = [
                [c for c in s.lifts if c in ids and checks[c].at == "bench"] for s in standing
            ]
            if all(lifting):
                about = same_thing(self.knowledge, standing) if what == "open" else set()
                bench = [c for c in ids if c in checks and checks[c].at == "bench"]
                probes = [c for c in bench if checks[c].observes in about or c in chain(*lifting)]
                first = min(probes, key=lambda c: self._handling(checks[c]))
                return True, ids.index(first)
            if what == "open":
                return True, None
        return False, None

    def _options(
        self,
        job: JobState,
        items: list[Item],
        evidence: dict[int, Floats],
        hypotheses: Hypotheses,
        floors: list[StandingFloor],
        ride: RideCall,
        asked: int,
    ) -> list[Option]:
        if job.at == "counter" and asked >= COUNTER_QUESTIONS:
            return []
        trapped: set[str] | None = None
        signs = forbidding(floors, "open")
        if signs:
            found = same_thing(self.knowledge, signs)
            trapped = {check for sign in signs for check in sign.lifts}
            trapped |= {
                c.id
                for c in self.knowledge.checks.values()
                if c.at == "bench" and c.observes in found
            }
        cards = candidates(
            self.compiled,
            job,
            items,
            stop=ride.stop >= self.knowledge.pack.stop_at,
            trapped=trapped,
            fill=not forbidding(floors, "fill"),
            shop_has=self.shop_has,
        )
        return options_for(self.compiled, cards, hypotheses, evidence, job, self.money)

    def _advise(self, job: JobState, hypotheses: Hypotheses, options: list[Option]) -> Advice:
        model = self.cost_model
        present = hypotheses.present
        if job.at == "bench":
            costs = model.costs(present)
            expected = hypotheses.weights @ costs
            sure = float((hypotheses.weights @ model.cured(present))[int(np.argmin(expected))])
            share = _BENCH_SHARE if sure >= SURE else 0.0
            least = _BENCH_LEAST + share * float(expected.min())
            least /= answered_share(self.compiled, job)
            return self._stop_or_go(hypotheses, (costs,), options, job, least)
        stop, gently = self._ride_tables
        must_stop = 1.0 - np.prod(np.where(present, 1.0 - stop, 1.0), axis=1)
        gentle = 1.0 - np.prod(np.where(present, 1.0 - gently, 1.0), axis=1)
        fine = 1.0 - gentle
        comeback = self.money.comeback
        ride = comeback * np.stack(
            [
                _RIDE_RISK * must_stop + 0.3 * gentle,
                0.5 * _RIDE_RISK * must_stop + 0.1 * fine,
                _RIDE_STOP * (1.0 - must_stop),
            ],
            axis=1,
        )
        return self._stop_or_go(
            hypotheses, (model.misquotes(present), 0.2 * ride), options, job, _COUNTER_LEAST
        )

    def _stop_or_go(
        self,
        hypotheses: Hypotheses,
        decisions: tuple[Floats, ...],
        options: list[Option],
        job: JobState,
        least: float,
    ) -> Advice:
        acts = {
            check.act
            for ask, _ in job.reports
            if (check := self.knowledge.checks.get(ask)) is not None and check.act
        }
        situation = Situation(hypotheses.weights, decisions, tuple(options), frozenset(acts))
        return advise(situation, least=least, alike=_ALIKE[job.at])
