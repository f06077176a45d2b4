"""The kit that pictures are drawn with: shapes with a meaning, measured texts, one style.

A shape has a class that says what it means; colours stand in one style that a page may set by
custom properties (``--picture-ink`` and so on). There are no identifiers, so that many pictures
can stand in one page, and no hatch leans on a pattern defined elsewhere. Light blue is kept for
Ex i wiring in drawings and appears nowhere here.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Literal, NamedTuple
from xml.sax.saxutils import escape, quoteattr

__all__ = ["GLYPHS", "PALETTE", "SIZE", "SMALL", "TITLE", "Anchor", "Box", "Picture", "Sheet",
           "box_of", "fitted", "style", "ticks_of", "width_of", "wrapped"]  # fmt: skip

Anchor = Literal["start", "middle", "end"]
SIZE, SMALL, TITLE = 12.0, 11.0, 14.0
_ASCENT, _DESCENT = 0.78, 0.22
_BOLD = 1.08
_MONO = 0.61
_GAP = 5.0

PALETTE: dict[str, tuple[str, str]] = {
    "paper": ("#FBFAF7", "#15181B"),
    "ink": ("#1E2328", "#E8E6E1"),
    "soft": ("#565D66", "#A5A9AD"),
    "line": ("#D9D6CD", "#33383D"),
    "strong": ("#8E8B84", "#6B7178"),
    "safe": ("#1B7F6B", "#4FB79F"),
    "unsafe": ("#C8442B", "#EE7D62"),
    "unproven": ("#A8741A", "#D8A54A"),
}
"""Colours by meaning, on light and on dark paper; each may be set as ``--picture-NAME``."""
GLYPHS = {
    "safe": "disc", "unsafe": "diamond", "unproven": "ring", "not asked": "dot",
    "works": "up", "fails": "down",
}  # fmt: skip
"""The glyph of each verdict: none is told by its colour alone."""
_COLOUR_OF = {"works": "safe", "fails": "unsafe", "not asked": "soft"}

_WIDTHS = (
    (28, "'ijl"), (30, "I"), (32, " ,.·\u00a0"), (34, "/:;\\|"), (36, "f"), (37, "-"),
    (40, "()[]t"),
    (41, "!²³"), (42, "r"), (46, '"'), (50, "*J`°"), (53, "sz"), (55, "c"), (56, "?L_–"),
    (58, "k"), (60, "vxy"), (62, "FTaeoäöéèåø"), (64, "$0123456789bdghnpqu{}µü"), (67, "EKPSY"),
    (69, "ABVXZÄ"), (73, "CR"), (74, "UÜ"), (75, "N"), (76, "H"), (78, "&DG"), (79, "OQÖ"),
    (82, "w"), (84, "#+<=>^~×÷±−≤≥↑↓"), (87, "M"), (96, "%"), (98, "m"),
)  # fmt: skip
_WIDTH = {letter: share / 100.0 for share, letters in _WIDTHS for letter in letters}
"""Widths of letters as a share of the size: the widest of the sans fonts that a reader may have."""
_COLOUR = re.compile("{(" + "|".join(PALETTE) + ")}")
_QUANTITY = re.compile(
    r"(?<=\d) (?=(?:%|°C|[pnµmkM]?(?:F|H|V|A|W|K|s|Hz|m|ohm)(?:/\w+)?)(?:[.,;:)]|\s|$))"
)
"""Blanks at which a line is not broken: between a number and its unit."""
_BAD = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


class Box(NamedTuple):
    """A rectangle by its sides."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Box) -> bool:
        """Whether two overlap."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )


def width_of(text: str, size: float = SIZE, *, bold: bool = False, mono: bool = False) -> float:
    """Width that a text takes at the most, in the units of the picture."""
    if mono:
        return len(text) * _MONO * size
    width = sum(_WIDTH.get(letter, 1.0) for letter in text) * size
    return width * _BOLD if bold else width


def fitted(text: str, room: float, size: float = SIZE, *, bold: bool = False,
           mono: bool = False) -> str:  # fmt: skip
    """A text cut to a width, its end marked where it was cut."""
    if width_of(text, size, bold=bold, mono=mono) <= room:
        return text
    kept = text
    while kept and width_of(kept + "…", size, bold=bold, mono=mono) > room:
        kept = kept[:-1]
    return kept.rstrip() + "…"


def wrapped(text: str, room: float, size: float = SIZE, most: int = 3) -> list[str]:
    """A text in lines that fit; the last of ``most`` is cut."""
    lines: list[str] = []
    words = _QUANTITY.sub("\u00a0", text).split(" ")
    line = ""
    for place, word in enumerate(words):
        longer = f"{line} {word}" if line else word
        if width_of(longer, size) <= room or not line:
            line = longer
            continue
        if len(lines) == most - 1:
            line = " ".join([line, *words[place:]])
            break
        lines.append(line)
        line = word
    return [*lines, fitted(line, room, size)]


def ticks_of(top: float, count: int = 5) -> list[float]:
    """Round numbers from 0 to a top, about so many: steps of 1, 2 or 5."""
    if not (top > 0.0 and math.isfinite(top)):
        return [0.0]
    power = 10.0 ** math.floor(math.log10(top / count))
    step = next(m for m in (1, 2, 5, 10) if top / (m * power) <= count) * power
    return [float(f"{k * step:.12g}") for k in range(int(top / step * (1 + 1e-12)) + 1)]


class Picture:
    """An SVG picture; notebooks show it.

    Parameters
    ----------
    svg : str
        One ``<svg>`` element, light or dark as its page is.
    """

    __slots__ = ("svg",)

    def __init__(self, svg: str) -> None:
        self.svg = svg

    @property
    def paper(self) -> str:
        """The same in plain colours on white, for readers of SVG that know no variables."""
        return self.svg.replace(f"<style>{_themed()}</style>", f"<style>{_plain()}</style>", 1)

    @property
    def bare(self) -> str:
        """The same without its style, for a page that has :func:`style` in a file of its own."""
        return self.svg.replace(f"<style>{_themed()}</style>", "", 1)

    def __str__(self) -> str:
        return self.svg

    def _repr_svg_(self) -> str:
        return self.svg


def style() -> str:
    """The style of all pictures, to be put in a file of its own."""
    return _themed()


_FAMILY = "Inter,'Source Sans 3','Segoe UI',system-ui,'Noto Sans','DejaVu Sans',Arial,sans-serif"
_MONO_FAMILY = "ui-monospace,'Cascadia Mono','DejaVu Sans Mono','Liberation Mono',monospace"
_RULES = (
    (".paper", "fill:{paper}"),
    ("text", "fill:{ink};stroke:none"),
    ("text", f"font-family:{_FAMILY};font-size:{SIZE:g}px;font-variant-numeric:tabular-nums"),
    (".halo", "paint-order:stroke;stroke:{paper};stroke-width:3px;stroke-linejoin:round"),
    (".wide", "stroke-width:6px"),
    (".small", f"font-size:{SMALL:g}px"),
    (".title", f"font-size:{TITLE:g}px"),
    (".bold", "font-weight:600"),
    (".mono", f"font-family:{_MONO_FAMILY}"),
    ("text.soft", "fill:{soft}"),
    ("text.safe", "fill:{safe}"),
    ("text.unsafe", "fill:{unsafe}"),
    ("text.unproven", "fill:{unproven}"),
    (".hair", "stroke:{line};stroke-width:1;fill:none"),
    (".axis", "stroke:{strong};stroke-width:1;fill:none"),
    (".mark", "stroke:{ink};stroke-width:1.2;fill:none"),
    (".thick", "stroke:{ink};stroke-width:2;fill:none"),
    (".dash", "stroke:{strong};stroke-width:1;fill:none;stroke-dasharray:4 3"),
    (".walk", "stroke:{ink};stroke-width:1.5;fill:none"),
    (".onward", "stroke:{ink};stroke-width:1.5;fill:none;stroke-dasharray:1.5 3"),
    (".wash", "fill:{safe};fill-opacity:.13;stroke:none"),
    (".edge", "stroke:{safe};stroke-width:1.5;fill:none"),
    (".hatch", "stroke:{strong};stroke-width:.8;fill:none;stroke-opacity:.7"),
    (".track", "fill:{line};fill-opacity:.45"),
    (".bar", "fill:{soft};fill-opacity:.55"),
    (".bar.safe", "fill:{safe};fill-opacity:1"),
    (".bar.unsafe", "fill:{unsafe};fill-opacity:.3"),
    (".bar.unproven", "fill:{unproven};fill-opacity:.3"),
    (".lines.safe", "stroke:{safe};stroke-width:1.1;fill:none"),
    (".lines.unsafe", "stroke:{unsafe};stroke-width:1.1;fill:none"),
    (".lines.unproven", "stroke:{unproven};stroke-width:1.1;fill:none"),
    (".solid.safe", "fill:{safe}"),
    (".solid.unsafe", "fill:{unsafe}"),
    (".solid.unproven", "fill:{unproven}"),
    (".solid.soft", "fill:{soft}"),
    (".ring", "fill:{paper};stroke-width:2"),
    (".ring.unproven", "stroke:{unproven}"),
    (".ring.unsafe", "stroke:{unsafe}"),
    (".ring.safe", "stroke:{safe}"),
    (".ring.soft", "stroke:{soft}"),
    (".cut", "stroke:{paper};stroke-width:1.6;fill:none"),
)  # fmt: skip


def _rules(scope: str, colours: dict[str, str]) -> str:
    return "".join(
        f"{scope} {name}{{{_COLOUR.sub(lambda found: colours[found[1]], text)}}}"
        for name, text in _RULES
    )


def _themed() -> str:
    scope = ".subspark-picture"
    colours = {name: f"var(--s-{name})" for name in PALETTE}
    shades = [
        ";".join(f"--s-{name}:var(--picture-{name},{pair[dark]})" for name, pair in PALETTE.items())
        for dark in (0, 1)
    ]
    return (
        f"{scope}{{{shades[0]};max-width:100%;height:auto}}"
        f"@media (prefers-color-scheme:dark){{{scope}{{{shades[1]}}}}}"
        f"{_rules(scope, colours)}"
    )


def _plain() -> str:
    colours = {name: pair[0] for name, pair in PALETTE.items()} | {"paper": "#FFFFFF"}
    return _rules(".subspark-picture", colours)


def _n(value: float) -> str:
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _clean(text: str) -> str:
    return _BAD.sub("\ufffd", text)


@dataclass(slots=True)
class Sheet:
    """A sheet to draw on: its width, and what was drawn so far."""

    width: float
    parts: list[str] = field(default_factory=list)

    def line(self, x1: float, y1: float, x2: float, y2: float, name: str) -> None:
        """A straight line."""
        self.parts.append(
            f'<line class="{name}" x1="{_n(x1)}" y1="{_n(y1)}" x2="{_n(x2)}" y2="{_n(y2)}"/>'
        )

    def rect(self, box: Box, name: str) -> None:
        """A rectangle; nothing where it has no area."""
        wide, high = box.right - box.left, box.bottom - box.top
        if wide > 0.0 and high > 0.0:
            self.parts.append(
                f'<rect class="{name}" x="{_n(box.left)}" y="{_n(box.top)}" '
                f'width="{_n(wide)}" height="{_n(high)}"/>'
            )

    def path(
        self, points: Sequence[tuple[float, float]], name: str, *, closed: bool = False
    ) -> None:
        """A line through points."""
        listed = " ".join(f"{_n(x)},{_n(y)}" for x, y in points)
        self.parts.append(
            f'<{"polygon" if closed else "polyline"} class="{name}" points="{listed}"/>'
        )

    def hatch(self, box: Box, name: str, step: float = _GAP) -> None:
        """A rectangle hatched from lower left to upper right."""
        left, top, right, bottom = box
        if right <= left or bottom <= top:
            return
        high = bottom - top
        strokes = []
        at = left - high + step - math.fmod(left - high, step)
        while at < right:
            x1, x2 = max(at, left), min(at + high, right)
            if x2 > x1:
                strokes.append(
                    f"M{_n(x1)} {_n(bottom - (x1 - at))}L{_n(x2)} {_n(bottom - (x2 - at))}"
                )
            at += step
        if strokes:
            self.parts.append(f'<path class="{name}" d="{"".join(strokes)}"/>')

    def text(self, x: float, y: float, text: str, name: str = "", anchor: Anchor = "start") -> None:
        """One line of text; ``y`` is its baseline."""
        kind = f' class="{name}"' if name else ""
        place = "" if anchor == "start" else f' text-anchor="{anchor}"'
        self.parts.append(
            f'<text{kind} x="{_n(x)}" y="{_n(y)}"{place}>{escape(_clean(text))}</text>'
        )

    def glyph(self, x: float, y: float, verdict: str, r: float = 4.5) -> None:
        """The sign of a verdict, by its middle."""
        colour, shape = _COLOUR_OF.get(verdict, verdict), GLYPHS[verdict]
        if shape == "disc":
            self._circle(x, y, r, f"solid {colour}")
        elif shape == "ring":
            self._circle(x, y, r - 1.0, f"ring {colour}")
        elif shape == "dot":
            self._circle(x, y, 1.5, f"solid {colour}")
        elif shape == "diamond":
            out = r * 1.25
            self.path([(x, y - out), (x + out, y), (x, y + out), (x - out, y)],
                      f"solid {colour}", closed=True)  # fmt: skip
            self.line(x - out * 0.55, y + out * 0.55, x + out * 0.55, y - out * 0.55, "cut")
        else:
            up = -1.0 if shape == "up" else 1.0
            points = [
                (x, y + up * r),
                (x + r * 1.1, y - up * r * 0.8),
                (x - r * 1.1, y - up * r * 0.8),
            ]
            self.path(points, f"{'solid' if shape == 'up' else 'ring'} {colour}", closed=True)

    def _circle(self, x: float, y: float, r: float, name: str) -> None:
        self.parts.append(f'<circle class="{name}" cx="{_n(x)}" cy="{_n(y)}" r="{_n(r)}"/>')

    @contextmanager
    def told(self, title: str) -> Iterator[None]:
        """What is drawn within has a title that a pointer shows and a reader is told."""
        self.parts.append(f"<g><title>{escape(_clean(title))}</title>")
        yield
        self.parts.append("</g>")

    def picture(self, height: float, title: str, description: str) -> Picture:
        """The whole."""
        size = f'width="{_n(self.width)}" height="{_n(height)}"'
        return Picture(
            f'<svg xmlns="http://www.w3.org/2000/svg" class="subspark-picture" role="img" '
            f'aria-label={quoteattr(_clean(title))} viewBox="0 0 {_n(self.width)} {_n(height)}" '
            f"{size}><title>{escape(_clean(title))}</title>"
            f"<desc>{escape(_clean(description))}</desc><style>{_themed()}</style>"
            f'<rect class="paper" {size}/>{"".join(self.parts)}</svg>'
        )

    def heading(self, tag: str, told: str, verdict: str) -> float:
        """Tag, sign and sentence at the top; returns where the rest may begin."""
        edge = 16.0
        self.text(edge, 24.0, fitted(tag, self.width / 2, TITLE, bold=True, mono=True),
                  "mono title bold")  # fmt: skip
        word = width_of(verdict, SIZE, bold=True)
        self.text(self.width - edge, 24.0, verdict,
                  f"bold {_COLOUR_OF.get(verdict, verdict)}", "end")  # fmt: skip
        self.glyph(self.width - edge - word - 10.0, 19.5, verdict)
        y = 42.0
        for line in wrapped(told, self.width - 2 * edge):
            self.text(edge, y, line, "soft")
            y += 16.0
        return y


def box_of(x: float, y: float, text: str, size: float, anchor: Anchor, *, bold: bool = False,
           mono: bool = False) -> Box:  # fmt: skip
    """What a text covers."""
    wide = width_of(text, size, bold=bold, mono=mono)
    left = x - wide * {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor]
    return Box(left, y - _ASCENT * size, left + wide, y + _DESCENT * size)
