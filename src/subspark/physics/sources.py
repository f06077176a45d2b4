"""Equivalents of linear sources in one circuit, and the largest power that they can give.

A linear source is a voltage ``U`` behind a resistance ``R = U/I``. Members of a circuit stand along
axis 0 of the arrays; a member with ``U = I = 0`` is no member, so that circuits with fewer sources
can be filled up with zeros.
"""

# ruff: noqa: E741 - I is the standard's symbol of a current
from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt

from subspark.errors import InputError
from subspark.physics._arrays import BoolArray, FloatArray, Floats, IntArray, floats

__all__ = [
    "MOST_SOURCES",
    "Output",
    "Thevenin",
    "largest_matched_power",
    "linear_power",
    "linearity_ratio",
    "matched_power",
    "parallel_output",
    "parallel_thevenin",
    "series_output",
    "series_thevenin",
    "source_resistance",
    "trapezoid_power",
]

MOST_SOURCES: Final = 8
"""Most sources of one circuit whose subsets are all worked through."""

_BLOCK: Final = 1 << 20


class Output(NamedTuple):
    """What a circuit's sources can put out at most: voltage [V] and current [A], not together."""

    U: FloatArray
    I: FloatArray


class Thevenin(NamedTuple):
    """The one source that does exactly the same: voltage [V] behind a resistance [ohm]."""

    U: FloatArray
    R: FloatArray


def source_resistance(U: Floats, I: Floats) -> FloatArray:
    """Give the inner resistance of linear sources.

    Equation: ``R = U / I``.

    Parameters
    ----------
    U : array_like
        Open-circuit voltage [V].
    I : array_like
        Short-circuit current [A]; broadcasts with ``U``.

    Returns
    -------
    ndarray
        Resistance [ohm]; infinite where ``I == 0``; NaN for NaN or negative inputs, and for a
        current without a voltage.

    Example
    -------
    >>> source_resistance([28.0, 28.0], [0.1, 0.0]).tolist()
    [280.0, inf]
    """
    voltage, current = np.broadcast_arrays(floats(U), floats(I))
    sane = _sane(voltage, current)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        ohms = np.where(current == 0.0, np.inf, voltage / current)
    return np.where(sane, ohms, np.nan)


def parallel_output(U: Floats, I: Floats) -> Output:
    """Give voltage and current of sources in parallel for the checks, cautiously.

    Clause: IEC 60079-14 annex on several linear sources, IEC 60079-25 Annex B; from memory.

    Equation: ``U = max Us``, ``I = sum Is``.

    Parameters
    ----------
    U, I : array_like of shape (s, ...)
        Open-circuit voltages [V] and short-circuit currents [A] of the members.

    Returns
    -------
    Output
        ``U`` [V] and ``I`` [A] of shape (...); NaN where any member has a NaN in it.

    Raises
    ------
    InputError
        Where the arrays have no axis of members, or none on it.

    Example
    -------
    >>> both = parallel_output([28.0, 5.0], [0.093, 0.005])
    >>> f"{both.U:g} V, {both.I:g} A"
    '28 V, 0.098 A'
    """
    voltage, current = _members(U, I)
    return Output(*_known(voltage, current, voltage.max(axis=0), current.sum(axis=0)))


def series_output(U: Floats, I: Floats) -> Output:
    """Give voltage and current of sources in series for the checks, cautiously.

    Clause: IEC 60079-14 annex on several linear sources, IEC 60079-25 Annex B; from memory.

    Equation: ``U = sum Us``, ``I = max Is``.

    Parameters
    ----------
    U, I : array_like of shape (s, ...)
        Open-circuit voltages [V] and short-circuit currents [A] of the members.

    Returns
    -------
    Output
        ``U`` [V] and ``I`` [A] of shape (...); NaN where any member has a NaN in it.

    Raises
    ------
    InputError
        Where the arrays have no axis of members, or none on it.

    Example
    -------
    >>> both = series_output([28.0, 10.0], [0.093, 0.05])
    >>> f"{both.U:g} V, {both.I:g} A"
    '38 V, 0.093 A'
    """
    voltage, current = _members(U, I)
    return Output(*_known(voltage, current, voltage.sum(axis=0), current.max(axis=0)))


