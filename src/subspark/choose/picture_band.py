"""The whole plant in one look: a thin bar for each circuit, by its closest limit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from subspark.assess import Assessment
from subspark.assess.words import percent
from subspark.choose.picture_svg import SIZE, Box, Picture, Sheet, width_of
from subspark.rules import Verdict

__all__ = ["Bar", "band", "bars_of"]

_EDGE, _OVER = 16.0, 1.3
_WIDEST, _NARROWEST = 9.0, 1.0
_ORDER = (Verdict.UNSAFE, Verdict.UNPROVEN, Verdict.SAFE)


class Bar(NamedTuple):
    """One circuit."""

    tag: str
    verdict: Verdict
    used: float | None
    governing: str


def bars_of(assessment: Assessment) -> list[Bar]:
    """Every circuit in the order of the picture: unsafe, unproven, safe; the most used first."""
    bars = [
        Bar(one.tag, one.verdict, one.utilisation, one.governing) for one in assessment.summaries()
    ]
    return sorted(
        bars,
        key=lambda one: (
            _ORDER.index(one.verdict) if one.verdict in _ORDER else len(_ORDER),
            -(math.inf if one.used is None else one.used),
            one.tag,
        ),
    )


def band(assessment: Assessment, *, width: float = 960.0, height: float = 88.0) -> Picture:
    """Draw every circuit of a plant as a thin bar by what it uses of its closest limit.

    Parameters
    ----------
    assessment : Assessment
        The judged plant.
    width, height : float
        Of the picture and of its bars, in pixels; width from 320.

    Returns
    -------
    Picture
        Unsafe circuits hatched and over the line of 100 %, unproven ones open, safe ones filled.
        Where there are more circuits than pixels a bar stands for several, and shows the most
        used of them.
    """
    sheet = Sheet(max(width, 320.0))
    bars = bars_of(assessment)
    counts = assessment.counts
    x = _EDGE
    for verdict in _ORDER:
        text = f"{counts[verdict.word]:,} {verdict.word}"
        sheet.glyph(x + 5.0, 15.5, verdict.word)
        sheet.text(x + 16.0, 20.0, text, "bold")
        x += 16.0 + width_of(text, SIZE, bold=True) + 20.0
    plot = Box(_EDGE, 34.0, sheet.width - _EDGE, 34.0 + height)
    limit = plot.bottom - height / _OVER
    groups = _grouped(bars, int((plot.right - plot.left) / (_NARROWEST + 1.0)))
    step = min(_WIDEST, (plot.right - plot.left) / max(len(groups), 1))
    gap = 1.0 if step >= 2.5 else 0.0
    for nth, group in enumerate(groups):
        left = plot.left + nth * step
        worst = max(group, key=lambda one: -1.0 if one.used is None else one.used)
        with sheet.told(_words(group, worst)):
            _bar(sheet, Box(left, plot.top, left + step - gap, plot.bottom), limit, worst)
    end = plot.left + step * len(groups)
    sheet.line(plot.left, plot.bottom, max(end, plot.left + 40.0), plot.bottom, "axis")
    sheet.line(plot.left, limit, max(end, plot.left + 40.0), limit, "mark")
    sheet.text(_EDGE, plot.bottom + 16.0, "each bar: what one circuit uses of its closest limit; "
               "the line is 100 %" if sheet.width > 480 else "bars: share of the closest limit; "
               "line: 100 %", "small soft")  # fmt: skip
    told = ", ".join(f"{count:,} {word}" for word, count in counts.items())
    name = assessment.plant.name
    return sheet.picture(plot.bottom + 26.0, f"{name}: all circuits", f"{name}: {told}.")


def _grouped(bars: Sequence[Bar], most: int) -> list[list[Bar]]:
    """Bars of one verdict together, so few that each can be seen."""
    size = max(1, -(-len(bars) // most))
    out: list[list[Bar]] = []
    for one in bars:
        if out and len(out[-1]) < size and out[-1][0].verdict is one.verdict:
            out[-1].append(one)
        else:
            out.append([one])
    return out


def _words(group: list[Bar], worst: Bar) -> str:
    used = "" if worst.used is None else f", {percent(worst.used)}"
    rule = f", {worst.governing}" if worst.governing else ""
    more = f" and {len(group) - 1} more" if len(group) > 1 else ""
    return f"{worst.tag}{more}: {worst.verdict.word}{rule}{used}"


def _bar(sheet: Sheet, box: Box, limit: float, one: Bar) -> None:
    if one.used is None:
        word = "unsafe" if one.verdict is Verdict.UNSAFE else "unproven"
        whole = Box(box.left, limit, box.right, box.bottom)
        sheet.rect(whole, f"bar {word}")
        if one.verdict is Verdict.UNSAFE:
            sheet.hatch(whole, "lines unsafe", 3.0)
        else:
            sheet.path([(box.left, limit), (box.right, limit)], f"lines {word}")
        return
    top = box.bottom - (box.bottom - limit) * min(one.used, _OVER)
    name = "bar safe" if one.verdict is Verdict.SAFE else f"bar {one.verdict.word}"
    sheet.rect(Box(box.left, top, box.right, box.bottom), name)
    if one.verdict is not Verdict.SAFE:
        sheet.hatch(Box(box.left, top, box.right, box.bottom), f"lines {one.verdict.word}", 3.0)
