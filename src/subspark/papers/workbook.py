"""The lists of a plant as one workbook: filters, frozen headings, pages that print well.

Every text is written as a text, so that none becomes a formula or a link, whatever it begins with.
"""

from __future__ import annotations

import datetime as dt
import io
import math
from collections.abc import Sequence
from typing import Any

from subspark.assess import Assessment
from subspark.papers.plant_papers import summary
from subspark.papers.schedules import Cell, Column, Schedule
from subspark.papers.texts import Words, words

__all__ = ["workbook"]

_INK, _GREY, _HAIR, _HEAD = "#1E2328", "#5C6166", "#C9C6BE", "#EFEDE7"
_SAFE, _UNSAFE, _UNPROVEN = "#1B7F6B", "#C8442B", "#A8741A"
_FONT = {"font_name": "Calibri", "font_size": 10, "font_color": _INK, "valign": "top"}
_CELL = {**_FONT, "bottom": 1, "bottom_color": _HAIR}
_STYLES: dict[str, dict[str, Any]] = {
    "title": {**_FONT, "bold": True, "font_size": 15},
    "words": {**_FONT, "font_color": _GREY},
    "plain": _FONT,
    "head": {**_FONT, "bold": True, "bg_color": _HEAD, "bottom": 1, "bottom_color": _INK,
             "text_wrap": True, "valign": "bottom"},
    "text": {**_CELL, "num_format": "@", "text_wrap": True, "indent": 1},
    "tag": {**_CELL, "num_format": "@", "bold": True},
    "verdict": {**_CELL, "num_format": "@", "indent": 1},
    "number": {**_CELL, "num_format": "0"},
    "share": {**_CELL, "num_format": "0.0 %"},
    "blank": {**_CELL, "bottom": 4},
    "safe": {"font_color": _SAFE, "bold": True},
    "unsafe": {"font_color": _UNSAFE, "bold": True},
    "unproven": {"font_color": _UNPROVEN, "bold": True},
}  # fmt: skip
_HEADING = 4
"""Row of the headings, counted from 0: title, summary, note and a gap stand above."""
_PER_MM = 0.58
_LINE, _TITLE = 13.5, 22.0
_LEAST, _MOST = 8.0, 70
_CREATED = dt.datetime(2000, 1, 1, tzinfo=dt.UTC).replace(tzinfo=None)
"""A fixed date, so that the same lists give the same bytes."""
_PAPER = {"a4": 9, "letter": 1}


class _Book:
    """A workbook being written, with its styles."""

    def __init__(self, file: io.BytesIO, say: Words, paper: str) -> None:
        import xlsxwriter

        self.say = say
        self.paper = _PAPER[paper]
        self.book = xlsxwriter.Workbook(
            file,
            {
                "in_memory": True,
                "strings_to_formulas": False,
                "strings_to_urls": False,
                "strings_to_numbers": False,
            },
        )
        self.style = {name: self.book.add_format(one) for name, one in _STYLES.items()}

    def sheet(self, name: str) -> Any:  # noqa: ANN401 - the library has no types
        made = self.book.add_worksheet(name)
        made.hide_gridlines(2)
        made.set_paper(self.paper)
        made.set_landscape()
        made.set_margins(left=0.5, right=0.5, top=0.6, bottom=0.6)
        made.set_footer("&L&8&F&C&8&A&R&8&P / &N")
        made.fit_to_pages(1, 0)
        return made


def _sheet_name(schedule: Schedule, say: Words) -> str:
    """A name that every spreadsheet takes."""
    return say(f"schedules.{schedule.key}").translate(str.maketrans("", "", "[]:*?/\\"))[:31]


def _put(sheet: Any, row: int, column: int, cell: Cell, style: object) -> None:  # noqa: ANN401
    if cell is None or cell == "":
        sheet.write_blank(row, column, None, style)
    elif isinstance(cell, str):
        sheet.write_string(row, column, cell, style)
    else:
        sheet.write_number(row, column, cell, style)


def _width(column: Column, head: str, schedule: Schedule, index: int) -> float:
    """Characters: as on paper, and for what takes the rest as much as its texts need."""
    texts = (row[index] for row in schedule.rows)
    longest = max((len(one) for one in texts if isinstance(one, str)), default=0)
    wanted = column.wide * _PER_MM if column.wide else float(min(longest, _MOST))
    return max(wanted, len(head) * 0.6 + 3.0, _LEAST)


def _rows(sheet: Any, number: int, row: Sequence[Cell], wide: Sequence[float]) -> None:  # noqa: ANN401
    """Room for texts that are broken: not every program finds the height by itself."""
    lines = max(
        (math.ceil(len(cell) / room) for cell, room in zip(row, wide, strict=True)
         if isinstance(cell, str)), default=1,
    )  # fmt: skip
    if lines > 1:
        sheet.set_row(number, _LINE * lines)


