"""Where everything of a diagram stands: columns, rows and lanes, measured before it is drawn.

Columns run from the safe area (left) to the field (right), and every apparatus has a row of its
own. A cable goes along its row from the box that feeds it; where box feeds box, or apparatus
feeds apparatus, it goes down a lane on the left of their column.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Literal

from subspark.papers.drawings.blocks import (
    Block,
    Phrase,
    Style,
    box_phrases,
    member_phrases,
    run_phrases,
    set_block,
)
from subspark.papers.drawings.facts import CircuitFacts
from subspark.papers.drawings.marks import Mark, Part
from subspark.papers.drawings.tree import Node
from subspark.papers.drawings.words import say

__all__ = ["CORE", "FAN", "GAP", "HATCHED", "PAD", "SYMBOL", "Columns", "Place", "Plan", "within"]

CORE = 2.6
"""Distance between the terminals of two cores [mm]."""
FAN = 5.0
"""Length over which cores are drawn together into their cable [mm]."""
GAP = 4.0
PAD = 1.6
SYMBOL = 14.0
HATCHED = 3.2
"""Height of the hatched foot of a card that breaks a limit [mm]."""
_STRIP, _LANE, _PORT = 8.0, 4.0, 1.5


@dataclass(slots=True)
class Columns:
    """Where the columns stand [mm]."""

    source: float
    boundary: float
    joint: float
    near: tuple[float, float]
    box: float
    far: tuple[float, float]
    member: float
    width: float
    boxes: bool


@dataclass(slots=True, eq=False)
class Place:
    """Where a node stands, and the room that its row needs above and below its wire.

    ``lane`` counts from the column outwards; ``port`` is where the lane of a child begins.
    """

    node: Node
    parent: Place | None
    half: float
    card: Block = field(default_factory=lambda: Block((), 0.0))
    above: Block = field(default_factory=lambda: Block((), 0.0))
    below: Block = field(default_factory=lambda: Block((), 0.0))
    y: float = 0.0
    top: float = 0.0
    bottom: float = 0.0
    lane: int = 0
    port: float = 0.0
    children: list[Place] = field(default_factory=list)

    @property
    def detached(self) -> bool:
        """Whether the wire that leads here begins in words only."""
        at_root = self.parent is not None and self.parent.node.sort == "root"
        return bool(self.node.origin) or (at_root and self.node.run is None)

    @property
    def laned(self) -> bool:
        """Whether its wire comes down a lane."""
        return self.parent is not None and _laned(self.parent.node, self.node)

    @property
    def strands(self) -> list[list[Place]]:
        """Children by the lane that serves them: one each, and one for all without a cable."""
        laned = [one for one in self.children if one.laned]
        own = [[one] for one in laned if one.node.run is not None]
        hung = [one for one in laned if one.node.run is None]
        return [*own, hung] if hung else own


def within(place: Place) -> Iterator[Place]:
    """A place and all below it."""
    yield place
    for child in place.children:
        yield from within(child)


def _laned(parent: Node, child: Node) -> bool:
    return parent.sort == child.sort and not child.origin


def _has_box(node: Node) -> bool:
    return node.sort == "box" or any(_has_box(child) for child in node.children)


def _lanes(node: Node, sort: Literal["box", "member"]) -> int:
    """Lanes that a subtree needs in front of the column of a sort."""
    most = taken = 0
    hung = False
    for child in node.children:
        inner = _lanes(child, sort)
        if child.sort == sort and _laned(node, child):
            if child.run is None:
                hung = True
            else:
                taken = max(taken + 1, inner)
        most = max(most, inner, taken)
    return max(most, taken + 1) if hung else most


class Plan:
    """The places of everything that hangs on the sources, for one sheet.

    Parameters
    ----------
    facts : CircuitFacts
        What is shown.
    root : Node
        The tree of it, or the part that goes on this sheet.
    marks : dict
        Marks by part.
    style : Style
        Widths and sizes.
    """

    def __init__(
        self, facts: CircuitFacts, root: Node, marks: dict[Part, list[Mark]], style: Style
    ) -> None:
        self.facts, self.marks, self.style = facts, marks, style
        self.joined = len(facts.sources) > 1 or len(root.children) > 1
        self.strip = _STRIP if style.cores else 3.0
        self.columns = self._columns(root)
        self.root = self._place(root, None)

    # --- columns -------------------------------------------------------------------------------

    def _columns(self, root: Node) -> Columns:
        style = self.style
        boxes = any(_has_box(one) for one in root.children)
        lanes, far_lanes = self._lanes_width(root, "box"), self._lanes_width(root, "member")
        source = style.safe + 6.0
        boundary = source + style.source + (FAN + 2.0 if style.cores else 4.0)
        joint = boundary + 3.0
        near = joint + (3.0 if self.joined else 0.0)
        free = style.width - near - far_lanes
        if boxes:
            room = max(22.0, (free - lanes - style.box - style.member) / 2)
            box = near + room + lanes
            far = (box + style.box, box + style.box + room)
            ends = near + room
        else:
            ends = near + free - min(free * 0.6, 1.25 * style.member)
            box, far = ends, (ends, ends)
        return Columns(
            source=source,
            boundary=boundary,
            joint=joint,
            near=(near, ends),
            box=box,
            far=far,
            member=far[1] + far_lanes,
            width=style.width,
            boxes=boxes,
        )

    def _lanes_width(self, root: Node, sort: Literal["box", "member"]) -> float:
        count = _lanes(root, sort)
        return _LANE * count + (FAN if count and self.style.cores else 0.0)

    def zone(self, place: Place) -> tuple[float, float]:
        """The label zone of the wire that leads to a place."""
        at, parent = self.columns, place.parent
        if place.node.sort == "box" or parent is None or parent.node.sort == "root":
            return at.near
        return at.far if at.boxes else at.near

    def label_span(self, place: Place) -> tuple[float, float]:
        """Where the label of the wire to a place may stand, clear of terminals and lanes."""
        left, right = self.zone(place)
        fan = FAN if self.style.cores else 1.5
        if place.detached:
            return left + 1.0, right - fan - 6.0
        if place.laned:
            return left + 1.0, right - 2.5
        clear = 4.2 if self.style.cores else 2.0  # of the ring that stands for a screen
        return left + fan + 1.0, right - fan - clear

    def lane_x(self, place: Place) -> float:
        """Where the lane of a place runs."""
        column = self.columns.box if place.node.sort == "box" else self.columns.member
        return column - _LANE * (place.lane + 0.5) - (FAN if self.style.cores else 0.0)

    # --- measuring -----------------------------------------------------------------------------

    def _place(self, node: Node, parent: Place | None) -> Place:
        place = Place(node, parent, (self.cores(node) - 1) * CORE / 2 + 1.4)
        if node.sort != "root":
            left, right = self.label_span(place)
            place.above, place.below = self._label(place, right - left)
            place.card = self._card(node)
        place.children = [self._place(child, place) for child in node.children]
        return place

    def _card(self, node: Node) -> Block:
        style = self.style
        if node.sort == "box":
            facts = self.facts.junctions.get(node.name)
            words = box_phrases(facts, node.name, node.flags, style, cut=node.cut)
            return set_block(words, style.box - 2 * PAD, style)
        told = list(
            member_phrases(
                self.facts.members[node.member], self.marks_of("member", node.member), style
            )
        )
        told += [Phrase(flag) for flag in node.flags]
        if node.short:
            told = told[:1]
        if node.cut or node.short:
            told.append(Phrase(say("continued"), "quiet"))
        room = self.columns.width - self.columns.member - self.strip - SYMBOL - PAD
        return set_block(told, room, style)

    def cores(self, node: Node) -> int:
        """Cores of the wire that leads to a node, as it is drawn."""
        if not self.style.cores:
            return 1
        return 2 if node.run is None else self.facts.runs[node.run].cores

    def marks_of(self, sort: Literal["source", "member", "run"], nth: int) -> list[Mark]:
        """Marks of a part."""
        return self.marks.get((sort, nth), [])

    def _label(self, place: Place, room: float) -> tuple[Block, Block]:
        node, style, parent = place.node, self.style, place.parent
        above: list[Phrase] = []
        below: list[Phrase] = []
        if node.run is not None:
            run = self.facts.runs[node.run]
            above, below = run_phrases(run, self.marks_of("run", node.run), style)
            tags = [one.tag for one in self.facts.sources]
            if len(tags) > 1 and run.start in tags:
                below.append(Phrase(say("from", what=run.start), "quiet"))
            if len(tags) > 1 and parent is not None and parent.node.sort == "root":
                joined = self.facts.circuit.joined
                how = say("joined", how=f"in {joined}") if joined else say("joined unstated")
                below.append(Phrase(how, "quiet"))
            if node.origin:
                below.append(Phrase(say("from", what=node.origin)))
        if node.words:
            below.append(Phrase(node.words, "open text"))
        return set_block(above, room, style), set_block(below, room, style)

    # --- rows ----------------------------------------------------------------------------------

    def stack(self, top: float, least: float) -> float:
        """Give every row its place.

        Parameters
        ----------
        top : float
            Where the rows begin [mm].
        least : float
            How far below that the first wire must run [mm].

        Returns
        -------
        float
            Where they end [mm].
        """
        y = top
        for nth, child in enumerate(self.root.children):
            y = self._stack(child, y, least if nth == 0 else 0.0)
        return y

    def _stack(self, place: Place, top: float, least: float) -> float:
        above = max(least, place.above.height + 2.2)
        below = max(place.half + 1.0, place.below.height + 2.4)
        if place.node.sort == "member":
            return self._stack_member(place, top, above, below)
        return self._stack_box(place, top, above, below)

    def _stack_member(self, place: Place, top: float, above: float, below: float) -> float:
        down = max(6.0, place.half + 2.0)
        place.y = top + max(above, down)
        place.top = place.y - down
        strands = place.strands
        ports = sum(2 * one[0].half + _PORT for one in strands)
        least = SYMBOL + (9.0 if self.facts.members[place.node.member].earthed else 1.0)
        height = max(place.card.height + 2 * PAD, least, down + place.half + 2.0 + ports)
        foot = 0.0
        if not place.node.short and self.breaks("member", place.node.member):
            foot = HATCHED
        place.bottom = place.top + height + foot
        _give_ports(strands, place.bottom - foot)
        bottom = max(place.bottom, place.y + below) + GAP
        for child in place.children:
            bottom = self._stack(child, bottom, 0.0)
        return bottom

    def _stack_box(self, place: Place, top: float, above: float, below: float) -> float:
        head = place.card.height + PAD + place.half + 1.5
        own = [one for one in place.children if one.node.sort == "member"]
        feeds = [one for one in place.children if one.node.sort == "box"]
        last = place.half
        if own:
            bottom = self._stack(own[0], top, max(above, head))
            place.y = own[0].y
            for child in own[1:]:
                bottom = self._stack(child, bottom, 0.0)
            last = own[-1].y - place.y + own[-1].half
        else:
            bottom = place.y = top + max(above, head)
        place.top = place.y - head
        place.bottom = place.y + max(last, place.half) + 2.0
        strands = place.strands
        place.bottom += sum(2 * one[0].half + _PORT for one in strands)
        _give_ports(strands, place.bottom)
        bottom = max(bottom, place.bottom + GAP, place.y + below + GAP)
        for child in feeds:
            bottom = self._stack(child, bottom, 0.0)
        return bottom

    def breaks(self, sort: Literal["source", "member", "run"], nth: int) -> bool:
        """Whether a part breaks a limit."""
        return any(mark.breaks for mark in self.marks_of(sort, nth))


def _give_ports(strands: list[list[Place]], bottom: float) -> None:
    """Ports of lanes up from the bottom of a card, and the lanes: the first is furthest in."""
    lane, y = 0, bottom
    for strand in strands:
        y -= 2 * strand[0].half + _PORT
        for one in strand:
            one.port = y + strand[0].half + _PORT / 2
            one.lane = lane
        inner = [_lanes(one.node, one.node.sort) for one in strand if one.node.sort != "root"]
        lane = max(lane + 1, *inner)
