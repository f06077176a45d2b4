"""Bodies, earths, certificates, cables, zones and multicores.

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
    barrier,
    cable,
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
    Certificate,
    Circuit,
    Condition,
    Declaration,
    Junction,
    Member,
    Run,
    SourceUse,
)

# --- rules that verdicts must not lack --------------------------------------------------------


def test_a_source_for_the_safe_area_in_a_zone_2_cabinet_is_unsafe():
    """[Ex ia Ga] IIC has no body for a hazardous place (IEC 60079-0 29, from memory)."""
    use = SourceUse(source="S1", place="Z2")
    field = Area(
        tag="Z2",
        atmospheres=(Atmosphere(zone="2", group="IIC", temperature="T4"),),
        ambient="-20 to 40 °C",
    )
    assert outcome(uses=[use], areas=[field]) == ("unsafe", "place")
    for mark, expected in (
        ("Ex ec [ia Ga] IIC T4 Gc", "safe"),
        ("Ex ec [ia Ga] IIC T3 Gc", "unsafe"),
        ("Ex db [ia IIC Ga] IIB T4 Gb", "unsafe"),
    ):
        assert verdict(uses=[use], areas=[field], sources=[source(mark=mark)]) == expected


def test_a_place_that_is_not_known_is_unproven():
    """Neither stated nor declared (own engineering)."""
    assert outcome(declare={"source place": None}) == ("unproven", "place")
    assert verdict(declare={"source place": "the old cabinet"}) == "unproven"


@pytest.mark.parametrize(
    ("ohm", "conductors", "expected"),
    [
        ("1 ohm", "4 mm2", "safe"),
        ("1 ohm", "2 x 1.5 mm2", "safe"),
        ("3 ohm", "4 mm2", "unsafe"),
        ("1.01 ohm", "4 mm2", "unsafe"),
        ("0.5 ohm", "2.5 mm2", "unsafe"),
        ("0.5 ohm", "2 x 1 mm2", "unsafe"),
        ("0.5 ohm", "0 x 4 mm2", "unproven"),
        ("0.5 ohm", "<= 4 mm2", "unproven"),
        ("0.5 ohm", None, "unproven"),
        (None, "4 mm2", "unproven"),
        ("good", "4 mm2", "unproven"),
    ],
)
def test_the_earth_of_a_shunt_diode_barrier(ohm, conductors, expected):
    """At most 1 ohm by 4 mm2 or twice 1.5 mm2 (IEC 60079-14 16.2.3, from memory)."""
    earth = {"barrier earth resistance": ohm, "barrier earth conductors": conductors}
    assert verdict(sources=[barrier()], declare=earth) == expected
    assert verdict(declare=earth) == "safe"  # an isolating source does not use that earth


@pytest.mark.parametrize("order", [(0, 1), (1, 0)])
@pytest.mark.parametrize(
    ("first", "second", "expected"),
    [
        (("0.5 ohm", "4 mm2"), ("0.9 ohm", "4 mm2"), "safe"),
        (("0.5 ohm", "1 mm2"), ("0.9 ohm", "4 mm2"), "unsafe"),
        (("0.5 ohm", "4 mm2"), (None, None), "unproven"),
        (("0.5 ohm", "4 mm2"), ("2 ohm", "4 mm2"), "unsafe"),
    ],
)
def test_two_barriers_with_earths_of_their_own(order, first, second, expected):
    """Every barrier's earth counts, whichever is named first (own worked example)."""
    weak = {**IB, "Io": "40 mA", "Po": "280 mW"}
    sources = [barrier("S1", **weak), barrier("S2", **weak)]
    declared = [
        Declaration(fact=fact, value=value, scope="source", of=name, evidence=SHEET)
        for name, earth in (("S1", first), ("S2", second))
        for fact, value in zip(BARRIER, earth, strict=True)
        if value
    ]
    built = plant(
        sources=[sources[place] for place in order],
        items=[transmitter(Ci="0", Li="0")],
        runs=["50 m"],
    )
    full = dataclasses.replace(built, declarations=(*built.declarations, *declared))
    found = assess(full)["X"]
    assert found.rules["barrier earth"].verdict.word == expected
    assert found.verdict.word == expected


