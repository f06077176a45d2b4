"""Resistance thermometers and thermocouples against the standards' tables and a general library."""

import numpy as np
import pytest
import thermocouples_reference
from hypothesis import given
from hypothesis import strategies as st

from subspark.errors import InputError
from subspark.physics._data import rows_of
from subspark.physics.thermometry import (
    CLASSES,
    CURVES,
    LEADS,
    THERMOCOUPLES,
    code_of,
    error_of_ohms,
    error_of_volts,
    joint_error,
    seebeck,
    thermocouple_loop_resistance,
    thermocouple_voltage,
    thermometer_resistance,
    thermometer_slope,
    thermometer_tolerance,
    three_wire_error,
)

# mV against 0 C. Source: IEC 60584-1 (1995 and 2013) reference tables, from memory.
VOLTAGES = {
    "B": {100: 0.033, 500: 1.242, 1000: 4.834, 1500: 10.099, 1820: 13.820},
    "E": {-270: -9.835, -200: -8.825, 100: 6.319, 500: 37.005, 1000: 76.373},
    "J": {-210: -8.095, 100: 5.269, 200: 10.779, 500: 27.393, 760: 42.919, 1200: 69.553},
    "K": {-270: -6.458, -200: -5.891, -100: -3.554, 100: 4.096, 500: 20.644, 1000: 41.276,
          1372: 54.886},
    "N": {-270: -4.345, -200: -3.990, 100: 2.774, 500: 16.748, 1000: 36.256, 1300: 47.513},
    "R": {-50: -0.226, 100: 0.647, 500: 4.471, 1000: 10.506, 1500: 17.451},
    "S": {-50: -0.236, 100: 0.646, 500: 4.233, 1000: 9.587, 1500: 15.582},
    "T": {-270: -6.258, -200: -5.603, -100: -3.379, 100: 4.279, 200: 9.288, 400: 20.872},
}  # fmt: skip


@pytest.mark.parametrize("letter", THERMOCOUPLES)
def test_voltages_of_the_standard(letter):
    for t, millivolts in VOLTAGES[letter].items():
        got = 1e3 * thermocouple_voltage(code_of(letter, THERMOCOUPLES), t)
        assert got == pytest.approx(millivolts, abs=5.01e-4), t


@pytest.mark.parametrize("letter", THERMOCOUPLES)
def test_voltages_and_slopes_of_a_general_library(letter):
    """Source: thermocouples_reference 0.20, NIST SRD 60.

    Its polynomials are called by themselves: the methods above them ask NumPy for what NumPy 2
    refuses.
    """
    table = thermocouples_reference.thermocouples[letter].func
    t = np.linspace(table.minT, table.maxT, 1801)
    code = code_of(letter, THERMOCOUPLES)
    np.testing.assert_allclose(1e3 * thermocouple_voltage(code, t), table(t), rtol=0, atol=1e-9)
    away = t[np.abs(t[:, None] - [piece[0] for piece in table.table]).min(axis=1) > 1e-9]
    np.testing.assert_allclose(
        1e3 * seebeck(code, away), table(away, derivative=1), rtol=0, atol=1e-11
    )


@pytest.mark.parametrize("letter", THERMOCOUPLES)
def test_slope_is_that_of_the_voltage(letter):
    """Source: central differences of the voltage, also at the seams of the polynomials."""
    code = code_of(letter, THERMOCOUPLES)
    pieces = [row for row in rows_of("thermocouple-emf.csv") if row["type"] == letter]
    low, high = float(pieces[0]["low_C"]), float(pieces[-1]["high_C"])
    t = np.linspace(low + 0.1, high - 0.1, 777)
    across = (thermocouple_voltage(code, t + 0.05) - thermocouple_voltage(code, t - 0.05)) / 0.1
    np.testing.assert_allclose(seebeck(code, t), across, rtol=0, atol=1.5e-8)
    for row in pieces[1:]:
        seam = float(row["low_C"])
        before, after = thermocouple_voltage(code, [seam - 1e-6, seam + 1e-6])
        assert after - before == pytest.approx(0.0, abs=2e-9)


