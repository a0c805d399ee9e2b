"""O-rings: limits of squeeze, stretch and fill."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.bench import seals
from diagnose.errors import InputError

SECTIONS = st.floats(0.001, 0.006)


@given(SECTIONS, st.floats(0.005, 0.060), st.floats(1.0, 1.2))
def test_stretching_thins_and_never_the_other_way(
    section: float, inner: float, factor: float
) -> None:
    left = seals.stretched_section(section, inner, inner * factor)
    assert left <= section * (1 + 1e-12)
    assert seals.stretch(inner, inner * factor) == pytest.approx(factor - 1.0, abs=1e-9)


@given(SECTIONS)
def test_a_loose_ring_is_not_squeezed(section: float) -> None:
    assert seals.squeeze(section, section) == 0.0
    assert seals.squeeze(section, 1.1 * section) < 0.0


def test_a_square_groove_as_deep_as_the_ring_is_filled_to_a_quarter_pi() -> None:
    assert seals.fill(0.003, 0.003, 0.003) == pytest.approx(0.785398, rel=1e-5)


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(InputError, match="section"):
        seals.squeeze(0.0, 0.001)
    with pytest.raises(InputError, match="groove depth"):
        seals.fill(0.003, 0.003, 0.0)
