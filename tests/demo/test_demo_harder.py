"""The harder circuits of the demo plant: every kind is there, and judged by what its story says.

Expected numbers are worked by hand beside each test; permitted currents are those of IEC 60079-11
Annex A (from memory, confidence high): 120 mA at 28 V, 143 mA at 26 V, 174 mA at 24 V in IIC.
"""

from __future__ import annotations

import pytest

import subspark as ss
from subspark.demo import build_plant
from subspark.demo.harder import harder_circuits


@pytest.fixture(scope="module")
def plant():
    return build_plant()


@pytest.fixture(scope="module")
def assessment(plant):
    return ss.assess(plant)


def test_there_are_at_least_50_harder_circuits(plant):
    harder = {one.tag for one in harder_circuits()}
    assert len(harder) >= 50
    assert harder <= {one.tag for one in plant.circuits}


def test_every_harder_kind_of_circuit_is_there(plant):
    sources = {one.name: one for one in plant.sources}
    items = {one.name: one for one in (*plant.apparatus, *plant.simple)}
    cables = {one.name: one for one in plant.cables}
    used = [sources[use.source] for one in plant.circuits for use in one.sources]
    members = [items[use.apparatus] for one in plant.circuits for use in one.members]
    assert sum(len(one.sources) == 2 for one in plant.circuits) >= 10
    assert sum(len(one.sources) == 3 for one in plant.circuits) >= 2
    assert {one.joined for one in plant.circuits} == {"", "parallel", "series"}
    assert any(one.system for one in plant.circuits)
    assert any(one.terminals_of and one.separated == "yes" for one in used)
    assert any(output.peak == "r.m.s." for one in used for output in one.outputs)
    assert {one.multicore for one in cables.values()} >= {"A", "B", "other"}
    assert any(one.surge for one in members)
    assert {one.energy for one in members} >= {"source", "passive by its document"}
    assert any(one.Rth.known for one in plant.junctions)
    assert {run.screen for one in plant.circuits for run in one.runs} >= {
        "floating", "earthed", "tied to one core",
    }  # fmt: skip
    trapezoids = [
        limit
        for one in used
        for output in one.outputs
        if output.shape == "trapezoidal"
        for limit in output.limits
    ]
    assert any(limit.pairs for limit in trapezoids)


# Demand and limit of a rule: parallel adds currents, series adds voltages; 0.203 W x 110 K/W =
# 22.3 K; 2.25 W x 85 K/W = 191.25 K; 22 V x sqrt 2 = 31.11 V; 24 V at factor 1: 174 mA x 1.5.
@pytest.mark.parametrize(
    ("tag", "rule", "demand", "limit"),
    [
        ("PT-1141", "current", 0.080, 0.120),
        ("PI-1151", "current", 0.072, 0.200),
        ("VE-1141", "voltage", 29.6, 32.0),
        ("PT-1041", "voltage", 26.0, 30.0),
        ("PT-1051", "current", 0.118, 0.120),
        ("PT-1161", "current", 0.105, 0.120),
        ("PT-1171", "current", 0.072, 0.120),
        ("PI-2151", "permitted current", 0.160, 0.261),
        ("PT-4551", "box temperature", 50.0 + 4 * 0.585 * 15.0, 135.0),
        ("TE-4551", "temperature class", 90.0 + 0.203 * 110.0, 135.0),
        ("PI-1191", "permitted current", 0.180, 0.143),
        ("VE-1191", "voltage", 29.6, 28.0),
        ("PI-1192", "permitted current", 0.180, 0.174),
        ("LT-1092", "surge device", 2.0, 1.0),
        ("AT-2091", "box temperature", 231.25, 200.0),
        ("TE-4591", "temperature class", 120.0 + 0.203 * 110.0, 135.0),
        ("ZT-1193", "voltage", 31.112698, 30.0),
    ],
)
def test_numbers_are_those_of_the_story(assessment, tag, rule, demand, limit):
    found = assessment[tag].rules[rule]
    assert found.demand == pytest.approx(demand)
    assert found.limit == pytest.approx(limit)


def test_two_driving_sources_are_not_for_zone_0_but_a_diode_return_is(plant):
    level = {area.tag: area.atmospheres[0].zone for area in plant.areas}
    sources = {one.name: one for one in plant.sources}
    for circuit in plant.circuits:
        if len(circuit.sources) < 2 or circuit.system:
            continue
        currents = [sources[use.source].outputs[0].Io.si for use in circuit.sources]
        assert level[circuit.area] != "0" or sum(one > 0 for one in currents) == 1


@pytest.mark.parametrize(
    ("tag", "others"), [("ZT-1192", ("PT-1194",)), ("PI-1192", ("PI-1193", "PI-1194"))]
)
def test_faults_of_a_multicore_are_told_with_the_circuits_that_join(assessment, tag, others):
    case = assessment[tag].case
    assert case.startswith("with " + " + ".join(others))


def test_isolated_circuits_join_in_pairs_and_those_of_barriers_in_threes(assessment):
    """Own worked example: two shorts join two isolated circuits, or three of common return."""
    pairs = {one.name for one in assessment["TE-1161"].cases}
    assert any(one.startswith("with ") for one in pairs)
    assert not any(" + " in one for one in pairs)
    assert any(" + " in one.name for one in assessment["PT-1161"].cases)


def test_the_screen_counts_by_its_use(assessment):
    """The core's 80 pF/m, and of the 130 pF/m to the screen all when tied or earthed, or half.

    330 m x 210 pF/m + 3 nF = 72.3 nF; 480 m x 145 pF/m + 3 nF = 72.6 nF;
    150 m x 210 pF/m + 3 nF = 34.5 nF.
    """
    demands = [assessment[f"FT-116{nth}"].rules["capacitance"].demand for nth in (1, 2, 3)]
    assert demands == pytest.approx([72.3e-9, 72.6e-9, 34.5e-9])
