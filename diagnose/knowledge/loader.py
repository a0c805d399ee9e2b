"""Reads knowledge/ into cards, and collects every problem on the way.

Rules
-----
- One card a file, file name = id; the folder says the kind.
- Loading returns cards AND problems; `load` raises only after all files were read and checked.
- The fingerprint covers every byte that was read, so the same fingerprint means the same cards.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ConfigDict, ValidationError

from diagnose.errors import KnowledgeError, Problem
from diagnose.knowledge.blocks import with_blocks
from diagnose.knowledge.device import Device
from diagnose.knowledge.drawing import Drawing, Part
from diagnose.knowledge.models import (
    Block,
    Cause,
    Caution,
    Check,
    Finding,
    Floor,
    Frame,
    Hazard,
    Lexicon,
    Pack,
    Retired,
    Right,
    SecondOpinion,
    Sheet,
    SmallJob,
    Source,
    Stage,
    Symptom,
)
from diagnose.knowledge.yaml_lines import Document, read_yaml

__all__ = [
    "DEFAULT_PACK",
    "FOLDERS",
    "Knowledge",
    "Lines",
    "fingerprint",
    "pack_names",
    "read_pack",
]

DEFAULT_PACK = "rear_air_shock"

FOLDERS: dict[str, type[BaseModel]] = {
    "findings": Finding,
    "causes": Cause,
    "symptoms": Symptom,
    "checks": Check,
    "frames": Frame,
    "blocks": Block,
    "stages": Stage,
    "small_jobs": SmallJob,
}

#: file of a pack that holds rows without an id -> the shape of a row
_ROWS: dict[str, type[BaseModel]] = {"floors": Floor}

C = TypeVar("C", bound=BaseModel)


class Knowledge(BaseModel):
    """All cards of one pack, by id and in id order, with the fingerprint of their files."""

    model_config = ConfigDict(frozen=True)

    fingerprint: str
    pack: Pack
    device: Device
    lexicon: Lexicon
    sources: dict[str, Source]
    rights: dict[str, Right]
    cautions: dict[str, Caution]
    hazards: dict[str, Hazard]
    floors: list[Floor]
    second_opinion: SecondOpinion
    findings: dict[str, Finding]
    causes: dict[str, Cause]
    symptoms: dict[str, Symptom]
    checks: dict[str, Check]
    frames: dict[str, Frame] = {}
    blocks: dict[str, Block]
    stages: dict[str, Stage]
    retired: dict[str, Retired] = {}
    small_jobs: dict[str, SmallJob] = {}
    drawing: Drawing | None = None

    @property
    def sheets(self) -> dict[str, Sheet]:
        """Everything that is gone through at the bench step by step: stages, then small jobs."""
        return {**self.stages, **self.small_jobs}

    @property
    def parts(self) -> dict[str, Part]:
        """What has a name on the drawing; nothing where the pack has none."""
        return {part.id: part for part in self.drawing.parts} if self.drawing else {}

    def points_to(self, ident: str) -> list[str]:
        """Parts of the drawing that a card is about; a part is about itself."""
        card = self.card(ident)
        if isinstance(card, Sheet):
            return [part for step in card.steps for part in step.points_to]
        return [ident] if isinstance(card, Part) else list(getattr(card, "points_to", ()))

    def stage_of(self, sheet: str) -> str:
        """The outcome that a sheet belongs to: a stage is its own."""
        job = self.small_jobs.get(sheet)
        return sheet if job is None else job.stage

    def opens_less(self, job: SmallJob) -> bool:
        """It costs another opening than its stage, or holds less: a plan tells the two apart."""
        stage = self.stages[job.stage]
        same = job.opens == stage.opens and job.opening_minutes == stage.opening_minutes
        return not same or job.includes != stage.includes

    def goes_out(self, sheet: str) -> bool:
        """The unit that came in is not put back to work here after this sheet."""
        return self.stages[self.stage_of(sheet)].goes_out

    def sheet_kind(self, sheet: str) -> str:
        """The folder that a sheet's card lies in."""
        return "small_jobs" if sheet in self.small_jobs else "stages"

    def lets_out(self, sheet: Sheet) -> bool:
        """A step of it lets pressure out or takes a barrier away: the customer is asked first."""
        return any(self.device.letting_out & set(step.does) for step in sheet.steps)

    def card(self, ident: str) -> BaseModel | None:
        """The card with this id, of whatever kind, or None."""
        for kind in (
            self.causes,
            self.findings,
            self.symptoms,
            self.checks,
            self.frames,
            self.blocks,
            self.sheets,
            self.cautions,
            self.hazards,
            self.sources,
            self.retired,
            self.parts,
        ):
            if ident in kind:
                found: BaseModel = kind[ident]
                return found
        return None

    def said_first(self, finding: str) -> list[Caution]:
        """Cautions that are said before any question where this finding is named."""
        rows = [f.say for f in self.floors if f.finding == finding and f.say is not None]
        return [self.cautions[ident] for ident in dict.fromkeys(rows)]

    def states_of(self, floor: Floor) -> list[str]:
        """The states of its finding that set a floor."""
        states = self.findings[floor.finding].states
        last = states.index(floor.at_most) if floor.at_most else len(states) - 1
        return states[states.index(floor.at_least) : last + 1]

    def chance(self, value: Any) -> float:
        """A chance as a number: a scale word, a number, or either with its own source."""
        if hasattr(value, "value"):
            value = value.value
        if isinstance(value, str):
            return self.pack.scale[value]
        return float(value)

    def at_least(self, finding: Finding, value: Any) -> list[float]:
        """Chances of at least each state but the healthy one, of a link or a leak.

        A milder state that is not named is as likely as the next severer one; a severer state that
        is not named is not brought about: the leak keeps it possible.
        """
        above = finding.states[1:]
        named = value if isinstance(value, dict) else {above[0]: value}
        row: list[float] = []
        for state in reversed(above):
            last = row[-1] if row else 0.0
            row.append(self.chance(named[state]) if state in named else last)
        return row[::-1]


