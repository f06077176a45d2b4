"""Stored energy: columns, cables, pairs, the lumped rule, and slips of unit.

Circuits that a careless reading of the rules would get wrong, each with the right verdict: unsafe
ones that would pass, and ordinary safe ones that would be blocked. Every number is a worked example
of our own; the clauses named are from memory of the standards.
"""

from __future__ import annotations

import dataclasses

import pytest

from baseline import (
    AREA,
    BARRIER,
    OF_24_V,
    WIDE,
    barrier,
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
    Pair,
    Run,
)
from subspark.quantity import show
from subspark.quantity.reading import CAPACITANCE


def test_the_bench_circuit_is_safe():
    """The circuit from which all others start (own worked example)."""
    assert outcome() == ("safe", "voltage")
    assert outcome(sources=[barrier()], declare=BARRIER) == ("safe", "voltage")


# --- second earth, slips of unit, thresholds --------------------------------------------------


def test_a_second_earthed_point_is_unproven():
    """A barrier and an earthed thermocouple (IEC 60079-14 16.2.3, from memory)."""
    tip = simple(
        sort="generating", U="50 mV", I="10 mA", P="0.5 mW", isolation="no", ambient="-60 to 600 °C"
    )
    parts = {"sources": [barrier()], "declare": BARRIER, "items": [tip]}
    assert outcome(**parts) == ("unproven", "earthing")
    assert verdict(**parts, bonding="yes") == "safe"
    assert verdict(items=[tip]) == "safe"  # isolated source: one earth only


@pytest.mark.parametrize(
    ("cross_check", "expected"), [("", ("unproven", "inductance")), ("yes", ("safe", "inductance"))]
)
def test_a_slip_of_unit_leaves_the_rule_that_leans_on_it_unproven(cross_check, expected):
    """Lo 4.3 H for 4.3 mH and a coil of 20 mH (IEC 60079-11 Annex A, own worked example)."""
    one = source(
        Uo="26 V",
        Io="90 mA",
        Po="585 mW",
        limits=(column(Co="99 nF", Lo="4.3 H"),),
        cross_check=cross_check,
    )
    coil = transmitter(Ci="0", Li="4 H", **WIDE)
    assert outcome(sources=[one], items=[coil]) == expected


def test_a_slip_never_turns_a_coil_of_20_mH_safe():
    """True Lo 4.3 mH: 20 mH is above it (own worked example)."""
    one = source(Uo="26 V", Io="90 mA", Po="585 mW", limits=(column(Co="99 nF", Lo="4.3 H"),))
    assert said("inductance", sources=[one], items=[transmitter(Li="20 mH", Ci="0")]) == "unproven"
    right = source(Uo="26 V", Io="90 mA", Po="585 mW", limits=(column(Co="99 nF", Lo="4.3 mH"),))
    assert said("inductance", sources=[right], items=[transmitter(Li="20 mH", Ci="0")]) == "unsafe"


@pytest.mark.parametrize(
    ("limits", "rule"),
    [
        ({"Co": "650 nF", "Lo": "4.1 mH"}, "capacitance"),  # the IIB figure in the IIC column
        ({"Co": "83 nF", "Lo": "16 mH"}, "inductance"),
        ({"Co": "83 nF", "Lo": "4.1 mH", "Lo_Ro": "218 µH/ohm"}, None),  # L itself is proved
    ],
)
def test_the_column_of_another_group_is_noticed(limits, rule):
    """0.65/0.083 = 7.8 and 4.0 times the reference: both above 1.25 (judgement, no source)."""
    one = source(limits=(column(**limits),))
    if rule is None:
        assert verdict(sources=[one]) == "safe"
        long = cable(L="5 µH/m", R_loop="24 ohm/km")  # 208 uH/ohm: by the slipped figure safe
        assert said("inductance", sources=[one], cables=[long], runs=["900 m"]) != "safe"
    else:
        item = transmitter(Ci="0", Li="0")
        assert outcome(sources=[one], items=[item]) == ("unproven", rule)
        assert verdict(sources=[one]) == "unproven"  # k is not decidable either


