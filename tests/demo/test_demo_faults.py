"""The engine finds every deliberate fault by the rule that is named, and nothing else."""

from __future__ import annotations

from dataclasses import replace

import pytest

import subspark as ss
from subspark.demo import FAULTS, build_plant
from subspark.quantity import Length, Power

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
    assert not_safe(assessment, fault.tag) == {(fault.rule, fault.verdict)}


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
    told = [one.tag for one in assessment if one.warnings and one.tag != "FT-4091"]
    assert told == []


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


MENDED_CIRCUITS = {
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
}


@pytest.mark.parametrize("tag", MENDED_CIRCUITS)
def test_a_circuit_mended_as_told_is_safe(plant, tag):
    circuits = tuple(MENDED_CIRCUITS[tag](one) if one.tag == tag else one for one in plant.circuits)
    mended = ss.assess(replace(plant, circuits=circuits), [tag])
    assert not_safe(mended, tag) == set()


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
