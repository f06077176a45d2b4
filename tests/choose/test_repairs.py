"""Repairs: each mends, proved again by plain assessment; the least effort stands first."""

from __future__ import annotations

import pytest

import subspark as ss
from subspark.choose.change import apply, read_change
from subspark.choose.repairs import EFFORTS, repairs
from subspark.demo import FAULTS, build_plant
from subspark.rules import Verdict

PLANT = build_plant()


@pytest.mark.parametrize("tag", [one.tag for one in FAULTS][::5])
def test_each_repair_mends_when_it_is_applied(tag: str) -> None:
    found = repairs(PLANT, tag, each=1)
    assert not found.sound
    efforts = [one.effort for one in found.repairs]
    assert efforts == sorted(efforts)
    for one in found.repairs:
        if not one.change.edits:
            assert one.sort == "obtain"
            assert found.before.verdict is Verdict.UNPROVEN
            continue
        change = read_change(one.change.as_dict(), PLANT)
        after = apply(PLANT, change.edits)
        added = {c.tag for c in after.circuits} - {c.tag for c in PLANT.circuits}
        for summary in ss.assess(after, [tag, *sorted(added)]).summaries():
            assert summary.verdict is Verdict.SAFE, (one.says, summary)


def test_the_shorter_run_is_the_longest_that_is_safe() -> None:
    """Half of 99 nF less 40 nF, by 95 pF/m: 100 m."""
    found = repairs(PLANT, "AT-4091")
    first = found.repairs[0]
    assert first.sort == "shorten"
    assert first.says == (
        "run C-AT-4091: 100 m at the most, instead of 180 m (bound by capacitance)"
    )


def test_a_spur_that_is_too_long_is_mended_by_its_junction() -> None:
    found = repairs(PLANT, "FB-2091")
    assert "move junction" in {one.sort for one in found.repairs}


def test_two_circuits_instead_of_one() -> None:
    found = repairs(PLANT, "BE-2091")
    (split,) = [one for one in found.repairs if one.sort == "two circuits"]
    after = apply(PLANT, split.change.edits)
    assert len(after.circuits) == len(PLANT.circuits) + 1
    assert sum(len(c.members) for c in after.circuits if c.tag.startswith("BE-2091")) == len(
        PLANT.circuit("BE-2091").members
    )


def test_a_sound_circuit_needs_none() -> None:
    found = repairs(PLANT, "PT-1101")
    assert found.sound
    assert found.repairs == ()


def test_every_sort_of_repair_has_its_place() -> None:
    assert len(EFFORTS) == len(set(EFFORTS))


CHEAPEST = {
    "PT-1181": "shorten",
    "LT-1181": "leave out",
    "PT-1182": "supply or load",
    "LSH-2181": "shorten",
    "XV-4581": "shorten",
    "PV-2081": "other source",
    "YB-5381": "two circuits",
    "HL-1181": "other source",
    "VE-4581": "shorten",
    "FB-1181": "shorten",
}
"""Ten circuits of the demo plant that are safe and do not work, with the least repair."""


@pytest.mark.parametrize("tag", CHEAPEST)
def test_a_circuit_that_is_safe_and_does_not_work_is_mended_for_the_least(tag: str) -> None:
    found = repairs(PLANT, tag, each=1)
    assert found.before.verdict is Verdict.SAFE
    assert found.before.works is Verdict.UNSAFE
    first = found.repairs[0]
    assert first.sort == CHEAPEST[tag]
    after = apply(PLANT, first.change.edits)
    added = {one.tag for one in after.circuits} - {one.tag for one in PLANT.circuits}
    assessment = ss.assess(after, [tag, *sorted(added)])
    for one in assessment.summaries():
        assert one.verdict is Verdict.SAFE
        assert assessment.function.verdict(one.tag) is Verdict.SAFE
