"""A case written from a closed job of the shop: what is still to be said, and the case of it.

Rules
-----
- Only what the job does not hold is asked for; what was answered is kept until the case is taken
  in, so that an unfinished writing goes on where it was.
- Names that the job holds never reach the case; words that may name somebody or something are read
  over by the trainer before they count.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

import yaml
from pydantic import BaseModel, ConfigDict, ValidationError

from diagnose.atomic import write_whole
from diagnose.errors import InputError
from diagnose.job.events import Event
from diagnose.job.state import fold
from diagnose.training.apprentices import best_path
from diagnose.training.entry import case_of_job, enter
from diagnose.training.moment import Coach
from diagnose.training.scenario import Scenario, of_case

__all__ = ["QUESTIONS", "Draft", "answered", "drafts", "finish", "keep", "proposed", "resume"]

#: part -> what is asked for, in this order
QUESTIONS: dict[str, str] = {
    "complaint": "The customer's words as they will be read. Is a person or a maker named? "
    "Then type them anew.",
    "title": "A title, for you alone: it is not shown before the end.",
    "teaching": "What does it teach? One or two sentences, read at the end.",
    "offered": "Who may see it: everybody, or only who is given its number?",
}

#: answers to the last part
_EVERYBODY, _NAMED = "everybody", "by number"

#: letters that a name has at least, so that taking it out does not tear words apart
_NAME = 3


class Draft(BaseModel):
    """Answers so far, by part; empty: not asked yet. ``job``: its id."""

    model_config = ConfigDict(extra="forbid")

    job: str
    complaint: str = ""
    title: str = ""
    teaching: str = ""
    offered: str = ""

    @property
    def missing(self) -> list[str]:
        """Parts that are still to be said, in order; all, where all of it did not make a case."""
        return [part for part in QUESTIONS if not getattr(self, part)] or list(QUESTIONS)


def proposed(draft: Draft, part: str, events: Sequence[Event]) -> str:
    """What an empty line takes for a part: what was answered before, else what the job says."""
    before = str(getattr(draft, part))
    if before:
        return before
    if part == "offered":
        return _EVERYBODY
    if part != "complaint":
        return ""
    job = fold(events)
    words = job.complaint
    for told, instead in ((job.facts.customer, "the customer"), (job.facts.bike, "the bike")):
        for name in _names(told or ""):
            words = re.sub(rf"\b{re.escape(name)}\b", instead, words, flags=re.IGNORECASE)
    return words


def _names(told: str) -> list[str]:
    """What may name somebody or a maker: all of it, then each word with a capital."""
    parts = [part for part in re.findall(r"\w+", told) if part[0].isupper()]
    return [name for name in (told, *parts) if len(name) >= _NAME]


def answered(draft: Draft, part: str, typed: str, events: Sequence[Event]) -> Draft:
    """The draft with one part more.

    Raises
    ------
    InputError : nothing was typed where nothing is proposed, or no such answer.
    """
    words = " ".join(typed.split()) or proposed(draft, part, events)
    if not words:
        raise InputError("this is needed.", next_step="Type a few words.")
    if part == "offered":
        found = [a for a in (_EVERYBODY, _NAMED) if a.startswith(words.lower())]
        if not found:
            raise InputError(
                f"'{words[:30]}' is no answer here.", next_step=f"Type {_EVERYBODY} or {_NAMED}."
            )
        words = found[0]
    if part == "title" and not _slug(words):
        raise InputError("a title has letters.", next_step="Type a few words.")
    return draft.model_copy(update={part: words})


def _slug(title: str) -> str:
    return "_".join(re.findall(r"[a-z0-9]+", title.lower()))[:40].strip("_")


# an unfinished one -------------------------------------------------------------------------------


def drafts(home: Path) -> Path:
    """Folder of what is being written."""
    return home / "training" / "drafts"


def _place(home: Path, job: str) -> Path:
    return drafts(home) / f"{re.sub(r'[^A-Za-z0-9-]', '_', job)}.json"


def resume(home: Path, job: str) -> Draft:
    """What was written of this job before, else an empty draft."""
    try:
        return Draft.model_validate_json(_place(home, job).read_text("utf-8"))
    except (OSError, ValidationError, ValueError):
        return Draft(job=job)


def keep(home: Path, draft: Draft) -> None:
    """Keep an unfinished one."""
    write_whole(_place(home, draft.job), draft.model_dump_json(indent=1))


# the case ----------------------------------------------------------------------------------------


def finish(
    draft: Draft, events: Sequence[Event], coach: Coach, home: Path, folder: Path
) -> tuple[Scenario, int]:
    """Take the case in, once it was played: the case, and the steps that its best path takes.

    Raises
    ------
    InputError : it does not fit together; its text is kept among the drafts, to be mended there.
    """
    ident = _slug(draft.title)
    text = case_of_job(ident, events, coach, draft.teaching)
    data = yaml.safe_load(text)
    data |= {
        "pack": coach.knowledge.pack.id,
        "complaint": draft.complaint,
        "offered": draft.offered != _NAMED,
    }
    path = drafts(home) / f"{ident}.yaml"
    write_whole(path, yaml.safe_dump(data, sort_keys=False, allow_unicode=True, width=100))
    taken = enter(path, folder, coach)
    from diagnose.casebook.cases import read_case

    case = read_case(taken, coach.knowledge, [])
    assert case is not None
    scenario = of_case(case, coach.knowledge)
    steps = len(best_path(coach, scenario).steps) - 1
    path.unlink()
    _place(home, draft.job).unlink(missing_ok=True)
    return scenario, steps