def _colours(book: _Book, sheet: Any, schedule: Schedule) -> None:  # noqa: ANN401
    """Verdicts by word and colour; utilisation by a bar that is full at 100 %."""
    last = _HEADING + max(len(schedule.rows), 1)
    for index, column in enumerate(schedule.columns):
        span = (_HEADING + 1, index, last, index)
        if column.sort == "share":
            sheet.conditional_format(*span, {
                "type": "data_bar", "bar_solid": True, "bar_color": "#B9C9C5",
                "min_type": "num", "min_value": 0, "max_type": "num", "max_value": 1,
            })  # fmt: skip
        if column.sort == "verdict":
            for word, style in (("safe", "safe"), ("works", "safe"), ("unsafe", "unsafe"),
                                ("fails", "unsafe"), ("unproven", "unproven")):  # fmt: skip
                sheet.conditional_format(*span, {
                    "type": "cell", "criteria": "==", "value": f'"{word}"',
                    "format": book.style[style],
                })  # fmt: skip


def _list(book: _Book, assessment: Assessment, schedule: Schedule) -> None:
    say = book.say
    sheet = book.sheet(_sheet_name(schedule, say))
    sheet.set_row(0, _TITLE)
    sheet.write_string(0, 0, say(f"schedules.{schedule.key}"), book.style["title"])
    sheet.write_string(1, 0, f"{assessment.plant.name}. {summary(assessment, say)}",
                       book.style["words"])  # fmt: skip
    sheet.write_string(2, 0, say(f"schedule_notes.{schedule.key}"), book.style["words"])
    heads = [say(f"columns.{one.key}") for one in schedule.columns]
    wide = [
        _width(one, head, schedule, index)
        for index, (one, head) in enumerate(zip(schedule.columns, heads, strict=True))
    ]
    for index, head in enumerate(heads):
        sheet.write_string(_HEADING, index, head, book.style["head"])
        sheet.set_column(index, index, wide[index])
    for number, row in enumerate(schedule.rows, _HEADING + 1):
        _rows(sheet, number, row, wide)
        for index, column in enumerate(schedule.columns):
            _put(sheet, number, index, row[index], book.style[column.sort])
    last, right = _HEADING + len(schedule.rows), len(schedule.columns) - 1
    sheet.autofilter(_HEADING, 0, last, right)
    sheet.freeze_panes(_HEADING + 1, 1)
    sheet.repeat_rows(_HEADING)
    sheet.print_area(0, 0, last, right)
    _colours(book, sheet, schedule)


def _contents(book: _Book, assessment: Assessment, schedules: Sequence[Schedule]) -> None:
    say, style = book.say, book.style
    sheet = book.sheet(say("book.contents"))
    sheet.set_row(0, _TITLE)
    sheet.write_string(0, 0, say("schedules.book", assessment.plant.name), style["title"])
    sheet.write_string(1, 0, summary(assessment, say), style["words"])
    sheet.write_string(2, 0, say("schedules.plant", assessment.plant.digest), style["words"])
    for column, key in enumerate(("sheet", "rows", "what")):
        sheet.write_string(_HEADING, column, say(f"book.{key}"), style["head"])
    wide = (30.0, 9.0, 130.0)
    for row, one in enumerate(schedules, _HEADING + 1):
        name = _sheet_name(one, say)
        _rows(sheet, row, ("", None, say(f"schedule_notes.{one.key}")), wide)
        sheet.write_url(row, 0, f"internal:'{name}'!A1", style["tag"], name)
        sheet.write_number(row, 1, len(one.rows), style["number"])
        sheet.write_string(row, 2, say(f"schedule_notes.{one.key}"), style["text"])
    sheet.write_string(_HEADING + len(schedules) + 2, 0, say("book.caution"), style["plain"])
    for column, room in enumerate(wide):
        sheet.set_column(column, column, room)
    sheet.freeze_panes(_HEADING + 1, 0)


def workbook(
    assessment: Assessment,
    schedules: Sequence[Schedule],
    *,
    paper: str = "a4",
    language: str = "en",
) -> bytes:
    """Every list of a plant as one .xlsx file.

    Parameters
    ----------
    assessment : Assessment
        Of the whole plant.
    schedules : sequence of Schedule
        Its lists.
    paper : str
        "a4" or "letter".
    language : str
        Of the fixed texts.

    Returns
    -------
    bytes
        The file; the same for the same lists.
    """
    file = io.BytesIO()
    book = _Book(file, words(language), paper)
    book.book.set_properties({"title": words(language)("schedules.book", assessment.plant.name),
                              "author": "subspark", "created": _CREATED})  # fmt: skip
    _contents(book, assessment, schedules)
    for one in schedules:
        _list(book, assessment, one)
    book.book.close()
    return file.getvalue()
