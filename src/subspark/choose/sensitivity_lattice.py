"""Numbers of six digits as whole numbers, so that a limit can be searched to its last digit."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from fractions import Fraction

from subspark.quantity import (
    C_PER_LENGTH,
    CAPACITANCE,
    CURRENT,
    FREQUENCY,
    INDUCTANCE,
    L_PER_LENGTH,
    LENGTH,
    POWER,
    R_PER_LENGTH,
    RESISTANCE,
    TIME,
    VOLTAGE,
    Kind,
)

__all__ = ["COLDEST", "DIGITS", "FACTORS", "HOTTEST", "KELVINS", "Lattice", "lattice_of"]

DIGITS = 6
"""Significant digits of a limit."""
FACTORS = (1.01, 1.1, 1.3, 2.0, 4.0, 10.0, 100.0, 1000.0)
"""The grid: each magnitude is tried at these multiples of what it is, and at these parts of it."""
KELVINS = (1.0, 5.0, 15.0, 40.0, 100.0, 200.0, 500.0)
"""The grid of a temperature: so many kelvin above and below."""
COLDEST, HOTTEST = -100.0, 400.0
"""Temperatures beyond are not tried [degC]."""

_STEPS = 9 * 10 ** (DIGITS - 1)
_LEAST = 10 ** (DIGITS - 1)
_KEPT = 12
_DECADES = 10
_FOOT = Fraction(3048, 10000)
_SMALLEST = {
    VOLTAGE.name: -3,
    CURRENT.name: -6,
    POWER.name: -6,
    CAPACITANCE.name: -12,
    INDUCTANCE.name: -9,
    RESISTANCE.name: -3,
    LENGTH.name: -3,
    C_PER_LENGTH.name: -13,
    L_PER_LENGTH.name: -9,
    R_PER_LENGTH.name: -5,
    TIME.name: -6,
    FREQUENCY.name: -1,
}
"""Power of ten from which a figure that is 0 is raised [SI]."""


@dataclass(frozen=True, slots=True)
class Lattice:
    """Numbers in order: of six significant digits; of temperatures, thousandths of a degree.

    ``unit`` is the SI value of what the digits count: 0.3048 where lengths are in feet.
    """

    signed: bool
    unit: Fraction = Fraction(1)

    def value(self, index: int) -> float:
        """The number at a place [SI]."""
        if self.signed:
            return index / 1000
        power, steps = divmod(index, _STEPS)
        number = Decimal(steps + _LEAST).scaleb(power - DIGITS + 1)
        return float(number) if self.unit == 1 else float(Fraction(number) * self.unit)

    def index(self, value: float, *, up: bool) -> int:
        """The place of a number; of one between two places that above it with ``up``."""
        toward = ROUND_CEILING if up else ROUND_FLOOR
        if self.signed:
            return int((Decimal(repr(value)) * 1000).to_integral_value(toward))
        number = Decimal(repr(value)) if self.unit == 1 else _shortest(value, self.unit)
        power: int = number.adjusted()
        steps = int(number.scaleb(DIGITS - 1 - power).to_integral_value(toward))
        place: int = power * _STEPS + steps - _LEAST
        return place

    def grid(self, now: float, *, up: bool, least: float, most: float) -> list[int]:
        """Places to be tried on a walk from a number, in order."""
        base = self.index(now, up=not up) if now or self.signed else None
        places: Iterable[int]
        if self.signed:
            places = (self.index(_within(now + (k if up else -k)), up=not up) for k in KELVINS)
        elif base is None:
            return []
        else:
            places = (self.index(now * f if up else now / f, up=not up) for f in FACTORS)
        ends = [
            None if math.isinf(one) else self.index(one, up=higher)
            for one, higher in ((least, True), (most, False))
        ]
        out: list[int] = []
        for place in places:
            one = place if ends[0] is None else max(place, ends[0])
            one = one if ends[1] is None else min(one, ends[1])
            before = out[-1] if out else base
            if before is None or (one > before if up else one < before):
                out.append(one)
        return out

    def from_nothing(self, kind: Kind) -> list[int]:
        """Places to be tried for a figure that is 0: decade by decade."""
        first = _SMALLEST.get(kind.name, -3)
        return [(first + k) * _STEPS for k in range(_DECADES)]


def _within(celsius: float) -> float:
    return min(max(celsius, COLDEST), HOTTEST)


def _shortest(value: float, unit: Fraction) -> Decimal:
    return Decimal(f"{float(Fraction(value) / unit):.{_KEPT}g}")


def lattice_of(kind: Kind, *, feet: bool) -> Lattice:
    """The numbers on which a quantity is searched."""
    if not feet:
        return Lattice(kind.signed)
    if kind is LENGTH:
        return Lattice(signed=False, unit=_FOOT)
    if kind in (C_PER_LENGTH, L_PER_LENGTH, R_PER_LENGTH):
        return Lattice(signed=False, unit=1 / _FOOT)
    return Lattice(kind.signed)
