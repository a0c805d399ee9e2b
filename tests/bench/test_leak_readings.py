"""Two gauge readings against the clock: thirty leaks, minutes to weeks, simulated on their own.

The simulation counts moles and knows none of the program's formulas: an ideal gas in a can (p V =
n R T), a leak whose flow goes with the gauge pressure (dn/dt = -G (p - p_amb), linear conductance
as in leak testing by pressure change, ASTM E2930, from memory), a temperature that drifts in a
straight line, and a hose that is filled with ambient air and put on (Boyle). It is stepped by the
method of Runge and Kutta of fourth order, and its gauge is read to one psi.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log

import numpy as np
import pytest

from diagnose.belief.reports import paced_likelihood
from diagnose.bench.decay import Decay
from diagnose.bench.formula import Result
from diagnose.bench.formulas import compute, read_all
from diagnose.knowledge.models import Pace
from diagnose.reasoning.evidence import CLEARLY
from tests.real_pack import shop_knowledge

PSI, AMBIENT, GAS = 6894.757293168361, 101325.0, 8.314462618
CAN, HOSE = 100e-6, 3e-6  # m3
SHEET = {"air_can_volume_cc": 100.0, "hose_volume_cc": 3.0}
STEPS = 2000


@dataclass(frozen=True)
class Leak:
    """One shock on one bench: rate [share an hour], time [h], gauge [psi], temperatures [C]."""

    rate: float
    hours: float
    gauge: float
    warm: float
    later: float
    times: int

    def second(self, rate: float | None = None) -> float:
        """Gauge [psi] at the second reading, not rounded."""
        rate = self.rate if rate is None else rate
        start, end = self.warm + 273.15, self.later + 273.15
        flow = rate / 3600.0 * CAN / (GAS * start)  # mol/s per Pa of gauge
        moles = (self.gauge * PSI + AMBIENT) * CAN / (GAS * start)
        step = self.hours * 3600.0 / STEPS

        def lost(amount: float, part: float) -> float:
            kelvin = start + (end - start) * part
            return -flow * (amount * GAS * kelvin / CAN - AMBIENT)

        for n in range(STEPS if rate else 0):
            a, b, c = n / STEPS, (n + 0.5) / STEPS, (n + 1.0) / STEPS
            k1 = lost(moles, a)
            k2 = lost(moles + 0.5 * step * k1, b)
            k3 = lost(moles + 0.5 * step * k2, b)
            k4 = lost(moles + step * k3, c)
            moles += step / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4)
        pressure = moles * GAS * end / CAN
        for _ in range(self.times):
            pressure = (pressure * CAN + AMBIENT * HOSE) / (CAN + HOSE)
        return (pressure - AMBIENT) / PSI

    def read(self) -> Result:
        """What the bench computes of the readings as a mechanic types them."""
        texts = {
            "before": f"{self.gauge:g} psi",
            "after": f"{max(round(self.second()), 0)} psi",
            "elapsed": f"{self.hours:.9g} h",
            "temperature_before": f"{self.warm:g} C",
            "temperature_after": f"{self.later:g} C",
            "reconnections": str(self.times),
        }
        return compute("unexplained_loss_psi", read_all("unexplained_loss_psi", texts), SHEET)


# rate an hour, hours, psi, C, C later, connections; what can be said of it, worst first
ROWS = [
    # minutes: what is gone in a ride or sooner shows, and everything else is called none
    (Leak(0.0, 0.05, 170, 20, 20, 0), {"none"}),
    (Leak(0.002, 0.25, 170, 20, 20, 0), {"none"}),
    (Leak(0.03, 0.25, 170, 20, 20, 0), {"none"}),
    (Leak(0.5, 0.25, 170, 20, 20, 0), {"quick"}),
    (Leak(0.9, 0.25, 190, 21, 21, 1), {"quick"}),
    (Leak(3.0, 0.1, 150, 18, 18, 0), {"minutes"}),
    (Leak(8.0, 0.5, 170, 20, 20, 0), {"minutes"}),
    # an hour or two, a ride: a night's loss begins to show
    (Leak(0.03, 1.0, 170, 20, 20, 0), {"overnight"}),
    (Leak(0.05, 2.0, 160, 20, 22, 1), {"overnight"}),
    (Leak(0.002, 2.0, 170, 20, 20, 0), {"none"}),
    (Leak(0.6, 2.0, 180, 20, 35, 1), {"quick"}),
    (Leak(0.15, 2.0, 170, 20, 20, 1), {"quick", "overnight"}),
    # a night
    (Leak(0.0, 9.0, 170, 20, 5, 1), {"none"}),
    (Leak(0.0, 12.0, 160, 21, -6, 1), {"none"}),
    (Leak(0.004, 12.0, 170, 20, 20, 1), {"slow"}),
    (Leak(0.006, 9.0, 185, 18, 10, 1), {"slow"}),
    (Leak(0.02, 8.0, 170, 20, 20, 1), {"overnight"}),
    (Leak(0.04, 14.0, 165, 20, 5, 1), {"overnight"}),
    (Leak(0.3, 12.0, 170, 20, 20, 1), {"quick"}),
    # a day or two
    (Leak(0.0, 26.0, 180, 17, 18, 2), {"none"}),
    (Leak(0.002, 48.0, 170, 20, 20, 1), {"slow"}),
    (Leak(0.02, 30.0, 240, 20, 18, 1), {"overnight"}),
    (Leak(0.06, 40.0, 170, 20, 20, 1), {"overnight", "quick"}),
    # days and weeks: a seep shows, and flat hardly tells the night's loss from what is gone sooner
    (Leak(0.0004, 96.0, 170, 20, 20, 1), {"slow"}),
    (Leak(0.002, 96.0, 170, 20, 12, 1), {"slow"}),
    (Leak(0.00005, 400.0, 165, 21, 3, 1), {"none"}),
    (Leak(0.0005, 336.0, 175, 18, 18, 1), {"slow"}),
    (Leak(0.03, 336.0, 170, 20, 20, 1), {"overnight", "quick", "minutes"}),
    (Leak(2.0, 500.0, 170, 20, 20, 1), {"overnight", "quick", "minutes"}),
    (Leak(0.002, 1000.0, 170, 20, 25, 1), {"slow"}),
]
STATES = ["none", "slow", "overnight", "quick", "minutes"]
RATES = shop_knowledge().findings["air_loss"].rates
MISREAD = 1e-3


def test_there_are_thirty_of_them_from_minutes_to_weeks() -> None:
    assert len(ROWS) == 30
    assert min(leak.hours for leak, _ in ROWS) < 0.1
    assert max(leak.hours for leak, _ in ROWS) > 21 * 24


@pytest.mark.parametrize(
    ("leak", "states"), ROWS, ids=[f"{r[0].rate:g}-{r[0].hours:g}h" for r in ROWS]
)
def test_each_leak_is_found_at_its_rate(leak: Leak, states: set[str]) -> None:
    result = leak.read()
    gone = leak.second(0.0) - leak.second()
    assert result.value == pytest.approx(gone, abs=0.51 + 0.01 * gone)
    assert result.response is not None
    assert result.response(leak.rate) == pytest.approx(gone, abs=0.01 + 0.03 * gone)
    least = 2.0 * result.uncertainty
    if least < result.value < result.response.start - least:
        # the step of the gauge moves a rate by a share of what was lost and of what is left
        step = 0.51 / min(gone, result.response.start - gone)
        assert result.response.rate(result.value) == pytest.approx(leak.rate, rel=0.05 + 2.0 * step)
        assert "a real leak" in result.lines[-1]
    likelihood = paced_likelihood(
        result.value, result.uncertainty, RATES, STATES, result.response, MISREAD
    )
    assert {s for s, share in zip(STATES, likelihood, strict=True) if share > CLEARLY} & states
    assert STATES[int(np.argmax(likelihood))] in states or likelihood[0] > CLEARLY
    assert likelihood == pytest.approx(by_simpson(result), abs=2e-3, rel=0.02)


def by_simpson(result: Result) -> list[float]:
    """The same likelihoods by Simpson's rule over the logarithm of the rate, in plain Python."""
    assert result.response is not None
    start, hours = result.response.start, result.response.hours
    count, whole = 6000, []
    for state in STATES:
        middle, width = log(RATES[state].median), log(RATES[state].factor)
        total = 0.0
        for n in range(count + 1):
            z = -6.0 + 12.0 * n / count
            drop = start * (1.0 - exp(-exp(middle + width * z) * hours))
            dense = exp(-0.5 * z * z - 0.5 * ((result.value - drop) / result.uncertainty) ** 2)
            total += dense * (1 if n in (0, count) else 4 if n % 2 else 2)
        whole.append(total)
    return [max(total / max(whole), MISREAD) for total in whole]


