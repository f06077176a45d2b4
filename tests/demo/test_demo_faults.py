"""The engine finds every deliberate fault by the rule that is named, and nothing else."""

from __future__ import annotations

from dataclasses import replace

import pytest

import subspark as ss
from subspark.demo import FAULTS, build_plant
from subspark.quantity import Length, Power, ThermalResistance, Voltage

WRONG = (ss.Verdict.UNSAFE, ss.Verdict.UNPROVEN)


@pytest.fixture(scope="module")
def plant():
    return build_plant()


@pytest.fixture(scope="module")
def assessment(plant):
    return ss.assess(plant)


def not_safe(assessment, tag):
    """Every rule of any case that counts which is not safe, with its verdict in words."""
    return {
        (name, found.verdict.word)
        for place in assessment.counted_places(tag)
        for name, found in assessment.rule_findings(place).items()
        if found.verdict in WRONG
    }


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.tag)
def test_a_fault_is_caught_by_its_rule_and_by_no_other(assessment, fault):
    found = assessment[fault.tag]
    assert found.verdict.word == fault.verdict
    assert found.governing == fault.rule
    rules = (fault.rule, *fault.also)  # more than one only where they lack the same fact
    assert not_safe(assessment, fault.tag) == {(rule, fault.verdict) for rule in rules}


def test_every_other_circuit_is_safe(assessment):
    faulty = {fault.tag for fault in FAULTS}
    wrong = {
        one.tag: (one.verdict.word, one.governing)
        for one in assessment.summaries()
        if one.tag not in faulty and one.verdict is not ss.Verdict.SAFE
    }
    assert wrong == {}


def test_the_service_tool_is_judged_with_and_without(assessment):
    found = assessment["PT-1101"]
    assert found.verdict is ss.Verdict.SAFE
    assert found.without_tool is ss.Verdict.SAFE


def test_the_lumped_fault_passes_the_plain_comparison(assessment):
    found = assessment["AT-4091"]
    assert found.k == 0.5
    demand, limit = found.rules["capacitance"].demand, found.rules["capacitance"].limit
    assert limit < demand < 2 * limit


def test_defaults_of_a_lost_data_sheet_are_told_as_assumptions(assessment):
    assert any("200 pF/m" in note for note in assessment["FT-1111"].assumptions)
    assert not assessment["FT-1101"].assumptions


def test_the_slip_of_unit_is_told_as_a_warning(assessment):
    [warning] = assessment["FT-4091"].warnings
    assert "Lo" in warning
    told = {one.tag for one in assessment if any("slip" in note for note in one.warnings)}
    assert told == {"FT-4091"}


def with_apparatus(name, member=0):
    def change(circuit):
        members = list(circuit.members)
        members[member] = replace(members[member], apparatus=name)
        return replace(circuit, members=tuple(members))

    return change


def with_source(name):
    return lambda one: replace(one, sources=(replace(one.sources[0], source=name),))


def with_length(text):
    return lambda one: replace(one, runs=(replace(one.runs[0], length=Length(text)),))


def with_sources(*names, polarity=""):
    def change(circuit):
        first = circuit.sources[0]
        uses = tuple(
            replace(first, tag=f"{first.tag} {nth}", source=name, polarity=polarity)
            for nth, name in enumerate(names)
        )
        return replace(circuit, sources=uses)

    return change


def with_arrester_at(text):
    def change(circuit):
        *members, arrester = circuit.members
        return replace(circuit, members=(*members, replace(arrester, distance=Length(text))))

    return change


def with_cable_of_its_own(circuit):
    return replace(circuit, runs=(replace(circuit.runs[0], number=f"C-{circuit.tag}"),))


def without_the_last(circuit):
    return replace(circuit, members=circuit.members[:-1])


def with_spurs_of(text):
    def change(circuit):
        runs = (
            replace(run, length=Length(text)) if run.part == "spur" else run for run in circuit.runs
        )
        return replace(circuit, runs=tuple(runs))

    return change