class Lines:
    """Where each card stands, for problems found after loading."""

    def __init__(self) -> None:
        self._documents: dict[str, tuple[Document, tuple[str | int, ...]]] = {}

    def document(self, kind: str, ident: str) -> Document:
        """The file of a card that was read."""
        return self._documents[f"{kind}/{ident}"][0]

    def add(self, kind: str, ident: str, document: Document, prefix: tuple[str | int, ...]) -> None:
        self._documents[f"{kind}/{ident}"] = (document, prefix)

    def problem(
        self, kind: str, ident: str, path: tuple[str | int, ...], what: str, next_step: str = ""
    ) -> Problem:
        """A problem at ``path`` inside the card ``kind``/``ident``."""
        if f"{kind}/{ident}" not in self._documents:
            return Problem(f"{kind}/{ident}", 1, what, next_step)
        document, prefix = self._documents[f"{kind}/{ident}"]
        return Problem(*document.place((*prefix, *path)), what, next_step)


def _files(root: Path, pack: str) -> Iterator[Path]:
    for folder in (root / "cautions", *(root / pack / name for name in FOLDERS)):
        yield from sorted(folder.glob("*.yaml"))
    yield root / "sources.yaml"
    yield root / "rights.yaml"
    for name in ("pack", "device", "hazards", "floors", "second_opinion", "words"):
        yield root / pack / f"{name}.yaml"
    # What a pack may do without.
    for name in ("retired", "drawing"):
        if (path := root / pack / f"{name}.yaml").exists():
            yield path


def fingerprint(root: Path, pack: str = DEFAULT_PACK) -> str:
    """Hash over names and bytes of all files of a pack; missing files count as missing."""
    digest = hashlib.sha256()
    for path in _files(root, pack):
        digest.update(path.relative_to(root).as_posix().encode())
        try:
            digest.update(path.read_bytes())
        except OSError:
            digest.update(b"missing")
    return digest.hexdigest()[:16]


