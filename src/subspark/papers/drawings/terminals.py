"""The terminal plan of a junction box: which core comes in, and which goes on, at each terminal."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from subspark.assess import Assessment
from subspark.assess.context import Context
from subspark.errors import UsageError
from subspark.model import Circuit, Run
from subspark.papers.drawings.allotment import Index, cores_of, index_of
from subspark.papers.drawings.blocks import Block, Phrase, Style, set_block
from subspark.papers.drawings.facts import place_words
from subspark.papers.drawings.frame import TitleFields, Verdicts
from subspark.papers.drawings.installation import Body, Heading, body_room, style_for, to_sheets
from subspark.papers.drawings.leads import core_colours
from subspark.papers.drawings.notes import cautions
from subspark.papers.drawings.shapes import Group, Line, Rect, Shape, Sheet, Text
from subspark.papers.drawings.verdicts import counted
from subspark.papers.drawings.words import say

__all__ = ["terminal_sheets"]

_ROW = 4.6
_STRIP = 10.0
_WIRE = 4.0
_GUTTER = 6.0


class _Terminal(NamedTuple):
    """One terminal: its number, the cores on both sides, and what they serve."""

    number: str
    coming: str
    going: str
    serves: str


def _core_name(run: Run, nth: int, circuit: Circuit, index: Index, context: Context) -> str:
    """A core as its cable marks it: by pair and letter in a multicore, else by number; colour."""
    cable = context.cables.get(run.cable)
    pairs = cable.pairs if cable is not None and cable.pairs else 0
    pair = index.pair(run.number, circuit.tag)
    core = f"{pair}{'abcd'[nth]}" if pairs > 1 and 0 < pair <= pairs else str(nth + 1)
    core = " ".join((core, *core_colours(run, pair, context)[nth : nth + 1]))
    return f"{run.number or run.cable or say('cable unknown')}: {core}"


def _cores(
    runs: list[Run], nth: int, circuit: Circuit, assessment: Assessment, index: Index
) -> str:
    """The cores of several runs on one terminal."""
    context = assessment.context
    return ", ".join(
        _core_name(run, nth, circuit, index, context)
        for run in runs
        if nth < cores_of(run, context)
    )


def _terminals(assessment: Assessment, box: str) -> tuple[list[_Terminal], list[str]]:
    """Terminals in order, and the circuits that they serve."""
    index, out, tags = index_of(assessment), [], []
    for circuit in assessment.plant.circuits:
        numbers = index.terminals(box, circuit.tag)
        if not numbers:
            continue
        tags.append(circuit.tag)
        coming = [run for run in circuit.runs if run.end == box]
        going = [run for run in circuit.runs if run.start == box]
        ends = [run.end for run in going if run.end]
        serves = ", ".join([circuit.tag, *(one for one in ends if one != circuit.tag)])
        for nth, number in enumerate(numbers):
            out.append(
                _Terminal(
                    number,
                    _cores(coming, nth, circuit, assessment, index),
                    _cores(going, nth, circuit, assessment, index),
                    serves if nth == 0 else "",
                )
            )
    return out, tags


class _Strip:
    """One strip of terminals, from top to bottom."""

    def __init__(self, width: float, style: Style) -> None:
        self.width, self.style = width, style
        self.left = 0.28 * width
        self.right = self.left + 2 * _WIRE + _STRIP
        self.serves = self.right + 0.36 * (width - self.right)

    def blocks(self, one: _Terminal) -> tuple[Block, Block, Block]:
        """Texts of a row, wrapped."""
        style = self.style
        return (
            set_block([Phrase(one.coming)], self.left - 1.0, style),
            set_block([Phrase(one.going)], self.serves - self.right - 2.0, style),
            set_block([Phrase(one.serves, bold=True)], self.width - self.serves, style),
        )

    def height(self, one: _Terminal) -> float:
        """Height of a row."""
        return max(_ROW, *(block.height + 1.0 for block in self.blocks(one)))

    def row(self, one: _Terminal, x: float, top: float) -> Iterator[Shape]:
        """One terminal with its cores."""
        style, height = self.style, self.height(one)
        coming, going, serves = self.blocks(one)
        middle, edge = top + height / 2, x + self.left + _WIRE
        yield Rect(edge, top, _STRIP, height, "box")
        size = style.small
        yield Text(
            edge + _STRIP / 2, middle + 0.33 * size, one.number, size, bold=True, anchor="middle"
        )
        if one.coming:
            yield Line(edge - _WIRE + 0.5, middle, edge, middle, "wire")
            down = middle - coming.height / 2
            yield from coming.placed(x + self.left - 1.0, down, style, "end")
        if one.going:
            yield Line(edge + _STRIP, middle, edge + _STRIP + _WIRE - 0.5, middle, "wire")
            yield from going.placed(x + self.right + 0.5, middle - going.height / 2, style)
        yield from serves.placed(x + self.serves, middle - serves.height / 2, style)


def _bodies(
    terminals: list[_Terminal], head: Block, width: float, height: float, style: Style
) -> Iterator[Body]:
    """Strips side by side, sheet by sheet."""
    columns = 2
    strip = _Strip((width - (columns - 1) * _GUTTER) / columns, style)
    top, left = head.height + 3.0, list(terminals)
    while left:
        shapes: list[Shape] = list(head.placed(0.0, 0.0, style))
        bottom = top
        half = sum(strip.height(one) for one in left) / columns + _ROW
        end = min(height, top + half)  # the last sheet has columns of one height
        for column in range(columns):
            x, y = column * (strip.width + _GUTTER), top
            while left and (y == top or y + strip.height(left[0]) <= end):
                one = left.pop(0)
                made = tuple(strip.row(one, x, y))
                shapes.append(Group(f"terminal {one.number}", "terminal", made))
                y += strip.height(one)
            bottom = max(bottom, y)
        yield Body(tuple(shapes), bottom)


def terminal_sheets(
    assessment: Assessment, box: str, size: str, fields: TitleFields
) -> tuple[Sheet, ...]:
    """The terminal plan of a junction box."""
    context = assessment.context
    terminals, tags = _terminals(assessment, box)
    cabinets = {use.cabinet for one in assessment.plant.circuits for use in one.sources}
    if not terminals or (box not in context.junctions and box in cabinets):
        raise UsageError(f"no junction box {box!r} in plant {assessment.plant.name!r}")
    found, verdicts = context.junctions.get(box), index_of(assessment).verdicts
    heading = Heading(
        type=say("terminal type"),
        title=say("box title", name=box),
        subtitle=assessment.plant.name,
        number=fields.number or say("terminal number", name=box),
        revision=fields.revision,
        said=Verdicts(*counted([verdicts.get(tag) for tag in tags])),
        fields=fields,
    )
    room, style = body_room(size, heading), style_for(size)
    words = [Phrase(box, bold=True, large=True)]
    if found is not None:
        words += [Phrase(found.title), Phrase(place_words(found.area, context), "quiet")]
    head = set_block(words, room.width, style)
    bodies = list(_bodies(terminals, head, room.width, room.height, style))
    notes = [say("note pairs"), say("note change all"), *cautions(context.code)]
    notes += [say("note standard", code=context.code.title), say("note decide")]
    return to_sheets(bodies, [Phrase(one) for one in notes], size, heading)
