"""Inspection sheets: what is expected stands there, and what is found stays blank."""

import dataclasses

import pytest

from papers.reading import bare, pages_of
from subspark.assess import assess
from subspark.papers.inspection import _texts, inspection_sheet, print_inspection


@pytest.fixture(scope="module")
def barrier(larkfen):
    """PT-1121 stands behind a shunt-diode barrier with two runs of cable."""
    return inspection_sheet(larkfen, "PT-1121")


def expected(sheet):
    return dict(tuple(row) for row in sheet["measured"])


def test_lengths_are_those_by_which_the_circuit_was_judged(larkfen, barrier):
    for run in larkfen.plant.circuit("PT-1121").runs:
        assert expected(barrier)[f"length of {run.number}"] == f"at most {run.length}"


def test_a_barrier_asks_for_its_earth_and_an_isolator_does_not(larkfen, barrier):
    earth = "path of the barrier earth of MC-3/003"
    assert expected(barrier)[earth].startswith("at most 1 ohm")
    isolated = expected(inspection_sheet(larkfen, "PT-1101"))
    assert not any(what.startswith("path of the barrier earth") for what in isolated)
    assert "insulation of the circuit to earth, 500 V" in isolated


def test_loop_resistance_is_that_of_iec_60228(larkfen):
    """2 x 7.41 ohm/km is the highest of plain class 2 copper of 2.5 mm2 (IEC 60228, table 2)."""
    kind = next(one for one in larkfen.plant.cables if one.name == "FC 2x1.5")
    changed = dataclasses.replace(
        kind, section=type(kind.section)("2.5 mm2"), conductor="stranded", tinned="no"
    )
    cables = tuple(changed if one is kind else one for one in larkfen.plant.cables)
    assessment = assess(dataclasses.replace(larkfen.plant, cables=cables), ("AT-4091",))
    told = expected(inspection_sheet(assessment, "AT-4091"))
    # 180 m x 14.82 ohm/km = 2.6676 ohm
    assert told["loop resistance of C-AT-4091, ends shorted, at 20 °C"] == "at most 2.67 ohm"


def test_resistance_that_is_not_known_is_said_to_be_so(larkfen):
    kind = next(one for one in larkfen.plant.cables if one.name == "FC 2x1.5")
    bare_kind = type(kind)(name=kind.name)
    cables = tuple(bare_kind if one is kind else one for one in larkfen.plant.cables)
    assessment = assess(dataclasses.replace(larkfen.plant, cables=cables), ("AT-4091",))
    told = expected(inspection_sheet(assessment, "AT-4091"))
    assert told["loop resistance of C-AT-4091, ends shorted, at 20 °C"] == "not known"


def test_the_detailed_grade_asks_the_most_and_the_visual_the_least():
    """Grades of IEC 60079-17 add up (from memory): what is seen by eye is seen closely too."""
    items, _ = _texts("en")
    grades = {number: grades for number, _, _, grades in items}
    assert len(items) == len(grades) == 35
    by_eye = {number for number, given in grades.items() if "V" in given}
    close = {number for number, given in grades.items() if "C" in given}
    detailed = {number for number, given in grades.items() if "D" in given}
    assert by_eye <= close
    assert close - detailed == {"A12"}  # a sign seen outside; inside it is A11
    assert len(by_eye) < len(close) < len(detailed)


def test_the_loop_check_is_kept_apart_on_the_last_sheet(barrier):
    pages = pages_of(print_inspection(barrier))
    assert "Loop check" in pages[-1]
    assert not any("Loop check" in page for page in pages[:-1])
    assert "Subjects" not in pages[-1]
    for share, current in (("0 %", "4 mA"), ("50 %", "12 mA"), ("100 %", "20 mA")):
        assert bare(share + current) in bare(pages[-1])


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_everything_expected_is_printed(larkfen, paper):
    sheet = inspection_sheet(larkfen, "AT-2001", paper=paper)
    text = bare("".join(pages_of(print_inspection(sheet))))
    for what, said in sheet["measured"]:
        assert bare(what) in text
        assert bare(said) in text
    for _, _, item, _ in sheet["items"]:
        assert bare(item) in text
    assert bare(larkfen["AT-2001"].sentence) in text
