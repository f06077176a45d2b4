"""Resistance thermometers and thermocouples: their curves, and what ohms and volts are in kelvins.

Curves, classes and pairs are numbers in the arrays: the place of the name in ``CURVES``,
``CLASSES``, ``THERMOCOUPLES`` and ``LEADS``; ``code_of`` gives it. The figures lie in
``physics/data``, with their sources.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import lru_cache
from typing import Final, NamedTuple, TypeAlias

import numpy as np

from subspark.errors import InputError
from subspark.physics._arrays import FloatArray, Floats, floats
from subspark.physics._data import rows_of

__all__ = [
    "CLASSES",
    "CURVES",
    "LEADS",
    "THERMOCOUPLES",
    "code_of",
    "error_of_ohms",
    "error_of_volts",
    "joint_error",
    "seebeck",
    "thermocouple_loop_resistance",
    "thermocouple_voltage",
    "thermometer_resistance",
    "thermometer_slope",
    "thermometer_tolerance",
    "three_wire_error",
]

CURVES: Final = ("Pt 3851", "Pt 3916", "Pt 3911", "Ni 6180")
"""Curves of resistance thermometers; the first is that of IEC 60751."""

CLASSES: Final = ("AA", "A", "B", "C")
"""Tolerance classes of IEC 60751."""

THERMOCOUPLES: Final = ("B", "E", "J", "K", "N", "R", "S", "T")
"""Letters of IEC 60584-1."""

LEADS: Final = (
    *THERMOCOUPLES, "EX", "JX", "KX", "NX", "TX", "KCA", "KCB", "NC", "RCA", "SCA",
)  # fmt: skip
"""Pairs of which a lead is made: the thermocouple's own, extension and compensating cables."""

_DEGREES: Final = 15

_Formula: TypeAlias = Callable[[FloatArray, tuple[float, ...]], FloatArray]


class _Piece(NamedTuple):
    """A polynomial between two temperatures [C], and its bell-shaped addition."""

    code: int
    low: float
    high: float
    powers: tuple[float, ...]
    bell: tuple[float, float, float]


def code_of(name: str, names: tuple[str, ...]) -> int:
    """Give the number that stands for a name in the arrays.

    Parameters
    ----------
    name : str
        Name, as it is written in ``names``.
    names : tuple of str
        ``CURVES``, ``CLASSES``, ``THERMOCOUPLES`` or ``LEADS``.

    Returns
    -------
    int
        Place of the name.

    Raises
    ------
    InputError
        Where there is no such name.

    Example
    -------
    >>> code_of("K", THERMOCOUPLES)
    3
    """
    if name not in names:
        raise InputError(f"{name!r} is not known here; wanted one of {', '.join(names)}")
    return names.index(name)


def thermometer_resistance(R0: Floats, t: Floats, curve: Floats = 0) -> FloatArray:
    """Give the resistance of a thermometer.

    Clause: IEC 60751 (Callendar and Van Dusen) for curve 0; DIN 43760 for nickel; from memory.

    Equation: ``R = R0 (1 + A t + B t^2)``, and below 0 C besides ``R0 C (t - 100) t^3``.

    Parameters
    ----------
    R0 : array_like
        Resistance at 0 C [ohm]: 100, 500, 1000; all parameters broadcast together.
    t : array_like
        Temperature [C].
    curve : array_like of int, optional
        Place in ``CURVES`` [-].

    Returns
    -------
    ndarray
        Resistance [ohm]; NaN outside the range of the curve and for another curve.

    Example
    -------
    >>> [f"{R:.2f}" for R in thermometer_resistance(100.0, [-200.0, 0.0, 100.0, 850.0, 851.0])]
    ['18.52', '100.00', '138.51', '390.48', 'nan']
    """
    return _on_curve(R0, t, curve, _ratio)


