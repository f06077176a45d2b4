"""The numeric inputs of one circuit: where each stands, what it is now, how it is moved."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal, cast

from subspark.assess import Assessment
from subspark.assess.function.facts import DECLARED
from subspark.assess.readings import marks_of_apparatus
from subspark.errors import InputError
from subspark.model import (
    SAFE_AREA,
    TERMS,
    ApparatusType,
    CableType,
    Datum,
    Declaration,
    Entry,
    Fact,
    Mark,
    Output,
    Plant,
    SimpleType,
    SourceType,
    What,
)
from subspark.quantity import (
    GAUGE,
    LENGTH,
    RESISTANCE,
    TEMPERATURE,
    VOLTAGE,
    Kind,
    Spread,
    TemperatureRange,
    Value,
    anchor,
    exact_text,
    moved,
    read_spread,
)

__all__ = ["Input", "Path", "inputs_of", "put"]

Path = tuple[str | int, ...]
Sort = Literal["value", "low", "high", "figure", "declared", "mark low", "mark high"]

_CORE = {
    "Output": ("Uo", "Io", "Po"),
    "Limits": ("Co", "Lo"),
    "Entry": ("Ui", "Ii", "Pi", "Ci", "Li"),
    "SimpleType": ("Ci", "Li"),
    "Run": ("length",),
    "CableType": ("C", "L"),
    "Area": ("ambient",),
}
"""What is told where it is not known; other blanks are figures that need not be there."""
_SUMMED = frozenset({"price", "stock", "channels", "spare channels", "heat", "junctions"})
"""Figures that are counted, or serve to choose: moving them tells nothing of a circuit."""
_FACTS: dict[Fact, Kind | None] = {
    "safe side voltage": VOLTAGE,
    "cabinet ambient": None,
    "barrier earth resistance": RESISTANCE,
    "segregation": LENGTH,
}
"""Declared figures that safety reads; None is a range of temperatures."""


@dataclass(frozen=True, slots=True)
class Input:
    """One numeric input of a circuit.

    ``place`` leads to it in the plant as a change names it, with "low" or "high" behind for the
    end of a range. ``now`` is NaN where it is not known, +inf where declared not limiting [SI];
    ``least`` and ``most`` bound it where another end does. ``path`` is the same place by numbers.
    """

    place: tuple[str, ...]
    label: str
    kind: Kind
    now: float
    text: str
    path: Path
    sort: Sort = "value"
    least: float = -math.inf
    most: float = math.inf

    @property
    def varies(self) -> bool:
        """Whether there is a number that can be moved."""
        return math.isfinite(self.now)


# --- moving one ------------------------------------------------------------------------------


def put(
    copy: Mapping[str, Sequence[Any]], one: Input, value: float, tag: str
) -> dict[str, Sequence[Any]]:
    """The records of a copy with one input at another value; the rest is shared with it.

    Parameters
    ----------
    copy : mapping of str to records
        Each list of a plant.
    one : Input
        By its path in the part of which the copy is made.
    value : float
        SI.
    tag : str
        The circuit in that copy, for a declaration that holds for the whole plant.
    """
    out = dict(copy)
    if one.sort == "declared":
        out["declarations"] = _declared_anew(copy["declarations"], one, value, tag)
        return out
    head, at, *rest = one.path
    name, place = str(head), int(at)
    records = list(copy[name])
    records[place] = _put(records[place], tuple(rest), one, value)
    out[name] = records
    return out


def _put(record: Any, path: Path, one: Input, value: float) -> Any:  # noqa: ANN401 - any record
    name = str(path[0])
    held = getattr(record, name)
    if len(path) == 1:
        return dataclasses.replace(record, **{name: _moved(record, held, one, value)})
    at = int(path[1])
    if one.sort.startswith("mark") and isinstance(record, Entry):
        held = record.marks or marks_of_apparatus(record.mark)
    fresh = (*held[:at], _put(held[at], path[2:], one, value), *held[at + 1 :])
    return dataclasses.replace(record, **{name: fresh})


def _moved(record: Any, held: Any, one: Input, value: float) -> Any:  # noqa: ANN401
    if isinstance(record, Datum):
        return moved(record.value, one.kind, value)
    if isinstance(held, TemperatureRange):
        return _range(held, value, low=one.sort.endswith("low"))
    return type(held)(exact_text(value, one.kind), held.evidence)


def _range(held: TemperatureRange, value: float, *, low: bool) -> TemperatureRange:
    ends = (value, held.high) if low else (held.low, value)
    first, last = (exact_text(end, TEMPERATURE) for end in ends)
    return TemperatureRange(f"{first} to {last}", held.evidence)


def _restated(text: str, one: Input, value: float) -> str:
    """The value of a declaration, moved."""
    if one.place[-1] in ("low", "high"):
        return _range(TemperatureRange(text), value, low=one.place[-1] == "low").text
    return moved(text, one.kind, value)


def _declared_anew(
    declarations: Sequence[Declaration], one: Input, value: float, tag: str
) -> list[Declaration]:
    """Declarations with one moved: in its place, or for this circuit alone where it is of all."""
    at = one.path[1]
    if isinstance(at, int):
        out = list(declarations)
        out[at] = dataclasses.replace(out[at], value=_restated(out[at].value, one, value))
        return out
    fact = cast("Fact", one.path[2])
    fresh = Declaration(fact=fact, value=_restated(one.text, one, value), scope="circuit", of=tag)
    return [*declarations, fresh]


# --- finding them ----------------------------------------------------------------------------


def inputs_of(part: Plant, tag: str, assessment: Assessment) -> list[Input]:
    """Every numeric input of a circuit.

    Parameters
    ----------
    part : Plant
        With what bears on the circuit.
    tag : str
        The circuit.
    assessment : Assessment
        In which it was judged: of the columns of a certificate and the alternatives of a marking
        only those count that serve.

    Returns
    -------
    list of Input
        Sources, apparatus, cable, places, declarations, functional figures; each once.
    """
    found = _Finder(part, tag, assessment)
    every = [
        *found.sources(),
        *found.members(),
        *found.cables(),
        *found.places(),
        *found.declared(),
        *found.figures(),
    ]
    return list({one.place: one for one in every}.values())


_SYMBOLS = {
    "Lo_Ro": "Lo/Ro",
    "L_R": "L/R",
    "R_loop_max": "highest R loop",
    "R_core_max": "highest R core",
}


def _symbol(name: str) -> str:
    """A field as the trade writes it."""
    return _SYMBOLS.get(name, name.replace("_", " "))


def _fields(record: Any, path: Path, place: tuple[str, ...], of: str) -> Iterator[Input]:  # noqa: ANN401
    """Quantities and ranges of one record, without those of the records in it."""
    core = _CORE.get(type(record).__name__, ())
    for field in dataclasses.fields(record):
        held = getattr(record, field.name)
        if isinstance(record, CableType) and field.name == "section":
            continue  # a size of a table, as a gauge is
        here, at = (*path, field.name), (*place, field.name)
        label = f"{of}: {_symbol(field.name)}"
        if isinstance(held, TemperatureRange):
            if held.known or field.name in core:
                yield from _ends(held, here, at, label)
        elif (
            isinstance(held, Value)
            and held.kind is not GAUGE
            and (held.known or (field.name in core and not _replaced(record, field.name)))
        ):
            yield Input(at, label, held.kind, held.si, held.text, here)


def _ends(
    held: TemperatureRange, path: Path, place: tuple[str, ...], label: str, sort: str = ""
) -> Iterator[Input]:
    for end, now in (("low", held.low), ("high", held.high)):
        yield Input(
            (*place, end),
            f"{label} {end}",
            TEMPERATURE,
            now,
            held.text,
            path,
            cast("Sort", f"{sort} {end}".strip()),
            least=held.low if end == "high" else -math.inf,
            most=held.high if end == "low" else math.inf,
        )


def _replaced(record: Any, name: str) -> bool:  # noqa: ANN401 - any record
    """Whether a blank is no gap, for another figure stands in its place."""
    if type(record).__name__ == "CableType":
        return bool(name == "C" and record.C_core.known)
    return type(record).__name__ == "Limits" and bool(record.pairs)


def _figures(
    data: Iterable[Datum], path: Path, place: tuple[str, ...], of: str, parts: Sequence[str]
) -> Iterator[Input]:
    listed = list(data)
    for at, one in enumerate(listed):
        kind = TERMS[one.what].values
        if not isinstance(kind, Kind) or one.what in _SUMMED or (one.part not in ("", *parts)):
            continue
        now = _of(one.spread)
        where = (f" of {one.part}" if one.part else "") + (f" at {one.at}" if one.at else "")
        step = one.what if [other.what for other in listed].count(one.what) == 1 else str(at + 1)
        yield Input(
            (*place, "function", step, "value"),
            f"{of}: {one.what}{where}",
            kind,
            now,
            one.value,
            (*path, "function", at, "value"),
            "figure",
        )


def _of(figure: Spread) -> float:
    """The number that is moved; NaN where a tolerance about zero has no proportion."""
    now = anchor(figure)
    return math.nan if now == 0.0 and not figure.exact else now


class _Finder:
    """Walks over all that a circuit is made of."""

    def __init__(self, part: Plant, tag: str, assessment: Assessment) -> None:
        self.part, self.circuit, self.assessment = part, part.circuit(tag), assessment
        self.at = [one.tag for one in part.circuits].index(tag)
        self.place = ("circuits", tag)
        self.path: Path = ("circuits", self.at)
        places = assessment.counted_places(tag)
        # Of a merged case the members of other circuits are not inputs of this one.
        own = {one.name for one in self._kinds()}
        items = {member.apparatus for member in self.circuit.members}
        cases = [assessment.cases[one] for one in places]
        self.acting = [one for case in cases for one in case.sources if one.kind.name in own]
        self.chosen = [one for case in cases for one in case.members if one.item.name in items]

    def _kinds(self) -> list[SourceType]:
        names = {use.source for use in self.circuit.sources} | {self.circuit.system}
        return [one for one in self.part.sources if one.name in names]

    def sources(self) -> Iterator[Input]:
        """Outputs, columns, ports and ambient of the sources, and how they are used."""
        for at, kind in enumerate(self.part.sources):
            if kind in self._kinds():
                yield from self._source(at, kind)
        for nth, use in enumerate(self.circuit.sources):
            path: Path = (*self.path, "sources", nth)
            place, of = (*self.place, "sources", str(nth + 1)), use.tag or use.source
            yield from _fields(use, path, place, of)
            for number, supply in enumerate(use.safe_side):
                label = f"{of}, port {supply.port}"
                yield from _fields(
                    supply, (*path, "safe_side", number), (*place, "safe_side", str(number + 1)),
                    label,
                )  # fmt: skip

    def _source(self, at: int, kind: SourceType) -> Iterator[Input]:
        path: Path = ("sources", at)
        place = ("sources", kind.name)
        yield from _fields(kind, path, place, kind.name)
        used = {one.output.name for one in self.acting if one.kind.name == kind.name}
        columns = {
            (one.output.name, one.column) for one in self.acting if one.kind.name == kind.name
        }
        for nth, output in enumerate(kind.outputs):
            if output.name in used:
                inner: Path = (*path, "outputs", nth)
                where = (*place, "outputs", output.name)
                several = f" output {output.name}" if len(kind.outputs) > 1 else ""
                yield from _fields(output, inner, where, kind.name + several)
                yield from self._columns(kind.name + several, output, inner, where, columns)
        for nth, port in enumerate(kind.ports):
            yield from _fields(
                port, (*path, "ports", nth), (*place, "ports", port.name),
                f"{kind.name}, port {port.name}",
            )  # fmt: skip

    def _columns(
        self, name: str, output: Output, path: Path, place: tuple[str, ...],
        columns: set[tuple[str, str]],
    ) -> Iterator[Input]:  # fmt: skip
        for nth, limits in enumerate(output.limits):
            column = " ".join(part for part in (limits.level, limits.group) if part)
            if (output.name, column) not in columns:
                continue
            inner: Path = (*path, "limits", nth)
            where, of = (*place, "limits", str(nth + 1)), f"{name}, {column}" if column else name
            yield from _fields(limits, inner, where, of)
            for number, pair in enumerate(limits.pairs):
                yield from _fields(
                    pair, (*inner, "pairs", number), (*where, "pairs", str(number + 1)),
                    f"{of}, pair {number + 1}",
                )  # fmt: skip

    def members(self) -> Iterator[Input]:
        """Entries that count, with their tables, and how the apparatus is used."""
        for name in ("apparatus", "simple"):
            for at, item in enumerate(getattr(self.part, name)):
                if any(one.item is item for one in self.chosen):
                    yield from self._item(item, (name, at), (name, item.name))
        for nth, member in enumerate(self.circuit.members):
            path: Path = (*self.path, "members", nth)
            place = (*self.place, "members", member.tag or str(nth + 1))
            yield from _fields(member, path, place, member.tag or member.apparatus)

    def _item(
        self, item: ApparatusType | SimpleType, path: Path, place: tuple[str, ...]
    ) -> Iterator[Input]:
        yield from _fields(item, path, place, item.name)
        if isinstance(item, SimpleType):
            return
        for nth, entry in enumerate(item.entries):
            chosen = [one for one in self.chosen if one.entry is entry]
            if not chosen:
                continue
            inner: Path = (*path, "entries", nth)
            where = (*place, "entries", str(nth + 1))
            several = f" {entry.connection}" if len(item.entries) > 1 and entry.connection else ""
            of = item.name + several
            yield from _fields(entry, inner, where, of)
            for number, row in enumerate(entry.rows):
                yield from _fields(
                    row, (*inner, "rows", number), (*where, "rows", str(number + 1)),
                    f"{of}, {row.temperature}",
                )  # fmt: skip
            for mark in dict.fromkeys(one.mark for one in chosen if one.mark is not None):
                yield from self._mark(entry, mark, inner, where, of)

    def _mark(
        self, entry: Entry, mark: Mark, path: Path, place: tuple[str, ...], of: str
    ) -> Iterator[Input]:
        """The ambient range of the alternative that serves, where the marking states one."""
        listed = entry.marks or marks_of_apparatus(entry.mark)
        for nth, one in enumerate(listed):
            if one.ambient.known and dataclasses.replace(one, group=mark.group) == mark:
                yield from _ends(
                    one.ambient, (*path, "marks", nth, "ambient"),
                    (*place, "marks", str(nth + 1), "ambient"), f"{of}: marked ambient", "mark",
                )  # fmt: skip

    def cables(self) -> Iterator[Input]:
        """Lengths of the runs, and the data of their cable types."""
        for nth, run in enumerate(self.circuit.runs):
            label = f"run {nth + 1}" + (f" ({run.number})" if run.number else "")
            yield from _fields(
                run, (*self.path, "runs", nth), (*self.place, "runs", str(nth + 1)), label
            )
        names = {run.cable for run in self.circuit.runs}
        for at, cable in enumerate(self.part.cables):
            if cable.name in names:
                yield from _fields(cable, ("cables", at), ("cables", cable.name), cable.name)

    def places(self) -> Iterator[Input]:
        """Areas that the circuit enters, with their atmospheres, and its junction boxes."""
        ends = {end for run in self.circuit.runs for end in (run.start, run.end)}
        boxes = [one for one in self.part.junctions if one.tag in ends]
        tags = {self.circuit.area, *(one.area for one in boxes)}
        tags |= {use.place for use in self.circuit.sources}
        tags |= {member.place for member in self.circuit.members}
        tags |= {run.area for run in self.circuit.runs}
        for at, area in enumerate(self.part.areas):
            if area.tag not in tags:
                continue
            yield from _fields(area, ("areas", at), ("areas", area.tag), f"area {area.tag}")
            for nth, one in enumerate(area.atmospheres):
                yield from _fields(
                    one, ("areas", at, "atmospheres", nth),
                    ("areas", area.tag, "atmospheres", str(nth + 1)), f"area {area.tag}",
                )  # fmt: skip
        for at, box in enumerate(self.part.junctions):
            if box in boxes:
                yield from _fields(box, ("junctions", at), ("junctions", box.tag), box.tag)

    def declared(self) -> Iterator[Input]:
        """Figures that hold by declaration."""
        facts: list[tuple[Fact, Kind | None]] = list(_FACTS.items())
        for word in sorted(DECLARED):
            values = TERMS[cast("What", word)].values
            if isinstance(values, Kind):
                facts.append((cast("Fact", word), values))
        for fact, kind in facts:
            found = {one.scope: one for names in self._names(fact)
                     if (one := self.assessment.context.declared.find(fact, **names))}  # fmt: skip
            for one in found.values():
                if one.scope != "plant" or len(found) == 1:
                    yield from self._declaration(one, kind)

    def _names(self, fact: Fact) -> Iterator[dict[str, str]]:
        """The names by which a fact is looked up, one a source."""
        for use in self.circuit.sources:
            area = "" if use.place == SAFE_AREA else use.place
            if fact in DECLARED or fact == "segregation":
                area = self.circuit.area
            yield {
                "circuit": self.circuit.tag,
                "source": use.source,
                "cabinet": use.cabinet,
                "area": area,
            }

    def _declaration(self, one: Declaration, kind: Kind | None) -> Iterator[Input]:
        at = self.part.declarations.index(one)
        own = [d for d in self.part.declarations if d.scope not in ("plant", "certificate")]
        own = [d for d in own if d.of != SAFE_AREA]
        path: Path = ("declarations", own.index(one) if one in own else "circuit", one.fact)
        place = ("declarations", str(at + 1), "value")
        label = f"declared {one.fact}"
        try:
            if kind is None:
                held = TemperatureRange(one.value)
                if held.known:
                    for end in _ends(held, path, place, label):
                        yield dataclasses.replace(end, sort="declared")
                return
            now = _of(read_spread(one.value, kind))
        except InputError:
            return  # a word such as "partition"
        yield Input(place, label, kind, now, one.value, path, "declared")

    def figures(self) -> Iterator[Input]:
        """Functional figures of sources, apparatus and circuit."""
        parts = [use.outputs for use in self.circuit.sources]
        for at, kind in enumerate(self.part.sources):
            if kind in self._kinds():
                path: Path = ("sources", at)
                yield from _figures(kind.function, path, ("sources", kind.name), kind.name, parts)
        links = [member.connection for member in self.circuit.members]
        for name in ("apparatus", "simple"):
            for at, item in enumerate(getattr(self.part, name)):
                if any(member.apparatus == item.name for member in self.circuit.members):
                    yield from _figures(
                        item.function, (name, at), (name, item.name), item.name, links
                    )
        stated = self.circuit.function
        every = [one.part for one in stated]
        yield from _figures(stated, self.path, self.place, self.circuit.tag, every)