MENDED_CIRCUITS = {
    "FB-2091": with_spurs_of("58 m"),
    "FB-1191": without_the_last,
    "AT-4091": with_length("99 m"),
    "FT-1191": with_length("60 m"),
    "PT-1191": with_apparatus("KW-P30"),
    "XV-1191": with_apparatus("MT-V10"),
    "LT-1091": with_apparatus("KW-I5", member=1),
    "PT-1192": with_apparatus("KW-P30"),
    "FT-4591": with_apparatus("KW-D42"),
    "TE-1191": with_source("RW-1110"),
    "FT-4091": with_source("RW-1126"),
    "PT-1291": with_source("RW-1125"),
    "PI-1191": with_sources("RW-2012", "RW-2012"),
    "VE-1191": with_apparatus("SV-P9"),
    "ZT-1192": with_cable_of_its_own,
    "PI-1192": with_cable_of_its_own,
    "LT-1092": with_arrester_at("1 m"),
    "TE-4591": with_source("RW-1110"),
    "AT-2092": with_apparatus("TG-20"),
    "PI-1195": with_sources("RW-1110", "RW-1110", "RW-1110", polarity="+"),
    "BE-2091": without_the_last,
}

MENDED_TOO = {"ZT-1192": {"PT-1194"}, "PI-1192": {"PI-1193", "PI-1194"}}


@pytest.mark.parametrize("tag", MENDED_CIRCUITS)
def test_a_circuit_mended_as_told_is_safe(plant, tag):
    circuits = tuple(MENDED_CIRCUITS[tag](one) if one.tag == tag else one for one in plant.circuits)
    tags = [tag, *sorted(MENDED_TOO.get(tag, ()))]
    mended = ss.assess(replace(plant, circuits=circuits), tags)
    assert {one: not_safe(mended, one) for one in tags} == {one: set() for one in tags}


def test_an_answered_condition_mends_the_vortex_meter(plant):
    answer = ss.Declaration(
        fact="conditions answered", value="yes", scope="certificate", of="DEMO 22.0109X"
    )
    mended = replace(plant, declarations=(*plant.declarations, answer))
    assert not_safe(ss.assess(mended, ["FT-2091"]), "FT-2091") == set()


def test_words_of_the_certificate_mend_the_blank_Pi(plant):
    def stated(item):
        entry = replace(item.entries[0], Pi=Power("not limiting"))
        return replace(item, entries=(entry,)) if item.name == "KW-Q15" else item

    mended = replace(plant, apparatus=tuple(stated(one) for one in plant.apparatus))
    assert not_safe(ss.assess(mended, ["PT-3091"]), "PT-3091") == set()


def test_words_of_the_certificate_mend_the_sensor_side(plant):
    sources = tuple(
        replace(one, separated="yes") if one.name == "DS-U9 sensor" else one
        for one in plant.sources
    )
    mended = ss.assess(replace(plant, sources=sources), ["TE-1192"])
    assert not_safe(mended, "TE-1192") == set()


def test_a_box_without_its_lagging_is_cool_enough(plant):
    junctions = tuple(
        replace(one, Rth=ThermalResistance("70 K/W")) if one.tag == "JB-62" else one
        for one in plant.junctions
    )
    mended = ss.assess(replace(plant, junctions=junctions), ["AT-2091"])
    assert not_safe(mended, "AT-2091") == set()


def test_a_lower_alternating_voltage_mends_the_stroke_sensor(plant):
    def lowered(source):
        if source.name != "AB-22A":
            return source
        output = replace(source.outputs[0], Uo=Voltage("21 V"), Po=Power("371 mW"))
        return replace(source, outputs=(output,))

    mended = replace(plant, sources=tuple(lowered(one) for one in plant.sources))
    assert not_safe(ss.assess(mended, ["ZT-1193"]), "ZT-1193") == set()
