"""The ladder of limits: what each rule uses of its limit, and what holds or does not."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from subspark.assess import Assessment, Finding
from subspark.assess.words import percent
from subspark.choose.picture_svg import (
    SIZE,
    SMALL,
    Box,
    Picture,
    Sheet,
    fitted,
    width_of,
    wrapped,
)
from subspark.rules import Verdict
from subspark.rules.fieldbus import SEGMENT_RULES

__all__ = ["Rung", "ladder", "rungs_of"]

_EDGE, _GAP, _ROW, _BAR = 16.0, 28.0, 36.0, 8.0
_SIDE_BY_SIDE = 620.0
_OVER = 1.3
"""How far a bar may go beyond its limit; what is longer is broken off."""


class Rung(NamedTuple):
    """One rule: its name, share of the limit, both sides in words, of which member, verdict."""

    rule: str
    used: float | None
    numbers: str
    of: str
    verdict: str
    governs: bool


def rungs_of(finding: Finding) -> tuple[list[Rung], list[Rung]]:
    """What is asked: the quantity rules of safety, and every rule of function."""
    safety = [
        Rung(
            name,
            one.utilisation,
            _numbers(one.demand_text, one.limit_text),
            one.of,
            one.verdict.word,
            name == finding.governing,
        )
        for name, one in finding.rules.items()
        if one.rule.sort == "quantity" and one.verdict is not Verdict.NOT_ASKED
    ]
    function = [
        Rung(
            name,
            one.utilisation,
            _numbers(one.demand_text, one.limit_text),
            one.at_text,
            one.word,
            name == finding.works.governing,
        )
        for name, one in finding.works.rules.items()
        if one.verdict is not Verdict.NOT_ASKED
    ]
    return safety, function


def _numbers(demand: str, limit: str) -> str:
    if demand == limit == "unknown" or demand == limit == "not known":
        return "not known"
    return f"{demand} of {limit}" if limit else demand


def ladder(assessment: Assessment, tag: str, *, width: float = 760.0) -> Picture:
    """Draw what is used of each limit of one circuit, in its governing case.

    Parameters
    ----------
    assessment : Assessment
        In which the circuit was judged.
    tag : str
        The circuit.
    width : float
        In pixels, from 320; from 620 function stands beside safety, else below.

    Returns
    -------
    Picture
        A bar for each rule of a quantity, full at its limit and hatched over it; a sign for each
        rule that holds or does not; the rules of function beside.
    """
    finding = assessment[tag]
    sheet = Sheet(max(width, 320.0))
    top = sheet.heading(tag, finding.sentence, finding.verdict.word) + 10.0
    safety, function = rungs_of(finding)
    both = bool(function)
    beside = both and sheet.width >= _SIDE_BY_SIDE
    wide = (sheet.width - 2 * _EDGE - (_GAP if beside else 0.0)) / (2 if beside else 1)
    y = _column(sheet, _EDGE, top, wide, "safety", safety)
    y = _signs(sheet, _EDGE, y + 6.0, wide, finding)
    told = f"function: {finding.works.word}"
    if beside:
        y = max(y, _column(sheet, _EDGE + wide + _GAP, top, wide, told, function))
    elif both:
        y = _column(sheet, _EDGE, y + 14.0, wide, told, function)
    else:
        lacks = "; ".join(finding.works.missing[:2])
        text = f"Whether it works cannot be judged{f': {lacks}' if lacks else ''}."
        y += 12.0
        for line in wrapped(text, wide, SMALL):
            sheet.text(_EDGE, y, line, "small soft")
            y += 15.0
    title = f"{tag}: what is used of each limit"
    return sheet.picture(y + 8.0, title, f"{finding.sentence} {finding.works.sentence}")


def _column(
    sheet: Sheet, x: float, y: float, wide: float, title: str, rungs: Sequence[Rung]
) -> float:
    """Bars under a heading; returns where they end."""
    full = x + wide / _OVER
    sheet.text(x, y + 8.0, title, "small bold")
    sheet.text(full, y + 8.0, "limit", "small soft", "end")
    y += 16.0
    for rung in rungs:
        with sheet.told(f"{rung.rule}: {rung.verdict}, {rung.numbers} {rung.of}".rstrip()):
            _rung(sheet, x, y, wide, rung)
        y += _ROW
    return y


def _rung(sheet: Sheet, x: float, y: float, wide: float, rung: Rung) -> None:
    full = wide / _OVER
    share = "" if rung.used is None else percent(rung.used)
    weight = "bold" if rung.governs else ""
    sheet.glyph(x + 5.0, y + 9.0, rung.verdict)
    share_wide = width_of(share, SIZE, bold=True)
    name_room = wide - share_wide - 26.0
    name = fitted(rung.rule, name_room, SIZE, bold=rung.governs)
    sheet.text(x + 16.0, y + 13.0, name, weight)
    used = x + 16.0 + width_of(name, SIZE, bold=rung.governs) + 8.0
    room = wide - (used - x) - share_wide - 8.0
    both = f"{rung.numbers} ({rung.of})" if rung.of else rung.numbers
    told = both if width_of(both, SMALL) <= room else rung.numbers
    if room > 40.0:
        sheet.text(used, y + 13.0, fitted(told, room, SMALL), "small soft")
    sheet.text(x + wide, y + 13.0, share, weight, "end")
    _bar(sheet, Box(x, y + 18.0, x + full, y + 18.0 + _BAR), rung)


def _bar(sheet: Sheet, track: Box, rung: Rung) -> None:
    """A bar that is full at the limit; what goes over it is hatched and outlined."""
    full = track.right - track.left
    if rung.used is None:
        sheet.path(
            [(track.left, track.bottom - _BAR / 2), (track.right, track.bottom - _BAR / 2)], "dash"
        )
        sheet.line(track.right, track.top - 1.0, track.right, track.bottom + 1.0, "mark")
        return
    sheet.rect(track, "track")
    end = track.left + full * min(rung.used, 1.0)
    name = "bar safe" if rung.used <= 1.0 and rung.governs else "bar"
    sheet.rect(Box(track.left, track.top, end, track.bottom), name)
    sheet.line(track.right, track.top - 2.0, track.right, track.bottom + 2.0, "mark")
    if rung.used > 1.0:
        right = track.left + full * min(rung.used, _OVER)
        over = Box(track.right, track.top - 2.0, right, track.bottom + 2.0)
        sheet.rect(over, "bar unsafe")
        sheet.hatch(over, "lines unsafe", 4.0)
        if rung.used > _OVER:
            for by in (3.0, 6.0):
                sheet.line(right - by - 2, over.bottom + 1, right - by + 1, over.top - 1, "cut")


def _signs(sheet: Sheet, x: float, y: float, wide: float, finding: Finding) -> float:
    """The rules that hold or do not, in columns; what fails with its words."""
    asked = [
        (name, one)
        for name, one in finding.rules.items()
        if one.rule.sort == "suitability" and one.verdict is not Verdict.NOT_ASKED
    ]
    failing = [(n, one) for n, one in asked if one.verdict is not Verdict.SAFE]
    for name, one in failing:
        with sheet.told(f"{name}: {one.sentence}"):
            sheet.glyph(x + 5.0, y + 9.0, one.verdict.word)
            sheet.text(x + 16.0, y + 13.0, name, "bold" if name == finding.governing else "")
            left = x + 16.0 + width_of(name, SIZE, bold=True) + 8.0
            sheet.text(left, y + 13.0, fitted(one.sentence, x + wide - left, SMALL), "small soft")
        y += 18.0
    holding = [(n, one) for n, one in asked if one.verdict is Verdict.SAFE]
    columns = max(1, int(wide // 118.0))
    for place, (name, one) in enumerate(holding):
        at = x + (place % columns) * wide / columns
        row = y + (place // columns) * 18.0
        with sheet.told(f"{name}: {one.sentence}"):
            sheet.glyph(at + 5.0, row + 9.0, one.verdict.word, 3.5)
            sheet.text(at + 14.0, row + 13.0, fitted(name, wide / columns - 16.0, SMALL), "small")
    y += -(-len(holding) // columns) * 18.0
    spared = [
        name
        for name, one in finding.rules.items()
        if one.verdict is Verdict.NOT_ASKED and name not in SEGMENT_RULES
    ]
    if spared:
        y += 6.0
        for line in wrapped(f"not asked: {', '.join(spared)}", wide, SMALL, most=4):
            sheet.text(x, y + 11.0, line, "small soft")
            y += 15.0
    return y
