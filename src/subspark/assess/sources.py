"""Sources of a circuit as rows: the output used, the column that serves, what is doubted."""

from __future__ import annotations

import copy
import dataclasses
import math
from collections.abc import Iterator
from typing import NamedTuple

from subspark.assess.context import Context, Doubted, document_state, listing
from subspark.assess.outputs import (
    current_of,
    is_linear,
    outputs_used,
    peak_voltage,
    power_of,
    serving,
)
from subspark.assess.places import Need
from subspark.assess.readings import (
    LEVELS,
    SPARK,
    celsius_range,
    epl_rank,
    letters,
    level_rank,
    marks_of_source,
    rank_of_group,
    read_surface,
    same,
    split_groups,
    volts,
)
from subspark.assess.rows import PortRow, SourceCase, SourceRow
from subspark.model import (
    SAFE_AREA,
    Circuit,
    Limits,
    Mark,
    Output,
    Port,
    SourceType,
    SourceUse,
)
from subspark.physics.energy import inductance_from_energy, inductance_per_ohm
from subspark.physics.ignition import Curves
from subspark.quantity import NO_EVIDENCE
from subspark.rules import NOTHING, Code

__all__ = ["air_round", "source_cases", "unknown_source"]

NAN = math.nan


def column_groups(limits: Limits) -> tuple[str, ...]:
    """The groups that a column of a certificate is printed for."""
    return letters(limits.group)


def column_level(limits: Limits, output: Output, own: float) -> float:
    """Rank of the level that a column is printed for; the source's own where none is.

    Where other columns of the output name theirs, a blank is a gap and not the source's own.
    """
    if not limits.level:
        return NAN if any(one.level for one in output.limits) else own
    return max(LEVELS[part.strip()] for part in limits.level.split(","))


def _lower_rank(own: float, column: float) -> float:
    return NAN if math.isnan(own) or math.isnan(column) else min(own, column)


def _rank_or_none(rank: float) -> float:
    return -1.0 if math.isnan(rank) else rank


def choose_column(output: Output, need: Need, own: float) -> Limits | None:
    """The most generous column that serves: of the level asked or higher, else the highest."""
    serving: list[tuple[int, Limits]] = []
    for limits in output.limits:
        printed = column_groups(limits)
        order = [need.columns.index(name) for name in printed if name in need.columns]
        if order:
            serving.append((min(order), limits))
    if not serving:
        return None
    enough = [one for one in serving if column_level(one[1], output, own) >= need.rank]
    if not enough:
        ranks = [_rank_or_none(column_level(limits, output, own)) for _, limits in serving]
        enough = [one for one, rank in zip(serving, ranks, strict=True) if rank == max(ranks)]
    return min(enough, key=lambda one: (one[0], column_level(one[1], output, own)))[1]


def column_spark(limits: Limits, code: Code) -> int:
    """Spark group of a column: the most sensitive that it is printed for."""
    ranks = [
        SPARK[code.groups[name].spark] for name in column_groups(limits) if name in code.groups
    ]
    return max(ranks, default=-1)


def cross_checked(
    kind: SourceType, output: Output, limits: Limits, factor: float, code: Code, curves: Curves
) -> Doubted:
    """The values of a column; one far above curve or formula is unknown until answered.

    A declared Co, Lo or Lo/Ro of more than 1.25 times the reference is a probable slip of unit
    or column. Checked for every source that is not documented as non-linear.
    """
    declared = {"Co": limits.Co.si, "Lo": limits.Lo.si, "Lo/Ro": limits.Lo_Ro.si}
    pairs = tuple(
        (pair.Co.si, pair.Lo.si) if pair.Co.known and pair.Lo.known else (NAN, NAN)
        for pair in limits.pairs
    )
    if output.shape in ("trapezoidal", "rectangular") or kind.cross_check == "yes":
        return Doubted(declared["Co"], declared["Lo"], declared["Lo/Ro"], pairs, ())
    U, I = peak_voltage(output), current_of(output)  # noqa: E741
    spark = column_spark(limits, code)
    top = code.number("cross-check") * (1.0 + 1e-12)
    if spark < 0 or math.isnan(U):
        return Doubted(declared["Co"], declared["Lo"], declared["Lo/Ro"], pairs, ())
    some = I > 0.0
    reference = {
        "Co": float(curves.permitted_capacitance(U, spark, factor)),
        "Lo": float(inductance_from_energy(I, spark, factor)) if some else NAN,
        "Lo/Ro": float(inductance_per_ohm(U, U / I, spark, factor)) if some and U > 0 else NAN,
    }
    warnings = []
    for name, value in declared.items():
        if value > top * reference[name]:
            times = value / reference[name]
            declared[name] = NAN
            warnings.append(
                f"{kind.name}: declared {name} in column {limits.group} is {times:.6g} times the "
                "reference; a slip of unit or column? It counts as unknown until answered"
            )
    kept = []
    for C, L in pairs:
        if top * reference["Co"] < C or top * reference["Lo"] < L:
            warnings.append(f"{kind.name}: a pair in column {limits.group} is above the reference")
            kept.append((NAN, NAN))
        else:
            kept.append((C, L))
    return Doubted(declared["Co"], declared["Lo"], declared["Lo/Ro"], tuple(kept), tuple(warnings))