@pytest.mark.parametrize(("Co", "expected"), [("103.75 nF", "safe"), ("104 nF", "unproven")])
def test_the_cross_check_stands_at_one_and_a_quarter(Co, expected):
    """1.25 x 83 nF = 103.75 nF: equal passes, above is doubted (judgement, no source)."""
    one = source(limits=(column(Co=Co, Lo="4.1 mH"),))
    assert said("capacitance", sources=[one]) == expected


def test_an_unstated_shape_is_no_way_round_the_cross_check():
    """Checked for every source not documented as non-linear (judgement, no source)."""
    one = source(shape="", limits=(column(Co="650 nF", Lo="4.1 mH"),))
    assert said("capacitance", sources=[one]) == "unproven"


# --- alternatives and columns -----------------------------------------------------------------


def test_level_and_group_of_two_alternatives_are_not_mixed():
    """Ex ia IIB Ga or Ex ib IIC Gb in zone 0, IIC (IEC 60079-0 29, from memory)."""
    marks = "Ex ia IIB T4 Ga; Ex ib IIC T4 Gb"
    zone_0 = {**AREA, "zone": "0"}
    assert verdict(items=[transmitter(mark=marks)], area=zone_0) == "unsafe"
    assert verdict(items=[transmitter(mark=marks)], area={**AREA, "zone": "1"}) == "safe"
    assert verdict(items=[transmitter(mark=marks)], area={**zone_0, "group": "IIB"}) == "safe"
    assert verdict(items=[transmitter(mark="Ex ia IIC T4 Ga")], area=zone_0) == "safe"


def test_level_of_the_gas_mark_does_not_serve_dust():
    """Ex ia IIC Ga or Ex ib IIIC Db in zone 20 (IEC 60079-0 29, from memory)."""
    marks = "Ex ia IIC T4 Ga; Ex ib IIIC T135 °C Db"
    dust = {"zone": "20", "group": "IIIC", "temperature": "135 °C"}
    both = source(mark="[Ex ia Ga] IIC; [Ex ia Da] IIIC")
    assert verdict(sources=[both], items=[transmitter(mark=marks)], area=dust) == "unsafe"
    assert (
        verdict(sources=[both], items=[transmitter(mark=marks)], area={**dust, "zone": "21"})
        == "safe"
    )


def test_parameters_of_two_alternatives_are_not_mixed():
    """Ui 30 V, Pi 0.5 W or Ui 24 V, Pi 1 W: neither set serves 28 V, 651 mW (own example)."""
    mark = "Ex ia IIC T4 Ga"
    more = {"Ii": "120 mA", "Ci": "0", "Li": "0"}
    entries = (
        Entry(mark=mark, Ui="30 V", Pi="0.5 W", **more),
        Entry(mark=mark, Ui="24 V", Pi="1 W", **more),
    )
    assert verdict(items=[transmitter(entries=entries)]) == "unsafe"
    fitting = dataclasses.replace(entries[1], Ui="30 V")
    assert verdict(items=[transmitter(entries=(entries[0], fitting))]) == "safe"


LEVELS = (
    column("IIC", level="ia, ib", Co="125 nF", Lo="5.5 mH"),
    column("IIC", level="ic", Co="460 nF", Lo="12.4 mH"),
)


@pytest.mark.parametrize(
    ("zone", "length", "expected"),
    [
        ("1", "1950 m", ("unsafe", "capacitance")),  # 200 nF of 125 nF
        ("1", "1200 m", ("safe", "capacitance")),  # 125 nF, equal
        ("2", "1950 m", ("safe", "voltage")),  # the ic column: 200 nF of 460 nF
        ("2", "4600 m", ("unsafe", "capacitance")),
    ],
)
def test_the_column_of_the_level_that_is_asked_counts(zone, length, expected):
    """24 V: 125 nF for ia and ib, 460 nF for ic (IEC 60079-11 Annex A, from memory)."""
    one = source(**OF_24_V, limits=LEVELS)
    thin = cable(L="0.1 µH/m")
    parts = {"sources": [one], "cables": [thin], "runs": [length]}
    assert outcome(**parts, area={**AREA, "zone": zone}) == expected


