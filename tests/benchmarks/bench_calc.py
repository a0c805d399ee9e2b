"""What the bench room costs: import, one calculation, one quantity, one picture.

Run: python3 -P tests/benchmarks/bench_calc.py   (prints figures, asserts nothing)
"""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(TOP))

from diagnose.bench.formulas import FORMULAS, calculate, compute, read_all  # noqa: E402
from diagnose.pictures.svg import chart_svg  # noqa: E402
from diagnose.pictures.text import chart_text  # noqa: E402

CALCULATION = {"before": "165 psi", "after": "128 psi", "elapsed": "14 h", "limit": "100 psi"}
QUANTITY = {"before": "165 psi", "after": "128 psi", "elapsed": "14 h"}
SHEET = {"air_can_volume_cc": 100.0, "hose_volume_cc": 3.0, "eye_to_eye_mm": 200.0}
STUCK = {"gauge": "150 psi", "length": "157 mm"}


def micros(call: Callable[[], object], rounds: int = 300) -> float:
    """Median time of a call [us]."""
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        call()
        times.append(time.perf_counter() - start)
    return sorted(times)[rounds // 2] * 1e6


def import_ms(statement: str, rounds: int = 5) -> float:
    """Best of some fresh interpreters, less the bare start [ms]."""

    def once(code: str) -> float:
        start = time.perf_counter()
        subprocess.run([sys.executable, "-c", code], cwd=TOP, check=True)
        return time.perf_counter() - start

    bare = min(once("pass") for _ in range(rounds))
    return (min(once(statement) for _ in range(rounds)) - bare) * 1e3


def main() -> None:
    """Print the figures."""
    print(f"import formulas       {import_ms('import diagnose.bench.formulas'):8.1f} ms")
    print(f"import uncertainties  {import_ms('import uncertainties'):8.1f} ms, first result only")
    print(f"{len(FORMULAS)} formulas; for example")
    print(f"  calculate leak      {micros(lambda: calculate('leak', CALCULATION)):8.0f} us")
    sag = {"mass": "80 kg", "leverage": "2.5", "set_pressure": "165 psi"}
    print(f"  calculate sag       {micros(lambda: calculate('sag', sag)):8.0f} us")
    readings = {
        "unexplained_loss_psi": read_all("unexplained_loss_psi", QUANTITY),
        "play_mm": read_all("play_mm", {"play": "0.5 mm"}),
    }
    print(f"  read one reading    {micros(lambda: read_all('play_mm', {'play': '1 mm'})):8.0f} us")
    for id_, taken in readings.items():
        cost = micros(lambda id_=id_, taken=taken: compute(id_, taken, SHEET))  # type: ignore[misc]
        print(f"  {id_:<20}{cost:8.0f} us")
    picture = compute("unexplained_loss_psi", readings["unexplained_loss_psi"], SHEET).picture
    assert picture is not None
    print(f"  picture as SVG      {micros(lambda: chart_svg(picture)):8.0f} us")
    print(f"  picture as text     {micros(lambda: chart_text(picture)):8.0f} us")


if __name__ == "__main__":
    main()
