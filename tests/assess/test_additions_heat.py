"""Surfaces and atmospheres: temperature rows, small parts, gas and dust.

Circuits that a careless reading of the rules would get wrong, each with the right verdict: unsafe
ones that would pass, and ordinary safe ones that would be blocked. Every number is a worked example
of our own; the clauses named are from memory of the standards.
"""

from __future__ import annotations

import dataclasses

import pytest

from baseline import (
    AREA,
    GAS_AND_DUST_PARTS,
    WIDE,
    cable,
    column,
    judged,
    outcome,
    said,
    simple,
    source,
    transmitter,
    verdict,
)
from subspark.model import (
    Entry,
    Mark,
    Member,
    SourceUse,
    TemperatureRow,
)
from subspark.quantity import show
from subspark.quantity.reading import L_PER_R

# --- temperature ------------------------------------------------------------------------------

ROWS = (
    TemperatureRow(temperature="T6", ambient="-20 to 40 °C", Pi="0.30 W"),
    TemperatureRow(temperature="T4", ambient="-20 to 40 °C", Pi="0.66 W"),
)
SMALL = {"Uo": "28 V", "Io": "85.7142857142857 mA", "Po": "0.6 W"}


@pytest.mark.parametrize(
    ("rows", "asked", "expected"),
    [
        (ROWS, "T6", "unsafe"),  # only the row for 0.66 W covers 0.60 W
        (ROWS, "T4", "safe"),
        (ROWS[:1], "T6", "unsafe"),  # no row is left
        ((dataclasses.replace(ROWS[0], Pi=""), ROWS[1]), "T6", "unsafe"),
        ((dataclasses.replace(ROWS[0], ambient=""), ROWS[1]), "T6", "unsafe"),
        ((TemperatureRow(temperature="T6"), TemperatureRow(temperature="T4")), "T6", "unsafe"),
        ((dataclasses.replace(ROWS[0], Pi="0.6 W"),), "T6", "safe"),
        ((dataclasses.replace(ROWS[0], Pi="0.6 W", ambient="-20 to 39 °C"),), "T6", "unsafe"),
        ((dataclasses.replace(ROWS[0], Pi="0.6 W", ambient="-19 to 40 °C"),), "T6", "unsafe"),
        ((), "T4", "safe"),
        ((), "T5", "unsafe"),  # T6...T4 without its table is worth its hottest
    ],
)
def test_a_row_of_the_table_counts_within_its_power_and_ambient(rows, asked, expected):
    """T6 at 40 degC and 0.30 W, T4 at 0.66 W; Po 0.60 W (certificate practice, own example)."""
    item = transmitter(mark="Ex ia IIC T6...T4 Ga", rows=rows)
    parts = {"sources": [source(**SMALL)], "items": [item], "area": {**AREA, "temperature": asked}}
    assert said("temperature class", **parts) == expected
    assert verdict(**parts) == expected


def test_a_row_that_is_left_half_blank_is_worth_no_more_than_the_mark():
    """It is not known where the row ends (certificate practice)."""
    marks = (Mark(level="ia", group="IIC", epl="Ga", ambient="-20 to 60 °C"),)
    for row, expected in ((ROWS[1], "safe"), (dataclasses.replace(ROWS[1], Pi=""), "unproven")):
        item = transmitter(mark="", marks=marks, rows=(row,))
        assert said("temperature class", sources=[source(**SMALL)], items=[item]) == expected


