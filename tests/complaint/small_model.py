"""A model of hearing small enough to write out: twelve numbers a piece, eight words."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

__all__ = ["VOCABULARY", "small_about", "small_arrays", "write_small"]

VOCABULARY = ["[PAD]", "[UNK]", "[CLS]", "[SEP]", "hot", "cold", "drips", "."]
_SIZE, _INNER = 12, 20


def small_arrays(layers: int = 2, places: int = 10) -> dict[str, npt.NDArray[Any]]:
    """Arrays of an encoder with seeded weights; texts have up to ``places`` pieces."""
    chance = np.random.default_rng(4)
    stored: dict[str, npt.NDArray[Any]] = {
        "word": chance.integers(-127, 128, (len(VOCABULARY), _SIZE), np.int8),
        "word.scale": np.full(len(VOCABULARY), 0.01, np.float16),
        "pos": chance.normal(0, 0.3, (places, _SIZE)).astype(np.float16),
        "ln.weight": np.ones(_SIZE, np.float16),
        "ln.bias": np.zeros(_SIZE, np.float16),
    }
    shapes = dict.fromkeys("qkvo", (_SIZE, _SIZE))
    shapes |= {"i": (_INNER, _SIZE), "d": (_SIZE, _INNER)}
    for layer in range(layers):
        for name, shape in shapes.items():
            whole = chance.integers(-127, 128, shape, np.int8)
            stored[f"{layer}.{name}.weight"] = whole
            stored[f"{layer}.{name}.weight.scale"] = np.full(shape[0], 0.004, np.float16)
            stored[f"{layer}.{name}.bias"] = chance.normal(0, 0.2, shape[0]).astype(np.float16)
        for name in ("ln1", "ln2"):
            stored[f"{layer}.{name}.weight"] = chance.normal(1, 0.1, _SIZE).astype(np.float16)
            stored[f"{layer}.{name}.bias"] = chance.normal(0, 0.1, _SIZE).astype(np.float16)
    stored["att.weight"] = chance.normal(0, 1, (2, _SIZE)).astype(np.float16)
    stored["att.bias"] = np.zeros(2, np.float16)
    stored["cls"] = chance.normal(0, 1, (5, _SIZE)).astype(np.float16)
    stored["bias"] = np.zeros(5, np.float16)
    return stored


def small_about(layers: int = 2) -> dict[str, Any]:
    """Labels of two findings, one of them of another pack."""
    return {
        "findings": [
            {"pack": "kettle", "finding": "heat", "states": ["hot", "lukewarm", "cold"]},
            {"pack": "other", "finding": "drips", "states": ["dry", "drips"]},
        ],
        "vocabulary": VOCABULARY,
        "temperature": 1.5,
        "layers": layers,
        "common": ["the"],
    }


def write_small(path: Path, **changes: Any) -> Path:
    """Write the model; ``changes`` replace fields of what it says about itself."""
    text = json.dumps(small_about() | changes)
    np.savez(path, about=np.frombuffer(text.encode(), np.uint8), **small_arrays())
    return path
