"""What the installation must show: simple apparatus, earths, cables, energy, distances."""

from __future__ import annotations

import numpy as np

from subspark.rules.bound import All, Bound
from subspark.rules.columns import NOTHING, Columns
from subspark.rules.registry import rule

__all__ = [
    "barrier_earth",
    "box_temperature",
    "cable",
    "earthing",
    "own_energy",
    "segregation",
    "shared_cable",
    "simple",
    "surge_device",
]


@rule(
    "simple",
    says="What is called simple apparatus is assessed, and generates next to nothing.",
    relation="assessed; sum U <= 1.5 V, sum I <= 100 mA, sum P <= 25 mW",
    needs=("assessed", "generating_U", "generating_I", "generating_P"),
    remedy="write the assessment, or use certified apparatus",
)
def simple(c: Columns) -> All:
    """Assessment in writing; generating items summed within 1.5 V, 100 mA and 25 mW."""
    number = c.code.number
    return All(
        (
            Bound(c.assessed, np.zeros(()), over="apparatus", exact=True, what="assessment"),
            Bound(c.generating_U, np.asarray(number("simple voltage")), what="V"),
            Bound(c.generating_I, np.asarray(number("simple current")), what="A"),
            Bound(c.generating_P, np.asarray(number("simple power")), what="W"),
        )
    )


@rule(
    "earthing",
    says="The circuit is earthed at one point at the most, or bonding is evidenced.",
    relation="earthed points <= 1",
    needs=("earthed", "earth_limit"),
    remedy="an isolating source, apparatus that withstands 500 V, or evidenced bonding",
)
def earthing(c: Columns) -> Bound:
    """Earthed points <= 1; a second one is unproven, not unsafe."""
    return Bound(c.earthed, np.where(c.earthed > c.earth_limit, np.nan, c.earth_limit), exact=True)


@rule(
    "barrier earth",
    says="Shunt-diode barriers are earthed by a short and sufficient path.",
    relation="R <= 1 ohm; one conductor >= 4 mm2 or two >= 1.5 mm2",
    unit="ohm",
    needs=("earth_ohm", "earth_wires", "earth_section"),
    remedy="measure and declare the earth of the barriers: resistance and conductors",
)
def barrier_earth(c: Columns) -> All:
    """Path of at most 1 ohm by one conductor of 4 mm2 or two of 1.5 mm2."""
    number = c.code.number
    asked = np.where(
        c.earth_wires >= 2.0, number("earth section of two"), number("earth section of one")
    )
    asked = np.where(np.isneginf(c.earth_ohm), -np.inf, asked)
    return All(
        (
            Bound(c.earth_ohm, np.asarray(number("earth resistance")), what="ohm"),
            Bound(asked, c.earth_section, what="m2"),
        )
    )


@rule(
    "cable",
    says="Every run is of a construction fit for Ex i circuits.",
    relation="strands >= 0.1 mm; tested at 500 V; rated for the temperature of its route",
    needs=("strand", "tested", "rated_T", "route_T"),
    remedy="the cable's data sheet, or a declaration that construction is evidenced",
)
def cable(c: Columns) -> All:
    """Strand diameter, test voltage and temperature rating of every run."""
    number = c.code.number
    return All(
        (
            Bound(np.asarray(number("strand")), c.strand, over="run", what="m"),
            Bound(np.asarray(number("cable test voltage")), c.tested, over="run", what="V"),
            Bound(c.route_T, c.rated_T, over="run", exact=True, what="degC"),
        )
    )


@rule(
    "own energy",
    says="Apparatus with a supply of its own feeds nothing into the circuit.",
    relation="passive by document, or within 1.5 V, 100 mA, 25 mW",
    needs=("energy",),
    remedy="read in its document what its terminals can deliver; else count it as a source",
)
def own_energy(c: Columns) -> Bound:
    """Powered apparatus is passive by its document or within the figures of simple sources."""
    return Bound(c.energy, np.zeros(()), over="apparatus", exact=True)


@rule(
    "segregation",
    says="Ex i terminals and wiring are kept apart from other circuits.",
    relation="50 mm <= distance, or a partition",
    unit="m",
    needs=("separation",),
    remedy="declare the distance kept from circuits that are not Ex i, or the partition",
)
def segregation(c: Columns) -> Bound:
    """Distance to circuits that are not Ex i of at least 50 mm, or a partition [m]."""
    return Bound(np.asarray(c.code.number("separation")), c.separation)


@rule(
    "shared cable",
    says="A multicore shared with other circuits keeps them apart by its construction.",
    relation="type A: screen coverage >= 60 %; type B: fixed, protected, no circuit above 60 V",
    needs=("shared_demand", "shared_limit"),
    remedy="evidence of type A or B; otherwise the circuits must be proved together",
)
def shared_cable(c: Columns) -> Bound:
    """Type A by its screens, type B by its protection and voltage; others are unproven."""
    return Bound(c.shared_demand, c.shared_limit)


@rule(
    "surge device",
    says="Surge devices of a circuit into zone 0 stand outside it, near, and well earthed.",
    relation="outside zone 0; distance <= 1 m; conductor >= 4 mm2; discharge >= 10 kA",
    needs=("surge_inside", "surge_distance", "surge_section", "surge_discharge"),
    remedy="distance to zone 0, earth conductor and discharge current of the surge device",
)
def surge_device(c: Columns) -> All:
    """Surge devices near a zone 0: place, distance, earth conductor, discharge current."""
    number = c.code.number
    asked = ~np.isneginf(c.surge_inside)
    return All(
        (
            Bound(c.surge_inside, np.zeros(()), exact=True, what="inside"),
            Bound(c.surge_distance, np.asarray(number("surge distance")), what="m"),
            Bound(np.where(asked, number("surge conductor"), NOTHING), c.surge_section, what="m2"),
            Bound(np.where(asked, number("surge current"), NOTHING), c.surge_discharge, what="A"),
        )
    )


@rule(
    "box temperature",
    says="A junction box stays cool enough with the power of all circuits that end in it.",
    relation="Ta + Rth sum Po <= limit of the atmosphere",
    unit="degC",
    needs=("box_T", "box_limit"),
    remedy="fewer circuits in the box, sources of lower Po, or a box of lower Rth",
)
def box_temperature(c: Columns) -> Bound:
    """Ambient and rise by the sum of powers <= limit where the box stands [degC]."""
    return Bound(c.box_T, c.box_limit)
