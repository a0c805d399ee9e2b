"""A mean of models: of one with itself it is the same, and of two unlike ones there is none."""

from __future__ import annotations

import json
from typing import Any

import numpy as np
import pytest

from tests.hearing.average import averaged


def model(step: float, words: tuple[str, ...] = ("a", "b")) -> dict[str, Any]:
    about = {"findings": [], "vocabulary": words, "temperature": 1.0, "layers": 1}
    table = np.array([[127, -64], [1, 127]], dtype=np.int8)
    return {
        "about": np.frombuffer(json.dumps(about).encode(), dtype=np.uint8),
        "word": table,
        "word.scale": np.array([step, 2.0 * step], dtype=np.float16),
        "bias": np.array([step, 0.0], dtype=np.float16),
    }


def test_of_one_it_is_the_same() -> None:
    same = averaged([model(0.5), model(0.5)])
    for name, array in model(0.5).items():
        assert same[name] == pytest.approx(array)


def test_it_lies_between() -> None:
    mean = averaged([model(0.25), model(0.75)])
    assert mean["bias"] == pytest.approx([0.5, 0.0])
    whole = mean["word"] * mean["word.scale"].astype(float)[:, None]
    assert whole == pytest.approx(np.array([[63.5, -32.0], [1.0, 127.0]]), abs=0.6)


def test_unlike_ones_have_no_mean() -> None:
    with pytest.raises(ValueError, match="vocabulary"):
        averaged([model(0.5), model(0.5, ("a", "c"))])
