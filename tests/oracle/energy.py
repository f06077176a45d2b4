"""Reference values of spark ignition: tables, energies, formulas, matched power.

Tables: IEC 60079-11 Annex A, from memory (``data/``). Formulas: the same annex and its
clause 10.1.5, from memory. All arithmetic is exact; the square root of the Lo/Ro formula
is never taken, it is compared by squaring.
"""

from __future__ import annotations

import csv
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import combinations
from pathlib import Path

DATA = Path(__file__).parent / "data"
FULL = Fraction(3, 2)
ONE = Fraction(1)
MICRO = Fraction(1, 10**6)
ENERGY = {"IIC": 40 * MICRO, "IIB": 160 * MICRO, "IIA": 320 * MICRO, "I": 525 * MICRO}
MORE_SENSITIVE = {"IIA": ("IIA", "IIB", "IIC"), "IIB": ("IIB", "IIC"), "IIC": ("IIC",)}
CAP = {"IIC": 600 * Fraction(1, 10**9)}
OTHER_CAP = MICRO
SLIP = Fraction(5, 4)

Table = dict[tuple[str, Fraction], tuple[list[Fraction], list[Fraction]]]


def _load(name: str, column: str, scale: Fraction) -> Table:
    rows: dict[tuple[str, Fraction], list[tuple[Fraction, Fraction]]] = {}
    with (DATA / name).open(encoding="utf-8", newline="") as stream:
        for row in csv.DictReader(stream):
            key = (row["group"], Fraction(row["safety_factor"]))
            point = (Fraction(row["voltage_V"]), Fraction(row[column]) * scale)
            rows.setdefault(key, []).append(point)
    table: Table = {}
    for key, points in rows.items():
        points.sort()
        table[key] = ([v for v, _ in points], [x for _, x in points])
    return table


CAPACITANCE = _load("ignition-capacitance.csv", "capacitance_uF", MICRO)
CURRENT = _load("ignition-current.csv", "current_mA", Fraction(1, 1000))


def lookup(table: Table, voltage: Fraction, group: str, factor: Fraction) -> Fraction | None:
    """The value at the next tabulated voltage at or above; None beyond the tables."""
    for candidate in MORE_SENSITIVE.get(group, ()):
        volts, values = table[candidate, factor]
        at = bisect_left(volts, voltage)
        if at < len(volts):
            return values[at]
    return None


def permitted_capacitance(voltage: Fraction, group: str, factor: Fraction) -> Fraction | None:
    return lookup(CAPACITANCE, voltage, group, factor)


def permitted_current(voltage: Fraction, group: str, factor: Fraction) -> Fraction | None:
    return lookup(CURRENT, voltage, group, factor)


def inductance_by_energy(current: Fraction, group: str, factor: Fraction) -> Fraction | None:
    """2 e / (f I)^2; None where no current flows (no limit) or the group has no energy."""
    energy = ENERGY.get(group)
    if energy is None or current == 0:
        return None
    return 2 * energy / (factor * current) ** 2


def ratio_exceeds(
    declared: Fraction,
    times: Fraction,
    voltage: Fraction,
    current: Fraction,
    group: str,
    factor: Fraction,
    own: Fraction,
) -> bool:
    """Is a declared Lo/Ro above ``times`` the formula? Exact: both sides are squared.

    Formula: (8 e R + sqrt(64 e^2 R^2 - 72 U^2 e L)) / (4.5 U^2), 2.25 times as much at
    factor 1; a negative root means that the source's own L is too large: it counts as above.
    """
    energy = ENERGY[group]
    resistance = voltage / current
    square = 64 * energy**2 * resistance**2 - 72 * voltage**2 * energy * own
    if square < 0:
        return True
    scale = Fraction(9, 4) if factor == ONE else ONE
    rest = declared * Fraction(9, 2) * voltage**2 / (times * scale) - 8 * energy * resistance
    return rest > 0 and rest**2 > square


def ratio_about(voltage: Fraction, current: Fraction, group: str, factor: Fraction) -> Fraction:
    """The Lo/Ro formula for L = 0: 16 e R / (4.5 U^2)."""
    scale = Fraction(9, 4) if factor == ONE else ONE
    return scale * 16 * ENERGY[group] * (voltage / current) / (Fraction(9, 2) * voltage**2)


def subsets(count: int) -> Iterator[tuple[int, ...]]:
    """Every non-empty subset of 0..count-1."""
    for size in range(1, count + 1):
        yield from combinations(range(count), size)


def matched_power(pairs: Sequence[tuple[Fraction, Fraction]], series: bool) -> Fraction:
    """Largest matched power of any subset of (U, I) with I above 0; 0 if there is none."""
    live = [(u, u / i) for u, i in pairs if i > 0]
    best = Fraction(0)
    for chosen in subsets(len(live)):
        members = [live[n] for n in chosen]
        if series:
            power = sum(u for u, _ in members) ** 2 / (4 * sum(r for _, r in members))
        else:
            conductance = sum((1 / r for _, r in members), Fraction(0))
            thevenin = sum((u / r for u, r in members), Fraction(0)) / conductance
            power = thevenin**2 * conductance / 4
        best = max(best, Fraction(power))
    return best