def _checked_once(
    kind: SourceType, output: Output, limits: Limits, factor: float, context: Context
) -> Doubted:
    key = (id(output), id(limits), factor)
    found = context.checked.get(key)
    if found is None:
        found = cross_checked(kind, output, limits, factor, context.code, context.curves)
        context.checked[key] = found
    return found


def _best_serving(
    marks: tuple[Mark, ...], need: Need, listed: str, code: Code
) -> tuple[Mark, float]:
    """The alternative of the bracket that comes nearest to what is asked, and its group rank."""
    best, best_key, best_rank = Mark(), (-1.0, -1.0, -1.0), NAN
    for mark in marks:
        rank = rank_of_group(mark, need.group, listed, code, lenient=True)
        fits = 1.0 if rank >= need.group_rank else (0.5 if math.isnan(rank) else 0.0)
        level = level_rank(mark.level)
        enough = 1.0 if level >= need.rank else 0.0
        key = (min(fits, enough), fits + enough, 0.0 if math.isnan(level) else level)
        if key > best_key:
            best, best_key, best_rank = mark, key, rank
    return best, best_rank


class _Body(NamedTuple):
    epl_asked: float
    epl: float
    body_asked: float
    body: float
    T_limit: float
    T: float


_SAFE = _Body(0.0, math.inf, NOTHING, math.inf, math.inf, NOTHING)
_UNKNOWN_PLACE = _Body(NAN, NAN, NAN, NAN, NAN, NAN)


def _body(kind: SourceType, marks: tuple[Mark, ...], need: Need, listed: str, code: Code) -> _Body:
    """The source's own body against the atmosphere where it stands, its best alternative."""
    if not marks:
        return _Body(need.rank, 0.0, NOTHING, math.inf, math.inf, NOTHING)
    best, best_key = _UNKNOWN_PLACE, -1.0
    for mark in marks:
        surface = read_surface(mark.temperature)
        celsius = kind.surface.si if kind.surface.known else surface.celsius
        if math.isnan(celsius) and surface.t_class and need.family == "II":
            celsius = code.marked_class(surface.t_class)
        one = _Body(
            need.rank,
            epl_rank(mark, need.family, code),
            need.group_rank,
            rank_of_group(mark, need.group, listed, code, lenient=False),
            need.T_of_bodies,
            celsius,
        )
        key = sum(
            1.0 if have >= asked else (0.5 if math.isnan(have) or math.isnan(asked) else 0.0)
            for have, asked in (
                (one.epl, one.epl_asked),
                (one.body, one.body_asked),
                (one.T_limit, one.T),
            )
        )
        if key > best_key:
            best, best_key = one, key
    return best


def _place(use: SourceUse, circuit: Circuit, context: Context) -> str:
    if context.sources[use.source].terminals_of:  # it stands in the field
        return use.place or circuit.area
    return use.place or context.declared.value(
        "source place", circuit=circuit.tag, source=use.source, cabinet=use.cabinet
    )


def source_places(circuit: Circuit, context: Context) -> tuple[str, ...]:
    """Areas in which the sources of a circuit stand; "" where it is not known."""
    return tuple(_place(use, circuit, context) for use in circuit.sources)


def _ports(
    use: SourceUse, kind: SourceType, circuit: Circuit, context: Context
) -> Iterator[tuple[Port, PortRow]]:
    """What may stand behind each safe-side port, against its Um."""
    code = context.code
    stated = {one.port: one for one in use.safe_side}
    found = context.declared.find(
        "safe side voltage",
        circuit=circuit.tag,
        source=use.source,
        cabinet=use.cabinet,
        area=use.place,
    )
    declared = NAN if found is None else volts(found.value)
    for port in kind.ports or (Port(),):
        Um = port.Um.si
        own = stated.get(port.name)
        if own is not None and own.voltage.known:
            behind, evidence = own.voltage.si, own.evidence
        else:  # "at most so much": above Um it may still be lower, so it proves nothing
            behind = NAN if declared > Um else declared
            evidence = NO_EVIDENCE if found is None else found.evidence
        shown = bool(evidence) and not evidence.assumed
        if Um < code.number("declared voltage") and behind <= Um and not shown:
            behind = NAN  # a working voltage is not what the mains behind it can bring
        yield port, PortRow(behind, Um)


