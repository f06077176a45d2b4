"""Ohms of conductors: look-up, shape, unknowns."""

import hashlib
from importlib.resources import files

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from subspark.physics.conductors import (
    SOURCE,
    awg_area,
    awg_diameter,
    highest_awg_resistance,
    highest_resistance,
    loop_resistance,
    nominal_resistance,
    resistance_at,
    sections,
)


def test_table_is_the_one_that_was_checked():
    """Checksum of the rows; IEC 60228:2004, from memory."""
    text = (files("subspark.physics") / "data" / "conductor-resistance.csv").read_text("utf-8")
    rows = "".join(f"{line}\n" for line in text.splitlines() if not line.startswith("#"))
    assert hashlib.sha256(rows.encode()).hexdigest() == (
        "17fb05e1e0982763ae685f4abe7872f05a6e6de93d1a07b099f49e1c1434e7d9"
    )
    assert len(rows.splitlines()) == 1 + 8 * 3 * 2
    assert "from memory" in SOURCE


def test_every_section_has_every_class_and_coating():
    R = highest_resistance(sections()[:, None, None], np.array([[1], [2], [5]]), [False, True])
    assert R.shape == (8, 3, 2)
    assert not np.isnan(R).any()
    assert (np.diff(R, axis=0) < 0).all()  # thicker is less
    assert (R[..., 1] > R[..., 0]).all()  # tinned is more
    assert (R[:, 2] > R[:, 1]).all()  # flexible is more


def test_sections_cannot_be_changed_from_outside():
    sections()[0] = 99.0
    assert sections()[0] == 0.5e-6


@pytest.mark.parametrize(
    ("area", "kind"),
    [(np.nan, 2), (0.0, 2), (-1.5e-6, 2), (1.49e-6, 2), (1.6e-6, 2), (16e-6, 2), (np.inf, 2),
     (0.823e-6, 2), (1.5, 2), (1.5e-6, 3), (1.5e-6, np.nan)],
)  # fmt: skip
def test_what_is_not_tabulated_has_no_resistance(area, kind):
    """Also a gauge (18 AWG, 0.823 mm2), and square millimetres given for square metres."""
    assert np.isnan(highest_resistance(area, kind))


def test_a_section_worked_out_counts_as_the_nominal_one():
    assert highest_resistance(1.5 * 1e-6, 2) == 0.0121
    assert highest_resistance(3 * 0.5e-6, 2) == 0.0121
    assert highest_resistance(1.5e-6 * (1 - 1e-10), 2) == 0.0121
    assert np.isnan(highest_resistance(1.5e-6 * (1 + 1e-8), 2))


def test_arrays_equal_single_values():
    area = np.array([0.5e-6, 1.5e-6, 7e-6, np.nan])[:, None]
    kind = np.array([1, 2, 5, 6])
    got = highest_resistance(area, kind, tinned=True)
    for i, j in np.ndindex(got.shape):
        alone = highest_resistance(float(area[i, 0]), int(kind[j]), tinned=True)
        np.testing.assert_equal(got[i, j], alone[()])


def test_nominal_copper_lies_below_every_highest_resistance():
    """The tables are maxima: the least resistance must not be taken from them."""
    for kind in (1, 2, 5):
        assert (nominal_resistance(sections()) < highest_resistance(sections(), kind)).all()


def test_highest_resistance_of_a_gauge_lies_above_nominal_copper_by_its_allowances():
    """Source: ASTM B3, B8, B33 from memory (medium): 2 % for each of section and lay, tin 5 %."""
    nominal = nominal_resistance(awg_area(18))
    over = highest_awg_resistance(18, [False, True, False, True], [False, False, True, True])
    np.testing.assert_allclose(over / nominal, [1.02, 1.0404, 1.071, 1.09242], rtol=1e-12)
    assert highest_awg_resistance(18) == over[1]  # nothing said: stranded, plain


def test_gauges_are_not_mapped_to_the_nearest_section():
    """18 AWG has 9.7 % more copper than 0.75 mm2: its resistance is lower in spite of all."""
    assert highest_awg_resistance(18) < highest_resistance(0.75e-6, 2)


def test_unknowns_pass_through():
    assert np.isnan(nominal_resistance([np.nan, 0.0, -1.0])).all()
    assert np.isnan(resistance_at([np.nan, 1.0, 1.0], [20.0, np.nan, -234.5])).all()
    assert np.isnan(loop_resistance([np.nan, 1.0, -1.0, 1.0], [1.0, np.nan, 1.0, -1.0])).all()
    assert np.isnan(awg_diameter(np.nan))
    assert np.isnan(awg_area(np.nan))
    assert np.isnan(highest_awg_resistance([np.nan, np.nan], True, [True, False])).all()


@given(R=st.floats(1e-3, 1e3), t=st.floats(-100.0, 200.0), more=st.floats(0.01, 50.0))
def test_resistance_rises_with_temperature(R, t, more):
    assert resistance_at(R, t + more) > resistance_at(R, t) > 0
    assert resistance_at(R, 20.0) == R


@given(n=st.integers(-3, 40))
def test_thinner_gauges_have_higher_numbers(n):
    assert awg_area(n + 1) < awg_area(n)
