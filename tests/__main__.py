"""The whole test run: ``python3 tests [--quick] [--long] [--outside] [pytest's own arguments]``.

Style, types, import contract, knowledge, then the tests. Every step runs, whatever the one before
it said; the exit status is 0 only if all of them passed.
"""

import importlib.util
import os
import sys
from pathlib import Path

TOP = Path(__file__).resolve().parents[1]

if not __package__:
    if sys.version_info < (3, 11):  # noqa: UP036 - an older one gets this far and needs the words
        sys.exit("diagnose: Python 3.11 or newer is needed; this is " + sys.version.split()[0])
    sys.path[:] = [entry for entry in sys.path if Path(entry).resolve() != TOP / "tests"]
    # By path: in a bare checkout the package may be imported from nowhere yet.
    spec = importlib.util.spec_from_file_location("bootstrap", TOP / "diagnose" / "bootstrap.py")
    assert spec is not None and spec.loader is not None
    bootstrap = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(bootstrap)
    kind = "outside" if "--outside" in sys.argv else "tests"
    bootstrap.hand_over(str(TOP), kind, "tests", sys.argv[1:])

import argparse
import subprocess
import time

import pytest
from xdist.scheduler import LoadScopeScheduling

#: seconds that the last whole run took here; minutes of one on two quiet cores
LAST = Path(sys.prefix) / "tests-last-seconds"
USUAL = 10.0

PYTHON = (sys.executable, "-P", "-m")
STEPS: dict[str, tuple[str, ...]] = {
    "style": (*PYTHON, "ruff", "check", "--quiet", "."),
    "format": (*PYTHON, "ruff", "format", "--check", "--quiet", "."),
    "types": (*PYTHON, "mypy", "--strict", "--no-error-summary", "-p", "diagnose"),
    "import contract": (str(Path(sys.executable).with_name("lint-imports")), "--no-cache"),
    "knowledge": (*PYTHON, "diagnose", "knowledge", "check"),
}


class EarlierSteps:
    """Lets pytest's closing lines name the steps that failed before it began."""

    def __init__(self, failed: list[str]) -> None:
        self.failed = failed

    def pytest_terminal_summary(self, terminalreporter: pytest.TerminalReporter) -> None:
        for name in self.failed:
            terminalreporter.write_line(f"FAILED before the tests: {name}", red=True)


class ByCase(LoadScopeScheduling):
    """All tests of one case go to one process, which plays it once; any other test goes alone."""

    def _split_scope(self, nodeid: str) -> str:
        file, _, test = nodeid.partition("[")
        together = file.endswith("::test_the_case_is_judged_as_expected")
        return test.partition("-")[0] if together else nodeid


class Schedule:
    """Has the tests dealt out by case."""

    def pytest_xdist_make_scheduler(self, config: pytest.Config, log: object) -> ByCase:
        return ByCase(config, log)


def expected() -> float:
    """Minutes that the default run takes: as long as the last one here, else as on our machine."""
    try:
        return float(LAST.read_text("utf-8")) / 60.0
    except (OSError, ValueError):
        return USUAL


def keep_bytecode() -> None:
    """Where nothing compiled may lie beside the sources, keep it with the set-up instead.

    Else each of the many programs that the tests start would compile the package anew.
    """
    if sys.dont_write_bytecode:
        sys.dont_write_bytecode = False
        sys.pycache_prefix = str(Path(sys.prefix) / "bytecode")
        os.environ["PYTHONPYCACHEPREFIX"] = sys.pycache_prefix
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)


def run_step(name: str) -> bool:
    """Run one step, print its seconds, and its output only if it failed."""
    begin = time.perf_counter()
    done = subprocess.run(
        STEPS[name], cwd=TOP, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    )
    verdict = "FAILED" if done.returncode else "passed"
    print(f"{name:<16} {verdict} {time.perf_counter() - begin:6.1f} s", flush=True)
    if done.returncode:
        print(done.stdout, flush=True)
    return done.returncode == 0


def run(arguments: list[str]) -> int:
    """Run the steps and then pytest; 0 only if all passed."""
    parser = argparse.ArgumentParser(prog="python3 tests", allow_abbrev=False)
    parser.add_argument("--quick", action="store_true", help="only pytest")
    parser.add_argument("--long", action="store_true", help="also tests that take long")
    parser.add_argument(
        "--outside", action="store_true", help="also comparisons with large reference libraries"
    )
    options, for_pytest = parser.parse_known_args(arguments)
    whole = not (options.quick or for_pytest)
    if whole:
        print(f"All of it takes about {expected():.0f} min on two cores.", flush=True)
    begin = time.perf_counter()
    keep_bytecode()
    failed = [] if options.quick else [name for name in STEPS if not run_step(name)]
    left_out = [f"not {name}" for name in ("long", "outside") if not getattr(options, name)]
    os.chdir(TOP)
    # Two processes, two cores: a second thread of the linear algebra only stands in the way.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    status = pytest.main(
        ["-q", "-n", "2", "-m", " and ".join(left_out), *for_pytest],
        plugins=[EarlierSteps(failed), Schedule()],
    )
    if whole and not (options.long or options.outside):
        LAST.write_text(f"{time.perf_counter() - begin:.0f}\n", "utf-8")
    return int(status) or int(bool(failed))


if __name__ == "__main__":
    sys.exit(run(sys.argv[1:]))
