"""Sheets as PDF, through Typst: texts stay texts, fonts are embedded, bytes are stable."""

from __future__ import annotations

import json
from collections.abc import Sequence
from functools import cache
from typing import TYPE_CHECKING, Any

from subspark.errors import UsageError
from subspark.papers.drawings.metrics import plain
from subspark.papers.drawings.shapes import (
    PENS,
    Circle,
    Line,
    Path,
    Rect,
    Sheet,
    Text,
    flat,
)
from subspark.papers.packages import font_folder, typst_library
from subspark.papers.printing import STAMP

if TYPE_CHECKING:
    from typst import Compiler

__all__ = ["TYPST_SHAPES", "pdf", "plain_shapes"]

TYPST_SHAPES = """
#let subspark-stroke(pen) = if pen.width == 0 { none } else {
  (paint: rgb(pen.colour), thickness: pen.width * 1mm, cap: "butt",
   dash: if pen.dash.len() == 0 { none } else { pen.dash.map(it => it * 1mm) })
}
#let subspark-fill(pen) = if pen.fill == "" { none } else { rgb(pen.fill) }
#let subspark-shapes(data, scale: 1.0) = {
  let mm = scale * 1mm
  for it in data.shapes {
    let pen = data.pens.at(it.at("pen"))
    if it.sort == "text" {
      place(dx: it.x * mm, dy: it.y * mm, text(
        size: it.size * mm, weight: if it.bold { 600 } else { 400 }, fill: rgb(pen.colour),
        top-edge: "baseline", bottom-edge: "baseline", kerning: false, ligatures: false,
        hyphenate: false, lang: "en", it.text))
    } else if it.sort == "circle" {
      place(dx: (it.x - it.r) * mm, dy: (it.y - it.r) * mm, circle(
        radius: it.r * mm, stroke: subspark-stroke(pen), fill: subspark-fill(pen)))
    } else if it.closed {
      place(polygon(stroke: subspark-stroke(pen), fill: subspark-fill(pen),
        ..it.points.map(p => (p.at(0) * mm, p.at(1) * mm))))
    } else {
      let (first, ..rest) = it.points.map(p => (p.at(0) * mm, p.at(1) * mm))
      place(curve(stroke: subspark-stroke(pen), curve.move(first), ..rest.map(curve.line)))
    }
  }
}
"""
"""Typst functions that draw what :func:`plain_shapes` writes, for papers that embed a drawing."""

_DOCUMENT = (
    TYPST_SHAPES
    + """
#let data = json(bytes(sys.inputs.drawing))
#set document(title: data.title, date: auto)
#set text(font: "Source Sans 3")
#for (nth, sheet) in data.sheets.enumerate() {
  page(width: sheet.width * 1mm, height: sheet.height * 1mm, margin: 0mm,
    subspark-shapes(sheet))
}
"""
)


def _n(value: float) -> float:
    return round(value, 3)


def _plain(one: Line | Path | Rect | Circle | Text) -> dict[str, Any]:
    if isinstance(one, Text):
        return {
            "sort": "text", "pen": one.kind, "x": _n(one.left), "y": _n(one.y),
            "text": plain(one.text), "size": _n(one.size), "bold": one.bold,
        }  # fmt: skip
    if isinstance(one, Circle):
        return {"sort": "circle", "pen": one.kind, "x": _n(one.x), "y": _n(one.y), "r": _n(one.r)}
    if isinstance(one, Line):
        points: Sequence[tuple[float, float]] = ((one.x1, one.y1), (one.x2, one.y2))
        closed = False
    elif isinstance(one, Rect):
        right, bottom = one.x + one.width, one.y + one.height
        points = ((one.x, one.y), (right, one.y), (right, bottom), (one.x, bottom))
        closed = True
    else:
        points, closed = one.points, one.closed
    told = [[_n(x), _n(y)] for x, y in points]
    return {"sort": "path", "pen": one.kind, "points": told, "closed": closed}


def plain_shapes(sheet: Sheet) -> dict[str, Any]:
    """A sheet as plain data for Typst: width, height, shapes and pens.

    Parameters
    ----------
    sheet : Sheet
        What is drawn.

    Returns
    -------
    dict
        To be handed on as JSON and drawn by the functions of :data:`TYPST_SHAPES`.
    """
    return {
        "width": sheet.width,
        "height": sheet.height,
        "shapes": [_plain(one) for one in flat(sheet.shapes)],
        "pens": {
            kind: {"colour": pen.colour, "width": pen.width, "dash": pen.dash, "fill": pen.fill}
            for kind, pen in PENS.items()
        },
    }


@cache
def _compiler(*, any_font: bool) -> Compiler:
    """The typesetter with the font of the papers alone, or with those of the machine too."""
    typst = typst_library()
    fonts = typst.Fonts(
        include_system_fonts=any_font,
        include_embedded_fonts=True,
        font_paths=[str(font_folder())],
    )
    made: Compiler = typst.Compiler(font_paths=fonts, ignore_system_fonts=not any_font)
    return made


def pdf(sheets: Sequence[Sheet], title: str) -> bytes:
    """Write sheets as one PDF/A, a page each.

    Parameters
    ----------
    sheets : sequence of Sheet
        What is drawn.
    title : str
        Title of the document.

    Returns
    -------
    bytes
        The file; the same bytes for the same drawing. Where a text has a character that the
        font of the papers lacks, a font of the machine shows it.

    Raises
    ------
    UsageError
        A character that no font at hand can show.
    """
    data = {"title": plain(title), "sheets": [plain_shapes(sheet) for sheet in sheets]}
    inputs = {"drawing": json.dumps(data, ensure_ascii=False)}
    try:
        return _compiled(inputs, any_font=False)
    except RuntimeError:  # the typesetter's own error: PDF/A allows no character without a glyph
        pass
    try:
        return _compiled(inputs, any_font=True)
    except RuntimeError as error:
        raise UsageError(f"the drawing of {title!r} cannot be a PDF: {error}") from None


def _compiled(inputs: dict[str, str], *, any_font: bool) -> bytes:
    made = _compiler(any_font=any_font).compile(
        input=_DOCUMENT.encode(),
        format="pdf",
        sys_inputs=inputs,
        pdf_standards="a-3b",
        timestamp=STAMP,
        pdf_tags=False,
    )
    if not isinstance(made, bytes):
        raise TypeError("the typesetter gave several files in place of one")
    return made
