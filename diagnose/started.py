"""How the program was started, and its commands as they run from where the person stands.

Rules
-----
- Texts name a command as ``diagnose COMMAND``, with JOB for the job in hand; the doors to a person
  say it as it runs. What another program or another desk reads keeps the plain form.
"""

from __future__ import annotations

import os
import re
import shlex
import shutil
import sys
from pathlib import Path

from diagnose.bootstrap import STARTED, as_typed

__all__ = ["COMMANDS", "runnable", "started"]

#: what a command begins with
COMMANDS = (
    "assess",
    "bench",
    "calc",
    "completion",
    "counter",
    "jobs",
    "knowledge",
    "schema",
    "sheet",
    "shop",
    "train",
)

_COMMAND = re.compile(rf"\bdiagnose (?=(?:{'|'.join(COMMANDS)}|--help)\b)")


def started() -> str:
    """What starts the program here, quoted for a shell; ``diagnose`` where it is on the path, or
    where something else started us.
    """
    handed = os.environ.get(STARTED, "")
    if handed:
        return shlex.join(handed.split("\x1f"))
    program = Path(sys.argv[0])
    if program.name == "__main__.py" and program.parent.name == "diagnose":
        return shlex.join(as_typed())
    if program.name != "diagnose" or not program.is_file():
        return "diagnose"
    found = shutil.which("diagnose")
    if found and Path(found).resolve() == program.resolve():
        return "diagnose"
    return shlex.quote(str(program))


def runnable(text: str, job: str = "") -> str:
    """A text with its commands as they run here; ``job``: the one in hand.

    >>> runnable("Ask: diagnose jobs approve JOB.", "1129-01")
    'Ask: diagnose jobs approve 1129-01.'
    """
    if "diagnose " not in text:
        return text
    if job:
        text = re.sub(r"(\bdiagnose (?:jobs \w+|bench|counter) )JOB\b", rf"\g<1>{job}", text)
    start = started()
    return _COMMAND.sub(lambda _: f"{start} ", text)
