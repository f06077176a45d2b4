"""Characteristics of sources and loads by points, and the least that is left between two of them.

A characteristic is a pair of arrays, currents [A] and voltages [V], with its points along axis 0
and rising in current; shorter ones are filled up with NaN at the end. Between two points it is
straight, beyond the ends it is unknown. All other parameters broadcast with the axes that follow.
"""

# ruff: noqa: E741 - I is the trade's symbol of a current
from __future__ import annotations

from typing import NamedTuple

import numpy as np

from subspark.errors import InputError
from subspark.physics._arrays import BoolArray, FloatArray, Floats, IntArray, floats

__all__ = ["Slack", "interpolate", "largest_voltage", "least_slack", "straight_line"]


class Slack(NamedTuple):
    """What is left between the voltage that a loop has and the voltage that it needs.

    ``I`` [A], ``has`` [V], ``needs`` [V] and ``slack`` [V] have the tested currents along axis 0;
    ``least`` [V], ``at`` [A] and ``row`` [-] (where the least stands) have the other axes.
    """

    I: FloatArray
    has: FloatArray
    needs: FloatArray
    slack: FloatArray
    least: FloatArray
    at: FloatArray
    row: IntArray


def straight_line(U: Floats, R: Floats, I_last: Floats) -> tuple[FloatArray, FloatArray]:
    """Give the characteristic of a voltage behind a resistance, from no current to the last one.

    Equation: ``U(I) = U - R I`` for ``0 <= I <= I_last``.

    Parameters
    ----------
    U : array_like
        Voltage without current [V]; all parameters broadcast together.
    R : array_like
        Resistance [ohm]; 0 for a need that is the same at every current.
    I_last : array_like
        Current up to which it holds [A]: the limit of a source.

    Returns
    -------
    tuple of two ndarrays of shape (2, ...)
        Currents [A] and voltages [V].

    Example
    -------
    >>> I, U = straight_line(24.0, 300.0, 0.025)
    >>> I.tolist(), U.tolist()
    ([0.0, 0.025], [24.0, 16.5])
    """
    voltage, ohms, last = np.broadcast_arrays(floats(U), floats(R), floats(I_last))
    return np.stack([np.zeros_like(last), last]), np.stack([voltage, voltage - ohms * last])


def interpolate(
    points_I: Floats, points_U: Floats, I: Floats, *, highest: bool = False
) -> FloatArray:
    """Give a characteristic's voltage at a current.

    Equation: a straight line between two points; nothing before the first or beyond the last.

    Parameters
    ----------
    points_I, points_U : array_like of shape (p, ...)
        Currents [A], not falling, and voltages [V]; filled up with NaN at the end.
    I : array_like
        Current [A]; broadcasts with the axes after the first.
    highest : bool, optional
        Which voltage counts where the characteristic has several at one current (a step): the
        lowest, cautious for a source, or the highest, cautious for a need.

    Returns
    -------
    ndarray
        Voltage [V]; NaN outside the points, where a point at either side is unknown, and where
        the currents fall.

    Raises
    ------
    InputError
        Where the points have no axis, or none on it.

    Example
    -------
    >>> U = interpolate([0.0, 0.02, 0.022], [22.5, 16.0, 15.3], [0.01, 0.022, 0.023])
    >>> [f"{value:.2f}" for value in U]
    ['19.25', '15.30', 'nan']
    """
    xs, ys = _points(points_I, points_U)
    x = floats(I)
    better = np.fmax if highest else np.fmin
    found = np.where(x == xs[0], ys[0], np.nan)
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        for x0, x1, y0, y1 in zip(xs[:-1], xs[1:], ys[:-1], ys[1:], strict=True):
            between = y0 + (y1 - y0) * ((x - x0) / (x1 - x0))
            inside = np.where((x0 < x) & (x < x1), between, np.nan)
            at_end = np.where(x == x1, y1, np.nan)
            found = better(found, better(inside, at_end))
    return np.where(_rising(xs), found, np.nan)


