"""Which phrases of the cards a text holds, where, and whether it says or denies them.

Rules
-----
- A text is looked at through windows: a clause, a few clauses of one sentence, stretches of a long
  clause. A phrase is judged in the window that it fits best.
- A phrase that carries its own denial ('will not hold air') is met by a text that denies the same
  words. Where only one of the two denies, the text says the opposite of the phrase.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.complaint.phrases import Matrix, PhraseBook, keys_of, pairs_of
from diagnose.complaint.reading import Word

__all__ = ["Match", "clause_words", "find_matches"]

# A sentence longer than this is looked at in blocks, so that time grows with length only.
_BLOCK = 90
_OVERLAP = 10
_CLAUSES = 4
_LONGEST_WINDOW = 16
# Stretches of a clause that are looked at by themselves, for two things said in one breath: words,
# and how far one starts after the other.
_STRETCHES = ((2, 1), (3, 1), (5, 2), (8, 3))
# Weight of all sayings together against the best one, when symptoms are compared: for the words of
# the window, and for those that it stands among; and from which log of a chance that says nothing.
_OWN, _AMONG, _HOPELESS = 0.7, 0.4, 6.0
# More words that agree are worth something by themselves.
_MORE = 0.05
# Looked at closely in each window: phrases, and states of symptoms.
_PHRASES, _TELLINGS = 6, 8
# A phrase that is all of a clause, word for word, beats what is only like it.
_EXACT, _NEARLY_EXACT = 0.2, 0.95
# Far worse than the best of a window is no rival.
_FAR = 0.65
_LEAST = 0.25
# From this share of the matched weight on a denial is meant, not a neighbour's.
_DENIED = 0.2
# Health that is told without a denial ('holds air fine') must be told nearly whole.
_WHOLE, _NOT_WHOLE = 0.7, 0.5
# A word that stands in so many of its sayings for health tells of it by itself ('fine', 'dry').
_HEALTHY = 0.7
# How many words to either side belong to what is said, within the clause.
_AROUND = 6
# The opposite of a phrase is a weaker witness than the phrase.
_TEXT_DENIES, _PHRASE_DENIES = 0.92, 0.8


@dataclass(frozen=True)
class Match:
    """One phrase met in a text.

    Attributes
    ----------
    phrase : its place in the book. score : about 0..1.5, how well it is met. fit : the part of the
    score that is the phrase itself. weight : of the matched words. share : of their clauses that
    the matched words are. words : places of the matched words in the text. opposite : the text
    says the opposite of the phrase. soft : less than 1 where the text supposes, asks or speaks of
    the past.
    """

    phrase: int
    score: float
    fit: float
    weight: float
    share: float
    words: frozenset[int]
    opposite: bool
    soft: float


def find_matches(book: PhraseBook, words: Sequence[Word], broad: bool = False) -> list[Match]:
    """The phrases met in the words (those with meaning), best first.

    ``broad``: look closely at unlikely ones too, which takes longer.
    """
    best: dict[tuple[int, frozenset[int]], Match] = {}
    for block in _blocks(words):
        for match in _matches_in(book, words, block, broad):
            key = (match.phrase, match.words)
            if key not in best or match.score > best[key].score:
                best[key] = match
    return sorted(best.values(), key=lambda m: (-m.score, m.phrase))


def _blocks(words: Sequence[Word]) -> Iterator[range]:
    start = 0
    while start < len(words):
        end = min(len(words), start + _BLOCK)
        yield range(start, end)
        if end == len(words):
            break
        start = end - _OVERLAP


def _windows(words: Sequence[Word], block: range) -> list[range]:
    clauses: list[range] = []
    start = block.start
    for place in block:
        if place + 1 == block.stop or words[place + 1].clause != words[place].clause:
            clauses.append(range(start, place + 1))
            start = place + 1
    found: dict[range, None] = {}
    for index, first in enumerate(clauses):
        for last in clauses[index : index + _CLAUSES]:
            if words[last.start].sentence != words[first.start].sentence:
                break
            if last.stop - first.start <= _LONGEST_WINDOW or last == first:
                found[range(first.start, last.stop)] = None
        for size, step in _STRETCHES:
            if size < len(first):
                for begin in range(first.start, first.stop - size + step, step):
                    found[range(begin, min(begin + size, first.stop))] = None
    return list(found)


def _matches_in(
    book: PhraseBook, words: Sequence[Word], block: range, broad: bool
) -> Iterator[Match]:
    windows = _windows(words, block)
    bags = [_bag(words[window.start : window.stop]) for window in windows]
    sizes = np.array(
        [sum(map(book.weight, words[window.start : window.stop])) for window in windows],
        dtype=np.float32,
    )
    fits, scores = _scores(book, bags, sizes)
    tendency = _tendency(book, words, windows)
    scores += (_OWN * tendency + _AMONG * tendency[_widest(windows)])[:, book.symptom_of]
    for row, window in enumerate(windows):
        places = _places(words, window)
        for phrase in _likeliest(book, scores[row], broad):
            fit = float(fits[row, phrase])
            if fit >= _LEAST:
                match = _judge(book, words, places, phrase, fit, float(scores[row, phrase]))
                if match:
                    yield match


def _likeliest(book: PhraseBook, scores: Matrix, broad: bool) -> list[int]:
    """The best phrases, and the best one each of the best tellings: rivals must be seen too."""
    count = min(_PHRASES, len(scores))
    found = dict.fromkeys(np.argpartition(-scores, count - 1)[:count].tolist())
    least = 0.0 if broad else _FAR * float(scores.max())
    best = np.maximum.reduceat(scores, book.groups)
    count = min(_TELLINGS * (3 if broad else 1), len(best))
    for group in np.argpartition(-best, count - 1)[:count].tolist():
        start = book.groups[group]
        end = book.groups[group + 1] if group + 1 < len(book.groups) else len(scores)
        if best[group] >= least:
            found[start + int(scores[start:end].argmax())] = None
    return [phrase for phrase in found if scores[phrase] >= least]


def _widest(windows: list[range]) -> list[int]:
    """For each window the place of the widest that holds it: what it stands among."""
    order = sorted(range(len(windows)), key=lambda i: -len(windows[i]))
    return [
        next(
            i for i in order if windows[i].start <= window.start and window.stop <= windows[i].stop
        )
        for window in windows
    ]


def _bag(words: Sequence[Word]) -> dict[str, float]:
    """Keys of a window with how sure each was read."""
    bag = dict.fromkeys(pairs_of(words), 1.0)
    for word in words:
        for key, _ in keys_of(word):
            bag[key] = max(bag.get(key, 0.0), word.sureness)
    return bag


def _tendency(book: PhraseBook, words: Sequence[Word], windows: list[range]) -> Matrix:
    """(windows, symptoms) how far the words of each window speak of each symptom, 0..1."""
    result: Matrix = np.maximum(0.0, 1.0 + book.model.log_chances(words, windows) / _HOPELESS)
    return result


def _scores(book: PhraseBook, bags: list[dict[str, float]], sizes: Matrix) -> tuple[Matrix, Matrix]:
    overlap = np.zeros((len(bags), len(book.phrases)), dtype=np.float32)
    for row, bag in enumerate(bags):
        for key, sureness in bag.items():
            columns, weights = book.postings(key)
            overlap[row, columns] += weights * sureness
    covered = overlap / book.totals
    used = np.minimum(1.0, overlap / (sizes[:, None] + 1e-6))
    fits = np.sqrt(covered * used)
    return fits, fits + _MORE * np.log1p(overlap)


def _places(words: Sequence[Word], window: range) -> dict[str, list[int]]:
    """Where in the window each key stands."""
    places: dict[str, list[int]] = {}
    for place in window:
        for key, _ in keys_of(words[place]):
            places.setdefault(key, []).append(place)
    return places


def _judge(
    book: PhraseBook,
    words: Sequence[Word],
    places: dict[str, list[int]],
    number: int,
    fit: float,
    score: float,
) -> Match | None:
    phrase = book.phrases[number]
    matched: set[int] = set()
    total = whole = text_denied = phrase_denied = both = 0.0
    soft = 1.0
    for meaning, denied in zip(phrase.meanings, phrase.denied, strict=True):
        weight = book.key_weight(meaning) + 0.2
        whole += weight
        found = places.get(meaning)
        if not found:
            continue
        place = next((p for p in found if p not in matched), found[0])
        word = words[place]
        matched.add(place)
        total += weight
        text_denied += weight * word.denied
        phrase_denied += weight * denied
        both += weight * (word.denied and denied)
        if word.past:
            soft = min(soft, 0.8)
        if word.hedged or word.asked:
            soft = min(soft, 0.75)
    if not matched:
        return None
    text_denies = text_denied > _DENIED * total
    phrase_denies = phrase_denied > _DENIED * total
    opposite = text_denies != phrase_denies
    factor = 1.0
    if opposite:
        factor = _TEXT_DENIES if text_denies else _PHRASE_DENIES
    elif text_denies and both < _DENIED * total:
        factor = 0.8
    share = _share_of_clause(book, words, matched)
    if phrase.healthy != opposite and not text_denies:
        whole_told = total >= _WHOLE * whole and share >= _WHOLE
        if opposite:
            whole_told = whole_told and len(matched) > 1
        else:
            tells_health = any(book.health(words[p].meaning, False) >= _HEALTHY for p in matched)
            whole_told = whole_told or tells_health or fit > _NEARLY_EXACT
        if not whole_told:
            factor *= _NOT_WHOLE
    if not opposite:
        score += _EXACT * (fit * share) ** 6
    factor *= _numbers_agree(phrase.numbers, [words[p] for p in matched])
    weight = sum(book.weight(words[place]) for place in matched)
    return Match(
        phrase=number,
        score=score * factor,
        fit=fit,
        weight=weight,
        share=share,
        words=frozenset(matched),
        opposite=opposite,
        soft=soft,
    )


def clause_words(words: Sequence[Word], matched: Collection[int]) -> list[Word]:
    """All words near the matched ones that stand in a clause of theirs."""
    return [words[place] for place in _near(words, matched)]


def _near(words: Sequence[Word], matched: Collection[int]) -> list[int]:
    clauses = {words[place].clause for place in matched}
    first, last = min(matched), max(matched)
    around = range(max(0, first - _AROUND), min(len(words), last + _AROUND + 1))
    return [place for place in around if words[place].clause in clauses]


def _share_of_clause(book: PhraseBook, words: Sequence[Word], matched: Collection[int]) -> float:
    """Weight of the matched words among all words of their clauses, 0..1."""
    weights = {place: book.weight(words[place]) + 0.2 for place in _near(words, matched)}
    return sum(weights[place] for place in matched) / sum(weights.values())


def _numbers_agree(wanted: Sequence[float], words: Sequence[Word]) -> float:
    """1 for the same number, less the further apart in proportion, never below 0.7."""
    found = [word.number for word in words if word.number is not None]
    if not wanted or not found:
        return 1.0
    apart = min(abs(math.log((a + 0.5) / (b + 0.5))) for a in wanted for b in found)
    return max(0.7, 1.0 - 0.4 * apart)
