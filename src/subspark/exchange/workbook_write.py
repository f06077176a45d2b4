"""Writing a plant workbook: the same plant, the same bytes, in place all at once."""

from __future__ import annotations

import datetime as dt
import io
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

from subspark.errors import InputError
from subspark.exchange.building import collector_at_rest
from subspark.exchange.layout import CELL_EVIDENCE, EXAMPLE, LISTS, README, SHEETS, Sheet, Slot
from subspark.exchange.saving import save
from subspark.exchange.workbook_rows import Row, Table, tables_of
from subspark.exchange.workbook_style import STYLES, TABS, readme
from subspark.model import Plant

__all__ = ["example_of", "workbook_bytes", "write_empty", "write_workbook"]

_SPARE_ROWS = 500  # rows below the last for which lists drop down and columns are checked
_PAGE = 150  # characters that fit a landscape page at a readable size
_WIDE = 34  # characters in a line of a note
_WIDEST = 40  # characters of a column, unless the layout gives it more
_README_LINE = 112
_CREATED = dt.datetime(2020, 1, 1, tzinfo=dt.UTC).replace(tzinfo=None)
_A4 = 9
_LAST_ROW = 1048576


def write_workbook(plant: Plant, path: str | Path) -> None:
    """Write a plant as an .xlsx workbook.

    Equal plants give equal bytes. A file of that name is replaced at the very end, so that it
    is never half-written.

    Parameters
    ----------
    plant : Plant
        What to write.
    path : str or Path
        The file; its folder must exist.

    Raises
    ------
    InputError
        The file cannot be written, or the plant has a text that no workbook can hold (too long,
        or with the mark of an example).
    """
    with collector_at_rest():
        tables, faults = tables_of(plant)
        if faults:
            lines = "\n".join(f"  {fault}" for fault in faults)
            raise InputError(f"{path}: not written, for what no workbook can hold\n{lines}")
        data = workbook_bytes(tables, plant.name)
    save(data, Path(path))


def write_empty(path: str | Path) -> None:
    """Write a workbook without a plant: headings, notes, lists and an example in each sheet.

    Raises
    ------
    InputError
        The file cannot be written.
    """
    tables = [Table(sheet) for sheet in (*SHEETS, CELL_EVIDENCE)]
    save(workbook_bytes(tables, ""), Path(path))


def workbook_bytes(tables: list[Table], name: str) -> bytes:
    """The workbook with these rows."""
    import xlsxwriter

    data = io.BytesIO()
    options = {
        "in_memory": True,
        "strings_to_formulas": False,
        "strings_to_urls": False,
        "strings_to_numbers": False,
    }
    book = xlsxwriter.Workbook(data, options)
    book.set_properties(
        {"title": f"Plant workbook {name}".strip(), "created": _CREATED, "comments": "Subspark"}
    )
    styles = {style: book.add_format(given) for style, given in STYLES.items()}
    _write_readme(book.add_worksheet(README), styles)
    lists = _Lists()
    for table in tables:
        lists.rows[table.sheet.title] = len(table.rows)
    for table in tables:
        _write_table(book.add_worksheet(table.sheet.title), table, styles, lists, name)
    _write_lists(book.add_worksheet(LISTS), lists)
    if name:
        book.get_worksheet_by_name("Plant").activate()
    book.close()
    return data.getvalue()


class _Lists:
    """The words of drop-down lists, each kept once in a column of the hidden sheet."""

    def __init__(self) -> None:
        self.columns: dict[tuple[str, ...], int] = {}
        self.rows: dict[str, int] = {}

    def source(self, slot: Slot) -> str:
        """Where the list of a column stands; blank if it has none."""
        if slot.choices:
            words = tuple(one for one in slot.choices if one)
            column = _letter(self.columns.setdefault(words, len(self.columns)))
            return f"='{LISTS}'!${column}$1:${column}${len(words)}"
        if slot.column.refers:
            last = self.rows[slot.column.refers] + _SPARE_ROWS
            return f"='{slot.column.refers}'!$A$2:$A${min(last, _LAST_ROW)}"
        return ""


def _letter(column: int) -> str:
    from xlsxwriter.utility import xl_col_to_name

    return str(xl_col_to_name(column))


def _write_readme(sheet: Any, styles: dict[str, Any]) -> None:  # noqa: ANN401 - XlsxWriter has no types
    sheet.hide_gridlines(2)
    sheet.set_column(0, 0, 22, styles["paper"])
    sheet.set_column(1, 1, 96, styles["paper"])
    sheet.set_column(2, 25, 9, styles["paper"])
    for number, (style, name, words) in enumerate(readme()):
        heights = {"section": 26, "title": 30}
        lines = max(1, math.ceil(len(words) / _README_LINE))
        sheet.set_row(number, heights.get(style, 2 + 14 * lines))
        if style == "sheet":
            sheet.write_url(number, 0, f"internal:'{name}'!A1", styles["name"], name)
            sheet.write_string(number, 1, words, styles["words"])
            continue
        sheet.write_string(number, 0, name, styles["name" if style == "words" else style])
        sheet.write_string(number, 1, words, styles["words" if style == "title" else style])
    _print_setup(sheet, 118, "", 0)


def _write_lists(sheet: Any, lists: _Lists) -> None:  # noqa: ANN401 - XlsxWriter has no types
    for words, column in lists.columns.items():
        for row, word in enumerate(words):
            sheet.write_string(row, column, word)
    sheet.hide()


