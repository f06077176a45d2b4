"""How far each input may move, as a picture: the tightest on top, on a scale of factors."""

from __future__ import annotations

import math
from typing import NamedTuple

from subspark.choose.picture_svg import (
    SIZE,
    SMALL,
    Anchor,
    Box,
    Picture,
    Sheet,
    fitted,
    width_of,
)
from subspark.choose.sensitivity import End, Sensed, Sensitivity, Span

__all__ = ["sensitivity_picture"]

_EDGE, _ROW, _LANE = 16.0, 36.0, 19.0
_FACTORS = ((10.0, "×10"), (3.0, "×3"), (1.0, "now"), (1 / 3.0, "÷3"), (0.1, "÷10"))
_KELVINS = ((100.0, "+100 K"), (50.0, "+50 K"), (0.0, "now"), (-50.0, "−50 K"), (-100.0, "−100 K"))
_TEN = math.log(10.0)
_WIDE = 560.0


class _Plot(NamedTuple):
    """Where the bars stand: left, middle and right."""

    left: float
    middle: float
    right: float

    def x(self, share: float) -> float:
        """Place of a move, -1 at the left end and 1 at the right."""
        return self.middle + (self.right - self.middle) * min(max(share, -1.0), 1.0)


def sensitivity_picture(
    found: Sensitivity, *, width: float = 760.0, most: int | None = None
) -> Picture:
    """Draw how far each input may move before a verdict changes.

    Parameters
    ----------
    found : Sensitivity
        Of one circuit.
    width : float
        In pixels, from 320.
    most : int, optional
        Only so many inputs, the tightest.

    Returns
    -------
    Picture
        A row for each input that is bound, with both intervals: safety above, function below.
        Bars end where a verdict changes, with the value and the rule; they are open where
        nothing does. Magnitudes stand on a scale of factors to ten times and a tenth,
        temperatures on one of kelvin.
    """
    sheet = Sheet(max(width, 320.0))
    bound = [one for one in found.inputs if any(one.ends)]
    shown = bound if most is None else bound[:most]
    sizes = [one for one in shown if not one.kind.signed]
    degrees = [one for one in shown if one.kind.signed]
    said = f"{len(bound)} of {len(found.inputs)} inputs are bound."
    if bound:
        said = f"Tightest: {bound[0].label}, {_words(bound[0])}. {said}"
    y = _key(sheet, sheet.heading(found.tag, said, found.verdict) + 4.0, found)
    y = _block(sheet, y, sizes, _FACTORS, _TEN)
    y = _block(sheet, y, degrees, _KELVINS, 1.0)
    free = len(found.inputs) - len(bound)
    notes = [f"{free} inputs change nothing"] if free else []
    notes += [f"{len(found.unknown)} are not known"] if found.unknown else []
    if len(shown) < len(bound):
        notes.insert(0, f"{len(bound) - len(shown)} more are bound")
    if notes:
        sheet.text(_EDGE, y + 10.0, "; ".join(notes), "small soft")
        y += 20.0
    title = f"{found.tag}: how far each input may move"
    return sheet.picture(y + 8.0, title, said)


def _key(sheet: Sheet, y: float, found: Sensitivity) -> float:
    """What the two kinds of bars mean."""
    x = _EDGE
    texts = [("bar", f"stays {found.verdict}")]
    if any(one.works is not None for one in found.inputs):
        texts.append(("track", f"still {found.works}"))
    for name, text in texts:
        box = Box(x, y, x + 22.0, y + 8.0)
        sheet.rect(box, name)
        if name == "track":
            sheet.hatch(box, "hatch", 5.0)
        sheet.text(x + 28.0, y + 8.0, text, "small")
        x += 28.0 + width_of(text, SMALL) + 20.0
    return y + 18.0


def _words(one: Sensed) -> str:
    """The nearest end of an input, in words."""
    question, end = min(one.ends, key=lambda pair: abs(one.move(pair[1].value or 0.0)))
    value = "" if end.value is None else one.show(end.value)
    return f"{one.show(one.now)} now, {question} changes at {value} ({end.binds})"


def _spans(one: Sensed) -> list[tuple[bool, Span]]:
    """The intervals of an input that end anywhere; whether each is of safety."""
    both = ((True, one.safety), (False, one.works))
    return [(safe, span) for safe, span in both if span and (span.low.bound or span.high.bound)]