def _ambient(use: SourceUse, place: str, circuit: Circuit, context: Context) -> tuple[float, float]:
    """Coldest and hottest air where the source stands [degC]."""
    if use.place_ambient.known:
        return use.place_ambient.low, use.place_ambient.high
    found = celsius_range(
        context.declared.value(
            "cabinet ambient",
            circuit=circuit.tag,
            source=use.source,
            cabinet=use.cabinet,
            area=place if place != SAFE_AREA else "",
        )
    )
    area = context.areas.get(place)
    if found.known or area is None or use.cabinet:  # a cabinet is warmer than the air around it
        return found.low, found.high
    return area.ambient.low, area.ambient.high


def air_round(use: SourceUse, circuit: Circuit, context: Context) -> tuple[float, float]:
    """Coldest and hottest air where a source of a circuit stands [degC]; NaN where not known."""
    return _ambient(use, _place(use, circuit, context), circuit, context)


class _Stand(NamedTuple):
    """Where a source stands: place, what may be behind its ports, coldest and hottest air."""

    place: str
    ports: tuple[tuple[Port, PortRow], ...]
    air: tuple[float, float]


def _marked_range(kind: SourceType, mark: Mark, code: Code) -> tuple[float, float]:
    """Ambient range of a source [degC]: what its document and its marking leave of each other."""
    known = [one for one in (kind.ambient, mark.ambient) if one.known]
    if not known:
        return code.number("ambient low"), code.number("ambient high")
    return max(one.low for one in known), min(one.high for one in known)


def source_cases(circuit: Circuit, need: Need, context: Context) -> list[SourceCase]:
    """The sources of a circuit for one atmosphere, one for each output used."""
    out = []
    if circuit.system:
        out.append(_system(circuit, need, context))
    alone = not circuit.system and all(
        context.sources[use.source].terminals_of for use in circuit.sources
    )
    for use in circuit.sources:
        kind = context.sources[use.source]
        place = _place(use, circuit, context)
        low, high = _ambient(use, place, circuit, context)
        ports = () if kind.terminals_of else tuple(_ports(use, kind, circuit, context))
        stand = _Stand(place, ports, (low, high))
        cases = [
            _one(use, kind, serving(output, circuit.method), need, context, stand)
            for output in outputs_used(use, kind, circuit.method)
        ]
        if alone and kind.separated != "yes":
            cases = [_not_separated(one) for one in cases]
        out += cases
    return out


def unknown_source(need: Need, context: Context) -> SourceCase:
    """A source of which nothing is known: it stands for one that is not entered."""
    kind = SourceType(name="a source that is not entered")
    stand = _Stand("", (), (NAN, NAN))
    return _one(SourceUse(source=kind.name, place=""), kind, Output(), need, context, stand)


def _not_separated(one: SourceCase) -> SourceCase:
    """Terminals that are not shown to be separated from the other side: no proof by themselves."""
    row = one.row._replace(Co=NAN, Lo=NAN, Lo_Ro=NAN, Co_declared=NAN, Lo_declared=NAN)
    note = (
        f"{one.kind.name}: not shown to be galvanically separated from the other terminals of "
        f"{one.kind.terminals_of}; both sides are one circuit"
    )
    nothing = tuple((NAN, NAN) for _ in one.pairs)
    return dataclasses.replace(one, row=row, pairs=nothing, warnings=(*one.warnings, note))


def _system(circuit: Circuit, need: Need, context: Context) -> SourceCase:
    """The printed values of a certificate that covers the whole combination of sources."""
    kind = context.sources[circuit.system]
    use = SourceUse(source=kind.name, place=SAFE_AREA)
    stand = _Stand(SAFE_AREA, (), (math.inf, NOTHING))
    output = serving(outputs_used(use, kind, circuit.method)[0], circuit.method)
    found = _one(use, kind, output, need, context, stand)
    row = found.row._replace(hot=NOTHING, cold=math.inf)
    foreign = sorted({one.source for one in circuit.sources} - set(kind.covers))
    if foreign:
        unknown = dict.fromkeys(("U", "I", "P", "Co", "Lo", "Lo_Ro"), NAN)
        note = f"{kind.name}: not stated to cover {' and '.join(foreign)}"
        nothing = tuple((NAN, NAN) for _ in found.pairs)
        return dataclasses.replace(
            found,
            row=row._replace(**unknown),
            pairs=nothing,
            system=True,
            warnings=(*found.warnings, note),
        )
    return dataclasses.replace(found, row=row, system=True)


