"""Cases made into columns: cases with equal numbers of members stand in one block."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

import numpy as np

from subspark.assess.combine import source_side
from subspark.assess.rows import (
    ApparatusRow,
    Case,
    HeadRow,
    PortRow,
    RunRow,
    Segment,
    SegmentMemberRow,
    SegmentRow,
    SegmentRunRow,
    SegmentSourceRow,
    SourceRow,
)
from subspark.physics.ignition import Curves
from subspark.rules import Code, Columns, Segments
from subspark.rules.columns import Floats

__all__ = ["Block", "blocks_of", "columns_of"]

Row = TypeVar(
    "Row",
    HeadRow,
    SourceRow,
    ApparatusRow,
    RunRow,
    PortRow,
    SegmentRow,
    SegmentSourceRow,
    SegmentMemberRow,
    SegmentRunRow,
)
_BOOLS_OF_MEMBERS = frozenset({"here", "is_simple", "LR_assumed", "LR_default"})


@dataclass(frozen=True, slots=True)
class Block:
    """Cases of one shape: their places in the list of cases, and their columns."""

    places: np.ndarray[Any, np.dtype[np.intp]]
    columns: Columns


def _members(rows: Sequence[Sequence[Row]], kind: type[Row], count: int) -> Row:
    """Rows of members as one row of arrays of shape (count, n)."""
    n = len(rows)
    flat = np.array(rows, dtype=np.float64).reshape(n, count, len(kind._fields))
    return kind(*np.ascontiguousarray(flat.transpose(2, 1, 0)))


def _padded(lists: Sequence[Sequence[tuple[float, ...]]], width: int, fill: float) -> Floats:
    """Lists of tuples of unequal length as an array (width, longest, n), filled with ``fill``."""
    longest = max((len(one) for one in lists), default=0)
    out = np.full((len(lists), longest, width), fill)
    for i, one in enumerate(lists):
        if one:
            out[i, : len(one)] = one
    return np.ascontiguousarray(out.transpose(2, 1, 0))


def _temperature_rows(cases: Sequence[Case], count: int) -> Floats:
    """Temperature rows, shape (4, t, k, n); what is missing covers nothing."""
    longest = max((len(m.temperatures) for case in cases for m in case.members), default=0)
    out = np.empty((len(cases), count, longest, 4))
    out[...] = (-np.inf, -np.inf, np.inf, np.inf)
    for i, case in enumerate(cases):
        for j, member in enumerate(case.members):
            out[i, j, : len(member.temperatures)] = member.temperatures
    return np.ascontiguousarray(out.transpose(3, 2, 1, 0))


def columns_of(cases: Sequence[Case], code: Code, curves: Curves) -> Columns:
    """Columns of cases that have equal numbers of sources, ports, apparatus and runs."""
    first = cases[0]
    counts = _shape(first)
    flat = np.array([case.head for case in cases], dtype=np.float64)
    head = HeadRow(*np.ascontiguousarray(flat.T))
    source = _members([[one.row for one in case.sources] for case in cases], SourceRow, counts[0])
    port_rows = [[row for one in case.sources for _, row in one.ports] for case in cases]
    port = _members(port_rows, PortRow, counts[1])
    item = _members([[one.row for one in case.members] for case in cases], ApparatusRow, counts[2])
    run = _members([[row for _, row in case.runs] for case in cases], RunRow, counts[3])
    pairs = _padded([case.sources[0].pairs if _as_one(case) else () for case in cases], 2, np.nan)
    side = source_side(head, source, code, curves)
    rows = _temperature_rows(cases, counts[2])
    paired = np.zeros(len(cases), dtype=bool)
    if counts[0]:
        one = (np.asarray(head.by_document) != 0) | (counts[0] == 1)
        paired = (np.asarray(source.paired)[0] != 0) & one
    default_open = np.asarray(side.I) <= code.number("default L/R current")
    ratio = np.where((np.asarray(run.LR_default) != 0) & ~default_open, np.nan, run.LR)
    fields: dict[str, Any] = {
        name: value for name, value in head._asdict().items() if name in _HEAD_COLUMNS
    }
    fields["by_power"] = np.asarray(head.by_power) != 0
    fields["dust_power"] = np.asarray(head.dust_power) != 0
    for prefix, record, names in (
        ("source_", source, _SOURCE_COLUMNS),
        ("", item, ApparatusRow._fields),
        ("", run, RunRow._fields),
        ("", port, PortRow._fields),
    ):
        for name in names:
            value = getattr(record, name)
            fields[prefix + name] = value != 0 if name in _BOOLS_OF_MEMBERS else value
    fields.pop("LR_default")
    fields["LR"] = ratio
    fields["source_body_asked"] = source.body_asked
    fields["source_body"] = source.body
    fields.update(side._asdict())
    return Columns(
        code=code,
        pair_Co=pairs[0],
        pair_Lo=pairs[1],
        paired=paired,
        row_P=rows[0],
        row_hot=rows[1],
        row_cold=rows[2],
        row_T=rows[3],
        segments=_segments([case.segment for case in cases if case.segment is not None], counts),
        **fields,
    )


def _segments(segments: Sequence[Segment], counts: Sequence[int]) -> Segments | None:
    """What fieldbus segments have besides, where the cases are segments of one method."""
    if not segments:
        return None
    head = _members([[one.head] for one in segments], SegmentRow, 1)
    source = _members([one.sources for one in segments], SegmentSourceRow, counts[0])
    item = _members([one.members for one in segments], SegmentMemberRow, counts[2])
    run = _members([one.runs for one in segments], SegmentRunRow, counts[3])
    whole = {name: np.asarray(value)[0] for name, value in head._asdict().items()}
    fields: dict[str, Any] = {**whole, **source._asdict(), **item._asdict(), **run._asdict()}
    fields["is_terminator"] = np.asarray(item.is_terminator) != 0
    return Segments(figures=segments[0].figures, **fields)


_HEAD_COLUMNS = frozenset(HeadRow._fields) - {
    "series",
    "combined",
    "by_document",
    "spark",
    "factor",
    "by_power",
    "dust_power",
}
_SOURCE_COLUMNS = (
    *("level", "group", "epl_asked", "epl", "T_limit", "T"),
    *("hot", "cold", "Ta_max", "Ta_min", "conditions"),
)


def _as_one(case: Case) -> bool:
    """Whether one source, or one document for all, gives the limits of a case."""
    return len(case.sources) == 1 or case.head.by_document != 0.0


def _shape(case: Case) -> tuple[int, int, int, int]:
    ports = sum(len(one.ports) for one in case.sources)
    return len(case.sources), ports, len(case.members), len(case.runs)


def blocks_of(cases: Iterable[Case], code: Code, curves: Curves) -> list[Block]:
    """Group cases by shape and way of proof, and make the columns of each group."""
    groups: dict[tuple[tuple[int, int, int, int], int], list[int]] = defaultdict(list)
    listed = list(cases)
    for place, case in enumerate(listed):
        figures = None if case.segment is None else case.segment.figures
        groups[_shape(case), id(figures)].append(place)
    return [
        Block(np.array(places), columns_of([listed[place] for place in places], code, curves))
        for places in groups.values()
    ]
