"""What every command prints on: lines, tables and wrapped text, plain or on a terminal.

The layout is the same in both. A terminal adds colour (unless ``NO_COLOR`` is set) and sets the
width; a pipe or file gets whole texts without colour. A verdict is always a glyph and a word.
"""

from __future__ import annotations

import os
import re
import shutil
import sys
import textwrap
import unicodedata
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, NamedTuple, TextIO

if TYPE_CHECKING:
    from rich.console import Console

__all__ = ["Cell", "Column", "Paper", "cut", "width_of"]

_STYLES = {
    "safe": "#1B7F6B",
    "unsafe": "#C8442B",
    "unproven": "#A8741A",
    "works": "#1B7F6B",
    "fails": "#C8442B",
    "title": "bold",
    "quiet": "dim",
    "": "",
}
_GLYPHS = {
    "safe": "●",
    "unsafe": "◆",
    "unproven": "○",
    "not asked": "·",
    "works": "▲",
    "fails": "▽",
}
_PLAIN_GLYPHS = {
    "safe": "+",
    "unsafe": "X",
    "unproven": "?",
    "not asked": ".",
    "works": "^",
    "fails": "v",
}
_NARROWEST = 40
_PROSE = 100
_GAP = "  "
_QUANTITY = re.compile(
    r"(?<=\d) (?=(?:°C|%|[pnµmk]?[FHVAW]|µH/ohm|[mk]?m2?|ohm)\b|°C|%)|(?<=IEC) (?=\d)"
)
"""Blanks at which a line is not broken: between a number and its unit, before a clause."""


class Cell(NamedTuple):
    """A text and its style: the word of a verdict, "title", "quiet" or blank."""

    text: str
    style: str = ""


class Column(NamedTuple):
    """A column of a table. A ``flexible`` one gives way where the table is too wide."""

    title: str
    right: bool = False
    flexible: bool = False


def width_of(text: str) -> int:
    """Cells that a text takes on a terminal: two for wide letters, none for combining ones."""
    if text.isascii():
        return len(text)
    return sum(
        0 if unicodedata.combining(letter) else 2 if unicodedata.east_asian_width(letter) in "WF"
        else 1
        for letter in text
    )  # fmt: skip


def cut(text: str, width: int, mark: str = "…") -> str:
    """A text that takes at most ``width`` cells, its end marked where it was cut."""
    if width_of(text) <= width:
        return text
    kept = ""
    for letter in text:
        if width_of(kept + letter) > width - len(mark):
            break
        kept += letter
    return kept.rstrip() + mark


