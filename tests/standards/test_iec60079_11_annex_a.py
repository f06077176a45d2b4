"""IEC 60079-11 Annex A: printed limits, formulas by hand, and what the tables say of themselves.

The tables of the library are from memory. Figures here that were seen in print say so; the rest is
from memory too, or arithmetic.
"""

import numpy as np
import pytest
from scipy import optimize

from subspark.physics.energy import inductance_from_energy, inductance_per_ohm
from subspark.physics.ignition import (
    CAPACITANCE,
    CURRENT,
    GROUP_I,
    IIA,
    IIB,
    IIC,
    standard_curves,
)

NANO, MICRO, MILLI = 1e-9, 1e-6, 1e-3


@pytest.mark.parametrize(
    ("U", "spark", "capacitance"),
    [
        (28.0, IIC, 0.083 * MICRO),
        (28.0, IIB, 0.65 * MICRO),
        (28.0, IIA, 2.15 * MICRO),
        (27.4, IIC, 87 * NANO),
        (27.4, IIB, 677 * NANO),
    ],
)
def test_permitted_capacitance_as_printed(U, spark, capacitance):
    """Source: Co in the printed instructions of two certified devices.

    28 V: a fire-detection interface; 27.4 V: a remote I/O module of 2011. Not the standard's own
    print.
    """
    got = standard_curves().permitted_capacitance(U, spark, 1.5)
    assert got == pytest.approx(capacitance, rel=1e-12)


@pytest.mark.parametrize(
    ("U", "spark", "factor", "current"),
    [
        (24.0, IIC, 1.5, 174 * MILLI),
        (28.0, IIC, 1.5, 120 * MILLI),
        (24.0, IIC, 1.0, 261 * MILLI),
        (45.0, IIC, 1.0, 68 * MILLI),
    ],
)
def test_permitted_current(U, spark, factor, current):
    """Source: IEC 60079-11 Table A.1, from memory."""
    got = standard_curves().permitted_current(U, spark, factor)
    assert got == pytest.approx(current, rel=1e-12)


@pytest.mark.parametrize(
    ("U", "spark", "factor", "capacitance"),
    [(24.0, IIC, 1.5, 125 * NANO), (24.0, IIC, 1.0, 460 * NANO)],
)
def test_permitted_capacitance_from_memory(U, spark, factor, capacitance):
    """Source: IEC 60079-11 Table A.2, from memory."""
    got = standard_curves().permitted_capacitance(U, spark, factor)
    assert got == pytest.approx(capacitance, rel=1e-12)


@pytest.mark.parametrize(
    ("I", "spark", "factor", "inductance"),
    [
        # 2 x 40 uJ / (1.5 x 93 mA)^2 = 80e-6 / 0.01946025
        (0.093, IIC, 1.5, 4.11094e-3),
        # 2 x 160 uJ / (0.15 A)^2 = 320e-6 / 0.0225
        (0.100, IIB, 1.5, 14.2222e-3),
        # 2 x 320 uJ / (0.1 A)^2 = 640e-6 / 0.01
        (0.100, IIA, 1.0, 64.0e-3),
        # 2 x 525 uJ / (0.3 A)^2 = 1050e-6 / 0.09
        (0.200, GROUP_I, 1.5, 11.6667e-3),
        # 2 x 40 uJ / (0.2 A)^2 = 80e-6 / 0.04
        (0.200, IIC, 1.0, 2.0e-3),
    ],
)
def test_inductance_by_hand(I, spark, factor, inductance):  # noqa: E741 - the standard's symbol
    """Source: IEC 60079-11 Annex A energies and L = 2e/(1.5 I)^2.

    From memory; the energies 40/160/320/525 uJ were seen in print in instructions of certified
    apparatus. The numbers are worked by hand.
    """
    assert inductance_from_energy(I, spark, factor) == pytest.approx(inductance, rel=1e-5)


@pytest.mark.parametrize(
    ("I", "spark", "factor"),
    [
        (0.188562, IIC, 1.5),
        (0.377124, IIB, 1.5),
        (0.533333, IIA, 1.5),
        (0.282843, IIC, 1.0),
        (0.565685, IIB, 1.0),
        (0.800000, IIA, 1.0),
    ],
)
def test_currents_at_which_one_millihenry_is_permitted(I, spark, factor):  # noqa: E741
    """Source: arithmetic, sqrt(2 e / 1 mH) / f. That 1 mH is the bound: from memory, medium."""
    assert inductance_from_energy(I, spark, factor) == pytest.approx(1e-3, rel=1e-5)


