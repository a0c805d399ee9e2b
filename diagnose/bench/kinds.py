"""What sorts of quantity there are, which values of each are believable, and which can be at all.

Rules
-----
- Outside `low..high` a value is questioned: it may be so.
- Outside `floor..ceiling` it is refused, with the range and the reason in `why`: no shock, no
  instrument and no person gives it, so nothing is computed from it and nothing drawn.
- A limit is set wide of anything that a bench has seen; it catches slips of the hand and of the
  unit, and judges no shock.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

__all__ = ["KINDS", "Kind"]


@dataclass(frozen=True)
class Kind:
    """What sort of quantity a reading is, and what is believable for it.

    Parameters
    ----------
    dimension : key of `units.DIMENSIONS`.
    unit : the unit asked for by default, and that of the limits below.
    floor, low, high, ceiling : what can be lies within the outer two, what is believable within
        the inner two.
    why : the reason for the outer two, as the end of a sentence.
    unit_needed : a bare number is refused, because two units give two believable values.
    """

    dimension: str
    unit: str
    floor: float
    low: float
    high: float
    ceiling: float
    why: str
    unit_needed: bool = False

    @property
    def example(self) -> str:
        """A believable value as it is typed.

        >>> KINDS["elapsed time"].example, KINDS["clicks"].example
        ('5 h', '5')
        """
        number = 5.0 if self.low <= 5.0 <= self.high else self.low
        return f"{number:g}" if self.unit in ("1", "x") else f"{number:g} {self.unit}"


# CP: common practice (no source). M: from memory. P: physics. Believable ranges are CP throughout,
# wide enough for any shock that works at all.
KINDS: Mapping[str, Kind] = {
    # CP: the gauges of shock pumps. They show no vacuum.
    "air pressure": Kind(
        "pressure",
        "psi",
        0,
        0,
        360,
        600,
        "a shock pump's gauge begins at zero, shows no vacuum, and ends at about 600 psi",
        unit_needed=True,
    ),
    # CP: a light child sets about 30 psi, and zero is no setting.
    "usual pressure": Kind(
        "pressure",
        "psi",
        10,
        30,
        360,
        600,
        "a shock set lower carries nobody, and a shock pump's gauge ends at about 600 psi",
        unit_needed=True,
    ),
    # CP: marks are 200 to 350 psi.
    "maximum pressure": Kind(
        "pressure",
        "psi",
        50,
        150,
        400,
        600,
        "shocks are marked with 200 to 350 psi, and a shock pump's gauge ends at about 600 psi",
        unit_needed=True,
    ),
    # M: charges are 150 to 500 psi; the gauge of a charging tool ends about twice as high.
    "charge pressure": Kind(
        "pressure",
        "psi",
        0,
        0,
        600,
        1000,
        "the gauge of a charging tool begins at zero, and no damper is charged above 1000 psi",
        unit_needed=True,
    ),
    # P: the standard atmosphere on the highest summit and on the lowest shore, and weather.
    "ambient pressure": Kind(
        "pressure",
        "hPa",
        300,
        500,
        1100,
        1200,
        "air presses with about 330 hPa on the highest summit and 1100 hPa on the lowest shore",
        unit_needed=True,
    ),
    # P: rubber is glass below and damper oil cracks above; weather and brakes stay well within.
    "temperature": Kind(
        "temperature",
        "C",
        -60,
        -30,
        60,
        150,
        "no place to ride is colder, and seals and oil do not outlast anything hotter",
    ),
    "temperature drift": Kind(
        "temperature step",
        "K",
        0,
        0,
        30,
        100,
        "it is the size of a change, and no place to work changes by more",
    ),
    # CP: after half a year nobody knows any more what was ridden or pumped in between.
    "elapsed time": Kind(
        "time",
        "h",
        0,
        0,
        24 * 60,
        24 * 183,
        "time runs forwards, and two readings more than a season (half a year) apart show no leak",
        unit_needed=True,
    ),
    # CP: what is timed by hand with a watch.
    "short time": Kind(
        "time",
        "s",
        0,
        0,
        60,
        600,
        "time runs forwards, and what takes more than ten minutes is not timed by hand",
    ),
    # CP: ten hours a week for twenty years make 10 000 h.
    "hours ridden": Kind(
        "time",
        "h",
        0,
        0,
        2000,
        20_000,
        "no shock has been ridden longer, ten hours a week for a whole life of a bike",
    ),
    # M: air-sprung rear shocks have been on mountain bikes for some decades.
    "age": Kind("time", "y", 0, 0, 25, 50, "rear shocks of this kind are younger"),
    # P: geography.
    "altitude": Kind(
        "length",
        "m",
        -500,
        -430,
        5000,
        9000,
        "the lowest shore lies at -430 m and the highest summit below 9000 m",
    ),
    # M: marked lengths of rear shocks are 125 to 270 mm; stuck deep, a short one stands near 90.
    "eye-to-eye length": Kind(
        "length",
        "mm",
        60,
        90,
        300,
        400,
        "rear shocks are marked 125 to 270 mm eye to eye and lose at most their stroke",
    ),
    # M: children's bikes and the longest travel.
    "stroke": Kind(
        "length", "mm", 15, 25, 95, 120, "rear shocks are marked with strokes of 25 to 90 mm"
    ),
    "stroke length": Kind(
        "length",
        "mm",
        0,
        0,
        100,
        120,
        "no rear shock has a stroke of more than 120 mm to move along",
    ),
    # M: springs of rear shocks stand 90 to 200 mm long off the shock.
    "spring length": Kind(
        "length", "mm", 30, 60, 250, 400, "springs of rear shocks are 90 to 200 mm long"
    ),
    # A shock that parted inside stands longer than marked: then it is below zero.
    "shortfall": Kind(
        "length",
        "mm",
        -120,
        -30,
        100,
        120,
        "no rear shock has a stroke of more than 120 mm to be short or long by",
    ),
    # CP: what is felt at an eyelet.
    "play": Kind("length", "mm", 0, 0, 10, 30, "an eyelet that moves further hangs on nothing"),
    "cable travel": Kind("length", "mm", 0, 0, 30, 60, "no lever of a lockout pulls more cable"),
    # M: shafts are 8 to 16 mm.
    "shaft diameter": Kind(
        "length", "mm", 4, 7, 18, 30, "shafts of rear shocks are 8 to 16 mm thick"
    ),
    # CP: bores, threads, sections of rings.
    "small length": Kind(
        "length", "mm", 0, 0, 50, 100, "no bore, thread or ring of a rear shock is larger"
    ),
    "tool length": Kind("length", "mm", 0, 0, 1000, 2000, "no wrench of a workshop is longer"),
    "wheel travel": Kind(
        "length",
        "mm",
        20,
        60,
        260,
        400,
        "no frame gives its rear wheel more, and one with a rear shock never less",
    ),
    # M: air cans are 40 to 500 cc; the gas behind a floating piston is 10 to 30 cc.
    "can volume": Kind(
        "volume", "cc", 1, 10, 600, 1500, "chambers of rear shocks hold 10 to 500 cc"
    ),
    "hose volume": Kind(
        "volume", "cc", 0, 0, 20, 50, "the hose of a shock pump is no thicker than a finger"
    ),
    "oil volume": Kind("volume", "cc", 0, 5, 200, 1000, "the oil of a rear shock fits into a cup"),
    # CP: a child with kit; no frame is built for the upper end.
    "rider mass": Kind(
        "mass", "kg", 10, 25, 180, 250, "no mountain bike is ridden by less or built for more"
    ),
    # P: a person pushes with about their weight, twice that with a lever or a jerk.
    "hand force": Kind(
        "force",
        "N",
        0,
        0,
        1000,
        2000,
        "it is read as a push, and nobody pushes by hand with twice their weight",
    ),
    # CP: the ranges of torque wrenches.
    "torque": Kind(
        "torque",
        "N·m",
        0,
        0,
        120,
        300,
        "no thread of a bike is tightened further, and a torque wrench begins at zero",
        unit_needed=True,
    ),
    "angle": Kind("angle", "deg", -180, 0, 180, 360, "a full turn is 360 deg"),
    # M: linkages of frames are 1.5 to 4.
    "leverage": Kind(
        "ratio",
        "1",
        0.5,
        1,
        4.5,
        6,
        "linkages of frames give the wheel 1.5 to 4 times the travel of the shock",
    ),
    "percentage": Kind("ratio", "%", 0, 0, 100, 100, "a share is nothing at least and all at most"),
    "ratio": Kind(
        "ratio",
        "1",
        0.001,
        0.01,
        20,
        100,
        "neither gas nor oil nor a thread of a shock gives such a factor",
    ),
    # P: 1 is isothermal, 5/3 the adiabat of a gas of single atoms.
    "exponent": Kind(
        "ratio",
        "1",
        1,
        1,
        1.5,
        1.67,
        "1 is a slow push, 1.4 a fast one in air, and 1.67 the most that any gas has",
    ),
    # CP: knobs have 5 to 30 clicks.
    "clicks": Kind(
        "count",
        "x",
        0,
        0,
        60,
        100,
        "clicks are counted from none, and no knob has more than a hundred",
    ),
    "connections": Kind(
        "count",
        "x",
        0,
        0,
        10,
        50,
        "they are counted from none, and more of them would have emptied the shock",
    ),
    # CP: a bench with more pumps than fingers knows none of them.
    "pump number": Kind(
        "count", "x", 1, 1, 5, 10, "the pumps of one job are counted from one, and are few"
    ),
    # M: damper oils are 5 to 50 mm2/s at 40 C.
    "viscosity": Kind(
        "viscosity",
        "mm2/s",
        0.2,
        1,
        1000,
        5000,
        "water has 1 mm2/s, damper oil 3 to 50, and honey does not damp a shock",
    ),
    "leak rate": Kind(
        "leak rate",
        "std cc/min",
        0,
        0,
        5000,
        50_000,
        "beyond that a can is empty within a few seconds",
    ),
    "small area": Kind(
        "area", "mm2", 0.001, 0.01, 100, 1000, "an opening is finer than the piston that it lies in"
    ),
    # M: 3 to 5 m/s in the hardest landing.
    "shaft speed": Kind(
        "speed", "m/s", 0, 0, 10, 20, "the hardest landing moves a shaft at about 5 m/s"
    ),
    # P: damper oils float on water.
    "density": Kind(
        "density", "kg/m3", 500, 700, 1000, 1500, "oils are a little lighter than water, 1000 kg/m3"
    ),
}