def test_seebeck_coefficients_by_kind():
    """Source: common tables, from memory (medium): uV/K at 25 C, then at 1000 C."""
    cold = {"E": 61, "J": 52, "K": 40.5, "N": 26.5, "T": 40.7, "R": 6.0, "S": 6.0}
    for letter, wanted in cold.items():
        assert 1e6 * seebeck(code_of(letter, THERMOCOUPLES), 25.0) == pytest.approx(wanted, abs=0.6)
    for letter, wanted in {"K": 39, "N": 39, "S": 11.5, "B": 9}.items():
        got = 1e6 * seebeck(code_of(letter, THERMOCOUPLES), 1000.0)
        assert got == pytest.approx(wanted, abs=0.5)


def test_outside_the_range_nothing_is_said():
    t = np.array([-271.0, -270.0, 1372.0, 1372.1, np.nan])
    np.testing.assert_equal(
        np.isnan(thermocouple_voltage(code_of("K", THERMOCOUPLES), t)),
        [True, False, False, True, True],
    )
    for code in (-1, 8, 2.5, np.nan):
        assert np.isnan(thermocouple_voltage(code, 100.0))
        assert np.isnan(seebeck(code, 100.0))
    with pytest.raises(InputError, match="'X' is not known here; wanted one of B, E, J"):
        code_of("X", THERMOCOUPLES)


@pytest.mark.parametrize(
    ("t", "ohm"),
    [(-200, 18.52), (-100, 60.26), (-50, 80.31), (0, 100.00), (50, 119.40), (100, 138.51),
     (200, 175.86), (400, 247.09), (600, 313.71), (850, 390.48)],
)  # fmt: skip
def test_platinum(t, ohm):
    """Source: IEC 60751 reference table of 100 ohm, from memory (high confidence)."""
    assert thermometer_resistance(100.0, t) == pytest.approx(ohm, abs=5.01e-3)
    assert thermometer_resistance(1000.0, t) == pytest.approx(10 * ohm, abs=5.01e-2)


@pytest.mark.parametrize(("t", "ohm"), [(-60, 69.5), (0, 100.0), (100, 161.8), (180, 223.2)])
def test_nickel(t, ohm):
    """Source: DIN 43760 table of 100 ohm, from memory (medium confidence)."""
    nickel = code_of("Ni 6180", CURVES)
    assert thermometer_resistance(100.0, t, nickel) == pytest.approx(ohm, abs=0.051)


def test_other_platinum():
    """Source: ratios at 100 C that give the curves their names, from memory (medium)."""
    R = thermometer_resistance(100.0, 100.0, [code_of(name, CURVES) for name in CURVES[:3]])
    np.testing.assert_allclose(R, [138.51, 139.16, 139.11], atol=0.015)


@pytest.mark.parametrize("curve", range(len(CURVES)))
def test_slope_is_that_of_the_resistance(curve):
    """Source: central differences of the resistance."""
    low, high = (-59.9, 179.9) if CURVES[curve].startswith("Ni") else (-199.9, 629.9)
    t = np.linspace(low, high, 501)
    across = [thermometer_resistance(500.0, t + d, curve) for d in (-0.01, 0.01)]
    np.testing.assert_allclose(
        thermometer_slope(500.0, t, curve), (across[1] - across[0]) / 0.02, rtol=1e-6
    )


def test_slope_by_hand():
    """Source: arithmetic: 100 (A + 2 B t) at 0, 100, 400 and 800 C."""
    np.testing.assert_allclose(
        thermometer_slope(100.0, [0.0, 100.0, 400.0, 800.0]),
        [0.39083, 0.39083 - 0.01155, 0.39083 - 0.0462, 0.39083 - 0.0924], rtol=1e-12,
    )  # fmt: skip


def test_thermometers_outside_what_is_known():
    assert np.isnan(thermometer_resistance(100.0, [-200.1, 850.1, np.nan])).all()
    assert np.isnan(thermometer_slope([0.0, -100.0, np.nan], 20.0)).all()
    assert np.isnan(thermometer_slope(100.0, 20.0, [4, -1, np.nan])).all()
    assert np.isnan(thermometer_resistance(100.0, 200.0, code_of("Ni 6180", CURVES)))
    assert np.isnan(thermometer_tolerance([0, 1, 2, 3, 4], [251, 451, 601, -197, 20])).all()


def test_classes():
    """Source: IEC 60751:2008 tolerances at 200 C, from memory (high confidence)."""
    got = thermometer_tolerance([code_of(name, CLASSES) for name in ("AA", "A", "B", "C")], -50.0)
    np.testing.assert_allclose(got, [0.185, 0.25, 0.55, 1.1])
    np.testing.assert_allclose(thermometer_tolerance([0, 1, 2, 3], 200.0), [0.44, 0.55, 1.3, 2.6])


