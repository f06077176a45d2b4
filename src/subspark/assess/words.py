"""Numbers and ranks of a finding in the engineer's words."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from subspark.assess.places import level_name
from subspark.assess.rows import Case, MemberCase, SourceCase
from subspark.quantity import (
    CAPACITANCE,
    CURRENT,
    INDUCTANCE,
    L_PER_R,
    LENGTH,
    POWER,
    RESISTANCE,
    SECTION,
    TEMPERATURE,
    VOLTAGE,
    Kind,
    show,
)
from subspark.rules import Bound, Columns, Rule, energy

__all__ = ["Sides", "k_word", "sides"]

_KINDS: dict[str, Kind] = {
    "voltage": VOLTAGE,
    "current": CURRENT,
    "power": POWER,
    "capacitance": CAPACITANCE,
    "inductance": INDUCTANCE,
    "permitted current": CURRENT,
    "supply": VOLTAGE,
    "temperature class": TEMPERATURE,
    "segregation": LENGTH,
}
_UNITS = {
    "V": VOLTAGE, "A": CURRENT, "W": POWER, "ohm": RESISTANCE, "m2": SECTION, "m": LENGTH,
    "degC": TEMPERATURE,
}  # fmt: skip
_EPL = {3.0: "a", 2.0: "b", 1.0: "c"}
_EPL_LETTER = {"II": "G", "III": "D", "I": "M"}


Teller = Callable[[Bound, int, Case, float, float], "Sides"]


class Sides(NamedTuple):
    """Both sides of a relation in words, and the member that decides."""

    demand: str
    limit: str
    of: str = ""


def k_word(columns: Columns) -> float | str | None:
    """The factor k of a case: 1.0, 0.5, "pairs", or None where it cannot be decided."""
    with np.errstate(invalid="ignore"):
        if bool(columns.paired[0]):
            return "pairs"
        k = float(energy.lumped(columns).k[0])
    return None if math.isnan(k) else k


def _source(case: Case, member: int) -> SourceCase | None:
    return case.sources[member] if 0 <= member < len(case.sources) else None


def _item(case: Case, member: int) -> MemberCase | None:
    return case.members[member] if 0 <= member < len(case.members) else None


def _of(bound: Bound, member: int, case: Case) -> str:
    if bound.over == "apparatus":
        found = _item(case, member)
        return found.label if found else ""
    if bound.over == "source":
        source = _source(case, member)
        return source.label if source else ""
    if bound.over == "run" and member < len(case.runs):
        run = case.runs[member][0]
        return run.number or f"run {member + 1}"
    if bound.over == "port":
        ports = [(one, port) for one in case.sources for port, _ in one.ports]
        if member < len(ports):
            one, port = ports[member]
            return f"{one.label}, port {port.name}" if len(ports) > 1 else one.label
    return ""


def _plain(value: float, kind: Kind, infinite: str) -> str:
    return infinite if value == math.inf else show(value, kind)


def _epl(rank: float, family: str) -> str:
    if rank == math.inf:
        return "any"
    if math.isnan(rank):
        return "unknown"
    return f"{_EPL_LETTER.get(family, '?')}{_EPL[rank]}" if rank in _EPL else "none of its kind"


def _range(low: float, high: float) -> str:
    if math.isnan(low) or math.isnan(high):
        return "unknown"
    return f"{low:g} to {high:g} °C"


def _level(bound: Bound, member: int, case: Case, demand: float, limit: float) -> Sides:
    return Sides(level_name(demand), level_name(limit), _of(bound, member, case))


def _group(bound: Bound, member: int, case: Case, demand: float, limit: float) -> Sides:
    if bound.over == "source":
        source = _source(case, member)
        marked = source.mark.group if source else ""
    else:
        item = _item(case, member)
        marked = "any" if item and item.simple else (item.mark.group if item and item.mark else "")
    return Sides(case.need.group or "unknown", marked or "unknown", _of(bound, member, case))


def _ambient(bound: Bound, member: int, case: Case, demand: float, limit: float) -> Sides:
    of = _of(bound, member, case)
    if bound.over == "source":
        source = _source(case, member)
        if source is not None:
            row = source.row
            return Sides(_range(row.cold, row.hot), _range(row.Ta_min, row.Ta_max), of)
    item = _item(case, member)
    if item is not None:
        place = item.row
        return Sides(_range(place.cold, place.hot), _range(place.Ta_min, place.Ta_max), of)
    return Sides("nothing", "nothing", of)


def _place(bound: Bound, member: int, case: Case, demand: float, limit: float) -> Sides:
    of = _of(bound, member, case)
    where = case.need.zone or "unknown place"
    if bound.what == "source group":
        return Sides(case.need.group or "unknown", _rank_word(limit, "group of its body"), of)
    if bound.what == "source surface":
        return Sides(show(demand, TEMPERATURE), show(limit, TEMPERATURE), of)
    if bound.over == "source" and math.isnan(demand):
        return Sides("place unknown", "unknown", of)
    if bound.over == "source" and limit == 0.0:
        return Sides(where, "safe area only", of)
    return Sides(where, _epl(limit, case.need.family), of)


def _rank_word(rank: float, of: str) -> str:
    return f"{of} unknown" if math.isnan(rank) else ("another " + of if rank == 0 else of)


def _state(open_words: str, refused: str, settled: str) -> Teller:
    def tell(bound: Bound, member: int, case: Case, demand: float, limit: float) -> Sides:
        words = open_words if math.isnan(demand) else (refused if demand > limit else settled)
        return Sides(words, "settled", _of(bound, member, case))

    return tell


def _conditions(bound: Bound, member: int, case: Case, demand: float, limit: float) -> Sides:
    of = _of(bound, member, case)
    found = _source(case, member) if bound.over == "source" else _item(case, member)
    number = ""
    if isinstance(found, SourceCase):
        number = found.kind.certificate
    elif isinstance(found, MemberCase):
        number = getattr(found.item, "certificate", "")
    named = f"certificate {number}" if number else "no certificate"
    if math.isnan(demand):
        return Sides(f"{named}: open", "every condition answered", of)
    if demand > limit:
        return Sides(f"{named}: component or condition not met", "not alone, all met", of)
    return Sides(f"{named}: none open", "every condition answered", of)


def _cable(bound: Bound, member: int, case: Case, demand: float, limit: float) -> Sides:
    what = {"m": "strands of ", "V": "tested at ", "degC": "route at "}[bound.what]
    kind = _UNITS[bound.what]
    have = "evidenced" if limit == math.inf else show(limit, kind)
    return Sides(what + show(demand, kind), have, _of(bound, member, case))


def _earthing(bound: Bound, member: int, case: Case, demand: float, limit: float) -> Sides:
    points = case.head.earthed
    have = "1" if not limit == math.inf else "any, bonding evidenced"
    return Sides(f"{points:g} earthed point{'' if points == 1 else 's'}", have)


def _barrier(bound: Bound, member: int, case: Case, demand: float, limit: float) -> Sides:
    kind = _UNITS[bound.what]
    wires = "" if bound.what == "ohm" else f"{case.head.earth_wires:g} x "
    return Sides(show(demand, kind), wires + show(limit, kind))


def _simple(bound: Bound, member: int, case: Case, demand: float, limit: float) -> Sides:
    if bound.over == "apparatus":
        word = "no written assessment" if math.isnan(demand) else "assessed"
        return Sides(word, "assessment in writing", _of(bound, member, case))
    kind = _UNITS[bound.what]
    return Sides(f"generates {show(demand, kind)}", show(limit, kind))


def _segregation(bound: Bound, member: int, case: Case, demand: float, limit: float) -> Sides:
    return Sides(show(demand, LENGTH), _plain(limit, LENGTH, "partition"))


def _shared(bound: Bound, member: int, case: Case, demand: float, limit: float) -> Sides:
    numbers = ", ".join(dict.fromkeys(run.number for run, _ in case.runs if run.number))
    if math.isnan(limit):
        return Sides(f"multicore {numbers} shared", "type A or B not shown")
    return Sides(f"multicore {numbers}: {demand:g}", f"{limit:g}")


def sides(
    rule: Rule, bound: Bound, member: int, demand: float, limit: float, case: Case, by: str
) -> Sides:
    """Both sides of a rule for one case in words, and the member that decides."""
    kind = _KINDS.get(rule.name)
    if rule.name == "inductance" and by == "L/R":
        return Sides(show(demand, L_PER_R), show(limit, L_PER_R))
    if kind is not None and rule.name != "segregation":
        infinite = "not limiting"
        item = _item(case, member) if bound.over == "apparatus" else None
        if item is not None and item.simple:
            infinite = "no limit asked"
        return Sides(show(demand, kind), _plain(limit, kind, infinite), _of(bound, member, case))
    return _TELLERS[rule.name](bound, member, case, demand, limit)


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
    "segregation": _segregation,
    "shared cable": _shared,
    "own energy": _state(
        "supply of its own, or not known", "feeds the circuit", "passive or within small figures"
    ),
    "atmosphere": _state(
        "not declared standard, or hybrid", "outside the standards", "standard atmosphere"
    ),
}
