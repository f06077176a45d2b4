"""Worse data never give a better verdict; order, blocks and threads change nothing.

Source: own engineering. The circuits are those of the demo plant, faulty ones too, and random.
"""

from __future__ import annotations

import dataclasses
import functools
import random
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assess.spoiling import covering, cut_out
from baseline import AREA, BARRIER, barrier, cable, column, plant, simple, source, transmitter
from subspark.assess import assess
from subspark.assess.cases import expand
from subspark.assess.columns import blocks_of
from subspark.assess.context import Context
from subspark.assess.engine import judge
from subspark.demo import FAULTS, build_plant
from subspark.model import Circuit, Plant, Record, Run
from subspark.quantity import Temperature, TemperatureRange, Value

RANK = {"safe": 1, "unproven": 2, "unsafe": 3}

# --- worse data -------------------------------------------------------------------------------

MORE = {
    "Output.Uo", "Output.Io", "Output.Po", "Entry.Ci", "Entry.Li", "SimpleType.Ci", "SimpleType.Li",
    "SimpleType.U", "SimpleType.I", "SimpleType.P", "SimpleType.Rth", "Run.length", "CableType.C",
    "CableType.C_core", "CableType.C_screen", "CableType.L", "CableType.L_R", "CableType.section",
    "Member.process", "PortSupply.voltage", "SimpleType.hottest_surface",
}  # fmt: skip
LESS = {
    "Entry.Ui", "Entry.Ii", "Entry.Pi", "Limits.Co", "Limits.Lo", "Limits.Lo_Ro", "Pair.Co",
    "Pair.Lo", "Port.Um", "CableType.R_loop", "CableType.R_core", "CableType.strand",
    "CableType.test_voltage", "CableType.rated_temperature", "TemperatureRow.Pi",
    "Atmosphere.cloud_ignition", "Atmosphere.layer_ignition",
}  # fmt: skip
WIDER = {"Area.ambient", "SourceUse.place_ambient", "Member.ambient"}
NARROWER = {"SourceType.ambient", "SimpleType.ambient", "Mark.ambient", "TemperatureRow.ambient"}

LEAVES_A_TABLE = {
    "Output.Uo": "above the last voltage of a table, or the declared Co is then doubted",
    "Output.Io": "the output is then not linear by its power, or the declared Lo doubted",
    "Output.Po": "the output is then not linear by its power",
}
"""Where worse data may turn unsafe into unproven: never into safe."""


def _changed(value: object, name: str, factor: float) -> object:
    if isinstance(value, TemperatureRange):
        step = 5.0 * factor if name in WIDER else -min(5.0 * factor, (value.high - value.low) / 3)
        return TemperatureRange(f"{value.low - step:g} to {value.high + step:g} °C")
    assert isinstance(value, Value)
    if isinstance(value, Temperature):
        step = 10.0 * factor
        return Temperature(f"{value.si + (step if name in MORE else -step):g} °C")
    if name in LESS:
        return type(value).of(value.si / factor)
    least = {"a capacitance": 1e-9, "an inductance": 1e-5}.get(type(value).kind.name, 0.0)
    return type(value).of(max(value.si, least) * factor)


def _numeric(value: Value | TemperatureRange) -> bool:
    if isinstance(value, TemperatureRange):
        return value.known
    return value.state in ("number", "negligible")


def worse(record: Record, factor: float) -> Iterator[tuple[str, Any]]:
    """Every record that has one datum worse, of this one and of all within it."""
    for one in dataclasses.fields(record):  # type: ignore[arg-type]
        value, name = getattr(record, one.name), f"{type(record).__name__}.{one.name}"
        if isinstance(value, tuple) and value and isinstance(value[0], Record):
            for at, item in enumerate(value):
                for field, changed in worse(item, factor):
                    held = (*value[:at], changed, *value[at + 1 :])
                    yield field, dataclasses.replace(record, **{one.name: held})
        elif name in MORE | LESS | WIDER | NARROWER and _numeric(value):
            yield name, dataclasses.replace(record, **{one.name: _changed(value, name, factor)})


def answered(built: Plant) -> Plant:
    """The plant with every cross-check answered, so that declared limits stand."""
    sources = tuple(dataclasses.replace(one, cross_check="yes") for one in built.sources)
    return dataclasses.replace(built, sources=sources)