@pytest.mark.parametrize(
    ("U", "R", "spark", "factor", "L", "ratio"),
    [
        # 16 x 40e-6 x 300 / (4.5 x 784) = 0.192 / 3528; certificates commonly print 55 uH/ohm
        (28.0, 300.0, IIC, 1.5, 0.0, 54.422e-6),
        # 16 x 160e-6 x 300 / 3528
        (28.0, 300.0, IIB, 1.5, 0.0, 217.687e-6),
        # 2.25 times the first
        (28.0, 300.0, IIC, 1.0, 0.0, 122.449e-6),
        # 0.192 / (4.5 x 900)
        (30.0, 300.0, IIC, 1.5, 0.0, 47.407e-6),
        # (0.096 + sqrt(9.216e-3 - 72 x 900 x 40e-6 x 1e-3)) / 4050 = (0.096 + 0.0813880) / 4050
        (30.0, 300.0, IIC, 1.5, 1e-3, 43.800e-6),
        # 2.25 times that
        (30.0, 300.0, IIC, 1.0, 1e-3, 98.549e-6),
    ],
)
def test_ratio_by_hand(U, R, spark, factor, L, ratio):
    """Source: formula of IEC 60079-11 for Lo/Ro, from memory.

    Seen in print in instructions of certified apparatus and matched there to three digits by a
    printed table. The numbers are worked by hand.
    """
    assert inductance_per_ohm(U, R, spark, factor, L=L) == pytest.approx(ratio, rel=1e-4)


@pytest.mark.parametrize("L", [0.0, 0.2e-3, 1e-3])
@pytest.mark.parametrize(("U", "R"), [(28.0, 300.0), (15.0, 150.0), (24.0, 400.0)])
def test_ratio_is_where_the_worst_length_of_cable_just_holds_the_energy(U, R, L):
    """Source: own derivation by numbers.

    A cable of ratio k and resistance r holds (L + k r) (1.5 U/(R + r))^2 / 2. At the permitted
    ratio the worst r must give just the energy of the group.
    """
    k = float(inductance_per_ohm(U, R, IIC, 1.5, L=L))

    def energy(r):
        return (L + k * r) * (1.5 * U / (R + r)) ** 2 / 2

    worst = optimize.minimize_scalar(
        lambda r: -energy(r), bounds=(0.0, 20 * R), options={"xatol": 1e-6}, method="bounded"
    )
    assert -worst.fun == pytest.approx(40e-6, rel=1e-6)


@pytest.mark.parametrize("spark", [IIA, IIB, IIC])
def test_capacitance_at_factor_one_and_a_half_is_that_at_one_and_a_half_times_the_voltage(spark):
    """Source: the factor of Table A.2 is on the voltage (identity; from memory, as the tables).

    Within 2.5 % on every pair of which both voltages are tabulated.
    """
    strict_V, strict_C = standard_curves().table(CAPACITANCE, spark, 1.5)
    easy_V, easy_C = standard_curves().table(CAPACITANCE, spark, 1.0)
    easy = {round(1000 * U): C for U, C in zip(easy_V, easy_C, strict=True)}
    pairs = [
        (C, easy[round(1500 * U)])
        for U, C in zip(strict_V, strict_C, strict=True)
        if round(1500 * U) in easy
    ]
    assert len(pairs) == {IIA: 93, IIB: 104, IIC: 112}[spark]
    strict, loose = np.array(pairs).T
    assert np.abs(strict / loose - 1).max() <= 0.025


@pytest.mark.parametrize("spark", [IIA, IIB, IIC])
def test_current_at_factor_one_and_a_half_is_that_at_one_divided_by_it(spark):
    """Source: the factor of Table A.1 is on the current (identity; from memory, as the tables).

    To the rounding of three digits, on every voltage that both columns have.
    """
    strict_V, strict_I = standard_curves().table(CURRENT, spark, 1.5)
    easy_V, easy_I = standard_curves().table(CURRENT, spark, 1.0)
    shared, at_strict, at_easy = np.intersect1d(strict_V, easy_V, return_indices=True)
    assert shared.size == strict_V.size
    ratio = 1.5 * strict_I[at_strict] / easy_I[at_easy]
    np.testing.assert_allclose(ratio, 1.0, rtol=0.01)


@pytest.mark.parametrize("quantity", [CURRENT, CAPACITANCE])
@pytest.mark.parametrize("factor", [1.5, 1.0])
def test_groups_are_in_order_of_sensitivity_on_every_tabulated_voltage(quantity, factor):
    """Source: IIC ignites most easily, then IIB, then IIA (IEC 60079-11 Annex A, from memory)."""
    curves = standard_curves()
    lookup = curves.permitted_current if quantity == CURRENT else curves.permitted_capacitance
    every = [curves.table(quantity, spark, factor)[0] for spark in (IIA, IIB, IIC)]
    U = np.unique(np.concatenate(every))
    a, b, c = lookup(U, np.array([[IIA], [IIB], [IIC]]), factor)
    assert (c <= b).all()
    assert (b <= a).all()
