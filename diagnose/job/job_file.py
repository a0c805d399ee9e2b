"""One job from outside, as YAML or JSON, checked word by word and turned into events.

Rules
-----
- An unknown id, state or unit is refused with the nearest names: a lost sign can be a safety sign.
- An unknown shock field changes nothing and is named in the warnings.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from diagnose.bench import formulas, units
from diagnose.bench.kinds import KINDS
from diagnose.bench.marked import require_stroke_in_length
from diagnose.bench.typed import read
from diagnose.errors import InputError
from diagnose.job.events import (
    NOT_SURE,
    Answered,
    Complained,
    Described,
    Event,
    Measured,
    Opened,
)
from diagnose.job.measuring import check_readings, measure_check, spelled_out
from diagnose.job.state import fold
from diagnose.knowledge.loader import Knowledge
from diagnose.nearest import nearest

__all__ = ["answer_events", "events_of", "read_shock"]

_TOP = ("pack", "at", "shock", "complaint", "answers", "channel")
_REPORTERS = ("customer", "counter", "bench")
_CHANNELS = ("bike_here", "shock_only", "phone", "mail")

_FLAGS = {"true": True, "false": False, "yes": True, "no": False, "1": True, "0": False}


def events_of(
    data: Mapping[str, Any], knowledge: Knowledge, time: str = ""
) -> tuple[list[Event], list[str]]:
    """Events and warnings of one job.

    Raises
    ------
    InputError : anything that cannot be understood, with the field and the nearest names.
    """
    if not isinstance(data, Mapping):
        raise InputError(
            "a job is a mapping of fields.", where="job", next_step=f"Fields: {', '.join(_TOP)}."
        )
    for key in data:
        if key not in _TOP:
            raise InputError(f"'{key}' is no field of a job.", next_step=nearest(str(key), _TOP))
    pack = data.get("pack") or knowledge.pack.id
    if pack != knowledge.pack.id:
        raise InputError(
            f"this is a job of the pack '{pack}', not of '{knowledge.pack.id}'.",
            where="pack",
            next_step="Name the pack of the job, or none.",
        )
    at: Any = data.get("at") or "counter"
    if at not in ("counter", "bench"):
        raise InputError(f"'{at}' is no place.", where="at", next_step="Use counter or bench.")
    channel: Any = data.get("channel") or "bike_here"
    if channel not in _CHANNELS:
        raise InputError(
            f"'{channel}' is no channel.", where="channel", next_step=nearest(channel, _CHANNELS)
        )
    events: list[Event] = [
        Opened(time=time, pack=pack, knowledge=knowledge.fingerprint, at=at, channel=channel)
    ]
    shock, warnings = read_shock(data.get("shock") or {}, knowledge)
    if shock:
        events.append(Described(time=time, shock=shock))
    complaint = data.get("complaint")
    if complaint is not None and not isinstance(complaint, (str, int, float)):
        raise InputError("the complaint is free text.", where="complaint", next_step="Quote it.")
    if complaint is not None and str(complaint).strip():
        events.append(Complained(time=time, text=str(complaint)))
    answers = data.get("answers") or {}
    if not isinstance(answers, Mapping):
        raise InputError(
            "answers are a mapping from id to state.",
            where="answers",
            next_step=f"Example: answers: {{{_example(knowledge)}}}.",
        )
    for ask, value in answers.items():
        events.extend(answer_events(str(ask), value, knowledge, at, time))
    if any(isinstance(event, Measured) for event in events):
        check_readings(knowledge, fold(events), measure_check)
    return events, warnings


def _example(knowledge: Knowledge) -> str:
    line = knowledge.pack.main_complaints[0]
    return f"{line.symptom}: {line.state}"


def read_shock(data: object, knowledge: Knowledge) -> tuple[dict[str, Any], list[str]]:
    """Shock fields in their types, pressures in psi; warnings name unknown fields.

    Raises
    ------
    InputError : a value that cannot be understood or cannot be, by itself or beside another.
    """
    device = knowledge.device
    if not isinstance(data, Mapping):
        raise InputError(
            "the shock is a mapping of fields.",
            where="shock",
            next_step=f"Fields: {', '.join(device.fields)}.",
        )
    shock: dict[str, Any] = {}
    warnings = []
    for name, value in data.items():
        field = device.fields.get(str(name))
        if field is None:
            near = nearest(str(name), device.fields)
            warnings.append(f"shock field '{name}' is not known. {near}")
            continue
        kind = field.kind
        if value is not None and kind in KINDS:
            shock[str(name)], question = _amount(str(name), kind, value)
            if question:
                warnings.append(f"shock.{name}: {question}")
        elif value is not None:
            shock[str(name)] = _field(str(name), kind, value, knowledge)
    stroke, length = device.field_of("stroke"), device.field_of("eye-to-eye length")
    if stroke in shock and length in shock:
        require_stroke_in_length(shock[stroke] * 1e-3, shock[length] * 1e-3, f"shock.{stroke}")
    return shock, warnings


def _field(name: str, kind: str, value: Any, knowledge: Knowledge) -> Any:
    where = f"shock.{name}"
    if kind == "flag":
        flag = _FLAGS.get(str(value).strip().lower())
        if flag is None:
            raise InputError(
                f"'{value}' is neither true nor false.",
                where=where,
                next_step="Write true or false.",
            )
        return flag
    if kind == "text":
        return str(value)
    words = [
        b.value
        for c in knowledge.pack.contexts.values()
        if c.field == name
        for b in c.bands
        if b.value is not None
    ]
    if str(value) not in words:
        raise InputError(
            f"'{value}' is not one of them.", where=where, next_step=f"Use {', '.join(words)}."
        )
    return str(value)


def _amount(name: str, kind: str, value: Any) -> tuple[float, str]:
    """A number in the unit of its kind, and what is to be asked about it."""
    measured = read(str(value), kind, where=f"shock.{name}")
    asked = KINDS[kind]
    number = units.to_unit(measured.value, asked.unit, asked.dimension)
    # Twelve figures: what came through SI is again what was written.
    return float(f"{number:.12g}"), measured.question


def answer_events(
    ask: str, value: Any, knowledge: Knowledge, at: str, time: str = ""
) -> list[Event]:
    """Events of one answer: a state, a state with its reporter, or readings.

    Raises
    ------
    InputError : unknown id, state, reporter, reading or unit.
    """
    where = f"answers.{ask}"
    gone = knowledge.retired.get(ask)
    ask = gone.replaced_by if gone else ask
    card = knowledge.symptoms.get(ask) or knowledge.checks.get(ask)
    if card is None:
        known = [*knowledge.symptoms, *knowledge.checks]
        raise InputError(
            f"there is no symptom or check '{ask}'.",
            where=where,
            next_step=nearest(ask, known, otherwise="List all: diagnose knowledge show"),
        )
    check = knowledge.checks.get(ask)
    by = check.at if check else "customer"
    state: object = value
    if isinstance(value, Mapping):
        if "state" not in value:
            if gone is not None and not gone.readings:
                return [Answered(time=time, ask=ask, state=NOT_SURE, by=by)]
            return [_measured(ask, value, knowledge, where, time)]
        extra = set(value) - {"state", "by"}
        if extra:
            raise InputError(
                f"'{sorted(extra)[0]}' does not go with a state.",
                where=where,
                next_step="Give {state, by} or readings, not both.",
            )
        state, by = value["state"], value.get("by", by)
    if by not in _REPORTERS:
        raise InputError(
            f"'{by}' is no reporter.", where=where, next_step=nearest(str(by), _REPORTERS)
        )
    states = [answer.state for answer in card.answers]
    word = str(state)
    if isinstance(state, bool):
        word = "yes" if state else "no"
    if gone is not None and word in gone.states:
        word = gone.states[word]
    if word != NOT_SURE and word not in states:
        raise InputError(
            f"'{word}' is no state of {ask}.",
            where=where,
            next_step=f"States: {', '.join([*states, NOT_SURE])}.",
        )
    return [Answered(time=time, ask=ask, state=word, by=by)]


def _measured(
    ask: str, value: Mapping[str, Any], knowledge: Knowledge, where: str, time: str
) -> Event:
    check = knowledge.checks.get(ask)
    if check is None or check.reading is None:
        raise InputError(
            f"{ask} takes a state, not readings.", where=where, next_step="Give one state."
        )
    texts = {str(name): str(text) for name, text in value.items() if name != "by"}
    try:
        formulas.read_all(check.reading.quantity, texts)
    except InputError as error:
        raise InputError(error.what, where=where, next_step=error.next_step) from error
    by = str(value.get("by", check.at))
    if by not in _REPORTERS:
        raise InputError(f"'{by}' is no reporter.", where=where, next_step=nearest(by, _REPORTERS))
    return Measured(time=time, ask=ask, readings=spelled_out(check, texts), by=by)  # type: ignore[arg-type]
