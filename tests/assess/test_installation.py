"""Surge devices, boxes, terminals of apparatus as sources, system certificates.

Sources: IEC 60079-14 and -25, from memory, unless a test says otherwise.
"""

from __future__ import annotations

import dataclasses
from typing import Any

import pytest

from subspark.assess import Finding, assess
from subspark.assess.working import working
from subspark.errors import PlantError
from subspark.model import (
    ApparatusType,
    Area,
    Atmosphere,
    CableType,
    Certificate,
    Circuit,
    Declaration,
    Entry,
    Junction,
    Limits,
    Member,
    Output,
    Plant,
    Port,
    Run,
    SourceType,
    SourceUse,
)

FACTS = {
    "safe side voltage": "250 V",
    "source place": "safe area",
    "apparatus isolation": "500 V",
    "cable construction": "evidenced",
    "segregation": "50 mm",
    "atmospheric conditions": "standard",
    "cabinet ambient": "0 to 40 °C",
}


def make(kind: Any, **fields: Any) -> Any:
    """A record from plain texts."""
    return kind(**fields)


def source(name: str, U: str, I: str, P: str, **more: Any) -> SourceType:  # noqa: E741
    """A linear isolator for IIC, ia."""
    output = make(
        Output,
        shape="linear",
        Uo=U,
        Io=I,
        Po=P,
        polarity="+",
        limits=more.pop("limits", (make(Limits, group="IIC", Co="83 nF", Lo="3 mH"),)),
    )
    return make(
        SourceType,
        **{
            "name": name,
            "certificate": "C",
            "mark": "[Ex ia Ga] IIC",
            "isolation": "galvanic",
            "outputs": (output,),
            "ports": (make(Port, Um="253 V"),),
            **more,
        },
    )


def item(name: str, **more: Any) -> ApparatusType:
    """A transmitter for 30 V, 200 mA, 1.3 W."""
    entry = make(
        Entry,
        mark="Ex ia IIC T4 Ga",
        Ui="30 V",
        Ii="200 mA",
        Pi="1.3 W",
        Ci=more.pop("Ci", "5 nF"),
        Li="0",
    )
    return make(
        ApparatusType,
        **{"name": name, "certificate": "C", "powered": "no", "entries": (entry,), **more},
    )


def plant(circuit: Circuit, **more: Any) -> Plant:
    """A plant with hydrogen zones 0 and 1."""
    zones = {"Z0": "0", "Z1": "1"}
    return make(
        Plant,
        **{
            "code": "IEC-2013",
            "areas": tuple(
                make(
                    Area,
                    tag=tag,
                    atmospheres=(make(Atmosphere, zone=zone, group="IIC", temperature="T4"),),
                    ambient="-20 to 40 °C",
                )
                for tag, zone in zones.items()
            ),
            "certificates": (Certificate(number="C"),),
            "sources": (source("iso", "28 V", "93 mA", "651 mW"),),
            "apparatus": (item("tx"),),
            "cables": (
                make(CableType, name="W", C="100 pF/m", L="0.7 µH/m", R_loop="30 ohm/km", cores=2),
            ),
            "circuits": (circuit,),
            "declarations": tuple(make(Declaration, fact=k, value=v) for k, v in FACTS.items()),
            **more,
        },
    )


BASE = make(
    Circuit,
    tag="X",
    area="Z0",
    sources=(SourceUse(source="iso"),),
    members=(Member(apparatus="tx"),),
    runs=(make(Run, cable="W", length="100 m"),),
)


def judged(one: Plant) -> Finding:
    """Finding of circuit X."""
    return assess(one)["X"]


def test_baseline_is_safe() -> None:
    """Own worked example: everything declared, all limits kept."""
    assert judged(plant(BASE)).verdict.word == "safe"


