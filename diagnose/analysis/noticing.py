"""Who notices that something is wrong with the knowledge.

Asked in this order; the first who objects has noticed:

1. *opinion*: a card and the second opinion contradict each other.
2. *written*: an expectation that people wrote down, beside a card or in a case, fails.
3. *rules*: what must hold of every sheet, or the proof that no route goes round a caution.
4. *said*: nothing that is written down fails, but of some job another thing is said. A comparison
   with the knowledge before would show it; a reader of the wrong cards alone would not.

Rules
-----
- Only jobs that the change can touch are judged again: those in which the cause of a changed card
  was believed, and for a link those that know something of its finding; of these the first few by
  belief. What nobody is said to notice may thus still change a job that was hardly about it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from diagnose.analysis.mutation import KINDS, Mutant
from diagnose.analysis.written import Caller, Outcome, Written, judged, view_of
from diagnose.knowledge.cross_checks.second_opinion import contradictions
from diagnose.reasoning.reasoner import View
from diagnose.symptom_graph.proof import prove
from diagnose.symptom_graph.sheets import sheet_problems, used_cautions

__all__ = ["Known", "Noticed", "Readers"]

#: belief in a cause from which a job can be about it, and how many jobs are judged again
_ABOUT, _MOST = 0.02, 25


@dataclass(frozen=True)
class Noticed:
    """By whom a mutant is noticed (opinion, written, rules, said; empty: nobody), and where."""

    mutant: Mutant
    by: str
    where: str = ""


@dataclass(frozen=True)
class Known:
    """A job under the right knowledge."""

    written: Written
    view: View
    outcome: Outcome
    findings: frozenset[str]


class Readers:
    """All that is written down, judged once under the right knowledge.

    Parameters
    ----------
    caller : the right knowledge.
    """

    def __init__(self, caller: Caller) -> None:
        self.caller = caller
        self.known: list[Known] = []
        self._names = [table.name for table in caller.compiled.network.findings]
        knowledge = caller.knowledge
        self._bearing = {floor.finding for floor in knowledge.floors}
        self._contradicted = set(contradictions(knowledge))

    def read(self, written: Written) -> None:
        """One more job that is written down."""
        view = view_of(self.caller, written.job)
        findings = frozenset(self._names[f] for f in view.belief.evidence)
        outcome = judged(self.caller, written, view)
        self.known.append(Known(written, view, outcome, findings))

    @property
    def missed(self) -> list[tuple[str, str]]:
        """Expectations that fail under the right knowledge already; nobody notices by those."""
        return [(k.written.name, name) for k in self.known for name in sorted(k.outcome.missed)]

    def notice(self, mutant: Mutant) -> Noticed:
        """Who notices a mutant."""
        first = next(
            (f for f in contradictions(mutant.knowledge) if f not in self._contradicted), None
        )
        if first is not None:
            return Noticed(mutant, "opinion", first[1])
        believed = KINDS[mutant.kind].believed
        other = None
        first_said = ""
        for known in self._touched(mutant):
            if other is None:
                knowledge = mutant.knowledge
                other = (
                    self.caller.beside(knowledge) if believed else self.caller.reading(knowledge)
                )
            outcome = judged(other, known.written, None if believed else other.in_words(known.view))
            fails = outcome.missed - known.outcome.missed
            if fails:
                return Noticed(mutant, "written", f"{known.written.name}: {min(fails)}")
            if not first_said and outcome.said != known.outcome.said:
                first_said = known.written.name
        if not believed:
            broken = self._rules(mutant)
            if broken:
                return Noticed(mutant, "rules", broken)
        return Noticed(mutant, "said" if first_said else "", first_said)

    def _rules(self, mutant: Mutant) -> str:
        """The first rule of sheets, hazards and cautions that the mutant breaks."""
        problems = sheet_problems(mutant.knowledge)
        if problems:
            return problems[0].what
        lost = used_cautions(self.caller.knowledge) - used_cautions(mutant.knowledge)
        if lost:
            return f"nothing shows the caution '{min(lost)}' any more"
        if mutant.card in self.caller.knowledge.causes:
            return ""  # routes go by sheets and checks, whatever is broken
        gaps = prove(mutant.knowledge).unguarded
        return str(gaps[0]) if gaps else ""

    def _touched(self, mutant: Mutant) -> Iterator[Known]:
        """Jobs that a mutant can touch, those of its own card first."""
        card = mutant.card
        if card in self.caller.knowledge.causes:
            about = [
                known
                for known in self.known
                if (known.view.belief.causes[card] >= _ABOUT or known.written.cause == card)
                and (not mutant.findings or mutant.findings & (known.findings | self._bearing))
            ]
            about.sort(key=lambda k: (k.written.cause != card, -k.view.belief.causes[card]))
        elif card in self.caller.knowledge.stages:
            about = [k for k in self.known if card in dict(k.outcome.said)["call"].split(" + ")]
        else:
            about = sorted(self.known, key=lambda k: card not in k.written.cautions)
        yield from about[:_MOST]
