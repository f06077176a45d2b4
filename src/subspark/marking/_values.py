"""Temperatures and ambient ranges of a marking (internal)."""

from __future__ import annotations

import re
from dataclasses import dataclass

from subspark.marking._parse import Word, Words
from subspark.marking._vocabulary import CLASS_LIMITS, IEC_CLASSES, PartError

__all__ = ["Ambient", "Heat", "read_ambient", "read_temperature"]

_NUMBER = re.compile(r"[-+]?\s?[0-9]+(?:[.,][0-9]+)?")
_LOWEST_SURFACE = 20.0
_HIGHEST_SURFACE = 450.0
_LOWEST_AMBIENT = -200.0
_HIGHEST_AMBIENT = 300.0
_DEFAULT_LOWEST = -20.0  # IEC 60079-0:2017 table 1
_THIN_LAYER = 50


@dataclass(frozen=True, slots=True)
class Heat:
    """Temperature classes (hottest first), surface temperature [degC], depth of layer [mm]."""

    classes: tuple[str, ...] = ()
    surface: float | None = None
    layer: float | None = None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Ambient:
    """Ambient range [degC]; None where not marked."""

    low: float | None = None
    high: float | None = None
    notes: tuple[str, ...] = ()


def _degrees(word: Word, text: str) -> float:
    if text.rstrip().endswith("F"):
        raise PartError(word.start, word.end, "the temperature is in degrees Fahrenheit", "°C")
    [number] = _NUMBER.findall(text)
    return float(number.replace(" ", "").replace(",", "."))


def _class(word: Word, america: bool) -> str:
    name = word.text.strip("() ").replace(" ", "")
    allowed = tuple(CLASS_LIMITS) if america else IEC_CLASSES
    if name not in allowed:
        if name in CLASS_LIMITS:
            why = f"temperature class {name} belongs to Class and Division markings"
        else:
            why = f"there is no temperature class {name}"
        raise PartError(word.start, word.end, why, "T1 to T6")
    return name


def _classes(words: list[Word], separators: list[Word], america: bool) -> tuple[str, ...]:
    names = {_class(word, america) for word in words}
    if any(word.text not in ("/", ",") for word in separators):
        limits = [CLASS_LIMITS[name] for name in names]
        names |= {name for name in IEC_CLASSES if min(limits) <= CLASS_LIMITS[name] <= max(limits)}
    return tuple(sorted(names, key=lambda name: -CLASS_LIMITS[name]))


def _surface(word: Word, text: str) -> float:
    value = _degrees(word, text)
    if not _LOWEST_SURFACE < value <= _HIGHEST_SURFACE:
        raise PartError(
            word.start,
            word.end,
            f"{value:g} °C cannot be a highest surface temperature",
            f"more than {_LOWEST_SURFACE:g} and at most {_HIGHEST_SURFACE:g} °C",
        )
    return value


def _layer(word: Word) -> tuple[float, str]:
    """Depth of layer [mm] and the text of the temperature, of "T200 125 °C"."""
    depth, _, rest = word.text[1:].strip().partition(" ")
    value = int(depth)
    if value > _THIN_LAYER and value % _THIN_LAYER:
        raise PartError(
            word.start,
            word.end,
            f"{depth} is neither a usual depth of dust layer nor a temperature in degrees",
            "the depth in mm, a blank and the temperature: T200 125 °C",
        )
    return float(value), rest


