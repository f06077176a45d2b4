"""The sheet: its size, frame, title block after ISO 7200 (from memory), verdict and notes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple, get_args

from subspark.errors import UsageError
from subspark.papers.drawings.blocks import Block, Phrase, Style, set_block
from subspark.papers.drawings.metrics import wrap
from subspark.papers.drawings.shapes import Box, Group, Line, Rect, Shape, Text
from subspark.papers.drawings.verdicts import KINDS, glyph
from subspark.papers.drawings.words import say
from subspark.rules import Verdict

__all__ = [
    "STRIP",
    "Size",
    "TitleFields",
    "Verdicts",
    "frame",
    "note_columns",
    "paper",
    "verdict_band",
]

Size = Literal["A3", "A4", "ANSI B", "ANSI A"]
_SIZES: dict[str, tuple[float, float]] = {
    "A3": (420.0, 297.0),
    "A4": (297.0, 210.0),
    "ANSI B": (431.8, 279.4),
    "ANSI A": (279.4, 215.9),
}
_LEFT, _OTHER = 20.0, 10.0
_BLOCK = 180.0
_ROW = 9.0
STRIP = 4 * _ROW
"""Height of the title block [mm]."""
_LABEL, _VALUE, _TITLE = 1.9, 2.73, 3.3


@dataclass(frozen=True, slots=True, kw_only=True)
class TitleFields:
    """What the title block says and the plant data do not hold; blank where not known.

    A drawing counts as signed where creator, approver and date are all stated. ``number`` and
    ``revision`` replace those of the circuit.
    """

    owner: str = ""
    department: str = ""
    reference: str = ""
    creator: str = ""
    approver: str = ""
    date: str = ""
    number: str = ""
    revision: str = ""
    language: str = "en"

    @property
    def signed(self) -> bool:
        """Whether it is signed."""
        return bool(self.creator and self.approver and self.date)


class Verdicts(NamedTuple):
    """Verdict that a sheet bears, and its sentence; None for sheets that prove nothing."""

    verdict: Verdict | None
    sentence: str


class Title(NamedTuple):
    """What is set in the title block of one sheet."""

    type: str
    title: str
    subtitle: str
    number: str
    revision: str
    status: str
    fields: TitleFields
    sheet: int
    sheets: int


def paper(size: str) -> tuple[float, float, Box]:
    """Width, height and frame of a sheet [mm].

    Raises
    ------
    UsageError
        A size that there is not.
    """
    if size not in _SIZES:
        raise UsageError(f"no sheet {size!r}; wanted one of {', '.join(get_args(Size))}")
    width, height = _SIZES[size]
    return width, height, Box(_LEFT, _OTHER, width - _OTHER, height - _OTHER)


def _fitted(text: str, room: float, size: float, lines: int) -> list[tuple[str, float]]:
    """A text in so many lines at the most: smaller where need be, cut short at the last."""
    for share in (1.0, 0.85, 0.7):
        found = wrap(text, room, size * share, bold=True)
        if len(found) <= lines:
            return [(one, size * share) for one in found]
    found = wrap(text, room - size, size * 0.7, bold=True)[:lines]
    return [(one, size * 0.7) for one in [*found[:-1], f"{found[-1]}…"]]


class _Cell(NamedTuple):
    column: float
    row: int
    width: float
    rows: int
    label: str
    value: str


def _cells(title: Title) -> Iterator[_Cell]:
    fields, blank = title.fields, say("not signed")
    yield _Cell(0, 0, 45, 1, say("department"), fields.department)
    yield _Cell(45, 0, 45, 1, say("reference"), fields.reference)
    yield _Cell(90, 0, 60, 1, say("type"), title.type)
    yield _Cell(150, 0, 30, 1, say("status"), title.status)
    yield _Cell(0, 1, 45, 1, say("owner"), fields.owner)
    yield _Cell(0, 2, 45, 1, say("creator"), fields.creator or blank)
    yield _Cell(0, 3, 45, 1, say("approver"), fields.approver or blank)
    yield _Cell(45, 1, 75, 3, say("title"), title.title)
    yield _Cell(120, 1, 60, 2, say("number"), title.number)
    yield _Cell(120, 3, 10, 1, say("revision"), title.revision)
    yield _Cell(130, 3, 24, 1, say("date"), fields.date or blank)
    yield _Cell(154, 3, 9, 1, say("language"), fields.language)
    yield _Cell(163, 3, 17, 1, say("sheet"), say("sheet of", n=title.sheet, m=title.sheets))


def _title_block(title: Title, right: float, bottom: float) -> Iterator[Shape]:
    left, top = right - _BLOCK, bottom - STRIP
    yield Rect(left, top, _BLOCK, STRIP, "frame")
    for cell in _cells(title):
        x, y = left + cell.column, top + cell.row * _ROW
        height = cell.rows * _ROW
        yield Rect(x, y, cell.width, height, "grid")
        yield Text(x + 1.2, y + 2.3, cell.label, _LABEL, "title label")
        tall = cell.label == say("title")
        size = _TITLE if tall or cell.label == say("number") else _VALUE
        lines = _fitted(cell.value, cell.width - 2.4, size, 3 if tall else cell.rows)
        down = y + 3.0
        for text, fitted in lines:
            down += 1.2 * fitted
            yield Text(
                x + 1.2, down + (0.4 if tall else 0.0), text, fitted, "title text", bold=True
            )
        if tall:
            for text, fitted in _fitted(title.subtitle, cell.width - 2.4, _VALUE, 2):
                down += 1.3 * fitted
                yield Text(x + 1.2, down + 0.8, text, fitted, "title text")


def frame(size: str, title: Title) -> tuple[Shape, ...]:
    """Frame, centring marks and title block of a sheet."""
    width, height, inside = paper(size)
    middle_x, middle_y = width / 2, height / 2
    shapes: list[Shape] = [
        Rect(inside.left, inside.top, inside.width, inside.height, "frame"),
        Line(middle_x, 3.0, middle_x, inside.top, "frame"),
        Line(middle_x, inside.bottom, middle_x, height - 3.0, "frame"),
        Line(3.0, middle_y, inside.left, middle_y, "frame"),
        Line(inside.right, middle_y, width - 3.0, middle_y, "frame"),
    ]
    block = tuple(_title_block(title, inside.right, inside.bottom))
    shapes.append(Group("title block", "title", block))
    return tuple(shapes)


def verdict_band(
    said: Verdicts, fields: TitleFields, left: float, right: float, style: Style
) -> tuple[float, tuple[Shape, ...]]:
    """Verdict and status in one band over the whole width.

    Parameters
    ----------
    said : Verdicts
        Verdict and sentence.
    fields : TitleFields
        Whether the sheet is signed.
    left, right : float
        Its ends [mm].
    style : Style
        Sizes of type.

    Returns
    -------
    float
        Its height [mm].
    tuple of Shape
        From 0 downward.
    """
    built = fields.signed and said.verdict in (Verdict.SAFE, None)
    status = "" if built else say("not for construction")
    stamp = Text(right - 2.0, 0.0, status, style.large, "break text", bold=True, anchor="end")
    room = right - left - 12.0 - stamp.width
    words = said.sentence
    kind = "text"
    if said.verdict is not None:
        kind = KINDS[said.verdict][0]
        if said.verdict is not Verdict.SAFE:
            words = say("not a proof", word=said.verdict.word.capitalize(), sentence=words)
    block = set_block([Phrase(words, kind, bold=True)], room, style)
    height = max(block.height, style.large * 1.3) + 3.0
    shapes: list[Shape] = [Rect(left, 0.0, right - left, height, "grid")]
    if said.verdict is not None:
        shapes += glyph(said.verdict, left + 4.0, height / 2)
    shapes += block.placed(left + 8.0, (height - block.height) / 2, style)
    if status:
        y = height / 2 + 0.33 * style.large
        shapes.append(Text(stamp.x, y, status, stamp.size, stamp.kind, bold=True, anchor="end"))
    return height, tuple(shapes)


def note_columns(
    notes: Sequence[Phrase], room: Box, style: Style, columns: int
) -> tuple[Shape, ...] | None:
    """Set numbered notes into columns; None where they do not fit.

    Parameters
    ----------
    notes : sequence of Phrase
        Without their numbers.
    room : Box
        Where they go [mm].
    style : Style
        Sizes of type.
    columns : int
        How many columns.

    Returns
    -------
    tuple of Shape or None
        Their texts.
    """
    indent, gutter = style.small * 1.9, 4.0
    width = (room.width - gutter * (columns - 1)) / columns
    shapes: list[Shape] = []
    head = set_block([Phrase(say("notes"), "quiet", bold=True)], width, style)
    shapes += head.placed(room.left, room.top, style)
    column, y = 0, room.top + head.height + 0.4
    for nth, note in enumerate(notes):
        block: Block = set_block([note], width - indent, style)
        if y + block.height > room.bottom:
            column, y = column + 1, room.top + head.height + 0.4
        if column >= columns or y + block.height > room.bottom:
            return None
        x = room.left + column * (width + gutter)
        first = block.lines[0]
        shapes.append(Text(x, y + first[2], f"{nth + 1}", style.small, "quiet"))
        shapes += block.placed(x + indent, y, style)
        y += block.height + 0.5
    return tuple(shapes)