def thermometer_slope(R0: Floats, t: Floats, curve: Floats = 0) -> FloatArray:
    """Give by how much the resistance of a thermometer rises with each kelvin.

    Clause: IEC 60751, from memory.

    Equation: ``dR/dt = R0 (A + 2 B t)``, and below 0 C besides ``R0 C (4 t^3 - 300 t^2)``.

    Parameters
    ----------
    R0 : array_like
        Resistance at 0 C [ohm]; all parameters broadcast together.
    t : array_like
        Temperature [C].
    curve : array_like of int, optional
        Place in ``CURVES`` [-].

    Returns
    -------
    ndarray
        Slope [ohm/K]; NaN as for ``thermometer_resistance``.

    Example
    -------
    >>> [f"{slope:.4f}" for slope in thermometer_slope(100.0, [0.0, 100.0, 400.0, 800.0])]
    ['0.3908', '0.3793', '0.3446', '0.2984']
    """
    return _on_curve(R0, t, curve, _ratio_slope)


def thermometer_tolerance(tolerance_class: Floats, t: Floats) -> FloatArray:
    """Give what a platinum thermometer of a class may be off.

    Clause: IEC 60751:2008 and 2022, from memory.

    Equation: ``k0 + k1 |t|``: AA 0.10 + 0.0017 |t|, A 0.15 + 0.002 |t|, B 0.30 + 0.005 |t|,
    C 0.6 + 0.01 |t|.

    Parameters
    ----------
    tolerance_class : array_like of int
        Place in ``CLASSES`` [-]; broadcasts with ``t``.
    t : array_like
        Temperature [C].

    Returns
    -------
    ndarray
        Tolerance to either side [K]; NaN outside the range of the class.

    Example
    -------
    >>> [f"{off:.2f}" for off in thermometer_tolerance([0, 1, 2, 3], 100.0)]
    ['0.27', '0.35', '0.80', '1.60']
    """
    kind, temperature = np.broadcast_arrays(floats(tolerance_class), floats(t))
    result = np.full(kind.shape, np.nan)
    for code, row in enumerate(_ordered(rows_of("thermometer-classes.csv"), "class", CLASSES)):
        low, high, k0, k1 = (float(row[name]) for name in ("low_C", "high_C", "k0", "k1"))
        here = (kind == code) & (temperature >= low) & (temperature <= high)
        result = np.where(here, k0 + k1 * np.abs(temperature), result)
    return result


def thermocouple_voltage(pair: Floats, t: Floats) -> FloatArray:
    """Give the voltage of a thermocouple whose other junction is at 0 C.

    Clause: IEC 60584-1, ITS-90 reference functions (NIST Monograph 175).

    Equation: ``E = sum c_i t^i``, for type K above 0 C besides ``a exp(b (t - c)^2)``.

    Parameters
    ----------
    pair : array_like of int
        Place in ``THERMOCOUPLES`` [-]; broadcasts with ``t``.
    t : array_like
        Temperature [C].

    Returns
    -------
    ndarray
        Voltage [V]; NaN outside the range of the pair and for another pair.

    Example
    -------
    >>> f"{1e3 * thermocouple_voltage(code_of('K', THERMOCOUPLES), 1000.0):.3f} mV"
    '41.276 mV'
    """
    return _thermocouple(pair, t, slope=False)


def seebeck(pair: Floats, t: Floats) -> FloatArray:
    """Give by how much the voltage of a thermocouple rises with each kelvin.

    Clause: IEC 60584-1, ITS-90 reference functions (NIST Monograph 175).

    Equation: ``S = dE/dt``.

    Parameters
    ----------
    pair : array_like of int
        Place in ``THERMOCOUPLES`` [-]; broadcasts with ``t``.
    t : array_like
        Temperature [C].

    Returns
    -------
    ndarray
        Seebeck coefficient [V/K]; NaN outside the range of the pair and for another pair.

    Example
    -------
    >>> S = seebeck([code_of("K", THERMOCOUPLES), code_of("S", THERMOCOUPLES)], 1000.0)
    >>> [f"{1e6 * value:.1f} uV/K" for value in S]
    ['39.0 uV/K', '11.5 uV/K']
    """
    return _thermocouple(pair, t, slope=True)


