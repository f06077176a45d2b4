"""Figures moved: a number written so that it reads back exactly, a tolerance kept."""

from __future__ import annotations

import math
from decimal import Decimal

from subspark.errors import QuantityError
from subspark.quantity.reading import (
    AREA,
    COUNT,
    DIFFERENCE,
    GAUGE,
    LENGTH,
    MONEY,
    RATIO,
    TEMPERATURE,
    Kind,
)
from subspark.quantity.spread import Spread, read_spread

__all__ = ["anchor", "exact_text", "moved"]

_SCALE = {"": 0, "m": 3, "u": 6, "n": 9, "p": 12}
_BARE = (COUNT, MONEY)
_FIXED = {
    LENGTH.name: (0, "m"),
    AREA.name: (6, "mm2"),
    RATIO.name: (2, "%"),
    DIFFERENCE.name: (0, "K"),
    TEMPERATURE.name: (0, "°C"),
}
_DIGITS = 14


def exact_text(si: float, kind: Kind) -> str:
    """Write a number so that it reads as exactly that number again.

    Parameters
    ----------
    si : float
        SI number [of the kind's base unit; degC for temperatures].
    kind : Kind
        The quantity; no wire gauge.

    Returns
    -------
    str
        Such as ``"2.4E+1 V"``: for the engine, not for people; :func:`show` is for them.

    Raises
    ------
    QuantityError
        No finite number, or one below zero of a magnitude.

    Examples
    --------
    >>> from subspark.quantity import CAPACITANCE
    >>> exact_text(8.3e-08, CAPACITANCE)
    '8.3E-2 uF'
    """
    if not math.isfinite(si) or (si < 0.0 and not kind.signed) or kind is GAUGE:
        raise QuantityError(str(si), "not a finite magnitude", kind.wanted)
    number = Decimal(repr(si))
    if kind in _BARE:
        return _plain(number)
    if kind.name in _FIXED:
        places, unit = _FIXED[kind.name]
        number = number.scaleb(places)
        shown = _plain(number) if kind.signed else _power(number)
        return f"{shown} {unit}"
    prefix = "" if "" in kind.prefixes else "u"
    per = f"/{kind.per[0]}" if kind.per else ""
    return f"{_power(number.scaleb(_SCALE[prefix]))} {prefix}{kind.unit}{per}"


def _plain(number: Decimal) -> str:
    """Without exponent and without zeros behind, so that no point can be read in two ways."""
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _power(number: Decimal) -> str:
    """With an exponent: "1.250 m" could be read in two ways."""
    if not number:
        return "0"
    sign, digits, power = number.normalize().as_tuple()
    head = str(digits[0])
    rest = "".join(map(str, digits[1:]))
    shift = int(power) + len(digits) - 1
    return f"{'-' if sign else ''}{head}{'.' + rest if rest else ''}E{shift:+d}"


def anchor(figure: Spread) -> float:
    """The number by which a figure with a tolerance is moved: the nominal, else the bound [SI]."""
    for one in (figure.nominal, figure.high, figure.low):
        if not math.isnan(one):
            return one
    return math.nan


def moved(text: str, kind: Kind, to: float) -> str:
    """A figure with its tolerance at another value.

    Parameters
    ----------
    text : str
        As :func:`read_spread` reads it.
    kind : Kind
        The quantity.
    to : float
        The new value of its :func:`anchor` [SI].

    Returns
    -------
    str
        Both ends keep their proportion to the nominal; those of a temperature their distance
        from it. A bare figure and a bound stay what they are.

    Raises
    ------
    QuantityError
        Nothing is known that could be moved.

    Examples
    --------
    >>> from subspark.quantity import RESISTANCE, VOLTAGE
    >>> read_spread(moved("24 V ± 10 %", VOLTAGE, 30.0), VOLTAGE)[:3]
    (27.0, 30.0, 33.0)
    >>> moved("<= 340 ohm", RESISTANCE, 300.0)
    '<= 3E+2 ohm'
    """
    figure = read_spread(text, kind)
    if figure.exact:
        return exact_text(to, kind)
    if math.isnan(figure.nominal):
        if math.isnan(anchor(figure)):
            raise QuantityError(text, "not known, so it cannot be moved", kind.wanted)
        sign = "<=" if not math.isnan(figure.high) else ">="
        return f"{sign} {exact_text(to, kind)}"
    if kind.signed:
        away = to - figure.nominal
        ends = [figure.low + away, figure.high + away]
    else:
        times = to / figure.nominal
        ends = [figure.low * times, figure.high * times]
    low, high = (float(f"{one:.{_DIGITS}g}") for one in ends)
    return f"{exact_text(low, kind)} to {exact_text(high, kind)}"
