"""Parts of the working: stored energy with its lumped rule, and sources that act together."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterator, Sequence

import numpy as np

from subspark.assess.tree import Block, Line, Section, Table
from subspark.assess.words import percent
from subspark.assess.working_inputs import Subject
from subspark.physics.energy import inductance_from_energy
from subspark.physics.sources import parallel_thevenin, series_thevenin
from subspark.quantity import (
    CAPACITANCE,
    CURRENT,
    INDUCTANCE,
    L_PER_R,
    POWER,
    RESISTANCE,
    VOLTAGE,
    Kind,
    show,
)
from subspark.rules import Columns, energy

__all__ = ["combination", "stored"]


def _first(values: object) -> float:
    return float(np.ravel(np.asarray(values))[0])


def _sum(terms: Sequence[float], total: float, kind: Kind) -> str:
    shown = [show(term, kind) for term in terms]
    if not shown:
        return show(total, kind)
    return shown[0] if len(shown) == 1 else f"{' + '.join(shown)} = {show(total, kind)}"


def _sums(subject: Subject) -> Iterator[Line]:
    c = subject.columns
    sums = energy.stored(c)
    for symbol, kind, own, of_source, cable, lumped, total in (
        ("C", CAPACITANCE, c.Ci, c.source_C, c.length * c.C, sums.Ci, sums.C),
        ("L", INDUCTANCE, c.Li, c.source_L, c.length * c.L, sums.Li, sums.L),
    ):
        terms = [float(value) for value in own[:, 0]]
        if _first(of_source) != 0.0:
            terms.append(_first(of_source))
        runs = [float(value) for value in cable[:, 0]]
        yield Line(_sum(terms, _first(lumped), kind), f"sum {symbol}i")
        yield Line(_sum(runs, float(np.sum(runs)), kind), f"cable {symbol}c")
        both = f"{show(_first(lumped), kind)} + {show(float(np.sum(runs)), kind)}"
        yield Line(f"{both} = {show(_first(total), kind)}", f"{symbol} in all")


def _share(symbol: str, own: float, limit: float, kind: Kind) -> str:
    if own == 0.0:
        return f"{symbol}i is 0"
    if math.isnan(own) or math.isnan(limit):
        return f"{symbol}i {show(own, kind)} against {symbol}o {show(limit, kind)} is not known"
    part = percent(own / limit) if limit > 0 else "more than all"
    return f"{symbol}i {show(own, kind)} is {part} of {symbol}o {show(limit, kind)}"


def _lumped(subject: Subject) -> Iterator[Line]:
    """The decision of the lumped rule in words, with both percentages."""
    c = subject.columns
    sums, held = energy.stored(c), energy.lumped(c)
    Ci, Li, Co, Lo, k = (_first(v) for v in (sums.Ci, sums.Li, c.Co, c.Lo, held.k))
    yield Line(
        f"{_share('L', Li, Lo, INDUCTANCE)}; {_share('C', Ci, Co, CAPACITANCE)}", "lumped parts"
    )
    one = f"{100.0 * c.code.number('lumped share'):g} %"
    if _first(c.together):
        yield Line("a document lets Co and Lo be used together, so nothing is halved", "k = 1")
    elif k == 1.0:
        low_L = bool(_first(held.low_L))
        which = "lumped L" if low_L else "lumped C"
        none = (Li if low_L else Ci) == 0.0
        why = f"there is no {which}" if none else f"the {which} is below {one}"
        yield Line(f"{why}, so Co and Lo may both be used in full", "k = 1")
    elif math.isnan(k):
        yield Line(_undecided(c, Ci, Li), "k unknown")
    else:
        yield Line(f"both are at least {one}, so half of each may be used", "k = 1/2")
        half, cap = Co * k, _first(c.half_cap)
        allowed = energy.allowed(c)
        if half > cap:
            end = f"{show(half, CAPACITANCE)}, capped at {show(cap, CAPACITANCE)}"
        else:
            end = f"{show(half, CAPACITANCE)}, below the cap of {show(cap, CAPACITANCE)}"
        yield Line(f"{show(Co, CAPACITANCE)} / 2 = {end}", "half of Co")
        yield Line(
            f"{show(Lo, INDUCTANCE)} / 2 = {show(_first(allowed.L), INDUCTANCE)}", "half of Lo"
        )


def _undecided(c: Columns, Ci: float, Li: float) -> str:
    open_ = [name for name, value in (("Ci", Ci), ("Li", Li)) if math.isnan(value)]
    if open_:
        return f"{' and '.join(open_)} not known: whether to halve cannot be decided"
    if math.isnan(_first(c.Co)) or math.isnan(_first(c.Lo)):
        return "Co or Lo not known: whether to halve cannot be decided"
    return (
        "both are at least 1 %, and halving is shown for linear sources only: this one needs "
        "pairs, or its document's words on Co and Lo together"
    )


def _pairs(subject: Subject) -> Iterator[Block]:
    c = subject.columns
    sums, allowed = energy.stored(c), energy.allowed(c)
    C, L = sums.C, sums.L
    best = int(_first(allowed.pair))
    rows = []
    for number in range(c.pair_Co.shape[0]):
        Co, Lo = float(c.pair_Co[number, 0]), float(c.pair_Lo[number, 0])
        if math.isnan(Co) and math.isnan(Lo) and number != best:
            continue
        rows.append(
            (
                f"{number + 1}{' (used)' if number == best else ''}",
                f"{show(_first(C), CAPACITANCE)} of {show(Co, CAPACITANCE)}",
                percent(_first(C) / Co) if Co > 0 else "",
                f"{show(_first(L), INDUCTANCE)} of {show(Lo, INDUCTANCE)}",
                percent(_first(L) / Lo) if Lo > 0 else "",
            )
        )
    yield Line("the certificate prints pairs: one that covers both holds, without halving", "pairs")
    yield Table(("pair", "C", "used", "L", "used"), tuple(rows))


def _against(demand: object, limit: object, kind: Kind) -> str:
    return f"{show(_first(demand), kind)} against {show(_first(limit), kind)}"


def _routes(subject: Subject) -> Iterator[Line]:
    c = subject.columns
    sums, allowed = energy.stored(c), energy.allowed(c)
    yield Line(_against(sums.C, allowed.C, CAPACITANCE), "capacitance")
    yield Line(_against(sums.L, allowed.L, INDUCTANCE), "inductance by L")
    ratio, open_ = energy.ratio_route(c)
    if bool(open_[0]):
        by = bool(energy.by_ratio(c)[0])
        used = "this way counts, it uses less" if by else "the way by L counts, it uses less"
        yield Line(f"{_against(ratio.demand, ratio.limit, L_PER_R)}; open: {used}", "by L/R")
    else:
        yield Line(f"closed: {_closed(c)}", "by L/R")


def _closed(c: Columns) -> str:
    held, Li = energy.lumped(c), _first(energy.stored(c).Li)
    if bool(c.paired[0]):
        return "the certificate states pairs"
    if math.isnan(_first(c.Lo_Ro)):
        return "no Lo/Ro is stated" if not bool(c.calculated[0]) else "none for combined sources"
    if not bool(held.low_L[0]) and not (Li == 0.0 and math.isnan(_first(c.Lo))):
        return "the lumped Li is not below 1 % of Lo"
    if np.isnan(c.LR).any():
        return "a run has no L/R"
    share = f"{100.0 * c.code.number('assumed ratio share'):g} %"
    return f"an L/R assumed from nominal copper proves nothing above {share} of Lo/Ro"


def stored(subject: Subject) -> Section:
    """Sums of C and L, the lumped rule, pairs, and both routes of inductance."""
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        blocks: list[Block] = list(_sums(subject))
        if bool(subject.columns.paired[0]):
            blocks += _pairs(subject)
        else:
            blocks += _lumped(subject)
        blocks += _routes(subject)
    return Section("energy", "Stored energy", _in_symbols(blocks, subject))


def _in_symbols(blocks: list[Block], subject: Subject) -> tuple[Block, ...]:
    """Lines of our own words in the symbols of the code."""
    say = subject.context.code.say
    return tuple(
        dataclasses.replace(one, text=say(one.text), label=say(one.label))
        if isinstance(one, Line)
        else one
        for one in blocks
    )


# --- combined sources ----------------------------------------------------------------------------


def _diagram(labels: list[str], series: bool) -> Iterator[Line]:
    if series:
        yield Line(" -- ".join(f"[{label}]" for label in labels) + " --> field", "in series")
        return
    wide = max(len(label) for label in labels)
    for number, label in enumerate(labels):
        end = "--> field" if number == len(labels) - 1 else ""
        yield Line(f"[{label.ljust(wide)}] --+{end}", "in parallel" if number == 0 else "")


def _by_document(subject: Subject) -> tuple[Block, ...]:
    """What a certificate prints for the whole combination; nothing is calculated."""
    first, *rest = subject.case.sources
    row = first.row
    covered = " + ".join(one.label for one in rest)
    printed = f"Uo {show(row.U, VOLTAGE)}, Io {show(row.I, CURRENT)}, Po {show(row.P, POWER)}"
    return (
        Line(f"{first.kind.name}, certificate {first.kind.certificate or 'not named'}", "document"),
        Line(covered, "stands for"),
        Line(f"{printed}; its values replace the calculation", "prints"),
    )


def _exactly(volts: list[float], amperes: list[float], series: bool) -> Line:
    """The exact equivalent of all sources together, beside the cautious sums."""
    driving = [pair for pair in zip(volts, amperes, strict=True) if pair[1] > 0.0]
    if not driving:
        return Line("not known", "exactly")
    U, I = np.array(driving, dtype=np.float64).reshape(len(driving), 2).T[:, :, None]  # noqa: E741
    exact = series_thevenin(U, I) if series else parallel_thevenin(U, I)
    Uth, Rth = _first(exact.U), _first(exact.R)
    return Line(
        f"{show(Uth, VOLTAGE)} behind {show(Rth, RESISTANCE)}, {show(Uth / Rth, CURRENT)} into a "
        "short circuit; the sums above are never less",
        "exactly",
    )


def combination(subject: Subject) -> Iterator[Section]:
    """How several sources act together in the case, by calculation."""
    case, c = subject.case, subject.columns
    if len(case.sources) < 2:
        return
    if case.head.by_document:
        yield Section("combination", "Sources together", _by_document(subject))
        return
    series = bool(case.head.series)
    rows = [one.row for one in case.sources]
    labels = [
        f"{one.label}: {show(one.row.U, VOLTAGE)}, {show(one.row.I, CURRENT)}"
        for one in case.sources
    ]
    blocks: list[Block] = list(_diagram(labels, series))
    U, I, P = _first(c.U), _first(c.I), _first(c.P)  # noqa: E741 - the symbol of current
    volts, amperes = [row.U for row in rows], [row.I for row in rows]
    blocks.append(Line(_joined(volts, U, VOLTAGE, series), "U"))
    blocks.append(Line(_joined(amperes, I, CURRENT, not series), "I"))
    blocks.append(Line(f"{show(P, POWER)}: the largest matched power of any subset", "P"))
    if not bool(c.linear[0]):
        blocks.append(Line("a member is not linear: nothing can be calculated", "not shown"))
        yield Section("combination", "Sources together", tuple(blocks))
        return
    blocks.append(_exactly(volts, amperes, series))
    spark, factor = case.head.spark, case.head.factor
    with np.errstate(invalid="ignore", divide="ignore"):
        table = _first(subject.context.curves.permitted_capacitance(U, spark, factor))
        formula = _first(inductance_from_energy(I, spark, factor))
    smallest_C = float(np.min([row.Co_declared for row in rows]))  # NaN where one is not known
    smallest_L = float(np.min([row.Lo_declared for row in rows]))
    limits: list[Block] = [
        Line(
            f"{show(_first(c.permitted), CURRENT)} permitted at {show(U, VOLTAGE)}, "
            f"{case.need.group}, factor {'unknown' if math.isnan(factor) else f'{factor:g}'}",
            "permitted I",
        ),
        Line(
            f"{show(_first(c.Co), CAPACITANCE)}: the smaller of the table at that voltage "
            f"({show(table, CAPACITANCE)}) and the smallest declared "
            f"({show(smallest_C, CAPACITANCE)})",
            "Co",
        ),
        Line(
            f"{show(_first(c.Lo), INDUCTANCE)}: the smaller of 2 e / (f I)^2 "
            f"({show(formula, INDUCTANCE)}; no proof below 1 mH) and the smallest declared "
            f"({show(smallest_L, INDUCTANCE)})",
            "Lo",
        ),
        Line(f"values from {subject.context.curves.name}", "table"),
    ]
    blocks += _in_symbols(limits, subject)
    yield Section("combination", "Sources together", tuple(blocks))


def _joined(values: list[float], result: float, kind: Kind, added: bool) -> str:
    shown = [show(value, kind) for value in values]
    if added:
        return f"{' + '.join(shown)} = {show(result, kind)}"
    return f"the larger of {' and '.join(shown)} = {show(result, kind)}"
