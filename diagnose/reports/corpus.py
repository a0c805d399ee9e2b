"""What the counter struck out and confirmed of the words heard, as lines for the corpus.

An author reads them before they are taken over: they quote customers.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from typing import IO

from diagnose.job.events import Event
from diagnose.job.state import JobState, fold
from diagnose.reasoning.reasoner import Reasoner

__all__ = ["corpus_lines", "write_corpus"]


def corpus_lines(reasoner: Reasoner, job: JobState) -> Iterator[dict[str, object]]:
    """One line for each reading that was judged: ``text[start:end]`` says the state, or not.

    A reading is confirmed by the customer's answer to the same, where both say that it is well or
    both that it is not; an answer to the contrary shows nothing of the words and gives no line.
    """
    knowledge, text = reasoner.knowledge, reasoner.words(job)
    for said in reasoner.hear(job).heard:
        finding = knowledge.symptoms[said.symptom].observes
        well = knowledge.findings[finding].states[0]
        answer = job.reports.get((said.symptom, "customer"))
        if answer is not None and (answer.state == well) == (said.state == well):
            verdict, state = "confirmed", answer.state
        elif answer is None and said.symptom in job.struck:
            verdict, state = "struck", said.state
        else:
            continue
        yield {
            "text": text,
            "start": said.start,
            "end": said.end,
            "words": said.words,
            "finding": finding,
            "symptom": said.symptom,
            "state": state,
            "verdict": verdict,
            "heard_state": said.state,
            "probability": round(said.certainty, 3),
        }


def write_corpus(jobs: Iterable[Sequence[Event]], reasoner: Reasoner, out: IO[str]) -> int:
    """Write the lines of all jobs of the reasoner's pack, each once; returns their number."""
    written: dict[str, None] = {}
    for events in jobs:
        job = fold(events)
        if job.pack == reasoner.knowledge.pack.id:
            lines = corpus_lines(reasoner, job)
            written |= dict.fromkeys(json.dumps(line, ensure_ascii=False) for line in lines)
    out.writelines(f"{line}\n" for line in written)
    return len(written)