class Paper:
    """A stream to print on.

    Parameters
    ----------
    stream : TextIO, optional
        Standard output by default.
    """

    def __init__(self, stream: TextIO | None = None) -> None:
        self.stream = sys.stdout if stream is None else stream
        self.terminal = bool(self.stream.isatty())
        self.unicode = self._can("●◆○█·…")
        self._console: Console | None = None

    def _can(self, text: str) -> bool:
        try:
            text.encode(self.stream.encoding or "ascii")
        except (UnicodeEncodeError, LookupError):
            return False
        return True

    @property
    def width(self) -> int | None:
        """Columns to fill: ``COLUMNS``, else the terminal's; None for a pipe, which has no end."""
        if self.terminal or os.environ.get("COLUMNS"):
            return max(_NARROWEST, shutil.get_terminal_size().columns)
        return None

    @property
    def prose(self) -> int:
        """Columns for running text: never so wide that lines are hard to follow."""
        return min(self.width or _PROSE, _PROSE)

    def verdict(self, word: str) -> Cell:
        """Glyph and word of a verdict."""
        glyphs = _GLYPHS if self.unicode else _PLAIN_GLYPHS
        return Cell(f"{glyphs[word]} {word}", word)

    def bar(self, share: float | None, cells: int, style: str) -> Cell:
        """A bar that is full at 100 %; blank where there is no utilisation."""
        if share is None:
            return Cell("")
        full, rest = ("█", "·") if self.unicode else ("#", ".")
        filled = min(cells, max(round(share * cells), 1 if share > 0 else 0))
        return Cell(full * filled + rest * (cells - filled), style)

    def line(self, *cells: Cell | str) -> None:
        """One line as it is."""
        parts = [one if isinstance(one, Cell) else Cell(one) for one in cells]
        if not self.terminal:
            self.stream.write("".join(one.text for one in parts).rstrip() + "\n")
            return
        from rich.console import Console
        from rich.text import Text

        if self._console is None:
            self._console = Console(file=self.stream, highlight=False, soft_wrap=True)
        made = Text.assemble(*((one.text, _STYLES[one.style]) for one in parts))
        made.rstrip()
        self._console.print(made)

    def prose_lines(self, text: str, width: int, first: int = 0, rest: int = 0) -> list[str]:
        """Text broken at blanks, with the indents of the first and the other lines."""
        kept = _QUANTITY.sub("\u00a0", text)
        wrapped = textwrap.wrap(
            kept,
            max(width, _NARROWEST // 2),
            initial_indent=" " * first,
            subsequent_indent=" " * rest,
            break_long_words=False,
            break_on_hyphens=False,
        )
        return [line.replace("\u00a0", " ") for line in wrapped] or [""]

    def text(self, text: str, indent: int = 0, hang: int | None = None, style: str = "") -> None:
        """Running text, broken to the width of prose."""
        rest = indent if hang is None else hang
        for line in self.prose_lines(text, self.prose, indent, rest):
            self.line(Cell(line, style))

    def labelled(self, label: str, text: str, wide: int, indent: int = 0, style: str = "") -> None:
        """A label and its text, the text in a column of its own."""
        start = indent + wide + 2
        if width_of(label) > wide:
            self.line(Cell(" " * indent + label, "quiet"))
            label = ""
        lines = self.prose_lines(text, self.prose - start)
        head = " " * indent + label + " " * (wide - width_of(label)) + "  "
        self.line(Cell(head, "quiet"), Cell(lines[0], style))
        for line in lines[1:]:
            self.line(Cell(" " * start + line, style))

    def table(
        self, columns: Sequence[Column], rows: Iterable[Sequence[Cell | str]], indent: int = 0
    ) -> None:
        """Rows under headings, within the width where there is one."""
        cells = [[one if isinstance(one, Cell) else Cell(one) for one in row] for row in rows]
        widths = [
            max((width_of(row[i].text) for row in cells), default=0) for i in range(len(columns))
        ]
        widths = [max(w, width_of(c.title)) for w, c in zip(widths, columns, strict=True)]
        widths = self._fitted(columns, widths, indent)
        self._row([Cell(one.title, "quiet") for one in columns], columns, widths, indent)
        for row in cells:
            self._row(row, columns, widths, indent)

    def _fitted(self, columns: Sequence[Column], widths: list[int], indent: int) -> list[int]:
        if self.width is None:
            return widths
        over = indent + sum(widths) + len(_GAP) * (len(widths) - 1) - self.width
        flexible = [i for i, one in enumerate(columns) if one.flexible]
        while over > 0 and flexible:
            widest = max(flexible, key=lambda i: widths[i])
            if widths[widest] <= len(columns[widest].title) + 1:
                break
            widths[widest] -= 1
            over -= 1
        return widths

    def _row(
        self, row: Sequence[Cell], columns: Sequence[Column], widths: list[int], indent: int
    ) -> None:
        out: list[Cell | str] = [" " * indent] if indent else []
        for index, (cell, column, width) in enumerate(zip(row, columns, widths, strict=True)):
            text = cut(cell.text, width, "…" if self.unicode else "..")
            room = " " * (width - width_of(text))
            out.append(Cell(room + text if column.right else text + room, cell.style))
            if index < len(row) - 1:
                out.append(_GAP)
        self.line(*out)