def read_temperature(words: Words | None, letter: str) -> Heat:
    """Temperature of an alternative of family "G" or "D", or "" for Class and Division.

    IEC 60079-0:2017 clauses 5.3, 29.4 and 29.5: gas has a class or degrees, dust has degrees.
    Source: from memory.

    Raises
    ------
    PartError
        A class that does not exist or does not belong to dust, a layer on a gas marking, degrees
        that contradict the class beside them.
    """
    if words is None:
        return Heat()
    notes: list[str] = []
    classes = [word for word in words.words if word.kind in ("TCLASS", "PCLASS")]
    degrees = [word for word in words.words if word.kind in ("TDEG", "TLAYER", "DEGREES")]
    separators = [word for word in words.words if word.kind == "TSEP"]
    if letter == "D" and classes:
        raise PartError(
            classes[0].start,
            classes[-1].end,
            "a dust marking never carries a temperature class",
            "the highest surface temperature in degrees, such as T135 °C",
        )
    names = _classes(classes, separators, not letter) if classes else ()
    layer: float | None = None
    values: list[float] = []
    for word in degrees:
        text = word.text
        if word.kind == "TLAYER":
            if letter != "D" or len(degrees) > 1:
                raise PartError(
                    word.start,
                    word.end,
                    "a depth of dust layer belongs to one temperature of a dust marking",
                    "120 °C" if letter != "D" else "T200 125 °C",
                )
            layer, text = _layer(word)
            notes.append(f"the temperature stands for a dust layer of {layer:g} mm")
        elif word.kind == "TDEG" and letter == "G":
            notes.append("legacy spelling: a gas marking gives degrees without T")
        elif word.kind == "DEGREES" and letter == "D":
            notes.append("legacy spelling: a dust marking gives degrees with T")
        if text.startswith("TL"):
            notes.append("TL: the depth of dust layer is in the certificate and was not read")
        values.append(_surface(word, text))
    surface = max(values, default=None)
    if len(values) > 1:
        notes.append("several surface temperatures: the hottest is taken")
    if surface is not None and names and surface > CLASS_LIMITS[names[0]]:
        raise PartError(
            words.start,
            words.end,
            f"{surface:g} °C is hotter than {names[0]} allows ({CLASS_LIMITS[names[0]]:g} °C)",
            "a temperature and a class that agree",
        )
    if len(names) > 1:
        notes.append(f"without the table of the certificate only {names[0]} counts")
    return Heat(names, surface, layer, tuple(notes))


def read_ambient(words: Words | None) -> Ambient:
    """Ambient temperature range as marked.

    IEC 60079-0:2017 clauses 5.1.1 and 29.3. Source: from memory.

    Raises
    ------
    PartError
        A range that is reversed or not in degrees Celsius, or relations that make no range.
    """
    if words is None:
        return Ambient()
    notes: list[str] = []
    inside = [word for word in words.words if not word.kind.startswith("PAREN")]
    temps = [word for word in inside if word.kind in ("LOW", "TEMP")]
    relations = [word for word in inside if word.kind == "RELATION"]
    values = [_ambient_degrees(word) for word in temps]
    if not any("C" in word.text for word in temps):
        notes.append("ambient temperature without a unit: read as °C")
    spans = len(temps) > 1
    chained = inside[0].kind == "LOW"
    for relation in relations:
        allowed = ("<=", "<") if chained else ("=",) if spans else ("=", "<=", "<", "max", "max.")
        if relation.text not in allowed:
            raise PartError(
                relation.start,
                relation.end,
                f"{relation.text!r} does not make an ambient range here",
                "-40 °C <= Ta <= +60 °C, or Ta -40 °C to +60 °C",
            )
        if relation.text == "<":
            notes.append("ambient range: < read as <=")
    if not spans:
        if values[0] < _DEFAULT_LOWEST:
            raise PartError(
                temps[0].start,
                temps[0].end,
                f"a highest ambient of {values[0]:g} °C lies below the lowest that holds when none "
                f"is marked ({_DEFAULT_LOWEST:g} °C)",
                "both ends of the range",
            )
        return Ambient(None, values[0], tuple(notes))
    if values[0] > values[1]:
        raise PartError(
            temps[0].start,
            temps[1].end,
            f"the ambient range is reversed: {values[0]:g} °C is hotter than {values[1]:g} °C",
            "the lower temperature first",
        )
    return Ambient(values[0], values[1], tuple(dict.fromkeys(notes)))


def _ambient_degrees(word: Word) -> float:
    value = _degrees(word, word.text)
    if not _LOWEST_AMBIENT <= value <= _HIGHEST_AMBIENT:
        raise PartError(
            word.start,
            word.end,
            f"{value:g} °C cannot be an ambient temperature",
            f"{_LOWEST_AMBIENT:g} to {_HIGHEST_AMBIENT:g} °C",
        )
    return value
