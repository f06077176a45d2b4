"""Sheets as DXF (R2010), layers by meaning, the same bytes for the same drawing.

The library finds fonts when it is imported and keeps what it found in a cache in the user's
folder. We need none of it, so it is imported with the cache in a folder that is thrown away.
"""

from __future__ import annotations

import io
import os
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from functools import cache
from threading import Lock
from typing import TYPE_CHECKING, Any

from subspark.errors import UsageError
from subspark.papers.drawings.metrics import CAP, plain
from subspark.papers.drawings.shapes import (
    GREY,
    INK,
    PALE,
    PAPER,
    PENS,
    Circle,
    Line,
    Path,
    Pen,
    Rect,
    Sheet,
    Text,
    flat,
)

if TYPE_CHECKING:
    from ezdxf.layouts.layout import Modelspace

__all__ = ["dxf"]

_LOCK = Lock()
_APART = 20.0
"""Distance between sheets that lie side by side [mm]."""


@cache
def _library() -> Any:  # noqa: ANN401 - the module itself
    """The library, imported without leaving anything behind."""
    before = os.environ.get("XDG_CACHE_HOME")
    with tempfile.TemporaryDirectory() as folder:
        os.environ["XDG_CACHE_HOME"] = folder
        try:
            import ezdxf
        except ModuleNotFoundError:
            raise UsageError(
                "drawings as DXF need the package ezdxf, which is not installed; "
                "install what papers need with: pip install 'subspark[papers]'"
            ) from None
        finally:
            if before is None:
                del os.environ["XDG_CACHE_HOME"]
            else:
                os.environ["XDG_CACHE_HOME"] = before
    return ezdxf


@contextmanager
def _fixed() -> Iterator[Any]:
    """The library, told to write no date and no name by chance."""
    with _LOCK:
        ezdxf = _library()
        options = ezdxf.options
        before = options.write_fixed_meta_data_for_testing
        options.write_fixed_meta_data_for_testing = True
        try:
            yield ezdxf
        finally:
            options.write_fixed_meta_data_for_testing = before


def _rgb(colour: str) -> tuple[int, int, int]:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


_INDEX = {INK: 7, GREY: 8, PALE: 9}
"""Ink turns white on a dark screen: only numbers of the palette can do that."""
_WEIGHTS = (13, 15, 18, 20, 25, 30, 35, 40, 50, 60, 70, 80, 90, 100)


def _weight(pen: Pen) -> int:
    """Width of a line in hundredths of a millimetre, as the format allows."""
    return min(_WEIGHTS, key=lambda one: abs(one - pen.width * 100.0))


def _linetype(pen: Pen) -> str:
    return "_".join(["EXI", *(f"{round(one * 10):03d}" for one in pen.dash)]) if pen.dash else ""


class _Writer:
    def __init__(self, space: Modelspace, dx: float, height: float) -> None:
        self.space, self.dx, self.height = space, dx, height

    def at(self, x: float, y: float) -> tuple[float, float]:
        """A point of the sheet, y upward."""
        return round(x + self.dx, 4), round(self.height - y, 4)

    def attributes(self, kind: str) -> dict[str, Any]:
        pen = PENS[kind]
        found: dict[str, Any] = {"layer": pen.layer}
        if pen.colour in _INDEX:
            found["color"] = _INDEX[pen.colour]
        elif pen.colour:
            red, green, blue = _rgb(pen.colour)
            found["true_color"] = (red << 16) | (green << 8) | blue
        if pen.width:
            found["lineweight"] = _weight(pen)
        if pen.dash:
            found["linetype"] = _linetype(pen)
        return found

    def add(self, shape: Line | Path | Rect | Circle | Text) -> None:
        how = self.attributes(shape.kind)
        if PENS[shape.kind].fill not in ("", PAPER):
            self._fill(shape, how)
        if isinstance(shape, Text):
            self._text(shape, how)
        elif isinstance(shape, Line):
            self.space.add_line(self.at(shape.x1, shape.y1), self.at(shape.x2, shape.y2), how)
        elif isinstance(shape, Circle):
            self.space.add_circle(self.at(shape.x, shape.y), round(shape.r, 4), how)
        elif isinstance(shape, Rect):
            x, y, w, h = shape.x, shape.y, shape.width, shape.height
            corners = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]
            points = [self.at(*corner) for corner in corners]
            self.space.add_lwpolyline(points, close=True, dxfattribs=how)
        else:
            points = [self.at(*point) for point in shape.points]
            self.space.add_lwpolyline(points, close=shape.closed, dxfattribs=how)

    def _fill(self, shape: Line | Path | Rect | Circle | Text, how: dict[str, Any]) -> None:
        """The inside of a shape, where it is filled."""
        if not isinstance(shape, Circle | Path):
            return
        allowed = {key: one for key, one in how.items() if key in ("layer", "color", "true_color")}
        made = self.space.add_hatch(color=allowed.get("color", 7), dxfattribs=allowed)
        if isinstance(shape, Circle):
            made.paths.add_edge_path().add_arc(self.at(shape.x, shape.y), round(shape.r, 4))
        else:
            made.paths.add_polyline_path([self.at(*point) for point in shape.points])

    def _text(self, shape: Text, how: dict[str, Any]) -> None:
        """A text between two points, so that any font keeps within what was measured."""
        from ezdxf.enums import TextEntityAlignment

        words = " ".join(plain(shape.text).split())
        if not words:
            return
        height = round(CAP * shape.size, 4)
        style = "SUBSPARK_BOLD" if shape.bold else "SUBSPARK"
        made = self.space.add_text(words, height=height, dxfattribs={**how, "style": style})
        left = self.at(shape.left, shape.y)
        if len(words) > 1:
            right = self.at(shape.left + shape.width, shape.y)
            made.set_placement(left, right, align=TextEntityAlignment.FIT)
        else:
            made.set_placement(left)


def _tables(document: Any) -> None:  # noqa: ANN401 - the library's document
    for name, font in (("SUBSPARK", "arial.ttf"), ("SUBSPARK_BOLD", "arialbd.ttf")):
        document.styles.add(name, font=font)
    for pen in PENS.values():
        name = _linetype(pen)
        if name and name not in document.linetypes:
            marks = [one if nth % 2 == 0 else -one for nth, one in enumerate(pen.dash)]
            document.linetypes.add(name, [sum(pen.dash), *marks], description=name)
    for layer in dict.fromkeys(pen.layer for pen in PENS.values()):
        document.layers.add(layer)


def dxf(sheets: Sequence[Sheet]) -> bytes:
    """Write sheets side by side in one DXF file.

    Parameters
    ----------
    sheets : sequence of Sheet
        What is drawn, in millimetres.

    Returns
    -------
    bytes
        The file, in UTF-8.
    """
    with _fixed() as ezdxf:
        document = ezdxf.new("R2010", units=ezdxf.units.MM)
        _tables(document)
        space = document.modelspace()
        dx = 0.0
        for sheet in sheets:
            writer = _Writer(space, dx, sheet.height)
            for shape in flat(sheet.shapes):
                writer.add(shape)
            dx += sheet.width + _APART
        tall = max((sheet.height for sheet in sheets), default=100.0)
        document.set_modelspace_vport(height=tall * 1.1, center=((dx - _APART) / 2, tall / 2))
        stream = io.StringIO()
        document.write(stream)
    return stream.getvalue().encode("utf-8")