def read_pack(
    root: Path, pack: str = DEFAULT_PACK
) -> tuple[Knowledge | None, Lines, list[Problem]]:
    """Read all cards of a pack.

    Returns
    -------
    The knowledge (None where a card or file is unusable), the lines of its cards, all problems
    of form. What cards say of each other is checked elsewhere.
    """
    problems: list[Problem] = []
    lines = Lines()
    if not (root / pack).is_dir():
        problems.append(
            Problem(str(root / pack), 1, f"there is no pack '{pack}'.", _nearest_packs(root))
        )
        return None, lines, problems
    kinds: dict[str, Any] = {}
    for kind, model in FOLDERS.items():
        blocks = {
            ident: (block, lines.document("blocks", ident))
            for ident, block in kinds.get("blocks", {}).items()
        }
        kinds[kind] = _read_folder(root, root / pack / kind, kind, model, lines, problems, blocks)
    kinds["cautions"] = _read_folder(root, root / "cautions", "cautions", Caution, lines, problems)
    kinds["sources"] = _read_list(root, root / "sources.yaml", "sources", Source, lines, problems)
    kinds["rights"] = _read_list(root, root / "rights.yaml", "rights", Right, lines, problems)
    kinds["hazards"] = _read_list(
        root, root / pack / "hazards.yaml", "hazards", Hazard, lines, problems
    )
    if (retired := root / pack / "retired.yaml").exists():
        kinds["retired"] = _read_list(root, retired, "retired", Retired, lines, problems)
    single: dict[str, Any] = {
        "pack": _read_one(root, root / pack / "pack.yaml", "pack", Pack, lines, problems),
        "device": _read_one(root, root / pack / "device.yaml", "device", Device, lines, problems),
        "lexicon": _read_one(root, root / pack / "words.yaml", "words", Lexicon, lines, problems),
        "second_opinion": _read_one(
            root,
            root / pack / "second_opinion.yaml",
            "second_opinion",
            SecondOpinion,
            lines,
            problems,
        ),
        **{
            kind: list(
                _read_list(root, root / pack / f"{kind}.yaml", kind, row, lines, problems).values()
            )
            for kind, row in _ROWS.items()
        },
    }
    if (drawing := root / pack / "drawing.yaml").exists():
        single["drawing"] = _read_one(root, drawing, "drawing", Drawing, lines, problems)
    if any(value is None for value in single.values()):
        return None, lines, problems
    kinds["checks"] = {
        ident: _with_rates(check, kinds["findings"]) for ident, check in kinds["checks"].items()
    }
    knowledge = Knowledge(fingerprint=fingerprint(root, pack), **single, **kinds)
    return knowledge, lines, problems


def _with_rates(check: Check, findings: Mapping[str, Finding]) -> Check:
    """The check with the rates of its finding, where it reads against the clock by them."""
    finding = findings.get(check.observes)
    if finding is None or check.reading is None or check.reading.shows is None:
        return check
    reading = check.reading.model_copy(update={"rates": check.reading.rates or finding.rates})
    return check.model_copy(update={"reading": reading})


def pack_names(root: Path) -> list[str]:
    """Folders of a knowledge folder that hold a pack."""
    return [path.parent.name for path in sorted(root.glob("*/pack.yaml"))]


def _nearest_packs(root: Path) -> str:
    names = pack_names(root)
    return f"Packs here: {', '.join(names)}." if names else f"No pack is under {root}."


def _shown(root: Path, path: Path) -> str:
    return (Path(root.name) / path.relative_to(root)).as_posix()


def _read_folder(
    root: Path,
    folder: Path,
    kind: str,
    model: type[C],
    lines: Lines,
    problems: list[Problem],
    blocks: Mapping[str, tuple[Block, Document]] | None = None,
) -> dict[str, C]:
    cards: dict[str, C] = {}
    for path in sorted(folder.glob("*.yaml")):
        document = read_yaml(path, _shown(root, path), problems)
        if document is None:
            continue
        if issubclass(model, Sheet):
            document = with_blocks(document, blocks or {}, problems)
        card = _validate(document, document.value, (), model, problems)
        if card is None:
            continue
        ident = str(getattr(card, "id"))  # noqa: B009 - every model of a folder has an id
        if ident != path.stem:
            problems.append(
                Problem(
                    document.file,
                    document.line(("id",)),
                    f"the id is '{ident}' but the file is named '{path.stem}'.",
                    f"Rename the file to {ident}.yaml or change the id.",
                )
            )
        cards[ident] = card
        lines.add(kind, ident, document, ())
    return cards


