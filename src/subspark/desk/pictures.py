"""Pictures that other rooms draw, where they are there; a page without them is complete too."""

from __future__ import annotations

import base64
import importlib
import re

from django.utils.safestring import SafeString

from subspark.assess import Assessment
from subspark.errors import SubsparkError
from subspark.model import Record, SourceType

__all__ = ["drawing", "inside", "plane", "reference", "style"]

_SAFE_START = re.compile(r"\s*(<\?xml[^>]*>)?\s*<svg\b")
_FORBIDDEN = re.compile(
    r"<\s*(script|foreignObject|iframe|object|embed|image|use|a)\b|<[^>]*\son\w+\s*=", re.IGNORECASE
)


_STYLE = re.compile(r"<style>(.*?)</style>", re.DOTALL)


def style() -> str:
    """The style of drawings as a file of its own: none may stand in a page."""
    try:
        shapes = importlib.import_module("subspark.papers.drawings.shapes")
        svg = importlib.import_module("subspark.papers.drawings.svg")
    except ImportError:
        return ""
    sheet = shapes.Sheet(1.0, 1.0, shapes.Box(0.0, 0.0, 1.0, 1.0), "style")
    found = _STYLE.search(svg.svg(sheet, themed=True))
    return found[1] if found else ""


def drawing(assessment: Assessment, tag: str) -> SafeString | None:
    """The drawing of a circuit from the safe area to the field."""
    return _drawn("circuit_svg", assessment, tag)


def plane(assessment: Assessment, tag: str) -> str:
    """The plane of capacitance and inductance as a file of its own, with its style.

    Raises
    ------
    SubsparkError
        The circuit has no such plane.
    """
    from subspark.choose.pictures import plane as picture

    return picture(assessment, tag).svg


def inside(svg: str) -> str:
    """A picture as the address of an image inside a page: its style stays its own."""
    return f"data:image/svg+xml;base64,{base64.b64encode(svg.encode()).decode()}"


def reference(source: Record | None) -> str:
    """The printed figures of a source against the curves, inside a page; blank where none is."""
    from subspark.choose.pictures import reference as picture
    from subspark.store.judging import curves

    if not isinstance(source, SourceType):
        return ""
    try:
        return inside(picture(source, curves()).svg)
    except SubsparkError:
        return ""


def _drawn(name: str, assessment: Assessment, tag: str) -> SafeString | None:
    """The picture of that name by the room of papers; None where it has none."""
    try:
        room = importlib.import_module("subspark.papers.drawings")
    except ImportError:
        return None
    draw = getattr(room, name, None)
    if draw is None:
        return None
    try:
        text = str(draw(assessment, tag))
    except SubsparkError:
        return None
    if not _SAFE_START.match(text) or _FORBIDDEN.search(text):
        return None
    return SafeString(_STYLE.sub("", text[text.index("<svg") :]))
