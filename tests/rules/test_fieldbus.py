"""Rules of fieldbus segments: at every limit, just above it, and where the value is unknown.

Figures: IEC 60079-11:2011 Annex G (FISCO) and IEC TS 60079-47:2021 (2-WISE), from memory.
"""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest

import subspark as ss
from assess.segment import link, plant
from subspark.rules import RULES, Columns, settle
from subspark.rules.bound import NOT_ASKED
from subspark.rules.codes.fieldbus import edition_for, editions, figures
from subspark.rules.columns import Segments
from subspark.rules.fieldbus import SEGMENT_RULES

NAN = math.nan
BY_NAME = {one.name: one for one in RULES}
OF_SEGMENT = {one.name for one in dataclasses.fields(Segments)}
MORE, LESS = 1.0001, 0.9999


def columns_of(of: ss.Plant) -> Columns:
    judged = ss.assess(of)
    return judged.columns(judged.governing_place("S"))


FISCO = columns_of(plant())  # zone 1, IIC
FISCO_IC = columns_of(plant(zone="2"))
FISCO_IIB = columns_of(plant(group="IIB"))
TWO_WISE = columns_of(link())
DEVICE, TERMINATOR, TRUNK, SPUR = 0, 2, 0, 1


def changed(columns: Columns, name: str, value: float, at: int | None = None) -> Columns:
    """The columns with one value changed, of a member where ``at`` says which."""
    segment = columns.segments
    assert segment is not None
    holder = segment if name in OF_SEGMENT else columns
    array = np.array(getattr(holder, name), dtype=float)
    if at is None:
        array[...] = value
    else:
        array[at] = value
    if name not in OF_SEGMENT:
        return dataclasses.replace(columns, memo={}, **{name: array})
    segment = dataclasses.replace(segment, **{name: array})
    return dataclasses.replace(columns, memo={}, segments=segment)


def said(columns: Columns, rule: str) -> str:
    with np.errstate(invalid="ignore"):
        verdict = settle(BY_NAME[rule].evaluate(columns), quantity=False).verdict
    return ss.Verdict(int(np.max(verdict))).word


@pytest.mark.parametrize("columns", [FISCO, FISCO_IC, FISCO_IIB, TWO_WISE])
@pytest.mark.parametrize("rule", sorted(SEGMENT_RULES))
def test_a_segment_that_keeps_every_limit_is_safe(columns, rule):
    assert said(columns, rule) == "safe"


