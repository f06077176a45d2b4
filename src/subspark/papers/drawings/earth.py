"""The earth bar of a cabinet: which barriers stand on it, and how it goes to earth."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from typing import NamedTuple

from subspark.assess import Assessment
from subspark.errors import UsageError
from subspark.model import SourceUse
from subspark.papers.drawings.blocks import Block, Phrase, Style, set_block
from subspark.papers.drawings.frame import TitleFields, Verdicts
from subspark.papers.drawings.installation import Body, Heading, body_room, style_for, to_sheets
from subspark.papers.drawings.shapes import Circle, Group, Line, Rect, Shape, Sheet
from subspark.papers.drawings.symbols import symbol
from subspark.papers.drawings.words import say

__all__ = ["earth_sheets"]

_ROW_PAD = 1.4
_FIRST = 24.0
"""Where the first barrier stands; above it the conductors to earth leave the bar [mm]."""


class _Item(NamedTuple):
    """A source in the cabinet, with the circuits that it feeds."""

    tag: str
    type: str
    isolation: str
    circuits: tuple[str, ...]


def _items(assessment: Assessment, cabinet: str) -> list[_Item]:
    context = assessment.context
    users: dict[tuple[str, str], list[str]] = defaultdict(list)
    for circuit in assessment.plant.circuits:
        for use in circuit.sources:
            if use.cabinet == cabinet:
                users[use.tag or use.source, use.source].append(circuit.tag)
    return [
        _Item(tag, source, context.sources[source].isolation, tuple(dict.fromkeys(tags)))
        for (tag, source), tags in users.items()
    ]


def _first_use(assessment: Assessment, cabinet: str) -> SourceUse:
    return next(
        use
        for circuit in assessment.plant.circuits
        for use in circuit.sources
        if use.cabinet == cabinet
    )


def _connection(assessment: Assessment, cabinet: str, *, needed: bool) -> list[Phrase]:
    """Words on the way from the bar to earth, with blanks for what is measured.

    What is not stated is open only where a source needs the bar.
    """
    use = _first_use(assessment, cabinet)
    declared = assessment.context.declared
    names = {"cabinet": cabinet, "area": use.place}
    wires = declared.find("barrier earth conductors", **names)
    ohms = declared.find("barrier earth resistance", **names)
    out = []
    for found, told, blank in (
        (wires, "earth conductors", "earth unknown"),
        (ohms, "earth resistance", "resistance unknown"),
    ):
        if found is None:
            out.append(Phrase(say(blank), "open text" if needed else "quiet", bold=needed))
            continue
        out.append(Phrase(say(told, what=found.value), bold=True))
        out.append(Phrase(str(found.evidence), "quiet"))
    return [*out, Phrase(say("measured"))]


class _Bar:
    def __init__(self, width: float, style: Style, connection: list[Phrase]) -> None:
        self.width, self.style = width, style
        self.row = width * 0.42
        self.bar = self.row + 22.0
        self.text = self.bar + 26.0
        self.connection = set_block(connection, width - self.text, style)

    def block(self, item: _Item) -> Block:
        """Words of one barrier."""
        feeds = ", ".join(item.circuits)
        words = [Phrase(f"{item.tag}   {item.type}", bold=True), Phrase(feeds)]
        if not item.isolation:
            words.append(Phrase(say("isolation unknown"), "open text"))
        return set_block(words, self.row - 14.0, self.style)

    def height(self, item: _Item) -> float:
        """Height of the row of a barrier."""
        return max(10.0, self.block(item).height + 2 * _ROW_PAD) + 1.0

    def body(self, items: list[_Item], rest: Block) -> Body:
        """One sheet: barriers on the left, the bar, the way to earth on the right."""
        shapes: list[Shape] = []
        y = _FIRST
        for item in items:
            shapes.append(Group(f"barrier {item.tag}", "source", tuple(self._row(item, y))))
            y += self.height(item)
        bottom = max(y, 52.0)
        label = set_block(
            [Phrase(say("earth bar"), bold=True), Phrase(say("isolated bar"), "quiet")],
            self.width - self.bar - 4.0, self.style,
        )  # fmt: skip
        shapes += label.placed(self.bar + 3.0, 0.0, self.style)
        shapes.append(Line(self.bar, 0.0, self.bar, bottom, "earth bar"))
        shapes += self._to_earth(11.0)
        under = 11.0 + 36.0 + self.connection.height + 6.0
        shapes += rest.placed(self.text, under, self.style)
        return Body(tuple(shapes), max(bottom, under + rest.height))

    def _row(self, item: _Item, top: float) -> Iterator[Shape]:
        height = self.height(item) - 1.0
        yield Rect(0.0, top, self.row, height, "card")
        yield from symbol("barrier", 7.0, top + 5.0)
        yield from self.block(item).placed(14.0, top + _ROW_PAD, self.style)
        y = top + height / 2
        yield Line(self.row, y, self.bar, y, "earth")
        yield Circle(self.row, y, 0.7, "terminal")
        yield Circle(self.bar, y, 0.9, "node")

    def _to_earth(self, y: float) -> Iterator[Shape]:
        """Two conductors from the bar to the main bonding."""
        end = self.bar + 16.0
        for down in (0.0, 6.0):
            yield Circle(self.bar, y + down, 0.9, "node")
            yield Line(self.bar, y + down, end, y + down, "earth")
        yield Line(end, y, end, y + 14.0, "earth")
        yield Circle(end, y + 6.0, 0.9, "node")
        yield from symbol("bond", end, y + 18.0)
        yield from symbol("protective earth", end, y + 30.0)
        bond = set_block([Phrase(say("main bond"))], self.width - self.text, self.style)
        yield from bond.placed(self.text, y + 14.0, self.style)
        frame = set_block([Phrase(say("protective bar"))], self.width - self.text, self.style)
        yield from frame.placed(self.text, y + 26.0, self.style)
        yield from self.connection.placed(self.text, y + 36.0, self.style)


def _rest(items: list[_Item], room: float, style: Style) -> Block:
    """Sources that are not on the bar."""
    isolated = [one.tag for one in items if one.isolation == "galvanic"]
    words = []
    if len(isolated) == len(items):
        words.append(Phrase(say("no barriers"), bold=True))
    if isolated:
        words.append(Phrase(say("isolated sources"), bold=True))
        words.append(Phrase(_shortened(isolated)))
    return set_block(words, room, style)


def _shortened(tags: list[str], most: int = 60) -> str:
    """Tags in a row; of very many the first and how many more."""
    rest = len(tags) - most
    return ", ".join(tags[:most]) + (f" {say('and more', n=rest)}" if rest > 0 else "")


def earth_sheets(
    assessment: Assessment, cabinet: str, size: str, fields: TitleFields
) -> tuple[Sheet, ...]:
    """The earth-bar drawing of a cabinet."""
    items = _items(assessment, cabinet)
    if not items:
        raise UsageError(f"no cabinet {cabinet!r} in plant {assessment.plant.name!r}")
    heading = Heading(
        type=say("earth type"),
        title=say("cabinet title", name=cabinet),
        subtitle=assessment.plant.name,
        number=fields.number or say("earth number", name=cabinet),
        revision=fields.revision,
        said=Verdicts(None, say("earth said")),
        fields=fields,
    )
    room, style = body_room(size, heading), style_for(size)
    needed = any(one.isolation != "galvanic" for one in items)
    bar = _Bar(room.width, style, _connection(assessment, cabinet, needed=needed))
    rest = _rest(items, room.width - bar.text, style)
    bodies: list[Body] = []
    left = [one for one in items if one.isolation != "galvanic"]
    while left or not bodies:
        count, y = 0, _FIRST
        for item in left:
            y += bar.height(item)
            if y > room.height and count:
                break
            count += 1
        bodies.append(bar.body(left[:count], rest if not bodies else Block((), 0.0)))
        left = left[count:]
    notes = [
        Phrase(say(one)) for one in ("note bar", "note frame", "note change all", "note decide")
    ]
    return to_sheets(bodies, notes, size, heading)
