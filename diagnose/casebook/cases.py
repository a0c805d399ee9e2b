"""Case files: shape, loading with every problem at once, checks against the knowledge."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from diagnose.belief.compiled import UNLISTED
from diagnose.errors import DiagnoseError, KnowledgeError, Problem
from diagnose.job.job_file import answer_events, read_shock
from diagnose.knowledge.loader import DEFAULT_PACK, Knowledge
from diagnose.knowledge.yaml_lines import Document, read_yaml
from diagnose.reasoning.judgement import Judgement

__all__ = ["Case", "Expected", "load_cases", "meets", "read_case"]


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Expected(_Part):
    """What must be said at one moment; each list holds what is acceptable, the best first."""

    stage: list[str] = Field(min_length=1)
    ride: list[str] = []
    also: list[str] = []


class Expectations(_Part):
    """From the words alone, after the counter, after the bench."""

    words: Expected | None = None
    counter: Expected
    bench: Expected
    cautions: list[str] = []


class Case(_Part):
    """One case. ``pack``: the device that it is about.

    ``counter`` and ``bench``: what each question or check gives if it is asked; readings as a
    mapping. ``truth``: present causes; empty: nothing is wrong. ``offered``: it comes by
    itself in practice; else only who is given its number plays it.
    """

    id: str
    pack: str = DEFAULT_PACK
    written: Literal["before", "after"]
    difficulty: Literal["plain", "difficult"]
    themes: list[str]
    complaint: str
    shock: dict[str, Any] = {}
    counter: dict[str, str] = {}
    bench: dict[str, str | dict[str, Any]] = {}
    truth: list[str]
    expect: Expectations
    teaching: str
    offered: bool = True


def meets(judgement: Judgement, expected: Expected) -> dict[str, bool]:
    """Whether stage, ride and also-stages are as expected."""
    also = {line.id for line in judgement.also_stages}
    stage = judgement.stage.id in expected.stage
    whole = set(expected.also) <= also | {judgement.stage.id} if expected.also else True
    return {
        "stage": stage,
        "ride": not expected.ride or judgement.ride in expected.ride,
        "also": whole,
    }


def read_case(path: Path, knowledge: Knowledge, problems: list[Problem]) -> Case | None:
    """One case; faults go to ``problems``."""
    document = read_yaml(path, f"cases/{path.name}", problems)
    if document is None:
        return None
    try:
        case = Case.model_validate(document.value)
    except ValidationError as error:
        for item in error.errors():
            line = document.line(tuple(item["loc"]))
            name = ".".join(map(str, item["loc"]))
            words = item["msg"][:1].lower() + item["msg"][1:]
            problems.append(Problem(document.file, line, f"{name}: {words}."))
        return None
    if case.pack != knowledge.pack.id:
        problems.append(
            Problem(
                document.file,
                document.line(("pack",)),
                f"this is a case of the pack '{case.pack}', not of '{knowledge.pack.id}'.",
                f"Give --pack {case.pack}.",
            )
        )
        return None
    problems.extend(_problems(case, document, knowledge, path))
    return case


def _pack_of(path: Path) -> str:
    """The pack that a case names; the default one's where it names none or cannot be read."""
    document = read_yaml(path, path.name, [])
    value = None if document is None else document.value
    return str(value.get("pack", DEFAULT_PACK)) if isinstance(value, dict) else DEFAULT_PACK


def _problems(case: Case, document: Document, knowledge: Knowledge, path: Path) -> list[Problem]:
    found: list[Problem] = []

    def add(where: tuple[str | int, ...], what: str, hint: str = "") -> None:
        found.append(Problem(document.file, document.line(where), what, hint))

    if case.id != path.stem:
        add(("id",), f"the id is '{case.id}' but the file is named '{path.stem}'.")
    for n, cause in enumerate(case.truth):
        if cause != UNLISTED and cause not in knowledge.causes:
            add(("truth", n), f"no cause '{cause}'.")
    for place in ("words", "counter", "bench"):
        expected = getattr(case.expect, place)
        for stage in [*expected.stage, *expected.also] if expected else []:
            if stage not in knowledge.stages:
                add(("expect", place), f"no stage '{stage}'.")
    for n, hazard in enumerate(case.expect.cautions):
        if hazard not in knowledge.hazards:
            add(("expect", "cautions", n), f"no hazard '{hazard}'.")
    for place, at in (("counter", "counter"), ("bench", "bench")):
        for ask, value in getattr(case, place).items():
            try:
                answer_events(ask, value, knowledge, at)
            except DiagnoseError as error:
                add((place, ask), error.what, error.next_step)
    try:
        read_shock(case.shock, knowledge)
    except DiagnoseError as error:
        add(("shock",), error.what, error.next_step)
    return found


def load_cases(root: Path, knowledge: Knowledge) -> list[Case]:
    """All cases of the knowledge's pack in a folder, by id.

    Raises
    ------
    KnowledgeError : with every problem of every case.
    """
    problems: list[Problem] = []
    files = [path for path in sorted(root.glob("*.yaml")) if _pack_of(path) == knowledge.pack.id]
    cases = [read_case(path, knowledge, problems) for path in files]
    if problems:
        raise KnowledgeError(problems)
    return [case for case in cases if case is not None]
