"""Random figures for circuits of function: exact ends, and the text by which they are entered."""

from __future__ import annotations

import random
from collections.abc import Mapping
from fractions import Fraction
from typing import NamedTuple

__all__ = ["Draw", "Ends", "Said", "cable_ohms", "copper", "verdict", "within"]


class Ends(NamedTuple):
    """Least and greatest of a figure, in the unit of its text."""

    low: Fraction
    high: Fraction


Said = Mapping[str, Ends | str | None]
"""Figures by word; None where one is not given."""


def copper(ohms: Fraction, celsius: Fraction) -> Fraction:
    """Copper at a temperature, from 20 degC: (234.5 + T) / 254.5."""
    return ohms * (Fraction("234.5") + celsius) / Fraction("254.5")


def cable_ohms(metres: int, celsius: int) -> Fraction:
    """Most ohms of both cores of 1.5 mm2, class 2, plain: 12.1 ohm/km (IEC 60228)."""
    return copper(Fraction("12.1") / 1000 * 2 * metres, Fraction(celsius))


def within(demand: Fraction | None, limit: Fraction | None) -> bool | None:
    """Whether a demand is within its limit; None where either is not known."""
    return None if demand is None or limit is None else demand <= limit


def verdict(answers: list[bool | None]) -> str:
    """The word for several answers that must all be yes."""
    if False in answers:
        return "fails"
    return "unproven" if None in answers else "works"


class Draw:
    """Draws figures and remembers the text of each."""

    def __init__(self, seed: int, lost: float = 0.02) -> None:
        self.random = random.Random(seed)
        self.lost = lost

    def ends(self, low: str, high: str, spread: float = 0.1) -> Ends:
        """A figure between two, with a tolerance, both ends of at most four digits."""
        middle = self.random.uniform(float(low), float(high))
        away = middle * self.random.choice([0.0, spread * self.random.random()])
        first, last = (Fraction(f"{one:.4g}") for one in (middle - away, middle + away))
        return Ends(first, last)

    def maybe(self, ends: Ends) -> Ends | None:
        """The same, or now and then nothing."""
        return None if self.random.random() < self.lost else ends

    def chance(self, share: float) -> bool:
        """Whether something is so, with this probability."""
        return self.random.random() < share


def text(ends: Ends, unit: str) -> str:
    """As a person enters it."""
    low, high = (f"{float(one):.10g}" for one in ends)
    return f"{low} {unit}".strip() if low == high else f"{low} to {high} {unit}".strip()
