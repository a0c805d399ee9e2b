"""A recogniser that hears what it is told to, so that tests rest on no reading of real words.

``creak 0.4 oil_slider 0.9 wibble`` is heard as two symptoms, with these certainties, in their first
unhealthy state, ``well_creak 0.9`` in its healthy one; other words are not understood.
"""

from __future__ import annotations

import re

from diagnose.complaint.recogniser import Heard, Understanding
from diagnose.conversation.conversation import Conversation
from diagnose.knowledge.loader import DEFAULT_PACK, Knowledge
from diagnose.reasoning.reasoner import Reasoner
from tests.real_pack import pack_knowledge

__all__ = ["Spelled", "spelled_talk"]

_SPELLED = re.compile(r"([a-z_]+) (0\.\d+)")


class Spelled:
    """Hears names of symptoms, each with the certainty after it."""

    def __init__(self, knowledge: Knowledge) -> None:
        self._knowledge = knowledge

    def understand(self, text: str) -> Understanding:
        heard, rest = {}, text
        for match in _SPELLED.finditer(text):
            name = match.group(1).removeprefix("well_")
            symptom, denied = f"said_{name}", name != match.group(1)
            finding = self._knowledge.symptoms[symptom].observes
            state = self._knowledge.findings[finding].states[0 if denied else 1]
            # One reading a symptom, as of any text: what was said last.
            heard[symptom] = Heard(
                symptom,
                state,
                float(match.group(2)),
                match.group(),
                denied,
                start=match.start(),
                end=match.end(),
            )
            rest = rest.replace(match.group(), " ")
        return Understanding(tuple(heard.values()), tuple(re.findall(r"[a-z_]+", rest)))

    def ready(self) -> None:
        """Nothing has to be fetched."""

    def complete(self, prefix: str, n: int = 8) -> list[str]:
        names = [card.name for card in self._knowledge.symptoms.values()]
        return [name for name in names if name.startswith(prefix)][:n]


def spelled_talk() -> Conversation:
    """A conversation over the shop's knowledge that hears so."""
    reasoner = Reasoner(pack_knowledge(DEFAULT_PACK))
    reasoner.__dict__["recogniser"] = Spelled(reasoner.knowledge)
    return Conversation(reasoner)
