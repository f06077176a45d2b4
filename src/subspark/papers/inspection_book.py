"""An inspection sheet as a workbook that is filled in on a screen.

What is expected is locked, what is found is open, and what is typed is checked: results and
classes come from a list, dates are dates, figures are not below zero. It decides nothing.
"""

from __future__ import annotations

import datetime as dt
import io
import math
from collections.abc import Iterable, Sequence
from typing import Any

__all__ = ["inspection_workbook"]

_INK, _GREY, _HAIR, _HEAD, _BLANK = "#1E2328", "#5C6166", "#C9C6BE", "#EFEDE7", "#FBFAF7"
_FONT = {"font_name": "Calibri", "font_size": 10, "font_color": _INK, "valign": "top"}
_CELL = {**_FONT, "bottom": 1, "bottom_color": _HAIR, "text_wrap": True, "num_format": "@"}
_OPEN = {**_CELL, "locked": False, "bg_color": _BLANK, "border": 1, "border_color": _HAIR}
_STYLES: dict[str, dict[str, Any]] = {
    "title": {**_FONT, "bold": True, "font_size": 15},
    "section": {**_FONT, "bold": True, "font_size": 11, "top": 2, "top_color": _INK},
    "words": {**_FONT, "font_color": _GREY, "text_wrap": True},
    "plain": {**_FONT, "text_wrap": True},
    "head": {**_FONT, "font_color": _GREY, "bg_color": _HEAD, "bottom": 1, "bottom_color": _INK,
             "text_wrap": True},
    "cell": _CELL,
    "mark": {**_CELL, "align": "center"},
    "open": _OPEN,
    "number": {**_OPEN, "num_format": "General", "align": "left"},
    "date": {**_OPEN, "num_format": "yyyy-mm-dd", "align": "left"},
}  # fmt: skip
_CREATED = dt.datetime(2000, 1, 1, tzinfo=dt.UTC).replace(tzinfo=None)
"""A fixed date, so that the same sheet gives the same bytes."""
_FIRST, _LAST = dt.date(2000, 1, 1), dt.date(2199, 12, 31)
_PAPER = {"a4": 9, "letter": 1}
_WIDE = (7.0, 16.0, 30.0, 27.0, 16.0, 16.0, 15.0)
_LINE = 13.5

Plain = dict[str, Any]


