"""The source side of every case: one source as it stands, several by calculation."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from subspark.assess.readings import LEVELS
from subspark.assess.rows import HeadRow, SourceRow
from subspark.physics.energy import inductance_from_energy
from subspark.physics.ignition import Curves
from subspark.physics.sources import largest_matched_power
from subspark.rules import Code
from subspark.rules.columns import Bools, Floats, total

__all__ = ["SourceSide", "source_side"]


class SourceSide(NamedTuple):
    """What the sources of each case can do together, and what may be connected; shape (n,)."""

    U: Floats
    I: Floats  # noqa: E741 - the symbol of current
    P: Floats
    Co: Floats
    Lo: Floats
    Lo_Ro: Floats
    half_cap: Floats
    level: Floats
    linear: Bools
    together: Bools
    source_C: Floats
    source_L: Floats
    permitted: Floats
    calculated: Bools


def source_side(head: HeadRow, source: SourceRow, code: Code, curves: Curves) -> SourceSide:
    """The source side of cases that all have the same number of sources.

    Parameters
    ----------
    head, source : rows whose fields are arrays, shape (n,) and (s, n)
        As made by :mod:`subspark.assess.columns`.

    Returns
    -------
    SourceSide
        With one source, its declared values. With several, by IEC 60079-14 Annex and
        IEC 60079-25 Annex B (from memory): series sums U and takes the largest I, parallel
        the other way round; P is the largest matched power of any subset; Co from the table
        at U, Lo from the energy, both no more than the smallest declared; level ib at the most
        where two or more drive a current. A member that is not linear leaves it all unknown.
        Where a document covers the combination its values, the first source's, stand instead.
    """
    U, I = np.asarray(source.U), np.asarray(source.I)  # noqa: E741
    count, n = U.shape
    level = np.full(n, np.inf if count else np.nan)
    if count == 0:
        nan = np.full(n, np.nan)
        no = np.zeros(n, dtype=bool)
        zero = np.zeros(n)
        return SourceSide(nan, nan, nan, nan, nan, nan, nan, nan, no, no, zero, zero, nan, no)
    if count == 1:
        return _declared(source, np.zeros(n), n)
    series = np.asarray(head.series) != 0
    spark, factor = np.asarray(head.spark), np.asarray(head.factor)
    drives = ~(I == 0.0)
    linear = (np.asarray(source.linear) != 0).all(axis=0)
    voltage = np.where(series, total(U), U.max(axis=0))
    current = np.where(series, I.max(axis=0), total(I))
    power = largest_matched_power(U, I, series)
    table = curves.permitted_capacitance(voltage, spark, factor)
    Co = np.minimum(table, np.min(source.Co_declared, axis=0))
    formula = inductance_from_energy(current, spark, factor)
    least = code.number("least formula inductance") * (1.0 - 1e-12)
    Lo = np.where(formula >= least, np.minimum(formula, np.min(source.Lo_declared, axis=0)), np.nan)
    permitted = curves.permitted_current(voltage, spark, factor)
    unknown = ~linear
    for values in (voltage, current, power, Co, Lo, permitted):
        values[unknown] = np.nan
    may_be_several = drives.sum(axis=0) > 1  # an unknown current may be one
    level = np.where(may_be_several, np.nan, np.inf)
    level = np.where((I > 0.0).sum(axis=0) > 1, LEVELS["ib"], level)
    iic = spark == 3
    cap = np.where(iic, code.number("half cap IIC"), code.number("half cap other"))
    zero = np.zeros(n)
    combined = SourceSide(
        voltage,
        current,
        power,
        Co,
        Lo,
        np.full(n, np.nan),
        cap,
        level,
        linear,
        np.zeros(n, dtype=bool),
        total(np.asarray(source.Ci)),
        total(np.asarray(source.Li)),
        permitted,
        np.ones(n, dtype=bool),
    )
    printed = np.asarray(head.by_document) != 0
    if not printed.any():
        return combined
    first = _declared(source, zero, n)
    return SourceSide(
        *(np.where(printed, one, other) for one, other in zip(first, combined, strict=True))
    )


def _declared(source: SourceRow, zero: Floats, n: int) -> SourceSide:
    """The declared values of the first source."""
    return SourceSide(
        np.asarray(source.U)[0],
        np.asarray(source.I)[0],
        np.asarray(source.P)[0],
        np.asarray(source.Co)[0],
        np.asarray(source.Lo)[0],
        np.asarray(source.Lo_Ro)[0],
        np.asarray(source.half_cap)[0],
        np.full(n, np.inf),
        np.asarray(source.linear)[0] != 0,
        np.asarray(source.together)[0] != 0,
        zero,
        zero,
        np.full(n, np.inf),
        np.zeros(n, dtype=bool),
    )
