"""Loads on a tree of cables, told by the ohms that each two of them share on their way.

``trees`` takes one tree for all circuits; here every circuit brings its own, as a matrix. The
loads stand along axis 0, and again along axis 1 of the matrix; the other axes are circuits.
"""

# ruff: noqa: E741 - I is the trade's symbol of a current
from __future__ import annotations

from typing import Final

import numpy as np

from subspark.physics._arrays import BoolArray, FloatArray, Floats, floats

__all__ = ["voltages_at_loads"]

_MOST_STEPS: Final = 60
_SETTLED: Final = 1e-13


def voltages_at_loads(U: Floats, R: Floats, I: Floats, P: Floats) -> FloatArray:
    """Give the voltage at each load of constant current and constant power, in the upper state.

    Equation: ``V_j = U_j - sum R_jk (I_k + P_k / V_k)``, where ``R_jk`` are the ohms of the way
    that loads j and k share. Newton's steps fall from above; a step that has no falling solution
    shows that there is no state.

    Parameters
    ----------
    U : array_like of shape (j, ...)
        Voltage of the supply, as each load would see it alone [V]; all parameters broadcast.
    R : array_like of shape (j, j, ...)
        Ohms of the shared ways, both cores [ohm].
    I : array_like of shape (j, ...)
        Constant currents [A].
    P : array_like of shape (j, ...)
        Constant powers [W].

    Returns
    -------
    ndarray of shape (j, ...)
        Voltage [V]; 0 at every load where the supply cannot give the powers; NaN for NaN inputs.

    Validity
    --------
    The ohms are those of a tree with the supply at its root, and above or equal to zero.

    Example
    -------
    >>> V = voltages_at_loads([[9.6]], [[[16.1]]], [[0.0]], [[0.54]])
    >>> f"{V[0, 0]:.2f} V"
    '8.59 V'
    """
    supply, ohms, current, power = floats(U), floats(R), floats(I), floats(P)
    shape = np.broadcast_shapes(
        supply.shape[1:], ohms.shape[2:], current.shape[1:], power.shape[1:]
    )
    count = ohms.shape[0]
    power = np.broadcast_to(power, (count, *shape))
    known = _known(supply, ohms, current, power, shape)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        rest = supply - _through(ohms, current)
        V: FloatArray = np.array(np.broadcast_to(rest, (count, *shape)))
        fed = known & (V > 0.0).all(axis=0)
        settled = np.zeros(shape, dtype=np.bool_)
        for _ in range(_MOST_STEPS):
            drawn = power / V
            slope = drawn / V
            after, falls = _solve(ohms, slope, rest - 2.0 * _through(ohms, drawn))
            fed = fed & (settled | (falls & (after > 0.0).all(axis=0)))
            settled = settled | ~fed | (V - after <= _SETTLED * V).all(axis=0)
            V = np.where(settled, V, after)
            if settled.all():
                break
    V = np.where(fed, V, 0.0)
    return np.where(known & (settled | ~fed), V, np.nan)


def _known(
    supply: FloatArray,
    ohms: FloatArray,
    current: FloatArray,
    power: FloatArray,
    shape: tuple[int, ...],
) -> BoolArray:
    known: BoolArray = np.asarray(np.isfinite(ohms).all(axis=(0, 1)))
    for values in (supply, current, power):
        known = np.asarray(known & np.isfinite(values).all(axis=0))
    return np.broadcast_to(known, shape)


def _through(ohms: FloatArray, current: FloatArray) -> FloatArray:
    """Volts that the currents lose on the way to each load, added up in their order."""
    lost: FloatArray = ohms[:, 0] * current[0]
    for k in range(1, ohms.shape[0]):
        lost = lost + ohms[:, k] * current[k]
    return lost


def _solve(ohms: FloatArray, slope: FloatArray, right: FloatArray) -> tuple[FloatArray, BoolArray]:
    """Solve ``V - R (slope V) = right``; the pivots are above zero while a falling state exists."""
    count = ohms.shape[0]
    rows = -ohms * slope[None]
    shape = np.broadcast_shapes(rows.shape[2:], right.shape[1:])
    rows = np.array(np.broadcast_to(rows, (count, count, *shape)))
    out = np.array(np.broadcast_to(right, (count, *shape)))
    for k in range(count):
        rows[k, k] += 1.0
    falls = np.ones(shape, dtype=np.bool_)
    for k in range(count):
        falls &= rows[k, k] > 0.0
        share = rows[k + 1 :, k] / rows[k, k]
        rows[k + 1 :, k:] -= share[:, None] * rows[k, k:][None]
        out[k + 1 :] -= share * out[k]
    for k in range(count - 1, -1, -1):
        out[k] /= rows[k, k]
        out[:k] -= rows[:k, k] * out[k]
    return out, falls
