"""Level of protection, group, place and ambient: whether each body suits where it stands."""

from __future__ import annotations

import numpy as np

from subspark.rules.bound import All, Bound
from subspark.rules.columns import NOTHING, Bools, Columns, Floats
from subspark.rules.registry import rule

__all__ = ["ambient", "atmosphere", "conditions", "group", "level", "place", "supply"]


def asked_where(here: Bools, demand: Floats) -> Floats:
    """The demand where it is asked, nothing elsewhere."""
    return np.where(here, demand, NOTHING)


@rule(
    "supply",
    says="No voltage behind the safe-area terminals, even under fault, exceeds Um.",
    relation="rated voltage behind each port <= Um",
    unit="V",
    needs=("behind", "Um"),
    remedy="declare the highest rated voltage behind the safe terminals, with its evidence",
)
def supply(c: Columns) -> Bound:
    """Voltage behind each port <= its Um [V]."""
    return Bound(c.behind, c.Um, over="port", exact=True)


@rule(
    "level",
    says="The level of protection of the circuit reaches what the place asks.",
    relation="level asked <= lowest of source, column and apparatus",
    needs=("level_asked", "level", "source_level", "level_a"),
    remedy="source or apparatus of a higher level, or a circuit kept out of that zone",
)
def level(c: Columns) -> All:
    """Level asked <= that of the proof, of every source and its column, of every apparatus."""
    return All(
        (
            Bound(c.level_asked, c.level, exact=True, what="calculation"),
            Bound(c.level_asked, c.source_level, over="source", exact=True, what="source"),
            Bound(c.level_asked, c.level_a, over="apparatus", exact=True, what="apparatus"),
        )
    )


@rule(
    "group",
    says="Sources and apparatus are made for the group of the atmosphere.",
    relation="group of the area <= group of the marking, of the same family",
    needs=("group_asked", "group_a", "source_group"),
    remedy="source and apparatus marked for the group of the area",
)
def group(c: Columns) -> All:
    """Group asked <= group of every source and certified apparatus."""
    return All(
        (
            Bound(c.group_asked, c.source_group, over="source", exact=True, what="source"),
            Bound(c.group_asked, c.group_a, over="apparatus", exact=True, what="apparatus"),
        )
    )


@rule(
    "ambient",
    says="Every body stands within its ambient range.",
    relation="Ta min <= coldest, hottest <= Ta max",
    unit="degC",
    needs=("hot", "cold", "Ta_max", "Ta_min", "source_hot", "source_Ta_max"),
    remedy="apparatus marked for that range, or another place",
)
def ambient(c: Columns) -> All:
    """Hottest <= Ta max and coldest >= Ta min for apparatus and sources [degC]."""
    return All(
        (
            Bound(
                asked_where(c.here, c.hot), c.Ta_max, over="apparatus", exact=True, what="hottest"
            ),
            Bound(
                asked_where(c.here, -c.cold),
                -c.Ta_min,
                over="apparatus",
                exact=True,
                what="coldest",
            ),
            Bound(c.source_hot, c.source_Ta_max, over="source", exact=True, what="hottest"),
            Bound(-c.source_cold, -c.source_Ta_min, over="source", exact=True, what="coldest"),
        )
    )


@rule(
    "place",
    says="The body of every apparatus and source suits the zone where it stands.",
    relation="EPL asked by the place <= EPL of the marking",
    needs=("epl_asked", "epl", "source_epl_asked", "source_epl"),
    remedy="a body with the EPL that its place asks, or another place",
)
def place(c: Columns) -> All:
    """EPL asked <= EPL of the body; sources in a hazardous place also by group and temperature."""
    return All(
        (
            Bound(
                asked_where(c.here, c.epl_asked),
                c.epl,
                over="apparatus",
                exact=True,
                what="apparatus",
            ),
            Bound(c.source_epl_asked, c.source_epl, over="source", exact=True, what="source"),
            Bound(
                c.source_body_asked, c.source_body, over="source", exact=True, what="source group"
            ),
            Bound(c.source_T, c.source_T_limit, over="source", exact=True, what="source surface"),
        )
    )


@rule(
    "conditions",
    says="Every special condition of use is answered, and no component stands alone.",
    relation="open conditions <= 0",
    needs=("conditions", "source_conditions"),
    remedy="read the certificate and answer each of its conditions, with evidence",
)
def conditions(c: Columns) -> All:
    """No open condition (unproven) and no certificate of a component (unsafe)."""
    zero = np.zeros(())
    return All(
        (
            Bound(c.source_conditions, zero, over="source", exact=True, what="source"),
            Bound(c.conditions, zero, over="apparatus", exact=True, what="apparatus"),
        )
    )


@rule(
    "atmosphere",
    says="The atmosphere is one that the standards cover, and no hybrid mixture can form.",
    relation="-20 to 60 degC, 80 to 110 kPa, 21 % oxygen; not gas and dust together",
    needs=("atmosphere",),
    remedy="declare the atmospheric conditions; a person must judge what lies outside them",
)
def atmosphere(c: Columns) -> Bound:
    """Standard atmosphere, declared; anything else is unproven."""
    return Bound(c.atmosphere, np.zeros(()), exact=True)
