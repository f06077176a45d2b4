"""Small texts of the model read into numbers and ranks: groups, levels, EPLs, temperatures.

Ranks are those of :mod:`subspark.rules.columns`. What cannot be read is NaN, never a guess.
"""

from __future__ import annotations

import math
import re
from functools import lru_cache
from typing import Literal, NamedTuple, cast, get_args

from subspark.errors import MarkingError, QuantityError
from subspark.marking import Marking, read_marking
from subspark.model import Epl, Mark
from subspark.physics.ignition import GROUP_I, IIA, IIB, IIC
from subspark.quantity import Area, Length, Resistance, TemperatureRange, Voltage
from subspark.rules import Code

__all__ = [
    "LEVELS",
    "SPARK",
    "Serving",
    "Surface",
    "conductors",
    "distance",
    "epl_rank",
    "group_rank",
    "letters",
    "level_rank",
    "marks_of_apparatus",
    "marks_of_source",
    "read_surface",
]

NAN = math.nan
Level = Literal["ia", "ib", "ic", ""]
LEVELS = {"ic": 1.0, "ib": 2.0, "ia": 3.0}
SPARK = {"I": GROUP_I, "IIA": IIA, "IIB": IIB, "IIC": IIC}
_EPL_RANK = {"a": 3.0, "b": 2.0, "c": 1.0}
_EPL_FAMILY = {"G": "II", "D": "III", "M": "I"}
_FAMILY_EPL = {"II": "G", "III": "D", "I": "M"}
_LETTERS = frozenset("ABCDEFG")


def level_rank(level: str) -> float:
    """Rank of a level of protection: ic 1, ib 2, ia 3; NaN where not known."""
    return LEVELS.get(level, NAN)


@lru_cache(maxsize=1024)
def letters(group: str) -> tuple[str, ...]:
    """The members of a group text: ("IIC",), or the letters of a North American one."""
    return tuple(part for part in re.split(r"[,;/ ]+", group) if part)


def _family(group: str, code: Code) -> str:
    for name in letters(group):
        if name in code.groups:
            return code.groups[name].family
        if name in _LETTERS:
            return "III" if name in "EFG" else "II"
    return ""


@lru_cache(maxsize=4096)
def group_rank(marked: str, asked: str, code: Code, lenient: bool, dust_category: bool) -> float:
    """Rank of a marked group towards the group asked, within the family of the latter.

    0 is another family. ``lenient`` (sources, and apparatus that stands elsewhere) leaves a
    gas mark in a circuit for dust unproven instead, since its certificate may cover it.
    """
    if not marked or asked not in code.groups:
        return NAN
    want = code.groups[asked]
    names = letters(marked)
    if asked in _LETTERS or names[0] in _LETTERS:
        if asked in names:
            return float(want.rank)
        return 0.0 if asked in _LETTERS and names[0] in _LETTERS else NAN
    best = 0.0
    for name in names:
        group = code.groups.get(name)
        if group is None:
            return NAN
        if group.family == want.family:
            best = max(best, float(group.rank))
        elif lenient and want.family == "III" and group.family == "II":
            enough = group.rank >= code.groups["IIB"].rank
            best = max(best, float(want.rank)) if dust_category and enough else NAN
    return best


def epl_rank(mark: Mark, family: str, code: Code) -> float:
    """Rank of the EPL of a mark towards a family (0: another family; NaN: not known)."""
    if mark.epl:
        return _EPL_RANK[mark.epl[1]] if _EPL_FAMILY[mark.epl[0]] == family else 0.0
    own = _family(mark.group, code)
    if not own or mark.level not in LEVELS:
        return NAN
    if own != family:
        return 0.0
    if own == "I" and mark.level == "ic":
        return 0.0
    return LEVELS[mark.level]


class Surface(NamedTuple):
    """A temperature mark: the class it counts as (hottest) or degrees [degC], and a range."""

    t_class: str
    celsius: float
    is_range: bool


_CLASS = re.compile(r"T[1-6][A-D]?(?![0-9A-Za-z])")
_EVERY_DEGREES = re.compile(r"(\d{2,3}(?:[.,]\d+)?)\s*(?:°\s*|deg\s*)?C\b")
_DEGREES = re.compile(r"T?\s*(?:\d{2,3}\s+)?(\d{2,3}(?:[.,]\d+)?)\s*(?:°\s*|deg\s*)?C\b.*")


@lru_cache(maxsize=1024)
def read_surface(text: str) -> Surface:
    """Read ``"T4"``, ``"135 °C"``, ``"T135 °C"``; a range such as ``"T6...T4"`` as its hottest."""
    cleaned = " ".join(text.replace("º", "°").split())
    if _DEGREES.fullmatch(cleaned):
        every = [float(one.replace(",", ".")) for one in _EVERY_DEGREES.findall(cleaned)]
        return Surface("", max(every), is_range=len(every) > 1)
    classes = _CLASS.findall(cleaned)
    rest = _CLASS.sub("", cleaned)
    if not classes or re.search(r"[0-9A-Za-z]", rest.replace("to", "")):
        return Surface("", NAN, is_range=False)
    return Surface(min(classes), NAN, is_range=len(classes) > 1)