def test_a_column_of_a_lower_level_makes_the_circuit_that_level():
    """Only ic columns, zone 1 (IEC 60079-11, from memory)."""
    one = source(**OF_24_V, limits=LEVELS[1:])
    assert outcome(sources=[one]) == ("unsafe", "level")


# --- cable by L/R -----------------------------------------------------------------------------

OF_30_V = {"Uo": "30 V", "Io": "100 mA", "Po": "750 mW"}
LONG = {
    "sources": [source(**OF_30_V, limits=(column(Co="66 nF", Lo="3.5 mH", Lo_Ro="47.4 µH/ohm"),))],
    "items": [transmitter(Ci="0", Li="0", **WIDE)],
    "runs": ["5000 m"],
}


@pytest.mark.parametrize(
    ("given", "cold", "expected"),
    [
        ({"section": "1.5 mm2"}, "-20 to 40 °C", "unsafe"),  # 54 uH/ohm of nominal copper, cold
        ({"section": "1.5 mm2"}, "20 to 40 °C", "unsafe"),  # 45.8: within, but assumed
        ({"section": "0.75 mm2"}, "20 to 40 °C", "safe"),  # 22.9 uH/ohm: below 80 %
        ({"R_loop": "24.2 ohm/km"}, "-20 to 40 °C", "safe"),  # a stated minimum: 41.3
        ({"R_core": "12.1 ohm/km"}, "-20 to 40 °C", "safe"),
        ({"R_loop": "20 ohm/km"}, "-20 to 40 °C", "unsafe"),  # 50
        ({"L_R": "47.4 µH/ohm"}, "-20 to 40 °C", "safe"),
        ({"L_R": "47.5 µH/ohm"}, "-20 to 40 °C", "unsafe"),
        ({}, "-20 to 40 °C", "unsafe"),  # no resistance at all, and L is known: no default
    ],
)
def test_l_over_r_takes_the_lowest_resistance(given, cold, expected):
    """1 uH/m on 1.5 mm2 against 47.4 uH/ohm (IEC 60079-14 16.2.2, own worked example)."""
    thin = cable(C="10 pF/m", L="1 µH/m", **{"R_loop": "", **given})
    assert said("inductance", **LONG, cables=[thin], ambient=cold) == expected


def test_a_resistance_printed_as_a_maximum_is_refused_as_the_lowest():
    """IEC 60228 prints maxima, '<= 24.2 ohm/km': the wrong end (from memory)."""
    with pytest.raises(Exception, match="is an upper bound; wanted the lowest value"):
        cable(R_loop="≤ 24.2 ohm/km")


def test_no_printed_ratio_closes_the_route():
    """Lo/Ro is not worked out where it is not printed (judgement on IEC 60079-11 6.2)."""
    one = source(Uo="30 V", Io="100 mA", Po="750 mW", limits=(column(Co="66 nF", Lo="3.5 mH"),))
    thin = cable(C="10 pF/m", L="1 µH/m", R_loop="40 ohm/km")
    assert said("inductance", **{**LONG, "sources": [one]}, cables=[thin]) == "unsafe"
    assert said("inductance", **LONG, cables=[thin]) == "safe"


@pytest.mark.parametrize(("Li", "expected"), [("0", "safe"), ("1 µH", "unproven")])
def test_a_ratio_without_lo_serves_only_where_nothing_is_lumped(Li, expected):
    """1 % of an unknown Lo cannot be tested (judgement, no source)."""
    one = source(limits=(column(Co="83 nF", Lo_Ro="54 µH/ohm"),))
    item = transmitter(Ci="0", Li=Li)
    assert said("inductance", sources=[one], items=[item]) == expected


@pytest.mark.parametrize(("Li", "expected"), [("40 µH", "safe"), ("41 µH", "unsafe")])
def test_a_ratio_stands_in_only_below_one_percent_of_lo(Li, expected):
    """1 % of 4.1 mH is 41 uH, which counts as lumped (IEC 60079-11 10.1.5.2, from memory)."""
    item = transmitter(Ci="0", Li=Li)
    thin = cable(C="10 pF/m", L="1 µH/m", R_loop="24.2 ohm/km")
    assert said("inductance", items=[item], cables=[thin], runs=["5000 m"]) == expected