def _block(
    sheet: Sheet,
    y: float,
    rows: list[Sensed],
    marks: tuple[tuple[float, str], ...],
    scale: float,
) -> float:
    """Rows on one scale; returns where they end."""
    if not rows:
        return y
    wide = sheet.width >= _WIDE
    label = min(max(width_of(one.label, SIZE) for one in rows) + 14.0, sheet.width * 0.32)
    left = _EDGE + (label if wide else 0.0)
    plot = _Plot(left, (left + sheet.width - _EDGE) / 2, sheet.width - _EDGE)
    head = 0.0 if wide else 18.0
    tall = [max(_ROW if wide else 0.0, head + _LANE * len(_spans(one)) + 8.0) for one in rows]
    top = y + 20.0
    bottom = top + sum(tall)
    for value, text in marks:
        share = (math.log(value) / scale) if scale == _TEN else value / 100.0
        x = plot.x(share)
        sheet.line(x, top, x, bottom - 6.0, "axis" if share == 0.0 else "hair")
        anchor: Anchor = "start" if share <= -1.0 else "end" if share >= 1.0 else "middle"
        sheet.text(x, y + 12.0, text, "small soft", anchor)
    for one, high in zip(rows, tall, strict=True):
        now = one.show(one.now)
        if wide:
            sheet.text(_EDGE, top + 14.0, fitted(one.label, label - 12.0))
            sheet.text(_EDGE, top + 28.0, fitted(now, label - 12.0, SMALL), "small soft")
        else:
            text = fitted(one.label, sheet.width - 3 * _EDGE - width_of(now, SMALL))
            sheet.text(_EDGE, top + 14.0, text, "halo")
            sheet.text(sheet.width - _EDGE, top + 14.0, now, "small soft halo", "end")
        with sheet.told(f"{one.label}: {_words(one)}"):
            for lane, (safe, span) in enumerate(_spans(one)):
                _interval(sheet, plot, top + head + 2.0 + lane * _LANE, one, span, scale, safe=safe)
        top += high
    return bottom + 10.0


def _interval(
    sheet: Sheet, plot: _Plot, y: float, one: Sensed, span: Span, scale: float, *, safe: bool
) -> None:
    """One interval: a bar with its ends; open where nothing changes."""
    top, bottom = y + 5.0, y + 13.0
    shares = [_share(one, end, scale, up=up) for end, up in ((span.low, False), (span.high, True))]
    low, high = map(plot.x, shares)
    box = Box(low, top, high, bottom)
    sheet.rect(box, "bar" if safe else "track")
    if not safe:
        sheet.hatch(box, "hatch", 5.0)
    for end, share, to in ((span.low, shares[0], -1.0), (span.high, shares[1], 1.0)):
        if end.value is None:
            continue
        x = plot.x(share)
        if abs(share) <= 1.0:
            sheet.line(x, top - 3.0, x, bottom + 3.0, "thick")
        else:
            sheet.path([(x - to * 6, top - 2), (x, (top + bottom) / 2), (x - to * 6, bottom + 2)],
                       "mark")  # fmt: skip
        inside = (high - low) / (2.0 if span.low.bound and span.high.bound else 1.0) - 16.0
        outside = (x - plot.left if to < 0.0 else plot.right - x) - 8.0
        room = (max(outside, 0.0), max(inside, 0.0))
        _end(sheet, (x, bottom), (one.show(end.value), end.binds), to, room)


def _end(
    sheet: Sheet,
    at: tuple[float, float],
    words: tuple[str, str],
    to: float,
    room: tuple[float, float],
) -> None:
    """Value and rule of an end: outside its bar, else within; the value alone where that fits."""
    x, y = at
    both = f"{words[0]} {words[1]}".rstrip()
    for text in (both, words[0]):
        wide = width_of(text, SMALL)
        if wide <= room[0]:
            sheet.text(x + to * 7.0, y, text, "small soft halo", "end" if to < 0.0 else "start")
            return
        if wide <= room[1]:
            sheet.text(x - to * 10.0, y, text, "small halo wide", "start" if to < 0.0 else "end")
            return


def _share(one: Sensed, end: End, scale: float, *, up: bool) -> float:
    """Where an end stands, from -1 to 1; beyond where it is not on the scale."""
    if end.value is None:
        return 2.0 if up else -2.0
    share = one.move(end.value) / scale
    return (2.0 if up else -2.0) if math.isinf(share) else share