def _certificate(**given: object) -> Certificate:
    return Certificate(**{"number": "cert T1", **given})


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        ({}, "safe"),
        ({"suffix": "X"}, "unproven"),
        ({"suffix": "X", "conditions": (Condition(text="a"),)}, "unproven"),
        ({"suffix": "X", "conditions": (Condition(text="a", answered="yes"),)}, "safe"),
        (
            {
                "suffix": "X",
                "conditions": (Condition(text="a", answered="yes"), Condition(text="b")),
            },
            "unproven",
        ),
        ({"suffix": "X", "conditions": (Condition(text="a", answered="no"),)}, "unsafe"),
        ({"conditions": (Condition(text="a"),)}, "unproven"),
        ({"suffix": "U"}, "unsafe"),
        ({"status": "withdrawn"}, "unproven"),
        ({"status": "superseded"}, "safe"),
    ],
)
def test_special_conditions_and_components(given, expected):
    """Every X answered, a U never alone (IEC 60079-0 29, from memory)."""
    assert verdict(certificates=[_certificate(**given)]) == expected
    assert (
        verdict(certificates=[dataclasses.replace(_certificate(**given), number="cert S1")])
        == expected
    )


@pytest.mark.parametrize(
    ("number", "expected"),
    [
        ("DEMO 22.0109X", "unproven"),
        ("DEMO 22 ATEX 0109 X", "unproven"),
        ("DEMO 22.0109X issue 2", "unproven"),
        ("DEMO 22.0109U", "unsafe"),
        ("DEMO 22.0109", "safe"),
        ("XDEMO 22.0109", "safe"),
    ],
)
def test_the_number_itself_bears_the_suffix(number, expected):
    """A forgotten field does not drop an X or a U (IEC 60079-0 29, from memory)."""
    item = transmitter(certificate=number)
    assert verdict(items=[item], certificates=[Certificate(number=number)]) == expected


def test_declared_conditions_serve_their_certificate_only():
    """One statement a certificate (own engineering)."""
    built = plant(
        certificates=[_certificate(suffix="X"), Certificate(number="cert S1", suffix="X")]
    )
    for numbers, expected in (
        (("cert T1",), "unproven"),
        (("cert T1", "cert S1"), "safe"),
    ):
        met = tuple(
            Declaration(
                fact="conditions answered", value="yes", scope="certificate", of=one, evidence=SHEET
            )
            for one in numbers
        )
        full = dataclasses.replace(built, declarations=(*built.declarations, *met))
        assert assess(full)["X"].verdict.word == expected


def test_apparatus_without_a_certificate_is_unproven():
    """Never treated as safe because a barrier stands before it (IEC 60079-14, from memory)."""
    assert outcome(items=[transmitter(certificate="")]) == ("unproven", "conditions")
    assert outcome(sources=[source(certificate="")]) == ("unproven", "conditions")


def _sheet(**given: object):
    return cable(strand="0.2 mm", test_voltage="500 V", rated_temperature="70 °C", **given)


@pytest.mark.parametrize(
    ("given", "declared", "expected"),
    [
        ({"strand": "0.1 mm"}, None, "safe"),
        ({"strand": "0.09 mm"}, None, "unsafe"),
        ({"strand": ""}, None, "unproven"),
        ({"strand": ""}, "evidenced", "safe"),
        ({"test_voltage": "499 V"}, "evidenced", "unsafe"),
        ({"test_voltage": ""}, None, "unproven"),
        ({"rated_temperature": "40 °C"}, None, "safe"),
        ({"rated_temperature": "39 °C"}, "evidenced", "unsafe"),
        ({"rated_temperature": ""}, None, "unproven"),
        ({"rated_temperature": ""}, "evidenced", "safe"),
        ({"construction": "no"}, "evidenced", "unproven"),
        ({"strand": "", "construction": "yes"}, None, "safe"),
        ({"strand": ""}, "doubtful", "unproven"),
    ],
)
def test_construction_of_cable(given, declared, expected):
    """Strands, test voltage, temperature of the route (IEC 60079-14 16.2.2, from memory)."""
    one = dataclasses.replace(_sheet(), **given)
    assert said("cable", cables=[one], declare={"cable construction": declared}) == expected
    assert verdict(cables=[one], declare={"cable construction": declared}) == expected


# --- limits that cannot be declared away ------------------------------------------------------


def test_only_ii_and_pi_can_be_declared_not_limiting():
    """Ui never (IEC 60079-11 marking, from memory)."""
    assert verdict(items=[transmitter(Ii="not limiting", Pi="not limiting")]) == "safe"
    for field in ("Ui", "Ci", "Li", "Uo", "Io", "Po"):
        with pytest.raises(Exception, match="'not limiting' can be declared of Ii and Pi only"):
            transmitter(**{field: "not limiting"})