# columns, rule, column, at, the limit, which side of it is safe ("<=", ">=" or "=")
LIMITS = [
    # IEC 60079-11:2011 Annex G, supply: one source, 14 V to 17.5 V, 380 mA, 5.32 W, 5 nF, 10 uH
    (FISCO, "segment source", "active", None, 1.0, "<="),
    (FISCO, "segment source", "U", None, 14.0, ">="),
    (FISCO, "segment source", "U", None, 17.5, "<="),
    (FISCO, "segment source", "I", None, 0.38, "<="),
    (FISCO, "segment source", "P", None, 5.32, "<="),
    (FISCO, "segment source", "output_C", 0, 5e-9, "<="),
    (FISCO, "segment source", "output_L", 0, 10e-6, "<="),
    # of ic: 1.5 times 380 mA, no limit of power
    (FISCO_IC, "segment source", "I", None, 0.57, "<="),
    # IEC 60079-11:2011 Annex G, field device: 17.5 V, 380 mA, 5.32 W, 5 nF, 10 uH, 50 uA
    (FISCO, "segment device", "Ui", DEVICE, 17.5, ">="),
    (FISCO, "segment device", "Ii", DEVICE, 0.38, ">="),
    (FISCO, "segment device", "Pi", DEVICE, 5.32, ">="),
    (FISCO, "segment device", "Ci", DEVICE, 5e-9, "<="),
    (FISCO, "segment device", "Li", DEVICE, 10e-6, "<="),
    (FISCO, "segment device", "leak", DEVICE, 50e-6, "<="),
    # IEC 60079-11:2011 Annex G, terminator: two, 90 to 102 ohm, 0.8 to 1.2 uF
    (FISCO, "terminators", "terminators", None, 2.0, "="),
    (FISCO, "terminators", "end_R", TERMINATOR, 90.0, ">="),
    (FISCO, "terminators", "end_R", TERMINATOR, 102.0, "<="),
    (FISCO, "terminators", "end_C", TERMINATOR, 0.8e-6, ">="),
    (FISCO, "terminators", "end_C", TERMINATOR, 1.2e-6, "<="),
    # IEC 60079-11:2011 Annex G, cable: 15 to 150 ohm/km, 0.4 to 1 mH/km, 45 to 200 nF/km
    (FISCO, "segment cable", "low_R", SPUR, 15e-3, ">="),
    (FISCO, "segment cable", "high_R", SPUR, 150e-3, "<="),
    (FISCO, "segment cable", "low_L", SPUR, 0.4e-6, ">="),
    (FISCO, "segment cable", "high_L", SPUR, 1e-6, "<="),
    (FISCO, "segment cable", "low_C", SPUR, 45e-12, ">="),
    (FISCO, "segment cable", "high_C", SPUR, 200e-12, "<="),
    # IEC 60079-11:2011 Annex G: trunk with spurs 1000 m in IIC, 5000 m in IIB (spurs are 80 m)
    (FISCO, "segment length", "length", TRUNK, 920.0, "<="),
    (FISCO_IIB, "segment length", "length", TRUNK, 4920.0, "<="),
    # IEC 61158-2: 32 stations, the source among them
    (FISCO, "segment count", "stations", None, 32.0, "<="),
    # IEC TS 60079-47:2021: the same but for the length, point to point, no terminators
    (TWO_WISE, "segment source", "active", None, 1.0, "<="),
    (TWO_WISE, "segment source", "U", None, 14.0, ">="),
    (TWO_WISE, "segment source", "U", None, 17.5, "<="),
    (TWO_WISE, "segment source", "I", None, 0.38, "<="),
    (TWO_WISE, "segment source", "P", None, 5.32, "<="),
    (TWO_WISE, "segment device", "Ui", DEVICE, 17.5, ">="),
    (TWO_WISE, "segment device", "Ii", DEVICE, 0.38, ">="),
    (TWO_WISE, "segment device", "Pi", DEVICE, 5.32, ">="),
    (TWO_WISE, "terminators", "terminators", None, 0.0, "="),
    (TWO_WISE, "segment cable", "high_R", 0, 150e-3, "<="),
    (TWO_WISE, "segment length", "length", 0, 200.0, "<="),
    (TWO_WISE, "segment count", "stations", None, 2.0, "<="),
]


def beyond(limit: float, side: str) -> float:
    if limit == int(limit) and limit <= 32:  # counts, and voltages well beyond
        return limit + (1.0 if side in ("<=", "=") else -1.0)
    return limit * (MORE if side == "<=" else LESS)


@pytest.mark.parametrize(
    ("columns", "rule", "name", "at", "limit", "side"),
    LIMITS,
    ids=[f"{one[1]}, {one[2]} {one[5]} {one[4]:g} {n}" for n, one in enumerate(LIMITS)],
)
def test_at_the_limit_beyond_it_and_unknown(columns, rule, name, at, limit, side):
    assert said(changed(columns, name, limit, at), rule) == "safe"
    assert said(changed(columns, name, beyond(limit, side), at), rule) == "unsafe"
    if side == "=" and limit:
        assert said(changed(columns, name, limit - 1.0, at), rule) == "unsafe"
    assert said(changed(columns, name, NAN, at), rule) == "unproven"