def parallel_thevenin(U: Floats, I: Floats) -> Thevenin:
    """Give the exact equivalent of linear sources in parallel, poles joined alike.

    Equation: ``1/R = sum 1/Rs``, ``U = R sum Us/Rs``.

    Parameters
    ----------
    U, I : array_like of shape (s, ...)
        Open-circuit voltages [V] and short-circuit currents [A] of the members.

    Returns
    -------
    Thevenin
        ``U`` [V] and ``R`` [ohm] of shape (...). Members without current do not count; where none
        has any, R is infinite and U the largest. NaN where any member has a NaN in it.

    Raises
    ------
    InputError
        Where the arrays have no axis of members, or none on it.

    Validity
    --------
    A real source need not sink current: for power take ``largest_matched_power``.

    Example
    -------
    28 V behind 300 ohm beside 5 V behind 1000 ohm:

    >>> both = parallel_thevenin([28.0, 5.0], [28.0 / 300.0, 0.005])
    >>> f"{both.U:.3f} V, {both.R:.2f} ohm, {matched_power(*both):.3f} W"
    '22.692 V, 230.77 ohm, 0.558 W'

    Source: circuit theory (Millman).
    """
    voltage, current = _members(U, I)
    conductance = _conductance(voltage, current)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        total = conductance.sum(axis=0)
        ohms = 1.0 / total
        volts = np.where(total == 0.0, voltage.max(axis=0), current.sum(axis=0) / total)
    return Thevenin(*_known(voltage, current, volts, ohms))


def series_thevenin(U: Floats, I: Floats) -> Thevenin:
    """Give the exact equivalent of linear sources in series, voltages adding.

    Equation: ``U = sum Us``, ``R = sum Rs``; the exact short-circuit current is ``U/R``.

    Parameters
    ----------
    U, I : array_like of shape (s, ...)
        Open-circuit voltages [V] and short-circuit currents [A] of the members.

    Returns
    -------
    Thevenin
        ``U`` [V] and ``R`` [ohm] of shape (...). A member with voltage and without current makes
        R infinite; one with neither does not count. NaN where any member has a NaN in it.

    Raises
    ------
    InputError
        Where the arrays have no axis of members, or none on it.

    Example
    -------
    >>> both = series_thevenin([28.0, 12.0], [0.1, 0.05])
    >>> f"{both.U:g} V, {both.R:g} ohm"
    '40 V, 520 ohm'
    """
    voltage, current = _members(U, I)
    ohms = np.where((voltage == 0.0) & (current == 0.0), 0.0, source_resistance(voltage, current))
    return Thevenin(*_known(voltage, current, voltage.sum(axis=0), ohms.sum(axis=0)))


def matched_power(U: Floats, R: Floats) -> FloatArray:
    """Give the largest power that a voltage behind a resistance can put into a load.

    Equation: ``P = U^2 / (4 R)``, into a load of ``R``.

    Parameters
    ----------
    U : array_like
        Open-circuit voltage [V].
    R : array_like
        Inner resistance [ohm]; broadcasts with ``U``.

    Returns
    -------
    ndarray
        Power [W]: zero behind an infinite resistance; NaN for NaN or negative inputs.

    Example
    -------
    >>> f"{matched_power(28.0, 300.0):.3f} W"
    '0.653 W'
    """
    voltage, ohms = floats(U), floats(R)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        power = voltage**2 / (4.0 * ohms)
    return np.where((voltage >= 0.0) & (ohms >= 0.0), power, np.nan)


def linear_power(U: Floats, I: Floats) -> FloatArray:
    """Give the largest power of a linear source from its voltage and current.

    Equation: ``P = U I / 4``.

    Parameters
    ----------
    U : array_like
        Open-circuit voltage [V].
    I : array_like
        Short-circuit current [A]; broadcasts with ``U``.

    Returns
    -------
    ndarray
        Power [W].

    Example
    -------
    >>> f"{linear_power(28.0, 0.093):.3f} W"
    '0.651 W'
    """
    return floats(floats(U) * floats(I) / 4.0)


