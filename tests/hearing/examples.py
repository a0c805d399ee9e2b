"""What the model is shown: whole complaints as they are, and texts put together from sayings.

Rules
-----
- A saying comes with others of its pack and with talk beside it, misspelt here and there; now and
  then it is only asked or supposed, and then it is not said.
- A finding that two packs share in the same states learns from both.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from diagnose.knowledge.loader import DEFAULT_PACK, Knowledge
from tests.hearing.rows import Row

__all__ = ["Example", "Finding", "Labels", "Source", "Stock", "said_everywhere"]

#: pack and id
Finding = tuple[str, str]
#: finding, state, and the place of its words; -1 where there are none
Said = tuple[Finding, str, int, int]

_JOINTS = (
    *(". ", ", ", " and ", " but ", "; ", " - ", ". Also ", ", plus ", " ", "\n", ", then "),
    ". And ",
)
_ASKED = (
    "does it matter if {}?",
    "what does it mean when {}?",
    "could it be that {}?",
    "how do I tell whether {}?",
    "my mate reckons {}",
    "is it normal that {}?",
    "what if {}?",
)
#: shares of texts, sayings and words that are changed so; judgement
_WITH_OTHERS, _WITH_TALK, _ONLY_ASKED, _LOWER, _MISSPELT = 0.5, 0.6, 0.06, 0.3, 0.03


@dataclass(frozen=True)
class Labels:
    """All findings of all packs and their states, in the order of the model's heads."""

    states: dict[Finding, list[str]]

    @classmethod
    def of(cls, packs: dict[str, Knowledge]) -> Labels:
        """Those that a symptom observes."""
        return cls(
            {
                (pack, card.observes): list(knowledge.findings[card.observes].states)
                for pack, knowledge in packs.items()
                for card in sorted(knowledge.symptoms.values(), key=lambda card: card.observes)
            }
        )

    @cached_property
    def row(self) -> dict[Finding, int]:
        """Place of each finding."""
        return {finding: n for n, finding in enumerate(self.states)}

    @cached_property
    def start(self) -> list[int]:
        """Place of each finding's first state among all states; the number of all behind them."""
        starts = [0]
        for states in self.states.values():
            starts.append(starts[-1] + len(states))
        return starts

    def place(self, finding: Finding, state: str) -> int:
        """Place of a state among all states."""
        return self.start[self.row[finding]] + self.states[finding].index(state)

    def same(self, finding: Finding) -> list[Finding]:
        """The finding and its like in other packs."""
        return [finding] + [
            other
            for other, states in self.states.items()
            if other[1] == finding[1] and other[0] != finding[0] and states == self.states[finding]
        ]

    def spoken_of(self, pack: str) -> list[bool]:
        """(findings,) whether a text about this pack can say the finding at all."""
        return [any(other[0] == pack for other in self.same(finding)) for finding in self.states]


@dataclass(frozen=True)
class Source:
    """A whole complaint, or one saying of a card."""

    pack: str
    text: str
    said: tuple[Said, ...]
    allowed: tuple[tuple[Finding, str], ...] = ()
    whole: bool = False

    @classmethod
    def complaint(cls, row: Row) -> Source:
        """A row of the corpus; all are of the default pack."""
        said = []
        for finding, state, words in row.said:
            start = row.say.find(words)
            said.append(((DEFAULT_PACK, finding), state, start, start + len(words)))
        allowed = tuple(((DEFAULT_PACK, finding), state) for finding, state in row.allowed)
        return cls(DEFAULT_PACK, row.say, tuple(said), allowed, True)


@dataclass(frozen=True)
class Example:
    """A text to learn from; ``unsaid``: weight of findings that it does not say."""

    pack: str
    text: str
    said: list[Said]
    allowed: list[tuple[Finding, str]]
    unsaid: float


class Stock:
    """Sayings and talk of all packs, and the examples that come of them.

    Parameters
    ----------
    unsaid : weight of what a text put together does not say; in a whole complaint it is 1.
    """

    def __init__(self, packs: dict[str, Knowledge], unsaid: float) -> None:
        self.labels = Labels.of(packs)
        self.sayings = {pack: _sayings(pack, knowledge) for pack, knowledge in packs.items()}
        self.talk = [text for knowledge in packs.values() for text in knowledge.lexicon.beside]
        self._unsaid = unsaid

    def example(self, source: Source) -> Example:
        """One text; its choices are drawn from `random`."""
        if source.whole:
            allowed = [
                (other, state)
                for finding, state in source.allowed
                for other in self.labels.same(finding)
            ]
            return Example(
                source.pack, source.text, said_everywhere(self.labels, source.said), allowed, 1.0
            )
        parts: list[Source | str] = [source]
        if random.random() < _WITH_OTHERS:
            parts += random.sample(self.sayings[source.pack], random.choice([1, 1, 2]))
        if random.random() < _WITH_TALK:
            parts += random.sample(self.talk, random.choice([1, 1, 2, 3]))
        random.shuffle(parts)
        text, said = self._joined(parts)
        if random.random() < _LOWER:
            text = text.lower()
        return Example(source.pack, text, said_everywhere(self.labels, said), [], self._unsaid)

    def _joined(self, parts: Sequence[Source | str]) -> tuple[str, list[Said]]:
        text = ""
        said: list[Said] = []
        used: set[Finding] = set()
        for part in parts:
            if isinstance(part, str):
                text += (random.choice(_JOINTS) if text else "") + part
                continue
            ((finding, state, _, _),) = part.said
            if finding in used:
                continue
            used.add(finding)
            words = _misspelt(part.text)
            if (
                len(parts) > 1
                and random.random() < _ONLY_ASKED
                and state != self.labels.states[finding][0]
            ):
                words = random.choice(_ASKED).format(words)
                text += (random.choice(_JOINTS) if text else "") + words
                continue
            text += random.choice(_JOINTS) if text else ""
            said.append((finding, state, len(text), len(text) + len(words)))
            text += words
        return text, said


def said_everywhere(labels: Labels, said: Sequence[Said]) -> list[Said]:
    """The same said of each pack that has the finding."""
    return [(other, *rest) for finding, *rest in said for other in labels.same(finding)]


def _sayings(pack: str, knowledge: Knowledge) -> list[Source]:
    return [
        Source(pack, text, (((pack, card.observes), state, 0, len(text)),))
        for card in knowledge.symptoms.values()
        for state, texts in card.phrases.items()
        for text in texts
    ]


def _misspelt(text: str) -> str:
    """Two letters changed over, one left out or one doubled, in some of the longer words."""
    words = text.split(" ")
    for n, word in enumerate(words):
        if len(word) > 3 and random.random() < _MISSPELT:
            k = random.randrange(len(word) - 1)
            draw = random.random()
            if draw < 0.4:
                words[n] = word[:k] + word[k + 1] + word[k] + word[k + 2 :]
            elif draw < 0.8:
                words[n] = word[:k] + word[k + 1 :]
            else:
                words[n] = word[:k] + word[k] + word[k:]
    return " ".join(words)
