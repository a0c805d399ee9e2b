"""The examples in the docstrings of the pictures are true."""

from __future__ import annotations

import doctest
import importlib
import pkgutil

import pytest

import diagnose.pictures

MODULES = [entry.name for entry in pkgutil.iter_modules(diagnose.pictures.__path__)]


@pytest.mark.parametrize("name", MODULES)
def test_examples_are_true(name: str) -> None:
    module = importlib.import_module(f"diagnose.pictures.{name}")
    assert doctest.testmod(module).failed == 0
