"""Several circuits in one cable: pair by pair, from the cabinet to the boxes and beyond."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from subspark.assess import Assessment
from subspark.assess.outputs import outputs_used
from subspark.errors import UsageError
from subspark.model import CableType, Circuit, Run
from subspark.papers.drawings.allotment import Index, cores_of, index_of
from subspark.papers.drawings.blocks import Block, Phrase, Style, set_block
from subspark.papers.drawings.facts import NBSP, place_words
from subspark.papers.drawings.frame import TitleFields, Verdicts
from subspark.papers.drawings.installation import Body, Heading, body_room, style_for, to_sheets
from subspark.papers.drawings.leads import core_colours
from subspark.papers.drawings.notes import cautions
from subspark.papers.drawings.rows import CORE
from subspark.papers.drawings.shapes import Circle, Group, Line, Rect, Shape, Sheet, Text
from subspark.papers.drawings.verdicts import counted, glyph
from subspark.papers.drawings.words import say
from subspark.rules import Code, Verdict

__all__ = ["multicore_sheets"]

_PAD = 1.2


class _Pair(NamedTuple):
    """One pair: the circuit that has it, and its texts by column; empty for a spare one."""

    number: int
    tag: str
    verdict: Verdict | None
    cores: int
    colours: tuple[str, ...]
    circuit: list[Phrase]
    source: list[Phrase]
    terminals: tuple[str, ...]
    beyond: list[Phrase]
    apparatus: list[Phrase]


@dataclass(frozen=True, slots=True)
class _Columns:
    """Left edges and widths [mm]."""

    circuit: tuple[float, float]
    source: tuple[float, float]
    pair: tuple[float, float]
    box: tuple[float, float]
    beyond: tuple[float, float]
    apparatus: tuple[float, float]


def _columns(width: float) -> _Columns:
    shares = (0.115, 0.21, 0.16, 0.095, 0.19, 0.23)
    lefts, x = [], 0.0
    for share in shares:
        lefts.append((x, share * width))
        x += share * width
    return _Columns(*lefts)


# --- facts ------------------------------------------------------------------------------------


def _own_run(circuit: Circuit, number: str) -> Run:
    return next(run for run in circuit.runs if run.number == number)


def _source_phrases(circuit: Circuit, assessment: Assessment) -> list[Phrase]:
    context, out = assessment.context, []
    for use in circuit.sources:
        kind = context.sources[use.source]
        out.append(Phrase(f"{use.tag or use.source}   {kind.name}", bold=True))
        values = [
            f"Uo {one.Uo}, Io {one.Io}".replace("Uo ", f"Uo{NBSP}").replace("Io ", f"Io{NBSP}")
            for one in outputs_used(use, kind, circuit.method)
        ]
        out.append(Phrase(context.code.say("; ".join(values))))
    return out


def _beyond(circuit: Circuit, run: Run) -> list[Phrase]:
    """The runs that go on from the far end."""
    return [
        Phrase(f"{one.number or one.cable}   {one.cable}, {one.length}".strip())
        for one in circuit.runs
        if one is not run
    ]


def _apparatus(circuit: Circuit, assessment: Assessment) -> list[Phrase]:
    out = []
    for member in circuit.members:
        place = place_words(member.place or circuit.area, assessment.context)
        out.append(Phrase(f"{member.tag or member.apparatus}   {member.apparatus}", bold=True))
        out.append(Phrase(place, "quiet"))
    return out


def _pairs(assessment: Assessment, number: str, cable: CableType | None) -> list[_Pair]:
    context, index = assessment.context, index_of(assessment)
    found: dict[int, _Pair] = {}
    for place in context.sharers[number]:
        circuit = assessment.plant.circuits[place]
        run = _own_run(circuit, number)
        nth = index.pair(number, circuit.tag)
        verdict = index.verdicts.get(circuit.tag)
        found[nth] = _Pair(
            nth,
            circuit.tag,
            verdict,
            cores_of(run, context),
            core_colours(run, nth, context),
            [
                Phrase(circuit.tag, bold=True),
                Phrase(verdict.word if verdict else say("not judged")),
            ],
            _source_phrases(circuit, assessment),
            index.terminals(run.end, circuit.tag),
            _beyond(circuit, run),
            _apparatus(circuit, assessment),
        )
    pairs = cable.pairs if cable is not None and cable.pairs else 0
    spare = [nth for nth in range(1, pairs + 1) if nth not in found]
    rows = [found[nth] for nth in sorted(found)]
    if spare:
        words = [Phrase(say("spare treat"), "quiet")]
        numbers = Phrase(_ranges(spare))
        rows.append(_Pair(0, "", None, 2, (), [], words, (), [numbers], []))
    return rows


def _ranges(numbers: list[int]) -> str:
    """Numbers in short: 3, 5 to 8."""
    parts: list[str] = []
    start = before = numbers[0]
    for one in [*numbers[1:], 0]:
        if one != before + 1:
            parts.append(str(start) if start == before else f"{start} to {before}")
            start = one
        before = one
    return ", ".join(parts)


def _head_phrases(assessment: Assessment, number: str, cable: CableType | None) -> list[Phrase]:
    context = assessment.context
    circuit = assessment.plant.circuits[context.sharers[number][0]]
    run = _own_run(circuit, number)
    words = [run.cable or say("cable unknown"), str(run.length) or say("length unknown")]
    ends = " - ".join(one for one in (run.start, run.end) if one)
    if cable is not None:
        kind = {"A": "type A", "B": "type B", "other": "type other"}.get(cable.multicore)
        words += [say(kind or "type blank"), f"{cable.screen} screen" if cable.screen else ""]
    place = place_words(run.area or circuit.area, context)
    told = ", ".join(one for one in words if one)
    return [
        Phrase(f"{say('multicore', number=number)}   {ends}", bold=True, large=True),
        Phrase(told),
        Phrase(place, "quiet"),
    ]


# --- drawing ----------------------------------------------------------------------------------


class _Table:
    def __init__(self, width: float, style: Style, code: Code, top: Block) -> None:
        self.at, self.style, self.code, self.top = _columns(width), style, code, top

    def blocks(self, pair: _Pair) -> list[Block]:
        """Texts of a row, wrapped."""
        at, cells = self.at, (pair.circuit, pair.source, pair.beyond, pair.apparatus)
        room = (at.circuit[1] - 6.0, at.source[1] - 8.0, at.beyond[1] - 5.0, at.apparatus[1] - 2.0)
        return [
            set_block(words, width, self.style) for words, width in zip(cells, room, strict=True)
        ]

    def height(self, pair: _Pair) -> float:
        """Height of a row."""
        least = pair.cores * CORE + 2.0
        return max(least, *(one.height for one in self.blocks(pair))) + 2 * _PAD

    def body(self, pairs: list[_Pair]) -> Body:
        """One sheet of rows."""
        shapes: list[Shape] = list(self.top.placed(0.0, 0.0, self.style))
        first = y = self.top.height + 7.0
        for pair in pairs:
            height = self.height(pair)
            made = tuple(self._row(pair, y, height))
            title = f"pair {pair.number}: {pair.tag or 'spare'}"
            shapes.append(Group(title, "pair", made))
            y += height
        shapes += self._around(first, y)
        return Body(tuple(shapes), y)

    def _around(self, top: float, bottom: float) -> Iterator[Shape]:
        """Box of the cabinet, sheath of the cable, box at its end, boundary."""
        at, right = self.at, self.at.apparatus[0] + self.at.apparatus[1]
        yield Line(0.0, top, right, top, "rule")
        pair, box = at.pair, at.box
        yield Rect(pair[0] + 13.0, top - 1.0, pair[1] - 26.0, bottom - top + 2.0, "screen")
        yield Rect(box[0], top - 1.0, box[1] - 2.0, bottom - top + 2.0, "box")
        x = pair[0] + 6.5
        yield Line(x, top - 6.0, x, bottom, "boundary")
        size = self.style.small
        yield Text(x - 2.0, top - 3.0, say("safe area"), size, "text", True, "end")
        yield Text(x + 2.0, top - 3.0, say("hazardous area"), size, "text", True)

    def _row(self, pair: _Pair, top: float, height: float) -> Iterator[Shape]:
        at, style = self.at, self.style
        circuit, source, beyond, apparatus = self.blocks(pair)
        middle = top + height / 2
        if pair.verdict is not None:
            yield from glyph(pair.verdict, 2.2, top + _PAD + 1.9, 1.5)
        yield from circuit.placed(5.0, top + _PAD, style)
        yield from source.placed(at.source[0] + 1.0, top + _PAD, style)
        right = at.apparatus[0] + at.apparatus[1]
        yield Line(0.0, top + height, right, top + height, "rule")
        if not pair.tag:
            yield Line(at.pair[0] + 9.0, middle, at.box[0], middle, "wire open")
            yield from beyond.placed(at.box[0] + 1.4, top + _PAD, style)
            return
        yield from self._cores(pair, middle)
        yield from beyond.placed(at.beyond[0] + 1.0, top + _PAD, style)
        yield from apparatus.placed(at.apparatus[0] + 1.0, top + _PAD, style)

    def _cores(self, pair: _Pair, middle: float) -> Iterator[Shape]:
        at, size = self.at, self.style.small * 0.9
        left, right = at.pair[0] - 4.0, at.box[0]
        for nth in range(pair.cores):
            y = middle + (nth - (pair.cores - 1) / 2) * CORE
            yield Line(left, y, right, y, "wire")
            yield Circle(left, y, 0.7, "terminal")
            yield Circle(right, y, 0.7, "terminal")
            name = " ".join((f"{pair.number}{'abcd'[nth]}", *pair.colours[nth : nth + 1]))
            if nth < len(pair.terminals):
                name = f"{pair.terminals[nth]} ({name})"
            yield Text(right + 1.4, y + 0.33 * size, name, size, "quiet")
        out = at.box[0] + at.box[1] - 2.0
        yield Line(out, middle, out + 3.0, middle, "wire")
        yield Circle(out, middle, 0.7, "terminal")


def _split(table: _Table, pairs: list[_Pair], room: float) -> Iterator[Body]:
    """Rows over as many sheets as they need."""
    left = list(pairs)
    while left:
        count, y = 0, table.top.height + 7.0
        for pair in left:
            y += table.height(pair)
            if y > room and count:
                break
            count += 1
        yield table.body(left[:count])
        left = left[count:]


def multicore_sheets(
    assessment: Assessment, number: str, size: str, fields: TitleFields
) -> tuple[Sheet, ...]:
    """The drawing of one cable with all its circuits."""
    context = assessment.context
    if number not in context.sharers:
        raise UsageError(f"no cable {number!r} in plant {assessment.plant.name!r}")
    index: Index = index_of(assessment)
    cable = context.cables.get(context.cables_of[number][0])
    pairs = _pairs(assessment, number, cable)
    heading = Heading(
        type=say("multicore type"),
        title=say("multicore", number=number),
        subtitle=assessment.plant.name,
        number=fields.number or number,
        revision=fields.revision,
        said=Verdicts(*counted([index.verdicts.get(one.tag) for one in pairs if one.tag])),
        fields=fields,
    )
    room, style = body_room(size, heading), style_for(size)
    top = set_block(_head_phrases(assessment, number, cable), room.width, style)
    table = _Table(room.width, style, context.code, top)
    notes = [say("note change all"), *cautions(context.code), say("note pairs")]
    notes += [say("note standard", code=context.code.title), say("note decide")]
    bodies = list(_split(table, pairs, room.height))
    return to_sheets(bodies, [Phrase(one) for one in notes], size, heading)
