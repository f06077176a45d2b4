"""North American figures: distances, gauges, groups, classes and temperature codes.

Sources: 46 CFR 111.105-11, ASTM B258, NFPA 70 (NEC) 500.5 to 506.6 and 504.30 to 504.80,
ISA-RP12.06.01; all from memory, with the confidence that stands beside each.
"""

from __future__ import annotations

import math

import pytest

from subspark.errors import QuantityError, UsageError
from subspark.physics.conductors import awg_area
from subspark.quantity import (
    C_PER_LENGTH,
    L_PER_LENGTH,
    LENGTH,
    R_PER_LENGTH,
    Gauge,
    show,
)
from subspark.rules import code
from subspark.rules.crossuse import (
    division_to_zone,
    group_to_division,
    group_to_zone,
    zone_to_division,
)

NEC = code("NEC")
FOOT = 0.3048


def test_distance_from_other_wiring():
    """46 CFR 111.105-11(c): 50 mm (2 in) from non-intrinsically safe cables (high).

    The same section takes UL 913 or IEC 60079-11 as the product standard (high).
    """
    assert NEC.number("separation") == 0.050
    assert any("UL 913" in document for document in NEC.documents)
    assert any("60079-11" in document for document in NEC.documents)


def test_wiring_between_intrinsically_safe_circuits():
    """NEC 504.30(B): insulation of 0.25 mm (0.01 in); 504.80(B): labels 7.5 m apart (high)."""
    assert NEC.number("insulation between circuits") == 0.25e-3
    assert NEC.number("label pitch") == 7.5


def test_default_cable():
    """ISA-RP12.06.01: 60 pF/ft and 0.20 uH/ft where the cable is not known (high)."""
    assert NEC.number("default C") * FOOT == pytest.approx(60e-12, rel=1e-12)
    assert NEC.number("default L") * FOOT == pytest.approx(0.20e-6, rel=1e-12)
    assert math.isnan(NEC.number("default L/R"))


@pytest.mark.parametrize(
    ("text", "mm2"),
    [
        ("22 AWG", 0.326),
        ("20 AWG", 0.518),
        ("18 AWG", 0.823),
        ("16 AWG", 1.31),
        ("14 AWG", 2.08),
        ("12 AWG", 3.31),
        ("10 AWG", 5.26),
        ("1/0 AWG", 53.5),
        ("4/0 AWG", 107.0),
    ],
)
def test_section_of_a_gauge(text, mm2):
    """ASTM B258, as wire tables print it with three digits (high)."""
    assert float(awg_area(Gauge(text).si)) * 1e6 == pytest.approx(mm2, rel=3e-3)


@pytest.mark.parametrize(
    ("gauge", "near"), [("20 AWG", 0.5), ("18 AWG", 0.75), ("16 AWG", 1.5), ("14 AWG", 2.5)]
)
def test_a_gauge_is_not_a_metric_section(gauge, near):
    """18 AWG has 9.7 % more copper than 0.75 mm2, 16 AWG 13 % less than 1.5 mm2."""
    assert abs(float(awg_area(Gauge(gauge).si)) * 1e6 / near - 1.0) > 0.03


@pytest.mark.parametrize("text", ["18 AWG", "AWG 18", "18AWG", "#18 AWG", "No. 18 AWG"])
def test_ways_to_write_a_gauge(text):
    assert Gauge(text).si == 18.0


@pytest.mark.parametrize("text", ["18", "18 mm2", "5/0 AWG", "0 AWG", "41 AWG", "AWG", "-1 AWG"])
def test_what_is_no_gauge(text):
    with pytest.raises(QuantityError):
        Gauge(text)


@pytest.mark.parametrize(
    ("si", "kind", "shown"),
    [
        (365.76, LENGTH, "1200 ft"),  # 0.3048 m exactly
        (60e-12 / FOOT, C_PER_LENGTH, "60 pF/ft"),
        (0.2e-6 / FOOT, L_PER_LENGTH, "0.2 µH/ft"),
        (6.385e-3 / FOOT, R_PER_LENGTH, "6.385 ohm/kft"),  # 18 AWG, ASTM B258 tables
    ],
)
def test_units_by_the_foot(si, kind, shown):
    assert show(si, kind, feet=True) == shown


def test_small_lengths_stay_in_millimetres():
    assert show(0.05, LENGTH, feet=True) == "50 mm"


