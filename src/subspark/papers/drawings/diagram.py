"""The diagram of a circuit: safe side, sources, boundary, cables, boxes, apparatus.

Texts stand in cards and in label zones that are measured first (:mod:`.rows`), so nothing can
run into anything.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import NamedTuple

from subspark.model import SAFE_AREA
from subspark.papers.drawings.blocks import (
    Block,
    Phrase,
    Style,
    marked,
    port_phrases,
    set_block,
    source_phrases,
)
from subspark.papers.drawings.facts import CircuitFacts, SourceFacts, place_words
from subspark.papers.drawings.marks import Mark, Part
from subspark.papers.drawings.rows import (
    CORE,
    FAN,
    GAP,
    HATCHED,
    PAD,
    SYMBOL,
    Place,
    Plan,
    within,
)
from subspark.papers.drawings.shapes import (
    Anchor,
    Box,
    Circle,
    Group,
    Line,
    Path,
    Rect,
    Shape,
    Text,
    hatch,
)
from subspark.papers.drawings.symbols import symbol
from subspark.papers.drawings.tree import Node
from subspark.papers.drawings.words import say

__all__ = ["Diagram", "draw"]


class Diagram(NamedTuple):
    """Shapes from (0, 0) to (width, height) [mm]."""

    width: float
    height: float
    shapes: tuple[Shape, ...]


@dataclass(slots=True)
class _Slot:
    """Room for a source: its card, what stands before it and under it."""

    nth: int
    card: Block
    card_height: float
    foot: Block
    ports: list[Block]
    head: float
    height: float
    top: float = 0.0

    @property
    def y(self) -> float:
        """Height of its output terminals."""
        return self.top + self.head + 15.0


class _Drawer:
    def __init__(self, plan: Plan, *, first: bool) -> None:
        self.plan, self.first = plan, first
        self.facts, self.style, self.columns = plan.facts, plan.style, plan.columns
        self.shapes: list[Shape] = []
        self.zone_x = self._zone_x()

    def draw(self) -> Diagram:
        """Place the rows below the names of the areas, then draw it all."""
        head = self._header()
        slots = [self._slot(nth) for nth in range(len(self.facts.sources))]
        direct = len(slots) == 1 and len(self.plan.root.children) == 1
        bottom = self.plan.stack(head, slots[0].head + 15.0 if direct else 0.0)
        y = head
        for slot in slots:
            slot.top = self.plan.root.children[0].y - 15.0 - slot.head if direct else y
            y = slot.top + slot.height + GAP
        bottom = max(bottom, y) - GAP
        self._draw_boundary(slots, head, bottom)
        for slot in slots:
            self._draw_source(slot)
        self._draw_joint(slots)
        for child in self.plan.root.children:
            self._draw_place(child)
        return Diagram(self.style.width, bottom, tuple(self.shapes))

    # --- areas ---------------------------------------------------------------------------------

    def _zone_x(self) -> float:
        """Where one area of all boxes meets another of all apparatus; 0 where none does."""
        junctions = self.facts.context.junctions
        names = [one.node.name for one in within(self.plan.root) if one.node.sort == "box"]
        boxes = {junctions[name].area for name in names if name in junctions}
        field_ = {one.place_tag for one in self.facts.members}
        if len(boxes) == len(field_) == 1 and boxes != field_ and self.columns.boxes:
            return self.columns.far[1] - 1.5
        return 0.0

    def _areas(self) -> tuple[list[str], list[str]]:
        """Areas on the near side of the zone line and beyond it; all near where there is none."""
        circuit, boxes = self.facts.circuit, self.facts.context.junctions
        members = [one.place_tag for one in self.facts.members]
        near = [boxes[name].area for name in self.facts.junctions if name in boxes]
        near += [run.area for run in self.facts.runs]
        near += [use.place for use in circuit.sources]
        beyond = members if self.zone_x else []
        near += [] if self.zone_x else members
        named = [one for one in dict.fromkeys(near) if one and one != SAFE_AREA]
        if not named and not beyond:
            named = [circuit.area] if circuit.area else []
        return named, list(dict.fromkeys(beyond))

    def _header(self) -> float:
        """Names on both sides of the boundary; where the rows begin."""
        style, at, context = self.style, self.columns, self.facts.context
        near, beyond = self._areas()
        ends = self.zone_x or at.width
        lost = [] if self.facts.sources else self.plan.root.node.flags
        words = [Phrase(say("safe area"), bold=True), *(Phrase(flag) for flag in lost)]
        left = set_block(words, at.boundary - 4.0, style)
        words = [Phrase(say("hazardous area"), bold=True)]
        words += [Phrase(place_words(tag, context)) for tag in near]
        words += marked(self.plan.marks.get(("circuit", 0), []))
        middle = set_block(words, ends - at.boundary - 6.0, style)
        heights = [left.height, middle.height]
        self.shapes += left.placed(at.boundary - 3.0, 0.0, style, "end")
        self.shapes += middle.placed(at.boundary + 3.0, 0.0, style)
        if beyond:
            words = [Phrase(say("hazardous area"), bold=True)]
            words += [Phrase(place_words(tag, context)) for tag in beyond]
            right = set_block(words, at.width - self.zone_x - 3.0, style)
            self.shapes += right.placed(self.zone_x + 3.0, 0.0, style)
            heights.append(right.height)
        return max(heights) + 3.0

    def _draw_boundary(self, slots: list[_Slot], head: float, bottom: float) -> None:
        at = self.columns
        points: list[tuple[float, float]] = [(at.boundary, 0.0)]
        for nth, slot in enumerate(slots):
            x = at.source - 3.0 if self.facts.sources[nth].hazardous else at.boundary
            if points[-1][0] != x:
                y = slot.top - GAP / 2 if nth else head - 1.5
                points += [(points[-1][0], y), (x, y)]
        points.append((points[-1][0], bottom))
        line = Path(tuple(points), "boundary")
        self.shapes.append(Group("boundary of the hazardous area", "boundary", (line,)))
        if self.zone_x:
            tall = Line(self.zone_x, 0.0, self.zone_x, bottom, "zone")
            self.shapes.append(Group("boundary between two areas", "boundary", (tall,)))

    # --- sources -------------------------------------------------------------------------------

    def _slot(self, nth: int) -> _Slot:
        source, style = self.facts.sources[nth], self.style
        marks = self.plan.marks_of("source", nth) if self.first else []
        phrases = list(source_phrases(source, marks, style))
        phrases += [Phrase(flag) for flag in self.plan.root.node.flags if nth == 0]
        if not self.first:
            phrases = [phrases[0], Phrase(source.type), Phrase(source.values, bold=True)]
        card = set_block(phrases, style.source - SYMBOL - PAD, style)
        head = style.small * 1.25 + 1.0 if style.cores and source.cabinet else 0.0
        height = max(card.height + 2 * PAD, 15.0 + (6.0 if style.cores else 3.0))
        height += HATCHED if any(mark.breaks for mark in marks) else 0.0
        words = [Phrase(source.earth)] if source.earth and self.first else []
        foot = set_block(words, style.source - 14.0, style)
        ports = [
            set_block(port_phrases(source, one), style.safe - 2 * PAD, style)
            for one in range(len(source.ports))
            if style.safe and self.first
        ]
        stack = sum(one.height + 2 * PAD + 2.0 for one in ports)
        under = max(foot.height, 7.0) + 2.0 if foot.lines else 0.0
        return _Slot(nth, card, height, foot, ports, head, head + max(height + under, stack))

    def _draw_source(self, slot: _Slot) -> None:
        source, style, left = self.facts.sources[slot.nth], self.style, self.columns.source
        marks = self.plan.marks_of("source", slot.nth) if self.first else []
        top, right = slot.top + slot.head, left + style.source
        bottom = top + slot.card_height
        shapes: list[Shape] = [Rect(left, top, style.source, slot.card_height, _outline(marks))]
        shapes += slot.card.placed(left + PAD, top + PAD, style)
        if any(mark.breaks for mark in marks):
            shapes += _hatched(Box(left, bottom - HATCHED + 0.6, right, bottom))
        if source.isolation:
            name = "barrier" if source.isolation == "earthed barrier" else "isolator"
            shapes += symbol(name, right - 7.4, top + 5.6)
        if slot.head:
            words = [Phrase(say("in cabinet", name=source.cabinet), "quiet")]
            shapes += set_block(words, style.source, style).placed(left, slot.top, style)
        if slot.foot.lines:
            shapes += symbol("earth", left + 6.0, bottom + 4.0)
            shapes += slot.foot.placed(left + 12.0, bottom + 1.0, style)
        self.shapes.append(Group(f"source {source.tag}: {source.type}", "source", tuple(shapes)))
        self._draw_ports(slot, source)

    def _draw_ports(self, slot: _Slot, source: SourceFacts) -> None:
        y, style = slot.top + slot.head, self.style
        lowest = y + slot.card_height - 2.0
        for port, block in zip(source.ports, slot.ports, strict=False):
            height = block.height + 2 * PAD
            middle = y + height / 2
            bend, end = style.safe + 3.0, min(middle, lowest)
            points = (
                (style.safe, middle),
                (bend, middle),
                (bend, end),
                (self.columns.source, end),
            )
            shapes: list[Shape] = [
                Rect(0.0, y, style.safe, height, "box"),
                *block.placed(PAD, y + PAD, style),
                Path(points, "safe wire"),
            ]
            title = f"{say('port', name=port.name)} of {source.tag}"
            self.shapes.append(Group(title, "port", tuple(shapes)))
            y += height + 2.0

    def _draw_joint(self, slots: list[_Slot]) -> None:
        """The wires from the sources, and the bar where several meet."""
        at, joined = self.columns, self.plan.joined
        right = at.source + self.style.source
        children = [one for one in self.plan.root.children if not one.detached]
        cores = self.plan.cores(children[0].node) if children else 1
        names = self._core_names(children[0].node) if children and not joined else []
        for slot in slots:
            end = at.joint if joined else at.near[0]
            self._fan(right, slot.y, cores, 1, names)
            start = right + (FAN if cores > 1 else 0.0)
            self.shapes.append(Line(start, slot.y, max(start, end), slot.y, "wire"))
        if joined and slots:
            ys = [slot.y for slot in slots] + [one.y for one in children]
            top, bottom = min(ys) - 3.0, max(ys) + 3.0
            bar = Rect(at.joint, top, 3.0, bottom - top, "box")
            self.shapes.append(Group("terminals at which the circuit joins", "box", (bar,)))

    # --- wires ---------------------------------------------------------------------------------

    def _core_names(self, node: Node) -> list[str]:
        if node.run is None or not self.style.cores:
            return []
        return self.facts.runs[node.run].core_names

    def _strip_names(self, box: Place, node: Node) -> list[str]:
        """Terminals of a box and the cores on them."""
        if not self.style.cores:
            return []
        facts = self.facts.junctions.get(box.node.name)
        numbers = facts.terminals if facts else ()
        cores = self._core_names(node)
        if not cores:
            return list(numbers)
        return [f"{number} ({core})" for number, core in zip(numbers, cores, strict=False)]

    def _fan(self, x: float, y: float, cores: int, way: int, names: list[str]) -> None:
        """Terminals on an edge, their cores drawn together into the cable on the ``way`` side."""
        anchor: Anchor = "end" if way > 0 else "start"
        size = self.style.small * 0.9
        for nth in range(cores):
            at = y + (nth - (cores - 1) / 2) * CORE
            if cores > 1:
                points = ((x, at), (x + way * (FAN - 1.5), at), (x + way * FAN, y))
                self.shapes.append(Path(points, "wire"))
            self.shapes.append(Circle(x, at, 0.7, "terminal"))
            if nth < len(names):
                where = x - way * 1.4
                self.shapes.append(
                    Text(where, at + 0.33 * size, names[nth], size, "quiet", anchor=anchor)
                )

    def _draw_place(self, place: Place) -> None:
        before = len(self.shapes)
        self._draw_wire(place)
        if place.node.run is not None:
            run = self.facts.runs[place.node.run]
            made = tuple(self.shapes[before:])
            del self.shapes[before:]
            title = f"cable {run.label}: {run.cable}, {run.length}"
            self.shapes.append(Group(title, "run", made))
        if place.node.sort == "member":
            self._draw_member(place)
        else:
            self._draw_box(place)
        for child in place.children:
            self._draw_place(child)

    def _draw_wire(self, place: Place) -> None:
        node, at, parent = place.node, self.columns, place.parent
        kind = "wire" if node.run is not None else "wire open"
        cores = self.plan.cores(node)
        fan = FAN if cores > 1 else 0.0
        left, _ = self.plan.zone(place)
        if node.sort == "box":
            x, names = at.box, self._strip_names(place, node)
        else:
            x, names = at.member, self._core_names(node)
        self._fan(x, place.y, cores, -1, names)
        if place.detached:
            self.shapes.append(Line(x - fan - 5.0, place.y, x - fan, place.y, "wire open"))
        elif place.laned and parent is not None:
            self._draw_lane(place, parent, x - fan, kind)
        else:
            start = left
            if parent is not None and parent.node.sort == "box":
                start = at.box + self.style.box
                self._fan(start, place.y, cores, 1, self._strip_names(parent, node))
                start += fan
            elif self.plan.joined:
                start = at.joint + 3.0
            self.shapes.append(Line(start, place.y, x - fan, place.y, kind))
        self._draw_screen(place, x - fan - 2.6)
        self._draw_label(place)

    def _draw_lane(self, place: Place, parent: Place, x: float, kind: str) -> None:
        edge = self.columns.box if parent.node.sort == "box" else self.columns.member
        cores = self.plan.cores(place.node)
        names = self._core_names(place.node)
        if parent.node.sort == "box":
            names = self._strip_names(parent, place.node)
        self._fan(edge, place.port, cores, -1, names)
        start, lane = edge - (FAN if cores > 1 else 0.0), self.plan.lane_x(place)
        points = ((start, place.port), (lane, place.port), (lane, place.y), (x, place.y))
        self.shapes.append(Path(points, kind))

    def _draw_screen(self, place: Place, x: float) -> None:
        node = place.node
        if node.run is None or not self.style.cores or place.laned or place.detached:
            return
        if self.facts.runs[node.run].screened:
            self.shapes.append(Path(_oval(x, place.y, 0.9, 2.0), "screen", closed=True))

    def _draw_label(self, place: Place) -> None:
        style = self.style
        anchor: Anchor = "end" if place.laned or place.detached else "start"
        left, right = self.plan.label_span(place)
        x = right if anchor == "end" else left
        texts = [
            *place.above.placed(x, place.y - 1.4 - place.above.height, style, anchor),
            *place.below.placed(x, place.y + 1.4, style, anchor),
        ]
        self.shapes += texts
        run = place.node.run
        if run is not None and self.plan.breaks("run", run):
            wide = max(one.width for one in texts)
            start = x if anchor == "start" else x - wide
            box = Box(start, place.y - 0.8, start + wide, place.y + 0.8)
            self.shapes += _hatched(box, 1.6)

    # --- cards ---------------------------------------------------------------------------------

    def _draw_member(self, place: Place) -> None:
        left, right, node = self.columns.member, self.columns.width, place.node
        member = self.facts.members[node.member]
        marks = [] if node.short else self.plan.marks_of("member", node.member)
        height, strip = place.bottom - place.top, self.plan.strip
        shapes: list[Shape] = [Rect(left, place.top, right - left, height, _outline(marks))]
        x = left + strip + SYMBOL / 2 - 1.0
        shapes += symbol(member.symbol, x, place.top + 7.2, member.tag)
        if member.earthed and not node.short:
            shapes += symbol("earth", x, place.top + 18.6)
        shapes += place.card.placed(left + strip + SYMBOL - 1.0, place.top + PAD, self.style)
        if any(mark.breaks for mark in marks):
            shapes += _hatched(Box(left, place.bottom - HATCHED + 0.6, right, place.bottom))
        title = f"apparatus {member.tag}: {member.type}"
        self.shapes.append(Group(title, "apparatus", tuple(shapes)))

    def _draw_box(self, place: Place) -> None:
        left, style = self.columns.box, self.style
        shapes: list[Shape] = [
            Rect(left, place.top, style.box, place.bottom - place.top, "box"),
            *place.card.placed(left + PAD, place.top + PAD, style),
        ]
        title = f"junction box {place.node.name}"
        self.shapes.append(Group(title, "box", tuple(shapes)))


def _outline(marks: Iterable[Mark]) -> str:
    kinds = {mark.breaks for mark in marks}
    return "break" if True in kinds else "open" if kinds else "card"


def _hatched(box: Box, pitch: float = 2.4) -> Iterator[Shape]:
    yield Rect(box.left, box.top, box.width, box.height, "break")
    yield from hatch(box, pitch)


def _oval(x: float, y: float, rx: float, ry: float) -> tuple[tuple[float, float], ...]:
    angles = (math.tau * i / 24 for i in range(24))
    return tuple((x + rx * math.cos(a), y + ry * math.sin(a)) for a in angles)


def draw(
    facts: CircuitFacts,
    root: Node,
    marks: dict[Part, list[Mark]],
    style: Style,
    *,
    first: bool = True,
) -> Diagram:
    """Lay a circuit out.

    Parameters
    ----------
    facts : CircuitFacts
        What is shown.
    root : Node
        Its tree, or the part of it that goes on this sheet.
    marks : dict
        Marks by part.
    style : Style
        Widths and sizes.
    first : bool
        Whether this is the first sheet of the circuit: later ones show the sources in short.

    Returns
    -------
    Diagram
        Shapes, and the size that they take.
    """
    return _Drawer(Plan(facts, root, marks, style), first=first).draw()
