"""The demo plant of Class and Division: its faults are found, each by its rule, and no other."""

from __future__ import annotations

import pytest

import subspark as ss
from subspark.assess import assess
from subspark.assess.working import working
from subspark.demo import DIVISION_FAULTS, build_division_plant, division_markdown
from subspark.exchange import read_plant, write_plant

WRONG = (ss.Verdict.UNSAFE, ss.Verdict.UNPROVEN)


@pytest.fixture(scope="module")
def assessment():
    return assess(build_division_plant())


@pytest.mark.parametrize("fault", DIVISION_FAULTS, ids=lambda fault: fault.tag)
def test_a_fault_is_caught_by_its_rule_and_by_no_other(assessment, fault):
    found = assessment[fault.tag]
    assert (found.verdict.word, found.governing) == (fault.verdict, fault.rule)
    wrong = {name for name, one in found.rules.items() if one.verdict in WRONG}
    assert wrong == {fault.rule}


def test_every_other_circuit_is_safe(assessment):
    faulty = {fault.tag for fault in DIVISION_FAULTS}
    wrong = [one for one in assessment.summaries() if one.verdict is not ss.Verdict.SAFE]
    assert {one.tag for one in wrong} == faulty
    assert len(assessment) == 20


def test_it_is_the_same_each_time():
    assert build_division_plant().digest == build_division_plant().digest


def test_it_survives_the_workbook(tmp_path):
    plant = build_division_plant()
    write_plant(plant, tmp_path / "alder.xlsx")
    write_plant(plant, tmp_path / "alder.json")
    assert read_plant(tmp_path / "alder.xlsx") == plant
    assert read_plant(tmp_path / "alder.json") == plant


def test_its_working_is_in_feet_and_american_symbols(assessment):
    """1200 ft x 60 pF/ft = 72 nF, and 11 nF of the transmitter: 83 nF, worked by hand."""
    told = str(working(assessment, "PT-302").as_dict())
    for text in (
        "1200 ft x 60 pF/ft = 72 nF",
        "Voc 28 V, Isc 93 mA, Po 651 mW",
        "Vmax 30 V, Imax 150 mA, Pmax 1 W",
        "Ca 83 nF, La 4.1 mH, La/Ra 54 µH/ohm",
        "Voc <= Vmax",
        "control drawing QB-28-CD rev 3",
        "nominal copper of 18 AWG, less 5 %",
    ):
        assert text in told
    assert "Uo" not in told
    assert assessment["PT-302"].utilisation == pytest.approx(1.0, rel=1e-12)


def test_the_faults_are_told():
    told = division_markdown()
    for fault in DIVISION_FAULTS:
        assert fault.tag in told
        assert fault.story in told
