"""Reading and checking a table of ignition curves."""

from __future__ import annotations

import csv
import hashlib
import io
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from itertools import pairwise
from typing import Final, NoReturn, TypeAlias

import numpy as np

from subspark.errors import InputError
from subspark.physics._arrays import FloatArray

__all__ = ["GROUPS", "Column", "Table", "digest_of", "read_table"]

GROUPS: Final = ("I", "IIA", "IIB", "IIC")
"""Names of the groups in the order of their numbers: the least sensitive first."""

_FACTORS: Final = (1.5, 1.0)
_VALUE_COLUMNS: Final = {"current_mA": ("current", -3), "capacitance_uF": ("capacitance", -6)}
_KEY_COLUMNS: Final = ("voltage_V", "group", "safety_factor")


@dataclass(frozen=True, slots=True, eq=False)
class Column:
    """One column as tabulated: voltages [V] rising, values [A] or [F], rows of the file."""

    voltages: FloatArray
    values: FloatArray
    rows: tuple[int, ...]


Table: TypeAlias = dict[str, dict[tuple[str, float], Column]]
_Cell: TypeAlias = tuple[float, float, int]


def read_table(
    text: str, source: str, factors: tuple[float, ...], taken: tuple[str, ...] = ()
) -> Table:
    """Read and check a table.

    Parameters
    ----------
    text : str
        The CSV text.
    source : str
        Name of the file, for messages.
    factors : tuple of float
        Safety factors that must be there.
    taken : tuple of str, optional
        Quantities that another file has given already.

    Returns
    -------
    dict
        Quantity, then (group, factor), to ``Column``; values in SI.

    Raises
    ------
    InputError
        See ``ignition.load_curves``.
    """
    for factor in factors:
        if factor not in _FACTORS:
            raise InputError(f"{source}: safety factor {factor} is stated; wanted 1.5 or 1.0")
    cells: dict[str, dict[tuple[str, float], list[_Cell]]] = {}
    for quantity, group, factor, cell in _cells(text, source, factors):
        cells.setdefault(quantity, {}).setdefault((group, factor), []).append(cell)
    if not cells:
        raise InputError(f"{source}: no row with a value; wanted at least one voltage")
    columns_by_name = {quantity: name for name, (quantity, _) in _VALUE_COLUMNS.items()}
    table: Table = {}
    for quantity, by_key in cells.items():
        where = f"{source}: column {columns_by_name[quantity]}"
        if quantity in taken:
            raise InputError(f"{where}: given in another file already; wanted each quantity once")
        table[quantity] = {key: _column(by_key[key], source, quantity) for key in sorted(by_key)}
        _check_factors_there(table[quantity], factors, where)
        _check_order(table[quantity], source, columns_by_name[quantity])
    return table


def digest_of(table: Table) -> str:
    """Give the SHA-256 of the values of a table, whatever the layout of its file."""
    lines = [
        f"{quantity};{group};{factor!r};{voltage!r};{value!r}\n"
        for quantity in sorted(table)
        for (group, factor), column in sorted(table[quantity].items())
        for voltage, value in zip(column.voltages.tolist(), column.values.tolist(), strict=True)
    ]
    return hashlib.sha256("".join(lines).encode()).hexdigest()


def _cells(
    text: str, source: str, factors: tuple[float, ...]
) -> Iterator[tuple[str, str, float, _Cell]]:
    numbered = [
        (number, line)
        for number, line in enumerate(io.StringIO(text), start=1)
        if line.strip() and not line.startswith("#")
    ]
    reader = csv.reader(line for _, line in numbered)
    header = [name.strip() for name in next(reader, [])]
    values = [name for name in _VALUE_COLUMNS if name in header]
    missing = [name for name in _KEY_COLUMNS if name not in header]
    if missing or not values:
        wanted = missing[0] if missing else " or ".join(_VALUE_COLUMNS)
        first = numbered[0][0] if numbered else 1
        raise InputError(
            f"{source}: row {first}: columns {', '.join(header) or 'none'}; wanted also {wanted}"
        )
    doubled = [name for name in (*_KEY_COLUMNS, *values) if header.count(name) > 1]
    if doubled:
        raise InputError(f"{source}: column {doubled[0]}: stands twice; wanted each column once")
    for (number, _), fields in zip(numbered[1:], reader, strict=True):
        row = dict(zip(header, fields, strict=False))
        voltage = _number(row, "voltage_V", source, number)
        group = row.get("group", "").strip()
        if group not in GROUPS:
            _refuse(source, number, "group", group, f"one of {', '.join(GROUPS)}")
        factor = _number(row, "safety_factor", source, number)
        if factor not in factors:
            stated = " or ".join(str(known) for known in factors)
            _refuse(source, number, "safety_factor", row["safety_factor"], stated)
        given = [name for name in values if row.get(name, "").strip()]
        if not given:
            _refuse(source, number, values[0], "", "a number above zero")
        for name in given:
            quantity, power = _VALUE_COLUMNS[name]
            value = _number(row, name, source, number, power)
            yield quantity, group, factor, (voltage, value, number)


