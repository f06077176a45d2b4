"""Numbers and ranks of a finding in the engineer's words."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from subspark.assess.places import level_name
from subspark.assess.readings import system_of
from subspark.assess.rows import Case, MemberCase, SourceCase
from subspark.model import SimpleType
from subspark.quantity import (
    AREA,
    C_PER_LENGTH,
    CAPACITANCE,
    CURRENT,
    INDUCTANCE,
    L_PER_LENGTH,
    L_PER_R,
    LENGTH,
    POWER,
    R_PER_LENGTH,
    RESISTANCE,
    TEMPERATURE,
    VOLTAGE,
    Kind,
    show,
)
from subspark.rules import EQUAL, Bound, Columns, Rule, energy

__all__ = ["Sides", "epl_name", "k_word", "percent", "range_words", "segment_unit", "sides"]

_KINDS: dict[str, Kind] = {
    "voltage": VOLTAGE,
    "current": CURRENT,
    "power": POWER,
    "capacitance": CAPACITANCE,
    "inductance": INDUCTANCE,
    "permitted current": CURRENT,
    "supply": VOLTAGE,
    "temperature class": TEMPERATURE,
    "box temperature": TEMPERATURE,
}
_UNITS = {
    "V": VOLTAGE, "A": CURRENT, "W": POWER, "ohm": RESISTANCE, "m2": AREA, "m": LENGTH,
    "degC": TEMPERATURE,
}  # fmt: skip
_EPL = {3.0: "a", 2.0: "b", 1.0: "c"}
_EPL_LETTER = {"II": "G", "III": "D", "I": "M"}


_MOST_DIGITS = 9
_TYPE_B = 60.0  # the limit of a multicore of type B is a voltage [V]; of type A a coverage [%]


class Sides(NamedTuple):
    """Both sides of a relation in words, and the member that decides.

    ``limit`` is blank where the demand says it all ("no condition open").
    """

    demand: str
    limit: str
    of: str = ""


class _Told(NamedTuple):
    """What a teller puts into words: a bound, the member that decides, and both numbers."""

    bound: Bound
    member: int
    case: Case
    demand: float
    limit: float

    @property
    def source(self) -> SourceCase | None:
        sources = self.case.sources
        ours = self.bound.over == "source" and 0 <= self.member < len(sources)
        return sources[self.member] if ours else None

    @property
    def item(self) -> MemberCase | None:
        members = self.case.members
        ours = self.bound.over == "apparatus" and 0 <= self.member < len(members)
        return members[self.member] if ours else None

    @property
    def of(self) -> str:
        if found := self.source or self.item:
            return found.label
        if self.bound.over == "run" and self.member < len(self.case.runs):
            return self.case.runs[self.member][0].number or f"run {self.member + 1}"
        if self.bound.over == "port":
            ports = [(one, port) for one in self.case.sources for port, _ in one.ports]
            if self.member < len(ports):
                one, port = ports[self.member]
                return f"{one.label}, port {port.name}" if len(ports) > 1 else one.label
        return ""


Teller = Callable[[_Told], Sides]


def k_word(columns: Columns) -> float | str | None:
    """The factor k of a case: 1.0, 0.5, "pairs", or None where it cannot be decided.

    A fieldbus segment needs none: its method is named instead.
    """
    if columns.segments is not None:
        return columns.segments.figures.method
    with np.errstate(invalid="ignore"):
        if bool(columns.paired[0]):
            return "pairs"
        k = float(energy.lumped(columns).k[0])
    return None if math.isnan(k) else k


def percent(share: float) -> str:
    """A share in per cent, three digits, and as many more as keep it on its side of 1 and 100 %.

    >>> percent(0.0170455), percent(1.00333), percent(1.0), percent(0.0099996)
    ('1.70 %', '100.3 %', '100 %', '0.99996 %')
    """
    if math.isnan(share):
        return "unknown"
    if share == 0.0:
        return "0 %"
    text = ""
    for digits in range(3, _MOST_DIGITS + 1):
        text = f"{100.0 * share:#.{digits}g}".rstrip(".")
        shown = float(text) / 100.0
        if all((shown <= edge * (1 + EQUAL)) == (share <= edge * (1 + EQUAL))
               and (shown >= edge * (1 - EQUAL)) == (share >= edge * (1 - EQUAL))
               for edge in (0.01, 1.0)):  # fmt: skip
            break
    return f"{float(text):.0f} %" if "e" in text else f"{text} %"


def epl_name(rank: float, family: str) -> str:
    """Name of a rank of EPL in a family of groups, as "Ga"; "unknown" for NaN."""
    if rank == math.inf:
        return "any"
    if math.isnan(rank):
        return "unknown"
    return f"{_EPL_LETTER.get(family, '?')}{_EPL[rank]}" if rank in _EPL else "none of its kind"


def range_words(low: float, high: float) -> str:
    """A range in words, as "-20 to 40 °C"; "unknown" where an end is NaN."""
    if math.isnan(low) or math.isnan(high):
        return "unknown"
    if low == -math.inf and high == math.inf:
        return "any ambient"
    return f"{low:g} to {high:g} °C"


def _plain(value: float, kind: Kind, infinite: str) -> str:
    return infinite if value == math.inf else show(value, kind)


def _level(told: _Told) -> Sides:
    of = told.of or "source and column"
    return Sides(f"{level_name(told.demand)} asked", level_name(told.limit), of)


def _group(told: _Told) -> Sides:
    mark, marked = None, ""
    if source := told.source:
        mark = source.mark
    elif item := told.item:
        mark, marked = item.mark, "any" if item.simple else ""
    if mark is not None and mark.group:
        system = system_of(mark)
        foreign = math.isnan(told.limit) and told.case.need.code.marks[system] != "yes"
        marked = f"{mark.group} ({system} marking)" if foreign else mark.group
    return Sides(f"{told.case.need.group or 'unknown'} asked", marked or "unknown", told.of)


def _ambient(told: _Told) -> Sides:
    if found := told.source or told.item:
        row = found.row
        air, made_for = range_words(row.cold, row.hot), range_words(row.Ta_min, row.Ta_max)
        return Sides(f"air {air}", made_for, told.of)
    return Sides("nothing", "nothing", told.of)


def _place(told: _Told) -> Sides:
    need, of = told.case.need, told.of
    where = need.zone or "unknown place"
    asked = f"{where} ({epl_name(told.demand, need.family)})"
    if told.bound.what == "source group":
        return Sides(f"{need.group or 'unknown'} asked", _rank_word(told.limit), of)
    if told.bound.what == "source surface":
        return Sides(show(told.demand, TEMPERATURE), show(told.limit, TEMPERATURE), of)
    if told.bound.over == "source" and math.isnan(told.demand):
        return Sides("place unknown", "unknown", of)
    if told.bound.over == "source" and told.demand == 0.0:
        return Sides("safe area", "any", of)
    if told.bound.over == "source" and told.limit == 0.0:
        return Sides(asked, "safe area only", of)
    return Sides(asked, epl_name(told.limit, need.family), of)


def _rank_word(rank: float) -> str:
    if math.isnan(rank):
        return "group of its body unknown"
    return "another group of its body" if rank == 0 else "group of its body"


def _state(open_words: str, refused: str, settled: str) -> Teller:
    def tell(told: _Told) -> Sides:
        refuses = refused if told.demand > told.limit else settled
        return Sides(open_words if math.isnan(told.demand) else refuses, "", told.of)

    return tell


def _conditions(told: _Told) -> Sides:
    number = drawing = ""
    if source := told.source:
        number, drawing = source.kind.certificate, source.kind.control_drawing
    elif (item := told.item) and not isinstance(item.item, SimpleType):
        number, drawing = item.item.certificate, item.item.control_drawing
    named = f"certificate {number}" if number else "no certificate"
    if math.isnan(told.demand) and number and told.case.need.code.by_drawing and not drawing:
        said = f"{named}: control drawing not named"
    elif math.isnan(told.demand):
        said = f"{named}: conditions open" if number else "no certificate named"
    elif told.demand > told.limit:
        said = f"{named}: a component, or a condition that is not met"
    else:
        said = f"{named}: no condition open"
    return Sides(said, "", told.of)


def _cable(told: _Told) -> Sides:
    asked = {"m": "strands of ", "V": "a test at ", "degC": "a route at "}[told.bound.what]
    kind = _UNITS[told.bound.what]
    have = "evidenced" if told.limit == math.inf else show(told.limit, kind)
    return Sides(asked + show(told.demand, kind), have, told.of)


def _earthing(told: _Told) -> Sides:
    points = told.case.head.earthed
    bonded = math.isinf(told.case.head.earth_limit)
    have = "any number, bonding evidenced" if bonded else "1"
    if math.isnan(told.limit):
        have = "1 (no bonding evidenced)"
    return Sides(f"{points:g} earthed point{'' if points == 1 else 's'}", have)


def _barrier(told: _Told) -> Sides:
    kind = _UNITS[told.bound.what]
    count = told.case.head.earth_wires
    wires = "" if told.bound.what == "ohm" or math.isnan(count) else f"{count:g} x "
    return Sides(show(told.demand, kind), wires + show(told.limit, kind))


def _simple(told: _Told) -> Sides:
    if told.bound.over == "apparatus":
        word = "no written assessment" if math.isnan(told.demand) else "assessed in writing"
        return Sides(word, "", told.of)
    kind = _UNITS[told.bound.what]
    return Sides(f"generates {show(told.demand, kind)}", show(told.limit, kind))


def _surge(told: _Told) -> Sides:
    if told.bound.what == "inside":
        where = "unknown place" if math.isnan(told.demand) else "in zone 0"
        return Sides(where if told.demand != 0.0 else "outside zone 0", "outside zone 0")
    kind = _UNITS[told.bound.what]
    return Sides(show(told.demand, kind), show(told.limit, kind))


_COUNTS = {"sources": "sources", "terminators": "terminators", "stations": "devices and source"}
_PARTS = {"spur": "spur", "whole": "all runs", "leakage": "fed back"}
_SEGMENT_KINDS: dict[str, Kind] = {
    "Uo": VOLTAGE, "Ui": VOLTAGE, "Io": CURRENT, "Ii": CURRENT, "leakage": CURRENT,
    "Po": POWER, "Pi": POWER, "Ci": CAPACITANCE, "C": CAPACITANCE, "Li": INDUCTANCE,
    "R": RESISTANCE, "R'": R_PER_LENGTH, "L'": L_PER_LENGTH, "C'": C_PER_LENGTH,
    "spur": LENGTH, "whole": LENGTH,
}  # fmt: skip
_LEAST = frozenset({"Ui", "Ii", "Pi"})


def segment_unit(what: str) -> str:
    """Unit of a bound of the rules of fieldbus segments; blank where it is no quantity."""
    kind = _SEGMENT_KINDS.get(what.rpartition(" ")[2])
    if kind is None:
        return ""
    return f"{kind.unit}/m" if what.endswith("'") else kind.unit


def _segment(told: _Told) -> Sides:
    which, _, what = told.bound.what.rpartition(" ")
    if what == "set":
        method = told.case.segment.figures.method if told.case.segment else ""
        return Sides(f"{'no' if math.isnan(told.demand) else 'a'} set for {method}", "", told.of)
    if what in _COUNTS:
        named = _COUNTS[what]
        if which == "least":
            return Sides(f"{named}: {told.demand:g} asked", _count(told.limit))
        return Sides(f"{named}: {_count(told.demand)}", _count(told.limit))
    kind = _SEGMENT_KINDS[what]
    if which == "least" or what in _LEAST:
        item = told.item
        infinite = "no limit asked" if item is not None and item.simple else "not limiting"
        return Sides(
            f"{what} of {show(told.demand, kind)} asked",
            _plain(told.limit, kind, infinite),
            told.of,
        )
    limit = _plain(told.limit, kind, "no limit")
    return Sides(f"{_PARTS.get(what, what)} {show(told.demand, kind)}", limit, told.of)


def _count(number: float) -> str:
    return "unknown" if math.isnan(number) else f"{number:g}"


def _segregation(told: _Told) -> Sides:
    return Sides(show(told.demand, LENGTH), _plain(told.limit, LENGTH, "a partition"))


def _shared(told: _Told) -> Sides:
    runs = (run.number for run, _ in told.case.runs if run.number)
    numbers = ", ".join(dict.fromkeys(runs))
    if math.isnan(told.limit):
        return Sides(f"multicore {numbers} shared", "type A or B not shown")
    if told.limit == _TYPE_B and told.demand != _TYPE_B:
        asked = f"multicore {numbers}, type B: {show(told.demand, VOLTAGE)}"
        return Sides(asked, show(told.limit, VOLTAGE))
    asked = f"multicore {numbers}, type A: screens of {told.demand:g} % asked"
    return Sides(asked, f"{told.limit:g} %")


def sides(
    rule: Rule, bound: Bound, member: int, demand: float, limit: float, case: Case, by: str
) -> Sides:
    """Both sides of a rule for one case in words, and the member that decides."""
    told = _Told(bound, member, case, demand, limit)
    kind = _KINDS.get(rule.name)
    if kind is TEMPERATURE and bound.what == "W":
        have = "more than dust of uncontrolled depth allows" if math.isnan(limit) else ""
        return Sides(show(demand, POWER), have or show(limit, POWER), told.of)
    if rule.name == "inductance" and by == "L/R":
        return Sides(show(demand, L_PER_R), show(limit, L_PER_R))
    if bound.what == "known part" and kind is not None:
        return Sides(f"{show(demand, kind)} and more that is unknown", show(limit, kind))
    if kind is None:
        return _TELLERS[rule.name](told)
    if kind is TEMPERATURE and demand == math.inf:
        uncovered = "no row of its table covers its power and ambient"
        return Sides(uncovered, show(limit, TEMPERATURE), told.of)
    item = told.item
    infinite = "no limit asked" if item is not None and item.simple else "not limiting"
    return Sides(show(demand, kind), _plain(limit, kind, infinite), told.of)


_TELLERS: dict[str, Teller] = {
    "level": _level,
    "group": _group,
    "ambient": _ambient,
    "place": _place,
    "conditions": _conditions,
    "cable": _cable,
    "earthing": _earthing,
    "barrier earth": _barrier,
    "simple": _simple,
    "segment source": _segment,
    "segment device": _segment,
    "terminators": _segment,
    "segment cable": _segment,
    "segment length": _segment,
    "segment count": _segment,
    "segregation": _segregation,
    "shared cable": _shared,
    "surge device": _surge,
    "own energy": _state(
        "supply of its own, or not known", "feeds the circuit", "passive or within small figures"
    ),
    "atmosphere": _state(
        "not declared standard, or hybrid", "outside the standards", "standard atmosphere"
    ),
}
