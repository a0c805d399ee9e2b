"""Make one model of hearing from several that were trained from the same start.

    python -P tests/hearing/average.py OUT.npz A.npz B.npz..

Weights that were tuned from the same start by the same recipe lie in one valley: their mean hears
mostly better than either, and costs nothing more to hear with. What the mean tells of itself
(findings, pieces, temperature) is that of the first; the others must agree with it.

Source: Wortsman et al. 2022, *Model soups: averaging weights of multiple fine-tuned models improves
accuracy without increasing inference time*, ICML (from memory).
"""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

Arrays = dict[str, npt.NDArray[Any]]

#: what must be the same in all, or the numbers stand for different things
_SHARED = ("findings", "vocabulary", "temperature", "layers")


def averaged(models: Sequence[Arrays]) -> Arrays:
    """The mean of models as `train.stored` writes them.

    Raises
    ------
    ValueError : they do not hear the same findings by the same pieces.
    """
    told = [json.loads(bytes(model["about"])) for model in models]
    for name in _SHARED:
        if any(other[name] != told[0][name] for other in told):
            raise ValueError(f"the models differ in {name}: their mean would mean nothing")
    mean: Arrays = {"about": models[0]["about"]}
    for name, first in models[0].items():
        if first.dtype == np.int8:
            scaled = [m[name] * m[f"{name}.scale"].astype(np.float32)[:, None] for m in models]
            whole = np.mean(scaled, axis=0)
            scale = np.maximum(np.abs(whole).max(axis=1) / 127.0, 1e-7).astype(np.float16)
            parts = np.round(whole / scale.astype(np.float32)[:, None])
            mean[name] = np.clip(parts, -127, 127).astype(np.int8)
            mean[f"{name}.scale"] = scale
        elif first.dtype == np.float16 and not name.endswith(".scale"):
            whole = np.mean([m[name].astype(np.float32) for m in models], axis=0)
            mean[name] = whole.astype(np.float16)
    return mean


def main() -> None:
    out, *paths = map(Path, sys.argv[1:])
    np.savez(out, **averaged([dict(np.load(path)) for path in paths]))


if __name__ == "__main__":
    main()
