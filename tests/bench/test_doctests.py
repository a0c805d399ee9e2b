"""The examples in the docstrings of the bench are true."""

from __future__ import annotations

import doctest
import importlib
import inspect
import pkgutil

import pytest

import diagnose.bench

MODULES = [entry.name for entry in pkgutil.iter_modules(diagnose.bench.__path__)]


@pytest.mark.parametrize("name", MODULES)
def test_examples_are_true(name: str) -> None:
    module = importlib.import_module(f"diagnose.bench.{name}")
    assert doctest.testmod(module).failed == 0


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
