"""Plants: every reference is checked, all faults are told at once, names stand once.

Source: own engineering.
"""

import dataclasses

import pytest

from baseline import SHEET, barrier, plant, source, transmitter
from subspark.errors import PlantError, UsageError
from subspark.model import (
    ApparatusType,
    Area,
    CableType,
    Certificate,
    Circuit,
    Declaration,
    Entry,
    Junction,
    Member,
    Output,
    Plant,
    Port,
    PortSupply,
    Run,
    SimpleType,
    SourceType,
    SourceUse,
)

NAME = "wanted the name of"


def faults(build) -> list[str]:
    with pytest.raises(PlantError) as caught:
        build()
    return [str(one) for one in caught.value.faults]


def test_every_bad_reference_is_told_at_once():
    circuit = Circuit(
        tag="X",
        area="nowhere",
        sources=(
            SourceUse(source="no source"),
            SourceUse(source="S", outputs="3", place="no place"),
            SourceUse(source="T", outputs=""),
        ),
        members=(
            Member(apparatus="no apparatus", place="no place"),
            Member(apparatus="A", connection="loop"),
        ),
        runs=(Run(cable="no cable", area="no area"),),
    )
    found = faults(
        lambda: Plant(
            name="P",
            sources=(
                SourceType(name="S", certificate="no certificate", outputs=(Output(name="1"),)),
                SourceType(name="T", outputs=(Output(name="1"), Output(name="2"))),
            ),
            apparatus=(
                ApparatusType(
                    name="A",
                    certificate="none either",
                    entries=(Entry(connection="sensor"), Entry(connection="supply")),
                ),
            ),
            junctions=(Junction(tag="J", area="no area"),),
            circuits=(circuit,),
            declarations=(
                Declaration(fact="passive", value="yes", scope="apparatus", of="nothing"),
                Declaration(fact="segregation", value="50 mm", scope="cabinet", of="C"),
            ),
        )
    )
    assert found == [
        "source 'S', certificate: 'no certificate': wanted a certificate of the list",
        "apparatus 'A', certificate: 'none either': wanted a certificate of the list",
        "junction 'J', area: 'no area': wanted an area",
        "circuit 'X', area: 'nowhere': wanted an area of the plant",
        "circuit 'X', source: 'no source': wanted a source of the catalogue",
        "circuit 'X', outputs: '3': wanted an output of source 'S': 1",
        "circuit 'X', place of source: 'no place': wanted an area or safe area",
        "circuit 'X', outputs: (blank): wanted an output of source 'T': 1, 2",
        "circuit 'X', apparatus: 'no apparatus': wanted an apparatus of the catalogue",
        "circuit 'X', place of apparatus: 'no place': wanted an area",
        "circuit 'X', connection: 'loop': wanted a connection of the apparatus: sensor, supply",
        "circuit 'X', cable: 'no cable': wanted a cable type of the catalogue",
        "circuit 'X', area of run: 'no area': wanted an area or safe area",
        f"declaration 'passive', scope apparatus: 'nothing': {NAME} an apparatus of the plant",
        f"declaration 'segregation', scope cabinet: 'C': {NAME} a cabinet of the plant",
    ]


def test_the_head_counts_the_faults():
    with pytest.raises(PlantError) as caught:
        Plant(name="P", circuits=(Circuit(tag="X", area="nowhere"),))
    assert str(caught.value) == (
        "P: 1 fault, nothing was read\n  circuit 'X', area: 'nowhere': wanted an area of the plant"
    )


@pytest.mark.parametrize(
    ("field", "items", "where", "value"),
    [
        ("areas", (Area(tag="A"), Area(tag="A", title="b")), "areas", "A"),
        ("certificates", (Certificate(number="1"), Certificate(number="1")), "certificates", "1"),
        ("sources", (SourceType(name="S"), SourceType(name="S")), "sources", "S"),
        ("cables", (CableType(name="K"), CableType(name="K")), "cables", "K"),
        ("junctions", (Junction(tag="J"), Junction(tag="J")), "junctions", "J"),
        ("circuits", (Circuit(tag="X"), Circuit(tag="X")), "circuits", "X"),
        (
            "apparatus",
            (ApparatusType(name="T"), ApparatusType(name="T")),
            "apparatus and simple apparatus",
            "T",
        ),
    ],
)
def test_a_name_stands_once(field, items, where, value):
    found = faults(lambda: Plant(**{field: items}))
    assert found == [f"{where}: {value!r}: stands more than once; wanted once"]


