"""Analogue outputs as rows: card, barrier or isolator, line, positioners in series."""

# ruff: noqa: E741 - I is the trade's symbol of a current
from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import partial

from subspark.assess.function.cases import Figure, FunctionCase, Staircase, builder
from subspark.assess.function.driving import NAN, NONE, at_least, at_most, cabinet
from subspark.assess.function.facts import Facts, Item, Loop, Point
from subspark.assess.function.feeding import (
    BARRIER,
    NO_VOLTS,
    UNKNOWN_VOLTS,
    Budget,
    Series,
    certified_figures,
    exactly,
    fed_line,
    figure,
    first_of,
    guaranteed,
    least_at,
    line_figures,
    plain,
    points,
    points_at,
    stated_volts,
    summed,
    type_facts,
)
from subspark.assess.function.hart import used
from subspark.assess.function.line import Line, total
from subspark.quantity import CURRENT, UNKNOWN_SPREAD, Spread, show
from subspark.rules.function.hart import HART_PEAK

__all__ = ["output"]

ROLES = frozenset({"positioner", "indicator", "series element", ""})
SOURCES = frozenset({BARRIER, "current output", ""})


def _device_volts(facts: Facts) -> tuple[Point, ...]:
    """Volts that a positioner takes; none of a plain coil."""
    if facts.rows("voltage drop"):
        return stated_volts(facts, "voltage drop")
    if facts.rows("lift-off voltage"):
        return stated_volts(facts, "lift-off voltage")
    return NO_VOLTS if _device_ohms_stated(facts) else UNKNOWN_VOLTS


def _device_ohms_stated(facts: Facts) -> bool:
    return bool(facts.rows("coil resistance") or facts.rows("series resistance"))


def _device_ohms(facts: Facts) -> Spread:
    """Ohms of a coil or of an item in series; none where it is given by its volts."""
    if not _device_ohms_stated(facts):
        return NONE if _device_volts(facts) is not UNKNOWN_VOLTS else UNKNOWN_SPREAD
    what = "coil resistance" if facts.rows("coil resistance") else "series resistance"
    return facts.spread(what)  # type: ignore[arg-type]


def _alive(devices: Sequence[Item]) -> tuple[float, Spread]:
    """Whether some device is electronic, and the highest of their alive currents."""
    electronic, most = False, NAN
    for one in devices:
        needs = _device_volts(one.facts) is not NO_VOLTS
        electronic = electronic or needs
        stated = one.facts.rows("alive current")
        alive = exactly(one.facts.spread("alive current")).high if stated else NAN
        if needs and math.isnan(alive):
            return 1.0, UNKNOWN_SPREAD
        most = alive if math.isnan(most) else max(most, alive)
    return float(electronic), Spread(most, most, most)


def _device_figures(devices: Sequence[Item]) -> dict[str, Figure]:
    electronic, alive = _alive(devices)
    return {
        "volts": summed([_device_volts(one.facts) for one in devices]),
        "ohms": total([_device_ohms(one.facts) for one in devices]),
        "electronic": electronic,
        "alive": alive,
        "modem": total([one.facts.spread("HART resistance") for one in devices]),
        "C_device": total([at_most(one.facts.spread("input capacitance")) for one in devices]),
    }


def _range(own: Facts, kind: Facts, devices: Sequence[Item]) -> dict[str, Figure]:
    """Ends of the current: of the circuit, else of the output, else of the first device."""
    places = (own, kind, *(one.facts for one in devices))
    return {
        "I_low": exactly(first_of("low alarm current", *places)),
        "I_high": exactly(first_of("high alarm current", *places)),
    }


def _card_figures(own: Facts, barrier: bool) -> dict[str, Figure]:
    stated = bool(own.rows("load compliance") or own.rows("highest load"))
    return {
        "card_compliance": guaranteed(own.spread("load compliance")),
        "card_most": exactly(own.spread("highest load")),
        "card_least": exactly(own.spread("lowest load")),
        "card_given": float(stated),
        "card_open": own.spread("open-circuit voltage") if barrier else NONE,
    }


def _source_figures(source: Item) -> dict[str, Figure]:
    kind, barrier = type_facts(source), source.role == BARRIER
    curve = () if barrier else kind.table("terminal voltage")
    contradicts = bool(kind.rows("terminal voltage")) and not barrier and not curve
    takes = bool(kind.rows("voltage drop") or kind.rows("input resistance"))
    sure = tuple(Point(one.at, guaranteed(one.value)) for one in curve)
    isolator: dict[str, Figure] = {
        "barrier": float(barrier) if source.role else NAN,
        "curve": UNKNOWN_VOLTS if contradicts else sure or NO_VOLTS,
        "tabled": float(bool(curve) or contradicts),
        "compliance": NONE if barrier or curve else guaranteed(kind.spread("load compliance")),
        "most_load": NONE if barrier or curve else exactly(kind.spread("highest load")),
        "least_load": exactly(kind.spread("lowest load")),
        "takes": float(takes and not barrier),
        "input_volts": NO_VOLTS if barrier else stated_volts(kind, "voltage drop"),
        "input_R": kind.spread("input resistance") if kind.rows("input resistance") else NONE,
        "accuracy": NONE if barrier else at_most(kind.spread("accuracy")),
        "passes": 1.0 if barrier else kind.yes("HART") if source.role else NAN,
        "port": NONE if barrier else kind.spread("HART resistance"),
    }
    return {**isolator, **(_barrier(kind) if barrier else _no_barrier())}