def test_the_default_ratio_of_an_unknown_cable_serves_up_to_three_amperes():
    """30 uH/ohm up to Io = 3 A (IEC 60079-14 16.2.2.2, from memory)."""
    bare = cable(C="10 pF/m", L="", R_loop="", screen="none")
    found = judged(cables=[bare], runs=["5000 m"], items=[transmitter(Ci="0", Li="0")])
    assert (found.rules["inductance"].by, found.rules["inductance"].verdict.word) == ("L/R", "safe")
    limits = (column("IIA", Co="1000 µF", Lo="1 µH", Lo_Ro="54 µH/ohm"),)
    for Io, expected in (("3 A", "safe"), ("3.1 A", "unsafe")):
        strong = source(
            Uo="5 V", Io=Io, Po="3.75 W" if Io == "3 A" else "3.875 W", limits=limits,
            cross_check="yes",
        )  # fmt: skip
        parts = {
            "sources": [strong],
            "cables": [bare],
            "items": [transmitter(Ci="0", Li="0", Ui="60 V", Ii="5 A", Pi="10 W")],
            "area": {**AREA, "group": "IIA"},
        }
        assert said("inductance", **parts) == expected


# --- capacitance of screens -------------------------------------------------------------------

SCREENED = {"C": "", "C_core": "100 pF/m", "C_screen": "180 pF/m", "screen": "overall"}


@pytest.mark.parametrize(
    ("earthed", "screen", "total"),
    [
        (False, "floating", "57 nF"),
        (False, "earthed", "57 nF"),  # the circuit is not earthed
        (True, "earthed", "84 nF"),
        (False, "tied to one core", "84 nF"),
        (False, "", "84 nF"),
        (False, "none", "84 nF"),  # it has a screen, whatever the run says
    ],
)
def test_the_screen_counts_as_it_is_used(earthed, screen, total):
    """100 pF/m and 180 pF/m on 300 m, 83 nF (IEC 60079-14 16.2.2.2, from memory)."""
    one = (barrier if earthed else source)()
    run = Run(cable="K1", length="300 m", screen=screen)
    found = judged(
        sources=[one],
        declare=BARRIER,
        items=[transmitter(Ci="0", Li="0")],
        cables=[cable(**SCREENED)],
        runs=[run],
    )
    assert show(found.rules["capacitance"].demand, CAPACITANCE) == total
    assert found.verdict.word == ("safe" if total == "57 nF" else "unsafe")


@pytest.mark.parametrize(
    ("cores", "expected"), [(2, "safe"), (3, "safe"), (4, "unproven"), (None, "unproven")]
)
def test_defaults_are_for_ordinary_cable_of_two_or_three_cores(cores, expected):
    """200 pF/m (IEC 60079-14 16.2.2.2, from memory)."""
    bare = cable(C="", L="", R_loop="", cores=cores)
    found = judged(cables=[bare], runs=["100 m"])
    assert found.verdict.word == expected
    if expected == "safe":
        assert show(found.rules["capacitance"].demand, CAPACITANCE) == "25 nF"  # 20 nF + 5 nF
        assert any("200 pF/m" in note for note in found.assumptions)


def test_every_branch_counts():
    """Trunk of 300 m and five spurs of 30 m at 200 pF/m: 90 nF (own worked example)."""
    one = cable(C="200 pF/m")
    parts = {"cables": [one], "items": [transmitter(Ci="0", Li="0")]}
    assert outcome(**parts, runs=["300 m", *["30 m"] * 5]) == ("unsafe", "capacitance")
    assert verdict(**parts, runs=["300 m"]) == "safe"


# --- pairs, alternating voltages, atmosphere --------------------------------------------------

PAIRS = (Pair(Co="120 nF", Lo="1 mH"), Pair(Co="60 nF", Lo="4 mH"))


