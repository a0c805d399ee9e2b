"""From a bare checkout to a running program: set up ``.venv`` once, then hand over to it.

Rules
-----
- Only the standard library, and on a warm start almost none of it: everything that a set-up alone
  needs is imported inside the function that needs it.
- A set-up is whole when its stamp says so. The stamp is removed first and written last, so whatever
  breaks in between is mended by the next start.
- One set-up at a time: a second start waits for the first and then finds the work done.
- The user reads one line, or one line more if it fails. Both go to standard error, so that output
  read by another program stays clean.
"""

from __future__ import annotations

import os
import sys

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import NoReturn

__all__ = [
    "KINDS",
    "STARTED",
    "SetUpError",
    "as_typed",
    "hand_over",
    "install",
    "is_ready",
    "report_gap",
    "set_up",
]

STARTED = "DIAGNOSE_STARTED"
"""Variable by which the set-up tells the program how it was started."""

KINDS: dict[str, tuple[str, ...]] = {
    "run": (),
    "tests": ("tests", "server"),
    "outside": ("tests", "server", "outside"),
}
"""Kinds of set-up, each holding the one before it, with the extras of pyproject.toml it adds."""

_OFFLINE_SIGNS = (
    "NewConnectionError",
    "Failed to establish a new connection",
    "NameResolutionError",
    "ConnectTimeoutError",
    "ProxyError",
    "Network is unreachable",
)


class SetUpError(Exception):
    """The set-up cannot be finished; the text says what to do."""


def as_typed() -> list[str]:
    """The words of the command line before its arguments: the interpreter, and what it runs."""
    return sys.orig_argv[: len(sys.orig_argv) - len(sys.argv) + 1]


def hand_over(top: str, kind: str, module: str, arguments: list[str]) -> NoReturn:
    """Make the set-up ready if it is not, then become ``python -m module`` inside it.

    Parameters
    ----------
    top : the checkout's folder, absolute.
    kind : a key of `KINDS`.
    module : what to run.
    arguments : its command line.
    """
    try:
        if not is_ready(top, kind):
            set_up(top, kind)
    except SetUpError as fault:
        print(f"diagnose: {fault}", file=sys.stderr)
        sys.exit(1)
    except OSError as fault:
        place = fault.filename or top
        print(
            f"diagnose: cannot set up: {place}: {fault.strerror}. "
            "Give this folder room and the right to write, then start again.",
            file=sys.stderr,
        )
        sys.exit(1)
    except KeyboardInterrupt:
        print("diagnose: set-up interrupted; the next start finishes it.", file=sys.stderr)
        sys.exit(130)
    python = _python(top)
    if sys.stdout is not None:  # closed for us: the program itself makes it whole
        sys.stdout.flush()
    # As typed, so that the commands it prints run from where the person stands (started.py).
    if module == "diagnose":
        os.environ[STARTED] = "\x1f".join(as_typed())
    # -P: neither the folder one stands in nor this one may hide a module of the same name.
    os.execv(python, [python, "-P", "-m", module, *arguments])


def is_ready(top: str, kind: str) -> bool:
    """Tell whether `.venv` holds at least this kind of set-up, whole and up to date."""
    held = _held_kind(top)
    order = list(KINDS)
    return held is not None and order.index(held) >= order.index(kind)


