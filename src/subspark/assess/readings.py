"""Small texts of the model read into numbers and ranks: groups, levels, EPLs, temperatures.

Ranks are those of :mod:`subspark.rules.columns`. What cannot be read is NaN, never a guess.
"""

from __future__ import annotations

import dataclasses
import math
import re
from collections.abc import Iterable, Iterator
from functools import lru_cache
from typing import Literal, NamedTuple, cast, get_args

from subspark.errors import MarkingError, QuantityError
from subspark.marking import Marking, read_marking
from subspark.model import Epl, Mark
from subspark.physics.conductors import awg_area
from subspark.physics.ignition import GROUP_I, IIA, IIB, IIC
from subspark.quantity import Area, Gauge, Length, Resistance, TemperatureRange, Voltage
from subspark.rules import Code

__all__ = [
    "LEVELS",
    "SPARK",
    "Serving",
    "Surface",
    "accepted",
    "conductors",
    "distance",
    "epl_rank",
    "group_rank",
    "letters",
    "level_rank",
    "marks_of_apparatus",
    "marks_of_source",
    "rank_of_group",
    "read_surface",
    "same",
]

NAN = math.nan
Level = Literal["ia", "ib", "ic", ""]
LEVELS = {"ic": 1.0, "ib": 2.0, "ia": 3.0}
SPARK = {"I": GROUP_I, "IIA": IIA, "IIB": IIB, "IIC": IIC}
_EPL_RANK = {"a": 3.0, "b": 2.0, "c": 1.0}
_EPL_FAMILY = {"G": "II", "D": "III", "M": "I"}
_FAMILY_EPL = {"II": "G", "III": "D", "I": "M"}
_LETTERS = frozenset("ABCDEFG")


def same(numbers: Iterable[float]) -> tuple[object, ...]:
    """Numbers as a key: equal for equal ones, and unknown equals unknown."""
    return tuple("unknown" if math.isnan(one) else one for one in numbers)


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
    if any(name in _LETTERS for name in names):
        return _listed_rank(names, asked, code, lenient)
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


def _listed_rank(names: tuple[str, ...], asked: str, code: Code, lenient: bool) -> float:
    """Rank of a list of North American groups: it serves what it lists, and nothing more."""
    want = code.groups[asked]
    if not want.letters:
        return NAN
    if all(one in names for one in want.letters):
        return float(want.rank)
    listed = [code.groups[name] for name in names if name in code.groups]
    same = [one.rank for one in listed if one.family == want.family]
    if not same:
        return NAN if lenient and want.family == "III" and listed else 0.0
    if asked in _LETTERS:
        return 0.0
    return float(max(same)) if max(same) < want.rank else NAN


def system_of(mark: Mark) -> str:
    """System of a marking: as read, else by its group: letters are Class and Division."""
    lettered = any(name in _LETTERS for name in letters(mark.group))
    return mark.system or ("Division" if lettered else "IEC")


def accepted(mark: Mark, listing: str, code: Code) -> bool:
    """Whether the code accepts a marking of that system, by itself or for its local listing."""
    state = code.marks[system_of(mark)]
    return state == "yes" or (state == "listed" and code.listing in listing.split(", "))


def rank_of_group(mark: Mark, asked: str, listing: str, code: Code, *, lenient: bool) -> float:
    """Rank of the group of a mark towards the group asked; not known where it is not accepted."""
    if not accepted(mark, listing, code):
        return NAN
    return group_rank(mark.group, asked, code, lenient, mark.dust_category)


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


_ZONE_LETTER = {"0": "a", "1": "b", "2": "c", "20": "a", "21": "b", "22": "c"}
_FAMILY_OF_CLASS = {"I": "G", "II": "D", "III": "D"}
_GROUPS_OF_CLASS = {"I": "ABCD", "II": "EFG"}
_FIBRES = "IIIA"  # Class III has no groups; its fibres and flyings are this one of IEC


def _division_level(marking: Marking) -> str:
    """Level that a Class and Division mark shows: IS ia, nonincendive ic; else not known.

    NFPA 70 504.2, 500.2: intrinsically safe is safe with two faults, nonincendive in normal
    operation (from memory). In Division 2 either is worth ic.
    """
    if marking.prefix in ("IS", "Exia"):
        return "ic" if marking.na_division == "2" else "ia"
    return "ic" if marking.prefix in ("NI", "NIFW") and marking.na_division == "2" else ""


