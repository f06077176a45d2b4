"""Zones and IEC groups against Class, Division and groups of North America, both ways.

No place of the one system is exactly one of the other, so every answer is a list of candidates
with a caveat, never a plain table. The tables stand in the code (``rules/codes/nec.toml``).
Apparatus crosses over by ranks, not by these functions: see :mod:`subspark.assess.readings`.

NFPA 70 500.5, 500.6, 505.5, 505.6, 506.5, 506.6; CSA C22.1 Annex J (from memory).
"""

from __future__ import annotations

from typing import NamedTuple

from subspark.errors import UsageError
from subspark.rules.codes import Code, code

__all__ = ["Crossing", "division_to_zone", "group_to_division", "group_to_zone", "zone_to_division"]

_HYDROGEN = (
    "some gases of group B (butadiene, ethylene oxide, propylene oxide, acrolein) are IIB in lists "
    "of IEC: go by the gas, not by the letter"
)
_CARBON = "carbonaceous dust of a resistivity up to 1000 ohm m is IIIC: measure it"


class Crossing(NamedTuple):
    """Candidates in the other system, most onerous first, and the caveat that goes with them."""

    candidates: tuple[str, ...]
    caveat: str


def zone_to_division(zone: str, by: Code | None = None) -> Crossing:
    """Class and Division for a zone.

    >>> zone_to_division("1").candidates
    ('Class I, Division 1',)
    >>> zone_to_division("22").candidates
    ('Class II, Division 2', 'Class III, Division 2')

    Raises
    ------
    UsageError
        No such zone.
    """
    places = (by or code("NEC")).places
    found = tuple(name for name, one in places.items() if zone in one.zones)
    if not found:
        known = ", ".join(dict.fromkeys(z for one in places.values() for z in one.zones))
        raise UsageError(f"no zone {zone!r}; wanted one of {known}")
    notes = [f"{name} {places[name].caveat}" for name in found]
    wider = any(len(places[name].zones) > 1 for name in found)
    if wider and zone in ("1", "21"):
        notes.append("apparatus there must then be ia: Division 1 knows no ib")
    if len(found) > 1:
        notes.append("Class II for groups E, F and G, Class III for fibres and flyings (IIIA)")
    return Crossing(found, "; ".join(notes))


def division_to_zone(division: str, hazard_class: str = "I", by: Code | None = None) -> Crossing:
    """Zones for a Class and Division.

    >>> division_to_zone("1").candidates
    ('0', '1')
    >>> division_to_zone("Division 2", "II").candidates
    ('22',)

    Raises
    ------
    UsageError
        No such Class or Division.
    """
    places = (by or code("NEC")).places
    name = f"Class {hazard_class}, Division {division.removeprefix('Division ')}"
    if name not in places:
        raise UsageError(f"no {name!r}; wanted one of {'; '.join(places)}")
    return Crossing(places[name].zones, f"{name} {places[name].caveat}")


def group_to_zone(letter: str, by: Code | None = None) -> Crossing:
    """Groups of IEC for a group of North America, the one that always covers it first.

    >>> group_to_zone("B").candidates
    ('IIC', 'IIB+H2')

    Raises
    ------
    UsageError
        No such group.
    """
    groups = (by or code("NEC")).groups
    if letter not in groups or letter not in groups[letter].letters:
        raise UsageError(f"no group {letter!r}; wanted one of A to G")
    found = [
        (-one.rank, name)
        for name, one in groups.items()
        if letter in one.letters and name not in one.letters
    ]
    caveat = {"B": _HYDROGEN, "F": _CARBON}.get(letter, "")
    return Crossing(tuple(name for _, name in sorted(found)), caveat)


def group_to_division(group: str, by: Code | None = None) -> Crossing:
    """Groups of North America that apparatus must be listed for, all of them, to serve a group.

    >>> group_to_division("IIC").candidates
    ('A', 'B')

    Raises
    ------
    UsageError
        No such group.
    """
    groups = (by or code("NEC")).groups
    if group not in groups:
        raise UsageError(f"no group {group!r}; wanted one of {', '.join(groups)}")
    if group == "IIIA":
        return Crossing((), "Class III, which has no groups")
    if group == "I":
        return Crossing((), "mines are outside Class and Division")
    caveat = _HYDROGEN if "B" in groups[group].letters else ""
    return Crossing(groups[group].letters, caveat)