def ordinary(circuit: Circuit, built: Plant) -> bool:
    sources = {one.name: one for one in built.sources}
    plain = circuit.method == "entity" and not circuit.system
    return plain and not any(sources[use.source].terminals_of for use in circuit.sources)


@functools.cache
def demo() -> Plant:
    return build_plant()


@functools.cache
def chosen() -> tuple[str, ...]:
    """Circuits of the demo plant that together use all of it, and the faulty ones."""
    built = demo()
    tags = {one.tag for one in built.circuits if ordinary(one, built)}
    faulty = {one.tag for one in FAULTS}
    few = [one.tag for one in covering(built, tags - faulty)]
    return (*few, *sorted(tags & faulty))


@pytest.mark.parametrize("factor", [1.3, 30.0])
def test_worse_data_never_give_a_better_verdict(factor):
    """Demands raised and limits lowered one by one, cross-checks answered."""
    better, compared = [], 0
    tags = chosen() if factor < 2.0 else chosen()[::3]
    for tag in tags:
        small = answered(cut_out(demo(), demo().circuit(tag)))
        before = next(assess(small, [tag]).summaries()).verdict.word
        for name, built in worse(small, factor):
            after = next(assess(built, [tag]).summaries()).verdict.word
            compared += 1
            allowed = RANK[after] >= RANK[before]
            if name in LEAVES_A_TABLE:
                allowed |= (before, after) == ("unsafe", "unproven")
            if not allowed:
                better.append((tag, name, before, after))
    assert compared > 500
    assert better == []


ORDERS = {
    "zone": ("2", "1", "0"),
    "group": ("IIA", "IIB", "IIB+H2", "IIC"),
    "temperature": ("T1", "T2", "T3", "T4", "T5", "T6"),
}


@pytest.mark.parametrize("field", sorted(ORDERS))
def test_a_more_onerous_place_never_gives_a_better_verdict(field):
    """Zone, group and temperature class, over many kinds of circuit."""
    items = [
        [transmitter(mark="Ex ia IIC T4 Ga")],
        [transmitter(mark="Ex ib IIB T4 Gb")],
        [transmitter(mark="Ex ic IIA T3 Gc; Ex ib IIC T6 Gb")],
        [simple(surface="300 mm2", Rth="150 K/W")],
        [simple(surface="1500 mm2", Rth="")],
        [simple(item="switch or terminal", Rth="")],
    ]
    lengths = ("100 m", "700 m", "5000 m")
    levels = (
        column("IIC", level="ia, ib", Co="83 nF", Lo="4.1 mH"),
        column("IIB", level="ia, ib", Co="650 nF", Lo="16 mH"),
        column("IIC", level="ic", Co="272 nF", Lo="9.2 mH"),
    )
    for sources in ([source()], [barrier()], [source(limits=levels)]):
        for item in items:
            for length in lengths:
                ranks = [
                    RANK[
                        assess(
                            plant(
                                sources=sources,
                                items=item,
                                runs=[length],
                                area={**AREA, "zone": "2", "group": "IIA", field: value},
                                declare=BARRIER,
                            )
                        )["X"].verdict.word
                    ]
                    for value in ORDERS[field]
                ]
                assert ranks == sorted(ranks), (sources[0].name, item[0].name, length)


factors = st.floats(min_value=0.3, max_value=3.0)


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_worse_data_of_a_random_circuit(data):
    """From a random start, any one datum worse by any factor (seeded by hypothesis)."""
    draw = functools.partial(data.draw, factors)
    Uo, Io = 20.0 * draw() ** 0.3, 0.07 * draw()
    limits = (column("IIC", Co=100e-9 * draw(), Lo=4e-3 * draw(), Lo_Ro=50e-6 * draw()),)
    start = plant(
        sources=[
            source(Uo=Uo, Io=Io, Po=Uo * Io / 4, limits=limits, cross_check="yes"),
        ],
        items=[
            transmitter(
                Ui=25.0 * draw(),
                Ii=0.1 * draw(),
                Pi=0.6 * draw(),
                Ci=1e-9 * draw(),
                Li=4e-5 * draw(),
            ),
            simple(Rth=110.0 * draw(), Ci=1e-9 * draw()),
        ],
        cables=[cable(C=1e-10 * draw(), L=7e-7 * draw(), R_loop=0.024 * draw())],
        runs=[Run(cable="K1", length=400.0 * draw())],
    )
    before = assess(start)["X"].verdict.word
    for name, built in worse(start, data.draw(st.floats(min_value=1.0001, max_value=20.0))):
        after = assess(built)["X"].verdict.word
        allowed = RANK[after] >= RANK[before]
        if name in LEAVES_A_TABLE:
            allowed |= (before, after) == ("unsafe", "unproven")
        assert allowed, (name, before, after)


