"""Quantities as printed, with their SI number and their evidence: one class a quantity."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from decimal import Decimal
from typing import ClassVar, Self

from subspark.errors import InputError, QuantityError
from subspark.quantity.reading import (
    AREA,
    C_PER_LENGTH,
    CAPACITANCE,
    CURRENT,
    GAUGE,
    INDUCTANCE,
    L_PER_LENGTH,
    L_PER_R,
    LENGTH,
    POWER,
    R_PER_LENGTH,
    RESISTANCE,
    SURGE_CURRENT,
    TEMPERATURE,
    THERMAL,
    UNKNOWN,
    VOLTAGE,
    Kind,
    State,
    clean,
    read,
    show,
)

__all__ = [
    "NO_EVIDENCE",
    "Area",
    "Capacitance",
    "CapacitancePerLength",
    "Current",
    "Evidence",
    "Gauge",
    "Inductance",
    "InductancePerLength",
    "InductancePerResistance",
    "Length",
    "Power",
    "Resistance",
    "ResistancePerLength",
    "SurgeCurrent",
    "Temperature",
    "TemperatureRange",
    "ThermalResistance",
    "Value",
    "Voltage",
]


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


def _must_be_text(given: object, wanted: str) -> None:
    if not isinstance(given, str):
        raise QuantityError(str(given), f"a {type(given).__name__}, not a text", wanted)


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
        _must_be_text(self.text, type(self).kind.wanted)
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
        try:
            number = float(given)
        except OverflowError:
            number = math.inf
        if math.isnan(number):
            return cls("", evidence)
        if not math.isfinite(number) or (number < 0 and not cls.kind.signed):
            raise QuantityError(str(number), "not a finite magnitude", cls.kind.wanted)
        if cls.kind.signed:
            return cls(f"{number!r} °C", evidence)
        text = show(number, cls.kind, 12)
        if not _reads_as(text, cls.kind, number):
            text = _exact_text(number, cls.kind)
        return cls(text, evidence)

    @property
    def known(self) -> bool:
        """Whether there is a number or a declaration at all."""
        return self.state != "unknown"

    def __str__(self) -> str:
        return self.text or "unknown"


def _reads_as(text: str, kind: Kind, number: float) -> bool:
    try:
        return read(text, kind)[0] == number
    except QuantityError:  # a scale for which the kind has no unit
        return False


def _exact_text(number: float, kind: Kind) -> str:
    prefix = "" if "" in kind.prefixes or not kind.prefixes else kind.prefixes[-1]
    places = {"": 0, "m": 3, "u": 6, "n": 9, "p": 12}[prefix]
    per = f"/{kind.per[0]}" if kind.per else ""
    if kind is LENGTH:  # "1.250 m" could be read in two ways
        _, digits, power = Decimal(repr(number)).as_tuple()
        return f"{''.join(map(str, digits))}E{power} {kind.unit}"
    return f"{Decimal(repr(number)).scaleb(places).normalize()} {prefix}{kind.unit}{per}"


@dataclass(frozen=True, slots=True)
class Voltage(Value):
    """Voltage [V]."""

    kind: ClassVar[Kind] = VOLTAGE


@dataclass(frozen=True, slots=True)
class Current(Value):
    """Current [A]."""

    kind: ClassVar[Kind] = CURRENT


@dataclass(frozen=True, slots=True)
class SurgeCurrent(Value):
    """Discharge current of a surge device, 8/20 µs [A]."""

    kind: ClassVar[Kind] = SURGE_CURRENT


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

    kind: ClassVar[Kind] = AREA


@dataclass(frozen=True, slots=True)
class Gauge(Value):
    """American wire gauge, as its number: 1/0 is 0, 2/0 is -1. No metric section stands for it."""

    kind: ClassVar[Kind] = GAUGE


@dataclass(frozen=True, slots=True)
class Temperature(Value):
    """Temperature [degC]."""

    kind: ClassVar[Kind] = TEMPERATURE


@dataclass(frozen=True, slots=True)
class ThermalResistance(Value):
    """Thermal resistance [K/W]."""

    kind: ClassVar[Kind] = THERMAL


_RANGE = re.compile(
    r"(?:Ta|Tamb)?\s*:?\s*(?P<low>[+-]?\s*\d+(?:[.,]\d+)?)\s*(?P<unit1>°\s*[CF]|deg\s*[CF]|[CF])?\s*"
    r"(?:to|\.{2,3}|…|<=\s*(?:Ta|Tamb)\s*<=|≤\s*(?:Ta|Tamb)\s*≤)\s*"
    r"(?P<high>[+-]?\s*\d+(?:[.,]\d+)?)\s*(?P<unit2>°\s*[CF]|deg\s*[CF]|[CF])",
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
        _must_be_text(self.text, "a temperature range such as -20 to 40 °C")
        if self.text != self.text.strip():
            object.__setattr__(self, "text", self.text.strip())
        low = high = math.nan
        cleaned = clean(self.text)
        if cleaned.lower() not in UNKNOWN:
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
