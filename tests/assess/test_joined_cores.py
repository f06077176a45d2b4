"""Cores joined for each conductor: fewer ohms, and never less stored energy than is counted.

Source: own reasoning, stated in the note that every finding carries. Each of n cores of the one
conductor faces each of n of the other, so the capacitance is at most n^2 times that of two cores;
the ohms fall to 1/n while the inductance need not fall, so L/R is at most n times.
"""

from __future__ import annotations

import dataclasses

import pytest

import subspark as ss
from subspark.demo import build_plant
from subspark.model import Plant
from subspark.rules import Verdict

PLANT = build_plant()
TAG = "AT-4091"


def joined(cores: int | None, length: str = "50 m") -> ss.Finding:
    circuit = PLANT.circuit(TAG)
    (run,) = circuit.runs
    changed = dataclasses.replace(
        circuit, runs=(dataclasses.replace(run, parallel=cores, length=length),)
    )
    circuits = tuple(changed if one.tag == TAG else one for one in PLANT.circuits)
    return ss.assess(dataclasses.replace(PLANT, circuits=circuits), [TAG])[TAG]


def test_two_joined_cores_count_four_times_the_capacitance():
    """40 nF + 50 m x 95 pF/m = 44.75 nF; with joined cores 40 + 4 x 4.75 = 59 nF of 49.5 nF."""
    single, double = joined(None), joined(2)
    assert single.rules["capacitance"].demand == pytest.approx(44.75e-9)
    assert single.verdict is Verdict.SAFE
    assert double.rules["capacitance"].demand == pytest.approx(59e-9)
    assert double.verdict is Verdict.UNSAFE
    assert any("2 cores joined" in note for note in double.assumptions)


def test_one_core_is_what_a_blank_is():
    assert joined(1).rules["capacitance"].demand == joined(None).rules["capacitance"].demand


@pytest.mark.parametrize("cores", [0, -1])
def test_a_number_that_is_none_proves_nothing(cores):
    assert joined(cores).verdict is not Verdict.SAFE


def test_more_joined_cores_are_never_safer():
    verdicts = [joined(cores, "20 m").verdict for cores in (1, 2, 3, 4, 6)]
    assert verdicts == sorted(verdicts)


def test_joined_cores_halve_the_ohms_of_function():
    """PT-1181 lacks volts on thin cores; two of them joined leave more."""
    circuit = PLANT.circuit("PT-1181")
    runs = tuple(dataclasses.replace(run, parallel=2) for run in circuit.runs)
    changed = dataclasses.replace(circuit, runs=runs)
    circuits = tuple(changed if one.tag == circuit.tag else one for one in PLANT.circuits)
    before = ss.assess(PLANT, [circuit.tag])[circuit.tag].works.rules["lift-off"]
    plant: Plant = dataclasses.replace(PLANT, circuits=circuits)
    after = ss.assess(plant, [circuit.tag])[circuit.tag].works.rules["lift-off"]
    assert before.verdict is Verdict.UNSAFE
    assert after.limit > before.limit