def test_ohms_in_error():
    """Source: arithmetic: 0.2 ohm is 0.58 K at 400 C, 0.67 K at 800 C; 0.1 % of 50 ohm 0.13 K."""
    np.testing.assert_allclose(
        error_of_ohms(0.2, 100.0, [400.0, 800.0]), [0.2 / 0.34463, 0.2 / 0.29843], rtol=1e-12
    )
    ohms = three_wire_error([-0.05, 0.05, 0.0, np.nan], 0.15, [0.0, 0.0, -0.001, 0.0], 50.0)
    np.testing.assert_allclose(ohms, [0.20, 0.20, 0.20, np.nan])
    only = three_wire_error(0.0, 0.0, 0.001, 50.0)
    assert error_of_ohms(only, 100.0, 0.0) == pytest.approx(0.128, abs=5e-4)


def test_two_wires_at_both_ends_of_the_slope():
    """Source: arithmetic: 200 m of 12.1 ohm/km at 50 C: 2.705 ohm, 6.92 K at 0 C, not 7.03."""
    assert error_of_ohms(2.7053, 100.0, 0.0) == pytest.approx(6.922, abs=1e-3)


def test_volts_in_error():
    """Source: arithmetic: 0.5 uA through 320 ohm are 160 uV; 40.5 uV/K of type K at 25 C."""
    K, B = code_of("K", THERMOCOUPLES), code_of("B", THERMOCOUPLES)
    assert error_of_volts(160e-6, K, 25.0) == pytest.approx(160 / 40.5, abs=0.02)
    assert np.isnan(error_of_volts(160e-6, B, [0.0, 10.0])).all()  # its voltage falls there
    assert error_of_volts(160e-6, B, 1000.0) == pytest.approx(160 / 9.1, abs=0.3)
    assert joint_error(2.0, K, 25.0, 25.0) == pytest.approx(2.0, rel=1e-15)
    assert np.isnan(joint_error([np.nan, 2.0, 2.0], K, [25, np.nan, 25], [25, 25, np.nan])).all()


@pytest.mark.parametrize(("pair", "ohm"), [("K", 0.586), ("J", 0.357), ("T", 0.298), ("E", 0.708)])
def test_ohms_of_thermocouple_wire(pair, ohm):
    """Source: makers' wire tables, ohm of a double foot of 20 AWG at 20 C, from memory (medium)."""
    section, foot = 0.5176e-6, 0.3048
    got = thermocouple_loop_resistance(code_of(pair, LEADS), section, foot)
    assert got == pytest.approx(ohm, rel=0.03)


def test_ohms_of_thermocouple_wire_that_are_not_known():
    got = thermocouple_loop_resistance([99, 0, 0, 0, np.nan], [1e-6, 0.0, 1e-6, np.nan, 1e-6],
                                       [1.0, 1.0, -1.0, 1.0, 1.0])  # fmt: skip
    assert np.isnan(got).all()
    assert thermocouple_loop_resistance(code_of("KX", LEADS), 1e-6, 0.0) == 0.0


@given(t=st.floats(-200.0, 850.0), more=st.floats(0.01, 100.0))
def test_platinum_rises(t, more):
    if t + more <= 850.0:
        assert thermometer_resistance(100.0, t + more) > thermometer_resistance(100.0, t)


def test_arrays_equal_single_values():
    t = np.linspace(-300.0, 1900.0, 97)
    whole = thermocouple_voltage(np.arange(8)[:, None], t)
    curves = thermometer_resistance(100.0, t, np.arange(4)[:, None])
    for j in range(0, 97, 7):
        for code in range(8):
            np.testing.assert_equal(whole[code, j], thermocouple_voltage(code, t[j])[()])
        for code in range(4):
            np.testing.assert_equal(curves[code, j], thermometer_resistance(100.0, t[j], code)[()])


@pytest.mark.parametrize(
    ("table", "key", "names"),
    [
        ("thermocouple-emf.csv", "type", THERMOCOUPLES),
        ("thermocouple-conductors.csv", "pair", LEADS),
        ("thermometer-curves.csv", "curve", CURVES),
        ("thermometer-classes.csv", "class", CLASSES),
    ],
)
def test_tables_are_complete(table, key, names):
    assert {row[key] for row in rows_of(table)} == set(names)
