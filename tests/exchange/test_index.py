"""An index in a layout of its own, laid over a plant column by column."""

from __future__ import annotations

import pytest
import xlsxwriter

from subspark.demo import build_plant
from subspark.errors import UsageError
from subspark.exchange.index import Layout, guess, headings_of, read_index, sheets_of

HEADINGS = ["Tag No.", "Description", "Hazardous area", "Barrier type", "Instrument type"]
HEADINGS += ["Cable type", "Route length", "Priority"]
PLANT = build_plant()


@pytest.fixture
def index(tmp_path):
    def written(*rows):
        path = tmp_path / "index.xlsx"
        book = xlsxwriter.Workbook(path)
        sheet = book.add_worksheet("Instruments")
        for number, row in enumerate((["Index of instruments"], HEADINGS, *rows)):
            sheet.write_row(number, 0, row)
        book.close()
        return path

    return written


def _layout(**other):
    return Layout("Instruments", 2, {**guess(HEADINGS), **other})


def _new(tag="NEW-1", area="BLEND-1", length=55):
    return [tag, "a new one", area, "RW-1126", "TG-9", "FC 2x1.5", length, "high"]


def test_headings_are_recognised_by_their_words_and_others_left_out():
    assert guess(HEADINGS) == {
        "Circuit": "Tag No.",
        "Service": "Description",
        "Area": "Hazardous area",
        "Source": "Barrier type",
        "Apparatus": "Instrument type",
        "Cable": "Cable type",
        "Length [m]": "Route length",
    }


def test_new_circuits_are_entered_behind_those_that_are_there(index):
    plant, faults = read_index(index(_new()), _layout(), PLANT).read()
    assert faults == []
    assert plant.circuits[:-1] == PLANT.circuits
    made = plant.circuits[-1]
    assert (made.tag, made.area, made.runs[0].length.text) == ("NEW-1", "BLEND-1", "55 m")
    assert made.sources[0].source == "RW-1126"
    assert made.members[0].apparatus == "TG-9"


def test_a_circuit_that_is_there_takes_what_the_index_fills_and_keeps_the_rest(index):
    row = ["AT-4091", "another service", "", "", "", "", 40, ""]
    plant, faults = read_index(index(row), _layout(), PLANT).read()
    assert faults == []
    before, after = PLANT.circuit("AT-4091"), plant.circuit("AT-4091")
    assert after.service == "another service"
    assert after.sources == before.sources
    assert after.members == before.members
    (run,) = after.runs
    assert (run.cable, run.number) == (before.runs[0].cable, before.runs[0].number)
    assert run.length.text == "40 m"
    assert not run.length.evidence  # that of the old length does not stand for the new one
    assert plant.certificates == PLANT.certificates


def test_the_same_value_keeps_its_evidence(index):
    row = ["AT-4091", "", "", "", "", "", 180, ""]
    plant, _ = read_index(index(row), _layout(), PLANT).read()
    assert plant.digest == PLANT.digest


def test_every_fault_is_told_at_its_cell_of_the_index(index):
    rows = [_new(area="NOWHERE", length="5 nF"), _new("NEW-2"), _new("NEW-2")]
    plant, faults = read_index(index(*rows), _layout(), PLANT).read()
    assert plant is None
    assert [one.where for one in faults] == [
        "sheet Instruments, row 3, column Hazardous area",
        "sheet Instruments, row 3, column Route length",
        "sheet Instruments, row 5, column Tag No.",
    ]


def test_one_length_is_not_put_on_several_runs(index):
    several = next(one for one in PLANT.circuits if len(one.runs) > 1)
    row = [several.tag, "", "", "", "", "", 77, ""]
    plant, (fault,) = read_index(index(row), _layout(), PLANT).read()
    assert plant is None
    assert "has several runs" in fault.wanted
    assert fault.where == "sheet Instruments, row 3, column Route length"


@pytest.mark.parametrize(
    ("layout", "message"),
    [
        (Layout("Other", 2, {"Circuit": "Tag No."}), "there is none of that name"),
        (Layout("Instruments", 99, {"Circuit": "Tag No."}), "heading row 99"),
        (Layout("Instruments", 2, {"Circuit": "Nothing"}), "there is none in row 2"),
        (
            Layout("Instruments", 2, {"Service": "Description"}),
            "wanted the one that holds the tags",
        ),
        (
            Layout("Instruments", 2, {"Circuit": "Tag No.", "x": "Priority"}),
            "no column of a circuit",
        ),
    ],
)
def test_a_layout_that_is_not_that_of_the_file_is_refused(index, layout, message):
    with pytest.raises(UsageError, match=message):
        read_index(index(_new()), layout, PLANT)


def test_sheets_and_headings_are_shown_to_choose_from(index):
    ((name, rows),) = sheets_of(index(_new()))
    assert name == "Instruments"
    assert headings_of(rows, 2) == HEADINGS