def test_certified_and_simple_apparatus_share_their_names():
    found = faults(
        lambda: Plant(apparatus=(ApparatusType(name="T"),), simple=(SimpleType(name="T"),))
    )
    assert found == ["apparatus and simple apparatus: 'T': stands more than once; wanted once"]


def test_an_output_stands_once():
    two = SourceType(name="S", outputs=(Output(name="1"), Output(name="1")))
    assert faults(lambda: Plant(sources=(two,))) == [
        "source 'S', outputs: '1': stands more than once; wanted once"
    ]


@pytest.mark.parametrize(
    ("scope", "of"), [("plant", ""), ("cabinet", "C1"), ("circuit", "X"), ("source", "S1")]
)
def test_a_fact_is_declared_once_in_a_scope(scope, of):
    """The later of two would win in silence, whichever it is."""
    built = plant(uses=[SourceUse(source="S1", cabinet="C1")])
    one = Declaration(fact="barrier earth resistance", value="0.5 ohm", scope=scope, of=of)
    other = dataclasses.replace(one, value="5 ohm")
    found = faults(
        lambda: dataclasses.replace(built, declarations=(*built.declarations, one, other))
    )
    place = f"scope {scope} {of}".rstrip()
    assert found == [
        f"declarations, {place}: 'barrier earth resistance': stands more than once; wanted once"
    ]


def test_the_same_fact_may_be_declared_for_different_things():
    built = plant(uses=[SourceUse(source="S1", cabinet="C1")])
    more = [
        Declaration(fact="barrier earth resistance", value="0.5 ohm", scope=scope, of=of)
        for scope, of in (("plant", ""), ("cabinet", "C1"), ("circuit", "X"))
    ]
    assert dataclasses.replace(built, declarations=(*built.declarations, *more))


@pytest.mark.parametrize(
    ("ports", "given", "expected"),
    [
        (("supply",), ("supply",), []),
        ((), ("supply",), []),
        (
            ("supply", "signal"),
            ("suply",),
            ["port of source 'S1': 'suply': wanted a port of source 'S1': supply, signal"],
        ),
        (
            ("supply",),
            ("supply", "supply"),
            ["port of source 'S1': 'supply': stands more than once; wanted once"],
        ),
    ],
)
def test_what_is_behind_a_port_is_said_of_a_port_that_there_is(ports, given, expected):
    """A slip of the pen would leave the statement without effect."""
    one = source(ports=tuple(Port(name=name, Um="253 V") for name in ports))
    supplies = tuple(PortSupply(port=name, voltage="24 V", evidence=SHEET) for name in given)
    use = SourceUse(source="S1", safe_side=supplies)
    if not expected:
        assert plant(sources=[one], uses=[use])
        return
    found = faults(lambda: plant(sources=[one], uses=[use]))
    assert found == [f"circuit 'X', {one}" for one in expected]


def test_outputs_are_named_alone_or_joined():
    two = SourceType(name="S", outputs=(Output(name="1"), Output(name="2")))
    for outputs in ("1", "2", "1+2", "1 + 2", "2+1"):
        assert Plant(
            sources=(two,),
            circuits=(Circuit(tag="X", sources=(SourceUse(source="S", outputs=outputs),)),),
        )
    for outputs in ("", "3", "1+3", "+", "12"):
        assert faults(
            lambda outputs=outputs: Plant(
                sources=(two,),
                circuits=(Circuit(tag="X", sources=(SourceUse(source="S", outputs=outputs),)),),
            )
        )


def test_a_circuit_is_found_by_its_tag_and_near_ones_are_offered():
    built = plant()
    assert built.circuit("X").tag == "X"
    with pytest.raises(UsageError, match="no circuit 'Y' in plant 'bench'"):
        built.circuit("Y")
    named = dataclasses.replace(
        built, circuits=(dataclasses.replace(built.circuits[0], tag="FT-101"),)
    )
    with pytest.raises(UsageError, match="did you mean FT-101"):
        named.circuit("FT-110")


def test_faults_carry_their_path():
    with pytest.raises(PlantError) as caught:
        plant(runs=[Run(cable="K1", length="1 m"), Run(cable="no", length="1 m")])
    (fault,) = caught.value.faults
    assert fault.path == ("circuits", 0, "runs", 1, "cable")


def test_a_plant_is_equal_by_content():
    assert plant() == plant()
    assert hash(plant()) == hash(plant())
    assert plant().digest == plant().digest
    assert plant(items=[transmitter(Ci="6 nF")]).digest != plant().digest
    assert plant(sources=[barrier()]) != plant()
