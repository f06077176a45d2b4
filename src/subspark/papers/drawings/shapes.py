"""What a drawing is made of: positioned shapes, in millimetres, y downward.

A shape knows its meaning (``kind``), not its colour: the writers turn meanings into pens, layers
or classes by the one table of :data:`PENS`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from subspark.papers.drawings.metrics import ASCENT, DESCENT, width_of

__all__ = [
    "EX_I",
    "GREY",
    "INK",
    "PALE",
    "PAPER",
    "PENS",
    "Box",
    "Circle",
    "Group",
    "Line",
    "Path",
    "Pen",
    "Rect",
    "Shape",
    "Sheet",
    "Text",
    "arc",
    "extent",
    "flat",
    "hatch",
    "moved",
]

Anchor = Literal["start", "middle", "end"]


class Box(NamedTuple):
    """A rectangle by its sides [mm]."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        """From left to right [mm]."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """From top to bottom [mm]."""
        return self.bottom - self.top

    def meets(self, other: Box, by: float = 0.0) -> bool:
        """Whether both overlap by more than ``by`` in both directions."""
        return (
            min(self.right, other.right) - max(self.left, other.left) > by
            and min(self.bottom, other.bottom) - max(self.top, other.top) > by
        )

    def holds(self, other: Box, slack: float = 1e-6) -> bool:
        """Whether the other lies within."""
        return (
            other.left >= self.left - slack
            and other.top >= self.top - slack
            and other.right <= self.right + slack
            and other.bottom <= self.bottom + slack
        )


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line."""

    x1: float
    y1: float
    x2: float
    y2: float
    kind: str = "symbol"


@dataclass(frozen=True, slots=True)
class Path:
    """A line through points; ``closed`` joins the last to the first."""

    points: tuple[tuple[float, float], ...]
    kind: str = "symbol"
    closed: bool = False


@dataclass(frozen=True, slots=True)
class Rect:
    """A rectangle."""

    x: float
    y: float
    width: float
    height: float
    kind: str = "card"


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle."""

    x: float
    y: float
    r: float
    kind: str = "symbol"


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text; ``y`` is its baseline, ``size`` its font size [mm]."""

    x: float
    y: float
    text: str
    size: float
    kind: str = "text"
    bold: bool = False
    anchor: Anchor = "start"

    @property
    def width(self) -> float:
        """Width as measured [mm]."""
        return width_of(self.text, self.size, bold=self.bold)

    @property
    def left(self) -> float:
        """Where it begins [mm]."""
        return self.x - self.width * {"start": 0.0, "middle": 0.5, "end": 1.0}[self.anchor]

    @property
    def box(self) -> Box:
        """What it covers, ascenders and descenders included."""
        left = self.left
        return Box(
            left, self.y - ASCENT * self.size, left + self.width, self.y + DESCENT * self.size
        )


@dataclass(frozen=True, slots=True)
class Group:
    """Shapes that belong together, with a name for readers who cannot see them."""

    title: str
    name: str
    shapes: tuple[Shape, ...]