@pytest.mark.parametrize(
    ("least", "most", "verdict"),
    [
        (60.0, 60.0, "safe"),
        (60.006, 60.006, "unsafe"),
        (40.0, 60.0, "safe"),
        (40.0, 80.0, "unproven"),
        (-math.inf, 80.0, "unproven"),
        (61.0, 200.0, "unsafe"),
        (61.0, NAN, "unsafe"),
        (20.0, NAN, "unproven"),
    ],
)
def test_a_spur_of_uncertain_length(least, most, verdict):
    columns = changed(changed(FISCO, "least_spur", least, SPUR), "most_spur", most, SPUR)
    assert said(columns, "segment length") == verdict


def test_a_known_part_that_is_too_long_decides():
    columns = changed(changed(FISCO, "length", NAN, SPUR), "length", 1001.0, TRUNK)
    assert said(columns, "segment length") == "unsafe"


def test_group_unknown_leaves_the_length_open():
    assert said(changed(FISCO, "is_IIC", NAN), "segment length") == "unproven"


def test_a_set_of_another_method_proves_nothing():
    assert said(changed(FISCO, "own_set", NAN, DEVICE), "segment device") == "unproven"
    assert said(changed(FISCO, "own_output", NAN, 0), "segment source") == "unproven"


def test_power_of_ic_is_not_limited_by_the_method():
    assert said(changed(FISCO_IC, "P", 9.0), "segment source") == "safe"
    assert said(changed(changed(FISCO_IC, "P", 9.0), "level_asked", NAN), "segment source") == (
        "unsafe"
    )


@pytest.mark.parametrize("rule", ["capacitance", "inductance", "permitted current"])
def test_no_sum_is_asked_of_a_segment(rule):
    assert said(FISCO, rule) == "not asked"


@pytest.mark.parametrize("rule", sorted(SEGMENT_RULES))
def test_nothing_is_asked_of_other_circuits(rule):
    assert BY_NAME[rule].evaluate(dataclasses.replace(FISCO, segments=None)) is NOT_ASKED


# --- figures as data -----------------------------------------------------------------------------


def test_editions():
    # both generations are kept; codes go by the edition of IEC 60079-11 that they name
    assert editions("FISCO") == (
        "IEC 60079-11:2011", "IEC 60079-11:2023", "IEC 60079-27:2005",
    )  # fmt: skip
    assert edition_for("FISCO", "IEC-2013") == "IEC 60079-11:2011"
    assert edition_for("FISCO", "IEC-2024") == "IEC 60079-11:2023"
    assert edition_for("2-WISE", "IEC-2024") == "IEC TS 60079-47:2021"


def test_every_figure_says_where_it_stands_and_how_sure_it_is():
    for method in ("FISCO", "2-WISE"):
        for edition in editions(method):
            for one in figures(method, edition).constants.values():
                assert one.clause.startswith(edition)
                assert one.confidence in ("high", "medium", "low")


def test_the_first_generation():
    # IEC 60079-27:2005, from memory: spurs of 30 m, 90 to 100 ohm, up to 2.2 uF, 80 to 200 nF/km
    old = {name: one.value for name, one in figures("FISCO", "IEC 60079-27:2005").constants.items()}
    assert old["spur"] == 30.0
    assert (old["terminator resistance low"], old["terminator resistance high"]) == (90.0, 100.0)
    assert (old["terminator capacitance low"], old["terminator capacitance high"]) == (0.0, 2.2e-6)
    assert (old["cable capacitance low"], old["cable capacitance high"]) == (80e-12, 200e-12)
    assert (old["length IIC"], old["length IIB"], old["length ia"]) == (1000.0, 1900.0, 1000.0)


def test_a_figure_of_low_confidence_is_unknown_until_confirmed():
    link = figures("2-WISE", "IEC TS 60079-47:2021")
    assert "length IIC" in link.doubted
    got = link.number("length IIC", np.array([0.0, NAN]))
    assert got[0] == 200.0
    assert math.isnan(got[1])
    assert figures("FISCO", "IEC 60079-11:2011").doubted == ()


def test_an_edition_that_is_not_there_has_no_figures():
    blank = figures("FISCO", "IEC 60079-11:1999")
    assert all(math.isnan(one.value) for one in blank.constants.values())