@pytest.mark.parametrize(
    ("Ci", "Li", "expected"),
    [
        ("120 nF", "1 mH", "safe"),
        ("60 nF", "4 mH", "safe"),
        ("61 nF", "1.1 mH", "unsafe"),  # between the two pairs: never interpolated
        ("90 nF", "2.5 mH", "unsafe"),
        ("121 nF", "0", "unsafe"),
    ],
)
def test_one_pair_must_cover_both(Ci, Li, expected):
    """Pairs as printed, not halved, not mixed (IEC 60079-11, from memory)."""
    one = source(**OF_24_V, limits=(column(pairs=PAIRS),))
    parts = {"sources": [one], "items": [transmitter(Ci=Ci, Li=Li)], "runs": ["0 m"]}
    found = judged(**parts)
    assert (found.verdict.word, found.k) == (expected, "pairs")


def test_a_ratio_does_not_stand_beside_pairs():
    """Lo/Ro is not usable with pairs (IEC 60079-11, from memory)."""
    one = source(**OF_24_V, limits=(column(pairs=PAIRS, Lo_Ro="74 µH/ohm"),))
    thin = cable(C="10 pF/m", L="1 µH/m", R_loop="24 ohm/km")
    parts = {"sources": [one], "items": [transmitter(Ci="0", Li="0")], "cables": [thin]}
    assert said("inductance", **parts, runs=["4100 m"]) == "unsafe"


def test_pairs_of_another_column_do_not_serve():
    """Pairs of IIB in IIC (IEC 60079-11, from memory)."""
    one = source(**OF_24_V, limits=(column("IIB", pairs=PAIRS),))
    assert outcome(sources=[one]) == ("unproven", "capacitance")


@pytest.mark.parametrize("missing", ["Co", "Lo"])
def test_a_pair_with_a_gap_covers_nothing(missing):
    """Half a pair is not a pair (own engineering)."""
    pair = dataclasses.replace(PAIRS[0], **{missing: ""})
    one = source(**OF_24_V, limits=(column(pairs=(pair,)),))
    assert verdict(sources=[one]) == "unproven"


@pytest.mark.parametrize(
    ("given", "U", "expected"),
    [
        ({"polarity": "a.c.", "peak": "r.m.s."}, 33.9411, "unsafe"),
        ({"polarity": "a.c.", "peak": "peak"}, 24.0, "safe"),
        ({"polarity": "a.c."}, None, "unproven"),
        ({"polarity": "", "peak": "r.m.s."}, 33.9411, "unsafe"),  # said of no d.c. voltage
        ({"polarity": "", "peak": ""}, 24.0, "safe"),
    ],
)
def test_the_peak_of_an_alternating_voltage_counts(given, U, expected):
    """24 V r.m.s. is 33.9 V (physics)."""
    found = judged(sources=[source(**OF_24_V, **given)])
    assert found.rules["voltage"].verdict.word == expected
    assert found.rules["voltage"].demand == (U if U is None else pytest.approx(U, rel=1e-5))


@pytest.mark.parametrize("declared", ["oxygen 25 %", "3 bar", "yes", None])
def test_only_the_standard_atmosphere_is_covered(declared):
    """-20 to 60 degC, 80 to 110 kPa, 21 % oxygen (IEC 60079-0 1, from memory)."""
    assert outcome(declare={"atmospheric conditions": declared}) == ("unproven", "atmosphere")


# --- the lumped rule, and the formula below 1 mH ----------------------------------------------


@pytest.mark.parametrize(
    ("Ci", "Li", "k"),
    [
        ("1.0 nF", "10 µH", 0.5),
        ("0.999 nF", "10 µH", 1.0),
        ("1.0 nF", "9.99 µH", 1.0),
        ("1.0 nF", "negligible", 1.0),
        ("0", "10 µH", 1.0),
        ("1.0 nF", "", None),
        ("", "10 µH", None),
        ("0.999 nF", "", 1.0),
    ],
)
def test_exactly_one_percent_counts(Ci, Li, k):
    """Co 100 nF, Lo 1 mH (IEC 60079-11 10.1.5.2, from memory)."""
    one = source(Uo="25 V", Io="80 mA", Po="500 mW", limits=(column(Co="100 nF", Lo="1 mH"),))
    found = judged(sources=[one], items=[transmitter(Ci=Ci, Li=Li)], runs=["100 m"])
    assert found.k == k