@pytest.mark.parametrize("field", ["Ui", "Ii", "Pi", "Ci", "Li", "mark"])
def test_a_blank_parameter_is_unproven(field):
    """Never zero, never unlimited (IEC 60079-14, from memory)."""
    assert verdict(items=[transmitter(**{field: ""})]) == "unproven"


# --- zone walk, bodies, segregation, multicores -----------------------------------------------


def _zone(tag: str, zone: str, **given: str) -> Area:
    row = {"zone": zone, "group": "IIC", "temperature": "T4", **given}
    return Area(tag=tag, atmospheres=(Atmosphere(**row),), ambient="-20 to 40 °C")


@pytest.mark.parametrize("by", ["run", "member", "junction"])
def test_every_place_that_the_circuit_enters_counts(by):
    """An ib circuit of zone 1 that goes through zone 0 (IEC 60079-14 5.3, from memory)."""
    ib = {"sources": [source(mark="[Ex ib Gb] IIC")]}
    assert verdict(**ib) == "safe"
    built = plant(**ib, areas=[_zone("Z0", "0")])
    circuit = built.circuits[0]
    run = circuit.runs[0]
    if by == "run":
        circuit = dataclasses.replace(circuit, runs=(dataclasses.replace(run, area="Z0"),))
    elif by == "member":
        extra = Member(apparatus="T1", place="Z0")
        circuit = dataclasses.replace(circuit, members=(*circuit.members, extra))
    else:
        built = dataclasses.replace(built, junctions=(Junction(tag="JB1", area="Z0"),))
        circuit = dataclasses.replace(circuit, runs=(dataclasses.replace(run, end="JB1"),))
    found = assess(dataclasses.replace(built, circuits=(circuit,)))["X"]
    assert found.verdict.word == "unsafe"
    assert found.rules["level"].verdict.word == "unsafe"


def test_the_group_of_every_place_counts():
    """A IIB circuit whose cable crosses an area of IIC (IEC 60079-14 5.5, from memory)."""
    IIB = {"area": {**AREA, "group": "IIB"}, "items": [transmitter(mark="Ex ia IIB T4 Ga")]}
    assert verdict(**IIB) == "safe"
    run = Run(cable="K1", length="200 m", area="Z1")
    assert verdict(**IIB, areas=[_zone("Z1", "1")], runs=[run]) == "unsafe"
    far = Run(cable="K1", length="2000 m", area="Z1")
    parts = {**IIB, "items": [transmitter()], "areas": [_zone("Z1", "1")]}
    assert outcome(**parts, runs=[far]) == ("unsafe", "capacitance")


@pytest.mark.parametrize(
    ("marked", "air", "expected"),
    [
        ("-20 to 60 °C", "-20 to 60 °C", "safe"),
        ("-20 to 60 °C", "-20 to 61 °C", "unsafe"),
        ("-20 to 60 °C", "-21 to 40 °C", "unsafe"),
        ("", "-20 to 40 °C", "safe"),  # nothing marked: -20 to 40 degC
        ("", "-20 to 45 °C", "unsafe"),
        ("-20 to 60 °C", None, "unproven"),
    ],
)
def test_the_air_of_the_cabinet_against_the_range_of_the_source(marked, air, expected):
    """IEC 60079-0 5.1.1, from memory."""
    parts = {"sources": [source(ambient=marked)], "declare": {"cabinet ambient": air}}
    assert said("ambient", **parts) == expected
    assert verdict(**parts) == expected


@pytest.mark.parametrize("field", ["", "-20 to 60 °C"])
def test_a_range_printed_in_the_marking_of_a_source_counts(field):
    """Ta 0 to 35 degC in the mark, whatever the field says or leaves blank (IEC 60079-0 29)."""
    one = source(mark="Ex ec [ia Ga] IIC T4 Gc Ta 0 °C to +35 °C", ambient=field)
    assert said("ambient", sources=[one]) == "unsafe"
    assert said("ambient", sources=[one], declare={"cabinet ambient": "0 to 35 °C"}) == "safe"


