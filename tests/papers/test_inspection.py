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


def test_volts_at_22_mA_are_those_of_a_hand_calculation(barrier):
    """The demo's data sheets: 24 V less 1 %, load 101 ohm, barrier 340 ohm, 12.5 V needed.

    150 m of 2 x 24.5 ohm/km and 48 m of 2 x 26.0 ohm/km (IEC 60228, 0.75 mm2, class 2 and 5), at
    60 degC 1 + 0.00393 x 40 times as much: 8.505 and 2.888 ohm. 23.76 V - 22 mA x 452.39 ohm.
    """
    told = expected(barrier)["Volts to PT-1121, 22 mA"]
    assert told == "at least 13.81 V (worst corner); needs 12.5 V"
    assert expected(barrier)["loop resistance of all runs, device shorted"].startswith(
        "at most 11.39 ohm"
    )


def test_a_thermocouple_is_not_measured_against_copper(larkfen):
    """TE-1111 is of type K: its loop is not that of copper unless its cable says so."""
    circuit = larkfen.plant.circuit("TE-1111")
    kind = next(one for one in larkfen.plant.cables if one.name == circuit.runs[0].cable)
    alloys = dataclasses.replace(
        kind, R_loop_max=type(kind.R_loop_max)(), R_core_max=type(kind.R_core_max)(),
        section=type(kind.section)("1.5 mm2"),
    )  # fmt: skip
    cables = tuple(alloys if one is kind else one for one in larkfen.plant.cables)
    part = assess(dataclasses.replace(larkfen.plant, cables=cables), ("TE-1111",))
    (told,) = [
        said for what, said in expected(inspection_sheet(part, "TE-1111")).items()
        if what.startswith("loop resistance")
    ]  # fmt: skip
    ohms = float(told.removeprefix("at most ").removesuffix(" ohm"))
    copper = 2 * 12.1e-3 * circuit.runs[0].length.si  # IEC 60228: 12.1 ohm/km at the most
    # chromel 0.706 and alumel 0.294 uohm m at 20 degC (handbooks of alloys), 10 % allowed
    wanted = 1.1 * 1.0e-6 / 1.5e-6 * circuit.runs[0].length.si
    assert ohms == pytest.approx(wanted, rel=0.02)
    assert ohms > 20 * copper


@pytest.mark.parametrize(
    ("tag", "first"), [("PT-1121", ["0 %", "4 mA"]), ("ZS-2001", ["on", ""]), ("TE-1111", ["", ""])]
)
def test_the_loop_check_is_that_of_the_kind_of_circuit(larkfen, tag, first):
    assert inspection_sheet(larkfen, tag)["signals"][0] == first


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
