"""Blocks of text from which a drawing is set: lines that are wrapped, measured, then placed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import NamedTuple

from subspark.papers.drawings.facts import (
    JunctionFacts,
    MemberFacts,
    RunFacts,
    SourceFacts,
    stored_words,
)
from subspark.papers.drawings.marks import Mark
from subspark.papers.drawings.metrics import ASCENT, wrap
from subspark.papers.drawings.shapes import Anchor, Text
from subspark.papers.drawings.words import say

__all__ = [
    "Block",
    "Phrase",
    "Style",
    "box_phrases",
    "marked",
    "member_phrases",
    "port_phrases",
    "run_phrases",
    "set_block",
    "source_phrases",
]

PITCH = 1.25


@dataclass(frozen=True, slots=True, kw_only=True)
class Style:
    """Widths of the columns [mm], sizes of type [mm], and how much is told.

    ``safe`` 0 leaves out what stands on the safe side; ``cores`` draws terminals and cores;
    ``full`` tells makers, certificates and markings.
    """

    width: float
    safe: float
    source: float
    box: float
    member: float
    small: float
    large: float
    full: bool
    cores: bool


class Phrase(NamedTuple):
    """A text before it is wrapped."""

    text: str
    kind: str = "text"
    bold: bool = False
    large: bool = False


class Block(NamedTuple):
    """Lines that fit a width, with the height that they take."""

    lines: tuple[tuple[str, Phrase, float], ...]
    height: float

    def placed(
        self, x: float, top: float, style: Style, anchor: Anchor = "start"
    ) -> Iterator[Text]:
        """The lines as texts, from a top left corner (or about ``x`` by the anchor)."""
        for text, phrase, down in self.lines:
            size = style.large if phrase.large else style.small
            yield Text(x, top + down, text, size, phrase.kind, phrase.bold, anchor)


def set_block(phrases: Iterable[Phrase], room: float, style: Style) -> Block:
    """Wrap phrases to a width.

    Parameters
    ----------
    phrases : iterable of Phrase
        Empty ones are left out.
    room : float
        Width [mm].
    style : Style
        Sizes of type.

    Returns
    -------
    Block
        Lines with their baselines below the top [mm].
    """
    lines: list[tuple[str, Phrase, float]] = []
    down = 0.0
    for phrase in phrases:
        if not phrase.text:
            continue
        size = style.large if phrase.large else style.small
        for line in wrap(phrase.text, room, size, bold=phrase.bold):
            lines.append((line, phrase, down + ASCENT * size + 0.1 * size))
            down += PITCH * size
    return Block(tuple(lines), down)


def marked(marks: Iterable[Mark]) -> Iterator[Phrase]:
    """Marks as phrases, in the pen of what breaks or of what is open."""
    for mark in marks:
        yield Phrase(mark.text, "break text" if mark.breaks else "open text", bold=True)


def _named(type_: str, words: str) -> str:
    return f"{type_}, {words}" if words and words != type_ else type_


def source_phrases(source: SourceFacts, marks: Iterable[Mark], style: Style) -> Iterator[Phrase]:
    """What the card of a source tells."""
    yield Phrase(source.tag, bold=True, large=True)
    yield from marked(marks)
    if style.full:
        yield Phrase(source.designation, "quiet")
    yield Phrase(_named(source.type, source.model))
    if style.full:
        yield Phrase(source.maker, "quiet")
        yield Phrase(source.certificate)
        if source.drawing:
            yield Phrase(say("control drawing", number=source.drawing))
        yield Phrase(source.mark)
    yield Phrase(source.place or say("place unknown"), "quiet")
    if source.outputs:
        key = "outputs" if len(source.outputs) > 1 else "output"
        yield Phrase(say(key, name=" + ".join(source.outputs)), "quiet")
    yield Phrase(source.values, bold=True)
    yield Phrase(source.limits, bold=True)


def port_phrases(source: SourceFacts, nth: int) -> Iterator[Phrase]:
    """What stands behind one port."""
    port = source.ports[nth]
    yield Phrase(f"{say('port', name=port.name)}   {port.Um}", bold=True)
    yield Phrase(port.behind)


def member_phrases(member: MemberFacts, marks: Iterable[Mark], style: Style) -> Iterator[Phrase]:
    """What the card of an apparatus tells."""
    yield Phrase(member.tag, bold=True, large=True)
    yield from marked(marks)
    if style.full:
        yield Phrase(member.designation, "quiet")
    connection = f" ({member.connection})" if member.connection else ""
    yield Phrase(_named(member.type, member.words) + connection)
    yield Phrase(member.simple)
    if style.full:
        yield Phrase(member.maker, "quiet")
        yield Phrase(member.certificate)
        if member.drawing:
            yield Phrase(say("control drawing", number=member.drawing))
        yield Phrase(member.mark)
    yield Phrase(member.place, "quiet")
    if member.temporary:
        yield Phrase(say("temporary"))
    yield Phrase(member.inputs, bold=True)
    yield Phrase(member.stored, bold=True)
    yield Phrase(member.delivers)
    if style.full:
        for note in member.notes:
            yield Phrase(note, "quiet")


def box_phrases(
    box: JunctionFacts | None, name: str, flags: Iterable[str], style: Style, *, cut: bool
) -> Iterator[Phrase]:
    """What the head of a junction box tells."""
    yield Phrase(name, bold=True, large=True)
    if box is not None:
        if style.full:
            yield Phrase(box.designation, "quiet")
            yield Phrase(box.title)
        yield Phrase(box.place, "quiet")
    for flag in flags:
        yield Phrase(flag)
    if cut:
        yield Phrase(say("continued"), "quiet")


def run_phrases(
    run: RunFacts, marks: Iterable[Mark], style: Style
) -> tuple[list[Phrase], list[Phrase]]:
    """What is told of a run above and below its line."""
    above = [*marked(marks), Phrase(run.label, bold=True), Phrase(run.cable)]
    length = ", ".join(one for one in (run.length, run.built if style.full else "") if one)
    part = f"{run.part}, {length}" if run.part else length
    below = [Phrase(part, bold=True), Phrase(stored_words(run.C, run.L))]
    if style.full:
        below += [Phrase(run.pair), Phrase(run.screen), Phrase(run.area, "quiet")]
    return above, below
