"""The device of a pack against itself, and what the cards say is done against its words.

Rules
-----
- Every word that leads nowhere is a problem with its line: an act that is misspelt would meet no
  hazard, and a chamber that is misspelt would never be empty.
- What the cards of a pack do, open and hold is said in words of its device alone.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator

from diagnose.bench.kinds import KINDS
from diagnose.bench.sheet_fields import SHEET_FIELDS
from diagnose.bench.units import units_of
from diagnose.errors import Problem
from diagnose.knowledge.cross_checks.common import Where, near
from diagnose.knowledge.device import CAN_CLOSE, HISTORY, WRITTEN, Device
from diagnose.knowledge.loader import Knowledge, Lines
from diagnose.knowledge.models import NOTHING

__all__ = ["device_fits", "words_are_the_devices"]

#: kinds of a field that are no quantity of the bench
_PLAIN = ("flag", "word", "text")

#: (place, word, known words, what the word should be)
_Named = tuple[Where, str | None, Collection[str], str]


def device_fits(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """Chambers, marks, hazards, stages, rights and fields that the device names are there."""
    device = knowledge.device

    def at(path: Where, what: str, hint: str) -> Problem:
        return lines.problem("device", "", path, what, hint)

    for path, word, known, kind in _named(knowledge, device):
        if word is not None and word not in known:
            name = str(path[0])
            yield at(path, f"{name}: no {kind} '{word}'.", near(word, known))
    yield from _once(device, at)
    for mark in (WRITTEN, CAN_CLOSE):
        if mark not in device.marks:
            yield at(("marks",), f"marks: there is no '{mark}'.", "Every device has this mark.")
        elif not device.marks[mark].how:
            hint = "Say in 'how' what to do first."
            yield at(("marks", mark), f"marks: '{mark}' does not say what to do.", hint)
    for word, field in device.fields.items():
        if field.kind not in _PLAIN and field.kind not in KINDS:
            hint = f"{near(field.kind, KINDS)} Or: {', '.join(_PLAIN)}."
            yield at(("fields", word, "kind"), f"fields: no kind '{field.kind}'.", hint)
    for word, field in device.fields.items():
        if (field.kind == "text") != (word == HISTORY):
            what = f"fields: '{word}' is {field.kind}; the one free text is '{HISTORY}'."
            yield at(("fields", word), what, "What customers say is erased by that name.")
    for word, event in device.events.items():
        if event.opens and not event.lets_out:
            what = f"events: '{word}' opens it and takes no barrier away."
            yield at(("events", word), what, "Say 'lets_out: true' as well.")
    for flag, what in (("posts", "posts or hands it on"), ("sets_apart", "sets it apart")):
        if not any(getattr(act, flag) for act in device.acts.values()):
            text = f"acts: none {what}, so that nobody is warned of it."
            yield at(("acts",), text, f"Say '{flag}: true' of the act that does.")
    met = {act for hazard in knowledge.hazards.values() for act in hazard.acts}
    for act in sorted(met - device.demands.keys()):
        what = f"demands: '{act}' meets a hazard and demands none."
        yield at(("demands",), what, "Say a second time what must be known before it.")
    traps = any("open" in floor.forbids for floor in knowledge.floors)
    if traps and not device.trapping:
        what = "chambers: a floor forbids opening, and pressure can be trapped in none of them."
        yield at(("chambers",), what, "Say 'traps: true' of the chamber that the sign is about.")


def _named(knowledge: Knowledge, device: Device) -> Iterator[_Named]:
    """Every word of the device that stands for something else."""
    chambers, marks = device.chamber_ids, device.marks
    words = [*device.events, *device.acts, *marks]
    values = {*device.sheet.numbers, *device.sheet.words}
    for n, chamber in enumerate(device.chambers):
        for act in chamber.opened_by:
            yield ("chambers", n, "opened_by"), act, words, "event, act or mark"
        yield ("chambers", n, "sheet_mark"), chamber.sheet_mark, marks, "mark"
    for kind, done in (("events", device.events), ("marks", marks)):
        for word, effect in done.items():
            for name in ("fills", "empties"):
                for chamber_id in getattr(effect, name):
                    yield (kind, word, name), chamber_id, chambers, "chamber"
    for word, mark in marks.items():
        for other in mark.implies:
            yield ("marks", word, "implies"), other, marks, "mark"
        for value in mark.asks:
            yield ("marks", word, "asks"), value, values | device.sheet.asks.keys(), "sheet value"
        yield ("marks", word, "inside"), mark.inside, chambers, "chamber"
        yield ("marks", word, "right"), mark.right, knowledge.rights, "right"
    for n, row in enumerate(device.order):
        for name in ("first", "then"):
            yield ("order", n, name), getattr(row, name), marks, "mark"
    for act, hazards in device.demands.items():
        yield ("demands", act), act, words, "event, act or mark"
        for hazard in hazards:
            yield ("demands", act), hazard, knowledge.hazards, "hazard"
    for name in ("keyed", "referral_hazards"):
        for n, hazard in enumerate(getattr(device, name)):
            yield (name, n), hazard, knowledge.hazards, "hazard"
    for name in ("load_hazard", "referral_shut"):
        yield (name,), getattr(device, name), knowledge.hazards, "hazard"
    for n, caution in enumerate(device.by_hand):
        yield ("by_hand", n), caution, knowledge.cautions, "caution"
    for role in ("refer", "nothing", "shut"):
        yield ("stages", role), getattr(device.stages, role), knowledge.stages, "stage"
    yield ("step_right",), device.step_right, knowledge.rights, "right"
    yield from _values(device, values)
    yield from _quantities(knowledge)


def _quantities(knowledge: Knowledge) -> Iterator[_Named]:
    """Records of the sheets that are numbers."""
    papers = knowledge.device.papers
    records = {r for sheet in knowledge.sheets.values() for s in sheet.steps for r in s.records}
    for record, quantity in papers.quantities.items():
        yield ("papers", "quantities", record), record, records, "record of a sheet"
        yield ("papers", "quantities", record), quantity.kind, KINDS, "kind of value"
        if quantity.unit and quantity.kind in KINDS:
            units = units_of(KINDS[quantity.kind].dimension)
            yield ("papers", "quantities", record), quantity.unit, units, "unit"


def _values(device: Device, values: Collection[str]) -> Iterator[_Named]:
    """Fields of a job and values of the data sheet that something else names."""
    for n, name in enumerate(device.named_by):
        yield ("named_by", n), name, device.fields, "field"
    for n, number in enumerate(device.sheet.numbers):
        yield ("sheet", "numbers", n), number, SHEET_FIELDS, "value of the bench"
    flags = [name for name, field in device.fields.items() if field.kind == "flag"]
    for name in device.sheet.flags:
        yield ("sheet", "flags", name), name, flags, "flag among the fields"
    for ask, answers in device.sheet.asks.items():
        for answer in answers:
            yield ("sheet", "asks", ask), answer, values, "sheet value"
    for value, datum in device.sheet.datum.items():
        yield ("sheet", "datum", value), value, values, "sheet value"
        yield ("sheet", "datum", value), datum, values, "sheet value"
    if device.fitting is not None:
        yield ("fitting", "value"), device.fitting.value, values, "sheet value"
        yield ("fitting", "chamber"), device.fitting.chamber, device.chamber_ids, "chamber"
    papers = device.papers
    yield ("papers", "limit"), papers.limit, device.fields, "field"
    for line, name in papers.told_as_found.items():
        yield ("papers", "told_as_found", line), line, papers.both_times, "line of both_times"
        yield ("papers", "told_as_found", line), name, device.fields, "field"


def _once(device: Device, at: Callable[[Where, str, str], Problem]) -> Iterator[Problem]:
    """A word means one thing: an event, an act or a mark."""
    seen: dict[str, str] = {}
    for kind in ("events", "acts", "marks"):
        for word in getattr(device, kind):
            if word in seen:
                yield at(
                    (kind, word), f"{kind}: '{word}' stands in {seen[word]} too.", "Rename it."
                )
            seen[word] = kind


def words_are_the_devices(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """Checks, steps, stages, remedies and hazards use words of the device."""
    device = knowledge.device
    steps_do = [*device.events, *device.acts]
    opened = [NOTHING, *device.chamber_ids]
    said: list[tuple[str, str, Where, Iterable[str], Collection[str], str]] = []
    for ident, check in knowledge.checks.items():
        said.append(("checks", ident, ("does",), check.does, device.does, "event, act or proof"))
    for ident, sheet in knowledge.sheets.items():
        kind = knowledge.sheet_kind(ident)
        said.append((kind, ident, ("opens",), sheet.opens, device.chamber_ids, "chamber"))
        for n, step in enumerate(sheet.steps):
            where: Where = ("steps", n, "does")
            said.append((kind, ident, where, step.does, steps_do, "event or act"))
            where = ("steps", n, "marks")
            said.append((kind, ident, where, step.marks, device.marks, "mark"))
    for ident, cause in knowledge.causes.items():
        said.append(("causes", ident, ("remedy", "opens"), [cause.remedy.opens], opened, "chamber"))
    for ident, hazard in knowledge.hazards.items():
        held = hazard.chambers
        said.append(("hazards", ident, ("chambers",), held, device.chamber_ids, "chamber"))
    for kind, ident, path, words, known, what in said:
        for word in words:
            if word not in known:
                text = f"{path[-1]}: no {what} '{word}' in device.yaml."
                yield lines.problem(kind, ident, path, text, near(word, known))
    told: Where = ("told_by",)
    for word in knowledge.pack.told_by:
        if word not in device.does:
            text = f"told_by: no event, act or proof '{word}' in device.yaml."
            yield lines.problem("pack", "", (*told, word), text, near(word, device.does))