def thermocouple_loop_resistance(lead: Floats, area: Floats, length: Floats) -> FloatArray:
    """Give the resistance of a pair of thermocouple alloys, out and back.

    Equation: ``(rho_positive + rho_negative) l / A``.

    Parameters
    ----------
    lead : array_like of int
        Place in ``LEADS`` [-]; all parameters broadcast together.
    area : array_like
        Section of one leg [m2].
    length : array_like
        Length of the pair [m].

    Returns
    -------
    ndarray
        Resistance [ohm] at about 20 C; NaN for another lead, a section not above zero, a negative
        length, and for NaN inputs.

    Validity
    --------
    Nominal resistivities of the alloys, from memory (medium confidence, compensating cables low):
    what the cable's data sheet says stands above it.

    Example
    -------
    >>> f"{thermocouple_loop_resistance(code_of('KX', LEADS), 1.5e-6, 150.0):.0f} ohm"
    '100 ohm'
    """
    kind, section, metres = np.broadcast_arrays(floats(lead), floats(area), floats(length))
    rho = np.full(kind.shape, np.nan)
    for code, row in enumerate(_ordered(rows_of("thermocouple-conductors.csv"), "pair", LEADS)):
        both = (float(row["positive"]) + float(row["negative"])) * 1e-6
        rho = np.where(kind == code, both, rho)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        ohms = rho * metres / section
    return np.where((section > 0.0) & (metres >= 0.0), ohms, np.nan)


def error_of_ohms(dR: Floats, R0: Floats, t: Floats, curve: Floats = 0) -> FloatArray:
    """Give the error of a resistance thermometer by ohms that are not the thermometer's.

    Equation: ``dt = dR / (dR/dt)`` at the measured temperature.

    Parameters
    ----------
    dR : array_like
        Resistance in error [ohm]; all parameters broadcast together.
    R0 : array_like
        Resistance at 0 C [ohm].
    t : array_like
        Measured temperature [C].
    curve : array_like of int, optional
        Place in ``CURVES`` [-].

    Returns
    -------
    ndarray
        Error [K]; NaN as for ``thermometer_slope``.

    Example
    -------
    >>> [f"{error:.2f} K" for error in error_of_ohms(0.2, 100.0, [0.0, 400.0, 800.0])]
    ['0.51 K', '0.58 K', '0.67 K']
    """
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        return floats(floats(dR) / thermometer_slope(R0, t, curve))


def three_wire_error(
    lead_mismatch: Floats, barrier_mismatch: Floats, current_mismatch: Floats, R_leg: Floats
) -> FloatArray:
    """Give the resistance in error of a thermometer on three wires, at worst.

    Equation: ``dR = |dR_lead| + |dR_barrier| + |di| R_leg``.

    Parameters
    ----------
    lead_mismatch : array_like
        Difference between the resistances of two leads [ohm]; all parameters broadcast together.
    barrier_mismatch : array_like
        Difference between two channels of the barrier [ohm].
    current_mismatch : array_like
        Difference between the two measuring currents over the current [-].
    R_leg : array_like
        Resistance of one lead with its channel of the barrier [ohm].

    Returns
    -------
    ndarray
        Resistance [ohm], for ``error_of_ohms``; NaN for NaN inputs.

    Example
    -------
    >>> f"{three_wire_error(0.05, 0.15, 0.001, 50.0):.2f} ohm"
    '0.25 ohm'
    """
    parts = (floats(lead_mismatch), floats(barrier_mismatch), floats(current_mismatch))
    with np.errstate(invalid="ignore", over="ignore"):
        lead, barrier, current = (np.abs(part) for part in parts)
        return floats(lead + barrier + current * floats(R_leg))


def error_of_volts(dE: Floats, pair: Floats, t: Floats) -> FloatArray:
    """Give the error of a thermocouple by a voltage that is not the thermocouple's.

    Equation: ``dt = dE / S(t)`` at the measured temperature; ``dE = I_bias R`` for a current
    through leads.

    Parameters
    ----------
    dE : array_like
        Voltage in error [V]; all parameters broadcast together.
    pair : array_like of int
        Place in ``THERMOCOUPLES`` [-].
    t : array_like
        Measured temperature [C].

    Returns
    -------
    ndarray
        Error [K]; NaN where S is not above zero (type B about 0 to 21 C) and as for ``seebeck``.

    Example
    -------
    0.5 uA through 320 ohm, on type K at 100 C:

    >>> f"{error_of_volts(0.5e-6 * 320.0, code_of('K', THERMOCOUPLES), 100.0):.2f} K"
    '3.87 K'
    """
    slope = seebeck(pair, t)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        return np.where(slope > 0.0, floats(dE) / slope, np.nan)


