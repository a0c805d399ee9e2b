"""``diagnose calc NAME input='value unit' ...``: one bench calculation by itself."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Mapping
from dataclasses import asdict

from diagnose.bench.formula import Formula
from diagnose.bench.formulas import FORMULAS, calculate, formula
from diagnose.bench.given import Input
from diagnose.bench.kinds import KINDS
from diagnose.bench.sheet_fields import SHEET_FIELDS
from diagnose.cli.context import Context
from diagnose.errors import UsageError
from diagnose.started import runnable


def calc_options(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("name", nargs="?", help="which; without it they are listed")
    sub.add_argument("values", nargs="*", metavar="input=value", help="such as before='165 psi'")
    sub.add_argument("--json", action="store_true", help="the result as JSON")


def calc(arguments: argparse.Namespace, context: Context) -> int:
    """Run the command; without a name it lists what can be calculated."""
    if not arguments.name:
        for name, entry in FORMULAS.items():
            print(f"{name:22} {entry.text}")
        print(runnable("Inputs of one: diagnose calc NAME"))
        print(runnable("With values: diagnose calc sag mass='80 kg' ..."))
        return 0
    entry = formula(arguments.name)
    texts = dict(_pair(text) for text in arguments.values)
    if not texts and not all(wanted.optional for wanted in entry.inputs):
        if not sys.stdin.isatty() or arguments.json:
            _list_inputs(entry)
            return 0
        texts = _ask(entry)
    _show(entry.name, texts, arguments.json)
    return 0


def _pair(text: str) -> tuple[str, str]:
    name, equals, value = text.partition("=")
    if not equals:
        raise UsageError(f"'{text}' is no input.", next_step="Write name='value unit'.")
    return name.strip(), value.strip()


def _list_inputs(entry: Formula) -> None:
    print(f"{entry.name}: {entry.text}")
    for item in entry.inputs:
        kind = KINDS[item.kind]
        note = f" (else {_otherwise(item)})" if item.optional else ""
        span = f"{kind.floor:g} to {kind.ceiling:g} {kind.unit}".removesuffix(" 1")
        print(f"  {item.name:22} {item.text} [{item.wanted_unit}]{note}; {span}")
    print(f"from: {entry.source}")


def _otherwise(item: Input) -> str:
    """What is taken where an input is left out."""
    if item.typical:
        field = SHEET_FIELDS[item.sheet]
        return f"{field.typical:g} {field.unit}"
    return item.default or "left out"


def _ask(entry: Formula) -> dict[str, str]:
    """One line an input; empty takes the default."""
    print(f"{entry.name}: {entry.text}")
    texts = {}
    for item in entry.inputs:
        note = f", else {_otherwise(item)}" if item.optional else ""
        typed = input(f"{item.text} [{item.wanted_unit}{note}]: ").strip()
        if typed:
            texts[item.name] = typed
    return texts


def _show(name: str, texts: Mapping[str, str], as_json: bool) -> None:
    result = calculate(name, texts)
    if as_json:
        data = {
            "name": name,
            "values": [asdict(value) for value in result.values],
            "lines": list(result.lines),
            "assumed": list(result.assumptions),
            "questions": list(result.questions),
        }
        print(json.dumps(data, indent=2, ensure_ascii=False))
        return
    for line in result.lines:
        print(line)
    for text in result.assumptions:
        print(f"taken: {text}")
    for text in result.questions:
        print(f"? {text}")
    if result.picture is not None and sys.stdout.isatty():
        from diagnose.pictures.text import chart_text

        print(chart_text(result.picture))
