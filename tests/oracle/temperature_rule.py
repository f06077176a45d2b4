"""Temperature class: marking, rows by ambient and power, simple apparatus.

IEC 60079-0 (classes, small parts, T4 by power) and IEC 60079-14 (simple apparatus), from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from oracle.parts import Apparatus, Area
from oracle.quantities import Json, Notes, plain, read, read_range, read_temperature
from oracle.quantity_rules import BADNESS, SAFE, UNPROVEN, UNSAFE, Rule, not_asked

T4, T5, T6 = Fraction(135), Fraction(100), Fraction(85)
BY_POWER = (
    (40, Fraction(13, 10)),
    (50, Fraction(125, 100)),
    (60, Fraction(12, 10)),
    (70, Fraction(11, 10)),
    (80, Fraction(1)),
)
SWITCHES = ("switch", "plug", "terminals")
SMALLEST, LARGEST = Fraction(20), Fraction(1000)


def _unproven(area: Area, name: str, how: str) -> Rule:
    limit = None if area.temperature is None else area.temperature[0]
    return Rule(None, limit, "degC", UNPROVEN, None, {"of": name, "how": how})


def _shown(degrees: Fraction, limit: Fraction, name: str, how: str) -> Rule:
    verdict = SAFE if degrees <= limit else UNSAFE
    return Rule(degrees, limit, "degC", verdict, None, {"of": name, "how": how})


def _rows(notes: Notes, item: Apparatus, area: Area, power: Fraction | None) -> Rule:
    """The best of the rows that contain the area's ambient and the case's power."""
    limit = area.temperature[0] if area.temperature is not None else Fraction(0)
    if area.ambient is None:
        return _unproven(area, item.name, "rows")
    fitting: list[Fraction] = []
    unknown = False
    for row in item.data["temperature rows"]:
        mark = read_temperature(notes, item.name, row.get("temperature"))
        span = read_range(notes, item.name, row.get("ambient"))
        most = read(notes, item.name, "Pi of a row", row.get("Pi"), "W").number
        if mark is None or span is None:
            unknown = True
            continue
        if not (span[0] <= area.ambient[0] and area.ambient[1] <= span[1]):
            continue
        if most is not None and power is None:
            unknown = True
            continue
        if most is None or (power is not None and power <= most):
            fitting.append(mark[0])
    if fitting and (not unknown or min(fitting) <= limit):
        return _shown(min(fitting), limit, item.name, "rows")
    if unknown:
        Notes.add(notes.open_points, "temperature rows not decidable")
        return _unproven(area, item.name, "rows")
    return Rule(None, limit, "degC", UNSAFE, None, {"of": item.name, "how": "no row covers this"})


def _certified(notes: Notes, item: Apparatus, area: Area, power: Fraction | None) -> Rule:
    if area.temperature is None:
        return _unproven(area, item.name, "marking")
    if "temperature rows" in item.data:
        return _rows(notes, item, area, power)
    mark = read_temperature(notes, item.name, item.data.get("temperature"))
    if mark is None:
        return _unproven(area, item.name, "marking")
    if area.kind == "D" and mark[1] == "class":
        Notes.add(notes.open_points, "a class as the mark of dust")
        return _unproven(area, item.name, "a class is no mark for dust")
    return _shown(mark[0], area.temperature[0], item.name, "marking")


def _relaxed(limit: Fraction, surface: Fraction | None) -> Fraction:
    """The larger of the class and what small parts may reach (gas of group II)."""
    if surface is None:
        return limit
    if limit >= T4 and surface <= LARGEST:
        return max(limit, Fraction(275 if surface < SMALLEST else 200))
    if limit == T5 and surface < LARGEST:
        return Fraction(150)
    return limit


def _by_power(
    limit: Fraction, hottest: Fraction, power: Fraction | None, item: Apparatus, area: Area
) -> Rule:
    allowed = next((w for degrees, w in BY_POWER if hottest <= degrees), None)
    if allowed is None:
        return _unproven(area, item.name, "above 80 C")
    how = f"T4 by power: at most {plain(allowed)} W"
    if power is None or power > allowed:
        return _unproven(area, item.name, how)
    return _shown(T4, limit, item.name, how)


def _simple(notes: Notes, item: Apparatus, area: Area, power: Fraction | None) -> Rule:
    data: Json = item.data
    if not area.gas:
        Notes.add(notes.open_points, "temperature of simple apparatus in dust or a mine")
        return _unproven(area, item.name, "gas of group II only")
    if area.temperature is None or area.ambient is None:
        return _unproven(area, item.name, "simple apparatus")
    limit, hottest = area.temperature[0], area.ambient[1]
    if "process" in data:
        process = read(notes, item.name, "process", data["process"], "degC", signed=True).number
        if process is None:
            return _unproven(area, item.name, "process temperature")
        hottest = max(hottest, process)
    if data.get("type") in SWITCHES and hottest <= 40:
        return _shown(T6, limit, item.name, "T6 within rating")
    surface = read(notes, item.name, "surface", data.get("surface"), "mm2").number
    if "Rth" in data:
        rise = read(notes, item.name, "Rth", data["Rth"], "K/W").number
        if rise is None or power is None:
            return _unproven(area, item.name, "Rth")
        return _shown(hottest + power * rise, _relaxed(limit, surface), item.name, "Rth")
    if surface is None or surface < SMALLEST:
        return _unproven(area, item.name, "no Rth and no surface of 20 mm2")
    rule = _by_power(limit, hottest, power, item, area)
    if rule.verdict == UNSAFE:
        Notes.add(notes.open_points, "T4 by power where a lower class is asked")
    return rule


def temperature_class(
    notes: Notes, area: Area, apparatus: Sequence[Apparatus], power: Fraction | None
) -> Rule:
    if not apparatus:
        return not_asked()
    rules = [
        _simple(notes, a, area, power) if a.simple else _certified(notes, a, area, power)
        for a in apparatus
    ]

    def rank(rule: Rule) -> tuple[int, Fraction]:
        excess = Fraction(-(10**6))
        if isinstance(rule.demand, Fraction) and isinstance(rule.limit, Fraction):
            excess = rule.demand - rule.limit
        elif rule.verdict == UNSAFE:
            excess = -excess
        return BADNESS[rule.verdict], excess

    return max(rules, key=rank)