def joint_error(dT: Floats, pair: Floats, t_joint: Floats, t: Floats) -> FloatArray:
    """Give the error by a joint of copper whose two ends differ in temperature.

    Equation: ``dt = dT S(t_joint) / S(t)``.

    Parameters
    ----------
    dT : array_like
        Difference of temperature between the ends of the joint [K]; all parameters broadcast
        together.
    pair : array_like of int
        Place in ``THERMOCOUPLES`` [-].
    t_joint : array_like
        Temperature at the joint [C].
    t : array_like
        Measured temperature [C].

    Returns
    -------
    ndarray
        Error [K]; NaN as for ``error_of_volts``.

    Example
    -------
    >>> f"{joint_error(2.0, code_of('K', THERMOCOUPLES), 40.0, 1000.0):.2f} K"
    '2.10 K'
    """
    with np.errstate(invalid="ignore", over="ignore"):
        return error_of_volts(floats(dT) * seebeck(pair, t_joint), pair, t)


def _ordered(
    rows: Iterable[dict[str, str]], column: str, names: tuple[str, ...]
) -> list[dict[str, str]]:
    by_name = {row[column]: row for row in rows}
    return [by_name[name] for name in names]


@lru_cache(maxsize=1)
def _curves() -> list[tuple[float, ...]]:
    columns = ("low_C", "high_C", "c1", "c2", "c4", "c6", "c_below")
    rows = _ordered(rows_of("thermometer-curves.csv"), "curve", CURVES)
    return [tuple(float(row[name]) for name in columns) for row in rows]


def _ratio(t: FloatArray, c: tuple[float, ...]) -> FloatArray:
    c1, c2, c4, c6, below = c
    squared = t * t
    above = 1.0 + t * c1 + squared * (c2 + squared * (c4 + squared * c6))
    return np.where(t < 0.0, above + below * (t - 100.0) * t * squared, above)


def _ratio_slope(t: FloatArray, c: tuple[float, ...]) -> FloatArray:
    c1, c2, c4, c6, below = c
    squared = t * t
    above = c1 + t * (2.0 * c2 + squared * (4.0 * c4 + squared * (6.0 * c6)))
    return np.where(t < 0.0, above + below * squared * (4.0 * t - 300.0), above)


def _on_curve(R0: Floats, t: Floats, curve: Floats, formula: _Formula) -> FloatArray:
    ohms, temperature, kind = np.broadcast_arrays(floats(R0), floats(t), floats(curve))
    result = np.full(ohms.shape, np.nan)
    with np.errstate(invalid="ignore", over="ignore"):
        for code, (low, high, *powers) in enumerate(_curves()):
            here = (kind == code) & (temperature >= low) & (temperature <= high) & (ohms > 0.0)
            result = np.where(here, ohms * formula(temperature, tuple(powers)), result)
    return result


@lru_cache(maxsize=1)
def _pieces() -> list[_Piece]:
    pieces = []
    for row in rows_of("thermocouple-emf.csv"):
        powers = [float(row[f"c{i}"]) for i in range(_DEGREES) if row[f"c{i}"]]
        a, b, c = (float(row[f"e{i}"]) if row[f"e{i}"] else 0.0 for i in range(3))
        code = THERMOCOUPLES.index(row["type"])
        limits = float(row["low_C"]), float(row["high_C"])
        pieces.append(_Piece(code, *limits, tuple(powers), (a, b, c)))
    return pieces


def _thermocouple(pair: Floats, t: Floats, *, slope: bool) -> FloatArray:
    kind, temperature = np.broadcast_arrays(floats(pair), floats(t))
    result = np.full(kind.shape, np.nan)
    for piece in _pieces():
        here = (kind == piece.code) & (temperature >= piece.low) & (temperature <= piece.high)
        if here.any():
            result[here] = 1e-3 * _millivolts(piece, temperature[here], slope=slope)
    return result


def _millivolts(piece: _Piece, t: FloatArray, *, slope: bool) -> FloatArray:
    powers = piece.powers
    if slope:
        powers = tuple(i * c for i, c in enumerate(powers))[1:]
    total = np.full(t.shape, powers[-1])
    for c in reversed(powers[:-1]):
        total = total * t + c
    a, b, c = piece.bell
    if a:
        bell = a * np.exp(b * (t - c) ** 2)
        total = total + (2.0 * b * (t - c) * bell if slope else bell)
    return total
