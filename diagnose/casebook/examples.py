"""The small pictures beside each cause card, held against what the program makes of them.

Rules
-----
- A typical picture puts its cause among the first ``rank``; a near miss does not put it first.
- Where a picture names outcomes and verdicts, the call is one of them: at the bench if it holds a
  check of the bench, else at the counter.
- A picture that is known to fail says so on its card (``missed``), and no longer once it holds: so
  nothing gets worse or better in silence.
- What a picture says of its shock must be understood without a warning: a field that is misspelt
  would make another picture of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import partial
from multiprocessing import get_all_start_methods, get_context

from diagnose.errors import InputError, Problem
from diagnose.job.job_file import events_of, read_shock
from diagnose.job.state import fold
from diagnose.knowledge.loader import Knowledge, Lines
from diagnose.knowledge.models import Example
from diagnose.reasoning.reasoner import Reasoner

__all__ = ["example_fault", "input_problems", "picture_job", "picture_problems", "pictures_of"]

KINDS = ("typical", "near_miss")

#: causes from which a second process pays for its start
_MANY = 20


def pictures_of(knowledge: Knowledge, cause: str) -> Iterator[tuple[str, int, Example]]:
    """Kind, place (from 0) and picture, of all pictures beside one cause."""
    for kind in KINDS:
        for n, example in enumerate(getattr(knowledge.causes[cause], kind)):
            yield kind, n, example


def input_problems(knowledge: Knowledge, lines: Lines) -> list[Problem]:
    """What pictures say of their shock and no job could say; needs no sound cards."""
    problems = []
    for cause in knowledge.causes:
        for kind, n, example in pictures_of(knowledge, cause):
            for field, value in example.shock.items():
                try:
                    _, warnings = read_shock({field: value}, knowledge)
                except InputError as fault:
                    wrong, hint = f"{fault.where or field}: {fault.what}", fault.next_step
                else:
                    if not warnings:
                        continue
                    wrong, hint = warnings[0], "Correct the field or its value."
                path = (kind, n, "shock", field)
                problems.append(lines.problem("causes", cause, path, wrong, hint))
    return problems


def picture_problems(
    reasoner: Reasoner, lines: Lines, workers: int = 1, causes: Iterable[str] | None = None
) -> list[Problem]:
    """Pictures that contradict their card, and causes without one.

    Parameters
    ----------
    workers : processes to share the work, where the system can fork one.
    causes : only the pictures beside these; None: all.
    """
    chosen = list(reasoner.knowledge.causes if causes is None else causes)
    judge = partial(_faults, reasoner)
    if workers < 2 or len(chosen) < _MANY or "fork" not in get_all_start_methods():
        found = list(map(judge, chosen))
    else:
        reasoner.recogniser.ready()  # made once, before the processes part
        with get_context("fork").Pool(workers, _take, (judge,)) as pool:
            found = pool.map(_judged, chosen, chunksize=4)
    return [
        lines.problem("causes", cause, path, what, hint)
        for cause, faults in zip(chosen, found, strict=True)
        for path, what, hint in faults
    ]


_Fault = tuple[tuple[str | int, ...], str, str]
_judge: partial[list[_Fault]] | None = None


def _take(judge: partial[list[_Fault]]) -> None:
    """Keep what a worker process inherits; the reasoner is too large to send with each cause."""
    global _judge
    _judge = judge


def _judged(cause: str) -> list[_Fault]:
    assert _judge is not None
    return _judge(cause)


def _faults(reasoner: Reasoner, cause: str) -> list[_Fault]:
    card = reasoner.knowledge.causes[cause]
    faults: list[_Fault] = [
        ((kind,), f"{kind}: the card has no such picture.", "Write two.")
        for kind in KINDS
        if not getattr(card, kind)
    ]
    for kind, n, example in pictures_of(reasoner.knowledge, cause):
        fault = example_fault(reasoner, cause, kind, example)
        if fault and not example.missed:
            hint = "Correct the card or the picture; if it must wait, say why in 'missed'."
            faults.append(((kind, n), fault, hint))
        elif example.missed and not fault:
            what = f"missed: this {kind} picture holds today."
            faults.append(((kind, n, "missed"), what, "Take the word away."))
    return faults


def picture_job(knowledge: Knowledge, example: Example) -> dict[str, object]:
    """The job that a picture shows, as `assess` takes it."""
    checks = [knowledge.checks[ask] for ask in example.answers if ask in knowledge.checks]
    return {
        "pack": knowledge.pack.id,
        "at": "bench" if any(check.at == "bench" for check in checks) else "counter",
        "complaint": example.complaint,
        "shock": dict(example.shock),
        "answers": dict(example.answers),
    }


def example_fault(reasoner: Reasoner, cause: str, kind: str, example: Example) -> str:
    """Empty if cause, outcome and ride come out as the picture says, else what came out."""
    data = picture_job(reasoner.knowledge, example)
    try:
        job = fold(events_of(data, reasoner.knowledge)[0])
    except InputError as fault:
        return f"{kind}: {fault}"
    view = reasoner.view(job)
    chances = view.belief.causes
    ranked = list(chances)
    rank = ranked.index(cause) + 1
    start = f"{kind}: '{example.complaint}':"
    if rank > example.rank if kind == "typical" else rank == 1:
        leading = ", ".join(f"{ident} {chances[ident]:.2f}" for ident in ranked[:3])
        wanted = f"at most {example.rank} is said" if kind == "typical" else "it must not be first"
        return f"{start} {cause} is number {rank}, {wanted}: {leading}."
    for what, said, accepted in (
        ("the outcome", view.decision.stages[0], example.stage),
        ("the ride", view.belief.ride.verdict, example.ride),
    ):
        if accepted and said not in accepted:
            return f"{start} {what} is {said}, not {' or '.join(accepted)}."
    return ""