class _Sheet:
    """A sheet that is written from the top down."""

    def __init__(self, book: Any, styles: dict[str, Any], name: str, told: Plain) -> None:  # noqa: ANN401
        self.words: dict[str, Any] = told["words"]["text"]
        self.style = styles
        self.sheet = book.add_worksheet(name)
        self.row = 0
        self.sheet.hide_gridlines(2)
        self.sheet.set_paper(_PAPER[told["paper"]])
        self.sheet.set_portrait()
        self.sheet.set_margins(left=0.5, right=0.5, top=0.6, bottom=0.7)
        self.sheet.fit_to_pages(1, 0)
        self.sheet.protect()  # no password: it keeps from slips, not from people
        for column, wide in enumerate(_WIDE):
            self.sheet.set_column(column, column, wide)
        head = told["head"]
        of = told["words"]["sheet"]
        self.sheet.set_footer("&L&8&F&C&8&A&R&8&P / &N")
        self._line(f"{head['tag']}  {head['service']}".strip(), "title", 22.0)
        self._line(f"{self.words['title']}. {head['plant']}", "plain")
        number = f"{of['number']} {head['number']}, {of['revision']} {head['revision']}"
        self._line(f"{number}. {told['place']}. {told['by']}", "words")

    def _line(self, text: str, style: str, high: float | None = None) -> None:
        """Words over the whole width."""
        self.sheet.merge_range(self.row, 0, self.row, len(_WIDE) - 1, "", self.style[style])
        self.sheet.write_string(self.row, 0, text, self.style[style])
        lines = math.ceil(len(text) / (sum(_WIDE) * 1.05))
        self.sheet.set_row(self.row, high or _LINE * lines)
        self.row += 1

    def section(self, title: str, *notes: str) -> None:
        """A heading, with what is said under it."""
        self.row += 1
        self._line(title, "section", 17.0)
        for note in notes:
            self._line(note, "words")

    def heads(self, places: Sequence[tuple[int, int]], texts: Iterable[str]) -> None:
        """Headings of a table; ``places`` are first and last column of each."""
        for (first, last), text in zip(places, texts, strict=True):
            self._cell(first, last, text, "head")
        self.row += 1

    def cells(self, places: Sequence[tuple[int, int]], texts: Sequence[tuple[str, str]]) -> None:
        """A row: text and style of each cell."""
        lines = 1
        for (first, last), (text, style) in zip(places, texts, strict=True):
            self._cell(first, last, text, style)
            room = sum(_WIDE[first : last + 1])
            lines = max(lines, math.ceil(len(text) / room))
        self.sheet.set_row(self.row, _LINE * lines + 2.0)
        self.row += 1

    def _cell(self, first: int, last: int, text: str, style: str) -> None:
        if last > first:
            self.sheet.merge_range(self.row, first, self.row, last, "", self.style[style])
        if text:
            self.sheet.write_string(self.row, first, text, self.style[style])
        elif last == first:
            self.sheet.write_blank(self.row, first, None, self.style[style])

    def check(self, column: int, rows: tuple[int, int], **rule: object) -> None:
        """What may be typed into a column; ``rows`` are the first and the one past the last."""
        if rows[1] > rows[0]:
            self.sheet.data_validation(rows[0], column, rows[1] - 1, column, dict(rule))

    def choice(self, column: int, rows: tuple[int, int], choices: Sequence[str]) -> None:
        """One of a list, or another word after a warning."""
        self.check(
            column, rows, validate="list", source=list(choices), error_type="warning",
            error_title=self.words["not_listed_title"], error_message=self.words["not_listed"],
        )  # fmt: skip

    def dates(self, column: int, rows: tuple[int, int]) -> None:
        """Dates only."""
        self.check(
            column, rows, validate="date", criteria="between", minimum=_FIRST, maximum=_LAST,
            error_title=self.words["no_date_title"], error_message=self.words["no_date"],
        )  # fmt: skip

    def figures(self, column: int, rows: tuple[int, int]) -> None:
        """A figure that is not below zero, or words after a warning."""
        self.check(
            column, rows, validate="decimal", criteria=">=", value=0, error_type="warning",
            input_title=self.words["figure_title"], input_message=self.words["figure"],
            error_title=self.words["no_figure_title"], error_message=self.words["no_figure"],
        )  # fmt: skip


def _who(on: _Sheet) -> None:
    say = on.words
    on.section(say["who"])
    places = ((0, 1), (2, 2))
    start = on.row
    for box in say["boxes"]:
        on.cells(places, ((box, "cell"), ("", "open")))
    on.choice(2, (start, on.row), (say["yes"],))
    for number, row in enumerate(say["who_rows"]):
        on.cells(places, ((row, "cell"), ("", "date" if number == say["who_date"] else "open")))
        if number == say["who_date"]:
            on.dates(2, (on.row - 1, on.row))


def _identity(on: _Sheet, told: Plain) -> None:
    say = on.words
    on.section(say["identity"])
    places = ((0, 1), (2, 4), (5, 6))
    on.heads(places, ("", say["expected"], say["found"]))
    for part, said, _ in told["identity"]:
        on.cells(places, ((part, "cell"), (said, "cell"), ("", "open")))


def _measured(on: _Sheet, told: Plain) -> None:
    say = on.words
    on.section(say["measured"], say["measured_note"])
    places = ((0, 2), (3, 3), (4, 4), (5, 5), (6, 6))
    on.heads(
        places,
        (say["quantity"], say["expected"], say["found"], say["instrument"], say["calibrated"]),
    )
    start = on.row
    for what, said in told["measured"]:
        on.cells(
            places,
            ((what, "cell"), (said, "cell"), ("", "number"), ("", "open"), ("", "date")),
        )
    on.figures(4, (start, on.row))
    on.dates(6, (start, on.row))