class Serving(NamedTuple):
    """What a source may serve, and its body where it may stand in a hazardous area."""

    serves: tuple[Mark, ...]
    body: tuple[Mark, ...]


def _temperature_text(marking: Marking) -> str:
    if marking.surface_temperature is not None:
        return f"{marking.surface_temperature:g} °C"
    return "...".join(reversed(marking.temperature_classes))


def _ambient(marking: Marking) -> TemperatureRange:
    low, high = marking.ambient_min, marking.ambient_max
    if low is None and high is None:
        return TemperatureRange()
    low = -20.0 if low is None else low
    high = 40.0 if high is None else high
    return TemperatureRange(f"{low:g} to {high:g} °C")


def _alternatives(text: str) -> tuple[Marking, ...]:
    try:
        return read_marking(text).alternatives
    except MarkingError:
        return ()


def _mark(level: str, group: str, epl: str, marking: Marking, *, body: bool) -> Mark:
    dust = "D" in (marking.atmosphere if body else marking.served_atmosphere or marking.atmosphere)
    return Mark(
        level=cast("Level", level if level in LEVELS else ""),
        group=group,
        epl=cast("Epl", epl if epl in get_args(Epl) else ""),
        temperature=_temperature_text(marking) if body else "",
        ambient=_ambient(marking),
        dust_category=dust,
    )


@lru_cache(maxsize=4096)
def marks_of_apparatus(text: str) -> tuple[Mark, ...]:
    """The alternatives of field apparatus with that marking; none where it cannot be read."""
    marks = []
    for one in _alternatives(text):
        if one.role == "associated":
            continue
        epl = max(one.epl, default="")  # of Ga/Gb the lower: the body stands on that side
        group = one.group or ", ".join(one.na_groups)
        level = one.level or (
            "ia" if one.na_division == "1" and one.prefix in ("IS", "Exia") else ""
        )
        marks.append(_mark(level, group, epl, one, body=True))
    return tuple(marks)


@lru_cache(maxsize=4096)
def marks_of_source(text: str) -> Serving:
    """What a source with that marking serves and the marks of its own body."""
    serves, body = [], []
    for one in _alternatives(text):
        if one.served_level:
            group = one.served_group or one.group
            serves.append(_mark(one.served_level, group, one.served_epl, one, body=False))
        if one.role == "both":
            body.append(_mark(one.level, one.group, max(one.epl, default=""), one, body=True))
    return Serving(tuple(serves), tuple(body))


def split_groups(marks: tuple[Mark, ...]) -> tuple[Mark, ...]:
    """A mark that lists several groups stands for alternatives that differ in group only."""
    out = []
    for mark in marks:
        names = letters(mark.group)
        if len(names) <= 1 or names[0] in _LETTERS:
            out.append(mark)
            continue
        out.extend(
            Mark(
                level=mark.level,
                group=name,
                epl=mark.epl,
                temperature=mark.temperature,
                ambient=mark.ambient,
                dust_category=mark.dust_category,
            )
            for name in names
        )
    return tuple(out)


def is_upper_bound(text: str) -> bool:
    """Whether a text says "at most so much", which shows nothing where the least counts."""
    return text.strip().startswith(("<", "≤"))


_PARTITION = re.compile(
    r"(?:by |with )?(?:an? )?(?:earthed |insulating )?partitions?", re.IGNORECASE
)
_WIRES = re.compile(r"(?:(\d+)\s*[x×]\s*)?(.+)")


def conductors(text: str) -> tuple[float, float]:
    """Number and section [m2] of earth conductors from "2 x 1.5 mm2"; NaN where unreadable."""
    match = _WIRES.fullmatch(text.strip())
    if match is None or match[1] == "0" or is_upper_bound(match[2]):
        return NAN, NAN
    try:
        section = Area(match[2]).si
    except QuantityError:
        return NAN, NAN
    return float(match[1] or 1), section


def distance(text: str) -> float:
    """Distance [m] from "50 mm"; "partition" separates without limit; NaN where unreadable."""
    if _PARTITION.fullmatch(text.strip()):
        return math.inf
    if is_upper_bound(text):
        return NAN
    try:
        return Length(text).si
    except QuantityError:
        return NAN


def volts(text: str) -> float:
    """Voltage [V] of a declaration; NaN where unreadable."""
    try:
        return Voltage(text).si
    except QuantityError:
        return NAN


def ohms(text: str) -> float:
    """Resistance [ohm] of a declaration; NaN where unreadable."""
    try:
        return Resistance(text).si
    except QuantityError:
        return NAN


def celsius_range(text: str) -> TemperatureRange:
    """Temperature range of a declaration; unknown where unreadable."""
    try:
        return TemperatureRange(text)
    except QuantityError:
        return TemperatureRange()