Shape = Line | Path | Rect | Circle | Text | Group


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet: its size, the box that all must stay in, and its shapes."""

    width: float
    height: float
    inside: Box
    title: str
    description: str = ""
    shapes: tuple[Shape, ...] = field(default=(), repr=False)


class Pen(NamedTuple):
    """How a meaning is drawn on paper: colour, width [mm], dashes [mm], layer, fill."""

    colour: str = ""
    width: float = 0.0
    dash: tuple[float, ...] = ()
    layer: str = "TEXT"
    fill: str = ""


INK, GREY, PALE, PAPER = "#1E2328", "#5A6068", "#B9BEC4", "#FFFFFF"
EX_I = "#3AA0DC"
UNSAFE, UNPROVEN, SAFE = "#C8442B", "#A8741A", "#1B7F6B"

PENS: dict[str, Pen] = {
    # lines
    "frame": Pen(INK, 0.7, layer="FRAME"),
    "grid": Pen(INK, 0.25, layer="TITLE_BLOCK"),
    "rule": Pen(PALE, 0.18, layer="TABLE"),
    "wire": Pen(EX_I, 0.5, layer="EX_I_WIRING"),
    "wire open": Pen(EX_I, 0.5, (1.6, 1.2), layer="EX_I_WIRING"),
    "terminal": Pen(INK, 0.25, layer="TERMINALS", fill=PAPER),
    "node": Pen(INK, 0.25, layer="EX_I_WIRING", fill=INK),
    "screen": Pen(GREY, 0.25, (1.2, 0.8), layer="SCREENS"),
    "safe wire": Pen(INK, 0.35, layer="SAFE_SIDE_WIRING"),
    "boundary": Pen(INK, 0.5, (7.0, 1.2, 1.0, 1.2), layer="HAZARDOUS_AREA"),
    "zone": Pen(GREY, 0.25, (5.0, 1.2, 0.8, 1.2), layer="HAZARDOUS_AREA"),
    "card": Pen(INK, 0.25, layer="APPARATUS"),
    "box": Pen(INK, 0.25, layer="JUNCTIONS"),
    "symbol": Pen(INK, 0.3, layer="SYMBOLS"),
    "solid": Pen(INK, 0.2, layer="SYMBOLS", fill=INK),
    "earth": Pen(INK, 0.35, layer="EARTH"),
    "earth bar": Pen(INK, 0.9, layer="EARTH"),
    "break": Pen(UNSAFE, 0.5, layer="LIMITS"),
    "hatch": Pen(UNSAFE, 0.18, layer="LIMITS"),
    "open": Pen(UNPROVEN, 0.5, (1.6, 1.0), layer="LIMITS"),
    "safe mark": Pen(SAFE, 0.4, layer="LIMITS", fill=SAFE),
    "unsafe mark": Pen(UNSAFE, 0.4, layer="LIMITS", fill=UNSAFE),
    "unproven mark": Pen(UNPROVEN, 0.6, layer="LIMITS"),
    # texts
    "text": Pen(INK, layer="TEXT"),
    "quiet": Pen(GREY, layer="TEXT"),
    "break text": Pen(UNSAFE, layer="LIMITS"),
    "open text": Pen(UNPROVEN, layer="LIMITS"),
    "safe text": Pen(SAFE, layer="LIMITS"),
    "title text": Pen(INK, layer="TITLE_BLOCK"),
    "title label": Pen(GREY, layer="TITLE_BLOCK"),
}


def flat(shapes: Iterable[Shape]) -> Iterator[Line | Path | Rect | Circle | Text]:
    """All shapes, groups opened."""
    for one in shapes:
        if isinstance(one, Group):
            yield from flat(one.shapes)
        else:
            yield one


def extent(shape: Line | Path | Rect | Circle | Text) -> Box:
    """The box that a shape covers."""
    if isinstance(shape, Text):
        return shape.box
    if isinstance(shape, Line):
        xs, ys = (shape.x1, shape.x2), (shape.y1, shape.y2)
        return Box(min(xs), min(ys), max(xs), max(ys))
    if isinstance(shape, Rect):
        return Box(shape.x, shape.y, shape.x + shape.width, shape.y + shape.height)
    if isinstance(shape, Circle):
        return Box(shape.x - shape.r, shape.y - shape.r, shape.x + shape.r, shape.y + shape.r)
    across, down = zip(*shape.points, strict=True)
    return Box(min(across), min(down), max(across), max(down))


def moved(shapes: Iterable[Shape], dx: float, dy: float) -> tuple[Shape, ...]:
    """The same shapes elsewhere."""
    return tuple(_moved(one, dx, dy) for one in shapes)


def _moved(one: Shape, dx: float, dy: float) -> Shape:
    if isinstance(one, Group):
        return Group(one.title, one.name, moved(one.shapes, dx, dy))
    if isinstance(one, Line):
        return Line(one.x1 + dx, one.y1 + dy, one.x2 + dx, one.y2 + dy, one.kind)
    if isinstance(one, Path):
        return Path(tuple((x + dx, y + dy) for x, y in one.points), one.kind, one.closed)
    if isinstance(one, Rect):
        return Rect(one.x + dx, one.y + dy, one.width, one.height, one.kind)
    if isinstance(one, Circle):
        return Circle(one.x + dx, one.y + dy, one.r, one.kind)
    return Text(one.x + dx, one.y + dy, one.text, one.size, one.kind, one.bold, one.anchor)


def arc(x: float, y: float, r: float, start: float, end: float, kind: str = "symbol") -> Path:
    """Part of a circle as a path, from one angle to another [deg], clockwise from the right."""
    steps = max(4, round(abs(end - start) / 15.0))
    angles = (math.radians(start + (end - start) * i / steps) for i in range(steps + 1))
    return Path(tuple((x + r * math.cos(a), y + r * math.sin(a)) for a in angles), kind)


def hatch(box: Box, pitch: float = 2.4, kind: str = "hatch") -> Iterator[Line]:
    """Lines at 45 degrees over a box."""
    reach = box.width + box.height
    for step in range(1, int(reach / pitch) + 1):
        along = step * pitch
        if along >= reach:
            return
        x1, y1 = box.left + min(along, box.width), box.top + max(0.0, along - box.width)
        x2, y2 = box.left + max(0.0, along - box.height), box.top + min(along, box.height)
        yield Line(x1, y1, x2, y2, kind)