SURGE = {"distance": "0.8 m", "earth_conductor": "4 mm2", "place": "Z1", "isolation": "yes"}


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({}, "safe"),
        ({"distance": "1 m"}, "safe"),
        ({"distance": "1.2 m"}, "unsafe"),
        ({"distance": ""}, "unproven"),
        ({"earth_conductor": "2.5 mm2"}, "unsafe"),
        ({"earth_conductor": ""}, "unproven"),
        ({"place": "Z0"}, "unsafe"),
    ],
)
def test_surge_device_near_zone_0(change: dict[str, str], word: str) -> None:
    """Outside zone 0, within 1 m, 4 mm2, 10 kA (IEC 60079-14 16.3, from memory)."""
    arrester = make(Member, apparatus="arrester", **{**SURGE, **change})
    circuit = dataclasses.replace(BASE, members=(*BASE.members, arrester))
    items = (item("tx"), item("arrester", Ci="1 nF", surge=True, discharge="10 kA"))
    found = judged(plant(circuit, apparatus=items))
    assert found.rules["surge device"].verdict.word == word
    weak = (item("tx"), item("arrester", Ci="1 nF", surge=True, discharge="5 kA"))
    assert judged(plant(circuit, apparatus=weak)).verdict.word == "unsafe"


def test_surge_device_is_an_earth_unless_shown_otherwise() -> None:
    """It fires above its rating, so a declaration for the plant's apparatus does not hold for it.

    With a shunt-diode barrier that is a second earth (own reading of IEC 60079-25).
    """
    arrester = make(Member, apparatus="arrester", **{**SURGE, "isolation": ""})
    circuit = dataclasses.replace(BASE, members=(*BASE.members, arrester))
    items = (item("tx"), item("arrester", Ci="1 nF", surge=True, discharge="10 kA"))
    assert judged(plant(circuit, apparatus=items)).verdict.word == "safe"
    barrier = source("iso", "28 V", "93 mA", "651 mW", isolation="earthed barrier")
    earth = (
        make(Declaration, fact="barrier earth resistance", value="0.5 ohm"),
        make(Declaration, fact="barrier earth conductors", value="4 mm2"),
    )
    base = plant(circuit, apparatus=items, sources=(barrier,))
    found = judged(dataclasses.replace(base, declarations=(*base.declarations, *earth)))
    assert found.rules["earthing"].verdict.word == "unproven"


@pytest.mark.parametrize(("rise", "word"), [("10 K/W", "safe"), ("80 K/W", "unsafe"), ("", "")])
def test_box_temperature(rise: str, word: str) -> None:
    """Two circuits of 0.651 W: 40 + 80 x 1.302 = 144.2 degC against T4, own worked example."""
    run = make(Run, cable="W", length="100 m", end="JB")
    circuits = tuple(dataclasses.replace(BASE, tag=tag, runs=(run,)) for tag in ("X", "Y"))
    box = make(Junction, tag="JB", area="Z1", Rth=rise)
    found = judged(plant(circuits[0], circuits=circuits, junctions=(box,)))
    assert found.rules["box temperature"].verdict.word == (word or "not asked")
    if word == "unsafe":
        assert found.rules["box temperature"].demand == pytest.approx(144.16)


def test_terminals_of_apparatus_are_a_source() -> None:
    """The sensor side of a transmitter is judged by its own Co and Lo, if it is separated."""
    limits = (make(Limits, group="IIC", Co="2 µF", Lo="50 mH"),)
    side = source(
        "tx sensor", "6 V", "10 mA", "15 mW", limits=limits, terminals_of="tx",
        separated="yes", mark="", ports=(),
        serves=item("tx").entries[0].marks or (),
    )  # fmt: skip
    side = dataclasses.replace(side, mark="Ex ia [ia Ga] IIC T4 Ga")
    circuit = dataclasses.replace(BASE, sources=(SourceUse(source="tx sensor"),))
    circuit = dataclasses.replace(circuit, members=(Member(apparatus="probe"),))
    items = (item("tx"), item("probe"))
    whole = plant(circuit, apparatus=items, sources=(side,))
    found = judged(whole)
    assert found.verdict.word == "safe", found
    assert found.rules["supply"].verdict.word == "not asked"
    for answer in ("no", ""):
        joined = dataclasses.replace(side, separated=answer)
        assert judged(dataclasses.replace(whole, sources=(joined,))).verdict.word == "unproven"