def _barrier(kind: Facts) -> dict[str, Figure]:
    def stated(what: str) -> Spread:
        return kind.spread(what) if kind.rows(what) else NONE  # type: ignore[arg-type]

    return {
        "end_to_end": kind.spread("end-to-end resistance"),
        "drop": stated_volts(kind, "voltage drop"),
        "back": stated("return resistance"),
        "back_drop": stated("return voltage drop"),
        "working": exactly(kind.spread("working voltage")),
        "leakage": at_most(kind.spread("leakage current")),
        "highest": exactly(kind.spread("highest supply")),
    }


def _no_barrier() -> dict[str, Figure]:
    names = ("end_to_end", "back", "back_drop", "working", "leakage", "highest")
    return {**dict.fromkeys(names, NONE), "drop": NO_VOLTS}


@builder
def output(loop: Loop) -> Iterator[FunctionCase]:
    """One case for the positioners of a circuit, which stand in series."""
    devices, source = loop.of_role("positioner"), loop.source
    if not devices or source is None:
        return
    if loop.roles - ROLES or source.role not in SOURCES:
        return
    own, barrier = loop.own, source.role == BARRIER
    line, series = fed_line(loop)
    hot, cold = cabinet(source) if barrier else (20.0, 20.0)
    values: dict[str, Figure] = {
        **certified_figures(source, loop),
        **_source_figures(source),
        **_card_figures(own, barrier),
        **_range(own, type_facts(source), devices),
        **_device_figures(devices),
        **line_figures(line, series),
        "margin": at_least(own.spread("margin")) if own.rows("margin") else NONE,
        "budget": exactly(own.spread("error budget share")),
        "hot": hot,
        "cold": cold,
        "hart": used(loop, devices),
        "C_line": line.farads,
    }
    notes = [note for one in devices for note in one.facts.notes]
    of = " and ".join(one.label for one in devices)
    yield FunctionCase(
        kind="output loop",
        of=of,
        values=values,
        notes=(*own.notes, *source.facts.notes, *notes, *line.notes),
        stairs=partial(_stairs, source, devices, line, series, values),
        lacks=series.lacks,
    )


def _driven(source: Item, values: dict[str, Figure], budget: Budget, I: float) -> None:
    """The first step: what the output drives at a current."""
    if plain(values, "tabled") > 0.0:
        budget.start(f"{source.label} at that current", least_at(points(values, "curve"), I))
        return
    barrier = plain(values, "barrier") > 0.0
    volts, most = ("card_compliance", "card_most") if barrier else ("compliance", "most_load")
    top = max(I, figure(values, "I_high").high)
    found = [figure(values, volts).low, top * figure(values, most).low]
    known = [one for one in found if not math.isnan(one)]
    label = "output card, compliance" if barrier else f"{source.label}, compliance"
    budget.start(label, min(known, default=NAN))


def _stairs(
    source: Item,
    devices: Sequence[Item],
    line: Line,
    series: Series,
    values: dict[str, Figure],
    at: float,
) -> Staircase:
    """What the output drives less what is lost on the way, against what the devices take."""
    peak = HART_PEAK if plain(values, "hart") > 0.0 else 0.0
    I = round(figure(values, "I_high").high + peak, 12) if math.isnan(at) else at
    budget = Budget()
    _driven(source, values, budget, I)
    if plain(values, "barrier") > 0.0:
        budget.take(f"volts lost in {source.label}", -points_at(points(values, "drop"), I).high)
        budget.take(f"resistance of {source.label}", -I * figure(values, "end_to_end").high)
        budget.take("diodes of the return channel", -figure(values, "back_drop").high)
        budget.take("resistance of the return channel", -I * figure(values, "back").high)
    for run, ohms in line.runs:
        budget.take(f"run {run.number or run.cable or 'of cable'}", -I * ohms.high)
    for label, table, ohms in series.parts:
        budget.take(label, -I * ohms.high - points_at(table, I).high)
    taken = points_at(points(values, "volts"), I).high + I * figure(values, "ohms").high
    return Staircase(
        title=f"Volts to {' and '.join(one.label for one in devices)}",
        unit="V",
        at=show(I, CURRENT, 4),
        steps=tuple(budget.steps),
        left=budget.left,
        needed=taken + figure(values, "margin").high,
    )