@pytest.mark.parametrize(
    ("surface", "Rth", "asked", "expected"),
    [
        # 40 degC + 0.651 W x Rth
        ("", "145 K/W", "T4", "safe"),  # 134.4
        ("", "147 K/W", "T4", "unsafe"),  # 135.7
        ("300 mm2", "240 K/W", "T4", "safe"),  # 196.2 of 200
        ("300 mm2", "247 K/W", "T4", "unsafe"),  # 200.8
        ("1000 mm2", "240 K/W", "T4", "safe"),
        ("1001 mm2", "240 K/W", "T4", "unsafe"),
        ("19 mm2", "350 K/W", "T4", "safe"),  # 267.9 of 275
        ("20 mm2", "350 K/W", "T4", "unsafe"),
        ("0 mm2", "350 K/W", "T4", "unsafe"),  # a zero is no surface
        ("300 mm2", "290 K/W", "T2", "safe"),  # 228.8: the class limit of 300, not 200
        ("300 mm2", "290 K/W", "T3", "unsafe"),
        ("300 mm2", "160 K/W", "T5", "safe"),  # 144.2 of 150
        ("300 mm2", "171 K/W", "T5", "unsafe"),  # 151.3
        ("300 mm2", "100 K/W", "T6", "unsafe"),  # no relaxation for T6
    ],
)
def test_small_surfaces(surface, Rth, asked, expected):
    """The larger of class limit and relaxed limit (IEC 60079-0 5.3.3, from memory)."""
    part = simple(surface=surface, Rth=Rth)
    area = {**AREA, "temperature": asked}
    assert said("temperature class", items=[part], area=area) == expected


def test_service_temperature_counts_for_simple_apparatus():
    """Pt100 in a line of 120 degC: 184 degC, not 124 (IEC 60079-0 5.1.2, from memory)."""
    part = simple(Rth="110 K/W", ambient="-50 to 200 °C")
    one = source(Po="0.585 W", Io="83.5714285714286 mA")
    for process, expected in (("", "safe"), ("60 °C", "safe"), ("120 °C", "unsafe")):
        member = Member(apparatus="P1", process=process)
        assert said("temperature class", sources=[one], items=[part], members=[member]) == expected


@pytest.mark.parametrize(
    ("U", "I", "P", "expected"),
    [
        ("0.5 V", "10 mA", "5 mW", "safe"),
        ("0.6 V", "10 mA", "5 mW", "unsafe"),  # three of them: 1.8 V
        ("0.1 V", "34 mA", "1 mW", "unsafe"),
        ("0.1 V", "10 mA", "9 mW", "unsafe"),
        ("", "10 mA", "5 mW", "unproven"),
    ],
)
@pytest.mark.parametrize("sort", ["generating", "passive"])
def test_generating_items_are_summed(sort, U, I, P, expected):  # noqa: E741 - symbol of current
    """Sums within 1.5 V, 100 mA, 25 mW, whatever they are called (IEC 60079-11 5.7)."""
    cells = [simple(f"P{i}", sort=sort, U=U, I=I, P=P) for i in range(3)]
    assert said("simple", items=cells) == expected


# --- several atmospheres ----------------------------------------------------------------------

GAS_AND_DUST = [
    {"zone": "2", "group": "IIA", "temperature": "T4"},
    {"zone": "22", "group": "IIIC", "temperature": "135 °C"},
]


@pytest.mark.parametrize(
    ("length", "area", "expected"),
    [
        ("10000 m", GAS_AND_DUST, "unsafe"),  # 1 uF: IIA 2.15 uF would do, dust asks IIB 0.65 uF
        ("6500 m", GAS_AND_DUST, "safe"),
        ("10000 m", GAS_AND_DUST[:1], "safe"),
        ("10000 m", GAS_AND_DUST[1:], "unsafe"),
    ],
)
def test_every_atmosphere_is_proved_with_its_own_column(length, area, expected):
    """28 V: 2.15 uF IIA, 0.65 uF for dust (IEC 60079-11, from memory)."""
    assert verdict(**GAS_AND_DUST_PARTS, runs=[length], area=area, hybrid="no") == expected


def test_a_hybrid_mixture_that_is_not_excluded_is_unproven():
    """Gas and dust in one place (IEC 60079-14, from memory)."""
    assert outcome(**GAS_AND_DUST_PARTS, area=GAS_AND_DUST, hybrid="") == ("unproven", "atmosphere")
    assert verdict(**GAS_AND_DUST_PARTS, area=GAS_AND_DUST, hybrid="yes") == "unproven"