def test_apparatus_with_a_battery_is_one_more_source() -> None:
    """28 V 93 mA with a tester of 2 V 32 mA: 125 mA is above the 120 mA permitted in IIC.

    Reference table of IEC 60079-11 Annex A, from memory. Not entered as a source, the tester
    leaves own energy open.
    """
    tester = item("tester", powered="yes", energy="source")
    members = (*BASE.members, Member(apparatus="tester"))
    alone = dataclasses.replace(BASE, members=members, area="Z1")
    items = (item("tx"), tester)
    assert judged(plant(alone, apparatus=items)).rules["own energy"].verdict.word == "unproven"
    terminals = source(
        "tester terminals", "2 V", "32 mA", "16 mW", terminals_of="tester",
        limits=(make(Limits, group="IIC", Co="1 mF", Lo="5 mH"),), ports=(),
        mark="Ex ia [ia Ga] IIC T4 Ga",
    )  # fmt: skip
    both = dataclasses.replace(
        alone, sources=(*alone.sources, SourceUse(source="tester terminals")), joined="parallel"
    )
    whole = plant(
        both, apparatus=items, sources=(source("iso", "28 V", "93 mA", "651 mW"), terminals)
    )
    found = judged(whole)
    assert found.rules["own energy"].verdict.word == "safe"
    assert found.rules["permitted current"].verdict.word == "unsafe"
    assert found.rules["permitted current"].demand == pytest.approx(0.125)
    assert found.rules["permitted current"].limit == pytest.approx(0.120)


def test_a_certificate_for_the_combination_replaces_the_calculation() -> None:
    """Two 28 V 93 mA outputs: joined 186 mA is not permitted; a printed system row decides."""
    sources = tuple(source(name, "28 V", "93 mA", "651 mW") for name in ("a", "b"))
    circuit = dataclasses.replace(
        BASE, sources=(SourceUse(source="a"), SourceUse(source="b")), joined="parallel"
    )
    assert judged(plant(circuit, sources=sources)).verdict.word == "unsafe"
    limits = (make(Limits, group="IIC", Co="83 nF", Lo="1.2 mH"),)
    system = source("system row", "26.6 V", "166 mA", "1.1 W", limits=limits, covers=("a", "b"))
    covered = plant(dataclasses.replace(circuit, system="system row"), sources=(*sources, system))
    found = judged(covered)
    assert found.verdict.word == "safe"
    assert found.case == "by system row"
    assert found.rules["current"].demand == pytest.approx(0.166)
    assert found.rules["level"].verdict.word == "safe"  # zone 0: not reduced to ib
    other = dataclasses.replace(system, covers=("a",))
    foreign = judged(dataclasses.replace(covered, sources=(*sources, other)))
    assert foreign.verdict.word == "unproven"
    assert foreign.warnings == ("system row: not stated to cover b",)
    blank = dataclasses.replace(system, outputs=(Output(),))
    open_ = dataclasses.replace(covered, sources=(*sources, blank))
    assert judged(open_).verdict.word == "unproven"


def test_one_output_in_two_circuits_is_a_fault() -> None:
    """Common practice, no source: an output that two circuits use joins them."""
    use = SourceUse(tag="CARD-1", source="iso")
    circuits = tuple(dataclasses.replace(BASE, tag=tag, sources=(use,)) for tag in ("X", "Y"))
    with pytest.raises(PlantError, match="circuit 'X' uses that output too"):
        plant(circuits[0], circuits=circuits)


def test_a_circuit_without_a_list_of_runs_is_not_one_without_cable() -> None:
    """A forgotten list of runs proves nothing; a run of 0 m says that there is no cable."""
    none = judged(plant(dataclasses.replace(BASE, runs=())))
    assert none.verdict.word == "unproven"
    assert none.rules["capacitance"].verdict.word == "unproven"
    direct = dataclasses.replace(BASE, runs=(make(Run, cable="W", length="0 m"),))
    assert judged(plant(direct)).verdict.word == "safe"


