"""The recogniser from a file, where knowledge and program are those that wrote it.

Rules
-----
- The file lies in the shop's own folder, which only its owner may enter; nothing else is read.
- It is believed only under the fingerprint of the knowledge and of this room's code; anything odd
  about it means building the recogniser anew.
"""

from __future__ import annotations

import contextlib
import hashlib
import pickle
from pathlib import Path

from diagnose.atomic import write_whole
from diagnose.complaint.recogniser import Recogniser
from diagnose.knowledge.loader import Knowledge

__all__ = ["load_recogniser"]

_FOLDER = Path(__file__).resolve().parent


def load_recogniser(knowledge: Knowledge, cache: Path | None) -> Recogniser:
    """A recogniser for this knowledge, from the cache where it fits.

    Parameters
    ----------
    cache : folder for the cache, or None for none.
    """
    if cache is None:
        return Recogniser(knowledge)
    path = cache / f"words-{knowledge.fingerprint}-{_code()}.bin"
    with contextlib.suppress(Exception):
        # A damaged file can raise anything while it is read.
        found = pickle.loads(path.read_bytes())
        if isinstance(found, Recogniser):
            return found
    made = Recogniser(knowledge)
    with contextlib.suppress(OSError):
        _write(path, pickle.dumps(made, protocol=pickle.HIGHEST_PROTOCOL))
    return made


def _code() -> str:
    digest = hashlib.sha256()
    for path in sorted(_FOLDER.glob("*.py")):
        digest.update(path.read_bytes())
    return digest.hexdigest()[:12]


def _write(path: Path, data: bytes) -> None:
    """Write it; older files of the kind go."""
    write_whole(path, data)
    for old in path.parent.glob("words-*.bin"):
        if old != path:
            old.unlink(missing_ok=True)
