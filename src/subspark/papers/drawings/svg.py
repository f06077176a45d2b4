"""Sheets as SVG: with plain colours for paper, or with classes alone for pages to colour."""

from __future__ import annotations

from collections.abc import Iterable
from xml.sax.saxutils import escape, quoteattr

from subspark.papers.drawings.metrics import plain
from subspark.papers.drawings.shapes import (
    PENS,
    Circle,
    Group,
    Line,
    Rect,
    Shape,
    Sheet,
    Text,
)

__all__ = ["svg"]

_FAMILY = "'Source Sans 3', 'Source Sans Pro', Inter, Arial, sans-serif"


def _n(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".") if value else "0"


def _class(kind: str) -> str:
    return f'class="{kind.replace(" ", "-")}"'


def _text(one: Text) -> str:
    place = "" if one.anchor == "start" else f' text-anchor="{one.anchor}"'
    weight = ' font-weight="600"' if one.bold else ""
    words = plain(one.text)
    fit = ""
    if len(words) > 1:
        fit = f' textLength="{_n(one.width)}" lengthAdjust="spacingAndGlyphs"'
    return (
        f'<text {_class(one.kind)} x="{_n(one.x)}" y="{_n(one.y)}" font-size="{_n(one.size)}"'
        f"{weight}{place}{fit}>{escape(words)}</text>"
    )


def _shape(one: Shape) -> str:
    if isinstance(one, Group):
        title = f"<title>{escape(plain(one.title))}</title>"
        return f'<g class="{one.name}">{title}{"".join(map(_shape, one.shapes))}</g>'
    if isinstance(one, Text):
        return _text(one)
    if isinstance(one, Line):
        ends = f'x1="{_n(one.x1)}" y1="{_n(one.y1)}" x2="{_n(one.x2)}" y2="{_n(one.y2)}"'
        return f"<line {_class(one.kind)} {ends}/>"
    if isinstance(one, Rect):
        size = f'width="{_n(one.width)}" height="{_n(one.height)}"'
        return f'<rect {_class(one.kind)} x="{_n(one.x)}" y="{_n(one.y)}" {size}/>'
    if isinstance(one, Circle):
        return f'<circle {_class(one.kind)} cx="{_n(one.x)}" cy="{_n(one.y)}" r="{_n(one.r)}"/>'
    points = " ".join(f"{_n(x)},{_n(y)}" for x, y in one.points)
    name = "polygon" if one.closed else "polyline"
    return f'<{name} {_class(one.kind)} points="{points}"/>'


def _css(scope: str) -> str:
    """One rule for each meaning: a variable of the page where it sets one, else paper colours."""
    rules = [f"{scope} text{{font-family:{_FAMILY};stroke:none}}"]
    for kind, pen in PENS.items():
        name = kind.replace(" ", "-")
        colour = f"var(--drawing-{name},{pen.colour})"
        if pen.width:
            fill = f"var(--drawing-{name}-fill,{pen.fill})" if pen.fill else "none"
            dash = f";stroke-dasharray:{' '.join(map(_n, pen.dash))}" if pen.dash else ""
            rules.append(
                f"{scope} .{name}{{stroke:{colour};stroke-width:{_n(pen.width)};fill:{fill}{dash}}}"
            )
        else:
            rules.append(f"{scope} text.{name}{{fill:{colour}}}")
    return "".join(rules)


def _paper(kinds: Iterable[str]) -> str:
    """The same without variables, for readers of SVG that know none."""
    rules = [f"text{{font-family:{_FAMILY};stroke:none}}"]
    for kind in sorted(kinds):
        pen, name = PENS[kind], kind.replace(" ", "-")
        if pen.width:
            dash = f";stroke-dasharray:{' '.join(map(_n, pen.dash))}" if pen.dash else ""
            width = _n(pen.width)
            fill = pen.fill or "none"
            rules.append(f".{name}{{stroke:{pen.colour};stroke-width:{width};fill:{fill}{dash}}}")
        else:
            rules.append(f"text.{name}{{fill:{pen.colour}}}")
    return "".join(rules)


def svg(sheet: Sheet, *, themed: bool = False) -> str:
    """Write a sheet as SVG.

    Parameters
    ----------
    sheet : Sheet
        What is drawn.
    themed : bool
        For a page: no size of its own, and colours that the page may set by CSS variables
        (``--drawing-wire``). Otherwise for paper, in millimetres and plain colours.

    Returns
    -------
    str
        One ``<svg>`` element, with a title and a description for those who cannot see it.
    """
    size = f'viewBox="0 0 {_n(sheet.width)} {_n(sheet.height)}"'
    if not themed:
        size += f' width="{_n(sheet.width)}mm" height="{_n(sheet.height)}mm"'
    body = "".join(map(_shape, sheet.shapes))
    style = _css(".subspark-drawing") if themed else _paper(PENS)
    title = escape(plain(sheet.title))
    told = f"<desc>{escape(plain(sheet.description))}</desc>" if sheet.description else ""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="subspark-drawing" role="img" '
        f"aria-label={quoteattr(plain(sheet.title))} {size}>"
        f"<title>{title}</title>{told}<style>{style}</style>{body}</svg>"
    )