def test_two_sources_that_fail_in_parallel_and_pass_in_series() -> None:
    """Two of 7 V 100 mA, polarity not stated: own worked example.

    200 mA in parallel is above Ii of 150 mA; in series 14 V and 100 mA pass, and each alone does.
    The working shows the worst way and its exact equivalent: 7 V behind 35 ohm, 200 mA.
    """
    limits = (make(Limits, group="IIC", Co="10 µF", Lo="3 mH"),)
    sources = [source(name, "7 V", "100 mA", "175 mW", limits=limits) for name in ("a", "b")]
    unstated = tuple(
        dataclasses.replace(one, outputs=(dataclasses.replace(one.outputs[0], polarity=""),))
        for one in sources
    )
    weak = item("tx")
    weak = dataclasses.replace(weak, entries=(dataclasses.replace(weak.entries[0], Ii="150 mA"),))
    circuit = dataclasses.replace(
        BASE,
        area="Z1",
        sources=tuple(SourceUse(tag=tag, source=name) for tag, name in (("A", "a"), ("B", "b"))),
    )
    found = assess(plant(circuit, sources=unstated, apparatus=(weak,)))
    said = {one.name: one.verdict.word for one in found["X"].cases}
    assert said == {"series": "safe", "parallel": "unsafe", "A alone": "safe", "B alone": "safe"}
    assert (found["X"].case, found["X"].governing) == ("parallel", "current")
    text = str(working(found, "X").as_dict())
    assert "7 V behind 35 ohm, 200 mA into a short circuit" in text
    assert "[A: 7 V, 100 mA] --+" in text


def test_a_catalogue_that_is_not_filled_in_yet_is_read_and_unproven() -> None:
    """A source without outputs or apparatus without parameters is no fault, and no proof."""
    bare = dataclasses.replace(source("iso", "28 V", "93 mA", "651 mW"), outputs=())
    assert judged(plant(BASE, sources=(bare,))).verdict.word == "unproven"
    empty = dataclasses.replace(item("tx"), entries=())
    found = judged(plant(BASE, apparatus=(empty,)))
    assert found.verdict.word == "unproven"
    assert found.rules["voltage"].verdict.word == "unproven"


def _declared(one: Plant, **fields: Any) -> Plant:
    more = make(Declaration, **fields)
    return dataclasses.replace(one, declarations=(*one.declarations, more))


def test_a_word_about_the_plant_does_not_settle_what_is_powered() -> None:
    """Stated to be powered, apparatus needs a word about itself; left blank, the plant's serves."""
    powered = plant(BASE, apparatus=(item("tx", powered="yes"),))
    wide = {"fact": "passive", "value": "yes"}
    for scope in ({}, {"scope": "area", "of": "Z0"}):
        found = judged(_declared(powered, **wide, **scope))
        assert found.rules["own energy"].verdict.word == "unproven"
    named = judged(_declared(powered, **wide, scope="apparatus", of="tx"))
    assert named.verdict.word == "safe"
    blank = plant(BASE, apparatus=(item("tx", powered=""),))
    assert judged(blank).verdict.word == "unproven"
    assert judged(_declared(blank, **wide)).verdict.word == "safe"


def test_a_cross_check_is_answered_for_one_source_only() -> None:
    """A declaration for the source answers its cross-check; one for the plant answers none."""
    high = (make(Limits, group="IIC", Co="83 nF", Lo="40 mH"),)
    one = plant(BASE, sources=(source("iso", "28 V", "93 mA", "651 mW", limits=high),))
    assert judged(one).verdict.word == "unproven"
    said = {"fact": "cross-check answered", "value": "yes"}
    assert judged(_declared(one, **said)).verdict.word == "unproven"
    assert judged(_declared(one, **said, scope="source", of="iso")).verdict.word == "safe"