def least_slack(
    source: tuple[Floats, Floats],
    R: Floats,
    need: tuple[Floats, Floats],
    I_low: Floats,
    I_high: Floats,
    *,
    drop: Floats = 0.0,
) -> Slack:
    """Find where a loop comes closest to the voltage that its load needs, between two currents.

    Equation: ``slack(I) = U_source(I) - drop - I R - U_need(I)``. It is piecewise straight, so its
    least value lies at a breakpoint of either characteristic or at an end of the range.

    Parameters
    ----------
    source, need : tuple of two array_likes of shape (p, ...)
        Characteristics: currents [A] and voltages [V]; see ``interpolate``. At a step the source
        counts with its lowest voltage and the need with its highest. The numbers of points may
        differ. ``straight_line`` makes one of an open-circuit voltage and a resistance.
    R : array_like
        Resistance in series [ohm].
    I_low, I_high : array_like
        Ends of the range [A], both tested.
    drop : array_like, optional
        Voltage lost whatever the current [V]: a diode in the return.

    Returns
    -------
    Slack
        The tested currents along axis 0 are both ends, then the breakpoints; a breakpoint outside
        the range is replaced by ``I_low``. ``least`` is NaN where either characteristic is unknown
        at a tested current, where the range is empty, and for NaN inputs.

    Raises
    ------
    InputError
        Where the points have no axis, or none on it.

    Example
    -------
    A lift-off voltage of 18 V up to 11 mA and 10.5 V from there on: enough at either end of the
    range, and too little between.

    >>> loop = least_slack(
    ...     straight_line(24.0, 250.0, 0.025), 330.0,
    ...     ([0.0, 0.011, 0.011, 0.025], [18.0, 18.0, 10.5, 10.5]), 0.0036, 0.022,
    ... )
    >>> [f"{slack:.2f}" for slack in loop.slack[:2]]
    ['3.91', '0.74']
    >>> f"{loop.least:.2f} V at {1e3 * loop.at:.0f} mA"
    '-0.38 V at 11 mA'
    """
    source_I, source_U = _points(*source)
    need_I, need_U = _points(*need)
    current = _tested(I_low, I_high, source_I, need_I)
    has = _has(source_I, source_U, R, drop, current, highest=False)
    needs = interpolate(need_I[:, None], need_U[:, None], current, highest=True)
    current, has, needs = np.broadcast_arrays(current, has, needs)
    slack = has - needs
    index: IntArray = np.asarray(slack.argmin(axis=0), dtype=np.intp)  # a NaN counts as the least
    least, at = (_row(values, index) for values in (slack, current))
    return Slack(current, has, needs, slack, least, np.where(np.isnan(least), np.nan, at), index)


def largest_voltage(
    source: tuple[Floats, Floats],
    R: Floats,
    I_low: Floats,
    I_high: Floats,
    *,
    drop: Floats = 0.0,
) -> FloatArray:
    """Give the largest voltage that a loop leaves at its load between two currents.

    Equation: ``max U_source(I) - drop - I R``, at a breakpoint or an end of the range.

    Parameters
    ----------
    source : tuple of two array_likes of shape (p, ...)
        Highest characteristic of the source: currents [A] and voltages [V]; at a step its highest
        voltage counts.
    R : array_like
        Least resistance in series [ohm]: cold, with the tolerances down.
    I_low, I_high : array_like
        Ends of the range [A].
    drop : array_like, optional
        Voltage surely lost [V].

    Returns
    -------
    ndarray
        Voltage [V]; NaN where the characteristic is unknown at a tested current, where the range
        is empty, and for NaN inputs.

    Raises
    ------
    InputError
        Where the points have no axis, or none on it.

    Example
    -------
    >>> f"{largest_voltage(straight_line(26.0, 300.0, 0.025), 250.0, 0.0036, 0.022):.2f} V"
    '24.02 V'
    """
    source_I, source_U = _points(*source)
    current = _tested(I_low, I_high, source_I)
    has = _has(source_I, source_U, R, drop, current, highest=True)
    return floats(has.max(axis=0))


def _points(points_I: Floats, points_U: Floats) -> tuple[FloatArray, FloatArray]:
    xs, ys = np.broadcast_arrays(floats(points_I), floats(points_U))
    if xs.ndim == 0 or xs.shape[0] == 0:
        raise InputError(f"a characteristic of shape {xs.shape}; wanted points along axis 0")
    return xs, ys


def _rising(xs: FloatArray) -> BoolArray:
    """Tell whether the currents of the points nowhere fall."""
    with np.errstate(invalid="ignore"):
        falls = (xs[1:] < xs[:-1]).any(axis=0)
    return np.logical_not(falls)


def _tested(I_low: Floats, I_high: Floats, *breakpoints: FloatArray) -> FloatArray:
    """Give both ends of a range and the breakpoints within it, along a new axis 0."""
    low, high = np.broadcast_arrays(floats(I_low), floats(I_high))
    with np.errstate(invalid="ignore"):
        sane = low <= high
        rows = [np.where(sane, low, np.nan), np.where(sane, high, np.nan)]
        for points in breakpoints:
            rows += [np.where((x > low) & (x < high), x, rows[0]) for x in points]
    return np.stack(np.broadcast_arrays(*rows))


def _has(
    xs: FloatArray, ys: FloatArray, R: Floats, drop: Floats, current: FloatArray, *, highest: bool
) -> FloatArray:
    voltage = interpolate(xs[:, None], ys[:, None], current, highest=highest)
    with np.errstate(invalid="ignore", over="ignore"):
        return floats(voltage - floats(drop) - current * floats(R))


def _row(values: FloatArray, index: IntArray) -> FloatArray:
    return floats(np.take_along_axis(values, index[None], axis=0)[0])
