"""Segments of a fieldbus proved by FISCO or 2-WISE: limits that spare the sum of C and L.

A segment that keeps them all needs no sum of capacitance and inductance. One that breaks a
limit is not proved in this way, whatever the entity way says.
"""

from __future__ import annotations

import numpy as np

from subspark.rules.bound import NOT_ASKED, All, Bound
from subspark.rules.columns import NOTHING, Columns, Floats, Segments, total
from subspark.rules.registry import rule

__all__ = [
    "SEGMENT_RULES",
    "longest",
    "segment_cable",
    "segment_count",
    "segment_device",
    "segment_length",
    "segment_source",
    "terminators",
    "total_length",
]

SEGMENT_RULES = frozenset(
    {
        "segment source",
        "segment device",
        "terminators",
        "segment cable",
        "segment length",
        "segment count",
    }
)
"""Rules that are asked of fieldbus segments only."""

_IC, _IA = 1.0, 3.0  # ranks of the level that the atmosphere asks
_ZERO = np.zeros(())


def _of_level(c: Columns, s: Segments, name: str) -> Floats:
    """A figure that may differ for ic."""
    usual = s.figure(name)
    if not s.figures.has(f"{name} ic"):
        return usual
    return np.where(c.level_asked == _IC, s.figure(f"{name} ic"), usual)


@rule(
    "segment source",
    says="One source feeds the segment, and its output is one that the method allows.",
    relation="one source, of the method; 14 V <= Uo <= 17.5 V; Io, Po, Ci and Li within its limits",
    needs=("active", "own_output", "U", "I", "P", "output_C", "output_L"),
    remedy="one source that is certified for the method and the level; other sources taken off",
)
def segment_source(c: Columns) -> Bound | All:
    """Exactly one source, whose own set for the method keeps Uo, Io, Po, Ci and Li."""
    s = c.segments
    if s is None:
        return NOT_ASKED
    return All(
        (
            Bound(s.active, s.figure("sources"), exact=True, what="sources"),
            Bound(s.own_output, _ZERO, over="source", exact=True, what="set"),
            Bound(s.figure("source voltage low"), c.U, what="least Uo"),
            Bound(c.U, s.figure("source voltage high"), what="Uo"),
            Bound(c.I, _of_level(c, s, "source current"), what="Io"),
            Bound(c.P, _of_level(c, s, "source power"), what="Po"),
            Bound(s.output_C, s.figure("source capacitance"), over="source", what="Ci"),
            Bound(s.output_L, s.figure("source inductance"), over="source", what="Li"),
        )
    )


@rule(
    "segment device",
    says="Every device is made for the method, accepts its source and feeds nothing back.",
    relation="a set of the method; 17.5 V <= Ui, 380 mA <= Ii, 5.32 W <= Pi; Ci <= 5 nF, "
    "Li <= 10 µH; leakage <= 50 µA",
    needs=("own_set", "Ui", "Ii", "Pi", "Ci", "Li", "leak"),
    remedy="a device with a set of the method, or the proof of the whole segment by entity",
)
def segment_device(c: Columns) -> Bound | All:
    """Every apparatus by its own set for the method; one of another set voids the proof.

    Ci and Li are asked of simple apparatus too; the C of a terminator is its own matter.
    """
    s = c.segments
    if s is None:
        return NOT_ASKED
    Ci = np.where(s.is_terminator, NOTHING, c.Ci)
    Li = np.where(s.is_terminator, NOTHING, c.Li)
    return All(
        (
            Bound(s.own_set, _ZERO, over="apparatus", exact=True, what="set"),
            Bound(s.figure("device voltage"), c.Ui, over="apparatus", what="Ui"),
            Bound(s.figure("device current"), c.Ii, over="apparatus", what="Ii"),
            Bound(s.figure("device power"), c.Pi, over="apparatus", what="Pi"),
            Bound(Ci, s.figure("device capacitance"), over="apparatus", what="Ci"),
            Bound(Li, s.figure("device inductance"), over="apparatus", what="Li"),
            Bound(s.leak, s.figure("device leakage"), over="apparatus", what="leakage"),
        )
    )


