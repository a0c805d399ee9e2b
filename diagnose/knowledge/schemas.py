"""JSON Schemas of the knowledge files, generated from the models for editors.

Rules
-----
- The models are the only description of a card; nothing is written by hand under ``schema/``.
- A schema accepts what the loader accepts of one file. What cards say of each other is checked
  elsewhere.
- The words of the verbal scale are those of the packs beside the schemas, so that an editor
  offers them and marks a misspelt one.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import yaml
from pydantic import AliasChoices, BaseModel

from diagnose.knowledge import device, drawing, models
from diagnose.knowledge.card import Card
from diagnose.knowledge.device import Device
from diagnose.knowledge.drawing import Drawing
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
    SmallJobFile,
    Source,
    StageFile,
    Symptom,
)

__all__ = ["json_schema", "scale_words", "schemas", "write_schemas"]

_DIALECT = "https://json-schema.org/draft/2020-12/schema"

#: name of the schema -> model of the whole file
_CARDS: dict[str, type[BaseModel]] = {
    "finding": Finding,
    "cause": Cause,
    "symptom": Symptom,
    "check": Check,
    "frame": Frame,
    "block": Block,
    "stage": StageFile,
    "small_job": SmallJobFile,
    "caution": Caution,
    "pack": Pack,
    "device": Device,
    "drawing": Drawing,
    "lexicon": Lexicon,
    "second_opinion": SecondOpinion,
}

#: name of the schema -> model of one row; the file may be the list itself or hold it by this name
_LISTS: dict[str, type[BaseModel]] = {
    "sources": Source,
    "rights": Right,
    "hazards": Hazard,
    "floors": Floor,
    "retired": Retired,
}

_UNIT = r"(?: \[[^\]]*\])?"
_FIELD_NOTE = re.compile(rf"``(\w+)``{_UNIT}: (.*?)(?=\s``\w+``{_UNIT}[:,]|\Z)", re.DOTALL)


def scale_words(root: Path) -> list[str]:
    """Words of the verbal scales of all packs under ``root``, each pack's from rare to frequent.

    A pack that cannot be read adds none; the knowledge check names its fault.
    """
    words: dict[str, None] = {}
    for path in sorted(root.glob("*/pack.yaml")):
        try:
            scale = yaml.safe_load(path.read_text("utf-8")).get("scale", {})
            words |= dict.fromkeys(sorted(scale, key=scale.__getitem__))
        except (OSError, ValueError, AttributeError, TypeError, yaml.YAMLError):
            continue
    return list(words)


def json_schema(name: str, words: list[str] | None = None) -> dict[str, Any]:
    """Schema of the files whose first line names ``name``.

    Parameters
    ----------
    name : ``cause``, ``hazards`` and so on, as in ``schema/cause.schema.json``.
    words : words of the verbal scale; without them any text passes as a chance.

    Raises
    ------
    KeyError : no file names such a schema.

    >>> json_schema("caution")["properties"]["signal_word"]["enum"]
    ['DANGER', 'WARNING', 'CAUTION', 'NOTICE']
    """
    model = _CARDS[name] if name in _CARDS else _LISTS[name]
    schema = model.model_json_schema()
    for definition in _definitions(schema):
        _complete(definition, _model(definition["title"]))
    definitions = schema.pop("$defs", {})
    if name in _LISTS:
        definitions[schema["title"]] = schema
        rows = {"type": "array", "items": {"$ref": f"#/$defs/{schema['title']}"}}
        schema = {
            "anyOf": [
                rows,
                {
                    "type": "object",
                    "properties": {name: rows},
                    "required": [name],
                    "additionalProperties": False,
                },
            ]
        }
    schema = _name_chances({**schema, "$defs": definitions})
    if '"#/$defs/Chance"' in json.dumps(schema):
        schema["$defs"] |= _chance(words)
    return {"$schema": _DIALECT, "title": f"{name} file", **_without_title(schema)}


def schemas(words: list[str] | None = None) -> dict[str, str]:
    """Text of every schema file, by file name."""
    return {
        f"{name}.schema.json": json.dumps(json_schema(name, words), indent=1, ensure_ascii=False)
        + "\n"
        for name in (*_CARDS, *_LISTS)
    }


def write_schemas(root: Path) -> list[Path]:
    """Write all schemas under ``root``/schema; the paths of the files that changed.

    Parameters
    ----------
    root : the knowledge folder.
    """
    folder = root / "schema"
    folder.mkdir(exist_ok=True)
    changed = []
    for name, text in schemas(scale_words(root)).items():
        path = folder / name
        if not path.exists() or path.read_text("utf-8") != text:
            path.write_text(text, "utf-8")
            changed.append(path)
    return changed


def _definitions(schema: dict[str, Any]) -> Iterator[dict[str, Any]]:
    yield schema
    yield from schema.get("$defs", {}).values()


def _model(name: str) -> type[BaseModel]:
    """The model of this name, of the cards, of the device or of its drawing."""
    found: type[BaseModel] = next(
        getattr(module, name) for module in (models, device, drawing) if hasattr(module, name)
    )
    return found


def _complete(definition: dict[str, Any], model: type[BaseModel]) -> None:
    """Notes of the fields from the model's docstring, and every accepted spelling of a field."""
    spoken = [base.__doc__ or "" for base in model.__mro__ if issubclass(base, Card)]
    notes = dict(note for text in reversed(spoken) for note in _FIELD_NOTE.findall(text))
    for field, info in model.model_fields.items():
        alias = info.validation_alias
        spellings = [str(part) for part in alias.choices] if isinstance(alias, AliasChoices) else []
        known = definition["properties"]
        place = next(name for name in (field, *spellings) if name in known)
        if field in notes:
            known[place]["description"] = " ".join(notes[field].split()).rstrip(";.") + "."
        if len(spellings) > 1:
            known |= dict.fromkeys(spellings, known[place])
            definition["required"] = [name for name in definition["required"] if name != place]
            definition["oneOf"] = [{"required": [name]} for name in spellings]


def _chance(words: list[str] | None) -> dict[str, Any]:
    number = {"type": "number", "exclusiveMinimum": 0, "exclusiveMaximum": 1}
    word: dict[str, Any] = {"type": "string", **({"enum": words} if words else {})}
    return {
        "Chance": {
            "description": "A word of the verbal scale, a number between 0 and 1, or either of "
            "them as `value` with a `source` of its own.",
            "anyOf": [number, word, {"$ref": "#/$defs/Sourced"}],
        }
    }


_PARTS_OF_A_CHANCE = ({"type": "number"}, {"type": "string"}, {"$ref": "#/$defs/Sourced"})


def _name_chances(node: Any) -> Any:
    """The same schema with each spelt-out union of a chance replaced by its name."""
    if isinstance(node, list):
        return [_name_chances(item) for item in node]
    if not isinstance(node, dict):
        return node
    options = node.get("anyOf", [])
    if all(part in options for part in _PARTS_OF_A_CHANCE):
        rest = [_name_chances(item) for item in options if item not in _PARTS_OF_A_CHANCE]
        chance = {"$ref": "#/$defs/Chance"}
        kept = {key: value for key, value in node.items() if key != "anyOf"}
        return {**kept, **({"anyOf": [chance, *rest]} if rest else chance)}
    return {key: _name_chances(value) for key, value in node.items()}


def _without_title(schema: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in schema.items() if key != "title"}
