"""The whole program in a terminal of its own: begun, left, killed, resumed, squeezed, hung up."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import pexpect
import pyte
import pytest

from diagnose.job.events import Event
from diagnose.job.state import fold
from diagnose.records.places import open_store

TOP = Path(__file__).resolve().parents[2]
WORDS = "loses air overnight"
#: the guard against bounced keys, and a little
MEANT = 0.3
#: seconds after which something that does not come never will
PATIENCE = 60.0

Start = Callable[..., "Terminal"]


class Terminal:
    """The program in a terminal that is drawn, as only what stands on the screen can be read."""

    def __init__(
        self, arguments: Sequence[str], env: dict[str, str], size: tuple[int, int]
    ) -> None:
        self.screen = pyte.HistoryScreen(*size, history=2000)
        self._stream = pyte.Stream(self.screen)
        self.child = pexpect.spawn(
            sys.executable,
            ["-m", "diagnose", *arguments, "--store", env["STORE"]],
            cwd=str(TOP),
            env=env,
            dimensions=(size[1], size[0]),
            encoding="utf-8",
        )

    @property
    def text(self) -> str:
        """All that is and was on the screen, each line once, wrapped lines joined."""
        above = [
            "".join(line[x].data for x in range(self.screen.columns))
            for line in self.screen.history.top
        ]
        return " ".join(" ".join([*above, *self.screen.display]).split())

    def until(self, words: str) -> None:
        """Read until these words stand there."""
        end = time.monotonic() + PATIENCE
        while words not in self.text:
            assert time.monotonic() < end, f"waited for {words!r}:\n" + "\n".join(
                self.screen.display
            )
            if not self._read():
                assert words in self.text, f"ended without {words!r}: {self.text[-500:]}"

    def _read(self) -> bool:
        try:
            self._stream.feed(self.child.read_nonblocking(4096, timeout=0.2))
        except pexpect.TIMEOUT:
            return True
        except pexpect.EOF:
            return False
        return True

    def press(self, keys: str) -> None:
        """Keys as a person presses them: after the question was there for a moment."""
        end = time.monotonic() + MEANT
        while time.monotonic() < end and self._read():
            pass
        self.child.send(keys)

    def say(self, words: str = WORDS) -> None:
        """The complaint, until the first question."""
        self.until("own words")
        self.child.send(words + "\r")
        self.look()

    def look(self) -> None:
        """There is no more to say, and nobody can say what it has: to the look."""
        self.until("Anything else it does")
        self.press("\r")
        self.until("What has it?")
        self.press("0")
        self.until("Look at five places")

    def ended(self) -> int | None:
        """Exit status, once it has ended; it fails loudly where a prompt still waits."""
        begin = time.monotonic()
        while self._read():
            assert time.monotonic() - begin < PATIENCE, "\n".join(self.screen.display)
        self.child.close()
        return int(self.child.exitstatus) if self.child.exitstatus is not None else None


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One folder for all, so that knowledge is read once."""
    return tmp_path_factory.mktemp("home")


@pytest.fixture
def env(home: Path, tmp_path: Path) -> dict[str, str]:
    store = str(tmp_path / "jobs.sqlite")
    # The size is the pseudo-terminal's, whatever the terminal of the test run was.
    own = {k: v for k, v in os.environ.items() if k not in ("COLUMNS", "LINES")}
    return {**own, "TERM": "xterm", "DIAGNOSE_HOME": str(home), "STORE": store}


@pytest.fixture
def start(env: dict[str, str]) -> Iterator[Start]:
    begun: list[Terminal] = []

    def begin(*arguments: str, size: tuple[int, int] = (80, 24)) -> Terminal:
        begun.append(Terminal(arguments, env, size))
        return begun[-1]

    yield begin
    for terminal in begun:
        terminal.child.close(force=True)


def events_of(env: dict[str, str]) -> list[Event]:
    """Events of the one job there is."""
    with open_store(env["STORE"]) as store:
        (row,) = store.find()
        return store.load(row.job)


def test_a_whole_counter_job_takes_fewer_than_twenty_keys(
    start: Start, env: dict[str, str]
) -> None:
    terminal = start("counter", "--person", "AB")
    terminal.say()
    keys = 0
    while keys < 20 and "is saved" not in terminal.text:
        over = re.findall(r"(\d) Hand it over", "\n".join(terminal.screen.display))
        terminal.press(over[-1] if over else "1")
        keys += 1
        terminal.press("")
        if "Keys, then" in "\n".join(terminal.screen.display):
            terminal.press("\r")
            keys += 1
            terminal.press("")
    assert terminal.ended() == 0 and keys < 20
    job = fold(events_of(env))
    assert job.at == "bench" and job.complaint == WORDS and job.last_judged is not None