def _number(row: dict[str, str], name: str, source: str, number: int, power: int = 0) -> float:
    text = row.get(name, "").strip()
    wanted = "a number above zero, with a decimal point"
    try:
        exact = Decimal(text)
    except InvalidOperation:
        _refuse(source, number, name, text, wanted)
    if not exact.is_finite() or exact <= 0:
        _refuse(source, number, name, text, wanted)
    return float(exact.scaleb(power))


def _refuse(source: str, row: int, column: str, value: str, wanted: str) -> NoReturn:
    shown = f"{value!r}" if value else "blank"
    raise InputError(f"{source}: row {row}, column {column}: {shown}; wanted {wanted}")


def _column(cells: list[_Cell], source: str, quantity: str) -> Column:
    ordered = sorted(cells)
    for before, here in pairwise(ordered):
        if before[0] == here[0]:
            row, first = max(before[2], here[2]), min(before[2], here[2])
            _refuse(
                source, row, "voltage_V", f"{here[0]:g}", f"each voltage once (also row {first})"
            )
        if here[1] > before[1]:
            name, power = next(
                (name, power) for name, (q, power) in _VALUE_COLUMNS.items() if q == quantity
            )
            bound = f"at most {before[1] * 10**-power:g}, the value at {before[0]:g} V"
            _refuse(source, here[2], name, f"{here[1] * 10**-power:g}", bound)
    voltages = np.array([cell[0] for cell in ordered])
    values = np.array([cell[1] for cell in ordered])
    voltages.flags.writeable = values.flags.writeable = False
    return Column(voltages, values, tuple(cell[2] for cell in ordered))


def _check_factors_there(
    columns: dict[tuple[str, float], Column], factors: tuple[float, ...], where: str
) -> None:
    for group in sorted({group for group, _ in columns}):
        for factor in factors:
            if (group, factor) not in columns:
                raise InputError(
                    f"{where}: group {group} has no row with safety factor {factor}; wanted "
                    "rows for every stated factor, or the factors stated that are there"
                )


def _check_order(columns: dict[tuple[str, float], Column], source: str, name: str) -> None:
    """Refuse a more sensitive group, or the larger factor, that is permitted more."""
    pairs = [
        ((low, factor), (high, factor))
        for factor in _FACTORS
        for i, high in enumerate(GROUPS)
        for low in GROUPS[i + 1 :]
    ] + [((group, 1.5), (group, 1.0)) for group in GROUPS]
    power = _VALUE_COLUMNS[name][1]
    for lower, upper in pairs:
        if lower not in columns or upper not in columns:
            continue
        below, above = columns[lower], columns[upper]
        # What is permitted at a voltage is at most what the other column permits at a lower one.
        at = np.searchsorted(above.voltages, below.voltages, side="right") - 1
        wrong = np.flatnonzero((at >= 0) & (below.values > above.values[at]))
        if wrong.size:
            i = int(wrong[0])
            j = int(at[i])
            bound = (
                f"at most {above.values[j] * 10**-power:g}, the value of group {upper[0]} with "
                f"safety factor {upper[1]} at {above.voltages[j]:g} V (row {above.rows[j]})"
            )
            _refuse(source, below.rows[i], name, f"{below.values[i] * 10**-power:g}", bound)
