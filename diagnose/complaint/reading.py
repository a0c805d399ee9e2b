"""A text becomes words with meaning: spelling, class, stem, number, clause, denied or not.

Rules
-----
- Phrases of the cards and texts of customers are read by the same code, so that whatever is done
  to the one is done to the other.
- A word remembers where it stands in the text; nothing is ever rewritten.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

import snowballstemmer

from diagnose.complaint.english import (
    AFTER_NOUNS,
    APART,
    ARTICLES,
    BEFORE_NOUNS,
    CONJUNCTIONS,
    HEDGES,
    IDIOMS,
    LEADS_TO_SUBJECT,
    MODALS,
    NEGATORS,
    NUMBERS,
    OBJECTS,
    ORDINARY,
    PAST,
    SMALL,
    SUBJECTS,
)
from diagnose.complaint.spelling import Speller
from diagnose.knowledge.models import Lexicon

__all__ = ["Reader", "Word"]

_TOKEN = re.compile(r"[0-9]{1,9}(?:[.,][0-9]{1,9})?|[^\W\d_]+(?:['\u2019`][^\W\d_]+)*|%")
_SENTENCE = re.compile(r"[.!?;\n\r]|\u2026")
_CLAUSE = re.compile(r"[,:()/\u2013\u2014]|\s-+\s")
# 'Good morning' says nothing of the morning.
_GREETING = re.compile(
    r"^\W*(?:good\s+)?(?:morning|afternoon|evening|day)\b(?!\s+(?:ride|rides|it|the|after))"
    r"|\bgood\s+(?:morning|afternoon|evening|day)\b|\b(?:morning|evening|afternoon)\s+all\b",
    re.IGNORECASE,
)
_ENDINGS = ("'s", "'ve", "'ll", "'m", "'re", "'d")
# Words of content that a negator reaches at most.
_REACH = 4


@dataclass
class Word:
    """One word, or several that are one term.

    Attributes
    ----------
    start, end : place in the text. meaning : class of the lexicon, number mark or stem; empty for
    small words. stems : stems of its words. number : value, for numbers. sentence, clause : ordinal
    number. denied : within reach of a negator. denier :
    where that negator stands, -1 for none. past : denied only because it is no more.
    hedged : the clause asks or supposes. sureness : 1, less where the spelling was corrected.
    """

    start: int
    end: int
    plain: str
    meaning: str = ""
    stems: tuple[str, ...] = ()
    number: float | None = None
    sentence: int = 0
    clause: int = 0
    negator: bool = False
    denied: bool = False
    denier: int = -1
    past: bool = False
    hedged: bool = False
    asked: bool = False
    sureness: float = 1.0
    corrected: str = ""
    known: bool = True


@dataclass
class _Terms:
    """Multi-word terms by first stem, longest first."""

    by_first: dict[str, list[tuple[tuple[str, ...], str]]] = field(default_factory=dict)

    def add(self, stems: tuple[str, ...], meaning: str) -> None:
        rows = self.by_first.setdefault(stems[0], [])
        rows.append((stems, meaning))
        rows.sort(key=lambda row: -len(row[0]))

    def at(self, stems: list[str], place: int) -> tuple[int, str] | None:
        """Length and meaning of the longest term that begins here."""
        for term, meaning in self.by_first.get(stems[place], ()):
            end = place
            for stem in term:
                while stems[end : end + 1] and stems[end] != stem and stems[end] in ARTICLES:
                    end += 1
                if stems[end : end + 1] != [stem]:
                    break
                end += 1
            else:
                return end - place, meaning
        return None


class Reader:
    """Reads texts with the lexicon of one pack."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._stemmer = snowballstemmer.stemmer("english").stemWord
        self._stems: dict[str, str] = {}
        self._speller: Speller | None = None
        self._negators = NEGATORS | {n for n in lexicon.negators if " " not in n}
        self._cancels = {c for c in lexicon.cancels if " " not in c}
        self._terms = _Terms()
        self._single: dict[str, str] = {}
        self.vocabulary: dict[str, int] = {}
        for meaning, members in lexicon.classes.items():
            for member in members:
                self._add_term(member, "=" + meaning)
        for filler in lexicon.fillers:
            self._add_term(filler, "")
        for negator in lexicon.negators:
            if " " in negator:
                self._add_term(negator, "!")
            self._count(negator)
        for cancel in lexicon.cancels:
            self._count(cancel)

    def _count(self, text: str) -> None:
        for _, _, word in _tokens(text):
            self.vocabulary[word] = self.vocabulary.get(word, 0) + 1

    def _add_term(self, term: str, meaning: str) -> None:
        words = [word for _, _, word in _tokens(term)]
        if not words:
            return
        self._count(term)
        stems = tuple(self._stem(word) for word in words)
        if len(stems) == 1:
            self._single.setdefault(stems[0], meaning)
        else:
            self._terms.add(stems, meaning)

    def _stem(self, word: str) -> str:
        if word not in self._stems:
            if len(self._stems) > 20000:
                self._stems.clear()
            self._stems[word] = self._stemmer(word)
        return self._stems[word]

    def stems(self, words: Iterable[str]) -> frozenset[str]:
        """Meanings of single words."""
        return frozenset(self._single.get(s, s) for s in map(self._stem, words))

    def learn(self, phrase: str) -> list[Word]:
        """Read a phrase of a card; its words become known words."""
        words = self.read(phrase)
        for word in words:
            for plain in word.plain.split():
                self.vocabulary[plain] = self.vocabulary.get(plain, 0) + 1
        return words

    def close(self) -> None:
        """All phrases are read: from now on unknown words are corrected."""
        known = ORDINARY | SMALL | CONJUNCTIONS | HEDGES | frozenset(NUMBERS)
        self._speller = Speller(self.vocabulary, known | self._negators)

    def read(self, text: str) -> list[Word]:
        """All words of a text, in order."""
        words = self._spelled(text)
        words = self._merged(words)
        self._mark_clauses(text, words)
        self._mark_denied(words)
        return words

    def _spelled(self, text: str) -> list[Word]:
        words = []
        if self._speller:
            self._speller.forget()
        greetings = [match.span() for match in _GREETING.finditer(text)]
        for start, end, plain in _tokens(text):
            if any(first <= start < last for first, last in greetings):
                continue
            word = Word(start, end, plain)
            if self._speller and (meant := self._speller.correct(plain)):
                word.plain, word.corrected, word.sureness = meant, meant, 0.85
            words.append(word)
        return words

    def _merged(self, words: list[Word]) -> list[Word]:
        stems = [self._stem(word.plain) for word in words]
        merged: list[Word] = []
        place = 0
        while place < len(words):
            word = words[place]
            found = self._terms.at(stems, place)
            if found:
                length, meaning = found
                for other in words[place + 1 : place + length]:
                    word.corrected = word.corrected or other.corrected
                    word.sureness = min(word.sureness, other.sureness)
                word.end = words[place + length - 1].end
                word.plain = " ".join(w.plain for w in words[place : place + length])
                word.negator = meaning == "!"
                word.meaning = "" if word.negator else meaning
                word.stems = tuple(stems[place : place + length]) if word.meaning else ()
                place += length
            else:
                if not _is_modal(words, place):
                    self._give_meaning(word, stems[place])
                place += 1
            merged.append(word)
        return merged

    def _give_meaning(self, word: Word, stem: str) -> None:
        plain = word.plain
        if plain in self._negators:
            word.negator = True
        elif plain[0] in "0123456789":
            word.number, word.meaning = float(plain.replace(",", ".")), "#"
        elif plain in NUMBERS:
            word.number, word.meaning = NUMBERS[plain], "#"
        elif plain == "%":
            word.meaning, word.stems = "percent", ("percent",)
        elif len(plain) > 1 and plain not in SMALL:
            word.meaning = self._single.get(stem, stem)
            word.stems = (stem,) if word.meaning else ()
            word.known = plain in self.vocabulary

    def _mark_clauses(self, text: str, words: list[Word]) -> None:
        sentence = clause = 0
        last = 0
        for place, word in enumerate(words):
            between = text[last : word.start]
            if _SENTENCE.search(between):
                sentence, clause = sentence + 1, clause + 1
            elif (
                _CLAUSE.search(between)
                or (place and word.plain in CONJUNCTIONS)
                or (place and word.plain in self._cancels)
                or (place and _is_subject(word, words[place - 1]))
            ):
                clause += 1
            word.sentence, word.clause = sentence, clause
            last = word.end
        self._mark_hedged(text, words)

    def _mark_hedged(self, text: str, words: list[Word]) -> None:
        asked = set()
        hedged = set()
        supposed = set()
        for place, word in enumerate(words):
            following = words[place + 1].start if place + 1 < len(words) else len(text)
            if "?" in text[word.end : following]:
                asked.add(word.sentence)
            if word.plain in HEDGES:
                hedged.add(word.clause)
                if word.plain == "if":
                    supposed.add(word.sentence)
        for word in words:
            word.asked = word.sentence in asked
            word.hedged = word.clause in hedged or word.sentence in supposed

    def _mark_denied(self, words: list[Word]) -> None:
        plains = [word.plain for word in words]
        denying = past = apart = False
        reach = 0
        denier = -1
        for place, word in enumerate(words):
            before = words[place - 1] if place else None
            if before is None or (
                before.clause != word.clause and not self._list_goes_on(words, place)
            ):
                denying = past = apart = False
            idiom = IDIOMS.get(tuple(plains[place : place + 2]))
            if idiom == 0:
                word.negator = False
                continue
            if self._no_more(plains, place):
                denying, past, reach, denier = True, True, _REACH, word.start
                word.meaning = ""
                continue
            if word.negator and self._is_object(words, place):
                if self._ends_clause(words, place):
                    self._deny_backwards(words, place)
                continue
            if word.negator:
                this_apart = word.plain in APART
                denying = not (denying and not past and (this_apart != apart))
                past, apart, reach, denier = False, this_apart, idiom or _REACH, word.start
                if denying and self._ends_clause(words, place):
                    self._deny_backwards(words, place)
                continue
            if denying and word.meaning:
                word.denied, word.past, word.denier = True, past, denier
                reach -= 1
                denying = reach > 0

    @staticmethod
    def _no_more(plains: list[str], place: int) -> bool:
        if (plains[place],) in PAST:
            return plains[place + 1 : place + 2] != [] and plains[place + 1].endswith("ing")
        compared = place and plains[place - 1] in {"it", "they", "he", "what", "not", "get", "i"}
        if tuple(plains[place : place + 2]) not in PAST:
            return False
        return not (compared and "than" in plains[max(0, place - 3) : place]) and not (
            compared and plains[place - 1] in {"not", "get", "what"}
        )

    @staticmethod
    def _is_object(words: list[Word], place: int) -> bool:
        """'down to nothing by morning': here it denies nothing that follows."""
        if words[place].plain not in OBJECTS or not place:
            return False
        before = words[place - 1]
        return before.clause == words[place].clause and (
            bool(before.meaning) or before.plain in {"to", "for", "with", "of"}
        )

    @staticmethod
    def _list_goes_on(words: list[Word], place: int) -> bool:
        """'no oil, play or noise': the list ends in 'or', so the negator reaches all of it."""
        if words[place - 1].sentence != words[place].sentence:
            return False
        if words[place].plain in {"or", "nor"}:
            return True
        if words[place].plain in CONJUNCTIONS:
            return False
        following = words[place : place + 4]
        return any(w.plain in {"or", "nor"} for w in following) and not any(
            w.negator for w in following if w.plain != "nor"
        )

    @staticmethod
    def _ends_clause(words: list[Word], place: int) -> bool:
        clause = words[place].clause
        for word in words[place + 1 :]:
            if word.clause != clause:
                break
            if word.meaning:
                return False
        return True

    @staticmethod
    def _deny_backwards(words: list[Word], place: int) -> None:
        """'cracks: none', 'oil? no': a negator with nothing after it denies what stood before."""
        clause = words[place].clause
        alone = not any(w.clause == clause and w.meaning for w in words[max(0, place - 12) : place])
        if alone and _opens_statement(words, place):
            return
        wanted = clause - 1 if alone else clause
        for word in words[max(0, place - 12) : place]:
            if word.clause == wanted and word.meaning:
                word.denied = not word.denied