def largest_matched_power(U: Floats, I: Floats, series: npt.ArrayLike) -> FloatArray:
    """Give the largest matched power of any non-empty subset of the sources of a circuit.

    A source need not sink current and may be bypassed by a fault, so that adding a source to the
    exact equivalent may hide power that a part of the sources can give.

    Clause: IEC 60079-14 annex on several linear sources, IEC 60079-25 Annex B; the reading by
    subsets is physics of our own.

    Equation: over every subset, ``(sum Is)^2 / (4 sum Is/Us)`` in parallel and
    ``(sum Us)^2 / (4 sum Us/Is)`` in series.

    Parameters
    ----------
    U, I : array_like of shape (s, ...), s <= 8
        Open-circuit voltages [V] and short-circuit currents [A] of the members.
    series : array_like of bool
        Whether the sources are in series; else in parallel. Broadcasts with shape (...).

    Returns
    -------
    ndarray
        Power [W] of shape (...). A member without current adds none (a source behind a diode, or a
        place that is not used), also not in series. NaN where any member is NaN or negative, or
        has current without voltage.

    Raises
    ------
    InputError
        Where there are more than ``MOST_SOURCES`` members, or none.

    Example
    -------
    28 V behind 301 ohm and 5 V behind 1000 ohm. In series the exact equivalent gives 0.209 W and
    in parallel 0.556 W; the first alone gives more than either.

    >>> P = largest_matched_power([28.0, 5.0], [28.0 / 301.0, 0.005], series=[False, True])
    >>> [f"{value:.3f} W" for value in P]
    ['0.651 W', '0.651 W']
    """
    voltage, current = _members(U, I)
    in_series = np.asarray(series, dtype=np.bool_)
    count = voltage.shape[0]
    if count > MOST_SOURCES:
        raise InputError(
            f"{count} sources in one circuit; wanted at most {MOST_SOURCES}: divide the circuit"
        )
    shape = np.broadcast_shapes(voltage.shape[1:], in_series.shape)
    wide = (count, *shape)
    lead = (count,) + (1,) * (len(shape) - voltage.ndim + 1) + voltage.shape[1:]
    U_flat = np.broadcast_to(voltage.reshape(lead), wide).reshape(count, -1)
    I_flat = np.broadcast_to(current.reshape(lead), wide).reshape(count, -1)
    series_flat = np.broadcast_to(in_series, shape).reshape(-1)

    alone = linear_power(U_flat, I_flat).max(axis=0)
    power = np.array(alone)
    subsets = _subsets_of_two_and_more(count)
    if subsets.shape[0]:
        step = max(1, _BLOCK // subsets.shape[0])
        for start in range(0, power.size, step):
            part = slice(start, start + step)
            joined = _best_joined(U_flat[:, part], I_flat[:, part], series_flat[part], subsets)
            power[part] = np.maximum(alone[part], joined)
    sane = _sane(U_flat, I_flat).all(axis=0)
    return np.where(sane, power, np.nan).reshape(shape)


def trapezoid_power(UQ: Floats, Uo: Floats, R: Floats) -> FloatArray:
    """Give the largest power of a trapezoidal output from the corners of its characteristic.

    Equation: ``UQ^2 / (4 R)`` where ``Uo > UQ/2``, else ``Uo (UQ - Uo) / R``.

    Parameters
    ----------
    UQ : array_like
        Voltage behind the resistance [V]; all parameters broadcast together.
    Uo : array_like
        Voltage at which the output is clipped [V].
    R : array_like
        The resistance [ohm]; the short-circuit current is ``UQ/R``.

    Returns
    -------
    ndarray
        Power [W]; NaN for NaN or negative inputs.

    Example
    -------
    48 V behind 960 ohm (50 mA), clipped at 24 V:

    >>> f"{trapezoid_power(48.0, 24.0, 960.0):.1f} W"
    '0.6 W'

    Source: reproduced in instructions of certified apparatus (the example is theirs).
    """
    behind, clipped, ohms = floats(UQ), floats(Uo), floats(R)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        on_slope = behind**2 / (4.0 * ohms)
        at_corner = clipped * (behind - clipped) / ohms
    sane = (behind >= 0.0) & (clipped >= 0.0) & (ohms >= 0.0)
    return np.where(sane, np.where(clipped > behind / 2.0, on_slope, at_corner), np.nan)


def linearity_ratio(Uo: Floats, Io: Floats, Po: Floats) -> FloatArray:
    """Give the power of an output against that of a linear one with the same corners.

    Equation: ``4 Po / (Uo Io)``: 1 for a linear output, 4 for a rectangular one.

    Parameters
    ----------
    Uo : array_like
        Highest output voltage [V]; all parameters broadcast together.
    Io : array_like
        Highest output current [A].
    Po : array_like
        Highest output power [W].

    Returns
    -------
    ndarray
        Ratio [-]; NaN where voltage or current is zero.

    Example
    -------
    >>> [f"{r:.2f}" for r in linearity_ratio([28.0, 15.0], [0.093, 0.1], [0.65, 1.5])]
    ['1.00', '4.00']
    """
    corner = floats(Uo) * floats(Io)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        return np.where(corner > 0.0, 4.0 * floats(Po) / corner, np.nan)


def _members(U: Floats, I: Floats) -> tuple[FloatArray, FloatArray]:
    voltage, current = np.broadcast_arrays(floats(U), floats(I))
    if voltage.ndim == 0 or voltage.shape[0] == 0:
        raise InputError(f"sources of shape {voltage.shape}; wanted at least one along axis 0")
    return voltage, current


def _sane(voltage: FloatArray, current: FloatArray) -> BoolArray:
    with np.errstate(invalid="ignore"):
        sane: BoolArray = (voltage >= 0.0) & (current >= 0.0) & ((current == 0.0) | (voltage > 0.0))
    return np.asarray(sane, dtype=np.bool_)


def _known(
    voltage: FloatArray, current: FloatArray, first: FloatArray, second: FloatArray
) -> tuple[FloatArray, FloatArray]:
    sane = _sane(voltage, current).all(axis=0)
    return np.where(sane, first, np.nan), np.where(sane, second, np.nan)


def _conductance(voltage: FloatArray, current: FloatArray) -> FloatArray:
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        return np.where(current == 0.0, 0.0, current / voltage)


def _subsets_of_two_and_more(count: int) -> FloatArray:
    numbers: IntArray = np.arange(1, 2**count)
    member: IntArray = (numbers[:, None] >> np.arange(count)) & 1
    return floats(member[member.sum(axis=1) > 1])


def _sums(subsets: FloatArray, values: FloatArray) -> FloatArray:
    """Sum over the members of each subset, in their order whatever the number of cases.

    A product of matrices rounds by the shape of its blocks, and one case alone would differ in
    its last bit from the same among many.
    """
    out = np.zeros((subsets.shape[0], values.shape[1]))
    for chosen, row in zip(subsets.T, values, strict=True):
        out += chosen[:, None] * row
    return out


def _best_joined(
    U: FloatArray, I: FloatArray, in_series: BoolArray, subsets: FloatArray
) -> FloatArray:
    """Give the largest matched power of the subsets, of shape (n,), from members (s, n)."""
    live = _sane(U, I) & (I > 0.0)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        # In parallel P = (sum I)^2 / (4 sum I/U), in series P = (sum U)^2 / (4 sum U/I).
        adds = np.where(live, np.where(in_series, U, I), 0.0)
        ratio = np.where(live, np.where(in_series, U / I, I / U), 0.0)
        below = _sums(subsets, ratio)
        power = np.where(below > 0.0, _sums(subsets, adds) ** 2 / (4.0 * below), 0.0)
    return floats(power.max(axis=0))
