"""IEC 60228 resistances and ASTM B258 gauges against figures that are not made by our formulas."""

import numpy as np
import pytest

from subspark.physics.conductors import (
    awg_area,
    awg_diameter,
    highest_resistance,
    loop_resistance,
    nominal_resistance,
    resistance_at,
)

INCH, FOOT = 0.0254, 0.3048


@pytest.mark.parametrize(
    ("section_mm2", "plain", "tinned", "flexible", "flexible_tinned"),
    [
        (0.5, 36.0, 36.7, 39.0, 40.1),
        (0.75, 24.5, 24.8, 26.0, 26.7),
        (1.0, 18.1, 18.2, 19.5, 20.0),
        (1.5, 12.1, 12.2, 13.3, 13.7),
        (2.5, 7.41, 7.56, 7.98, 8.21),
        (4.0, 4.61, 4.70, 4.95, 5.09),
        (6.0, 3.08, 3.11, 3.30, 3.39),
        (10.0, 1.83, 1.84, 1.91, 1.95),
    ],
)
def test_iec_60228(section_mm2, plain, tinned, flexible, flexible_tinned):
    """Source: IEC 60228:2004 Tables 1 to 3, ohm/km at 20 C, from memory (high confidence)."""
    area = section_mm2 * 1e-6
    for kind in (1, 2):
        assert highest_resistance(area, kind) * 1e3 == pytest.approx(plain, rel=1e-12)
        assert highest_resistance(area, kind, True) * 1e3 == pytest.approx(tinned, rel=1e-12)
    assert highest_resistance(area, 5) * 1e3 == pytest.approx(flexible, rel=1e-12)
    assert highest_resistance(area, 5, True) * 1e3 == pytest.approx(flexible_tinned, rel=1e-12)


@pytest.mark.parametrize("kind", [1, 2, 5])
def test_iec_60228_lies_above_annealed_copper_by_its_allowances(kind):
    """Source: common practice, no source: lay, diameter and purity take 4 to 16 %.

    A slip of a digit in the table would leave this band. Copper is 1/58 ohm.mm2/m (IEC 60028,
    from memory).
    """
    section = np.array([0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0])
    over = highest_resistance(section * 1e-6, kind) * 58.0 * section
    low, high = (1.10, 1.16) if kind == 5 else (1.04, 1.08)
    assert (over >= low).all()
    assert (over <= high).all()


@pytest.mark.parametrize(
    ("gauge", "mils", "ohm_per_1000_ft"),
    [
        (10, 101.9, 0.9989),
        (12, 80.81, 1.588),
        (14, 64.08, 2.525),
        (16, 50.82, 4.016),
        (18, 40.30, 6.385),
        (20, 31.96, 10.15),
        (22, 25.35, 16.14),
        (24, 20.10, 25.67),
    ],
)
def test_american_gauges(gauge, mils, ohm_per_1000_ft):
    """Source: wire table of solid annealed copper at 20 C (ASTM B258), from memory."""
    assert awg_diameter(gauge) / INCH * 1e3 == pytest.approx(mils, rel=3e-4)
    ohm = nominal_resistance(awg_area(gauge)) * 1000 * FOOT
    assert ohm == pytest.approx(ohm_per_1000_ft, rel=5e-4)


def test_american_gauges_against_a_table_in_a_library():
    """Source: the gauge table that the fluids library carries (inches), 0 to 36."""
    piping = pytest.importorskip("fluids.piping")
    gauges, inches, _, _ = piping.wire_schedules["AWG"]
    table = dict(zip(gauges, inches, strict=True))
    for gauge in range(37):
        wanted = table[float(gauge)] * INCH
        assert awg_diameter(gauge) == pytest.approx(wanted, abs=0.51e-4 * INCH), gauge
    # the library marks 2/0, 3/0 and 4/0 by fractions: 1/2, 1/3, 1/4
    for number, mark in ((-1, 0.5), (-2, 0.33), (-3, 0.25)):
        assert awg_diameter(number) == pytest.approx(table[mark] * INCH, abs=0.51e-4 * INCH)


def test_gauge_is_not_the_nearest_metric_section():
    """Source: arithmetic: 18 AWG has 0.823 mm2, 9.7 % more copper than 0.75 mm2."""
    assert awg_area(18) / 0.75e-6 == pytest.approx(1.0973, abs=1e-4)


@pytest.mark.parametrize(
    ("temperature", "factor"),
    [(-40.0, 0.764), (-20.0, 0.843), (20.0, 1.0), (50.0, 1.118), (60.0, 1.157), (70.0, 1.196)],
)
def test_temperature_of_copper(temperature, factor):
    """Source: correction factors of IEC 60228's annex, (234.5 + t)/254.5, from memory."""
    assert resistance_at(1.0, temperature) == pytest.approx(factor, abs=5e-4)


def test_temperature_of_copper_against_the_coefficient():
    """Source: temperature coefficient of annealed copper 0.00393 per K at 20 C (IEC 60028).

    From memory. The two laws differ by 0.02 % at 50 C.
    """
    t = np.linspace(-40.0, 80.0, 25)
    np.testing.assert_allclose(resistance_at(1.0, t), 1 + 0.00393 * (t - 20), atol=5e-5)


def test_loss_of_a_loop_against_an_independent_calculation():
    """Source: 100 % IACS copper is 1/58 ohm.mm2/m at 20 C (IEC 60028, from memory).

    22 mA through 500 m of two cores of 1.5 mm2 at 50 C, with the 0.00393 coefficient:
    2 x 500 / (58 x 1.5) x (1 + 0.00393 x 30) = 12.849 ohm, 0.28269 V.
    """
    loop = loop_resistance(resistance_at(nominal_resistance(1.5e-6), 50.0), 500.0)
    assert loop == pytest.approx(2 * 500 / (58 * 1.5) * (1 + 0.00393 * 30), rel=5e-5)
    assert 0.022 * loop == pytest.approx(0.28269, rel=1e-4)


@pytest.mark.parametrize(
    ("section_mm2", "kind", "temperature", "metres", "ohm"),
    [(1.5, 2, 50.0, 500.0, 13.53), (0.75, 5, 70.0, 1000.0, 62.22)],
)
def test_loops_worked_by_hand(section_mm2, kind, temperature, metres, ohm):
    """Source: arithmetic: 2 x 0.5 km x 12.1 x 284.5/254.5; 2 x 1 km x 26.0 x 304.5/254.5."""
    R20 = highest_resistance(section_mm2 * 1e-6, kind)
    loop = loop_resistance(resistance_at(R20, temperature), metres)
    assert loop == pytest.approx(ohm, abs=0.005)


def test_ratio_of_a_cold_cable_by_both_resistances():
    """Source: arithmetic, 0.75 uH/m on 1.5 mm2 at -20 C (common practice, no source).

    36.8 uH/ohm with the largest resistance of IEC 60228, 38.7 with nominal copper: the table is
    the wrong end for this question.
    """
    area, L = 1.5e-6, 0.75e-6
    largest = loop_resistance(resistance_at(highest_resistance(area, 2), -20.0), 1.0)
    nominal = loop_resistance(resistance_at(nominal_resistance(area), -20.0), 1.0)
    assert L / largest == pytest.approx(36.8e-6, abs=0.05e-6)
    assert L / nominal == pytest.approx(38.7e-6, abs=0.05e-6)