def _lumped_words(kind: SourceType, code: Code) -> tuple[str, ...]:
    """The words of a control drawing by which Co and Lo may be used in full together.

    They count only where the code goes by control drawings, and the drawing is named.
    """
    if not (code.by_drawing and kind.control_drawing and kind.lumped_rule_words):
        return ()
    drawing = f"by control drawing {kind.control_drawing}"
    return (f'{kind.name}: Co and Lo in full together {drawing}: "{kind.lumped_rule_words}"',)


class _Served(NamedTuple):
    """What a source is worth in an atmosphere and place, whichever circuit uses it."""

    mark: Mark
    column: str
    row: SourceRow
    pairs: tuple[tuple[float, float], ...]
    warnings: tuple[str, ...]


def _one(
    use: SourceUse,
    kind: SourceType,
    output: Output,
    need: Need,
    context: Context,
    stand: _Stand,
) -> SourceCase:
    served = _served(kind, output, need, context, stand)
    return SourceCase(
        use=_with_polarity(use, output),
        kind=kind,
        output=output,
        mark=served.mark,
        column=served.column,
        row=served.row,
        ports=stand.ports,
        pairs=served.pairs,
        warnings=served.warnings,
    )


def _with_polarity(use: SourceUse, output: Output) -> SourceUse:
    """The use with the polarity of its output where it states none: read once, not read again."""
    if use.polarity or not output.polarity:
        return use
    out = copy.copy(use)
    object.__setattr__(out, "polarity", output.polarity)
    return out


def _served(
    kind: SourceType, output: Output, need: Need, context: Context, stand: _Stand
) -> _Served:
    """The source as :func:`_work_out` finds it, once for all circuits that use it alike."""
    if not any(output is one for one in kind.outputs):
        return _work_out(kind, output, need, context, stand)
    key = ("source", id(kind), id(output), id(need), stand.place, same(stand.air))
    found = context.known.get(key)
    if found is None:
        found = (kind, output, need, _work_out(kind, output, need, context, stand))
        context.known[key] = found
    served: _Served = found[-1]
    return served


def _work_out(
    kind: SourceType, output: Output, need: Need, context: Context, stand: _Stand
) -> _Served:
    code, place, air = context.code, stand.place, stand.air
    read = marks_of_source(kind.mark) if kind.mark else None
    listed = listing(kind, context)
    serves = split_groups(kind.serves or (read.serves if read else ()))
    bodies = split_groups(kind.body or (read.body if read else ()))
    mark, rank = _best_serving(serves, need, listed, code)
    own = level_rank(mark.level)
    limits = choose_column(output, need, own)
    column_rank = NAN if limits is None else column_level(limits, output, own)
    factor = 1.0 if column_rank == LEVELS["ic"] else 1.5
    doubted = (
        Doubted(NAN, NAN, NAN, (), ())
        if limits is None
        else _checked_once(kind, output, limits, factor, context)
    )
    power, notes = power_of(output, kind, code)
    words = _lumped_words(kind, code)
    if place == SAFE_AREA or (place and place != need.area):
        body = _SAFE
    elif place == "":
        body = _UNKNOWN_PLACE
    else:
        body = _body(kind, bodies, need, listed, code)
    Ta_min, Ta_max = _marked_range(kind, mark, code)
    spark = -1 if limits is None else column_spark(limits, code)
    cap = "half cap IIC" if spark == SPARK["IIC"] else "half cap other"
    few = code.number("lumped share") * (1.0 - 1e-12) * doubted.Co  # NaN closes the route
    row = SourceRow(
        U=peak_voltage(output),
        I=current_of(output),
        P=power,
        Co=doubted.Co,
        Lo=doubted.Lo,
        Lo_Ro=NAN if output.Ci.si > 0 and not output.Ci.si < few else doubted.Lo_Ro,
        Co_declared=NAN if limits is None or limits.pairs else limits.Co.si,
        Lo_declared=NAN if limits is None or limits.pairs else limits.Lo.si,
        Ci=0.0 if math.isnan(output.Ci.si) else output.Ci.si,
        Li=0.0 if math.isnan(output.Li.si) else output.Li.si,
        linear=float(is_linear(output, code)),
        together=float(limits is not None and (limits.together == "yes" or bool(words))),
        paired=float(bool(doubted.pairs)),
        level=own if limits is None else _lower_rank(own, column_rank),
        half_cap=code.number(cap),
        group=rank,
        **body._asdict(),
        hot=air[1],
        cold=air[0],
        Ta_max=Ta_max,
        Ta_min=Ta_min,
        conditions=document_state(kind, context),
    )
    return _Served(
        mark=mark,
        column="" if limits is None else " ".join(p for p in (limits.level, limits.group) if p),
        row=row,
        pairs=doubted.pairs,
        warnings=(*doubted.warnings, *notes, *words),
    )