def set_up(top: str, kind: str) -> None:
    """Build `.venv`, or add to it, and stamp it.

    Raises
    ------
    SetUpError : this machine lacks something that the text names.
    OSError : the folder cannot be written.
    """
    import fcntl

    with open(os.path.join(top, ".venv.lock"), "w") as gate:
        try:
            fcntl.flock(gate, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            print("diagnose: waiting for another start to finish its set-up", file=sys.stderr)
            fcntl.flock(gate, fcntl.LOCK_EX)
        if not is_ready(top, kind):
            # pip holds the gate too: it stays shut while pip works on after our death.
            _build(top, kind, gate.fileno())


def install(
    python: str, requirements: list[str], *, constraints: str, keep_open: tuple[int, ...] = ()
) -> None:
    """Install into the environment of `python`, with this interpreter's pip, silently.

    Wheels come from the folder named in the environment variable DIAGNOSE_WHEELS if it is set,
    and then from nowhere else.

    Raises
    ------
    SetUpError : with pip's own words, or one sentence where the cause is known.
    """
    import subprocess

    # The base interpreter's pip works on the environment from outside: that is faster than giving
    # the environment a pip of its own, and some systems ship venv without the means to do so.
    command = [_base_python(), "-m", "pip", "--python", python, "install", "--quiet"]
    command += ["--no-input", "--disable-pip-version-check", "--retries", "2"]
    wheels = os.environ.get("DIAGNOSE_WHEELS")
    if wheels:
        if not os.path.isdir(wheels):
            raise SetUpError(f"DIAGNOSE_WHEELS names {wheels}, which is not a folder.")
        command += ["--no-index", "--find-links", os.path.abspath(wheels)]
    command += ["-c", constraints, *requirements]
    done = subprocess.run(
        command, capture_output=True, text=True, errors="replace", pass_fds=keep_open
    )
    if done.returncode:
        raise SetUpError(_reason(done.stderr))


def report_gap(top: str, gap: ModuleNotFoundError) -> NoReturn:
    """End a start that lacks a package: have the next one set up anew, and say so.

    A gap in the program's own modules is a fault of the program, and raised as it is.
    """
    if gap.name is None or gap.name.partition(".")[0] == "diagnose":
        raise gap
    if os.path.realpath(sys.prefix) == os.path.join(top, ".venv"):
        _forget(top)
        follow = "Start again: the set-up will mend itself."
    else:
        follow = f"Start with: python3 {os.path.join(top, 'diagnose')}"
    print(f"diagnose: the package {gap.name} is missing. {follow}", file=sys.stderr)
    sys.exit(1)


def _build(top: str, kind: str, gate: int) -> None:
    import venv

    held = _held_kind(top)
    place = os.path.join(top, ".venv")
    if held is None:
        print(f"Setting up {place} (once, about half a minute) ...", file=sys.stderr)
    else:
        print(f"Adding to {place} what '{kind}' needs (once) ...", file=sys.stderr)
    _forget(top)
    if held is None:
        venv.create(place, clear=True, symlinks=True, with_pip=False)
    try:
        install(
            _python(top),
            _requirements(top, kind),
            constraints=os.path.join(top, ".lock"),
            keep_open=(gate,),
        )
    except SetUpError:
        # What was whole before stays usable: a failed addition must not take the program away.
        if held is not None:
            _stamp(top, held)
        raise
    version = f"python{sys.version_info[0]}.{sys.version_info[1]}"
    link = os.path.join(place, "lib", version, "site-packages", "diagnose-checkout.pth")
    with open(link, "w", encoding="utf-8") as file:
        file.write(f"{top}\n")
    _stamp(top, kind)


def _requirements(top: str, kind: str) -> list[str]:
    import tomllib

    with open(os.path.join(top, "pyproject.toml"), "rb") as file:
        project = tomllib.load(file)["project"]
    wanted = list(project["dependencies"])
    for extra in KINDS[kind]:
        wanted += project["optional-dependencies"][extra]
    return wanted


def _reason(words: str) -> str:
    if "No module named pip" in words:
        return f"{_base_python()} has no pip. Install pip for it, then start again."
    if any(sign in words for sign in _OFFLINE_SIGNS):
        return (
            "the first start needs the network, and no package index answers: connect this "
            "machine once, or name a folder of wheels in DIAGNOSE_WHEELS, then start again."
        )
    return f"pip could not finish the set-up:\n{words.rstrip()}\nMend this, then start again."


def _held_kind(top: str) -> str | None:
    """The kind that the stamp vouches for; None if it vouches for nothing."""
    try:
        with open(_stamp_path(top), "rb") as file:
            first, _, rest = file.read().partition(b"\n")
    except OSError:
        return None
    kind = first.decode(errors="replace")
    whole = kind in KINDS and rest == _inputs(top) and os.path.exists(_python(top))
    return kind if whole else None


def _inputs(top: str) -> bytes:
    """All that a set-up depends on, word for word: cheaper to compare than to hash."""
    parts = [sys.version.split()[0].encode(), os.fsencode(top)]
    for name in ("pyproject.toml", ".lock"):
        with open(os.path.join(top, name), "rb") as file:
            parts.append(file.read())
    return b"\n".join(parts)


def _stamp(top: str, kind: str) -> None:
    fresh = _stamp_path(top) + ".new"
    with open(fresh, "wb") as file:
        file.write(kind.encode() + b"\n" + _inputs(top))
    os.replace(fresh, _stamp_path(top))


def _forget(top: str) -> None:
    from contextlib import suppress

    with suppress(FileNotFoundError):
        os.remove(_stamp_path(top))


def _stamp_path(top: str) -> str:
    return os.path.join(top, ".venv", "stamp")


def _python(top: str) -> str:
    return os.path.join(top, ".venv", "bin", "python")


def _base_python() -> str:
    # The interpreter behind an environment: the environment itself may have no pip.
    return getattr(sys, "_base_executable", "") or sys.executable