def _subjects(on: _Sheet, told: Plain) -> None:
    say = on.words
    on.section(say["subjects"], say["subjects_note"])
    places = ((0, 0), (1, 1), (2, 4), (5, 5), (6, 6))
    on.heads(places, ("", say["subject"], say["item"], say["grade"], say["result"]))
    start = on.row
    for number, subject, item, grades in told["items"]:
        on.cells(
            places,
            ((number, "cell"), (subject, "cell"), (item, "cell"),
             (" ".join(grades), "mark"), ("", "open")),
        )  # fmt: skip
    of_finding = [f"{say['finding']} {one}" for one in range(1, told["findings"] + 1)]
    on.choice(6, (start, on.row), (say["good"], *of_finding, say["not_there"]))


def _findings(on: _Sheet, told: Plain) -> None:
    say = on.words
    on.section(say["findings"], say["findings_note"])
    places = ((0, 0), (1, 2), (3, 3), (4, 4), (5, 5), (6, 6))
    on.heads(
        places, ("", say["finding"], say["class"], say["action"], say["due"], say["done"])
    )  # fmt: skip
    start = on.row
    for number in range(1, told["findings"] + 1):
        on.cells(
            places,
            ((str(number), "cell"), ("", "open"), ("", "open"), ("", "open"), ("", "date"),
             ("", "open")),
        )  # fmt: skip
    on.choice(3, (start, on.row), ("1", "2", "3"))
    on.dates(5, (start, on.row))


def _loop(on: _Sheet, told: Plain) -> None:
    say = on.words
    on.section(say["loop"], say["loop_note"], told["works"]["sentence"])
    places = ((0, 1), (2, 2), (3, 3), (4, 4), (5, 6))
    on.heads(places, (say["percent"], say["current"], say["up"], say["down"], say["error"]))
    for share, current in told["signals"]:
        on.cells(
            places,
            ((share, "cell" if share else "open"), (current, "cell" if current else "open"),
             ("", "number"), ("", "number"), ("", "number")),
        )  # fmt: skip
    on.row += 1
    rows = (say["instrument"], say["calibrated"], say["who_rows"][0], say["who_rows"][3])
    for name, style in zip(rows, ("open", "date", "open", "date"), strict=True):
        on.cells(((0, 1), (2, 2)), ((name, "cell"), ("", style)))
        if style == "date":
            on.dates(2, (on.row - 1, on.row))


def inspection_workbook(told: Plain) -> bytes:
    """An inspection sheet as one .xlsx file, the loop check on a sheet of its own.

    Parameters
    ----------
    told : dict
        As :func:`subspark.papers.inspection.inspection_sheet` gives it.

    Returns
    -------
    bytes
        The file; the same for the same sheet.
    """
    import xlsxwriter

    file = io.BytesIO()
    book = xlsxwriter.Workbook(
        file,
        {
            "in_memory": True,
            "strings_to_formulas": False,
            "strings_to_urls": False,
            "strings_to_numbers": False,
        },
    )
    say = told["words"]["text"]
    head = told["head"]
    book.set_properties(
        {"title": f"{head['tag']} {head['kind']}", "author": "subspark", "created": _CREATED}
    )
    styles = {name: book.add_format(one) for name, one in _STYLES.items()}
    on = _Sheet(book, styles, say["who"], told)
    on.section(told["verdict"]["sentence"], say["note"])
    _who(on)
    _identity(on, told)
    _measured(on, told)
    _subjects(on, told)
    _findings(on, told)
    on.sheet.print_area(0, 0, on.row - 1, len(_WIDE) - 1)
    loop = _Sheet(book, styles, say["loop"], told)
    _loop(loop, told)
    loop.sheet.print_area(0, 0, loop.row - 1, len(_WIDE) - 1)
    book.close()
    return file.getvalue()
