"""The customer's words become symptoms: which, in what state, how sure, and by which words.

Rules
-----
- The whole text is read at once by the trained model: what is asserted, of what, and what is only
  asked, planned, past, renewed, or said of another part of the bike.
- What no model was trained on is heard by nearness to its sayings; what it was trained on under an
  id that is retired since is heard as what stands in its place.
- A chance is what it says: of all readings at 0.8 eight in ten are right. Which of them counts, is
  shown or is asked stands in the pack (`hearing`), nowhere else.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from diagnose.complaint.nearness import Nearness
from diagnose.complaint.trained import Said, Trained
from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import NOT_SURE, Retired

__all__ = ["MODEL", "Heard", "Recogniser", "Understanding"]

#: the trained model, made by tests/hearing/train.py
MODEL = Path(__file__).with_name("hearing.npz")

_WORD = re.compile(r"[^\W\d_]+(?:['\u2019][^\W\d_]+)?")


@dataclass(frozen=True)
class Heard:
    """One symptom in the customer's words.

    Attributes
    ----------
    certainty : chance that the text says this of the symptom, on this side (well or not), 0..1.
    shares : (states,) chance of each state if the symptom is meant; empty: the state alone.
    words : the customer's own words, the slice from ``start`` to ``end`` of the text. denied : the
    healthy state was meant.
    """

    symptom: str
    state: str
    certainty: float
    words: str
    denied: bool = False
    shares: tuple[float, ...] = ()
    start: int = 0
    end: int = 0


@dataclass(frozen=True)
class Understanding:
    """All that was understood of a text.

    Attributes
    ----------
    heard : in the order of the text, at most one for each finding. unknown : words that no reading
    used and that are not said beside any complaint.
    """

    heard: tuple[Heard, ...] = ()
    unknown: tuple[str, ...] = ()

    @property
    def empty(self) -> bool:
        """Nothing was heard."""
        return not self.heard


class Recogniser:
    """Recognises the symptoms of one pack.

    Parameters
    ----------
    knowledge : cards of the pack. model : file of the trained model.
    """

    def __init__(self, knowledge: Knowledge, model: Path = MODEL) -> None:
        self._symptoms = {card.observes: card for card in knowledge.symptoms.values()}
        self._states = {name: list(knowledge.findings[name].states) for name in self._symptoms}
        self._least = knowledge.pack.hearing.asked
        self._model, self._pack, self._knowledge = model, knowledge.pack.id, knowledge

    @cached_property
    def _trained(self) -> Trained:
        return Trained(self._model, self._pack)

    @cached_property
    def _near(self) -> Nearness:
        return Nearness(self._knowledge, self.untrained)

    @cached_property
    def _earlier(self) -> dict[str, Retired]:
        """Findings that the model knows under an id that is retired since."""
        known, retired = self._trained.states, self._knowledge.retired
        return {
            name: gone
            for name, gone in retired.items()
            if name in known and gone.replaced_by in self._states and gone.replaced_by not in known
        }

    @cached_property
    def untrained(self) -> frozenset[str]:
        """Findings of symptoms that the model does not know in these states."""
        known = self._trained.states
        later = {gone.replaced_by for gone in self._earlier.values()}
        return frozenset(
            name
            for name, states in self._states.items()
            if known.get(name) != states and name not in later
        )

    def ready(self) -> None:
        """Have everything at hand before somebody waits for it."""
        self.understand("ready")

    def understand(self, text: str) -> Understanding:
        """All symptoms that a text names or denies, as far as they are worth asking about."""
        readings = [self._heard(text, said) for said in self._said(text)]
        heard = sorted(
            (h for h in readings if h.certainty >= self._least), key=lambda h: (h.start, h.symptom)
        )
        used = [(h.start, h.end) for h in heard]
        places = [
            match.span()
            for match in _WORD.finditer(text)
            if self._strange(match[0])
            and not any(start < match.end() and match.start() < end for start, end in used)
        ]
        words = dict.fromkeys(text[start:end] for start, end in places)
        return Understanding(tuple(heard), tuple(words))

    def best(self, text: str, n: int = 3) -> list[Heard]:
        """The ``n`` likeliest symptoms of a text, likeliest first, however unsure."""
        readings = [self._heard(text, said) for said in self._said(text)]
        return sorted(readings, key=lambda h: -h.certainty)[:n]

    def complete(self, prefix: str, n: int = 8) -> list[str]:
        """Names and sayings that go on from what was typed so far, shortest first."""
        typed = " ".join(prefix.lower().split())
        if not typed:
            return []
        starting = [s for s in self._sayings if s.lower().startswith(typed)]
        inside = [s for s in self._sayings if f" {typed}" in s.lower() and s not in starting]
        return (sorted(starting, key=len) + sorted(inside, key=len))[:n]

    @cached_property
    def _sayings(self) -> list[str]:
        cards = self._symptoms.values()
        sayings = [text for card in cards for texts in card.phrases.values() for text in texts]
        return list(dict.fromkeys([*(card.name for card in cards), *sayings]))

    def _said(self, text: str) -> list[Said]:
        trained = self._trained.of(text) if self._trained.states else []
        return [
            *(said for said in trained if said.finding in self._states
              and said.finding not in self.untrained),
            *self._replaced(said for said in trained if said.finding in self._earlier),
            *(self._near.of(text) if self.untrained else ()),
        ]  # fmt: skip

    def _replaced(self, earlier: Iterable[Said]) -> Iterator[Said]:
        """What was said of findings that are retired, as said of what stands in their place."""
        found: dict[str, tuple[dict[str, float], Said]] = {}
        for said in sorted(earlier, key=lambda said: said.chances[0] - said.chance):
            gone = self._earlier[said.finding]
            chances, _ = found.setdefault(gone.replaced_by, ({}, said))
            for state, chance in zip(self._trained.states[said.finding], said.chances, strict=True):
                today = gone.states.get(state, NOT_SURE)
                chances[today] = chances.get(today, 0.0) + chance
        for name, (chances, said) in found.items():
            likely = [chances.get(state, 0.0) for state in self._states[name]]
            whole = max(1.0, sum(likely))
            yield Said(name, tuple(chance / whole for chance in likely), said.start, said.end)

    def _heard(self, text: str, said: Said) -> Heard:
        states = self._states[said.finding]
        likeliest = max(range(len(states)), key=said.chances.__getitem__)
        # Whether there is something wrong is surer than how bad it is.
        side = said.chances[0] if likeliest == 0 else sum(said.chances[1:])
        start, end = said.start, said.end
        while end > start + 1 and not text[end - 1].isalnum():
            end -= 1
        return Heard(
            self._symptoms[said.finding].id,
            states[likeliest],
            side,
            text[start:end],
            likeliest == 0,
            tuple(chance / said.chance for chance in said.chances) if said.chance else (),
            start,
            end,
        )

    def _strange(self, word: str) -> bool:
        return len(word) > 2 and word.lower() not in self._trained.common
