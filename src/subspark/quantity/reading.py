"""Texts with a unit read into SI numbers, and written back."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from subspark.errors import QuantityError

__all__ = [
    "AREA",
    "CAPACITANCE",
    "COUNT",
    "CURRENT",
    "C_PER_LENGTH",
    "DIFFERENCE",
    "FREQUENCY",
    "GAUGE",
    "INDUCTANCE",
    "LENGTH",
    "L_PER_LENGTH",
    "L_PER_R",
    "MONEY",
    "POWER",
    "RATIO",
    "RESISTANCE",
    "R_PER_LENGTH",
    "SURGE_CURRENT",
    "TEMPERATURE",
    "THERMAL",
    "TIME",
    "UNKNOWN",
    "VOLTAGE",
    "Kind",
    "State",
    "clean",
    "read",
    "show",
]

State = Literal["number", "negligible", "not limiting", "unknown"]

_LENGTHS = {
    "mm": Fraction(1, 1000),
    "cm": Fraction(1, 100),
    "m": Fraction(1),
    "km": Fraction(1000),
    "in": Fraction(254, 10000),
    "ft": Fraction(3048, 10000),
    "kft": Fraction(3048, 10),
    "1000ft": Fraction(3048, 10),
    "1000m": Fraction(1000),
    "100m": Fraction(100),
    "mile": Fraction(1609344, 1000),
}
_AREAS = {
    "mm2": Fraction(1, 10**6),
    "mm^2": Fraction(1, 10**6),
    "cm2": Fraction(1, 10**4),
    "cm^2": Fraction(1, 10**4),
    "m2": Fraction(1),
    "sqmm": Fraction(1, 10**6),
}
_SHARES = {"%": Fraction(1, 100), "ppm": Fraction(1, 10**6)}
_DIFFERENCES = {"K": Fraction(1), "mK": Fraction(1, 1000)}
_OHM_SPELLINGS = {
    "\u03a9": "ohm",  # Greek capital omega
    "\u2126": "ohm",  # ohm sign
    "ohms": "ohm",
    "Ohm": "ohm",
    "Ohms": "ohm",
    "R": "ohm",
}
UNKNOWN = {"", "unknown", "?", "n/a", "tbd", "tba", "-"}
_NEGLIGIBLE = {"negligible", "negligibly small", "negl.", "negl"}
_NOT_LIMITING = {"not limiting", "declared not limiting"}


@dataclass(frozen=True, slots=True)
class Kind:
    """A physical quantity: its name, base unit, scale prefixes and denominators accepted."""

    name: str
    unit: str
    prefixes: tuple[str, ...] = ()
    per: tuple[str, ...] = ()
    example: str = ""
    signed: bool = False

    @property
    def wanted(self) -> str:
        """What a text of this kind looks like."""
        return f"{self.name} with its unit, such as {self.example}"


_PER_LENGTH = ("m", "km", "ft", "kft", "1000ft", "1000m", "100m")
VOLTAGE = Kind("a voltage", "V", ("", "m", "k"), example="28 V")
CURRENT = Kind("a current", "A", ("", "m", "u"), example="93 mA")
SURGE_CURRENT = Kind("a surge current", "A", ("", "k"), example="10 kA")
POWER = Kind("a power", "W", ("", "m", "u"), example="660 mW")
CAPACITANCE = Kind("a capacitance", "F", ("p", "n", "u", "m"), example="83 nF or 0.65 µF")
INDUCTANCE = Kind("an inductance", "H", ("n", "u", "m", ""), example="4.2 mH")
RESISTANCE = Kind("a resistance", "ohm", ("", "m", "k", "M"), example="300 ohm")
L_PER_R = Kind("an inductance per resistance", "H", ("n", "u", "m"), ("ohm",), "55 µH/ohm")
C_PER_LENGTH = Kind("a capacitance per length", "F", ("p", "n", "u"), _PER_LENGTH, "120 pF/m")
L_PER_LENGTH = Kind("an inductance per length", "H", ("n", "u", "m"), _PER_LENGTH, "0.7 µH/m")
R_PER_LENGTH = Kind("a resistance per length", "ohm", ("", "m"), _PER_LENGTH, "24.2 ohm/km")
LENGTH = Kind("a length", "m", example="350 m or 1200 ft")
AREA = Kind("an area", "m2", example="1.5 mm2")
TEMPERATURE = Kind("a temperature", "degC", example="40 °C", signed=True)
GAUGE = Kind("a wire gauge", "AWG", example="18 AWG or 1/0 AWG")
FREQUENCY = Kind("a frequency", "Hz", ("", "k", "M"), example="10 kHz")
TIME = Kind("a time", "s", ("", "m", "u"), example="65 µs")
DIFFERENCE = Kind("a temperature difference", "K", example="0.5 K")
RATIO = Kind("a share", "%", example="0.1 %")
COUNT = Kind("a number", "", example="2")
MONEY = Kind("a price", "", example="180")
THERMAL = Kind("a thermal resistance", "K", ("", "m"), ("W", "mW"), "110 K/W")

_NUMBER = re.compile(
    r"""\s*(?P<bound>≤|<=|<|>=|≥|>)?\s*
    (?P<sign>[+-]?)\s*
    (?P<number>(?:\d{1,3}(?:\ \d{3})+(?![\d]))(?:\.\d+)?|[\d.,]*\d[\d.,]*)
    (?P<exponent>[eE][+-]?[0-9]{1,9})?\s*
    (?P<unit>.*)$""",
    re.VERBOSE | re.DOTALL,
)
_DECIMAL = re.compile(r"[0-9]+(\.[0-9]+)?|\.[0-9]+")
_MOST_DIGITS = 400
_MOST_EXPONENT = 400
"""Beyond these no double can hold the number, and the exact one would take ever more room."""


def clean(text: str) -> str:
    """One spelling for the signs that print alike."""
    table = str.maketrans(
        {
            "\u00a0": " ",
            "\u2009": " ",
            "\u202f": " ",
            "\u2212": "-",
            "\u2013": "-",
            "\u00b5": "u",
            "\u03bc": "u",
            "\u00ba": "\u00b0",
            "\u00b7": ".",
        }
    )
    plain = text.replace("m\u00b2", "m2")  # elsewhere a raised 2 is a power, not a digit
    return " ".join(plain.translate(table).split())


def _plain_number(text: str, number: str, wanted: str) -> str:
    """The number with a decimal point, or a refusal where two readings are possible."""
    number = number.replace(" ", "")
    commas, points = number.count(","), number.count(".")
    if commas == 0 and points <= 1:
        if re.fullmatch(r"[1-9]\d{0,2}\.000", number):
            raise QuantityError(
                text,
                "a point before three zeros may be a decimal or a thousands point",
                f"{number.split('.')[0]} or {number.replace('.', '')}",
            )
        plain = number
    elif commas == 1 and points == 0:
        whole, part = number.split(",")
        if len(part) == 3:
            raise QuantityError(
                text,
                "a comma before three digits may be a decimal or a thousands comma",
                f"{whole}.{part}" + ("" if whole == "0" else f" or {whole}{part}"),
            )
        plain = f"{whole}.{part}"
    elif re.fullmatch(r"\d{1,3}(,\d{3})+\.\d+", number):
        plain = number.replace(",", "")
    elif re.fullmatch(r"\d{1,3}(\.\d{3})+,\d+", number):
        plain = number.replace(".", "").replace(",", ".")
    else:
        raise QuantityError(text, "points and commas that cannot be told apart", wanted)
    if not _DECIMAL.fullmatch(plain):
        raise QuantityError(text, "not a number", wanted)
    return plain


def _exact(number: str, exponent: str) -> Fraction:
    return Fraction(f"{number}{exponent or ''}")


def _scaled(text: str, plain: str, exponent: str, unit: str, kind: Kind) -> Fraction:
    """The exact value of number and numerator unit, the prefix read by QuantiPhy."""
    from quantiphy import Quantity

    unit = _OHM_SPELLINGS.get(unit, unit)
    for spelling, ohm in _OHM_SPELLINGS.items():
        if unit.endswith(spelling) and unit[: -len(spelling)] in ("m", "k", "M", "u"):
            unit = unit[: -len(spelling)] + ohm
    prefix = unit[: -len(kind.unit)] if unit.endswith(kind.unit) else None
    if prefix is None:
        low = unit.lower()
        if low.endswith(kind.unit.lower()) and low[: -len(kind.unit)] in ("", "p", "n", "u", "m"):
            raise QuantityError(text, f"unit {unit!r}: capitals matter", kind.wanted)
        raise QuantityError(text, f"unit {unit!r} is not of {kind.name}", kind.wanted)
    if prefix not in kind.prefixes:
        why = f"unit {unit!r} is out of scale for {kind.name}"
        if prefix == "M":
            why = f"{unit!r} means mega{kind.unit}: M is mega, m is milli"
        raise QuantityError(text, why, kind.wanted)
    if kind is THERMAL:  # a K standing alone is kelvin here, kilo to a reader of prefixes
        return _exact(plain, exponent) * (Fraction(1, 1000) if prefix == "m" else 1)
    quantity = Quantity(f"1 {prefix}{kind.unit}")
    if quantity.units != kind.unit:
        raise QuantityError(text, f"unit {unit!r} is not of {kind.name}", kind.wanted)
    return _exact(plain, exponent) * Fraction(repr(float(quantity)))


def _temperature(text: str, value: Fraction, unit: str) -> Fraction:
    unit = unit.replace(" ", "").replace("deg", "°").replace("°°", "°")
    if unit in ("°C", "C", "°c"):
        return value
    if unit in ("°F", "F"):
        return (value - 32) * Fraction(5, 9)
    why = "a unit is missing" if unit == "" else f"unit {unit!r} is not degC or degF"
    raise QuantityError(text, why, TEMPERATURE.wanted)


def _may_be_thousands(plain: str, unit: str) -> bool:
    """Whether "1.250 m" may mean 1250 m: cable is not measured in millimetres."""
    return unit in ("m", "ft") and re.fullmatch(r"[1-9]\d{0,2}\.\d{3}", plain) is not None


def _plain_unit(text: str, value: Fraction, unit: str, table: dict[str, Fraction]) -> Fraction:
    kind = _BY_TABLE[id(table)]
    factor = table.get(unit) or table.get({"feet": "ft", "'": "ft", "metres": "m"}.get(unit, ""))
    if factor is None:
        hint = " (M is mega, m is metre)" if unit == "M" else ""
        raise QuantityError(text, f"unit {unit!r} is not of {kind.name}{hint}", kind.wanted)
    return value * factor


_BY_TABLE = {
    id(_LENGTHS): LENGTH,
    id(_AREAS): AREA,
    id(_SHARES): RATIO,
    id(_DIFFERENCES): DIFFERENCE,
}


@lru_cache(maxsize=65536)
def read(text: str, kind: Kind) -> tuple[float, State]:
    """Read a text with a unit.

    Parameters
    ----------
    text : str
        As printed: ``"83 nF"``, ``"12,5 mH"``, ``"600 nF/km"``, ``"negligible"``, ``""``.
    kind : Kind
        The quantity wanted.

    Returns
    -------
    tuple[float, State]
        SI number (degC for temperatures; NaN for unknown, +inf for "not limiting") and state.

    Raises
    ------
    QuantityError
        A unit that is missing or of another quantity, a number that can be read in two ways,
        a negative or infinite magnitude. Nothing is guessed.
    """
    cleaned = clean(text)
    words = cleaned.lower()
    if words in UNKNOWN:
        return math.nan, "unknown"
    if kind is GAUGE:
        return _gauge(text, cleaned), "number"
    if words in _NEGLIGIBLE:
        return 0.0, "negligible"
    if words in _NOT_LIMITING:
        return math.inf, "not limiting"
    if words.lstrip("+-") in ("inf", "infinite", "infinity", "unlimited", "nan", "∞"):
        raise QuantityError(text, "not a finite number", kind.wanted)
    match = _NUMBER.match(cleaned)
    if match is None:
        raise QuantityError(text, "not a number", kind.wanted)
    if match["bound"] in (">", ">=", "≥"):
        raise QuantityError(text, "a lower bound is not a value", kind.wanted)
    plain = _plain_number(text, match["number"], kind.wanted)
    exponent, unit = match["exponent"] or "", match["unit"].strip()
    value = _exact_of(text, plain, exponent, match["sign"], kind)
    if kind in (TEMPERATURE, COUNT, MONEY):
        return _finite(text, _without_prefix(text, value, unit, kind), kind), "number"
    if unit == "":
        if value == 0:
            return 0.0, "number"
        raise QuantityError(text, "a unit is missing", kind.wanted)
    return _finite(text, _with_unit(text, plain, exponent, unit, kind), kind), "number"


def _without_prefix(text: str, value: Fraction, unit: str, kind: Kind) -> Fraction:
    """A temperature in degC, or a number that has no unit."""
    if kind is TEMPERATURE:
        return _temperature(text, value, unit)
    if unit:
        raise QuantityError(text, f"unit {unit!r} is not wanted", kind.wanted)
    return value


def _exact_of(text: str, plain: str, exponent: str, sign: str, kind: Kind) -> Fraction:
    """The number with its sign, of a size that a double can hold."""
    if sign == "-" and not kind.signed:
        raise QuantityError(
            text, "negative; magnitudes only, polarity is a field of its own", kind.wanted
        )
    if len(plain) > _MOST_DIGITS or abs(int(exponent[1:] or 0)) > _MOST_EXPONENT:
        raise QuantityError(text, "not a finite number", kind.wanted)
    value = _exact(plain, exponent)
    return -value if sign == "-" else value


def _finite(text: str, value: Fraction, kind: Kind) -> float:
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number) or (number == 0.0 and value != 0):
        raise QuantityError(text, "not a finite number", kind.wanted)
    return number


def _with_unit(text: str, plain: str, exponent: str, unit: str, kind: Kind) -> Fraction:
    if kind is LENGTH:
        metres = unit.replace(" ", "")
        if not exponent and _may_be_thousands(plain, metres):
            whole, part = plain.split(".")
            why = "a point before three digits of a length may be a decimal or a thousands point"
            raise QuantityError(text, why, f"{whole}.{part}0 {metres} or {whole}{part} {metres}")
        return _plain_unit(text, _exact(plain, exponent), metres, _LENGTHS)
    for table in (_AREAS, _SHARES, _DIFFERENCES):
        if kind is _BY_TABLE[id(table)]:
            return _plain_unit(text, _exact(plain, exponent), unit.replace(" ", ""), table)
    numerator, slash, denominator = unit.replace(" ", "").partition("/")
    if not kind.per:
        if slash:
            raise QuantityError(text, f"{unit!r} is per {denominator}, wanted a total", kind.wanted)
        return _scaled(text, plain, exponent, numerator, kind)
    if not slash:
        per = " or ".join(kind.per[:3])
        raise QuantityError(text, f"unit {unit!r} lacks its 'per {per}'", kind.wanted)
    return _scaled(text, plain, exponent, numerator, kind) / _divisor(text, unit, denominator, kind)


def _divisor(text: str, unit: str, denominator: str, kind: Kind) -> Fraction:
    denominator = _OHM_SPELLINGS.get(denominator, denominator)
    denominator = denominator.strip("()")
    if denominator not in kind.per:
        raise QuantityError(text, f"unit {unit!r} is not of {kind.name}", kind.wanted)
    if kind is L_PER_R:
        return Fraction(1)
    if kind is THERMAL:
        return Fraction(1, 1000) if denominator == "mW" else Fraction(1)
    return _LENGTHS[denominator]


_GAUGE = re.compile(
    r"(?:(?:AWG|No\.?|#)\s*)?(?P<number>\d{1,2})\s*(?P<aught>/\s*0)?\s*(?:AWG)?", re.IGNORECASE
)
_MOST_GAUGE = 40


def _gauge(text: str, cleaned: str) -> float:
    """Number of an American wire gauge of 4/0 to 40 AWG; 1/0 is 0, 2/0 is -1, 4/0 is -3."""
    match = _GAUGE.fullmatch(cleaned)
    if match is None or "awg" not in cleaned.lower():
        raise QuantityError(text, "not an American wire gauge", GAUGE.wanted)
    number = int(match["number"])
    if match["aught"] is not None:
        if not 1 <= number <= 4:
            raise QuantityError(text, "aughts run from 1/0 to 4/0", GAUGE.wanted)
        return float(1 - number)
    if not 1 <= number <= _MOST_GAUGE:
        raise QuantityError(text, f"gauges run from 1 to {_MOST_GAUGE}", GAUGE.wanted)
    return float(number)


_SHOWN_UNITS = {
    "a capacitance per length": "F/m",
    "an inductance per length": "H/m",
    "a resistance per length": "ohm/m",
    "an inductance per resistance": "H/ohm",
    "a thermal resistance": "K/W",
}


def _scale_number(si: float, unit: str, digits: int) -> str:
    from quantiphy import Quantity

    if si == 0:
        return f"0 {unit}"
    text = str(
        Quantity(si, unit).render(form="si", prec=digits - 1, strip_zeros=True, strip_radix=True)
    )
    number, _, rest = text.partition(" ")
    if rest.startswith("u"):
        rest = "µ" + rest[1:]
    return f"{number} {rest}"


@lru_cache(maxsize=65536)
def show(si: float, kind: Kind, digits: int = 6, *, feet: bool = False) -> str:
    """Write an SI number in the engineer's units.

    Parameters
    ----------
    si : float
        SI number [of the kind's base unit; degC for temperatures].
    kind : Kind
        The quantity.
    digits : int
        Significant digits at the most.
    feet : bool
        Lengths in feet, and what is per length per foot.

    Returns
    -------
    str
        Such as ``"59.2 nF"``; ``"unknown"`` for NaN, ``"not limiting"`` for +inf.

    Examples
    --------
    >>> show(365.76, LENGTH, feet=True), show(1.968503937007874e-10, C_PER_LENGTH, feet=True)
    ('1200 ft', '60 pF/ft')
    """
    if math.isnan(si):
        return "unknown"
    if math.isinf(si):
        return "not limiting" if si > 0 else "nothing"
    if kind is LENGTH and 0 < abs(si) < 1e-1:
        return f"{_trim(si * 1000, digits)} mm"
    if kind in (COUNT, MONEY):
        return _trim(si, digits)
    plain = _PLAIN.get(kind.name)
    if feet:
        plain = _BY_FOOT.get(kind.name, plain)
    if plain is not None:
        scale, unit = plain
        return f"{_trim(si * scale, digits)} {unit}"
    return _scale_number(si, _SHOWN_UNITS.get(kind.name, kind.unit), digits)


_PLAIN = {
    TEMPERATURE.name: (1.0, "°C"),
    LENGTH.name: (1.0, "m"),
    AREA.name: (1e6, "mm2"),
    THERMAL.name: (1.0, "K/W"),
    GAUGE.name: (1.0, "AWG"),
    RATIO.name: (100.0, "%"),
    DIFFERENCE.name: (1.0, "K"),
    R_PER_LENGTH.name: (1e3, "ohm/km"),
}
"""Quantities shown without SI prefix: factor and unit."""


_FOOT = float(_LENGTHS["ft"])
_BY_FOOT = {
    LENGTH.name: (1.0 / _FOOT, "ft"),
    R_PER_LENGTH.name: (1e3 * _FOOT, "ohm/kft"),
    C_PER_LENGTH.name: (1e12 * _FOOT, "pF/ft"),
    L_PER_LENGTH.name: (1e6 * _FOOT, "µH/ft"),
}
"""Quantities that are shown by the foot where feet are asked."""


def _trim(number: float, digits: int) -> str:
    text = f"{number:.{digits}g}"
    return f"{float(text):.0f}" if "e" in text and abs(number) >= 1 else text