@pytest.mark.parametrize(
    ("letter", "groups"),
    [
        ("A", ("IIC",)),
        ("B", ("IIC", "IIB+H2")),
        ("C", ("IIB",)),
        ("D", ("IIA",)),
        ("E", ("IIIC",)),
        ("F", ("IIIB",)),
        ("G", ("IIIB",)),
    ],
)
def test_groups_of_iec_for_a_letter(letter, groups):
    """NEC 500.6, 505.6 and 506.6, from memory (high for gas, medium for dust)."""
    assert group_to_zone(letter).candidates == groups
    for group in groups:
        assert letter in group_to_division(group).candidates


@pytest.mark.parametrize(
    ("group", "letters"),
    [
        ("IIC", ("A", "B")),
        ("IIB+H2", ("B",)),
        ("IIB", ("C",)),
        ("IIA", ("D",)),
        ("IIIC", ("E",)),
        ("IIIB", ("F", "G")),
        ("IIIA", ()),
    ],
)
def test_letters_for_a_group_of_iec(group, letters):
    """NEC 505.6 and 506.6, from memory; IIIA is Class III, which has no letter (medium)."""
    assert group_to_division(group).candidates == letters


def test_group_b_is_not_always_hydrogen():
    """Butadiene and ethylene oxide are B by the NEC and IIB by lists of IEC (high)."""
    assert "butadiene" in group_to_zone("B").caveat


def test_class_three_and_mines_say_so():
    assert "Class III" in group_to_division("IIIA").caveat
    assert "mines" in group_to_division("I").caveat


@pytest.mark.parametrize(
    ("division", "hazard_class", "zones"),
    [
        ("1", "I", ("0", "1")),
        ("2", "I", ("2",)),
        ("1", "II", ("20", "21")),
        ("2", "II", ("22",)),
        ("1", "III", ("20", "21")),
        ("2", "III", ("22",)),
    ],
)
def test_zones_of_a_division(division, hazard_class, zones):
    """NEC 500.5, 505.5 and 506.5, from memory (high for Class I, medium for the others)."""
    found = division_to_zone(division, hazard_class)
    assert found.candidates == zones
    assert found.caveat
    assert division_to_zone(f"Division {division}", hazard_class) == found


@pytest.mark.parametrize(
    ("zone", "divisions"),
    [
        ("0", ("Class I, Division 1",)),
        ("1", ("Class I, Division 1",)),
        ("2", ("Class I, Division 2",)),
        ("20", ("Class II, Division 1", "Class III, Division 1")),
        ("21", ("Class II, Division 1", "Class III, Division 1")),
        ("22", ("Class II, Division 2", "Class III, Division 2")),
    ],
)
def test_divisions_of_a_zone(zone, divisions):
    """NEC 500.5, 505.5 and 506.5, from memory (high for Class I, medium for the others)."""
    found = zone_to_division(zone)
    assert found.candidates == divisions
    assert found.caveat


def test_places_agree_both_ways():
    for name, place in NEC.places.items():
        hazard_class, division = name.removeprefix("Class ").split(", ")
        assert division_to_zone(division, hazard_class).candidates == place.zones
        for zone in place.zones:
            assert name in zone_to_division(zone).candidates


def test_division_one_is_not_split_by_a_table():
    assert "splits it" in division_to_zone("1").caveat
    assert "must then be ia" in zone_to_division("1").caveat
    assert "group E" in division_to_zone("2", "II").caveat


@pytest.mark.parametrize(
    ("ask", "thing"),
    [
        (zone_to_division, "3"),
        (division_to_zone, "3"),
        (group_to_zone, "H"),
        (group_to_zone, "IIC"),
        (group_to_division, "IID"),
    ],
)
def test_what_is_not_there_is_refused(ask, thing):
    with pytest.raises(UsageError, match="wanted one of"):
        ask(thing)


@pytest.mark.parametrize(
    ("name", "nec", "iec"),
    [
        ("T1", 450, 450),
        ("T2", 300, 300),
        ("T2A", 280, 300),
        ("T2B", 260, 300),
        ("T2C", 230, 300),
        ("T2D", 215, 300),
        ("T3", 200, 200),
        ("T3A", 180, 200),
        ("T3B", 165, 200),
        ("T3C", 160, 200),
        ("T4", 135, 135),
        ("T4A", 120, 135),
        ("T5", 100, 100),
        ("T6", 85, 85),
    ],
)
def test_temperature_codes(name, nec, iec):
    """NEC 500.8, table of codes, in degC (high); IEC counts a subdivision as the hotter class."""
    assert NEC.marked_class(name) == nec
    assert NEC.t_class(name) == nec
    assert code("IEC-2013").marked_class(name) == iec
