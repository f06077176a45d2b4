"""Text with units to SI numbers and back: the only place where a unit is read or written.

A certificate prints ``83 nF``; the engine computes with 8.3e-08. Between the two stands
:func:`read`, which refuses what it cannot read without guessing, and :class:`Value`, which
keeps the text as printed, its SI number and where it was read. Numbers are the nearest
double of the exact decimal (600 nF/km gives exactly the double 6e-10), so that a sum that
meets its limit in decimals meets it in binary to a few units in the last place.

Four things are different and stay so:

``"0"`` or ``"0 nF"``
    a number, zero;
``"negligible"``
    zero in the words of a document, kept as such;
``"not limiting"``
    a document declares that this limit does not limit (fields that allow it: Ii, Pi);
``""`` or ``"unknown"``
    nothing is known: NaN, and a verdict that needs it is *unproven*.

Temperatures are in degC (not kelvin) throughout, since every limit of the trade is.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache
from typing import ClassVar, Literal, Self

from subspark.errors import InputError, QuantityError

__all__ = [
    "Area",
    "Capacitance",
    "CapacitancePerLength",
    "Current",
    "Evidence",
    "Inductance",
    "InductancePerLength",
    "InductancePerResistance",
    "Length",
    "Power",
    "Resistance",
    "ResistancePerLength",
    "Temperature",
    "TemperatureRange",
    "ThermalResistance",
    "Value",
    "Voltage",
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
_OHM_SPELLINGS = {"Ω": "ohm", "Ω": "ohm", "ohms": "ohm", "Ohm": "ohm", "Ohms": "ohm", "R": "ohm"}
_UNKNOWN = {"", "unknown", "?", "n/a", "tbd", "tba", "-"}
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
POWER = Kind("a power", "W", ("", "m", "u"), example="660 mW")
CAPACITANCE = Kind("a capacitance", "F", ("p", "n", "u", "m"), example="83 nF or 0.65 µF")
INDUCTANCE = Kind("an inductance", "H", ("n", "u", "m", ""), example="4.2 mH")
RESISTANCE = Kind("a resistance", "ohm", ("", "m", "k", "M"), example="300 ohm")
L_PER_R = Kind("an inductance per resistance", "H", ("n", "u", "m"), ("ohm",), "55 µH/ohm")
C_PER_LENGTH = Kind("a capacitance per length", "F", ("p", "n", "u"), _PER_LENGTH, "120 pF/m")
L_PER_LENGTH = Kind("an inductance per length", "H", ("n", "u", "m"), _PER_LENGTH, "0.7 µH/m")
R_PER_LENGTH = Kind("a resistance per length", "ohm", ("", "m"), _PER_LENGTH, "24.2 ohm/km")
LENGTH = Kind("a length", "m", example="350 m or 1200 ft")
SECTION = Kind("an area", "m2", example="1.5 mm2")
TEMPERATURE = Kind("a temperature", "degC", example="40 °C", signed=True)
THERMAL = Kind("a thermal resistance", "K", ("", "m"), ("W", "mW"), "110 K/W")

_NUMBER = re.compile(
    r"""\s*(?P<bound>≤|<=|<|>=|≥|>)?\s*
    (?P<sign>[+-]?)\s*
    (?P<number>(?:\d{1,3}(?:\ \d{3})+(?![\d]))(?:\.\d+)?|[\d.,]*\d[\d.,]*)
    (?P<exponent>[eE][+-]?\d+)?\s*
    (?P<unit>.*)$""",
    re.VERBOSE | re.DOTALL,
)
_DECIMAL = re.compile(r"\d+(\.\d+)?|\.\d+")


def _clean(text: str) -> str:
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
            "\u00b2": "2",
            "\u00b7": ".",
        }
    )
    return " ".join(text.translate(table).split())


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
        if unit.endswith(spelling) and unit[:-1] in ("m", "k", "M", "u"):
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


def _plain_unit(text: str, value: Fraction, unit: str, table: dict[str, Fraction]) -> Fraction:
    kind = LENGTH if table is _LENGTHS else SECTION
    factor = table.get(unit) or table.get({"feet": "ft", "'": "ft", "metres": "m"}.get(unit, ""))
    if factor is None:
        hint = " (M is mega, m is metre)" if unit == "M" else ""
        raise QuantityError(text, f"unit {unit!r} is not of {kind.name}{hint}", kind.wanted)
    return value * factor


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
    cleaned = _clean(text)
    words = cleaned.lower()
    if words in _UNKNOWN:
        return math.nan, "unknown"
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
    if match["sign"] == "-" and not kind.signed:
        raise QuantityError(
            text, "negative; magnitudes only, polarity is a field of its own", kind.wanted
        )
    value = _exact(plain, exponent)
    if match["sign"] == "-":
        value = -value
    if kind is TEMPERATURE:
        return float(_temperature(text, value, unit)), "number"
    if unit == "":
        if value == 0:
            return 0.0, "number"
        raise QuantityError(text, "a unit is missing", kind.wanted)
    return _finite(text, _with_unit(text, plain, exponent, unit, kind), kind), "number"


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
        return _plain_unit(text, _exact(plain, exponent), unit.replace(" ", ""), _LENGTHS)
    if kind is SECTION:
        return _plain_unit(text, _exact(plain, exponent), unit.replace(" ", ""), _AREAS)
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
def show(si: float, kind: Kind, digits: int = 6) -> str:
    """Write an SI number in the engineer's units.

    Parameters
    ----------
    si : float
        SI number [of the kind's base unit; degC for temperatures].
    kind : Kind
        The quantity.
    digits : int
        Significant digits at the most.

    Returns
    -------
    str
        Such as ``"59.2 nF"``; ``"unknown"`` for NaN, ``"not limiting"`` for +inf.
    """
    if math.isnan(si):
        return "unknown"
    if math.isinf(si):
        return "not limiting" if si > 0 else "nothing"
    if kind is TEMPERATURE:
        return f"{_trim(si, digits)} °C"
    if kind is LENGTH:
        if 0 < abs(si) < 0.1:
            return f"{_trim(si * 1000, digits)} mm"
        return f"{_trim(si, digits)} m"
    if kind is SECTION:
        return f"{_trim(si * 1e6, digits)} mm2"
    if kind is THERMAL:
        return f"{_trim(si, digits)} K/W"
    if kind is R_PER_LENGTH:
        return f"{_trim(si * 1000, digits)} ohm/km"
    return _scale_number(si, _SHOWN_UNITS.get(kind.name, kind.unit), digits)


def _trim(number: float, digits: int) -> str:
    text = f"{number:.{digits}g}"
    return f"{float(text):.0f}" if "e" in text and abs(number) >= 1 else text


@dataclass(frozen=True, slots=True)
class Evidence:
    """Where a number or statement was read, and by whom.

    ``assumed`` says that it was not read anywhere but taken (a default, a judgement).
    """

    document: str = ""
    page: str = ""
    note: str = ""
    by: str = ""
    assumed: bool = False

    def __post_init__(self) -> None:
        for name in ("document", "page", "note", "by"):
            given = getattr(self, name)
            if not isinstance(given, str):
                raise InputError(f"evidence, {name}: {given!r} is not a text")
            plain = " ".join(given.split())
            if plain != given:
                object.__setattr__(self, name, plain)
        if not isinstance(self.assumed, bool):
            raise InputError(f"evidence, assumed: {self.assumed!r} is neither True nor False")

    def __bool__(self) -> bool:
        return bool(self.document or self.page or self.note or self.by or self.assumed)

    def __str__(self) -> str:
        parts = [self.document, f"p. {self.page}" if self.page else "", self.note]
        parts += [f"by {self.by}" if self.by else "", "assumed" if self.assumed else ""]
        return ", ".join(part for part in parts if part)


NO_EVIDENCE = Evidence()


@dataclass(frozen=True, slots=True)
class Value:
    """A quantity as printed, its SI number and its evidence.

    Use the subclass of the quantity: ``Voltage("28 V")``. ``si`` is NaN where nothing is
    known and +inf where a document declares it not limiting.
    """

    kind: ClassVar[Kind]
    text: str = ""
    evidence: Evidence = NO_EVIDENCE
    si: float = field(init=False, compare=False, repr=False)
    state: State = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        if self.text != self.text.strip():
            object.__setattr__(self, "text", self.text.strip())
        si, state = read(self.text, type(self).kind)
        object.__setattr__(self, "si", si)
        object.__setattr__(self, "state", state)

    @classmethod
    def of(cls, given: object, evidence: Evidence = NO_EVIDENCE) -> Self:
        """From a Value, a text with unit, an SI number or None (unknown)."""
        if isinstance(given, cls):
            return given
        if given is None:
            return cls("", evidence)
        if isinstance(given, bool) or not isinstance(given, (str, int, float)):
            raise QuantityError(str(given), f"a {type(given).__name__}", cls.kind.wanted)
        if isinstance(given, str):
            return cls(given, evidence)
        number = float(given)
        if math.isnan(number):
            return cls("", evidence)
        if cls.kind.unit == "degC":
            return cls(f"{number!r} °C", evidence)
        if not math.isfinite(number) or number < 0:
            raise QuantityError(repr(given), "not a finite magnitude", cls.kind.wanted)
        text = show(number, cls.kind, 12)
        if read(text, cls.kind)[0] != number:
            text = _exact_text(number, cls.kind)
        return cls(text, evidence)

    @property
    def known(self) -> bool:
        """Whether there is a number or a declaration at all."""
        return self.state != "unknown"

    def __str__(self) -> str:
        return self.text or "unknown"


def _exact_text(number: float, kind: Kind) -> str:
    unit = {"m": "m", "m2": "m2"}.get(kind.unit, kind.unit)
    prefix = "" if "" in kind.prefixes or not kind.prefixes else kind.prefixes[-1]
    scale = {"": 1, "m": 10**3, "u": 10**6, "n": 10**9, "p": 10**12}[prefix]
    scaled = Fraction(repr(number)) * scale
    per = f"/{kind.per[0]}" if kind.per else ""
    digits = f"{float(scaled)!r}"
    return f"{digits} {prefix}{unit}{per}"


@dataclass(frozen=True, slots=True)
class Voltage(Value):
    """Voltage [V]."""

    kind: ClassVar[Kind] = VOLTAGE


@dataclass(frozen=True, slots=True)
class Current(Value):
    """Current [A]."""

    kind: ClassVar[Kind] = CURRENT


@dataclass(frozen=True, slots=True)
class Power(Value):
    """Power [W]."""

    kind: ClassVar[Kind] = POWER


@dataclass(frozen=True, slots=True)
class Capacitance(Value):
    """Capacitance [F]."""

    kind: ClassVar[Kind] = CAPACITANCE


@dataclass(frozen=True, slots=True)
class Inductance(Value):
    """Inductance [H]."""

    kind: ClassVar[Kind] = INDUCTANCE


@dataclass(frozen=True, slots=True)
class Resistance(Value):
    """Resistance [ohm]."""

    kind: ClassVar[Kind] = RESISTANCE


@dataclass(frozen=True, slots=True)
class InductancePerResistance(Value):
    """Inductance per resistance [H/ohm]."""

    kind: ClassVar[Kind] = L_PER_R


@dataclass(frozen=True, slots=True)
class CapacitancePerLength(Value):
    """Capacitance per length [F/m]."""

    kind: ClassVar[Kind] = C_PER_LENGTH


@dataclass(frozen=True, slots=True)
class InductancePerLength(Value):
    """Inductance per length [H/m]."""

    kind: ClassVar[Kind] = L_PER_LENGTH


@dataclass(frozen=True, slots=True)
class ResistancePerLength(Value):
    """Resistance per length [ohm/m]."""

    kind: ClassVar[Kind] = R_PER_LENGTH


@dataclass(frozen=True, slots=True)
class Length(Value):
    """Length [m]."""

    kind: ClassVar[Kind] = LENGTH


@dataclass(frozen=True, slots=True)
class Area(Value):
    """Area of a cross-section or surface [m2]."""

    kind: ClassVar[Kind] = SECTION


@dataclass(frozen=True, slots=True)
class Temperature(Value):
    """Temperature [degC]."""

    kind: ClassVar[Kind] = TEMPERATURE


@dataclass(frozen=True, slots=True)
class ThermalResistance(Value):
    """Thermal resistance [K/W]."""

    kind: ClassVar[Kind] = THERMAL


_RANGE = re.compile(
    r"(?:Ta|Tamb)?\s*:?\s*(?P<low>[+-]?\s*[\d.,]+)\s*(?P<unit1>°\s*[CF]|deg\s*[CF]|[CF])?\s*"
    r"(?:to|\.{2,3}|…|<=\s*(?:Ta|Tamb)\s*<=|≤\s*(?:Ta|Tamb)\s*≤)\s*"
    r"(?P<high>[+-]?\s*[\d.,]+)\s*(?P<unit2>°\s*[CF]|deg\s*[CF]|[CF])",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class TemperatureRange:
    """Temperature range [degC], such as ``"-20 to 40 °C"``; blank is unknown.

    A single temperature is refused: the other end would be a guess.
    """

    text: str = ""
    evidence: Evidence = NO_EVIDENCE
    low: float = field(init=False, compare=False, repr=False)
    high: float = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        if self.text != self.text.strip():
            object.__setattr__(self, "text", self.text.strip())
        low = high = math.nan
        cleaned = _clean(self.text)
        if cleaned.lower() not in _UNKNOWN:
            match = _RANGE.fullmatch(cleaned)
            wanted = "a temperature range such as -20 to 40 °C"
            if match is None:
                raise QuantityError(self.text, "not a temperature range", wanted)
            unit = match["unit2"]
            low = read(f"{match['low']} {match['unit1'] or unit}", TEMPERATURE)[0]
            high = read(f"{match['high']} {unit}", TEMPERATURE)[0]
            if low > high:
                raise QuantityError(self.text, "the lower end is above the upper end", wanted)
        object.__setattr__(self, "low", low)
        object.__setattr__(self, "high", high)

    @classmethod
    def of(cls, given: object) -> TemperatureRange:
        """From a range, a text or None (unknown)."""
        if isinstance(given, cls):
            return given
        if given is None:
            return cls("")
        if isinstance(given, str):
            return cls(given)
        raise QuantityError(str(given), f"a {type(given).__name__}", "a range in words")

    @property
    def known(self) -> bool:
        """Whether both ends are known."""
        return not math.isnan(self.low)

    def __str__(self) -> str:
        return self.text or "unknown"
