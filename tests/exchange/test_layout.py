"""The layout is complete against the model, and its examples are a plant."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest

from subspark.exchange import read_workbook, write_empty
from subspark.exchange.cells import CellReader
from subspark.exchange.fields import fields_of
from subspark.exchange.layout import CELL_EVIDENCE, COLUMNS, EXAMPLE, SHEETS, Sheet, record_at
from subspark.exchange.pages import workbook_page
from subspark.exchange.workbook_write import example_of
from subspark.model import Plant, Record
from subspark.quantity import read

ALL = (*SHEETS, CELL_EVIDENCE)
PAGE = Path(__file__).parents[2] / "docs" / "workbook.md"


def lists_of(record: type[Record], path: tuple[str, ...] = ()) -> list[tuple[str, ...]]:
    found = []
    for name, one in fields_of(record).items():
        if one.item is not None:
            found += [(*path, name), *lists_of(one.item, (*path, name))]
    return found


def test_every_list_of_the_model_has_its_sheet() -> None:
    assert sorted(path for sheet in SHEETS for path in sheet.variants.values()) == sorted(
        [(), *lists_of(Plant)]
    )


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: sheet.title)
def test_every_field_has_its_column_with_a_note(sheet: Sheet) -> None:
    columns = COLUMNS[sheet.record]
    held = {one.field for one in columns} | {one.evidence for one in columns}
    for name, one in fields_of(sheet.record).items():
        assert one.sort == "records" or name in held or name == "evidence"
    assert [one.heading for one in columns if not one.note] == []
    assert ("evidence" in fields_of(sheet.record)) == (sheet.evidence == "row")


@pytest.mark.parametrize("sheet", ALL, ids=lambda sheet: sheet.title)
def test_headings_are_told_from_one_another_and_fit(sheet: Sheet) -> None:
    titles = [slot.title for slot in sheet.slots]
    assert len({title.lower() for title in titles}) == len(titles)
    assert all(len(slot.note) < 400 for slot in sheet.slots)
    assert len(sheet.title) <= 31


def test_the_unit_of_a_heading_is_one_of_its_quantity() -> None:
    for sheet in SHEETS:
        for slot in sheet.slots:
            if slot.field is not None and slot.field.kind is not None:
                assert read(f"1 {slot.column.unit}", slot.field.kind)[1] == "number"


def test_what_a_column_refers_to_is_a_sheet() -> None:
    titles = {sheet.title for sheet in SHEETS}
    refers = {slot.column.refers for sheet in SHEETS for slot in sheet.slots}
    assert refers - {""} <= titles


def test_records_with_several_lists_below_have_keys() -> None:
    for sheet in SHEETS:
        for path in sheet.variants.values():
            for level in range(1, len(path)):
                assert any(one.key for one in COLUMNS[record_at(path[:level])])


def test_the_examples_of_the_everyday_sheets_are_a_plant(tmp_path: Path) -> None:
    path = tmp_path / "empty.xlsx"
    write_empty(path)
    assert read_workbook(path) == Plant()
    book = openpyxl.load_workbook(path)
    for sheet in (sheet for sheet in SHEETS if sheet.everyday):
        first = book[sheet.title]["A2"]
        assert first.value.startswith(EXAMPLE)
        first.value = first.value.removeprefix(EXAMPLE)
    book.save(path)
    plant = read_workbook(path)
    assert [circuit.tag for circuit in plant.circuits] == ["PT-101"]
    assert plant.name == "Biogas station"


@pytest.mark.parametrize("sheet", ALL, ids=lambda sheet: sheet.title)
def test_every_example_may_stand_in_its_column(sheet: Sheet) -> None:
    for title, cell in example_of(sheet).items():
        plain = cell.removeprefix(EXAMPLE) if isinstance(cell, str) else cell
        CellReader(sheet.by_title[title])(plain)


def test_the_written_workbook_helps_to_fill_it(tmp_path: Path) -> None:
    path = tmp_path / "empty.xlsx"
    write_empty(path)
    book = openpyxl.load_workbook(path)
    assert book.sheetnames == ["Read me", *(sheet.title for sheet in ALL), "(lists)"]
    assert book["(lists)"].sheet_state == "hidden"
    words = " ".join(str(cell.value) for row in book["Read me"].iter_rows() for cell in row)
    for caution in ("certificates", "standards in force", "local code", "competent person"):
        assert caution in words
    for sheet in ALL:
        page = book[sheet.title]
        assert [cell.value for cell in page[1]] == [slot.title for slot in sheet.slots]
        assert all(cell.comment is not None for cell in page[1])
        assert page.freeze_panes == "B2"
        assert page.auto_filter.ref.startswith("A1:")
        assert page.page_setup.orientation == "landscape"
        assert page.print_title_rows == "$1:$1"
        lists = [one for one in page.data_validations.dataValidation if one.type == "list"]
        offering = [slot for slot in sheet.slots if slot.choices or slot.column.refers]
        assert len(lists) == len(offering)


def test_the_page_of_the_documentation_is_fresh() -> None:
    assert PAGE.read_text(encoding="utf-8") == workbook_page()