@pytest.mark.parametrize(
    ("elapsed", "state"), [("15 min", "quick"), ("8 h", "overnight"), ("96 h", "slow")]
)
def test_one_drop_is_a_rides_a_nights_or_a_seep_by_its_time(elapsed: str, state: str) -> None:
    """170 to 140 psi: what the same two readings mean hangs on the time between them."""
    texts = {"before": "170 psi", "after": "140 psi", "elapsed": elapsed}
    result = compute("unexplained_loss_psi", read_all("unexplained_loss_psi", texts), SHEET)
    assert result.response is not None
    likelihood = paced_likelihood(
        result.value, result.uncertainty, RATES, STATES, result.response, MISREAD
    )
    assert STATES[int(np.argmax(likelihood))] == state
    assert max(np.delete(likelihood, STATES.index(state))) < CLEARLY


def test_flat_tells_quick_from_overnight_after_minutes_and_hardly_after_weeks() -> None:
    shares = []
    for elapsed in ("15 min", "8 h", "72 h", "500 h"):
        texts = {"before": "170 psi", "after": "0 psi", "elapsed": elapsed}
        result = compute("unexplained_loss_psi", read_all("unexplained_loss_psi", texts), SHEET)
        assert result.response is not None
        found = paced_likelihood(
            result.value, result.uncertainty, RATES, STATES, result.response, MISREAD
        )
        shares.append(found[2] / max(found[3:]))
        if elapsed != "15 min":
            assert "all of it, at least" in result.lines[-1]
    assert shares == sorted(shares)
    assert shares[0] < 0.01 and shares[1] < 0.02 and shares[2] > 0.1 and shares[3] > 0.9