def test_the_cable_is_not_lumped_and_the_sum_of_apparatus_is():
    """Two transmitters of 0.5 nF and 5 uH are at 1 % together (IEC 60079-11 10.1.5.2)."""
    one = source(Uo="25 V", Io="80 mA", Po="500 mW", limits=(column(Co="100 nF", Lo="1 mH"),))
    half = [transmitter(name, Ci="0.5 nF", Li="5 µH") for name in ("T1", "T2")]
    assert judged(sources=[one], items=half, runs=["300 m"]).k == 0.5
    assert judged(sources=[one], items=half[:1], runs=["300 m"]).k == 1.0


@pytest.mark.parametrize(
    ("group", "Co", "limit"),
    [
        ("IIC", "2 µF", 600e-9),
        ("IIC", "1 µF", 500e-9),
        ("IIB", "3 µF", 1e-6),
        ("IIB", "1 µF", 0.5e-6),
    ],
)
def test_the_halved_capacitance_is_capped(group, Co, limit):
    """600 nF for IIC, 1 uF for the others (IEC 60079-11 10.1.5.2, from memory)."""
    one = source(
        Uo="10 V",
        Io="20 mA",
        Po="50 mW",
        limits=(column(group, Co=Co, Lo="10 mH"),),
        cross_check="yes",
    )
    item = transmitter(Ci="100 nF", Li="1 mH")
    found = judged(sources=[one], items=[item], area={**AREA, "group": group})
    assert (found.k, found.rules["capacitance"].limit) == (0.5, limit)


def _low_voltage(current_mA: str, group: str = "IIC", zone: str = "1") -> str:
    """The inductance rule for two sources of 4 V that share a current, lumped L of 0.1 mH."""
    half = float(current_mA) / 2
    level = "ic" if zone == "2" else "ib"
    one = {
        "Uo": "4 V",
        "Io": f"{half!r} mA",
        "Po": f"{half!r} mW",
        "polarity": "+",
        "mark": f"[Ex {level} G{level[1]}] IIC",
        "limits": (column(group, Co="50 µF", Lo="1000 mH"),),
        "cross_check": "yes",
    }
    item = transmitter(
        Ci="0", Li="0.1 mH", mark=f"Ex {level} IIC T4 G{level[1]}", Ui="30 V", Ii="2 A", Pi="2 W"
    )
    return said(
        "inductance",
        sources=[source("S1", **one), source("S2", **one)],
        items=[item],
        area={"zone": zone, "group": group, "temperature": "T4"},
        runs=["50 m"],
    )


@pytest.mark.parametrize(
    ("group", "zone", "below", "above"),
    [
        ("IIC", "1", "188.5", "188.7"),
        ("IIB", "1", "377.1", "377.3"),
        ("IIA", "1", "533.2", "533.5"),
        ("IIC", "2", "282.8", "282.9"),  # factor 1 for ic
    ],
)
def test_a_formula_below_one_millihenry_is_no_proof(group, zone, below, above):
    """2 e / (1.5 I)^2 reaches 1 mH at 188.56 mA for IIC (IEC 60079-11 Annex A, from memory)."""
    assert _low_voltage(below, group, zone) == "safe"
    assert _low_voltage(above, group, zone) == "unproven"  # and never unsafe by it


def test_an_lo_that_is_printed_below_one_millihenry_stands():
    """The doubt is of the formula, not of a certificate (IEC 60079-11 Annex A, from memory)."""
    one = source(Uo="9.6 V", Io="200 mA", Po="480 mW", limits=(column(Co="3.6 µF", Lo="0.88 mH"),))
    item = transmitter(Ci="0", Li="0.5 mH", **WIDE)
    assert said("inductance", sources=[one], items=[item]) == "safe"