def _read_list(
    root: Path, path: Path, kind: str, model: type[C], lines: Lines, problems: list[Problem]
) -> dict[str, C]:
    document = read_yaml(path, _shown(root, path), problems)
    if document is None:
        return {}
    value = document.value
    rows = value.get(kind) if isinstance(value, dict) else value
    if not isinstance(rows, list):
        problems.append(
            Problem(document.file, 1, f"needs a list under '{kind}:'.", "See knowledge/README.md.")
        )
        return {}
    prefix: tuple[str | int, ...] = (kind,) if isinstance(value, dict) else ()
    cards: dict[str, C] = {}
    for index, row in enumerate(rows):
        card = _validate(document, row, (*prefix, index), model, problems)
        if card is None:
            continue
        ident = str(getattr(card, "id", index))
        if ident in cards:
            problems.append(
                Problem(
                    document.file,
                    document.line((*prefix, index)),
                    f"the id '{ident}' stands here twice.",
                    "Ids are never used twice: rename one.",
                )
            )
        cards[ident] = card
        lines.add(kind, ident, document, (*prefix, index))
    return cards


def _read_one(
    root: Path, path: Path, kind: str, model: type[C], lines: Lines, problems: list[Problem]
) -> C | None:
    document = read_yaml(path, _shown(root, path), problems)
    if document is None:
        return None
    lines.add(kind, "", document, ())
    return _validate(document, document.value, (), model, problems)


def _validate(
    document: Document,
    value: Any,
    prefix: tuple[str | int, ...],
    model: type[C],
    problems: list[Problem],
) -> C | None:
    try:
        return model.model_validate(value)
    except ValidationError as error:
        seen: set[tuple[int, str]] = set()
        for item in error.errors():
            path = (*prefix, *(part for part in item["loc"] if _is_place(part)))
            file, line = document.place(path)
            name = ".".join(str(part) for part in item["loc"] if _is_place(part)) or "the card"
            what = f"{name}: {item['msg'][:1].lower()}{item['msg'][1:]}."
            if item["type"] == "extra_forbidden":
                known = ", ".join(sorted(model.model_fields))
                what, hint = f"'{name}' is not a field of this card.", f"Fields: {known}."
            elif isinstance(item["input"], bool):
                what = f"{name}: 'true' or 'false' stands where a word or number is wanted."
                hint = "Put the word in quotes, or write the number."
            elif item["type"].startswith(("greater_than", "less_than")):
                hint = f"It is {item['input']}: mend the number."
            elif item["type"] == "string_type" and isinstance(item["input"], Mapping | list):
                what = f"{name}: several values stand where one word is wanted."
                hint = (
                    "Write one word, such as an id or a state; readings are typed in cases alone."
                )
            else:
                hint = "See knowledge/README.md."
            if (line, name) not in seen:
                seen.add((line, name))
                problems.append(Problem(file, line, what, hint))
        return None


def _is_place(part: str | int) -> bool:
    # pydantic adds the tried type of a union to the path; those are not places in the file
    return isinstance(part, int) or (
        part not in {"float", "str", "Sourced", "SourcedRate", "PlacedRates", "[key]"}
        and not (part.startswith(("dict[", "function-", "constrained-")))
    )


def load(root: Path, pack: str = DEFAULT_PACK) -> Knowledge:
    """Knowledge that is fit for use.

    Raises
    ------
    KnowledgeError : with every problem of form and of reference at once.
    """
    from diagnose.knowledge.cross_checks import find_problems

    knowledge, lines, problems = read_pack(root, pack)
    if knowledge is not None:
        problems = problems + find_problems(knowledge, lines, problems)
    if knowledge is None or problems:
        raise KnowledgeError(problems)
    return knowledge