@pytest.mark.parametrize(
    ("declared", "expected"),
    [
        ("50 mm", "safe"),
        ("49 mm", "unsafe"),
        ("partition", "safe"),
        ("by an earthed partition", "safe"),
        ("no partition", "unproven"),
        ("partition missing", "unproven"),
        ("≤ 50 mm", "unproven"),
        ("yes", "unproven"),
        (None, "unproven"),
    ],
)
def test_distance_to_circuits_that_are_not_ex_i(declared, expected):
    """50 mm or a partition (IEC 60079-11 6.2.1, from memory)."""
    assert verdict(declare={"segregation": declared}) == expected


def _shared(kind: dict[str, object], number: str = "W1", Uo: str = "28 V", **other: object) -> str:
    """Verdict of a circuit that shares a multicore with a second one of a voltage."""
    multi = cable("M1", pairs=12, **kind)
    P = f"{float(Uo.removesuffix(' V')) * 0.04 / 4} W"
    second = source("S2", Uo=Uo, Io="40 mA", Po=P, mark="[Ex ib Gb] IIC", cross_check="yes")
    built = plant(
        sources=[source(Io="40 mA", Po="280 mW", mark="[Ex ib Gb] IIC"), second],
        uses=[SourceUse(source="S1")],
        items=[transmitter(Ci="0", Li="0"), transmitter("T2", Ci="0", Li="0", **other)],
        members=[Member(apparatus="T1")],
        cables=[multi],
        runs=[Run(cable="M1", length="100 m", number=number)],
        more=[
            Circuit(
                tag="Y",
                area="A",
                sources=(SourceUse(source="S2"),),
                members=(Member(apparatus="T2"),),
                runs=(Run(cable="M1", length="100 m", number=number),),
            )
        ],
    )
    return assess(built)["X"].verdict.word


A = {"multicore": "A", "screen": "individual"}
B = {"multicore": "B", "fixed_and_protected": "yes"}


@pytest.mark.parametrize(
    ("kind", "Uo", "expected"),
    [
        ({**A, "coverage": 60.0}, "28 V", "safe"),
        ({**A, "coverage": 59.0}, "28 V", "unsafe"),  # merged in series: 56 V > 30 V
        ({**A, "coverage": None}, "28 V", "unsafe"),
        (B, "60 V", "safe"),
        (B, "61 V", "unsafe"),
        ({**B, "fixed_and_protected": ""}, "28 V", "unsafe"),
        ({"multicore": ""}, "28 V", "unsafe"),
    ],
)
def test_a_multicore_keeps_circuits_apart_by_its_construction(kind, Uo, expected):
    """Types A and B, else merged (IEC 60079-14 16.2.2.7 and 16.2.2.8, from memory)."""
    assert _shared(kind, Uo=Uo, Ui="70 V", Ii="1 A") == expected


@pytest.mark.parametrize(
    ("kind", "expected"),
    [
        ({**A, "coverage": 60.0}, "safe"),
        ({**A, "coverage": 59.0}, "unproven"),
        (B, "unproven"),
        ({"multicore": ""}, "unproven"),
    ],
)
def test_a_multicore_without_a_number_may_be_shared_with_anything(kind, expected):
    """It is not known with which circuits (own engineering)."""
    assert _shared(kind, number="") == expected


def test_the_apparatus_of_the_other_circuit_counts_where_circuits_merge():
    """28 V, 40 mA on another circuit's apparatus of Ui 17 V (own worked example)."""
    earth = {"isolation": "earthed barrier", "polarity": "+"}
    weak = {"mark": "[Ex ib Gb] IIC", "Po": "280 mW", "Io": "40 mA", **earth}
    small = {"Uo": "15 V", "Io": "40 mA", "Po": "150 mW", "cross_check": "yes"}
    two = [source("S1", **weak), source("S2", **{**weak, **small})]
    for kind, expected in (({"multicore": ""}, "unsafe"), (B, "safe")):
        built = plant(
            sources=two,
            uses=[SourceUse(source="S1")],
            items=[transmitter(Ci="0", Li="0"), transmitter("T2", Ci="0", Li="0", Ui="17 V")],
            members=[Member(apparatus="T1")],
            cables=[cable("M1", pairs=12, **kind)],
            runs=[Run(cable="M1", length="100 m", number="W1")],
            declare=BARRIER,
            more=[
                Circuit(
                    tag="Y",
                    area="A",
                    sources=(SourceUse(source="S2"),),
                    members=(Member(apparatus="T2"),),
                    runs=(Run(cable="M1", length="100 m", number="W1"),),
                )
            ],
        )
        assert assess(built)["X"].verdict.word == expected