def _write_table(
    sheet: Any,  # noqa: ANN401 - XlsxWriter has no types
    table: Table,
    styles: dict[str, Any],
    lists: _Lists,
    name: str,
) -> None:
    layout = table.sheet
    kinds = [_style(slot) for slot in layout.slots]
    widths = _widths(table)
    groups = [""] + [
        " group" if _group(one) != _group(other) else ""
        for one, other in zip(layout.slots, layout.slots[1:], strict=False)
    ]
    for column, (slot, kind, group) in enumerate(zip(layout.slots, kinds, groups, strict=True)):
        sheet.set_column(column, column, widths[slot.title], styles[kind + group])
        sheet.write_string(0, column, slot.title, styles[_heading(slot, kind) + group])
        sheet.write_comment(0, column, slot.note, _note_size(slot.note))
        _validate(sheet, column, slot, lists.source(slot), len(table.rows))
    sheet.set_row(0, 32)
    _write_rows(sheet, table, [styles[k + g] for k, g in zip(kinds, groups, strict=True)])
    if not table.rows:
        _write_example(sheet, layout, styles)
    sheet.freeze_panes(1, 1)
    sheet.autofilter(0, 0, max(1, len(table.rows)), len(layout.slots) - 1)
    sheet.set_tab_color(TABS["everyday" if layout.everyday else "further"])
    sheet.ignore_errors({"number_stored_as_text": f"A2:{_letter(len(kinds) - 1)}{_LAST_ROW}"})
    _print_setup(sheet, sum(widths.values()), name, 1)


def _widths(table: Table) -> dict[str, int]:
    """The width of each column: as its texts ask, within reason."""
    widths = {slot.title: slot.column.width for slot in table.sheet.slots}
    longest = dict.fromkeys(widths, 0)
    for row in table.rows:
        for title, cell in row.items():
            if isinstance(cell, str) and len(cell) > longest[title]:
                longest[title] = len(cell)
    return {title: max(width, min(longest[title] + 2, _WIDEST)) for title, width in widths.items()}


def _write_rows(sheet: Any, table: Table, formats: list[Any]) -> None:  # noqa: ANN401 - XlsxWriter has no types
    writers: dict[type, Callable[..., object]] = {
        str: sheet.write_string,
        int: sheet.write_number,
        float: sheet.write_number,
    }
    where = {
        slot.title: (column, form)
        for column, (slot, form) in enumerate(zip(table.sheet.slots, formats, strict=True))
    }
    for number, row in enumerate(table.rows, start=1):
        for title, cell in row.items():
            column, form = where[title]
            writers[type(cell)](number, column, cell, form)


def _write_example(sheet: Any, layout: Sheet, styles: dict[str, Any]) -> None:  # noqa: ANN401 - XlsxWriter has no types
    for title, cell in example_of(layout).items():
        column = [slot.title for slot in layout.slots].index(title)
        if isinstance(cell, str):
            sheet.write_string(1, column, cell, styles["example text"])
        else:
            sheet.write_number(1, column, cell, styles["example number"])


def example_of(layout: Sheet) -> Row:
    """The example row of a sheet, marked so that it is not read."""
    row: Row = {}
    for slot in layout.slots:
        example = slot.choices[-1] if slot.role == "variant" else slot.column.example
        optional = slot.role == "key" and slot.level > 0
        if example != "" and not optional:
            row[slot.title] = example
    first = layout.slots[0].title
    row[first] = f"{EXAMPLE}{row.get(first, '')}"
    return row


def _style(slot: Slot) -> str:
    if slot.role == "evidence":
        return "evidence"
    sort = slot.field.sort if slot.field else "text"
    return "number" if sort in ("quantity", "integer", "number") else "text"


def _heading(slot: Slot, kind: str) -> str:
    if slot.required:
        return "heading required"
    return {"evidence": "heading evidence", "number": "heading number"}.get(kind, "heading")


def _group(slot: Slot) -> str:
    return "evidence" if slot.role == "evidence" else slot.inline


def _note_size(note: str) -> dict[str, Any]:
    lines = 2 + len(note) // _WIDE
    return {"width": 230, "height": 17 * lines, "author": "Subspark", "font_size": 9}


def _validate(sheet: Any, column: int, slot: Slot, source: str, rows: int) -> None:  # noqa: ANN401 - XlsxWriter has no types
    if not source:
        return
    last = min(max(rows, 1) + _SPARE_ROWS, _LAST_ROW - 1)
    rule = {
        "validate": "list",
        "source": source,
        "ignore_blank": True,
        "show_error": bool(slot.choices),
        "error_title": slot.column.heading[:32],
        "error_message": f"Wanted {', '.join(one for one in slot.choices if one)}."[:255],
    }
    sheet.data_validation(1, column, last, column, rule)


def _print_setup(sheet: Any, width: int, name: str, headings: int) -> None:  # noqa: ANN401 - XlsxWriter has no types
    sheet.set_landscape()
    sheet.set_paper(_A4)
    sheet.print_across()
    sheet.set_margins(left=0.5, right=0.5, top=0.7, bottom=0.6)
    plain = name.replace("&", "&&")[:120]
    sheet.set_header(f"&L&9{plain}&R&9&A")
    sheet.set_footer("&L&9Subspark&R&9Page &P of &N")
    if headings:
        sheet.repeat_rows(0)
        sheet.repeat_columns(0)
    if width <= _PAGE + 30:
        sheet.fit_to_pages(1, 0)
    else:
        sheet.set_print_scale(75)
