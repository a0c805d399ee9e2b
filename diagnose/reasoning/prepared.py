"""Knowledge made ready for judging jobs: what is worked out once and shared by all of them."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cached_property

import numpy as np

from diagnose.belief.compiled import Compiled, compile_pack
from diagnose.belief.hypotheses import SetTable
from diagnose.belief.network import Floats
from diagnose.complaint.recogniser import Recogniser, Understanding
from diagnose.job.measuring import Measure, measure_check
from diagnose.job.state import JobState
from diagnose.knowledge.device import HISTORY
from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import Check, Economics, Frame, Symptom
from diagnose.reasoning.left_unsaid import Unsaid
from diagnose.reasoning.options import find_card
from diagnose.reasoning.over_maximum import with_maximum
from diagnose.remembered import Remembered
from diagnose.strategy.plans import CostModel

__all__ = ["Prepared"]

_SENTENCE = re.compile(r"\S.*?(?:[.!?;]+(?=\s)|\n|$)", re.DOTALL)


class Prepared:
    """Knowledge made ready.

    Parameters
    ----------
    knowledge : cards. rates, strengths : learned, as `compile_pack` takes them. money : the shop's
    economics. shop_has : equipment of the shop, None: everything. stages : those that may be
    planned, because the shop can close the shock again after them; None: all.
    """

    def __init__(
        self,
        knowledge: Knowledge,
        rates: Mapping[str, float] | None = None,
        money: Economics | None = None,
        shop_has: frozenset[str] | None = None,
        measure: Measure = measure_check,
        stages: frozenset[str] | None = None,
        strengths: Mapping[str, Mapping[str, Sequence[float]]] | None = None,
    ) -> None:
        self.knowledge = knowledge
        self.money = money or knowledge.pack.economics
        self.shop_has = shop_has
        self.stages = stages
        self.measure = measure
        self._learned = rates, strengths

    @cached_property
    def compiled(self) -> Compiled:
        return compile_pack(self.knowledge, *self._learned)

    @cached_property
    def recogniser(self) -> Recogniser:
        return Recogniser(self.knowledge)

    @cached_property
    def unsaid(self) -> Unsaid:
        return Unsaid(self.compiled)

    @cached_property
    def sets(self) -> SetTable:
        return SetTable(self.compiled.network)

    @cached_property
    def cost_model(self) -> CostModel:
        return CostModel(self.knowledge, self.compiled.causes, self.money, self.stages)

    @cached_property
    def set_costs(self) -> Floats:
        """(sets, plans) cost of every plan in every set of the table."""
        return self.cost_model.costs(self.sets.present)

    @cached_property
    def set_rights(self) -> Floats:
        """(sets, plans) whether a plan is the right one in every set of the table."""
        return self.cost_model.rights(self.sets.present)

    @cached_property
    def ride_tables(self) -> tuple[Floats, Floats]:
        """(causes,) whether a cause alone means stop, or at least gently."""
        stop, gently = np.zeros(len(self.compiled.causes)), np.zeros(len(self.compiled.causes))
        for i, card in enumerate(self.knowledge.causes.values()):
            stop[i] = card.ride.verdict == "stop_riding"
            gently[i] = card.ride.verdict != "ride"
        return stop, gently

    @cached_property
    def vague(self) -> frozenset[tuple[str, str]]:
        """(finding, state) as which words count that say no more than that it is so: 'loses air',
        where 'flat every morning' says how long it holds.
        """
        rows = self.knowledge.floors
        return frozenset((f.until_asked, f.at_least) for f in rows if f.until_asked)

    @cached_property
    def stop_states(self) -> dict[str, list[int]]:
        """Finding -> places of its states that mean stop where they are believed."""
        rows: dict[str, set[int]] = {}
        for floor in self.knowledge.floors:
            if floor.ride == "stop_riding" and floor.believed:
                states = self.compiled.states(floor.finding)
                places = {states.index(s) for s in self.knowledge.states_of(floor)}
                rows[floor.finding] = rows.get(floor.finding, set()) | places
        return {name: sorted(places) for name, places in rows.items()}

    def card(self, ident: str) -> Symptom | Check:
        """The symptom or check with this id; KeyError if there is none."""
        card = find_card(self.compiled, ident)
        assert not isinstance(card, Frame), "a frame question reports nothing itself"
        return card

    def hear(self, job: JobState) -> Understanding:
        """What the customer's words say, the shock's history included.

        They are heard together, since later words may change how earlier ones read, and each
        sentence by itself: two words at the door must not drown in a story told later. What a
        sentence says plainly counts where the whole does not say it; where the whole says that it
        is well (another bike is, or it was not meant so), it is asked.
        """
        text = self.words(job)
        whole, marks = self._heard(text), self.knowledge.pack.hearing
        counting = {s.symptom: s for s in whole.heard if s.certainty >= marks.counts}
        plain = [
            replace(said, start=said.start + part.start(), end=said.end + part.start())
            for part in _SENTENCE.finditer(text)
            if part.group() != text
            for said in self._heard(part.group()).heard
            if said.certainty >= marks.plain
        ]
        heard = {said.symptom: said for said in whole.heard}
        # Trouble goes before 'all well'.
        for said in sorted(plain, key=lambda said: not said.denied):
            known = counting.get(said.symptom)
            if known is None:
                heard[said.symptom] = said
            elif known.denied and not said.denied:
                heard[said.symptom] = replace(said, certainty=marks.asked)
        return replace(whole, heard=tuple(sorted(heard.values(), key=lambda said: said.start)))

    def hear_apart(self, words: str) -> Understanding:
        """What some of the words say by themselves."""
        return self._heard(words)

    @staticmethod
    def words(job: JobState) -> str:
        """The complaint and the shock's history, as they are heard."""
        history = job.shock.get(HISTORY)
        return f"{job.complaint}. {history}" if isinstance(history, str) else job.complaint

    @cached_property
    def _heard(self) -> Remembered[str, Understanding]:
        # The words of a job are heard together and by sentences.
        return Remembered(self._understand, most=64)

    def _understand(self, words: str) -> Understanding:
        return with_maximum(self.knowledge, self.recogniser.understand(words), words)
