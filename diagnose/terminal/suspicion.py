"""What is suspected before and after an answer, and how much each answer weighs.

All of it is computed while a person reads the question, so nothing here delays the next one.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from diagnose.terminal.parts import Suspect

if TYPE_CHECKING:
    from diagnose.conversation.conversation import Conversation
    from diagnose.job.events import Event
    from diagnose.reasoning.options import Asked

__all__ = ["Suspicion", "Weighed", "weights"]

_SHOWN = 3
#: decibans of a log-odds in natural units
_DECIBANS = 10.0 / math.log(10.0)


@dataclass(frozen=True)
class Weighed:
    """Prior log-odds of a cause and the weight of each thing that is known, the heaviest first
    [decibans]. ``carried``: one answer alone is at least half of all that speaks for it.
    """

    cause: str
    prior: float
    rows: tuple[tuple[str, float], ...]
    carried: bool


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
        from diagnose.conversation.batch import worth_doing
        from diagnose.job.state import fold
        from diagnose.reasoning.options import find_card

        reasoner = self._conversation.reasoner
        view = reasoner.view(fold(events))
        chances = view.belief.causes
        self.shown = tuple(
            Suspect(_name(self._conversation, ident), chance, self._chances.get(ident))
            for ident, chance in list(chances.items())[:_SHOWN]
        )
        self._chances = dict(chances)
        after = [ident for ident in worth_doing(view) if ident != asked]
        self.ahead = _ahead([find_card(reasoner.compiled, ident) for ident in after], view.job.at)


def weights(conversation: Conversation, events: Sequence[Event]) -> Weighed:
    """What speaks for and against the likeliest cause, so that all of it adds up.

    A deciban is ten times the log10 of odds: Good 1950, *Probability and the Weighing of Evidence*.
    """
    from diagnose.analysis.explanation import weights_of_evidence
    from diagnose.job.state import fold
    from diagnose.reasoning.evidence_words import evidence_words

    reasoner = conversation.reasoner
    belief = reasoner.view(fold(events)).belief
    told = weights_of_evidence(belief.network, belief.evidence, next(iter(belief.causes)))
    said = evidence_words(belief)
    return Weighed(
        _name(conversation, told.cause),
        _DECIBANS * told.prior,
        tuple((said[row.finding], _DECIBANS * row.weight) for row in told.weights),
        told.carried_by_one,
    )


def _ahead(cards: Sequence[Asked], at: str) -> str:
    """What may come after this at the bench, the best first: what is set up now serves it, too."""
    if not cards or at != "bench":
        return ""
    return f"May come next: {', '.join(card.name for card in cards[:_SHOWN])}."


def _name(conversation: Conversation, cause: str) -> str:
    card = conversation.reasoner.knowledge.causes.get(cause)
    return card.name if card else "none of these"
