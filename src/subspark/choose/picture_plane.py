"""The plane of capacitance and inductance: what is permitted, where a circuit stands and walks."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from subspark.assess import Assessment
from subspark.assess.words import percent
from subspark.choose.longest import FARTHEST, longest
from subspark.choose.picture_svg import (
    SIZE,
    SMALL,
    Anchor,
    Box,
    Picture,
    Sheet,
    box_of,
    ticks_of,
    width_of,
    wrapped,
)
from subspark.errors import UsageError
from subspark.quantity import CAPACITANCE, INDUCTANCE, L_PER_R, LENGTH, Kind, show
from subspark.rules import EQUAL, Columns, energy

__all__ = ["Plane", "plane", "plane_of"]

_DIGITS = 4
_ROOM = 1.14
_EDGE, _LEFT, _RIGHT = 16.0, 74.0, 18.0


class Point(NamedTuple):
    """A place in the plane [F], [H]."""

    C: float
    L: float


@dataclass(frozen=True, slots=True)
class Plane:
    """The numbers of the picture, all of the governing case [SI; NaN where not known].

    ``printed`` are Co and Lo of the certificate, ``allowed`` what may be used of them (halved,
    or of the pair that covers best), ``pairs`` the pairs of the certificate. ``by_ratio`` says
    that L/R decides in place of Lo: ``ratio`` against ``ratio_limit``. ``lumped`` is the place
    of the apparatus alone, ``bare`` that without the run that varies, ``here`` the circuit as it
    is, ``reach`` that at the longest safe run of ``reach_length``; ``run`` names what varies, of
    ``length`` now, with ``step`` for each metre.
    """

    printed: Point
    allowed: Point
    k: float
    pairs: tuple[Point, ...]
    pair: int
    by_ratio: bool
    ratio: float
    ratio_limit: float
    lumped: Point
    bare: Point
    here: Point
    run: str
    length: float
    step: Point
    reach_length: float
    farthest: bool

    def at(self, length: float) -> Point:
        """Where the circuit stands with the run at a length [m]."""
        return Point(self.bare.C + length * self.step.C, self.bare.L + length * self.step.L)

    @property
    def reach(self) -> Point:
        """Where it stands at its longest safe run."""
        return self.at(self.reach_length)


def _one(values: object) -> float:
    return float(np.asarray(values, dtype=np.float64).ravel()[0])


def plane_of(assessment: Assessment, tag: str) -> Plane:
    """The numbers of the plane of one circuit.

    Raises
    ------
    UsageError
        A circuit that is proved as a fieldbus segment, which needs no such sum, or a tag that
        was not assessed.
    """
    finding = assessment[tag]
    place = assessment.governing_place(tag)
    columns, case = assessment.columns(place), assessment.cases[place]
    if columns.segments is not None:
        method = columns.segments.figures.method
        raise UsageError(f"{tag}: proved as a {method} segment, which needs no sum of C and L")
    with np.errstate(invalid="ignore", divide="ignore"):
        sums, allowed = energy.stored(columns), energy.allowed(columns)
        ratio, _ = energy.ratio_route(columns)
        k = _one(energy.lumped(columns).k)
        paired = bool(columns.paired[0])
        pairs = tuple(map(Point, columns.pair_Co[:, 0].tolist(), columns.pair_Lo[:, 0].tolist()))
    here = Point(_one(sums.C), _one(sums.L))
    circuit = assessment.plant.circuit(tag)
    told = longest(assessment.plant, [tag], curves=assessment.context.curves, function=False)
    run, length, step, reach, farthest = "", 0.0, Point(0.0, 0.0), math.nan, False
    if told:
        (one,) = told
        number = circuit.runs[one.run].number
        grow = [
            at
            for at, (held, _) in enumerate(case.runs)
            if held is circuit.runs[one.run] or (number and held.number == number)
        ]
        step = Point(_sum(columns, "C", grow), _sum(columns, "L", grow))
        run, length = one.label, math.nan if one.now is None else one.now
        reach = math.nan if one.safe_to is None else one.safe_to
        farthest = one.safe_to is not None and one.safe_to >= FARTHEST
    bare = Point(here.C - length * step.C, here.L - length * step.L)
    return Plane(
        printed=Point(_one(columns.Co), _one(columns.Lo)),
        allowed=Point(_one(allowed.C), _one(allowed.L)),
        k=k,
        pairs=tuple(one for one in pairs if not math.isnan(one.C + one.L)) if paired else (),
        pair=int(_one(allowed.pair)),
        by_ratio=finding.rules["inductance"].by == "L/R",
        ratio=_one(ratio.demand),
        ratio_limit=_one(ratio.limit),
        lumped=Point(_one(sums.Ci), _one(sums.Li)),
        bare=bare,
        here=here,
        run=run,
        length=length,
        step=step,
        reach_length=reach,
        farthest=farthest,
    )


def _sum(columns: Columns, name: str, rows: list[int]) -> float:
    return float(sum(getattr(columns, name)[row, 0] for row in rows))


def _known(value: float) -> bool:
    return math.isfinite(value)


@dataclass(slots=True)
class _Field:
    """The plot: from quantities to places on the sheet."""

    box: Box
    top_C: float
    top_L: float

    def x(self, C: float) -> float:
        """Place of a capacitance, within the plot."""
        return self.box.left + (self.box.right - self.box.left) * min(max(C / self.top_C, 0.0), 1.0)

    def y(self, L: float) -> float:
        """Place of an inductance, within the plot."""
        return self.box.bottom - (self.box.bottom - self.box.top) * min(
            max(L / self.top_L, 0.0), 1.0
        )

    def at(self, point: Point) -> tuple[float, float]:
        """Place of a point."""
        return self.x(point.C), self.y(point.L)


def _tops(data: Plane) -> Point:
    """How far the axes go."""
    Cs = [
        data.printed.C,
        data.allowed.C,
        data.here.C,
        data.lumped.C,
        *(one.C for one in data.pairs),
    ]
    Ls = [data.here.L, data.lumped.L, *(one.L for one in data.pairs)]
    if not data.by_ratio:
        Ls += [data.printed.L, data.allowed.L]
    if not data.farthest:
        Cs.append(data.reach.C)
        Ls.append(data.reach.L)
    C = max((one for one in Cs if _known(one)), default=0.0)
    L = max((one for one in Ls if _known(one)), default=0.0)
    return Point(C * _ROOM or 1e-7, L * _ROOM or 1e-3)


class _Labels:
    """Texts placed so that none covers another, nor what is marked."""

    def __init__(self, sheet: Sheet, within: Box) -> None:
        self.sheet, self.within = sheet, within
        self.taken: list[Box] = []

    def mark(self, x: float, y: float, r: float) -> None:
        """Keep a place free."""
        self.taken.append(Box(x - r, y - r, x + r, y + r))

    def put(self, x: float, y: float, text: str, name: str, off: float = 9.0) -> bool:
        """A text near a place, on the first side that is free."""
        bold = "bold" in name
        size = SMALL if "small" in name else SIZE
        tries: list[tuple[float, float, Anchor]] = []
        for by in (off, off + 8.0, off + 18.0, off + 30.0):
            tries += [
                (by, -by * 0.5, "start"), (by, by * 0.5 + size * 0.7, "start"),
                (-by, -by * 0.5, "end"), (-by, by * 0.5 + size * 0.7, "end"),
                (0.0, -by, "middle"), (0.0, by + size * 0.7, "middle"),
            ]  # fmt: skip
        return any(
            self.at(x + dx, y + dy, text, name, anchor, bold=bold, size=size)
            for dx, dy, anchor in tries
        )

    def at(
        self, x: float, y: float, text: str, name: str, anchor: Anchor, *,
        bold: bool = False, size: float = SMALL,
    ) -> bool:  # fmt: skip
        """A text at a place where that is free."""
        box = box_of(x, y, text, size, anchor, bold=bold)
        if not self._free(box):
            return False
        self.sheet.text(x, y, text, f"{name} halo", anchor)
        self.taken.append(box)
        return True

    def along(self, points: list[tuple[float, float]]) -> None:
        """Keep a line free."""
        for (x1, y1), (x2, y2) in itertools.pairwise(points):
            count = max(1, int(math.hypot(x2 - x1, y2 - y1) / 5.0))
            for k in range(count + 1):
                self.mark(x1 + (x2 - x1) * k / count, y1 + (y2 - y1) * k / count, 2.5)

    def _free(self, box: Box) -> bool:
        inside = (
            box.left >= self.within.left + 2
            and box.right <= self.within.right
            and box.top >= self.within.top
            and box.bottom <= self.within.bottom - 2
        )
        return inside and not any(box.meets(other) for other in self.taken)


def plane(assessment: Assessment, tag: str, *, width: float = 640.0) -> Picture:
    """Draw the plane of capacitance and inductance of one circuit, in its governing case.

    Parameters
    ----------
    assessment : Assessment
        In which the circuit was judged.
    tag : str
        The circuit.
    width : float
        In pixels, from 320; texts keep their size.

    Returns
    -------
    Picture
        The region that is permitted (Co by Lo, halved by the lumped rule, or the pairs as a
        staircase; open above where L/R decides), the circuit's place, and the line along which
        it walks as the run grows, from the apparatus alone to the longest safe run.

    Raises
    ------
    UsageError
        As :func:`plane_of`.
    """
    finding, data = assessment[tag], plane_of(assessment, tag)
    sheet = Sheet(max(width, 320.0))
    top = sheet.heading(tag, _sentence(data), finding.verdict.word)
    high = max(200.0, min(340.0, sheet.width * 0.5))
    box = Box(_LEFT, top + 20.0, sheet.width - _RIGHT, top + 20.0 + high)
    tops = _tops(data)
    field = _Field(box, tops.C, tops.L)
    labels = _Labels(sheet, box)
    _axes(sheet, field)
    _region(sheet, field, data)
    _walk(sheet, field, data, labels, finding.verdict.word)
    _limits(field, data, labels)
    y = _key(sheet, data, box.bottom + 54.0, finding.verdict.word)
    title = f"{tag}: capacitance and inductance against what is permitted"
    return sheet.picture(y, title, f"{finding.sentence} {_sentence(data)}")


def _F(value: float) -> str:
    return show(value, CAPACITANCE, _DIGITS)


def _H(value: float) -> str:
    return show(value, INDUCTANCE, _DIGITS)


def _sentence(data: Plane) -> str:
    """Where the circuit stands, in words."""
    limit = f"{_H(data.allowed.L)}"
    if data.by_ratio:
        limit = (
            f"L/R instead: {show(data.ratio, L_PER_R, 3)} of {show(data.ratio_limit, L_PER_R, 3)}"
        )
    return f"C {_F(data.here.C)} of {_F(data.allowed.C)}; L {_H(data.here.L)} of {limit}."


def _axes(sheet: Sheet, field: _Field) -> None:
    box = field.box
    count = 6 if sheet.width >= 520 else 3
    for value in ticks_of(field.top_C, count):
        x = field.x(value)
        sheet.line(x, box.top, x, box.bottom, "hair")
        sheet.text(x, box.bottom + 16.0, _tick(value, CAPACITANCE), "small soft", "middle")
    for value in ticks_of(field.top_L, 5):
        y = field.y(value)
        sheet.line(box.left, y, box.right, y, "hair")
        sheet.text(box.left - 6.0, y + 4.0, _tick(value, INDUCTANCE), "small soft", "end")
    sheet.line(box.left, box.bottom, box.right, box.bottom, "axis")
    sheet.line(box.left, box.top, box.left, box.bottom, "axis")
    sheet.text(box.right, box.bottom + 32.0, "capacitance →", "small soft", "end")
    sheet.text(_EDGE, box.top - 8.0, "↑ inductance", "small soft")


def _tick(value: float, kind: Kind) -> str:
    return "0" if value == 0.0 else show(value, kind, 3)


def _outline(data: Plane, tops: Point) -> list[Point]:
    """Corners of what is permitted, from the axis of L to that of C."""
    if data.pairs:
        best: list[Point] = []
        for one in sorted(data.pairs, key=lambda pair: (-pair.C, -pair.L)):
            if not best or one.L > best[-1].L:
                best.append(one)
        corners, before = [], 0.0
        for one in best:
            corners += [Point(one.C, before), one]
            before = one.L
        return [*corners, Point(0.0, before)]
    top = tops.L if data.by_ratio or not _known(data.allowed.L) else data.allowed.L
    right = data.allowed.C if _known(data.allowed.C) else tops.C
    return [Point(right, 0.0), Point(right, top), Point(0.0, top)]


def _region(sheet: Sheet, field: _Field, data: Plane) -> None:
    tops = Point(field.top_C, field.top_L)
    if data.k != 1.0 and not data.pairs and _known(data.printed.C + data.printed.L):
        x, y = field.at(data.printed)
        sheet.path([(x, field.box.bottom), (x, y), (field.box.left, y)], "dash")
    if not _known(data.allowed.C):
        sheet.hatch(field.box, "hatch", 9.0)
        return
    points = [field.at(one) for one in _outline(data, tops)]
    with sheet.told("permitted"):
        sheet.path([(field.box.left, field.box.bottom), *points], "wash", closed=True)
    open_above = data.by_ratio or not _known(data.allowed.L)
    sheet.path(points[:2] if open_above and not data.pairs else points, "edge")
    if data.k != 1.0 and not data.pairs and _known(data.printed.C + data.printed.L):
        _hatch_between(sheet, field, data)


def _hatch_between(sheet: Sheet, field: _Field, data: Plane) -> None:
    """What the lumped rule takes away."""
    x, y = field.at(data.allowed)
    right, top = field.at(data.printed)
    with sheet.told("taken away by the lumped rule"):
        sheet.hatch(Box(x, top, right, field.box.bottom), "hatch", 7.0)
        if not data.by_ratio:
            sheet.hatch(Box(field.box.left, top, x, y), "hatch", 7.0)


def _limits(field: _Field, data: Plane, labels: _Labels) -> None:
    """The limits by their names, where they are free to stand."""
    halved = data.k != 1.0 and not data.pairs
    if data.pairs:
        for nth, one in enumerate(data.pairs):
            name = "small bold" if nth == data.pair else "small soft"
            labels.put(*field.at(one), f"{_F(one.C)}, {_H(one.L)}", name)
        return
    left, ceiling = field.box.left, field.box.top
    if _known(data.allowed.L) and not data.by_ratio:
        y = field.y(data.allowed.L)
        text = f"{'½ Lo' if halved else 'Lo'} {_H(data.allowed.L)}"
        for place in (y + 15.0, y - 6.0):
            if labels.at(left + 8.0, place, text, "small safe", "start"):
                break
        ceiling = y
    if data.by_ratio:
        labels.at(left + 8.0, ceiling + 15.0, "L/R decides, not Lo", "small safe", "start")
    if _known(data.allowed.C):
        x = field.x(data.allowed.C)
        half = data.printed.C * data.k * (1.0 - EQUAL)
        capped = halved and half > data.allowed.C
        name = "Co capped at" if capped else "½ Co" if halved else "Co"
        text = f"{name} {_F(data.allowed.C)}"
        ends: tuple[tuple[float, Anchor], ...] = ((-6.0, "end"), (6.0, "start"))
        for down in (15.0, 40.0, 65.0):
            if any(labels.at(x + by, ceiling + down, text, "small safe", to) for by, to in ends):
                break
    if halved and _known(data.printed.C + data.printed.L):
        x, y = field.at(data.printed)
        text = f"as printed {_F(data.printed.C)}, {_H(data.printed.L)}"
        labels.at(x, y - 6.0, text, "small soft", "end")


def _walk(sheet: Sheet, field: _Field, data: Plane, labels: _Labels, verdict: str) -> None:
    """The line along which the circuit walks, with lengths."""
    if not _known(data.here.C + data.here.L):
        labels.put(
            field.box.right - 6.0, field.box.top + 30.0, "its place is not known", "bold", 5.0
        )
        return
    start, here = field.at(data.lumped), field.at(data.here)
    if _known(data.reach_length) and data.run:
        end = field.at(
            data.reach if not data.farthest else Point(field.top_C, _beyond(field, data))
        )
        beyond = data.reach_length > data.length
        labels.along([here, end])
        with sheet.told(f"{data.run}: from no cable to the longest safe run"):
            sheet.path([here, end], "onward" if beyond else "walk")
        _length_ticks(sheet, field, data, labels)
        if not data.farthest:
            sheet.line(end[0], end[1] - 7.0, end[0], end[1] + 7.0, "thick")
            labels.mark(*end, 6.0)
            labels.put(*end, f"longest {show(data.reach_length, LENGTH, 6)}", "small bold", 8.0)
    sheet.path([start, field.at(data.bare), here], "walk")
    sheet.path([(start[0] - 3, start[1] - 3), (start[0] + 3, start[1] + 3)], "thick")
    sheet.path([(start[0] - 3, start[1] + 3), (start[0] + 3, start[1] - 3)], "thick")
    labels.along([start, field.at(data.bare), here])
    labels.mark(*start, 4.0)
    labels.mark(*here, 7.0)
    with sheet.told(_sentence(data)):
        sheet.glyph(*here, verdict, 6.0)
    labels.put(
        *here, f"here {show(data.length, LENGTH, 6)}" if data.run else "here", "small bold", 10.0
    )
    labels.put(*start, "apparatus alone", "small soft", 8.0)


def _beyond(field: _Field, data: Plane) -> float:
    """Inductance where a walk that is not bound leaves the plot."""
    if data.step.C <= 0.0:
        return data.here.L
    return data.here.L + (field.top_C - data.here.C) * data.step.L / data.step.C


def _length_ticks(sheet: Sheet, field: _Field, data: Plane, labels: _Labels) -> None:
    if not _known(data.length) or data.step.C <= 0.0:
        return
    far = max(data.length, 0.0 if data.farthest else data.reach_length)
    far = min(far, max(0.0, (field.top_C - data.bare.C) / data.step.C))
    marks = ticks_of(far, 5)
    apart = abs(field.x(data.at(marks[-1]).C) - field.x(data.at(0.0).C)) / max(len(marks) - 1, 1)
    if apart < 6.0:
        return
    for value in marks[1:]:
        x, y = field.at(data.at(value))
        sheet.line(x, y - 4.0, x, y + 4.0, "mark")
        labels.mark(x, y, 3.0)
    for value in marks[1:]:
        if apart > width_of(show(value, LENGTH, 4), SMALL) + 10.0:
            x, y = field.at(data.at(value))
            box = box_of(x, y - 8.0, show(value, LENGTH, 4), SMALL, "middle")
            edge = field.x(data.allowed.C) if _known(data.allowed.C) else field.box.right
            near = box.left - 3.0 < edge < box.right + 3.0 or box.right > field.box.right
            if abs(x - field.x(data.here.C)) > 34.0 and not near:
                sheet.text(x, y - 8.0, show(value, LENGTH, 4), "small soft", "middle")
                labels.taken.append(box)


def _key(sheet: Sheet, data: Plane, y: float, verdict: str) -> float:
    """What the signs mean, with the numbers; returns the height of the picture."""
    room = sheet.width - 2 * _EDGE - 24.0
    rows: list[tuple[str, str]] = [("region", _region_words(data))]
    if _known(data.here.C + data.here.L):
        cable = Point(data.here.C - data.lumped.C, data.here.L - data.lumped.L)
        alone = f"apparatus alone (×) {_F(data.lumped.C)}, {_H(data.lumped.L)}"
        rows.append(("here", f"here: {alone}; cable {_F(cable.C)}, {_H(cable.L)}"))
    else:
        rows.append(("", "a capacitance or inductance of apparatus or cable is not known"))
    if data.run and _known(data.length):
        reach = "at no length is it safe"
        if data.farthest:
            reach = "no length of it binds"
        elif _known(data.reach_length):
            reach = f"safe up to {show(data.reach_length, LENGTH, 9)}"
        rows.append(("walk", f"{data.run} is {show(data.length, LENGTH, 9)}: {reach}"))
    for sign, text in rows:
        if sign == "region":
            box = Box(_EDGE, y - 10.0, _EDGE + 14.0, y)
            sheet.rect(box, "wash")
            sheet.path([(box.left, box.top), (box.right, box.top), (box.right, box.bottom)], "edge")
        elif sign == "here":
            sheet.glyph(_EDGE + 7.0, y - 4.5, verdict)
        elif sign == "walk":
            sheet.line(_EDGE, y - 4.5, _EDGE + 14.0, y - 4.5, "walk")
        for line in wrapped(text, room, SMALL):
            sheet.text(_EDGE + 24.0, y, line, "small")
            y += 15.0
        y += 3.0
    return y


def _region_words(data: Plane) -> str:
    if not _known(data.allowed.C):
        return "not known what may be connected (Co, or the lumped rule)"
    if data.pairs:
        one = data.pairs[data.pair] if 0 <= data.pair < len(data.pairs) else data.pairs[0]
        return f"permitted: pairs of the certificate; the nearest is {_F(one.C)}, {_H(one.L)}"
    if data.by_ratio:
        return (
            f"permitted: Co {_F(data.allowed.C)}, and L/R {show(data.ratio, L_PER_R, 3)} of "
            f"{show(data.ratio_limit, L_PER_R, 3)} in place of Lo"
        )
    if data.k != 1.0:
        return (
            f"permitted: half of Co and Lo, for the lumped Ci is "
            f"{percent(data.lumped.C / data.printed.C)} of Co and Li "
            f"{percent(data.lumped.L / data.printed.L)} of Lo"
        )
    return f"permitted: Co {_F(data.allowed.C)} and Lo {_H(data.allowed.L)}"
