"""Rights at the real bench, signed by a trainer: one table in the shop's folder, read by the gate.

Rules
-----
- The file is a table with a line for each signature, so that a foreman can read it in a
  spreadsheet; lines are added, and only erasing a person takes any away.
- A right holds from its signature until one that takes it away.
- No score signs anything, and nobody signs for themselves.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Collection, Iterable, Sequence
from dataclasses import astuple, dataclass
from pathlib import Path

from diagnose.atomic import write_whole
from diagnose.errors import InputError, Problem, StoreError
from diagnose.job.gate import Roles

__all__ = ["RIGHTS_FILE", "Signature", "erase", "held", "read", "sign"]

#: name of the file inside the shop's folder
RIGHTS_FILE = "rights.csv"

_HEAD = ("who", "right", "deed", "by", "time")
_DEEDS = ("given", "taken")


@dataclass(frozen=True)
class Signature:
    """One line. ``deed``: ``given`` or ``taken``. ``time``: ISO 8601 with offset."""

    who: str
    right: str
    deed: str
    by: str
    time: str


def read(folder: Path, rights: Iterable[str], problems: list[Problem]) -> list[Signature]:
    """All signatures, in order; lines that are wrong go to ``problems`` and give no right.

    Parameters
    ----------
    rights : those that there are.
    """
    path = folder / RIGHTS_FILE
    if not path.exists():
        return []
    try:
        text = path.read_text("utf-8")
    except (OSError, ValueError) as fault:
        problems.append(Problem(str(path), 1, f"cannot be read: {fault}."))
        return []
    found, known = [], frozenset(rights)
    for number, row in enumerate(csv.reader(io.StringIO(text)), 1):
        if number == 1 or not row:
            continue
        what = _wrong(row, known)
        if what:
            hint = f"A line is: {', '.join(_HEAD)}."
            problems.append(Problem(str(path), number, what, hint))
        else:
            found.append(Signature(*row))
    return found


def _wrong(row: Sequence[str], rights: Collection[str]) -> str:
    if len(row) != len(_HEAD):
        return f"{len(row)} fields instead of {len(_HEAD)}."
    if row[1] not in rights:
        return f"'{row[1][:20]}' is no right."
    return "" if row[2] in _DEEDS else f"'{row[2][:20]}' is neither given nor taken."


def held(signatures: Iterable[Signature]) -> dict[str, dict[str, Signature]]:
    """Initials -> right -> the signature that gives it, as it stands after all lines."""
    standing: dict[str, dict[str, Signature]] = {}
    for one in signatures:
        rights = standing.setdefault(one.who, {})
        if one.deed == "given":
            rights[one.right] = one
        else:
            rights.pop(one.right, None)
    return {who: rights for who, rights in standing.items() if rights}


def sign(folder: Path, signature: Signature, roles: Roles, rights: Collection[str]) -> None:
    """Add a signature.

    Parameters
    ----------
    roles : who may do what at the shop now; where nobody is listed, anybody else may sign.
    rights : those that there are.

    Raises
    ------
    InputError : no such right, nobody named or oneself, or somebody who may not sign it; names who
    may. StoreError : it cannot be written.
    """
    who, right, by = signature.who, signature.right, signature.by
    if right not in rights:
        raise InputError(f"'{right[:20]}' is no right.", next_step=f"Rights: {', '.join(rights)}.")
    if not re.fullmatch(r"[A-Za-z0-9]{1,8}", who):
        raise InputError(f"'{who[:20]}' are no initials.", next_step="Use one to eight letters.")
    if not by or by == who:
        raise InputError(
            "a right is given by a trainer, not by oneself.",
            next_step="Give the trainer's initials: --trainer XY.",
        )
    if not roles.may_sign(by, right):
        able = sorted(p for p in roles.people if p != who and roles.may_sign(p, right))
        follow = f"May sign it: {', '.join(able)}." if able else "Nobody at this shop may sign it."
        raise InputError(
            f"'{by[:20]}' may not sign '{right}': that takes the right itself and 'supervise'.",
            next_step=follow,
        )
    _write(folder, [*_rows(folder), astuple(signature)])


def erase(folder: Path, who: str) -> bool:
    """Remove every signature for somebody; whether there was one.

    Raises
    ------
    StoreError : it cannot be written.
    """
    rows = _rows(folder)
    left = [row for row in rows if row[:1] != (who,)]
    if len(left) == len(rows):
        return False
    _write(folder, left)
    return True


def _rows(folder: Path) -> list[tuple[str, ...]]:
    path = folder / RIGHTS_FILE
    if not path.exists():
        return []
    with path.open("r", encoding="utf-8", newline="") as file:
        return [tuple(row) for row in csv.reader(file)][1:]


def _write(folder: Path, rows: Sequence[tuple[str, ...]]) -> None:
    path = folder / RIGHTS_FILE
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows([_HEAD, *rows])
    try:
        write_whole(path, text.getvalue())
    except OSError as fault:
        raise StoreError(
            f"the right cannot be written: {fault.strerror}.",
            where=str(path),
            next_step="Free some space, or name another folder in DIAGNOSE_HOME.",
        ) from fault
