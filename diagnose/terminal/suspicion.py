"""What is suspected before and after an answer, and how much each answer weighs.

All of it is computed while a person reads the question, so nothing here delays the next one.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from diagnose.terminal.parts import Suspect

if TYPE_CHECKING:
    from diagnose.knowledge.models import Check, Symptom
    from diagnose.session.conversation import Conversation
    from diagnose.session.events import Event
    from diagnose.session.evidence import Item

__all__ = ["Suspicion", "weights"]

_SHOWN = 3
#: chances nearer to 0 or 1 than this make no difference that a person could use
_EDGE = 1e-4
#: about the least change that people notice [decibans]
_LEAST = 1.0


class Suspicion:
    """Suspects of a job as it grows, and what is still worth doing.

    ``shown``: likeliest first. ``ahead``: a sentence. Both are empty until `look` was called.
    """

    def __init__(self, conversation: Conversation) -> None:
        self._conversation = conversation
        self._chances: dict[str, float] = {}
        self.shown: tuple[Suspect, ...] = ()
        self.ahead = ""

    def forget(self) -> None:
        """Another question is shown."""
        self.shown, self.ahead = (), ""

    def look(self, events: Sequence[Event], asked: str) -> None:
        """Compare with the suspects at the last call; ``asked``: what is asked now."""
        from diagnose.session.batch import worth_doing
        from diagnose.session.state import fold

        reasoner = self._conversation.reasoner
        view = reasoner.view(fold(events))
        chances = view.causes
        self.shown = tuple(
            Suspect(_name(self._conversation, ident), chance, self._chances.get(ident))
            for ident, chance in list(chances.items())[:_SHOWN]
        )
        self._chances = dict(chances)
        after = [ident for ident in worth_doing(reasoner, view) if ident != asked]
        self.ahead = _ahead([reasoner.card(ident) for ident in after], view.job.at)


def weights(
    conversation: Conversation, events: Sequence[Event]
) -> tuple[str, list[tuple[str, float]]]:
    """The likeliest cause, and how much each thing that is known speaks for it [decibans].

    The heaviest comes first; what weighs less than a deciban is left out.

    The weight of evidence (Good 1950, *Probability and the Weighing of Evidence*) of one report
    given all others: ten times the log10 of the odds with it over the odds without it.
    """
    from diagnose.belief.compiled import odds_for
    from diagnose.session.evidence import combine
    from diagnose.session.state import fold

    reasoner = conversation.reasoner
    view = reasoner.view(fold(events))
    cause = next(iter(view.causes))
    place = list(reasoner.compiled.causes).index(cause)

    def odds(without: int | None) -> float:
        items = [item for n, item in enumerate(view.items) if n != without]
        evidence = combine(reasoner.compiled, items)
        table = reasoner.sets.posterior(odds_for(reasoner.compiled, view.job.shock), evidence)
        chance = float(table.weights @ table.present[:, place])
        chance = min(max(chance, _EDGE), 1.0 - _EDGE)
        return chance / (1.0 - chance)

    whole = odds(None)
    rows = [
        (_said(conversation, item), 10.0 * math.log10(whole / odds(n)))
        for n, item in enumerate(view.items)
    ]
    heavy = [row for row in rows if abs(row[1]) >= _LEAST]
    return _name(conversation, cause), sorted(heavy, key=lambda row: -abs(row[1]))


def _ahead(cards: Sequence[Symptom | Check], at: str) -> str:
    """How much there is to ask or do after this, and the best of it."""
    if not cards or at != "bench":
        return ""
    minutes = sum(card.minutes for card in cards)
    names = ", ".join(card.name for card in cards[:_SHOWN])
    return f"Still worth doing: {names}; {len(cards)} in all, about {minutes:.0f} min."


def _name(conversation: Conversation, cause: str) -> str:
    card = conversation.reasoner.knowledge.causes.get(cause)
    return card.name if card else "none of these"


def _said(conversation: Conversation, item: Item) -> str:
    """What was said or found, in the customer's own words where there are some."""
    card = conversation.reasoner.card(item.ask)
    text = next((a.text for a in card.answers if a.state == item.state), item.state)
    own = f"the customer's '{item.words}' = " if item.words else ""
    return f"{own}{card.name}: {text}"
