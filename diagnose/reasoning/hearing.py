"""What was heard of the customer's words: each reading, what became of it, and what to ask of it.

Rules
-----
- Nothing weighs that is not among these lines: a reading counts from `hearing.counts` on.
- A reading in doubt is put to the customer only where it would change what is decided; it is put
  once. What was struck out is never put again.
"""

from __future__ import annotations

from dataclasses import replace

from diagnose.complaint.left_over import left_over
from diagnose.job.state import JobState, Report
from diagnose.reasoning.belief import Belief
from diagnose.reasoning.decision import Decision
from diagnose.reasoning.lines import HeardLine, NotHeardLine, Standing

__all__ = ["heard_lines", "in_doubt", "not_heard_lines"]


def heard_lines(belief: Belief) -> tuple[HeardLine, ...]:
    """Every reading of the words, the surest first."""
    knowledge, job = belief.prepared.knowledge, belief.job
    # What was confirmed as it was shown counts, however unsure it was.
    least = 0.0 if job.confirmed else knowledge.pack.hearing.counts
    lines = []
    for said in sorted(belief.heard.heard, key=lambda said: -said.certainty):
        card = knowledge.symptoms[said.symptom]
        answer = job.reports.get((said.symptom, "customer"))
        state = answer.state if answer is not None else said.state
        text = next((a.text for a in card.answers if a.state == state), state)
        lines.append(
            HeardLine(
                id=said.symptom,
                state=state,
                probability=round(said.certainty, 3),
                words=said.words,
                start=said.start,
                end=said.end,
                denied=state == knowledge.findings[card.observes].states[0],
                text=f"{card.name}: {text}",
                standing=_standing(job, said.symptom, said.certainty >= least),
            )
        )
    return tuple(lines)


def _standing(job: JobState, symptom: str, sure: bool) -> Standing:
    if (symptom, "customer") in job.reports:
        return "answered"
    if symptom in job.struck:
        return "struck"
    if symptom in job.unsure:
        return "unsure"
    return "counts" if sure else "asked"


def not_heard_lines(belief: Belief) -> tuple[NotHeardLine, ...]:
    """What could not be placed, in the order of the text."""
    text = belief.prepared.words(belief.job)
    device = belief.prepared.knowledge.pack.name.lower().split()
    return tuple(
        NotHeardLine(words=text[start:end], start=start, end=end)
        for start, end in left_over(text, belief.heard, device)
    )


def in_doubt(decision: Decision) -> tuple[HeardLine, ...]:
    """Readings to put to the customer now, all together; none where no answer would matter."""
    belief = decision.belief
    # Whether it was said that something is well is not worth a question.
    lines = heard_lines(belief)
    asked = tuple(line for line in lines if line.standing == "asked" and not line.denied)
    if not asked:
        return ()
    if belief.items and not any(_matters(decision, line) for line in asked):
        return ()
    return asked


def _matters(decision: Decision, line: HeardLine) -> bool:
    """Whether it would change the call if this was meant."""
    belief, job = decision.belief, decision.belief.job
    report = Report(job.count, line.id, "customer", state=line.state, epoch=job.epoch)
    meant = replace(
        job,
        reports={**job.reports, (line.id, "customer"): report},
        told=(*job.told, report),
    )
    return _call(decision) != _call(Decision(Belief(belief.prepared, meant)))


def _call(decision: Decision) -> tuple[object, ...]:
    belief = decision.belief
    return decision.stages, belief.ride.verdict, [s.floor for s in belief.floors]
