"""Sources: what they drive alone and together, and what stands behind them.

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
    IB,
    SHEET,
    WIDE,
    barrier,
    cable,
    column,
    judged,
    outcome,
    plant,
    said,
    source,
    transmitter,
    verdict,
)
from subspark.assess import assess
from subspark.model import (
    Area,
    Atmosphere,
    Member,
    Port,
    PortSupply,
    SourceUse,
)
from subspark.quantity import Evidence

# --- energy of apparatus, signs, polarity -----------------------------------------------------


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        ({"powered": "yes"}, "unproven"),
        ({"powered": ""}, "unproven"),
        ({"powered": "yes", "energy": "passive by its document"}, "safe"),
        ({"powered": "yes", "energy": "within 1.5 V, 100 mA, 25 mW"}, "safe"),
        ({"powered": "yes", "Uo": "2 V", "Io": "32 mA", "Po": "16 mW"}, "unproven"),
        ({"powered": "yes", "Uo": "3.6 V", "Io": "360 mA", "Po": "324 mW"}, "unproven"),
        ({"powered": "yes", "Uo": "1.5 V", "Io": "100 mA", "Po": "25 mW"}, "safe"),
        ({"powered": "no", "Uo": "1.2 V", "Io": "50 mA"}, "unproven"),  # Po not stated
        ({"powered": "yes", "energy": "source"}, "unproven"),
    ],
)
def test_apparatus_with_energy_of_its_own(given, expected):
    """Within 1.5 V, 100 mA, 25 mW, or passive, or unproven (IEC 60079-11 5.7, from memory)."""
    assert said("own energy", items=[transmitter(**given)]) in (
        {"safe", "not asked"} if expected == "safe" else {expected}
    )
    assert verdict(items=[transmitter(**given)]) == expected


def _pair(first: str, second: str, **more: str) -> dict[str, object]:
    one = source("S1", **{**IB, "polarity": first})
    other = source(
        "S2",
        **{**IB, "polarity": second, "Uo": "10 V", "Io": "10 mA", "Po": "25 mW"},
        **more,
    )
    return {"sources": [one, other], "items": [transmitter(Ci="0", Li="0")], "runs": ["50 m"]}


@pytest.mark.parametrize(
    ("first", "second", "U", "expected"),
    [
        ("-", "+", 38.0, "unsafe"),
        ("+", "-", 38.0, "unsafe"),
        ("-", "", 38.0, "unsafe"),
        ("", "", 38.0, "unsafe"),
        ("a.c.", "a.c.", None, "unproven"),  # whether the voltages are peaks is not stated
        ("+", "+", 28.0, "safe"),
        ("-", "-", 28.0, "safe"),
    ],
)
def test_polarity_to_the_common_earth_decides(first, second, U, expected):
    """-28 V beside +10 V is 38 V between them (IEC 60079-25 Annex B, from memory)."""
    found = judged(**_pair(first, second))
    assert found.rules["voltage"].demand == U
    assert found.rules["voltage"].verdict.word == expected
    assert found.verdict.word == expected


def test_the_word_of_the_drawing_does_not_override_what_certainty_says():
    """``joined`` states the wiring outright; each source alone is judged too (own example)."""
    assert judged(**_pair("", ""), joined="parallel").rules["voltage"].demand == 28.0
    assert judged(**_pair("+", "+"), joined="series").rules["voltage"].demand == 38.0


def test_co_of_a_combination_is_no_more_than_that_of_its_members():
    """24 V with Co 60 nF and 12 V: 100 nF is above 60 nF (IEC 60079-25 Annex A, from memory)."""
    one = source(
        "S1",
        Uo="24 V",
        Io="50 mA",
        Po="300 mW",
        polarity="+",
        limits=(column(Co="60 nF", Lo="4 mH"),),
    )
    other = source(
        "S2",
        Uo="12 V",
        Io="40 mA",
        Po="120 mW",
        polarity="+",
        limits=(column(Co="1 µF", Lo="4 mH"),),
    )
    parts = {
        "sources": [one, other],
        "items": [transmitter(Ci="0", Li="0")],
        "cables": [cable(L="0.1 µH/m")],
    }
    assert outcome(**parts, runs=["1000 m"]) == ("unsafe", "capacitance")
    assert outcome(**parts, runs=["600 m"]) == ("safe", "capacitance")


def test_a_weak_source_in_series_does_not_lower_the_power():
    """28 V/301 ohm and 5 V/1 kohm: 0.651 W of the first alone (matched power, physics)."""
    one = source("S1", **{**IB, "polarity": "+"})
    other = source("S2", **{**IB, "Uo": "5 V", "Io": "5 mA", "Po": "6.25 mW", "polarity": "-"})
    item = transmitter(Ci="0", Li="0", **{**WIDE, "Pi": "0.5 W"})
    found = judged(sources=[one, other], items=[item], runs=["50 m"])
    assert found.rules["power"].verdict.word == "unsafe"
    assert found.rules["power"].demand == pytest.approx(0.651, rel=1e-9)


def test_a_zero_current_needs_the_words_of_a_document():
    """28 V with Io typed as 0 (diode returns of IEC 60079-25, from memory)."""
    one = source("S1", polarity="+", limits=(column(Co="83 nF", Lo="4.1 mH"),))
    silent = source("S2", polarity="+", Io="0", Po="0 W", limits=(column(Co="83 nF", Lo="4.1 mH"),))
    parts = {"items": [transmitter(Ci="0", Li="0")], "runs": ["50 m"]}
    assert said("current", sources=[one, silent], **parts) == "unproven"


# --- linear or not ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("Po", "shape", "k"),
    [
        ("375 mW", "linear", 0.5),
        ("356.25 mW", "linear", 0.5),  # 0.95
        ("393.75 mW", "linear", 0.5),  # 1.05
        ("394 mW", "linear", None),
        ("1.5 W", "linear", None),  # a rectangular output typed as linear
        ("375 mW", "", None),
        ("1.5 W", "rectangular", None),
    ],
)
def test_linear_only_where_the_power_says_so_too(Po, shape, k):
    """15 V, 100 mA: Uo Io / 4 = 375 mW within 5 % (judgement on IEC 60079-11 10.1.5.2)."""
    one = source(
        Uo="15 V", Io="100 mA", Po=Po, shape=shape, limits=(column(Co="580 nF", Lo="3.5 mH"),)
    )
    item = transmitter(Ci="50 nF", Li="100 µH", Pi="2 W")
    found = judged(sources=[one], items=[item])
    assert found.k == k
    assert found.rules["capacitance"].verdict.word == ("safe" if k else "unproven")


def test_what_is_not_shown_to_be_linear_is_not_combined():
    """Two sources of 15 V, one of them rectangular by its power (own worked example)."""
    limits = (column(Co="580 nF", Lo="3.5 mH"),)
    one = source("S1", Uo="15 V", Io="20 mA", Po="75 mW", polarity="+", limits=limits)
    typed = source("S2", Uo="15 V", Io="20 mA", Po="300 mW", polarity="+", limits=limits)
    item = transmitter(Ci="0", Li="0")
    assert verdict(sources=[one, typed], items=[item]) == "unproven"
    right = dataclasses.replace(typed, outputs=(dataclasses.replace(typed.outputs[0], Po="75 mW"),))
    assert verdict(sources=[one, right], items=[item]) == "safe"


def test_a_blank_power_counts_as_the_full_product():
    """15 V, 100 mA, Po blank: 1.5 W, not 0.375 W (own engineering)."""
    one = source(Uo="15 V", Io="100 mA", Po="", limits=(column(Co="580 nF", Lo="3.5 mH"),))
    found = judged(sources=[one], items=[transmitter(Pi="1 W")])
    assert (found.rules["power"].demand, found.verdict.word) == (1.5, "unsafe")
    assert any("taken as Uo x Io" in note for note in found.warnings)


@pytest.mark.parametrize(("Po", "expected"), [("500 mW", "unproven"), ("619 mW", "safe")])
def test_a_power_below_the_matched_one_is_doubted(Po, expected):
    """28 V, 93 mA: 0.95 x 651 mW = 618.45 mW (own engineering)."""
    assert said("power", sources=[source(Po=Po)]) == expected


def test_an_answered_cross_check_lets_a_low_power_stand():
    """With evidence read again in the certificate (own engineering)."""
    one = source(Po="500 mW", cross_check="yes")
    assert judged(sources=[one]).rules["power"].demand == 0.5


# --- supply -----------------------------------------------------------------------------------


def _supplied(Um: str, behind: str = "", *, shown: bool = False, declared: str | None = None):
    supply = PortSupply(port="supply", voltage=behind, evidence=SHEET if shown else Evidence())
    use = SourceUse(source="S1", safe_side=(supply,) if behind else ())
    return said(
        "supply",
        sources=[source(ports=(Port(Um=Um),))],
        uses=[use],
        declare={"safe side voltage": declared},
    )


@pytest.mark.parametrize(
    ("Um", "behind", "shown", "expected"),
    [
        ("60 V", "24 V", False, "unproven"),  # an ordinary unit on the mains, nothing evidenced
        ("60 V", "24 V", True, "safe"),  # SELV by its document
        ("60 V", "230 V", False, "unsafe"),
        ("250 V", "230 V", False, "safe"),  # the rated voltage, not 230 V + 10 %
        ("250 V", "250 V", False, "safe"),
        ("250 V", "253 V", False, "unsafe"),
        ("250 V", "400 V", True, "unsafe"),  # between the phases of a three-phase system
        ("", "24 V", True, "unproven"),
        ("250 V", "", False, "unproven"),
    ],
)
def test_um_is_compared_with_what_a_fault_can_bring(Um, behind, shown, expected):
    """Rated voltage behind the terminals against Um (IEC 60079-14 16.2.1, from memory)."""
    assert _supplied(Um, behind, shown=shown) == expected


@pytest.mark.parametrize(
    ("Um", "declared", "expected"),
    [
        ("250 V", "250 V", "safe"),
        ("253 V", "≤ 250 V", "safe"),
        ("60 V", "250 V", "unproven"),  # at most: it may be lower
        ("250 V", "400 V", "unproven"),
        ("250 V", "mains", "unproven"),
        ("250 V", None, "unproven"),  # a blank is asked, not passed over
    ],
)
def test_a_declared_safe_side(Um, declared, expected):
    """'At most 250 V' against Um (IEC 60079-14 16.2.1, from memory)."""
    assert _supplied(Um, declared=declared) == expected


def test_a_working_voltage_declared_for_the_plant_is_no_evidence_of_selv():
    """Um 60 V and 'safe side 24 V' without a document behind it (own worked example)."""
    one = source(ports=(Port(Um="60 V"),))
    built = plant(sources=[one], declare={"safe side voltage": "24 V"})
    assert assess(built)["X"].rules["supply"].verdict.word == "safe"  # with its document
    for evidence in (Evidence(), Evidence(document="a guess", assumed=True)):
        bare = tuple(
            dataclasses.replace(said_, evidence=evidence)
            if said_.fact == "safe side voltage"
            else said_
            for said_ in built.declarations
        )
        found = assess(dataclasses.replace(built, declarations=bare))["X"]
        assert (found.verdict.word, found.governing) == ("unproven", "supply")


def test_every_port_is_asked():
    """A service port of 30 V beside a supply port of 253 V (IEC 60079-14, from memory)."""
    one = source(ports=(Port(name="supply", Um="253 V"), Port(name="service", Um="30 V")))
    assert outcome(sources=[one]) == ("unproven", "supply")
    shown = (PortSupply(port="service", voltage="24 V", evidence=SHEET),)
    use = SourceUse(source="S1", safe_side=shown)
    assert verdict(sources=[one], uses=[use]) == "safe"
    laptop = (PortSupply(port="service", voltage="230 V"),)
    assert outcome(sources=[one], uses=[SourceUse(source="S1", safe_side=laptop)]) == (
        "unsafe",
        "supply",
    )


def test_a_source_without_ports_is_asked_for_them():
    """A blank safe side is not passed over (IEC 60079-14 16.2.1, from memory)."""
    assert outcome(sources=[source(ports=())]) == ("unproven", "supply")


# --- ordinary circuits that must not be blocked -----------------------------------------------

RETURN = {
    "Uo": "28 V",
    "Io": "0 mA",
    "Po": "0 mW",
    "no_current": "diode return, no output current",
}


@pytest.mark.parametrize("polarity", ["+", "-"])
def test_supply_and_diode_return_keep_their_level(polarity):
    """28 V 93 mA ia and 28 V 0 mA ia in zone 0 (IEC 60079-25, from memory)."""
    limits = (column(Co="83 nF", Lo="4.1 mH"),)
    supply = barrier("S1", polarity=polarity, limits=limits)
    back = barrier("S2", **{**RETURN, "polarity": polarity, "limits": limits})
    parts = {
        "sources": [supply, back],
        "declare": BARRIER,
        "items": [transmitter(Ci="0", Li="0")],
        "area": {**AREA, "zone": "0"},
    }
    assert outcome(**parts) == ("safe", "voltage")
    found = judged(**parts)
    assert (found.rules["voltage"].demand, found.rules["current"].demand) == (28.0, 0.093)


def test_two_sources_that_drive_a_current_are_ib_by_calculation():
    """However good each is (IEC 60079-14 and -25, from memory)."""
    weak = {"Io": "40 mA", "Po": "280 mW", "polarity": "+"}
    limits = (column(Co="83 nF", Lo="4.1 mH"),)
    pair = [source("S1", **weak, limits=limits), source("S2", **weak, limits=limits)]
    parts = {"sources": pair, "items": [transmitter(Ci="0", Li="0")]}
    assert verdict(**parts) == "safe"
    assert outcome(**parts, area={**AREA, "zone": "0"}) == ("unsafe", "level")


@pytest.mark.parametrize(
    ("mark", "body"),
    [("Ex db [ia Ga] IIC T6 Gb", "Z1"), ("Ex ec [ia Ga] IIC T4 Gc", "Z2")],
)
def test_the_body_of_a_source_does_not_lower_the_level_of_its_circuit(mark, body):
    """A source in zone 1 that feeds zone 0 (IEC 60079-25 5, from memory)."""
    use = SourceUse(source="S1", place=body)
    field = Area(
        tag=body,
        atmospheres=(Atmosphere(zone=body[1], group="IIC", temperature="T4"),),
        ambient="-20 to 40 °C",
    )
    parts = {"sources": [source(mark=mark)], "uses": [use], "areas": [field]}
    assert verdict(**parts, area={**AREA, "zone": "0"}) == "safe"


def test_the_epl_of_apparatus_counts_where_it_stands_and_not_as_level():
    """Ex ia IIC T4 Gb in zone 1 of a circuit that goes on into zone 0 (IEC 60079-25)."""
    item = transmitter(mark="Ex ia IIC T4 Gb")
    near = Area(
        tag="Z1",
        atmospheres=(Atmosphere(zone="1", group="IIC", temperature="T4"),),
        ambient="-20 to 40 °C",
    )
    zone_0 = {**AREA, "zone": "0"}
    parts = {"items": [item, transmitter("T2")], "areas": [near], "area": zone_0}
    members = [Member(apparatus="T1", place="Z1"), Member(apparatus="T2")]
    assert verdict(**parts, members=members) == "safe"
    assert outcome(items=[item], area=zone_0) == ("unsafe", "place")


@pytest.mark.parametrize(("test", "expected"), [("≤ 500 V", "unproven"), ("500 V", "safe")])
def test_an_isolated_source_bears_one_earthed_sensor(test, expected):
    """Insulation declared as at most 500 V shows nothing (IEC 60079-14 16.2.3)."""
    declare = {**BARRIER, "apparatus isolation": test}
    assert verdict(sources=[barrier()], declare=declare) == expected
    assert verdict(declare=declare) == "safe"


def test_a_group_ii_source_for_dust_is_unproven_and_not_unsafe():
    """[Ex ia] IIC before dust; a D in the EU part covers it (IEC 60079-14, from memory)."""
    dust = {"zone": "21", "group": "IIIB", "temperature": "135 °C"}
    item = transmitter(mark="Ex ia IIIC T135 °C Da")
    assert outcome(items=[item], area=dust) == ("unproven", "group")
    marked = source(mark="II (1) GD [Ex ia] IIC")
    assert judged(sources=[marked], items=[item], area=dust).rules["group"].verdict.word == "safe"
    assert said("group", area=dust, sources=[marked]) == "unsafe"  # field apparatus: strict


def test_pi_not_limiting_is_the_right_door_for_old_certificates():
    """The certificate lists exactly Ui and Ii (own engineering)."""
    assert verdict(items=[transmitter(Pi="not limiting")]) == "safe"


# --- comparison and the settled points --------------------------------------------------------


@pytest.mark.parametrize(
    ("Uo", "expected"),
    [("30 V", "safe"), ("30.1 V", "unsafe"), ("30.00000003 V", "unsafe"), ("29.9 V", "safe")],
)
def test_a_tolerance_is_no_hole(Uo, expected):
    """Equal passes, one part in 10^9 above does not (own engineering)."""
    one = source(Uo=Uo, Io="80 mA", Po="600 mW", limits=(column(Co="66 nF", Lo="4 mH"),))
    assert said("voltage", sources=[one]) == expected


def test_a_current_above_the_permitted_one_is_unsafe_by_calculation():
    """28 V 93 mA twice: 186 mA > 120 mA (IEC 60079-11 Annex A, from memory)."""
    limits = (column(Co="83 nF", Lo="4.1 mH"),)
    pair = [source(name, polarity="+", limits=limits) for name in ("S1", "S2")]
    found = judged(sources=pair, items=[transmitter(Ci="0", Li="0", **WIDE)], runs=["50 m"])
    assert found.rules["permitted current"].verdict.word == "unsafe"
    assert found.rules["permitted current"].limit == 0.12
    assert found.verdict.word == "unsafe"


def test_group_i_has_no_table_for_combinations():
    """Unproven, not judged by another group (own engineering)."""
    limits = (column("I", Co="83 nF", Lo="4.1 mH"),)
    pair = [
        source(name, polarity="+", Io="10 mA", Po="70 mW", limits=limits, mark="[Ex ia Ma] I")
        for name in ("S1", "S2")
    ]
    parts = {
        "sources": pair,
        "items": [transmitter(mark="Ex ia I Ma", Ci="0", Li="0")],
        "area": {"zone": "mine", "epl": "Mb", "group": "I", "temperature": "150 °C"},
        "runs": ["50 m"],
    }
    assert said("permitted current", **parts) == "unproven"


def test_a_group_ii_mark_suits_no_mine():
    """Families are not mixed (IEC 60079-0 4, from memory)."""
    mine = {"zone": "mine", "epl": "Mb", "group": "I", "temperature": "150 °C"}
    assert said("group", area=mine, sources=[source(mark="[Ex ia Ma] I")]) == "unsafe"


@pytest.mark.parametrize(
    ("epl", "by", "expected"),
    [
        ("", "", "unsafe"),
        ("Gc", "", "unsafe"),
        ("Gc", "A. Person", "safe"),  # ic apparatus in zone 1, by a named risk assessment
        ("Ga", "", "unsafe"),
    ],
)
def test_a_lower_epl_needs_a_document_and_a_name(epl, by, expected):
    """Zone 1 with a stated Gc (IEC 60079-14 5.3, from memory)."""
    area = {**AREA, "epl": epl, "epl_evidence": Evidence(document="RA-1" if by else "", by=by)}
    item = transmitter(mark="Ex ic IIC T4 Gc")
    assert verdict(area=area, items=[item]) == expected


def test_a_higher_epl_than_that_of_the_zone_counts():
    """Zone 2 with a stated Ga (IEC 60079-14 5.3, from memory)."""
    item = transmitter(mark="Ex ib IIC T4 Gb")
    assert verdict(area={**AREA, "zone": "2"}, items=[item]) == "safe"
    assert verdict(area={**AREA, "zone": "2", "epl": "Ga"}, items=[item]) == "unsafe"
