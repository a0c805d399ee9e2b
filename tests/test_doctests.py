"""Every example in a docstring is run; a formula of the bench has one, and names its source."""

from __future__ import annotations

import doctest
import importlib
import inspect
import pkgutil

import pytest

import diagnose

MODULES = [
    entry.name
    for entry in pkgutil.walk_packages(diagnose.__path__, "diagnose.")
    # Importing it would run the program.
    if not entry.name.endswith("__main__")
]


@pytest.mark.parametrize("name", MODULES)
def test_examples_are_true(name: str) -> None:
    assert doctest.testmod(importlib.import_module(name)).failed == 0


def test_examples_are_found_in_many_rooms() -> None:
    """A walk that finds nothing would pass."""
    finder = doctest.DocTestFinder(exclude_empty=True)
    rooms = {
        name.split(".")[1]
        for name in MODULES
        if any(test.examples for test in finder.find(importlib.import_module(name)))
    }
    assert {"bench", "pictures"} < rooms


# Formulas with an example each: a public function without one is not finished.
FORMULAS = (
    "gas",
    "leak",
    "charge",
    "air_spring",
    "stored_energy",
    "oil",
    "torque",
    "seals",
    "setup",
)


@pytest.mark.parametrize("name", FORMULAS)
def test_each_formula_states_source_and_example(name: str) -> None:
    module = importlib.import_module(f"diagnose.bench.{name}")
    bare = {"require_positive", "bisect", "circle_area", "reextension"}
    for public in set(module.__all__) - bare:
        entry = getattr(module, public)
        if inspect.isfunction(entry):
            text = entry.__doc__ or ""
            assert "Source:" in text, f"{name}.{public}: name the source"
            assert ">>>" in text, f"{name}.{public}: give an example"