def _opens_statement(words: list[Word], place: int) -> bool:
    """'It is cracked. No, it is not stuck': this one says nothing of the sentence before, unless
    that was a question.
    """
    before, own, after = words[place - 1], words[place], words[place + 1 : place + 2]
    goes_on = any(word.sentence == own.sentence for word in after)
    return place > 0 and before.sentence != own.sentence and not before.asked and goes_on


def _is_subject(word: Word, before: Word) -> bool:
    """'no play I can hear it': a new clause that no comma shows."""
    short_form = word.plain == "it" and word.end - word.start > len("it")
    return (word.plain in SUBJECTS or short_form) and before.plain not in LEADS_TO_SUBJECT


def _is_modal(words: list[Word], place: int) -> bool:
    """'can you', 'I can see', not 'the can' nor 'can is dented'."""
    if words[place].plain not in MODALS:
        return False
    before = words[place - 1].plain if place else ""
    after = words[place + 1].plain if place + 1 < len(words) else ""
    return before not in BEFORE_NOUNS and after not in AFTER_NOUNS and bool(after)


def _tokens(text: str) -> list[tuple[int, int, str]]:
    found = []
    for match in _TOKEN.finditer(text):
        plain = match.group().lower()
        if not plain.isascii() or "`" in plain:
            plain = plain.replace("\u2019", "'").replace("`", "'")
        if "'" in plain:
            for ending in _ENDINGS:
                plain = plain.removesuffix(ending)
        if plain:
            found.append((match.start(), match.end(), plain))
    return found
