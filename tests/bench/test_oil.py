"""Oil: through both points, thinner when hot, printed indices, grades."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from diagnose.bench import oil
from diagnose.errors import InputError

AT_40 = st.floats(8e-6, 100e-6)


@given(AT_40, st.floats(0.15, 0.4), st.floats(253.0, 373.0), st.floats(1.0, 20.0))
def test_the_law_passes_its_points_and_falls(
    at_40: float, share: float, kelvin: float, step: float
) -> None:
    at_100 = at_40 * share
    assume(at_100 >= 2e-6)
    points = (at_40, 313.15, at_100, 373.15)
    assert oil.viscosity_at(*points, 313.15) == pytest.approx(at_40)
    assert oil.viscosity_at(*points, 373.15) == pytest.approx(at_100)
    assert oil.viscosity_at(*points, kelvin) > oil.viscosity_at(*points, kelvin + step)


@given(st.floats(2.5, 14.0), st.floats(1.01, 1.2))
def test_thinner_cold_means_a_higher_index(y: float, factor: float) -> None:
    """Through the joints of the table and through 100 the index only falls with the 40 C value."""
    thin = oil.viscosity_index(5 * y * 1e-6, y * 1e-6)
    thick = oil.viscosity_index(5 * y * factor * 1e-6, y * 1e-6)
    assert thick < thin


def test_every_grade_is_ten_per_cent_wide_and_apart_from_the_next() -> None:
    ranges = [oil.grade_range(grade) for grade in oil.GRADES[2:]]
    for (_, top), (bottom, _) in pairwise(ranges):
        assert top < bottom


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: oil.viscosity_at(1e-6, 313.0, 3e-6, 373.0, 293.0), "from 2 mm2/s"),
        (lambda: oil.viscosity_at(15e-6, 313.0, 3e-6, 313.0, 293.0), "one temperature"),
        (lambda: oil.viscosity_index(15e-6, 1.9e-6), "No viscosity index"),
        (lambda: oil.viscosity_index(3e-6, 4e-6), "No viscosity index"),
        (lambda: oil.grade_range(14), "does not exist"),
    ],
)
def test_outside_the_law_is_refused(call: object, says: str) -> None:
    with pytest.raises(InputError, match=says) as caught:
        call()  # type: ignore[operator]
    assert caught.value.next_step


def test_a_wrong_grade_names_the_nearest() -> None:
    with pytest.raises(InputError, match="VG 15"):
        oil.grade_range(16)
