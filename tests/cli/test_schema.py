"""The published schemas: they are JSON, and they name what the program really sends and takes."""

from __future__ import annotations

import json

import pytest

from diagnose.cli.main import main
from diagnose.reasoning.judgement import HeardLine, Judgement, NotHeardLine
from tests.real_pack import shop_knowledge


@pytest.mark.parametrize("name", ["judgement", "job", "lines"])
def test_each_schema_is_printed_as_json(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["schema", name]) == 0
    assert json.loads(capsys.readouterr().out)["$schema"].startswith("https://json-schema.org/")


def test_the_judgement_schema_names_every_field(capsys: pytest.CaptureFixture[str]) -> None:
    main(["schema", "judgement"])
    assert set(json.loads(capsys.readouterr().out)["properties"]) == set(Judgement.model_fields)


def test_the_job_schema_names_every_shock_field(capsys: pytest.CaptureFixture[str]) -> None:
    main(["schema", "job"])
    shock = json.loads(capsys.readouterr().out)["properties"]["shock"]
    assert set(shock["properties"]) == set(shop_knowledge().device.fields)


def test_the_lines_schema_names_what_was_heard_and_how_it_is_corrected(
    capsys: pytest.CaptureFixture[str],
) -> None:
    main(["schema", "lines"])
    parts = json.loads(capsys.readouterr().out)["$defs"]
    (heard,) = (
        part["properties"]
        for part in parts["out"]["anyOf"]
        if part["properties"].get("kind") == {"const": "heard"}
    )
    assert set(heard["heard"]["items"]["properties"]) == set(HeardLine.model_fields)
    assert set(heard["not_heard"]["items"]["properties"]) == set(NotHeardLine.model_fields)
    assert any("heard" in part.get("required", ()) for part in parts["in"]["anyOf"])


def test_an_unknown_schema_is_refused_as_usage(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["schema", "nothing"]) == 2
