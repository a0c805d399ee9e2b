"""The check list on paper: checks to do with gloves on, with answers to tick and type later.

Rules
-----
- Cautions stand whole before their check; nothing on it changes the state of what is checked.
- Answers have letters, checks have numbers: 'b' at the third check is typed as `3 b`.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from diagnose.conversation.batch import letter
from diagnose.conversation.prompts import Prompt
from diagnose.job.state import JobState
from diagnose.knowledge.loader import Knowledge
from diagnose.reports.paper import Cutaway, Document, Head, Items, Para, Part, WriteIn, warnings
from diagnose.reports.pointing import section_of, where
from diagnose.symptom_graph.cautions import sort_cautions

__all__ = ["check_list", "check_list_parts"]


def check_list(
    prompts: Sequence[Prompt],
    number: int,
    knowledge: Knowledge,
    *,
    name: str = "",
    job: JobState | None = None,
) -> Document:
    """The list; ``number`` is the list's, ``name`` the job's, ``job`` what is known of it."""
    title = f"Check list {number}, job {name}" if name else f"Check list {number}"
    return Document(title, tuple(check_list_parts(prompts, number, knowledge, name, job)))


def check_list_parts(
    prompts: Sequence[Prompt],
    number: int,
    knowledge: Knowledge,
    name: str = "",
    job: JobState | None = None,
) -> list[Part]:
    """What the list says, in order."""
    if not prompts:
        return [Para("No check that can be done from paper is worth its minutes now.", True)]
    minutes = sum(prompt.minutes for prompt in prompts)
    many = "check" if len(prompts) == 1 else "checks"
    parts: list[Part] = [
        Para(f"{len(prompts)} {many}, about {minutes:.0f} min. Stop at anything that is not as "
             "it should be, and look at the screen."),
        Para(knowledge.pack.start_line),
    ]  # fmt: skip
    looked_at = [part for prompt in prompts for part in knowledge.points_to(prompt.id)]
    picture = section_of(knowledge, looked_at, title="Look here", job=job)
    parts += [Cutaway(picture)] if picture else []
    said: set[str] = set()
    for n, prompt in enumerate(prompts, 1):
        parts += _check(n, prompt, knowledge, said)
    parts += [
        Head("Type the results"),
        Para(f"diagnose bench {name or 'JOB'} --results {number}", strong=True),
        Para("On one line, number and letter or reading, such as: 1 b, 2 165 psi, 3 ?"),
        WriteIn("Initials and time"),
    ]
    return parts


def _check(number: int, prompt: Prompt, knowledge: Knowledge, said: set[str]) -> Iterable[Part]:
    yield Head(f"{number}. {prompt.why}")
    yield from warnings(sort_cautions(knowledge, [c.id for c in prompt.cautions]), said)
    yield Para(prompt.text, strong=True)
    if place := where(knowledge, knowledge.points_to(prompt.id)):
        yield Para(f"Look at: {place}.")
    if prompt.steps:
        yield Items(prompt.steps)
    yield from (WriteIn(f"{r.text} [{r.unit}]") for r in prompt.readings)
    if prompt.readings and prompt.answers:
        yield Para("Not measured? Judged by eye:")
    if prompt.answers:
        rows = (f"{letter(n)}  {answer.text}" for n, answer in enumerate(prompt.answers))
        yield Items(tuple(rows), "ticks")
