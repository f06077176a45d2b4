"""Figures with a tolerance: least, nominal and greatest value of one printed text.

Function is judged at the corner that hurts, so a figure of a data sheet carries its ends:
``"24 V ± 10 %"``, ``"21.6 to 28.8 V"``, ``"<= 340 ohm"``, ``">= 16 V"`` or ``"250 ohm"``.
"""

from __future__ import annotations

import math
import re
from functools import lru_cache
from typing import NamedTuple

from subspark.errors import QuantityError
from subspark.quantity.reading import UNKNOWN, Kind, clean, read

__all__ = ["UNKNOWN_SPREAD", "Spread", "read_spread"]


class Spread(NamedTuple):
    """Least, nominal and greatest value [SI]; NaN where not known.

    ``exact`` says that one bare figure was given, which then stands for all three.
    """

    low: float
    nominal: float
    high: float
    exact: bool = False


UNKNOWN_SPREAD = Spread(math.nan, math.nan, math.nan)

_BETWEEN = re.compile(r"(?P<low>.+?)\s*(?:\bto\b|\.{2,3}|…)\s*(?P<high>.+)")
_ABOUT = re.compile(r"(?P<middle>.+?)\s*(?:±|\+/-|\+-)\s*(?P<by>.+)")
_BOUND = re.compile(r"(?P<sign><=|>=|≤|≥|<|>)\s*(?P<rest>.+)")
_UNIT = re.compile(r"[-+]?[\d.,\s]+(?:[eE][-+]?\d+)?\s*(?P<unit>.*)")


def _with_unit_of(text: str, other: str) -> str:
    """The text, with the unit of the other where it has none."""
    match = _UNIT.fullmatch(text)
    unit = _UNIT.fullmatch(other)
    if match is None or unit is None or match["unit"]:
        return text
    return f"{text} {unit['unit']}"


def _one(text: str, kind: Kind) -> float:
    si, state = read(text, kind)
    if state == "not limiting":
        raise QuantityError(text, "not a finite number", kind.wanted)
    return si


@lru_cache(maxsize=65536)
def read_spread(text: str, kind: Kind) -> Spread:
    """Read a figure with its tolerance.

    Parameters
    ----------
    text : str
        One figure, two ends, a figure with ± percent or ± amount, or one bound.
    kind : Kind
        The quantity wanted.

    Returns
    -------
    Spread
        In SI. An upper bound leaves the nominal unknown and the least 0 (magnitudes only); a
        lower bound leaves nominal and greatest unknown; a bare figure stands for all three.

    Raises
    ------
    QuantityError
        As :func:`subspark.quantity.read`; also ends the wrong way round.

    Examples
    --------
    >>> from subspark.quantity import RESISTANCE, VOLTAGE
    >>> read_spread("24 V ± 10 %", VOLTAGE)[:3]
    (21.6, 24.0, 26.4)
    >>> read_spread("21.6 to 28.8 V", VOLTAGE)[:3]
    (21.6, 25.2, 28.8)
    >>> read_spread("<= 340 ohm", RESISTANCE)[0], read_spread("<= 340 ohm", RESISTANCE)[2]
    (0.0, 340.0)
    """
    plain = clean(text)
    if plain.lower() in UNKNOWN:
        return UNKNOWN_SPREAD
    if match := _BOUND.fullmatch(plain):
        value = _one(match["rest"], kind)
        if match["sign"] in ("<=", "≤", "<"):
            return Spread(math.nan if kind.signed else 0.0, math.nan, value)
        return Spread(value, math.nan, math.nan)
    if match := _ABOUT.fullmatch(plain):
        return _about(text, match["middle"], match["by"], kind)
    if match := _BETWEEN.fullmatch(plain):
        low = _one(_with_unit_of(match["low"], match["high"]), kind)
        high = _one(match["high"], kind)
        if low > high:
            raise QuantityError(text, "the lower end is above the upper end", kind.wanted)
        return Spread(low, _rounded((low + high) / 2.0), high)
    value = _one(plain, kind)
    return Spread(value, value, value, exact=True)


def _about(text: str, middle: str, by: str, kind: Kind) -> Spread:
    share = by.rstrip().endswith("%")
    if share:
        try:
            part = float(by.rstrip().rstrip("%").replace(",", "."))
        except ValueError:
            raise QuantityError(text, f"{by!r} is no percentage", kind.wanted) from None
        if not 0.0 <= part < 100.0 or kind.signed:
            raise QuantityError(text, f"{by!r} is no tolerance", kind.wanted)
        value = _one(middle, kind)
        away = value * part / 100.0
    else:
        value = _one(_with_unit_of(middle, by), kind)
        away = _one(by, kind) - (_one(f"0 {_unit_of(by)}", kind) if kind.signed else 0.0)
    if away < 0.0 or (value - away < 0.0 and not kind.signed):
        raise QuantityError(text, "the tolerance is larger than the figure", kind.wanted)
    return Spread(_rounded(value - away), value, _rounded(value + away))


def _unit_of(text: str) -> str:
    match = _UNIT.fullmatch(text)
    return "" if match is None else match["unit"]


def _rounded(number: float) -> float:
    """Without the last digits that a tolerance worked out in binary brings."""
    return float(f"{number:.14g}")
