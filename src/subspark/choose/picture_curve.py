"""The figures of a source against the reference curves: a slip of a thousand is seen at once.

It is a picture and decides nothing. Whether a declared figure is doubted is the matter of the
cross-check of :mod:`subspark.assess.sources`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from subspark.choose.picture_svg import SMALL, Box, Picture, Sheet, box_of
from subspark.errors import UsageError
from subspark.model import SourceType
from subspark.physics.ignition import CAPACITANCE as PERMITTED
from subspark.physics.ignition import FACTOR_IA_IB, IIA, IIB, IIC, Curves
from subspark.quantity import CAPACITANCE, VOLTAGE, show

__all__ = ["Point", "points_of", "reference"]

_GROUPS = (("IIA", IIA), ("IIB", IIB), ("IIC", IIC))
_EDGE = 16.0
_LEFT = 68.0


@dataclass(frozen=True, slots=True)
class Point:
    """What a document prints: Co [F] at the Uo [V] of its output, for the groups of a column."""

    label: str
    U: float
    C: float


def points_of(source: SourceType) -> list[Point]:
    """Every printed Co of a source beside the Uo of its output."""
    found = {}
    for output in source.outputs:
        for limits in output.limits:
            if output.Uo.si > 0.0 and limits.Co.si > 0.0:
                told = f"{limits.group} {limits.Co.text}".strip()
                found[told, output.Uo.si, limits.Co.si] = Point(told, output.Uo.si, limits.Co.si)
    return list(found.values())


def reference(source: SourceType, curves: Curves, *, width: float = 520.0) -> Picture:
    """Draw the printed Co of a source against the curves of permitted capacitance.

    Parameters
    ----------
    source : SourceType
        The source.
    curves : Curves
        The reference curves in use; those for the safety factor of 1.5 are drawn.
    width : float
        Of the picture [px].

    Returns
    -------
    Picture
        Voltage to the right, capacitance upwards on a scale of powers of ten.

    Raises
    ------
    UsageError
        The source prints no Co, or the curves hold no capacitance.
    """
    points = points_of(source)
    lines = {
        name: list(zip(*curves.table(PERMITTED, spark, FACTOR_IA_IB), strict=True))
        for name, spark in _GROUPS
    }
    lines = {name: line for name, line in lines.items() if line}
    if not points or not lines:
        raise UsageError(f"source {source.name}: no Co is printed that could be drawn")
    every = [(one.U, one.C) for one in points] + [at for line in lines.values() for at in line]
    first, last = _ends([U for U, _ in every], 1.0)
    low, high = (math.floor(math.log10(min(C for _, C in every))),
                 math.ceil(math.log10(max(C for _, C in every))))  # fmt: skip
    box = Box(_LEFT, 34.0, width - _EDGE, 300.0)

    def place(U: float, C: float) -> tuple[float, float]:
        x = box.left + (U - first) / (last - first) * (box.right - box.left)
        share = (math.log10(C) - low) / max(1, high - low)
        return x, box.bottom - share * (box.bottom - box.top)

    sheet = Sheet(width)
    for power in range(low, high + 1):
        y = place(first, 10.0**power)[1]
        sheet.line(box.left, y, box.right, y, "hair")
        sheet.text(box.left - 6.0, y + 4.0, show(10.0**power, CAPACITANCE, 3), "small soft", "end")
    for U in range(math.ceil(first / 10.0) * 10, math.floor(last) + 1, 10):
        x = place(U, 10.0**low)[0]
        sheet.line(x, box.top, x, box.bottom, "hair")
        sheet.text(x, box.bottom + 16.0, show(float(U), VOLTAGE, 3), "small soft", "middle")
    sheet.line(box.left, box.bottom, box.right, box.bottom, "axis")
    sheet.line(box.left, box.top, box.left, box.bottom, "axis")
    sheet.text(_EDGE, 20.0, "↑ Co", "small soft")
    sheet.text(box.right, box.bottom + 32.0, "Uo →", "small soft", "end")
    for name, line in lines.items():
        path = [place(U, C) for U, C in line]
        sheet.path(path, "walk")
        sheet.text(path[0][0] + 4.0, path[0][1] - 5.0, name, "small soft halo")
    taken: list[Box] = []
    for one in sorted(points, key=lambda at: -at.C):
        _dot(sheet, place(one.U, one.C), one.label, box, taken)
    sheet.text(_EDGE, box.bottom + 52.0, "■ printed in the document", "small soft")
    sheet.text(_EDGE + 190.0, box.bottom + 52.0, "lines: permitted, factor 1.5", "small soft")
    told = ", ".join(f"{one.label} at {show(one.U, VOLTAGE, 4)}" for one in points)
    title = f"{source.name}: printed Co against the reference curves"
    return sheet.picture(box.bottom + 66.0, title, f"{told}. Curves: {curves.origin}")


def _ends(values: list[float], least: float) -> tuple[float, float]:
    low, high = min(values), max(values)
    around = max(least, (high - low) * 0.05)
    return max(0.0, low - around), high + around


def _dot(sheet: Sheet, at: tuple[float, float], label: str, within: Box, taken: list[Box]) -> None:
    """A printed figure with its label, beside it where there is room."""
    x, y = at
    with sheet.told(label):
        sheet.rect(Box(x - 3.5, y - 3.5, x + 3.5, y + 3.5), "solid soft")
        for down in (4.0, 16.0, -8.0, 28.0, 40.0):
            found = box_of(x + 8.0, y + down, label, SMALL, "start")
            side = 8.0
            if found.right > within.right:
                found = box_of(x - 8.0, y + down, label, SMALL, "end")
                side = -8.0
            if not any(found.meets(other) for other in taken):
                taken.append(found)
                anchor = "start" if side > 0 else "end"
                sheet.text(x + side, y + down, label, "small halo", anchor)  # type: ignore[arg-type]
                break
