"""``diagnose calc NAME input='value unit' ...``: one bench calculation by itself."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Mapping

from diagnose.bench.calculation import Calculation
from diagnose.bench.calculations import CALCULATIONS, calculate
from diagnose.bench.kinds import KINDS
from diagnose.cli.context import Context
from diagnose.errors import InputError, UsageError
from diagnose.nearest import nearest


def calc_options(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("name", nargs="?", help="which; without it they are listed")
    sub.add_argument("values", nargs="*", metavar="input=value", help="such as before='165 psi'")
    sub.add_argument("--json", action="store_true", help="the result as JSON")


def calc(arguments: argparse.Namespace, context: Context) -> int:
    """Run the command; without a name it lists what can be calculated."""
    if not arguments.name:
        for name, entry in CALCULATIONS.items():
            print(f"{name:14} {entry.text}")
        print("Inputs of one: diagnose calc NAME. With values: diagnose calc sag mass='80 kg' ...")
        return 0
    if arguments.name not in CALCULATIONS:
        raise InputError(
            f"there is no calculation '{arguments.name}'.",
            next_step=nearest(arguments.name, CALCULATIONS),
        )
    entry = CALCULATIONS[arguments.name]
    texts = dict(_pair(text) for text in arguments.values)
    if not texts and any(i.default is None for i in entry.inputs):
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


def _list_inputs(entry: Calculation) -> None:
    print(f"{entry.name}: {entry.text}")
    for item in entry.inputs:
        note = "" if item.default is None else f" (else {item.default or 'left out'})"
        print(f"  {item.name:22} {item.text} [{KINDS[item.kind].unit}]{note}")


def _ask(entry: Calculation) -> dict[str, str]:
    """One line an input; empty takes the default."""
    print(f"{entry.name}: {entry.text}")
    texts = {}
    for item in entry.inputs:
        note = "" if item.default is None else f", else {item.default or 'left out'}"
        typed = input(f"{item.text} [{KINDS[item.kind].unit}{note}]: ").strip()
        if typed:
            texts[item.name] = typed
    return texts


def _show(name: str, texts: Mapping[str, str], as_json: bool) -> None:
    result = calculate(name, texts)
    if as_json:
        data = {
            "name": name,
            "values": [{"name": v.name, "value": v.value, "unit": v.unit} for v in result.values],
            "lines": list(result.lines),
            "assumed": list(result.assumed),
            "questions": list(result.questions),
        }
        print(json.dumps(data, indent=2, ensure_ascii=False))
        return
    for line in result.lines:
        print(line)
    for text in result.assumed:
        print(f"taken: {text}")
    for text in result.questions:
        print(f"? {text}")
    if result.picture is not None and sys.stdout.isatty():
        from diagnose.pictures.text import chart_text

        print(chart_text(result.picture))
