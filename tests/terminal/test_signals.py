"""Signals in a real terminal: the status is right and the terminal is as it was.

Reaches terminal.quiet too.
"""

from __future__ import annotations

import os
import re
import signal
import sys
import termios
import time
from collections.abc import Callable
from pathlib import Path

import pexpect
import pytest

TOP = Path(__file__).resolve().parents[2]

SCRIPT = """
import sys
from diagnose.terminal.door import Block, Interrupted, Left, Screen, Settings
from diagnose.terminal.opening import open_door
from diagnose.terminal.signals import Signals
lines = lambda width: [Block(((("WARNING", "1 Yes"),),), frozenset("1"))]
with Signals() as signals:
    settings = Settings(plain="plain" in sys.argv, colour="mono" not in sys.argv, guard=0.0)
    door = open_door(settings, signals)
    try:
        press = door.key(Screen(lines, ("1",), ("leave", "menu")))
        print("answer", press.name)
    except Left:
        print("left")
    except Interrupted as reason:
        sys.exit(reason.status)
"""


@pytest.fixture
def start() -> Callable[..., pexpect.spawn]:
    def begin(*arguments: str) -> pexpect.spawn:
        child = pexpect.spawn(
            sys.executable,
            ["-c", SCRIPT, *arguments],
            cwd=str(TOP),
            env={**os.environ, "TERM": "xterm"},
            timeout=30,
        )
        child.expect("menu")
        time.sleep(0.2)
        return child

    return begin


def cooked(child: pexpect.spawn) -> bool:
    """Whether the terminal echoes and edits lines, as a shell expects."""
    wanted = termios.ECHO | termios.ICANON
    return termios.tcgetattr(child.child_fd)[3] & wanted == wanted


def ended(child: pexpect.spawn) -> int | None:
    child.expect(pexpect.EOF)
    child.wait()
    return child.exitstatus


@pytest.mark.parametrize(
    ("number", "status"), [(signal.SIGINT, 130), (signal.SIGTERM, 143), (signal.SIGHUP, 129)]
)
@pytest.mark.parametrize("mode", ["screen", "plain"])
def test_a_signal_ends_with_its_status(
    number: int, status: int, mode: str, start: Callable[..., pexpect.spawn]
) -> None:
    child = start(mode)
    os.kill(child.pid, number)
    assert ended(child) == status


def test_control_c_ends_with_130_and_the_terminal_as_it_was(
    start: Callable[..., pexpect.spawn],
) -> None:
    child = start("screen")
    assert not cooked(child)
    before = child.child_fd
    child.send("\x03")
    child.expect(r"\x1b\[\?2004l")
    time.sleep(0.2)
    assert cooked(child) and before == child.child_fd
    assert ended(child) == 130


def state(pid: int) -> str:
    return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="looks into /proc")
def test_a_suspended_question_goes_on_where_it_was(start: Callable[..., pexpect.spawn]) -> None:
    child = start("screen")
    child.send("\x1a")
    for _ in range(100):
        if state(child.pid) == "T":
            break
        time.sleep(0.05)
    assert state(child.pid) == "T" and cooked(child)
    os.kill(child.pid, signal.SIGCONT)
    child.expect("menu")
    assert not cooked(child)
    child.send("1")
    child.expect("answer 1")
    assert ended(child) == 0


def test_a_lost_terminal_ends_the_talk(start: Callable[..., pexpect.spawn]) -> None:
    child = start("screen")
    child.close(force=False)
    assert not child.isalive()


def test_end_of_input_leaves(start: Callable[..., pexpect.spawn]) -> None:
    child = start("plain")
    child.sendeof()
    child.expect("left")
    assert ended(child) == 0


@pytest.mark.parametrize(("mode", "coloured"), [("screen", True), ("mono", False)])
def test_colour_is_left_out_on_request(
    mode: str, coloured: bool, start: Callable[..., pexpect.spawn]
) -> None:
    child = start(mode)
    drawn = child.before.decode()
    child.send("1")
    ended(child)
    assert bool(re.search(r"\x1b\[[0-9;]*[34]8?[0-9;]*m", drawn)) == coloured
    assert "1 Yes" in drawn
