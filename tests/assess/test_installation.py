"""Surge devices, boxes, terminals of apparatus as sources, system certificates.

Sources: IEC 60079-14 and -25, from memory, unless a test says otherwise.
"""

from __future__ import annotations

import dataclasses
from typing import Any

import pytest

from small import BASE, item, make, plant, source
from subspark.assess import Finding, assess
from subspark.assess.working import working
from subspark.errors import PlantError
from subspark.model import (
    CableType,
    Declaration,
    Junction,
    Limits,
    Member,
    Output,
    Plant,
    Run,
    SimpleType,
    SourceType,
    SourceUse,
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


ODD: dict[str, tuple[tuple[SourceType, ...], tuple[SourceUse, ...]]] = {
    "no source": ((), ()),
    "no outputs": (
        (dataclasses.replace(source("odd", "28 V", "93 mA", "651 mW"), outputs=()),),
        (SourceUse(source="odd"),),
    ),
    "a power of 0 beside 28 V and 93 mA": (
        (source("odd", "28 V", "93 mA", "0 W"),),
        (SourceUse(source="odd"),),
    ),
    "a voltage of 0": ((source("odd", "0 V", "93 mA", ""),), (SourceUse(source="odd"),)),
    "one of two unknown": (
        (source("odd", "", "93 mA", ""),),
        (SourceUse(source="iso"), SourceUse(source="odd")),
    ),
}


def beside(odd: str, run: Run, **more: Any) -> Plant:
    """The circuit X and a neighbour Y on the same run, whose power or voltage is not known."""
    kinds, uses = ODD[odd]
    circuits = (
        dataclasses.replace(BASE, runs=(run,)),
        dataclasses.replace(BASE, tag="Y", sources=uses, joined="series" * (len(uses) > 1)),
    )
    sources = (source("iso", "28 V", "93 mA", "651 mW"), *kinds)
    circuits = (circuits[0], dataclasses.replace(circuits[1], runs=(run,)))
    return plant(circuits[0], circuits=circuits, sources=sources, **more)


@pytest.mark.parametrize("odd", ODD)
def test_a_neighbour_of_unknown_power_leaves_the_box_open(odd: str) -> None:
    """What an unknown neighbour brings into a box is not nothing."""
    run = make(Run, cable="W", length="100 m", end="JB")
    box = make(Junction, tag="JB", area="Z1", Rth="10 K/W")
    found = judged(beside(odd, run, junctions=(box,)))
    assert found.rules["box temperature"].verdict.word == "unproven"
    assert found.verdict.word == "unproven"


def test_outputs_named_together_all_bring_their_power_into_a_box() -> None:
    """40 + 30 x 3 x 0.651 = 98.59 degC: "1 + 2" is two outputs, however it is spaced."""
    single = source("two", "28 V", "93 mA", "651 mW")
    (output,) = single.outputs
    outputs = tuple(dataclasses.replace(output, name=name) for name in ("1", "2"))
    two = dataclasses.replace(single, outputs=outputs)
    run = make(Run, cable="W", length="100 m", end="JB")
    circuits = (
        dataclasses.replace(BASE, runs=(run,)),
        dataclasses.replace(
            BASE, tag="Y", runs=(run,), sources=(SourceUse(source="two", outputs="1 + 2"),)
        ),
    )
    box = make(Junction, tag="JB", area="Z1", Rth="30 K/W")
    sources = (source("iso", "28 V", "93 mA", "651 mW"), two)
    found = judged(plant(circuits[0], circuits=circuits, junctions=(box,), sources=sources))
    assert found.rules["box temperature"].demand == pytest.approx(40 + 30 * 3 * 0.651)


def cable_b() -> CableType:
    """A fixed type B multicore of pairs."""
    return make(
        CableType, name="MULTI", C="100 pF/m", L="0.7 µH/m", R_loop="30 ohm/km", cores=8,
        multicore="B", fixed_and_protected="yes", coverage=None,
    )  # fmt: skip


@pytest.mark.parametrize("kind", ["B", ""])
@pytest.mark.parametrize("odd", [one for one in ODD if "power" not in one])
def test_a_neighbour_of_unknown_voltage_is_not_left_out_of_a_multicore(odd: str, kind: Any) -> None:
    """IEC 60079-14, from memory: in type B no fault between circuits counts up to 60 V in each.

    Where a voltage is not known, faults join the circuits, and what is joined is not known.
    """
    run = make(Run, cable="MULTI", length="100 m", number="W-1")
    cable = dataclasses.replace(cable_b(), multicore=kind)
    whole = beside(odd, run, cables=(cable,))
    assert judged(whole).verdict.word != "safe"
    calm = dataclasses.replace(whole.circuits[1], sources=(SourceUse(source="iso"),), joined="")
    known = dataclasses.replace(whole, circuits=(whole.circuits[0], calm))
    assert (judged(known).verdict.word == "safe") == (kind == "B")


@pytest.mark.parametrize("joined", ["", "parallel", "series"])
def test_a_second_source_without_outputs_is_not_one_source_less(joined: Any) -> None:
    """A source whose values are still to be entered leaves the circuit unproven."""
    blank = dataclasses.replace(source("odd", "2 V", "2 mA", "1 mW"), outputs=())
    uses = (SourceUse(source="iso"), SourceUse(source="odd"))
    circuit = dataclasses.replace(BASE, area="Z1", sources=uses, joined=joined)
    small = source("iso", "10 V", "20 mA", "50 mW")
    assert judged(plant(circuit, sources=(small, blank))).verdict.word == "unproven"
    alone = dataclasses.replace(circuit, sources=uses[:1], joined="")
    assert judged(plant(alone, sources=(small,))).verdict.word == "safe"


@pytest.mark.parametrize(("joined", "word"), [("series", "unsafe"), ("parallel", "safe")])
def test_voltages_in_series_add_up_in_a_type_B_multicore(joined: Any, word: str) -> None:
    """31 V + 31 V is above 60 V; in parallel they are 31 V. Peak counts: 43 V r.m.s. is 60.8 V."""
    run = make(Run, cable="MULTI", length="100 m", number="W-1")
    uses = (SourceUse(source="a"), SourceUse(source="b"))
    circuits = (
        dataclasses.replace(BASE, runs=(run,)),
        dataclasses.replace(BASE, tag="Y", runs=(run,), sources=uses, joined=joined),
    )
    sources = (
        source("iso", "28 V", "93 mA", "651 mW"),
        *(source(name, "31 V", "20 mA", "155 mW") for name in ("a", "b")),
    )
    whole = plant(circuits[0], circuits=circuits, sources=sources, cables=(cable_b(),))
    assert judged(whole).verdict.word == word
    ac = source("a", "43 V", "10 mA", "107.5 mW")
    (output,) = ac.outputs
    swings = dataclasses.replace(
        ac, outputs=(dataclasses.replace(output, polarity="a.c.", peak="r.m.s."),)
    )
    one = dataclasses.replace(circuits[1], sources=(SourceUse(source="a"),), joined="")
    whole = dataclasses.replace(whole, sources=(sources[0], swings), circuits=(circuits[0], one))
    assert judged(whole).verdict.word == "unsafe"


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
    for outputs in ((Output(),), ()):
        blank = dataclasses.replace(system, outputs=outputs)
        open_ = dataclasses.replace(covered, sources=(*sources, blank))
        assert judged(open_).verdict.word == "unproven"


def test_one_output_in_two_circuits_is_a_fault() -> None:
    """Common practice, no source: an output that two circuits use joins them."""
    use = SourceUse(tag="CARD-1", source="iso")
    circuits = tuple(dataclasses.replace(BASE, tag=tag, sources=(use,)) for tag in ("X", "Y"))
    with pytest.raises(PlantError, match="circuit 'X' uses that output too"):
        plant(circuits[0], circuits=circuits)


def test_a_circuit_without_apparatus_is_not_one_with_nothing_connected() -> None:
    """A forgotten list of apparatus proves nothing; a spare ends at a terminal, and says so."""
    found = judged(plant(dataclasses.replace(BASE, members=())))
    assert found.verdict.word == "unproven"
    assert "apparatus not entered" in found.sentence
    missing = assess(plant(dataclasses.replace(BASE, members=()))).missing
    told = {(one.need.of, one.need.what) for one in missing()}
    assert ("circuit X", "its apparatus") in told
    terminal = make(
        SimpleType, name="end", item="switch or terminal", sort="passive", assessed="yes",
        Ci="0", Li="0", powered="no", ambient="-40 to 80 °C",
    )  # fmt: skip
    spare = dataclasses.replace(BASE, members=(Member(apparatus="end", isolation="yes"),))
    assert judged(plant(spare, simple=(terminal,))).verdict.word == "safe"


def test_a_circuit_without_a_list_of_runs_is_not_one_without_cable() -> None:
    """A forgotten list of runs proves nothing; a run of 0 m says that there is no cable."""
    none = judged(plant(dataclasses.replace(BASE, runs=())))
    assert none.verdict.word == "unproven"
    assert none.rules["capacitance"].verdict.word == "unproven"
    bare = judged(plant(dataclasses.replace(BASE, runs=(), members=())))
    assert bare.verdict.word == "unproven"
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