@rule(
    "terminators",
    says="The segment has as many terminators as the method asks, and they are right.",
    relation="exactly 2 (2-WISE: none); 90 to 102 ohm with 0.8 to 1.2 µF",
    needs=("terminators", "end_R", "end_C"),
    remedy="one terminator at each end of the trunk, one of them perhaps in the source",
)
def terminators(c: Columns) -> Bound | All:
    """Neither more nor fewer terminators than the figure, each within its window."""
    s = c.segments
    if s is None:
        return NOT_ASKED
    wanted = np.broadcast_to(s.figure("terminators"), np.shape(s.terminators))
    bounds = [
        Bound(s.terminators, wanted, exact=True, what="terminators"),
        Bound(wanted, s.terminators, exact=True, what="least terminators"),
    ]
    for kind, value in (("resistance", s.end_R), ("capacitance", s.end_C)):
        if not s.figures.has(f"terminator {kind} low"):
            continue
        low, high = s.figure(f"terminator {kind} low"), s.figure(f"terminator {kind} high")
        sign = "R" if kind == "resistance" else "C"
        asked = np.where(s.is_terminator, low, NOTHING)
        bounds += [
            Bound(asked, value, over="apparatus", what=f"least {sign}"),
            Bound(
                np.where(s.is_terminator, value, NOTHING),
                high,
                over="apparatus",
                what=f"most {sign}",
            ),
        ]
    return All(tuple(bounds))


@rule(
    "segment cable",
    says="Every run is a cable of the kind for which the method was tried.",
    relation="R' 15 to 150 ohm/km, L' 0.4 to 1 mH/km, C' 45 to 200 nF/km",
    needs=("low_R", "high_R", "low_L", "high_L", "low_C", "high_C"),
    remedy="a cable within these windows by its data sheet, or the proof by entity",
)
def segment_cable(c: Columns) -> Bound | All:
    """R', L' and C' of every run within their windows; a default is no value here."""
    s = c.segments
    if s is None:
        return NOT_ASKED
    bounds = []
    for kind, sign, low, high in (
        ("resistance", "R'", s.low_R, s.high_R),
        ("inductance", "L'", s.low_L, s.high_L),
        ("capacitance", "C'", s.low_C, s.high_C),
    ):
        least, most = s.figure(f"cable {kind} low"), s.figure(f"cable {kind} high")
        bounds += [
            Bound(least, low, over="run", what=f"least {sign}"),
            Bound(high, most, over="run", what=f"most {sign}"),
        ]
    return All(tuple(bounds))


def total_length(c: Columns) -> Floats:
    """Length of all runs together [m]; where one is unknown, the known part if it is too much."""
    metres = total(c.length)
    if not np.isnan(metres).any():
        return metres
    known = total(np.where(np.isnan(c.length), 0.0, c.length))
    return np.where(np.isnan(metres) & (known > longest(c)), known, metres)


def longest(c: Columns) -> Floats:
    """How long a segment may be in all, by group and level [m]."""
    s = c.segments
    if s is None:
        return np.full(np.shape(c.U), np.inf)
    by_group = np.where(s.is_IIC == 1.0, s.figure("length IIC"), s.figure("length IIB"))
    limit = np.where(np.isnan(s.is_IIC), np.nan, by_group)
    if s.figures.has("length ia"):
        limit = np.where(c.level_asked < _IA, limit, np.minimum(limit, s.figure("length ia")))
    return limit


@rule(
    "segment length",
    says="Neither a spur nor the whole segment is longer than the method allows.",
    relation="each spur <= 60 m; trunk and spurs <= 1000 m (IIC), 5000 m (IIB); 2-WISE 200 m",
    unit="m",
    needs=("length", "least_spur", "most_spur", "is_IIC", "level_asked"),
    remedy="a shorter spur, a junction nearer to the device, or a second segment",
)
def segment_length(c: Columns) -> Bound | All:
    """Each spur within its limit, and all runs together within that of group and level [m]."""
    s = c.segments
    if s is None:
        return NOT_ASKED
    whole = Bound(total_length(c), longest(c), what="whole")
    if not s.figures.has("spur"):
        return whole
    limit = s.figure("spur")
    too_long = np.where(s.least_spur > limit, s.least_spur, np.nan)
    spur = np.where(s.most_spur <= limit, s.most_spur, too_long)
    return All((Bound(spur, limit, over="run", what="spur"), whole))


@rule(
    "segment count",
    says="No more devices hang on the segment than the method allows.",
    relation="devices and source <= 32 (2-WISE: 2)",
    needs=("stations",),
    remedy="a second segment",
)
def segment_count(c: Columns) -> Bound:
    """Devices and sources, without terminators and simple apparatus, within the figure."""
    s = c.segments
    if s is None:
        return NOT_ASKED
    return Bound(s.stations, s.figure("stations"), exact=True, what="stations")
