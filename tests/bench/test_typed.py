"""What people type at a bench: understood, questioned, or refused with a way on."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.bench.kinds import KINDS
from diagnose.bench.typed import read, with_unit
from diagnose.bench.units import DIMENSIONS, from_unit
from diagnose.errors import InputError

PSI = 6894.757293168361


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("165 psi", "air pressure", 165 * PSI),
        ("165psi", "air pressure", 165 * PSI),
        ("11,4 bar", "air pressure", 11.4e5),
        ("  11.4   BAR ", "air pressure", 11.4e5),
        ("250 in-lbf", "torque", 28.2462),
        ("2.5 h", "elapsed time", 9000.0),
        ("2 h 30 min", "elapsed time", 9000.0),
        ("1h30min", "elapsed time", 5400.0),
        ("-10 C", "temperature", 263.15),
        ("−10 °C", "temperature", 263.15),
        ("14 F", "temperature", 263.15),
        ("20", "temperature", 293.15),
        ("0,125 mm", "small length", 0.000125),
        (".5 mm", "small length", 0.0005),
        ("9 kg", "hand force", 9 * 9.80665),
        ("30 %", "percentage", 0.3),
        ("12", "clicks", 12.0),
        ("-3 mm", "shortfall", -0.003),
    ],
)
def test_what_people_write_is_understood(text: str, kind: str, value: float) -> None:
    assert read(text, kind).value == pytest.approx(value, rel=1e-5)


def test_a_bare_number_counts_in_the_unit_that_was_asked_for() -> None:
    for text, unit in (("165", "psi"), ("11,4", "bar"), ("11,4 bar", "psi"), ("about 165", "psi")):
        said = with_unit(text, unit)
        assert read(text, "air pressure", unit=unit) == replace(
            read(said, "air pressure"), text=text
        )


@pytest.mark.parametrize("text", ["about 120 psi", "120ish psi", "~120 psi", "ca. 120 psi or so"])
def test_a_rough_reading_counts_with_its_width(text: str) -> None:
    """Half-width of five in a hundred: common practice (no source); a/sqrt(3) is GUM 4.3.7."""
    rough, plain = read(text, "air pressure"), read("120 psi", "air pressure")
    assert rough.value == plain.value
    assert rough.uncertainty == pytest.approx(0.05 * plain.value / 3**0.5)


@pytest.mark.parametrize("text", ["120. psi", "120 psi.", "120."])
def test_a_point_that_bounced_behind_the_number_is_nothing(text: str) -> None:
    assert read(text, "air pressure", unit="psi").value == read("120 psi", "air pressure").value


@pytest.mark.parametrize("text", ["about", "ish", "about psi", "some 12 34 psi"])
def test_words_alone_are_no_reading(text: str) -> None:
    with pytest.raises(InputError):
        read(text, "air pressure")


@pytest.mark.parametrize(
    ("text", "kind", "says"),
    [
        ("", "air pressure", "Nothing was written"),
        ("   ", "air pressure", "Nothing was written"),
        ("psi", "air pressure", "does not begin with a number"),
        ("165", "air pressure", "has no unit"),
        ("12", "torque", "has no unit"),
        ("10", "elapsed time", "has no unit"),
        ("1,200 m", "altitude", "two ways"),
        ("1.234,5 m", "altitude", "two ways"),
        ("1.2.3 mm", "small length", "two ways"),
        ("165 bsi", "air pressure", "not a unit of pressure"),
        ("165 mm", "air pressure", "unit of length"),
        ("-1 psi", "air pressure", "0 psi to 600 psi, because a shock pump's gauge begins at zero"),
        ("-1.2 bar", "air pressure", "0 bar to 41.4 bar"),
        ("99999 psi", "air pressure", "ends at about 600 psi"),
        ("-2 h", "elapsed time", "time runs forwards"),
        ("400 d", "elapsed time", "more than a season"),
        ("-300 C", "temperature", "-60 C to 150 C"),
        ("-300 F", "temperature", "-76 F to 302 F"),
        ("5 mm ± 1 mm ± 1 mm", "small length", "more than one"),
        ("9" * 400 + " psi", "air pressure", "too long"),
        ("5 h 20", "elapsed time", "has no unit"),
    ],
)
def test_what_cannot_be_is_refused_with_a_way_on(text: str, kind: str, says: str) -> None:
    with pytest.raises(InputError) as caught:
        read(text, kind, where="before")
    assert says in caught.value.what
    assert caught.value.where == "before"
    assert caught.value.next_step


@pytest.mark.parametrize(
    ("text", "kind", "asks"),
    [
        ("30 bar", "air pressure", "Was 30 psi meant?"),
        ("400 psi", "air pressure", "Was 400 kPa meant?"),
        ("700 psi", "charge pressure", "Was 700 kPa meant?"),
        ("-40 C", "temperature", "Is it really so?"),
        ("68 C", "temperature", "Was 68 F meant?"),
        ("320 mm", "eye-to-eye length", "Is it really so?"),
        ("250 N·m", "torque", "Was 250 in-lbf meant?"),
        ("-45 mm", "shortfall", "Is it really so?"),
    ],
)
def test_what_is_hardly_true_is_kept_and_questioned(text: str, kind: str, asks: str) -> None:
    taken = read(text, kind)
    assert asks in taken.question
    assert taken.text == text


@pytest.mark.parametrize(
    ("text", "kind", "asks"),
    [
        ("250 bar", "air pressure", "Was 250 psi meant?"),
        ("1200 psi", "air pressure", "Was 1200 kPa meant?"),
        ("190 m", "eye-to-eye length", "Was 190 mm meant?"),
        ("2500 psi", "air pressure", "Read it again"),
    ],
)
def test_a_refusal_names_the_unit_that_was_meant(text: str, kind: str, asks: str) -> None:
    with pytest.raises(InputError, match="cannot be") as caught:
        read(text, kind)
    assert asks in caught.value.next_step


def test_a_believable_value_is_not_questioned() -> None:
    for text in ("0 psi", "165 psi", "24 bar", "360 psi"):
        assert read(text, "air pressure").question == ""


def test_the_coarser_of_gauge_and_writing_sets_the_uncertainty() -> None:
    """Step d gives d/sqrt(12) (GUM F.2.2.1): a 2 psi gauge, and '11 bar' without its tenths."""
    root = math.sqrt(12.0)
    assert read("165 psi", "air pressure", resolution=2 * PSI).uncertainty == pytest.approx(
        2 * PSI / root
    )
    assert read("165.5 psi", "air pressure", resolution=2 * PSI).uncertainty == pytest.approx(
        2 * PSI / root
    )
    assert read("11 bar", "air pressure", resolution=PSI).uncertainty == pytest.approx(1e5 / root)


@pytest.mark.parametrize(
    "text", ["165 psi ± 5 psi", "165 psi +- 5 psi", "165 ± 5 psi", "165 psi +/- 5"]
)
def test_a_stated_half_width_is_rectangular(text: str) -> None:
    """Half-width a gives a/sqrt(3) (GUM 4.3.7)."""
    taken = read(text, "air pressure")
    assert taken.value == pytest.approx(165 * PSI)
    assert taken.uncertainty == pytest.approx(5 * PSI / math.sqrt(3.0))


def test_a_half_width_of_a_temperature_is_a_difference() -> None:
    assert read("20 C ± 2 C", "temperature").uncertainty == pytest.approx(2 / math.sqrt(3.0))


@given(st.sampled_from(sorted(KINDS)), st.text(max_size=40))
def test_any_text_is_read_or_refused(kind: str, text: str) -> None:
    try:
        taken = read(text, kind)
    except InputError as error:
        assert error.what
    else:
        assert math.isfinite(taken.value)
        assert taken.uncertainty > 0


@given(st.sampled_from(sorted(KINDS)), st.data())
def test_a_believable_number_in_any_unit_is_read_back(kind: str, data: st.DataObject) -> None:
    asked = KINDS[kind]
    unit = data.draw(st.sampled_from([u for u in DIMENSIONS[asked.dimension] if u.symbol != "1"]))
    low = from_unit(asked.low, asked.unit, asked.dimension)
    high = from_unit(asked.high, asked.unit, asked.dimension)
    value = data.draw(st.floats(low, high))
    number = (value - unit.offset) / unit.factor
    comma = data.draw(st.booleans())
    text = f"{number:.15f} {unit.symbol}"
    taken = read(text.replace(".", ",", 1) if comma else text, kind)
    assert taken.value == pytest.approx(value, rel=1e-6, abs=1e-6)