# --- order, blocks and threads ----------------------------------------------------------------


def bits(values: np.ndarray[Any, Any]) -> np.ndarray[Any, Any]:
    return values.view(np.uint64) if values.dtype == np.float64 else values


@pytest.fixture(scope="module")
def demo_columns():
    built = demo()
    context = Context.of(built)
    cases = [
        case
        for index, circuit in enumerate(built.circuits)
        for case in expand(index, circuit, context)
    ]
    return [block.columns for block in blocks_of(cases, context.code, context.curves)]


@pytest.mark.parametrize("threads", [1, 3])
@pytest.mark.parametrize("block", [1, 2, 7, 64])
def test_blocks_and_threads_change_no_bit(demo_columns, block, threads):
    for columns in demo_columns:
        whole = judge(columns)
        cut = judge(columns, block=block, threads=threads)
        for one, other in zip(whole, cut, strict=True):
            assert np.array_equal(bits(one), bits(other))


@pytest.fixture(scope="module")
def in_plant():
    return {one.tag: one for one in assess(demo()).summaries()}


@pytest.mark.parametrize("seed", [1, 2])
def test_the_order_of_circuits_changes_nothing(seed, in_plant):
    circuits = list(demo().circuits)
    random.Random(seed).shuffle(circuits)
    mixed = dataclasses.replace(demo(), circuits=tuple(circuits))
    assert {one.tag: one for one in assess(mixed).summaries()} == in_plant


def test_a_circuit_asked_for_alone_equals_the_one_among_all(in_plant):
    tags = [circuit.tag for circuit in demo().circuits]
    for tag in tags[::7]:
        assert next(assess(demo(), [tag]).summaries()) == in_plant[tag]
    some = assess(demo(), tags[10:60:5])
    assert {one.tag: one for one in some.summaries()} == {
        tag: in_plant[tag] for tag in tags[10:60:5]
    }


def test_the_order_of_members_and_catalogues_changes_no_verdict(in_plant):
    """Sums may differ in their last places, verdicts and rules may not."""
    built = demo()
    turned = dataclasses.replace(
        built,
        **{
            name: getattr(built, name)[::-1]
            for name in ("areas", "certificates", "sources", "apparatus", "simple", "cables",
                         "junctions", "declarations")
        },
        circuits=tuple(
            dataclasses.replace(one, members=one.members[::-1], runs=one.runs[::-1])
            for one in built.circuits
        ),
    )  # fmt: skip
    for one in assess(turned).summaries():
        before = in_plant[one.tag]
        assert (one.verdict, one.governing) == (before.verdict, before.governing), one.tag
        if before.utilisation is not None:
            assert one.utilisation == pytest.approx(before.utilisation, rel=1e-12)


def test_a_long_circuit_alone_equals_the_one_among_many():
    """Twenty-three runs: a sum of NumPy would take another order for one case alone."""
    rng = random.Random(5)
    base = plant(cables=[cable()])
    circuits = tuple(
        dataclasses.replace(
            base.circuits[0],
            tag=f"C{i}",
            runs=tuple(Run(cable="K1", length=rng.uniform(1.0, 20.0)) for _ in range(23)),
        )
        for i in range(30)
    )
    among = assess(dataclasses.replace(base, circuits=circuits))
    for one, summary in zip(circuits, among.summaries(), strict=True):
        alone = assess(dataclasses.replace(base, circuits=(one,)))
        assert next(alone.summaries()) == summary
        assert alone[one.tag].as_dict() == among[one.tag].as_dict()


def test_the_working_says_what_the_engine_said():
    """Detail and summary of every circuit agree: rules worked out alone, verdicts in blocks."""
    found = assess(demo())
    for summary, finding in zip(found.summaries(), found, strict=True):
        assert (finding.verdict, finding.governing, finding.utilisation) == (
            summary.verdict,
            summary.governing,
            summary.utilisation,
        )
        said = [one.verdict for one in finding.rules.values()]
        assert max(said) == finding.verdict, summary.tag
