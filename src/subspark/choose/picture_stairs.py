"""The budget of volts as a staircase, and the curve of types against the margin asked."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from subspark.assess.function.cases import Staircase, Step
from subspark.assess.function.findings import UNITS
from subspark.choose.picture_svg import (
    SIZE,
    SMALL,
    Box,
    Picture,
    Sheet,
    fitted,
    ticks_of,
    width_of,
    wrapped,
)
from subspark.errors import UsageError
from subspark.quantity import show

__all__ = ["margin_curve", "staircase"]

_EDGE, _ROW, _HEAD, _DIGITS = 16.0, 26.0, 17.0, 4
_NARROW = 520.0

MarginPoint = tuple[float, int, float, int]
"""The largest share of any limit that may be used, types, cost, circuits served."""


@dataclass(frozen=True, slots=True)
class _Scale:
    """From quantities to places along a plot, 0 at its left."""

    left: float
    right: float
    top: float

    def __call__(self, value: float) -> float:
        """Place of a value; that of 0 where it is not known."""
        share = 0.0 if math.isnan(value) else min(max(value / self.top, 0.0), 1.0)
        return self.left + (self.right - self.left) * share


class _Layout(NamedTuple):
    """Where the rows of a staircase stand; ``head`` is the room for words above a bar."""

    top: float
    row: float
    head: float
    label: float
    value: float
    x: _Scale

    def at(self, number: int) -> float:
        """Where a row begins."""
        return self.top + number * self.row


def staircase(told: Staircase | None, *, tag: str = "", width: float = 640.0) -> Picture:
    """Draw a budget: what is there, what each part takes, what is left against what is needed.

    Parameters
    ----------
    told : Staircase or None
        That of a finding: ``assessment[tag].works.staircase``.
    tag : str
        The circuit, for the heading.
    width : float
        In pixels, from 320.

    Raises
    ------
    UsageError
        There is none: the circuit's function is not judged by a budget.
    """
    if told is None or not told.steps:
        of = f"{tag}: " if tag else ""
        raise UsageError(f"{of}no budget to draw; wanted a circuit whose volts or ohms are judged")
    sheet = Sheet(max(width, 320.0))
    word = _word(told)
    at = f" at {told.at}" if told.at else ""
    left, needed = _show(told.left, told), _show(told.needed, told)
    said = f"{told.title}{at}, worst corner: {left} left, {needed} needed."
    plan = _layout(sheet, sheet.heading(tag or told.title, said, word) + 12.0, told)
    bottom = plan.at(len(told.steps) + 1)
    _axis(sheet, plan, told, bottom)
    above = [0.0, *(one.left for one in told.steps)]
    for nth, step in enumerate(told.steps):
        with sheet.told(f"{step.label}: {_change(step, told)}, {_show(step.left, told)} left"):
            _step(sheet, plan, nth, above[nth], step.left)
            _words(sheet, plan, nth, step.label, _change(step, told), "halo")
    last = len(told.steps)
    colour = {"works": "safe", "fails": "unsafe"}.get(word, "unproven")
    high = plan.at(last) + plan.head
    sheet.rect(Box(plan.x(0.0), high + 5.0, plan.x(told.left), high + _ROW - 5.0),
               f"solid {colour}")  # fmt: skip
    _needed(sheet, plan, told, bottom)
    _words(sheet, plan, last, "left", left, "bold halo")
    return sheet.picture(bottom + 46.0, f"{tag or told.title}: budget", said)


def _word(told: Staircase) -> str:
    """Whether the budget holds."""
    if math.isnan(told.left + told.needed):
        return "unproven"
    return "works" if told.left >= told.needed else "fails"


def _layout(sheet: Sheet, top: float, told: Staircase) -> _Layout:
    """Words beside the bars; above them where the picture is narrow."""
    narrow = sheet.width < _NARROW
    widest = max(width_of(one, SIZE) for one in [*(s.label for s in told.steps), "left"])
    label = min(widest + 12.0, sheet.width * 0.34)
    value = max(width_of(_change(one, told), SIZE) for one in told.steps)
    value = max(value, width_of(_show(told.left, told), SIZE, bold=True)) + 8.0
    reach = [abs(one) for one in (*(s.left for s in told.steps), told.left, told.needed)]
    most = max((one for one in reach if not math.isnan(one)), default=0.0)
    left = _EDGE + (0.0 if narrow else label)
    right = sheet.width - _EDGE - (0.0 if narrow else value)
    head = _HEAD if narrow else 0.0
    room = sheet.width - 2 * _EDGE - value if narrow else label
    return _Layout(top, _ROW + head, head, room, value, _Scale(left, right, most or 1.0))


def _axis(sheet: Sheet, plan: _Layout, told: Staircase, bottom: float) -> None:
    count = 6 if sheet.width >= _NARROW else 3
    for value in ticks_of(plan.x.top, count):
        at = plan.x(value)
        sheet.line(at, plan.top, at, bottom, "hair")
        text = "0" if value == 0.0 else _show(value, told)
        if abs(at - plan.x(told.needed)) > width_of(text, SMALL) / 2 + 4.0:
            sheet.text(at, bottom + 17.0, text, "small soft", "middle")


def _step(sheet: Sheet, plan: _Layout, nth: int, before: float, after: float) -> None:
    """What is left solid, what was taken hatched; a line leads down from the step above."""
    x, row = plan.x, plan.at(nth) + plan.head
    top, bottom = row + 5.0, row + _ROW - 5.0
    sheet.rect(Box(x(0.0), top, x(min(before, after) if nth else after), bottom), "bar")
    if nth:
        low, high = sorted((x(before), x(after)))
        sheet.rect(Box(low, top, high, bottom), "track")
        sheet.hatch(Box(low, top, high, bottom), "hatch", 4.0)
        sheet.line(x(before), plan.at(nth) - 5.0, x(before), top, "mark")


def _words(sheet: Sheet, plan: _Layout, nth: int, label: str, value: str, name: str) -> None:
    y = plan.at(nth) + 17.0
    sheet.text(_EDGE, y, fitted(label, plan.label - 8.0, bold="bold" in name), name)
    sheet.text(sheet.width - _EDGE, y, value, name, "end")


def _needed(sheet: Sheet, plan: _Layout, told: Staircase, bottom: float) -> None:
    """The line of what is needed, across all bars, with its words below."""
    at = plan.x(told.needed)
    for nth in range(len(told.steps) + 1):
        row = plan.at(nth) + plan.head
        sheet.line(at, row + 2.0, at, row + _ROW - 2.0, "thick")
    sheet.line(at, bottom, at, bottom + 22.0, "mark")
    text = f"needed {_show(told.needed, told)}"
    half = width_of(text, SMALL, bold=True) / 2
    middle = min(max(at, _EDGE + half), sheet.width - _EDGE - half)
    sheet.text(middle, bottom + 34.0, text, "small bold", "middle")


def _show(value: float, told: Staircase) -> str:
    return show(value, UNITS[told.unit], _DIGITS)


def _change(step: Step, told: Staircase) -> str:
    sign = "−" if step.change < 0.0 else "+" if step.change > 0.0 else ""
    return f"{sign}{_show(abs(step.change), told)}"


def margin_curve(points: Iterable[MarginPoint], *, width: float = 640.0) -> Picture:
    """Draw how many types a plant needs against the margin that is asked.

    Parameters
    ----------
    points : iterable of (share, types, cost, served)
        As :func:`subspark.choose.fewest.margins` gives them: the largest share of any limit that
        may be used, the fewest types found, their cost (NaN where not known), circuits served.
    width : float
        In pixels, from 320.

    Raises
    ------
    UsageError
        No point at all.
    """
    rows = sorted(points, key=lambda one: -one[0])
    if not rows:
        raise UsageError("no margins to draw; wanted one point at least")
    sheet = Sheet(max(width, 320.0))
    first, last = rows[0], rows[-1]
    said = (
        f"{first[1]} types where {_free(first[0])} of every limit must be left free, "
        f"{last[1]} where {_free(last[0])} must."
    )
    sheet.text(_EDGE, 24.0, "types against margin", "title bold")
    y = 42.0
    for words in wrapped(said, sheet.width - 2 * _EDGE):
        sheet.text(_EDGE, y, words, "soft")
        y += 16.0
    high = max(150.0, sheet.width * 0.34)
    plot = Box(_EDGE + 34.0, y + 16.0, sheet.width - _EDGE - 12.0, y + 16.0 + high)
    x = _Scale(plot.left, plot.right, max(0.01, *(1.0 - one[0] for one in rows)) * 1.06)
    up = _Scale(plot.bottom, plot.top, max(1.0, *(1.25 * one[1] for one in rows)))
    _curve_axes(sheet, plot, x, up)
    _curve(sheet, rows, x, up)
    height = _curve_key(sheet, rows, plot.bottom + 56.0)
    return sheet.picture(height, "types needed against the margin asked", said)


def _curve_axes(sheet: Sheet, plot: Box, x: _Scale, up: _Scale) -> None:
    for value in ticks_of(up.top, 5):
        if value == int(value):
            sheet.line(plot.left, up(value), plot.right, up(value), "hair")
            sheet.text(plot.left - 6.0, up(value) + 4.0, f"{value:.0f}", "small soft", "end")
    for value in ticks_of(x.top, 5 if sheet.width >= _NARROW else 3):
        sheet.text(x(value), plot.bottom + 17.0, _free(1.0 - value), "small soft", "middle")
    sheet.line(plot.left, plot.bottom, plot.right, plot.bottom, "axis")
    sheet.text(plot.right, plot.bottom + 34.0, "left free of every limit →", "small soft", "end")
    sheet.text(_EDGE, plot.top - 8.0, "↑ types", "small soft")


def _curve(sheet: Sheet, rows: Sequence[MarginPoint], x: _Scale, up: _Scale) -> None:
    """The steps and their points, told apart by a sign where circuits are left out."""
    places = [(x(1.0 - one[0]), up(float(one[1]))) for one in rows]
    line = places[:1]
    for before, place in itertools.pairwise(places):
        line += [(before[0], place[1]), place]
    sheet.path(line, "walk")
    most = max(one[3] for one in rows)
    used: list[float] = []
    for (px, py), (share, types, cost, served) in zip(places, rows, strict=True):
        paid = "" if math.isnan(cost) else f", cost {cost:,.0f}"
        with sheet.told(f"{_free(share)} free: {types} types, {served} circuits served{paid}"):
            sheet.glyph(px, py, "safe" if served == most else "unproven", 4.5)
        if all(abs(px - other) > 22.0 for other in used):
            sheet.text(px, py + 19.0, f"{types}", "small bold halo", "middle")
            used.append(px)


def _curve_key(sheet: Sheet, rows: Sequence[MarginPoint], y: float) -> float:
    most, fewest = max(one[3] for one in rows), min(one[3] for one in rows)
    sheet.glyph(_EDGE + 6.0, y - 4.0, "safe")
    sheet.text(_EDGE + 18.0, y, f"serves all {most:,} circuits that any type serves", "small")
    if fewest < most:
        y += 18.0
        sheet.glyph(_EDGE + 6.0, y - 4.0, "unproven")
        sheet.text(_EDGE + 18.0, y, f"leaves circuits out: serves {fewest:,} at the least", "small")
    return y + 14.0


def _free(share: float) -> str:
    return f"{100.0 * (1.0 - share):.3g} %"
