"""Limits of inductance from the energy that a spark may release.

The energies belong to the constant-energy part of the ignition curves, about 1 mH and more; below
it a source adds energy while the circuit opens, and the figures here prove nothing.
"""

# ruff: noqa: E741 - I is the standard's symbol of a current
from __future__ import annotations

from typing import Final

import numpy as np

from subspark.physics._arrays import FloatArray, Floats, floats
from subspark.physics.ignition import FACTOR_IA_IB, FACTOR_IC, column_of

__all__ = ["CONSTANT_ENERGY_FROM", "SPARK_ENERGY", "inductance_from_energy", "inductance_per_ohm"]

SPARK_ENERGY: Final[FloatArray] = np.array([525e-6, 320e-6, 160e-6, 40e-6])
"""Energy of the spark by group (I, IIA, IIB, IIC) [J]; IEC 60079-11 Annex A, from memory."""
SPARK_ENERGY.flags.writeable = False

CONSTANT_ENERGY_FROM: Final = 1e-3
"""From this inductance [H] upward the energies hold; from memory, medium confidence."""

_ENERGY_BY_COLUMN: Final[FloatArray] = np.append(np.repeat(SPARK_ENERGY, 2), np.nan)
_FACTOR_BY_COLUMN: Final[FloatArray] = np.append(np.tile([FACTOR_IA_IB, FACTOR_IC], 4), np.nan)


def inductance_from_energy(I: Floats, spark: Floats, factor: Floats) -> FloatArray:
    """Give the largest inductance whose stored energy cannot ignite.

    Clause: IEC 60079-11 Annex A (spark energy of inductive circuits), from memory.

    Equation: ``Lo = 2 e / (f I)^2``, e = 525, 320, 160, 40 uJ for I, IIA, IIB, IIC.

    Parameters
    ----------
    I : array_like
        Largest current [A]; all parameters broadcast together.
    spark : array_like of int
        Group: ``GROUP_I``, ``IIA``, ``IIB`` or ``IIC`` [-].
    factor : array_like
        Safety factor on the current, 1.5 or 1.0 [-].

    Returns
    -------
    ndarray
        Permitted inductance [H]. No current stores no energy: infinite at ``I == 0``. NaN for a
        NaN or negative current, another group and another factor.

    Validity
    --------
    From ``CONSTANT_ENERGY_FROM`` upward. Less is returned as computed: the caller must call it
    no proof.

    Example
    -------
    93 mA in IIC, then 300 mA in IIB without a factor:

    >>> from subspark.physics.ignition import IIB, IIC
    >>> L = inductance_from_energy([0.093, 0.3], [IIC, IIB], [1.5, 1.0])
    >>> [f"{1e3 * value:.2f} mH" for value in L]
    ['4.11 mH', '3.56 mH']

    Source: formula and energies are reproduced in instructions of certified apparatus.
    """
    current = floats(I)
    column = column_of(spark, factor)
    energy, safety = _ENERGY_BY_COLUMN[column], _FACTOR_BY_COLUMN[column]
    with np.errstate(divide="ignore", invalid="ignore", over="ignore", under="ignore"):
        permitted = 2.0 * energy / (safety * np.where(current >= 0.0, current, np.nan)) ** 2
    return floats(permitted)


def inductance_per_ohm(
    U: Floats, R: Floats, spark: Floats, factor: Floats, L: Floats = 0.0
) -> FloatArray:
    """Give the largest ratio of inductance to resistance of a cable on a linear source.

    Clause: IEC 60079-11 clause 6 and Annex A (ratio Lo/Ro), from memory.

    Equation: ``Lo/Ro = (8 e R + sqrt(64 e^2 R^2 - 72 U^2 e L)) / (4.5 U^2)`` at factor 1.5, and
    2.25 times as much at factor 1.0; with ``L = 0`` it is ``16 e R / (4.5 U^2)``.

    Parameters
    ----------
    U : array_like
        Largest output voltage [V]; all parameters broadcast together.
    R : array_like
        Output resistance, Uo/Io [ohm].
    spark : array_like of int
        Group: ``GROUP_I``, ``IIA``, ``IIB`` or ``IIC`` [-].
    factor : array_like
        Safety factor on the current, 1.5 or 1.0 [-].
    L : array_like, optional
        The source's own inductance at its output [H].

    Returns
    -------
    ndarray
        Permitted ratio [H/ohm]. NaN where the root is negative (the source's own inductance is
        too large already), for NaN or negative inputs, another group and another factor. Infinite
        at ``U == 0`` with resistance.

    Validity
    --------
    Linear sources only, and not where the source's own output capacitance reaches 1 % of its Co.
    With ``L > 0`` the factor-1.0 figure is the standard's 2.25-fold one, which lies below what
    the same derivation gives with the factor left out: the cautious of the two.

    Example
    -------
    28 V behind 300 ohm in IIC; then 30 V behind 300 ohm with 1 mH of its own:

    >>> from subspark.physics.ignition import IIC
    >>> ratio = inductance_per_ohm([28.0, 30.0], 300.0, IIC, 1.5, L=[0.0, 1e-3])
    >>> [f"{1e6 * value:.1f} uH/ohm" for value in ratio]
    ['54.4 uH/ohm', '43.8 uH/ohm']

    Source: formula reproduced in instructions of certified apparatus and matched there to three
    digits by a printed table.
    """
    voltage, resistance, inductance = floats(U), floats(R), floats(L)
    column = column_of(spark, factor)
    energy, safety = _ENERGY_BY_COLUMN[column], _FACTOR_BY_COLUMN[column]
    sane = (voltage >= 0.0) & (resistance >= 0.0) & (inductance >= 0.0)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore", under="ignore"):
        under_root = 64.0 * energy**2 * resistance**2 - 72.0 * voltage**2 * energy * inductance
        at_ia = (8.0 * energy * resistance + np.sqrt(under_root)) / (4.5 * voltage**2)
        permitted = at_ia * (FACTOR_IA_IB / safety) ** 2
    return np.where(sane, permitted, np.nan)
