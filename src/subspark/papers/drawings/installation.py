"""Installation drawings: circuits on framed sheets, as many as they need."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from subspark.assess import Assessment
from subspark.papers.drawings.blocks import Phrase, Style
from subspark.papers.drawings.diagram import Diagram, draw
from subspark.papers.drawings.facts import CircuitFacts, facts_of
from subspark.papers.drawings.frame import (
    STRIP,
    Title,
    TitleFields,
    Verdicts,
    frame,
    note_columns,
    paper,
    verdict_band,
)
from subspark.papers.drawings.marks import Mark, Part, marks_of
from subspark.papers.drawings.notes import notes_of
from subspark.papers.drawings.shapes import (
    Box,
    Circle,
    Group,
    Line,
    Path,
    Rect,
    Shape,
    Sheet,
    Text,
    moved,
)
from subspark.papers.drawings.tree import Node, leaves, pruned, tree_of
from subspark.papers.drawings.words import say
from subspark.rules import Verdict

__all__ = ["Body", "circuit_sheet", "installation_sheets", "style_for", "to_sheets"]

_PAD = 4.0
_BLOCK = Style(
    width=180.0, safe=0.0, source=43.0, box=26.0, member=47.0,
    small=2.85, large=3.6, full=False, cores=False,
)  # fmt: skip
_SHARES = {"large": (46.0, 62.0, 44.0, 84.0), "small": (31.0, 48.0, 32.0, 54.0)}


def style_for(size: str) -> Style:
    """Columns and type for a sheet."""
    width, _, inside = paper(size)
    safe, source, box, member = _SHARES["large" if width > 400 else "small"]
    return Style(
        width=inside.width - 2 * _PAD, safe=safe, source=source, box=box, member=member,
        small=2.73, large=3.79, full=True, cores=True,
    )  # fmt: skip


class Body(NamedTuple):
    """What a sheet shows above its band, with its height [mm]."""

    shapes: tuple[Shape, ...]
    height: float


@dataclass(frozen=True, slots=True)
class Heading:
    """What the title blocks of all sheets of a drawing say."""

    type: str
    title: str
    subtitle: str
    number: str
    revision: str
    said: Verdicts
    fields: TitleFields


def circuit_sheet(assessment: Assessment, tag: str) -> Sheet:
    """The compact drawing of a circuit, without frame, 180 mm wide."""
    facts = facts_of(assessment, tag)
    drawn = draw(facts, tree_of(facts), marks_of(facts), _BLOCK)
    margin = 1.0
    inside = Box(0.0, 0.0, drawn.width + 2 * margin, drawn.height + 2 * margin)
    title = f"{tag} {facts.finding.service}".strip()
    shapes = moved(drawn.shapes, margin, margin)
    return Sheet(inside.width, inside.height, inside, title, facts.finding.sentence, shapes)


# --- splitting a circuit over sheets ----------------------------------------------------------


def _scaled(one: Shape, by: float) -> Shape:
    if isinstance(one, Group):
        return Group(one.title, one.name, tuple(_scaled(inner, by) for inner in one.shapes))
    if isinstance(one, Line):
        return Line(one.x1 * by, one.y1 * by, one.x2 * by, one.y2 * by, one.kind)
    if isinstance(one, Path):
        return Path(tuple((x * by, y * by) for x, y in one.points), one.kind, one.closed)
    if isinstance(one, Rect):
        return Rect(one.x * by, one.y * by, one.width * by, one.height * by, one.kind)
    if isinstance(one, Circle):
        return Circle(one.x * by, one.y * by, one.r * by, one.kind)
    return Text(one.x * by, one.y * by, one.text, one.size * by, one.kind, one.bold, one.anchor)


def _fitted(drawn: Diagram, room: float) -> Body:
    """A diagram, made smaller where it is taller than a sheet."""
    if drawn.height <= room:
        return Body(drawn.shapes, drawn.height)
    by = room / drawn.height
    return Body(tuple(_scaled(one, by) for one in drawn.shapes), room)


def _bodies(
    facts: CircuitFacts, marks: dict[Part, list[Mark]], style: Style, room: float
) -> Iterator[Body]:
    """Diagrams that fit a height, each with as many rows as it takes."""
    root = tree_of(facts)
    left = list(leaves(root))
    first = True
    while left or first:
        whole = draw(facts, _part(root, left), marks, style, first=first)
        count = len(left)
        drawn = whole
        while drawn.height > room and count > 1:
            count -= 1
            drawn = draw(facts, _part(root, left[:count]), marks, style, first=first)
        yield _fitted(drawn, room)
        left = left[count:]
        first = False


def _part(root: Node, rows: Sequence[Node]) -> Node:
    part = pruned(root, {id(one) for one in rows})
    return root if part is None else part


# --- sheets -----------------------------------------------------------------------------------


def _notes_on(
    bodies: list[Body], notes: Sequence[Phrase], room: Box, strip: Box, style: Style
) -> tuple[tuple[Shape, ...], int] | None:
    """Notes beside the title block of the first sheet, or under the diagram of one."""
    columns = 2 if strip.width > 150 else 1
    if found := note_columns(notes, strip, style, columns):
        return found, 0
    for nth, body in enumerate(bodies):
        under = Box(room.left, room.top + body.height + 6.0, room.right, room.bottom)
        for columns in (2, 3) if room.width > 300 else (1, 2):
            if found := note_columns(notes, under, style, columns):
                return found, nth
    return None


def _note_sheets(notes: Sequence[Phrase], room: Box, style: Style) -> Iterator[tuple[Shape, ...]]:
    """Sheets of notes alone, as many as they take."""
    left = list(notes)
    while left:
        count = len(left)
        found = note_columns(left, room, style, 2)
        while found is None and count > 1:
            count -= 1
            found = note_columns(left[:count], room, style, 2)
        yield found or ()
        left = left[count:]


def to_sheets(
    bodies: Sequence[Body], notes: Sequence[Phrase], size: str, heading: Heading
) -> tuple[Sheet, ...]:
    """Set bodies and notes on framed sheets with title block and verdict.

    Parameters
    ----------
    bodies : sequence of Body
        One a sheet.
    notes : sequence of Phrase
        Numbered where they are set.
    size : str
        Size of sheet.
    heading : Heading
        What the title blocks say.

    Returns
    -------
    tuple of Sheet
        In order; notes that find no room beside a drawing stand on sheets of their own.
    """
    width, height, inside = paper(size)
    style, room = style_for(size), body_room(size, heading)
    strip = Box(
        inside.left + _PAD, inside.bottom - STRIP + 1.5, inside.right - 182.0, inside.bottom - 1.5
    )
    placed = _notes_on(list(bodies), notes, room, strip, style)
    contents: list[list[Shape]] = [list(moved(one.shapes, room.left, room.top)) for one in bodies]
    if placed is not None:
        contents[placed[1]] += placed[0]
    else:
        extra = [list(one) for one in _note_sheets(notes, room, style)]
        word = Phrase(say("notes on", n=len(contents) + 1))
        pointer = note_columns([word], strip, style, 1) or ()
        contents = [[*content, *pointer] for content in contents]
        contents += extra
    band_height, band = verdict_band(heading.said, heading.fields, inside.left, inside.right, style)
    top = inside.bottom - STRIP - band_height
    unsigned = not heading.fields.signed or heading.said.verdict not in (Verdict.SAFE, None)
    status = say("not for construction" if unsigned else "for construction")
    sheets = []
    for nth, content in enumerate(contents):
        title = Title(
            heading.type, heading.title, heading.subtitle, heading.number, heading.revision,
            status, heading.fields, nth + 1, len(contents),
        )  # fmt: skip
        shapes = (*frame(size, title), *moved(band, 0.0, top), *content)
        name = f"{heading.title}, {say('sheet').lower()} {nth + 1}"
        sheets.append(Sheet(width, height, inside, name, heading.said.sentence, shapes))
    return tuple(sheets)


def body_room(size: str, heading: Heading) -> Box:
    """Where a body may go: inside the frame, above band and title block."""
    _, _, inside = paper(size)
    band, _ = verdict_band(heading.said, heading.fields, inside.left, inside.right, style_for(size))
    return Box(
        inside.left + _PAD, inside.top + _PAD,
        inside.right - _PAD, inside.bottom - STRIP - band - 3.0,
    )  # fmt: skip


def installation_sheets(
    assessment: Assessment, tag: str, size: str, fields: TitleFields
) -> tuple[Sheet, ...]:
    """The installation drawing of one circuit."""
    facts = facts_of(assessment, tag)
    circuit, finding, marks = facts.circuit, facts.finding, marks_of(facts)
    heading = Heading(
        type=say("document type"),
        title=f"{tag} {finding.service}".strip(),
        subtitle=facts.plant,
        number=fields.number or circuit.document,
        revision=fields.revision or circuit.revision,
        said=Verdicts(finding.verdict, finding.sentence),
        fields=fields,
    )
    room = body_room(size, heading)
    bodies = list(_bodies(facts, marks, style_for(size), room.height))
    return to_sheets(bodies, notes_of(assessment, facts), size, heading)
