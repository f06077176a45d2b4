"""What the spark ignition curves permit at a voltage: current and capacitance.

The curves are tables with one column for each group and safety factor. Between two tabulated
voltages the next higher one counts: nothing is interpolated, and nothing is extrapolated. Where a
certificate states Co the certificate decides; the curves cross-check it, and serve combinations of
sources that no certificate covers.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from importlib.resources import files
from pathlib import Path
from typing import Final

import numpy as np

from subspark.errors import InputError
from subspark.physics._arrays import FloatArray, Floats, IntArray, floats
from subspark.physics._ignition_table import GROUPS as _GROUPS
from subspark.physics._ignition_table import Column, Table, digest_of, read_table

__all__ = [
    "CAPACITANCE",
    "CURRENT",
    "FACTOR_IA_IB",
    "FACTOR_IC",
    "GROUP_I",
    "IIA",
    "IIB",
    "IIC",
    "Curves",
    "column_of",
    "load_curves",
    "standard_curves",
]

GROUP_I: Final = 0
IIA: Final = 1
IIB: Final = 2
IIC: Final = 3

FACTOR_IA_IB: Final = 1.5
FACTOR_IC: Final = 1.0

CURRENT: Final = "current"
CAPACITANCE: Final = "capacitance"

_FACTORS: Final = (FACTOR_IA_IB, FACTOR_IC)
_NO_COLUMN: Final = len(_GROUPS) * len(_FACTORS)
_SAME_VOLTAGE: Final = 1e-12

_STANDARD_NAME: Final = "IEC 60079-11 Annex A, from memory"
_STANDARD_ORIGIN: Final = (
    "IEC 60079-11 Annex A, Table A.1 (permitted short-circuit current) and Table A.2 (permitted "
    "capacitance), safety factors 1.0 and 1.5: from memory, written twice and compared cell by "
    "cell, never compared with a printed copy. Group I is not tabulated."
)


def column_of(spark: Floats, factor: Floats) -> IntArray:
    """Give the number of the column for group and safety factor.

    Parameters
    ----------
    spark : array_like of int
        Group: ``GROUP_I``, ``IIA``, ``IIB`` or ``IIC`` [-]; NaN is no group.
    factor : array_like
        Safety factor, 1.5 or 1.0 [-]; broadcasts with ``spark``.

    Returns
    -------
    ndarray of int
        ``2 * spark`` at factor 1.5, one more at factor 1.0, and 8 ("no column") for anything else.

    Example
    -------
    >>> column_of([GROUP_I, IIC, IIC, 7], [1.5, 1.5, 1.0, 1.5]).tolist()
    [0, 6, 7, 8]
    """
    group, safety = floats(spark), floats(factor)
    known_group = (group >= GROUP_I) & (group <= IIC) & (group == np.floor(group))
    is_ic = safety == FACTOR_IC
    known = known_group & (is_ic | (safety == FACTOR_IA_IB))
    first = np.where(known_group, group, 0.0).astype(np.intp) * len(_FACTORS)
    return np.where(known, first + is_ic, _NO_COLUMN)


@dataclass(frozen=True, slots=True, eq=False)
class _Grid:
    """The columns of one table, resolved onto all voltages that occur in any of them.

    ``values`` has one row a column (and one of NaN for "no column") and one place more than there
    are voltages (NaN: above the last). The rules of the look-up are worked in here, once, so that
    a look-up is one search and one indexing.
    """

    voltages: FloatArray
    values: FloatArray

    @classmethod
    def of(cls, columns: dict[tuple[str, float], Column]) -> _Grid:
        every = [column.voltages for column in columns.values()]
        voltages = np.unique(np.concatenate(every)) if every else np.empty(0)
        values = np.full((_NO_COLUMN + 1, voltages.size + 1), np.nan)
        for f, factor in enumerate(_FACTORS):
            heir = values[_NO_COLUMN]
            for g in range(len(_GROUPS) - 1, -1, -1):
                column = columns.get((_GROUPS[g], factor))
                if column is None:
                    continue
                row = values[g * len(_FACTORS) + f]
                after = np.searchsorted(column.voltages, voltages, side="left")
                held = after < column.voltages.size
                row[:-1] = np.where(held, np.append(column.values, np.nan)[after], heir[:-1])
                heir = row
        voltages.flags.writeable = values.flags.writeable = False
        return cls(voltages, values)

    def at(self, U: Floats, spark: Floats, factor: Floats) -> FloatArray:
        voltage = floats(U)
        known = voltage >= 0.0
        shaved = np.where(known, voltage * (1.0 - _SAME_VOLTAGE), np.inf)
        place = np.searchsorted(self.voltages, shaved, side="left")
        width = self.voltages.size + 1
        return floats(self.values.ravel()[column_of(spark, factor) * width + place])


@dataclass(frozen=True, slots=True, eq=False)
class Curves:
    """One printed set of ignition curves: what current and capacitance a voltage permits.

    Parameters
    ----------
    name : str
        Short name for pages and papers.
    origin : str
        Where the values come from, and how far they were checked.
    digest : str
        SHA-256 of the values (hexadecimal), whatever the layout of the file they were read from.

    Nothing can be changed after construction, so one instance may serve many threads.
    """

    name: str
    origin: str
    digest: str
    _columns: Table = field(repr=False)
    _current: _Grid = field(repr=False)
    _capacitance: _Grid = field(repr=False)

    def permitted_current(self, U: Floats, spark: Floats, factor: Floats) -> FloatArray:
        """Give the largest short-circuit current that cannot ignite in a resistive circuit.

        Clause: IEC 60079-11 Annex A, Table A.1.

        Equation: the tabulated value at the next tabulated voltage at or above ``U``.

        Parameters
        ----------
        U : array_like
            Open-circuit voltage [V]; all parameters broadcast together.
        spark : array_like of int
            Group: ``GROUP_I``, ``IIA``, ``IIB`` or ``IIC`` [-].
        factor : array_like
            Safety factor, 1.5 (levels ia, ib) or 1.0 (level ic) [-].

        Returns
        -------
        ndarray
            Permitted current [A]. Below the first voltage of a column its first value; above the
            last the value of the next more sensitive group that has one (cautious), else NaN.
            NaN for a voltage that is NaN or negative, a group without a table, another factor.

        Validity
        --------
        Linear sources. A voltage that equals a tabulated one within 1 part in 10^12 counts as it.

        Example
        -------
        >>> curves = standard_curves()
        >>> [f"{1e3 * I:.0f} mA" for I in curves.permitted_current([24.0, 28.0], IIC, 1.5)]
        ['174 mA', '120 mA']

        Source: see ``origin``.
        """
        return self._current.at(U, spark, factor)

    def permitted_capacitance(self, U: Floats, spark: Floats, factor: Floats) -> FloatArray:
        """Give the largest capacitance that cannot ignite when charged to a voltage.

        Clause: IEC 60079-11 Annex A, Table A.2.

        Equation: the tabulated value at the next tabulated voltage at or above ``U``.

        Parameters
        ----------
        U : array_like
            Largest voltage [V]; all parameters broadcast together.
        spark : array_like of int
            Group: ``GROUP_I``, ``IIA``, ``IIB`` or ``IIC`` [-].
        factor : array_like
            Safety factor, 1.5 (levels ia, ib) or 1.0 (level ic) [-].

        Returns
        -------
        ndarray
            Permitted capacitance [F], with the same rules as ``permitted_current``.

        Validity
        --------
        Capacitance without lumped inductance beside it.

        Example
        -------
        >>> curves = standard_curves()
        >>> C = curves.permitted_capacitance(28.0, [IIC, IIB, IIA, GROUP_I], 1.5)
        >>> [f"{1e6 * value:.3f} uF" for value in C]
        ['0.083 uF', '0.650 uF', '2.150 uF', 'nan uF']

        Source: see ``origin``.
        """
        return self._capacitance.at(U, spark, factor)

    def table(self, quantity: str, spark: int, factor: float) -> tuple[FloatArray, FloatArray]:
        """Give one column as tabulated, for plots and for checks.

        Parameters
        ----------
        quantity : str
            ``CURRENT`` or ``CAPACITANCE``.
        spark : int
            Group: ``GROUP_I``, ``IIA``, ``IIB`` or ``IIC`` [-].
        factor : float
            Safety factor, 1.5 or 1.0 [-].

        Returns
        -------
        voltages, values : ndarray of shape (n,)
            Voltages [V] rising, and currents [A] or capacitances [F]; both empty where the column
            is not tabulated.

        Example
        -------
        >>> voltages, currents = standard_curves().table(CURRENT, IIC, 1.5)
        >>> voltages[0], currents[0], voltages[-1], currents[-1]
        (np.float64(12.1), np.float64(3.33), np.float64(45.0), np.float64(0.0453))
        """
        column = None
        if 0 <= spark < len(_GROUPS):
            column = self._columns.get(quantity, {}).get((_GROUPS[spark], factor))
        return (column.voltages, column.values) if column else (np.empty(0), np.empty(0))


def _curves_of(name: str, origin: str, columns: Table) -> Curves:
    return Curves(
        name=name,
        origin=origin,
        digest=digest_of(columns),
        _columns=columns,
        _current=_Grid.of(columns.get(CURRENT, {})),
        _capacitance=_Grid.of(columns.get(CAPACITANCE, {})),
    )


@lru_cache(maxsize=1)
def standard_curves() -> Curves:
    """Give the curves that come with the library (read once, then kept).

    Returns
    -------
    Curves
        Values from memory: ``origin`` says so, and every result that leans on them must say so.

    Example
    -------
    >>> standard_curves().name
    'IEC 60079-11 Annex A, from memory'
    """
    data = files("subspark.physics") / "data"
    columns: Table = {}
    for quantity in (CURRENT, CAPACITANCE):
        name = f"ignition-{quantity}.csv"
        text = (data / name).read_text(encoding="utf-8")
        columns |= read_table(text, name, _FACTORS)
    return _curves_of(_STANDARD_NAME, _STANDARD_ORIGIN, columns)


def load_curves(
    path: str | Path, *, name: str = "", origin: str = "", factors: tuple[float, ...] = _FACTORS
) -> Curves:
    """Read a printed table of one's own in place of the curves of the library.

    Parameters
    ----------
    path : str or Path
        A CSV file (UTF-8), or a directory with ``ignition-current.csv`` and
        ``ignition-capacitance.csv``, or one of the two. Columns: ``voltage_V``, ``group`` (I, IIA,
        IIB, IIC), ``safety_factor`` (1.0 or 1.5), and ``current_mA`` or ``capacitance_uF`` or
        both; others are ignored, and so are lines that begin with ``#``.
    name, origin : str, optional
        Short name, and where the values come from; by default the name of the file.
    factors : tuple of float, optional
        The safety factors that the table is stated to hold, by default both. A factor left out
        permits nothing: every look-up with it is NaN.

    Returns
    -------
    Curves
        A quantity, group or factor that is not in the table gives NaN; nothing is filled in from
        the curves of the library.

    Raises
    ------
    InputError
        Naming file, row, column, value and what is wanted, where the file cannot be read, a value
        is not a positive number, a voltage stands twice, a permitted value rises with voltage, a
        more sensitive group is permitted more than a less sensitive one or factor 1.5 more than
        1.0, or a stated factor is missing.

    Source: own layout.
    """
    place = Path(path)
    columns: Table = {}
    for part in _table_files(place):
        columns |= read_table(_read_text(part), str(part), factors, taken=tuple(columns))
    return _curves_of(name or place.name, origin or f"read from {place.name}", columns)


def _table_files(place: Path) -> list[Path]:
    if not place.is_dir():
        return [place]
    wanted = [place / f"ignition-{quantity}.csv" for quantity in (CURRENT, CAPACITANCE)]
    found = [part for part in wanted if part.is_file()]
    if not found:
        names = " or ".join(part.name for part in wanted)
        raise InputError(f"{place}: no table in this directory; wanted {names}")
    return found


def _read_text(part: Path) -> str:
    try:
        return part.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(f"{part}: cannot be read ({error}); wanted a CSV file in UTF-8") from error