@pytest.mark.parametrize(("group", "code"), [("IIB+H2", "IEC-2024"), ("B", "NEC")])
def test_hydrogen_uses_the_column_of_iic(group, code):
    """28 V, 300 nF: 0.65 uF of IIB would do, 83 nF of IIC does not (IEC 60079-11)."""
    letters = (column("A, B", Co="83 nF", Lo="4.1 mH"), column("C", Co="650 nF", Lo="16 mH"))
    mark = Mark(level="ia", group="A, B, C, D", temperature="T4", ambient="-20 to 40 °C")
    nec = {
        "sources": [source(mark="", serves=(mark,), limits=letters)],
        "items": [transmitter(mark="", marks=(mark,), Ci="0", Li="0")],
    }
    parts = nec if code == "NEC" else {"items": [transmitter(Ci="0", Li="0")]}
    area = {"group": group, "temperature": "T4"}
    area |= {"zone": "Division 1", "hazard_class": "I"} if code == "NEC" else {"zone": "1"}
    thin = cable(L="0.1 µH/m")
    for length, expected in (("3000 m", "unsafe"), ("800 m", "safe")):
        found = said("capacitance", **parts, cables=[thin], runs=[length], area=area, code=code)
        assert found == expected


def test_a_mark_of_iib_does_not_serve_iib_with_hydrogen():
    """The added gas is not of the group (IEC 60079-0 4, from memory)."""
    area = {**AREA, "group": "IIB+H2"}
    for mark, expected in (
        ("Ex ia IIB T4 Ga", "unsafe"),
        ("Ex ia IIB+H2 T4 Ga", "safe"),
        ("Ex ia IIC T4 Ga", "safe"),
    ):
        assert verdict(items=[transmitter(mark=mark)], area=area) == expected
    assert verdict(items=[transmitter(mark="Ex ia IIB+H2 T4 Ga")]) == "unsafe"  # in IIC


# --- places -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        ({"temperature": "T4"}, "safe"),
        ({"temperature": "T3...T5"}, "unproven"),  # an area asks one class
        ({"temperature": "T3, T4"}, "unproven"),
        ({"temperature": "120 °C to 200 °C"}, "unproven"),
        ({"temperature": "120 °C"}, "unsafe"),  # T4 may reach 135
        ({"temperature": "", "substances": ("Methane",)}, "safe"),
        ({"temperature": "", "substances": ("Hydrazine",)}, "unproven"),  # ignites at 23 degC
        ({"temperature": "T4", "substances": ("Hydrazine",)}, "unproven"),
        ({"temperature": "", "substances": ("Methane", "Hydrazine")}, "unproven"),
        ({"temperature": "", "substances": ("Hydrazine", "Methane")}, "unproven"),
        ({"temperature": "T4", "substances": ("Carbon disulfide",)}, "unsafe"),  # 90 degC: T6
        ({"temperature": "T4", "substances": ("unheard of",)}, "unproven"),
    ],
)
def test_what_a_place_asks_of_surfaces(given, expected):
    """The strictest of class and substances; what fits no class is unproven (IEC 60079-0 5.3)."""
    item = transmitter(mark="Ex ia IIC T4 Ga")
    assert verdict(area={**AREA, **given}, items=[item]) == expected


def test_a_gas_named_in_an_atmosphere_of_dust_is_unproven():
    """Two atmospheres, or a slip (own engineering)."""
    dust = {"zone": "21", "group": "IIIC", "temperature": "135 °C", "substances": ("Methane",)}
    assert verdict(**GAS_AND_DUST_PARTS, area=dust) == "unproven"


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        ({"cloud_ignition": "400 °C", "layer_ignition": "300 °C"}, "safe"),  # 225 degC
        ({"cloud_ignition": "400 °C"}, "unproven"),
        ({"layer_ignition": "300 °C"}, "unproven"),
        ({"cloud_ignition": "200 °C", "layer_ignition": "300 °C"}, "unsafe"),  # 133.3
        ({"cloud_ignition": "400 °C", "layer_ignition": "209 °C"}, "unsafe"),  # 134
        ({"temperature": "T4"}, "unproven"),  # a class is no dust limit
        ({"temperature": "135 °C"}, "safe"),
        ({"temperature": "135 °C", "cloud_ignition": "200 °C"}, "unproven"),
    ],
)
def test_dust_asks_for_cloud_and_layer(given, expected):
    """2/3 of the cloud's, the layer's less 75 K (IEC 60079-14 5.6.3, from memory)."""
    assert verdict(**GAS_AND_DUST_PARTS, area={"zone": "21", "group": "IIIC", **given}) == expected


