"""The schemas that editors use: as generated, and of one mind with the loader."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from diagnose.errors import Problem
from diagnose.knowledge.schemas import json_schema, scale_words, schemas, write_schemas
from diagnose.knowledge.yaml_lines import read_yaml

ROOT = Path(__file__).resolve().parents[2] / "knowledge"
FILES = sorted(path for path in ROOT.rglob("*.yaml"))
TYPES = {"object": dict, "array": list, "string": str, "boolean": bool, "null": type(None)}
NOTES = {"$schema", "$defs", "title", "description", "default", "examples"}


def faults(value: Any, schema: dict[str, Any], top: dict[str, Any], at: str = "") -> list[str]:
    """Where a value breaks a schema; only the keywords that our schemas use, any other fails."""
    found = []
    for key, want in schema.items():
        if key == "$ref":
            found += faults(value, top["$defs"][want.removeprefix("#/$defs/")], top, at)
        elif key in ("anyOf", "oneOf"):
            passed = sum(not faults(value, option, top, at) for option in want)
            if passed == 0 or (key == "oneOf" and passed > 1):
                found.append(f"{at}: {passed} of the {key} fit")
        elif key == "type" and want in ("number", "integer"):
            kinds = (int,) if want == "integer" else (int, float)
            if isinstance(value, bool) or not isinstance(value, kinds):
                found.append(f"{at}: not a {want}")
        elif key == "type":
            if not isinstance(value, TYPES[want]):
                found.append(f"{at}: not of type {want}")
        elif key == "enum":
            found += [] if value in want else [f"{at}: {value!r} is none of {want}"]
        elif key == "const":
            found += [] if value == want else [f"{at}: not {want!r}"]
        elif key == "required" and isinstance(value, dict):
            found += [f"{at}: {name} is missing" for name in want if name not in value]
        elif key == "properties" and isinstance(value, dict):
            for name in want.keys() & value.keys():
                found += faults(value[name], want[name], top, f"{at}.{name}")
        elif key == "patternProperties" and isinstance(value, dict):
            for pattern, part in want.items():
                for name in value:
                    if re.search(pattern, name):
                        found += faults(value[name], part, top, f"{at}.{name}")
        elif key == "propertyNames" and isinstance(value, dict):
            for name in value:
                found += faults(name, want, top, f"{at}.{name}")
        elif key == "additionalProperties" and isinstance(value, dict):
            known = schema.get("properties", {}).keys()
            patterns = schema.get("patternProperties", {})
            for name in value.keys() - known:
                if any(re.search(pattern, name) for pattern in patterns):
                    continue
                if want is False:
                    found.append(f"{at}: {name} is not known")
                elif isinstance(want, dict):
                    found += faults(value[name], want, top, f"{at}.{name}")
        elif key == "items" and isinstance(value, list):
            for index, item in enumerate(value):
                found += faults(item, want, top, f"{at}[{index}]")
        elif key in BOUNDS:
            if BOUNDS[key](value, want):
                found.append(f"{at}: {key} {want}")
        elif key not in NOTES | {"required", "properties", "patternProperties", "items"} | {
            "propertyNames",
            "additionalProperties",
        }:
            raise AssertionError(f"keyword {key} is not known to this test")
    return found


def _sized(value: Any) -> bool:
    return isinstance(value, str | list | dict)


def _number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


BOUNDS: dict[str, Any] = {
    "pattern": lambda value, want: isinstance(value, str) and not re.search(want, value),
    "minLength": lambda value, want: isinstance(value, str) and len(value) < want,
    "maxLength": lambda value, want: isinstance(value, str) and len(value) > want,
    "minItems": lambda value, want: isinstance(value, list) and len(value) < want,
    "maxItems": lambda value, want: isinstance(value, list) and len(value) > want,
    "minProperties": lambda value, want: isinstance(value, dict) and len(value) < want,
    "maxProperties": lambda value, want: isinstance(value, dict) and len(value) > want,
    "minimum": lambda value, want: _number(value) and value < want,
    "maximum": lambda value, want: _number(value) and value > want,
    "exclusiveMinimum": lambda value, want: _number(value) and value <= want,
    "exclusiveMaximum": lambda value, want: _number(value) and value >= want,
}


def value_of(path: Path) -> Any:
    problems: list[Problem] = []
    document = read_yaml(path, path.name, problems)
    assert document is not None, problems
    return document.value


def test_the_files_on_disk_are_the_generated_ones() -> None:
    on_disk = {path.name: path.read_text("utf-8") for path in (ROOT / "schema").glob("*")}
    assert on_disk == schemas(scale_words(ROOT)), (
        "run: python -c 'from pathlib import Path; from diagnose.knowledge.schemas import "
        'write_schemas; write_schemas(Path("knowledge"))\''
    )


def first_line(path: Path) -> Path:
    """The schema that the first line of a file leads an editor to."""
    first = path.read_text("utf-8").partition("\n")[0]
    named = re.fullmatch(r"# yaml-language-server: \$schema=(\S+)", first)
    assert named, f"{path}: name the schema in line 1"
    return (path.parent / named[1]).resolve()


def test_every_first_line_leads_to_a_schema() -> None:
    lost = [str(path) for path in FILES if first_line(path).parent != ROOT / "schema"]
    assert not lost, "mend the path in line 1, so that editors find the schema"


def test_every_file_is_accepted_by_its_schema() -> None:
    loaded = {path.name: json.loads(path.read_text("utf-8")) for path in ROOT.glob("schema/*")}
    found = []
    for path in FILES:
        schema = loaded[first_line(path).name]
        found += [f"{path.name}{fault}" for fault in faults(value_of(path), schema, schema)]
    assert not found


@pytest.mark.parametrize(
    ("name", "changes", "fault"),
    [
        ("cause", {"links": {"air_loss": "mostly"}}, ".links.air_loss"),
        ("cause", {"links": {"air_loss": 1}}, ".links.air_loss"),
        ("cause", {"links": {"air_loss": {"slow": 0}}}, ".links.air_loss"),
        ("cause", {"cure": {}}, "cure is not known"),
        ("cause", {"ride": {"why": "because"}}, ".ride"),
        ("cause", {"ride": {"ride": "maybe", "why": "because"}}, ".ride"),
        ("cause", {"name": True}, ".name"),
        ("cause", {"remedy": {"minutes": -1, "parts": 0}}, ".remedy.minutes"),
    ],
)
def test_what_the_loader_refuses_an_editor_marks(
    name: str, changes: dict[str, Any], fault: str
) -> None:
    schema = json_schema(name, ["rarely", "often"])
    good: dict[str, Any] = {
        "id": "a_cause",
        "name": "a cause",
        "plain": "It is broken.",
        "system": "air_spring",
        "per_1000": 3,
        "links": {"air_loss": {"slow": "often", "quick": {"value": "rarely", "source": "seen"}}},
        "cures": {"air_can_service": 0.9},
        "remedy": {"minutes": 10, "parts": 4},
        "ride": {"ride": "stop_riding", "why": "it is broken"},
        "about": "What happens.",
        "source": "common_practice",
    }
    assert not faults(good, schema, schema)
    assert any(fault in text for text in faults({**good, **changes}, schema, schema))


def test_fields_carry_the_notes_of_the_models() -> None:
    fields = json_schema("cause")["properties"]
    assert fields["per_1000"]["description"] == "jobs in a thousand in which it is present."
    assert "alone" in fields["links"]["description"]


def test_writing_twice_changes_nothing(tmp_path: Path) -> None:
    first = write_schemas(tmp_path)
    assert {path.name for path in first} == set(schemas())
    assert write_schemas(tmp_path) == []


def test_a_broken_pack_adds_no_words(tmp_path: Path) -> None:
    (tmp_path / "other").mkdir()
    (tmp_path / "other" / "pack.yaml").write_text("scale: [", "utf-8")
    assert scale_words(tmp_path) == []
    assert scale_words(ROOT)[0] == "almost_never"