def test_the_verdict_says_the_rate_and_what_the_time_could_have_shown() -> None:
    """30 psi less 4.95 for the hose, in 8 h: 3.1 psi an hour; 165.0 psi halve in 8 ln 2 / ln(165.0/
    140) = 33.7 h. None lost in 9 h with u psi: 2 u / 9 psi an hour would have shown."""
    texts = {"before": "170 psi", "after": "140 psi", "elapsed": "8 h"}
    lost = compute("unexplained_loss_psi", read_all("unexplained_loss_psi", texts), SHEET)
    assert "3.1 psi an hour, half in 34 h." in lost.lines[-1]
    texts = {"before": "170 psi", "after": "165 psi", "elapsed": "9 h"}
    held = compute("unexplained_loss_psi", read_all("unexplained_loss_psi", texts), SHEET)
    assert f"none under {2 * held.uncertainty / 9:.2g} psi an hour." in held.lines[-1]
    texts = {"before": "2 psi", "after": "0 psi", "elapsed": "9 h"}
    empty = compute("unexplained_loss_psi", read_all("unexplained_loss_psi", texts), SHEET)
    assert "too little air was in it" in empty.lines[-1]


def test_a_temperature_that_nobody_noted_may_have_moved_further_over_days() -> None:
    texts = {"before": "170 psi", "after": "160 psi", "elapsed": "8 h"}
    night = compute("unexplained_loss_psi", read_all("unexplained_loss_psi", texts), SHEET)
    week = compute(
        "unexplained_loss_psi",
        read_all("unexplained_loss_psi", texts | {"elapsed": "168 h"}),
        SHEET,
    )
    assert week.uncertainty > 1.5 * night.uncertainty
    assert "± 10 K" in week.assumptions[0] and "± 3 K" in night.assumptions[0]


def test_any_scale_of_a_thermometer_tells_the_same() -> None:
    celsius = {"temperature_before": "20 C", "temperature_after": "-10 C"}
    fahrenheit = {"temperature_before": "68 F", "temperature_after": "14 F"}
    bar = {"before": "11.7211 bar", "after": "9.6527 bar", "elapsed": "2 d"}
    psi = {"before": "170 psi", "after": "140 psi", "elapsed": "48 h"}
    one = compute("unexplained_loss_psi", read_all("unexplained_loss_psi", celsius | psi), SHEET)
    two = compute("unexplained_loss_psi", read_all("unexplained_loss_psi", fahrenheit | bar), SHEET)
    assert one.value == pytest.approx(two.value, abs=0.01)
    assert one.response is not None and two.response is not None
    assert one.response.hours == two.response.hours == 48.0
    assert one.response.start == pytest.approx(two.response.start, abs=0.01)


def test_a_normal_density_is_what_it_is_taken_for() -> None:
    """The sum over a rate that is all but known is the normal density of the reading alone."""
    decay = Decay(170.0, 8.0)
    paces = {"a": Pace(median=0.02, factor=1.0001), "b": Pace(median=0.03, factor=1.0001)}
    found = paced_likelihood(25.0, 2.0, paces, ["a", "b"], decay, 1e-9)
    density = [exp(-0.5 * ((25.0 - decay(r)) / 2.0) ** 2) for r in (0.02, 0.03)]
    assert found[1] / found[0] == pytest.approx(density[1] / density[0], rel=1e-3)
