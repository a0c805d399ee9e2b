"""Where knowledge and cases lie, and the cached load of a pack.

Rules
-----
- Data root: option > checkout beside the package > the package's own data (in a wheel).
- The cache holds cards that passed every check, under the fingerprint of their files and the
  version of this program; anything odd about it means reading the files again.
"""

from __future__ import annotations

import contextlib
import hashlib
from pathlib import Path

import diagnose
from diagnose.atomic import write_whole
from diagnose.errors import InputError
from diagnose.knowledge.loader import DEFAULT_PACK, Knowledge, fingerprint, load, pack_names

__all__ = ["cases_root", "knowledge_root", "load_cached", "require_pack"]

_PACKAGE = Path(diagnose.__file__).resolve().parent


def knowledge_root(option: str | None = None) -> Path:
    """Folder of the knowledge.

    Raises
    ------
    InputError : the folder named by the option is not there.
    """
    return _root("knowledge", option)


def cases_root(option: str | None = None) -> Path:
    """Folder of the cases."""
    return _root("cases", option)


def _root(name: str, option: str | None) -> Path:
    if option:
        path = Path(option)
        if not path.is_dir():
            raise InputError(
                f"there is no folder '{option}'.", where=f"--{name}", next_step="Name a folder."
            )
        return path.resolve()
    for candidate in (_PACKAGE.parent / name, _PACKAGE / "_data" / name):
        if candidate.is_dir():
            return candidate
    raise InputError(
        f"the {name} files are missing.", next_step="Install the program again, or check it out."
    )


def require_pack(root: Path, pack: str) -> None:
    """Say at once that there is no such pack, before anybody has told a story.

    Raises
    ------
    InputError : names the packs that there are.
    """
    names = pack_names(root)
    if pack not in names:
        raise InputError(
            f"there is no pack '{pack}'.", where="--pack", next_step=f"Packs: {', '.join(names)}."
        )


def load_cached(root: Path, cache: Path | None, pack: str = DEFAULT_PACK) -> Knowledge:
    """Knowledge that passed all checks, from the cache where its fingerprint fits.

    Parameters
    ----------
    cache : folder for the cache, or None for none.

    Raises
    ------
    KnowledgeError : with every problem.
    """
    if cache is None:
        return load(root, pack)
    print_now = fingerprint(root, pack)
    version = hashlib.sha256(_code()).hexdigest()[:12]
    path = cache / f"{pack}-{print_now}-{version}.json"
    with contextlib.suppress(OSError, ValueError):
        knowledge = Knowledge.model_validate_json(path.read_bytes())
        if knowledge.fingerprint == print_now:
            return knowledge
    knowledge = load(root, pack)
    with contextlib.suppress(OSError):
        _write(path, knowledge.model_dump_json().encode())
    return knowledge


def _code() -> bytes:
    """What decides how cards are read: a cache of another program version is not believed."""
    folder = Path(__file__).resolve().parent
    names = ("blocks.py", "card.py", "device.py", "drawing.py", "models.py", "loader.py")
    parts = (*(folder / name for name in names), *(folder / "cross_checks").glob("*.py"))
    return b"".join(path.read_bytes() for path in sorted(parts))


def _write(path: Path, data: bytes) -> None:
    """Write it; older caches of the pack go."""
    write_whole(path, data)
    pack = path.name.rsplit("-", 2)[0]
    for old in path.parent.glob(f"{pack}-*.json"):
        if old != path:
            old.unlink(missing_ok=True)
