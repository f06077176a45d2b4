"""Exact reading of text with units, and exact writing of results.

Everything is a ``fractions.Fraction`` in SI (V, A, W, F, H, ohm, m, degC); the only
floats are those written at the very end.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache
from typing import Any

Json = dict[str, Any]

_PREFIX = {
    "": Fraction(1),
    "p": Fraction(1, 10**12),
    "n": Fraction(1, 10**9),
    "u": Fraction(1, 10**6),
    "m": Fraction(1, 1000),
    "k": Fraction(1000),
}
_LENGTH = {
    "m": Fraction(1),
    "km": Fraction(1000),
    "ft": Fraction(3048, 10000),
}


def _build_units() -> dict[str, tuple[str, Fraction]]:
    units: dict[str, tuple[str, Fraction]] = {}
    for base in ("V", "A", "W", "F", "H", "ohm"):
        for prefix, factor in _PREFIX.items():
            units[prefix + base] = (base, factor)
    for base in ("F", "H", "ohm"):
        for prefix, factor in _PREFIX.items():
            for length, metres in _LENGTH.items():
                units[f"{prefix}{base}/{length}"] = (f"{base}/m", factor / metres)
    for prefix, factor in _PREFIX.items():
        units[f"{prefix}H/ohm"] = ("H/ohm", factor)
    for length, metres in _LENGTH.items():
        units[length] = ("m", metres)
    units["K/W"] = ("K/W", Fraction(1))
    units["mm2"] = ("mm2", Fraction(1))
    units["cm2"] = ("mm2", Fraction(100))
    units["%"] = ("%", Fraction(1, 100))
    units["C"] = ("degC", Fraction(1))
    return units


UNITS = _build_units()
_NUMBER = re.compile(r"([+-]?\d+(?:\.\d+)?(?:[eE][+-]?\d+)?)\s*(\S*)")
_RANGE = re.compile(r"(-?\d+(?:\.\d+)?)\s*to\s*(-?\d+(?:\.\d+)?)\s*([CF])")
_BLANK = ("", "unknown")


@dataclass(frozen=True, slots=True)
class Value:
    """A number, or one of the states "unknown", "not limiting", "bad"."""

    number: Fraction | None
    state: str


UNKNOWN = Value(None, "unknown")
NOT_LIMITING = Value(None, "not limiting")
BAD = Value(None, "bad")
ZERO = Value(Fraction(0), "number")


def blank(text: object) -> bool:
    """True for a missing key, "" and "unknown"."""
    return text is None or (isinstance(text, str) and text.strip() in _BLANK)


@lru_cache(maxsize=65536)
def _parse(text: str, dimension: str) -> Value:
    text = text.strip().replace("µ", "u").replace("μ", "u").replace("Ω", "ohm")
    if text in _BLANK:
        return UNKNOWN
    if text == "negligible":
        return ZERO
    if text == "not limiting":
        return NOT_LIMITING
    match = _NUMBER.fullmatch(text)
    if match is None:
        return BAD
    number = Fraction(match.group(1))
    unit = match.group(2)
    if unit == "":
        return ZERO if number == 0 else BAD
    known = UNITS.get(unit)
    if known is None or known[0] != dimension:
        return BAD
    return Value(number * known[1], "number")


@dataclass(slots=True)
class Notes:
    """What is told beside the rules: ordered, without repetition."""

    bad: list[str] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)
    assumptions: list[str] = field(default_factory=list)
    open_points: list[str] = field(default_factory=list)

    @staticmethod
    def add(where: list[str], text: str) -> None:
        if text not in where:
            where.append(text)


def read(
    notes: Notes,
    owner: str,
    name: str,
    text: object,
    dimension: str,
    *,
    not_limiting: bool = False,
    signed: bool = False,
) -> Value:
    """Read one quantity; what cannot stand is listed as bad input and becomes unknown."""
    if text is None:
        return UNKNOWN
    value = _parse(text, dimension) if isinstance(text, str) else BAD
    if value.state == "bad" or (value.state == "not limiting" and not not_limiting):
        Notes.add(notes.bad, f"{owner}: {name} {text!r}")
        return UNKNOWN
    if value.number is not None and value.number < 0 and not signed:
        Notes.add(notes.bad, f"{owner}: {name} {text!r}")
        return UNKNOWN
    return value


@lru_cache(maxsize=4096)
def temperature_range(text: str) -> tuple[Fraction, Fraction] | None:
    """Read a range such as "-20 to 40 C" or "-4 to 140 F", in degC."""
    match = _RANGE.fullmatch(text.strip().replace("°", ""))
    if match is None:
        return None
    low, high = Fraction(match.group(1)), Fraction(match.group(2))
    if match.group(3) == "F":
        low, high = (low - 32) * Fraction(5, 9), (high - 32) * Fraction(5, 9)
    return (low, high) if low <= high else None


def read_range(notes: Notes, owner: str, text: object) -> tuple[Fraction, Fraction] | None:
    """An ambient range; None is unknown."""
    if blank(text):
        return None
    found = temperature_range(text) if isinstance(text, str) else None
    if found is None:
        Notes.add(notes.bad, f"{owner}: ambient {text!r}")
    return found


def plain(number: Fraction) -> str:
    """A fraction as a short decimal text."""
    return str(number.numerator) if number.denominator == 1 else f"{float(number):.9g}"


def range_text(limits: tuple[Fraction, Fraction] | None) -> str | None:
    return None if limits is None else f"{plain(limits[0])} to {plain(limits[1])} C"


CLASSES = {
    "T1": 450,
    "T2": 300,
    "T2A": 280,
    "T2B": 260,
    "T2C": 230,
    "T2D": 215,
    "T3": 200,
    "T3A": 180,
    "T3B": 165,
    "T3C": 160,
    "T4": 135,
    "T4A": 120,
    "T5": 100,
    "T6": 85,
}
_DEGREES = re.compile(r"T?\s*(\d+(?:\.\d+)?)\s*C")
_SPAN = re.compile(r"(T\d[A-D]?)\s*(?:\.{2,3}|…)\s*(T\d[A-D]?)")


@lru_cache(maxsize=1024)
def temperature_mark(text: str) -> tuple[Fraction, str] | None:
    """Read "T4", "T6...T4" (the hottest) or "T150 C": degC, and "class" or "degrees"."""
    text = text.strip().replace("°", "")
    if text in CLASSES:
        return Fraction(CLASSES[text]), "class"
    span = _SPAN.fullmatch(text)
    if span is not None and span.group(1) in CLASSES and span.group(2) in CLASSES:
        return Fraction(max(CLASSES[span.group(1)], CLASSES[span.group(2)])), "class"
    degrees = _DEGREES.fullmatch(text)
    return None if degrees is None else (Fraction(degrees.group(1)), "degrees")


def read_temperature(notes: Notes, owner: str, text: object) -> tuple[Fraction, str] | None:
    if blank(text):
        return None
    found = temperature_mark(text) if isinstance(text, str) else None
    if found is None:
        Notes.add(notes.bad, f"{owner}: temperature {text!r}")
    return found


def significant(number: Fraction, digits: int) -> float:
    """Rounded to so many significant digits (half to even), as the nearest double."""
    if number == 0:
        return 0.0
    sign = -1 if number < 0 else 1
    number = abs(number)
    exponent = len(str(number.numerator)) - len(str(number.denominator)) - digits
    scaled = number / Fraction(10) ** exponent
    while scaled >= 10**digits:
        scaled /= 10
        exponent += 1
    while scaled < 10 ** (digits - 1):
        scaled *= 10
        exponent -= 1
    return float(sign * round(scaled) * Fraction(10) ** exponent)


def written(value: object) -> Any:
    """A demand or limit for the result: fractions as the nearest double."""
    return float(value) if isinstance(value, Fraction) else value