@pytest.mark.parametrize(
    ("temperature", "expected"),
    [
        ("135 °C", "safe"),
        ("T135 °C", "safe"),
        ("T200 135 °C", "safe"),
        ("T80 °C ... T135 °C", "safe"),
        ("T80 °C ... T150 °C", "unsafe"),  # a range is worth its hottest
        ("80 °C to 150 °C", "unsafe"),
        ("T4", "unproven"),
        ("", "unproven"),
    ],
)
def test_a_temperature_in_degrees_for_dust(temperature, expected):
    """T80 ... T150 degC without its table counts as 150 degC (IEC 60079-0 29, from memory)."""
    mark = Mark(level="ia", group="IIIC", epl="Da", temperature=temperature)
    item = transmitter(mark="", marks=(mark,))
    dust = {"zone": "21", "group": "IIIC", "temperature": "135 °C"}
    assert (
        said("temperature class", sources=GAS_AND_DUST_PARTS["sources"], items=[item], area=dust)
        == expected
    )


def test_a_fisco_set_does_not_serve_an_entity_proof():
    """22 V, 300 mA, 1.65 W against 24 V 250 mA 1.2 W or FISCO 17.5 V 380 mA 5.32 W."""
    more = {"mark": "Ex ia IIC T4 Ga", "Ci": "0", "Li": "0"}
    entries = (
        Entry(method="FISCO", Ui="17.5 V", Ii="380 mA", Pi="5.32 W", **more),
        Entry(Ui="24 V", Ii="250 mA", Pi="1.2 W", **more),
    )
    one = source(
        Uo="22 V", Io="300 mA", Po="1.65 W", limits=(column("IIC", Co="165 nF", Lo="0.3 mH"),)
    )
    found = judged(sources=[one], items=[transmitter(entries=entries)])
    assert {found.rules[name].verdict.word for name in ("current", "power")} == {"unsafe"}
    assert verdict(items=[transmitter(entries=entries[:1])]) == "unproven"


def test_a_service_tool_counts_while_it_hangs_on():
    """78 nF of cable and 10 nF of the tool: 88 nF of 83 nF (IEC 60079-14, from memory)."""
    tool = transmitter("H1", Ci="10 nF", Li="0", powered="yes", energy="passive by its document")
    parts = {
        "items": [transmitter(Ci="0", Li="0"), tool],
        "members": [Member(apparatus="T1"), Member(apparatus="H1", temporary=True)],
        "cables": [cable(L="0.1 µH/m")],
        "runs": ["780 m"],
    }
    found = judged(**parts)
    assert (found.verdict.word, found.without_tool.word) == ("unsafe", "safe")


def test_two_outputs_of_one_source_are_two_sources_without_their_printed_row():
    """28 V 93 mA twice, or the printed row 1+2 (IEC 60079-11, own worked example)."""
    limits = (column(Co="83 nF", Lo="4.1 mH"),)
    both = source("S1", limits=limits, polarity="+")
    first = both.outputs[0]
    second = dataclasses.replace(first, name="2")
    two = dataclasses.replace(both, outputs=(first, second))
    use = SourceUse(source="S1", outputs="1+2")
    parts = {"uses": [use], "items": [transmitter(Ci="0", Li="0", **WIDE)], "runs": ["50 m"]}
    assert verdict(sources=[two], **parts) == "unsafe"  # 186 mA > 120 mA
    row = dataclasses.replace(first, name="1+2", Uo="26.6 V", Io="100 mA", Po="665 mW")
    printed = dataclasses.replace(two, outputs=(first, second, row))
    assert judged(sources=[printed], **parts).rules["voltage"].demand == 26.6


def test_the_units_of_the_ratio_are_shown():
    """uH/ohm as printed (IEC 60079-11 Annex A, from memory)."""
    assert show(54e-6, L_PER_R) == "54 µH/ohm"
