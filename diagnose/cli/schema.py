"""``diagnose schema judgement|job|lines``: the JSON Schemas that other programs can rely on."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable
from typing import Any

from diagnose.cli.context import Context
from diagnose.conversation.prompts import COMMANDS
from diagnose.reasoning.judgement import (
    AnswerLine,
    CautionLine,
    HeardLine,
    Judgement,
    NotHeardLine,
    ReadingLine,
)

_TEXT = {"type": "string"}
_ANYTHING: dict[str, Any] = {}
_NUMBER, _FLAG = {"type": "number"}, {"type": "boolean"}
_DRAFT = "https://json-schema.org/draft/2020-12/schema"


#: what training sends of each scenario at its end
_RESULT = {
    "properties": {
        "kind": {"const": "result"},
        "case": _TEXT,
        "score": {**_NUMBER, "description": "100: the best path"},
        "passed": _FLAG,
        "truth": {
            "type": "array",
            "items": {"type": "object", "properties": {"id": _TEXT, "name": _TEXT}},
        },
        "teaching": _TEXT,
        "brier": {**_NUMBER, "description": "0 is best, 1 worst"},
        "lapses": {
            "type": "array",
            "items": {"type": "object", "properties": {"what": _TEXT, "told": _TEXT}},
        },
        "hints": _NUMBER,
        "steps": {
            "type": "array",
            "items": {
                "type": "object",
                "properties": {
                    "id": _TEXT,
                    "name": _TEXT,
                    "told": _TEXT,
                    "kind": _TEXT,
                    "regret": {**_NUMBER, "description": "cost beyond the best choice"},
                    "best": _TEXT,
                },
            },
        },
    }
}


def job_schema(context: Context) -> dict[str, Any]:
    """A job as `assess` reads it; every part may be missing."""
    fields = dict.fromkeys(context.knowledge.device.fields, _ANYTHING)
    answer = {
        "oneOf": [
            {"type": ["string", "boolean"], "description": "a state"},
            {
                "type": "object",
                "properties": {"state": _TEXT, "by": {"enum": ["customer", "counter", "bench"]}},
                "required": ["state"],
                "additionalProperties": False,
            },
            {
                "type": "object",
                "description": "readings: name -> value with unit",
                "not": {"required": ["state"]},
            },
        ]
    }
    return {
        "$schema": _DRAFT,
        "title": "job",
        "type": "object",
        "properties": {
            "pack": _TEXT,
            "at": {"enum": ["counter", "bench"]},
            "channel": {"enum": ["bike_here", "shock_only", "phone", "mail"]},
            "complaint": _TEXT,
            "shock": {"type": "object", "properties": fields},
            "answers": {"type": "object", "additionalProperties": answer},
        },
        "additionalProperties": False,
    }


def line_schema() -> dict[str, Any]:
    """One line of a conversation: what the program sends (`out`) and what it takes (`in`)."""
    caution = CautionLine.model_json_schema()
    out = [
        {
            "properties": {
                "kind": {"enum": ["question", "end"]},
                "asks": _TEXT,
                "id": _TEXT,
                "text": _TEXT,
                "answers": {"type": "array", "items": AnswerLine.model_json_schema()},
                "readings": {"type": "array", "items": ReadingLine.model_json_schema()},
                "steps": {"type": "array", "items": _TEXT},
                "why": _TEXT,
                "commands": {"type": "object", "additionalProperties": _TEXT},
                "free_text": {"type": "boolean"},
                "default": {**_TEXT, "description": "what an empty answer takes"},
                "several": {"type": "boolean", "description": "one answer may be a list"},
                "reply": {"type": "boolean", "description": "true: a reply is awaited"},
                "score": {"type": "number", "description": "training: mean of its results"},
                "passed": {"type": "boolean"},
            },
            "required": ["kind"],
        },
        {
            "properties": {
                "kind": {"const": "caution"},
                "when": {"enum": ["first", "before"]},
                **caution["properties"],
            }
        },
        {
            "properties": {
                "kind": {"const": "heard"},
                "heard": {"type": "array", "items": HeardLine.model_json_schema()},
                "not_heard": {"type": "array", "items": NotHeardLine.model_json_schema()},
            }
        },
        {
            "properties": {
                "kind": {"const": "judgement"},
                "judgement": {"description": "see: diagnose schema judgement"},
            }
        },
        {
            "properties": {
                "kind": {"const": "error"},
                "what": _TEXT,
                "where": _TEXT,
                "next": _TEXT,
            }
        },
        {"properties": {"kind": {"const": "note"}, "text": _TEXT}},
        {
            "properties": {
                "kind": {"const": "list"},
                "number": {"type": "integer", "description": "names the list in results"},
                "checks": {"type": "array", "items": {"type": "object"}},
            }
        },
        _RESULT,
    ]
    value = {"type": ["string", "number"], "description": "key, state or text of an answer"}
    several = {"type": "array", "items": value, "description": "where several are meant"}
    taken = [
        value,
        {
            "type": "object",
            "properties": {"answer": {"anyOf": [value, several]}},
            "required": ["answer"],
        },
        {"type": "object", "properties": {"text": _TEXT}, "required": ["text"]},
        {
            "type": "object",
            "properties": {"readings": {"type": "object"}},
            "required": ["readings"],
        },
        {
            "type": "object",
            "properties": {
                "heard": {
                    "type": "object",
                    "additionalProperties": {
                        **_TEXT,
                        "description": "symptom id: 'struck', 'meant' or one of its states",
                    },
                }
            },
            "required": ["heard"],
        },
        {
            "type": "object",
            "properties": {"command": {"enum": [*COMMANDS, "list"]}},
            "required": ["command"],
        },
        {
            "type": "object",
            "properties": {"results": {"type": "object"}, "list": {"type": "integer"}},
            "required": ["results"],
        },
    ]
    return {
        "$schema": _DRAFT,
        "title": "line",
        "$defs": {"out": {"type": "object", "anyOf": out}, "in": {"anyOf": taken}},
        "oneOf": [{"$ref": "#/$defs/out"}, {"$ref": "#/$defs/in"}],
    }


def _judgement_schema() -> dict[str, Any]:
    return {"$schema": _DRAFT, **Judgement.model_json_schema()}


#: name of a schema -> how it is made, for the pack of a context
SCHEMAS: dict[str, Callable[[Context], dict[str, Any]]] = {
    "judgement": lambda _: _judgement_schema(),
    "job": job_schema,
    "lines": lambda _: line_schema(),
}


def schema_options(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("name", choices=tuple(SCHEMAS))


def schema(arguments: argparse.Namespace, context: Context) -> int:
    """Print one schema."""
    print(json.dumps(SCHEMAS[arguments.name](context), indent=2))
    return 0