def test_a_killed_program_has_lost_nothing_and_the_job_goes_on(
    start: Start, env: dict[str, str]
) -> None:
    terminal = start("counter")
    terminal.say()
    terminal.press("2")
    terminal.until("Anything else at the five places?")
    os.kill(terminal.child.pid, signal.SIGKILL)
    terminal.ended()
    assert [event.kind for event in events_of(env)][-1] == "answered"
    with open_store(env["STORE"]) as store:
        (row,) = store.find()
    again = start("counter", row.job)
    again.until("Anything else at the five places?")
    again.press("q")
    again.until(f"diagnose counter {row.job}")
    assert again.ended() == 0


@pytest.mark.parametrize(("size", "below"), [((40, 15), ""), ((30, 10), "9")])
def test_a_narrow_screen_is_turned_by_pages_until_the_answer_counts(
    size: tuple[int, int], below: str, start: Start
) -> None:
    terminal = start("counter", size=size)
    terminal.say()
    terminal.until("page 1/")
    if below:
        terminal.press(below)
        terminal.until(f"{below} not shown yet")
    terminal.press("\r")
    terminal.until("page 2/")
    terminal.press("q")
    terminal.until("is saved")
    assert terminal.ended() == 0


@pytest.mark.parametrize(("number", "status"), [(signal.SIGTERM, 143), (signal.SIGHUP, 129)])
def test_a_signal_saves_and_says_where(
    number: int, status: int, start: Start, env: dict[str, str]
) -> None:
    terminal = start("counter")
    terminal.say()
    terminal.press("")
    os.kill(terminal.child.pid, number)
    assert terminal.ended() == status
    assert "is saved" in terminal.text
    assert [event.kind for event in events_of(env)][:2] == ["opened", "complained"]


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="looks into /proc")
def test_wrong_keys_are_named_a_stop_goes_on_and_control_c_saves(start: Start) -> None:
    terminal = start("counter")
    terminal.until("own words")
    terminal.child.send(WORDS + "\r555")
    terminal.look()
    assert "555" not in terminal.text, "keys pressed meanwhile are not printed by the terminal"
    terminal.press("x")
    terminal.until("'x' does nothing here")
    terminal.press("\r")
    terminal.until("Enter answers nothing")
    terminal.press("\x1a")
    end = time.monotonic() + PATIENCE
    while _state(terminal.child.pid) != "T" and time.monotonic() < end:
        terminal.press("")
    os.kill(terminal.child.pid, signal.SIGCONT)
    terminal.press("h")
    terminal.until("Why: Look at five places")
    terminal.press("\x03")
    terminal.until("is saved")
    assert terminal.ended() == 130


def _state(pid: int) -> str:
    return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]


def run(env: dict[str, str], *arguments: str, typed: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "diagnose", *arguments, "--store", env["STORE"]],
        cwd=TOP,
        env={**env, "TERM": "dumb"},
        input=typed,
        capture_output=True,
        text=True,
        timeout=60,
    )


def test_without_a_terminal_lines_go_in_and_out(env: dict[str, str]) -> None:
    done = run(env, "counter", typed=f"{WORDS}\n\n0\n1\n")
    assert done.returncode == 0 and not done.stderr
    assert "\x1b" not in done.stdout and "Noted: All well" in done.stdout
    assert "diagnose counter" in done.stdout


def test_a_reader_that_goes_away_ends_the_talk_without_a_traceback(env: dict[str, str]) -> None:
    child = subprocess.Popen(
        [sys.executable, "-m", "diagnose", "counter", "--store", env["STORE"]],
        cwd=TOP,
        env={**env, "TERM": "dumb"},
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert child.stdin is not None and child.stdout is not None and child.stderr is not None
    child.stdout.readline()
    child.stdout.close()
    child.stdin.write(f"{WORDS}\n\n0\n1\n")
    child.stdin.close()
    said = child.stderr.read()
    child.stderr.close()
    assert child.wait(timeout=60) in (1, 141) and "Traceback" not in said


def test_the_bench_names_its_job_and_asks_for_the_tag_after_another_one(
    start: Start, env: dict[str, str]
) -> None:
    for words in (WORDS, "it knocks over the last jump"):
        run(env, "counter", "--person", "AB", typed=f"{words}\n")
    with open_store(env["STORE"]) as store:
        first = min(row.job for row in store.find())
    terminal = start("bench", first, "--person", "AB")
    terminal.until(f"{first}, tag {first[-2:]} | shock not measured | gas: air, negative, charge")
    for _ in range(20):
        shown = "\n".join(terminal.screen.display)
        keys = re.findall(r"(\d) Read and understood", shown)
        asked = "\r" if "Enter: next" in shown or "leave it out" in shown else "0"
        terminal.press("165\r" if "as found, nothing" in shown else keys[-1] if keys else asked)
        terminal.press("")
        if "Last two digits" in terminal.text:
            break
    terminal.until("Last two digits on the tag of this shock?")
    terminal.press("99\r")
    terminal.until("this is not the tag of the job on the screen")
    terminal.until("Enter: 165 psi")
    terminal.press("q\r")
    assert terminal.ended() == 0