def _division_marks(marking: Marking, *, body: bool) -> Iterator[Mark]:
    """One mark for each class: facts of gas and of dust are not mixed."""
    level = _division_level(marking)
    letter = {"ia": "a", "ic": "c"}.get(level, "c" if marking.na_division == "2" else "")
    for name in marking.na_class:
        listed = [one for one in marking.na_groups if one in _GROUPS_OF_CLASS.get(name, "")]
        group = _FIBRES if name == "III" else ", ".join(listed)
        epl = _FAMILY_OF_CLASS[name] + letter if letter else ""
        yield _mark(level, group, epl, marking, body=body)


def _within_zone(epl: str, marking: Marking) -> str:
    """An EPL, no better than the zone that the marking names."""
    letter = _ZONE_LETTER.get(marking.na_zone, "a")
    return epl[0] + max(epl[1], letter) if epl else ""


def _system(marking: Marking) -> Literal["IEC", "AEx", "Division"]:
    if marking.dialect == "NEC-div":
        return "Division"
    return "AEx" if marking.prefix == "AEx" else "IEC"


def _mark(level: str, group: str, epl: str, marking: Marking, *, body: bool) -> Mark:
    dust = "D" in (marking.atmosphere if body else marking.served_atmosphere or marking.atmosphere)
    return Mark(
        system=_system(marking),
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
    marks: list[Mark] = []
    for one in _alternatives(text):
        if one.role == "associated":
            continue
        if one.dialect == "NEC-div":
            marks.extend(_division_marks(one, body=True))
            continue
        epl = max(one.epl, default="")  # of Ga/Gb the lower: the body stands on that side
        marks.append(_mark(one.level, one.group, _within_zone(epl, one), one, body=True))
    return tuple(marks)


@lru_cache(maxsize=4096)
def marks_of_source(text: str) -> Serving:
    """What a source with that marking serves and the marks of its own body."""
    serves: list[Mark] = []
    body: list[Mark] = []
    for one in _alternatives(text):
        if one.dialect == "NEC-div":
            feeds = one.role == "associated" or one.prefix == "NIFW"
            (serves if feeds else body).extend(_division_marks(one, body=not feeds))
            continue
        if one.served_level:
            group = one.served_group or one.group
            serves.append(_mark(one.served_level, group, one.served_epl, one, body=False))
        if one.role == "both":
            epl = _within_zone(max(one.epl, default=""), one)
            body.append(_mark(one.level, one.group, epl, one, body=True))
    return Serving(tuple(serves), tuple(body))


def split_groups(marks: tuple[Mark, ...]) -> tuple[Mark, ...]:
    """A mark that lists several groups stands for alternatives that differ in group only."""
    out = []
    for mark in marks:
        names = letters(mark.group)
        if len(names) <= 1 or names[0] in _LETTERS:
            out.append(mark)
            continue
        out.extend(dataclasses.replace(mark, group=name) for name in names)
    return tuple(out)


def is_upper_bound(text: str) -> bool:
    """Whether a text says "at most so much", which shows nothing where the least counts."""
    return text.strip().startswith(("<", "≤"))


_PARTITION = re.compile(
    r"(?:by |with )?(?:an? )?(?:earthed |insulating )?partitions?", re.IGNORECASE
)
_WIRES = re.compile(r"(?:(\d+)\s*[x×]\s*)?(.+)")


@lru_cache(maxsize=4096)
def conductors(text: str) -> tuple[float, float]:
    """Number and section [m2] of earth conductors from "2 x 1.5 mm2" or "2 x 12 AWG".

    NaN where unreadable. A gauge has its own section by ASTM B258.
    """
    match = _WIRES.fullmatch(text.strip())
    if match is None or match[1] == "0" or is_upper_bound(match[2]):
        return NAN, NAN
    try:
        if "awg" in match[2].lower():
            section = float(awg_area(Gauge(match[2]).si))
        else:
            section = Area(match[2]).si
    except QuantityError:
        return NAN, NAN
    return float(match[1] or 1), section


@lru_cache(maxsize=4096)
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


@lru_cache(maxsize=4096)
def volts(text: str) -> float:
    """Voltage [V] of a declaration; NaN where unreadable."""
    try:
        return Voltage(text).si
    except QuantityError:
        return NAN


@lru_cache(maxsize=4096)
def ohms(text: str) -> float:
    """Resistance [ohm] of a declaration; NaN where unreadable."""
    try:
        return Resistance(text).si
    except QuantityError:
        return NAN


@lru_cache(maxsize=4096)
def celsius_range(text: str) -> TemperatureRange:
    """Temperature range of a declaration; unknown where unreadable."""
    try:
        return TemperatureRange(text)
    except QuantityError:
        return TemperatureRange()
