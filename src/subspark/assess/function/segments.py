"""Fieldbus segments, two-wire Ethernet links and trunks of couplers as rows, one a device."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from subspark.assess.function.cases import Each, Figure, FunctionCase, Staircase, builder
from subspark.assess.function.driving import NAN, NONE, at_least, at_most
from subspark.assess.function.engine import block_columns
from subspark.assess.function.facts import Facts, Item, Loop
from subspark.assess.function.inputs import of_standard
from subspark.assess.function.sensing import facts_of, guaranteed, if_stated, staircase
from subspark.assess.function.ways import Ways, ways_of
from subspark.model import SourceType, What
from subspark.quantity import UNKNOWN_SPREAD, Spread
from subspark.rules.function.segments import worst_state

__all__ = ["segment"]

ROLES = ("fieldbus device", "field coupler")
TWO_WIRE_ETHERNET = "2-WISE"


@dataclass(frozen=True, slots=True)
class _Load:
    """What a device asks of its segment, or a coupler of its trunk."""

    item: Item
    facts: Facts
    basic: Spread
    power: Spread
    fault: Spread
    need: Spread
    bearable: Spread
    notes: tuple[str, ...]


def _load(loop: Loop, item: Item, *, modulated: bool) -> _Load:
    facts, coupler = facts_of(loop, item), item.role == "field coupler"
    notes: list[str] = []
    power = at_most(if_stated(facts, "power"))
    powered = bool(facts.rows("power"))
    basic = if_stated(facts, "basic current") if powered else facts.spread("basic current")
    extra: What = "spur current limit" if coupler else "fault current"
    alone = not modulated and not facts.rows(extra)
    return _Load(
        item=item,
        facts=facts,
        basic=at_most(basic),
        power=power,
        fault=NONE if alone else at_most(facts.spread(extra)),
        need=_need(facts, notes, coupler=coupler, modulated=modulated),
        bearable=_bearable(facts, notes, modulated=modulated),
        notes=(*notes, *facts.notes),
    )


def _need(facts: Facts, notes: list[str], *, coupler: bool, modulated: bool) -> Spread:
    if coupler:
        return at_least(facts.spread("trunk voltage"))
    if facts.rows("lowest supply voltage") or not modulated:
        return at_least(facts.spread("lowest supply voltage"))
    return of_standard(facts, "lowest supply voltage", "fieldbus least voltage", notes)


def _bearable(facts: Facts, notes: list[str], *, modulated: bool) -> Spread:
    if not modulated:
        return at_most(facts.spread("highest operating voltage"))
    return at_most(
        of_standard(facts, "highest operating voltage", "fieldbus highest voltage", notes)
    )


def _tool(loop: Loop) -> Spread:
    """Basic currents of what is hung on for a while; none where nothing is listed."""
    low = nominal = high = 0.0
    for member in loop.circuit.members:
        if member.temporary:
            item = loop.context.items[member.apparatus]
            one = at_most(Facts((item.function,), item.name).spread("basic current"))
            low, nominal, high = low + one.low, nominal + one.nominal, high + one.high
    return Spread(low, nominal, high)


def _highest(source: Item) -> float:
    """Highest voltage of the supply: of its data sheet, else what it never exceeds in fault."""
    facts = source.facts
    table = facts.table("terminal voltage")
    stated = table[0].value.high if table else facts.spread("open-circuit voltage").high
    if not math.isnan(stated):
        return stated
    if not isinstance(source.kind, SourceType) or not source.kind.outputs:
        return NAN
    in_fault = [one.Uo.si for one in source.kind.outputs]
    return NAN if any(math.isnan(volts) for volts in in_fault) else max(in_fault)


def _supply(source: Item) -> dict[str, Figure]:
    facts = source.facts
    curve = guaranteed(facts)
    return {
        "supplies": 1.0 if source.role == "fieldbus supply" else NAN,
        "open_voltage": at_least(facts.spread("open-circuit voltage")),
        "inner": facts.spread("internal resistance"),
        "curve": curve,
        "tabled": float(bool(curve)),
        "limit": at_least(facts.spread("current limit")),
        "highest": _highest(source),
    }


def _stations(loop: Loop, count: int, *, of_coupler: bool) -> float:
    stated = loop.own.spread("stations").high
    if not math.isnan(stated):
        return max(stated, float(count))
    return NAN if of_coupler or loop.own.rows("stations") else float(count)


@builder
def segment(loop: Loop) -> Iterator[FunctionCase]:
    """One case a device of a segment; couplers are the devices of their trunk."""
    source, devices = loop.source, loop.of_role(*ROLES)
    if source is None or not devices or loop.roles - {*ROLES, "series element"}:
        return
    modulated = loop.circuit.method != TWO_WIRE_ETHERNET
    of_coupler = isinstance(source.kind, SourceType) and bool(source.kind.terminals_of)
    loads = [_load(loop, one, modulated=modulated) for one in devices]
    ways = ways_of(loop, devices, spur=of_coupler)
    lengths = sum(run.length.si for run in loop.circuit.runs) if loop.circuit.runs else NAN
    shared: dict[str, Figure] = {
        **_supply(source),
        "reserve": at_most(if_stated(loop.own, "reserve")),
        "tool": _tool(loop),
        "margin": if_stated(loop.own, "margin"),
        "modulated": float(modulated),
        "stations": _stations(loop, len(loads), of_coupler=of_coupler),
        "basic": Each(tuple(one.basic for one in loads)),
        "power": Each(tuple(one.power for one in loads)),
        "fault": Each(tuple(one.fault for one in loads)),
        "least": Each(tuple(one.need for one in loads)),
        "shared": _shared(loads, ways),
        "length": Spread(lengths, lengths, lengths),
    }
    notes = (*loop.own.notes, *source.facts.notes, *ways.notes)
    for at, load in enumerate(loads):
        yield _case(source, loads, ways, shared, at, (*notes, *load.notes))


def _shared(loads: Sequence[_Load], ways: Ways) -> Each:
    """Ohms of every two ways; none where no device draws power."""
    if all(one.power == NONE for one in loads):
        return Each((), square=True)
    count = range(len(loads))
    return Each(tuple(ways.shared(i, j) for i in count for j in count), square=True)


def _case(
    source: Item,
    loads: Sequence[_Load],
    ways: Ways,
    shared: dict[str, Figure],
    at: int,
    notes: tuple[str, ...],
) -> FunctionCase:
    load = loads[at]
    values: dict[str, Figure] = {
        **shared,
        "need": load.need,
        "bearable": load.bearable,
        "way": Each(tuple(ways.shared(at, other) for other in range(len(loads)))),
        "reach": ways.shared(at, at),
        "spur": ways.spur(at),
        "on_spur": ways.on_spur(at),
    }
    return FunctionCase(
        kind="fieldbus segment",
        of=load.item.label,
        values=values,
        notes=notes,
        stairs=lambda _: _volts(source, loads, ways, values, at),
    )


def _volts(
    source: Item, loads: Sequence[_Load], ways: Ways, values: dict[str, Figure], at: int
) -> Staircase:
    """Volts along the way to a device, with the fault that leaves it least."""
    label = loads[at].item.label
    columns = block_columns("fieldbus segment", [FunctionCase("fieldbus segment", label, values)])
    states = worst_state(columns)
    volts = [float(one.volts.reshape(-1)[0]) for one in states]
    worst = min(range(len(states)), key=lambda k: (not math.isnan(volts[k]), volts[k]))
    state = states[worst]
    flows = [float(each) for each in state.I.reshape(len(states), -1)[:, 0]]
    tool = _ends(values["tool"]).high
    parts = [(f"{source.label} at its current", float(state.supply.reshape(-1)[0]))]
    for number in ways.ways[at] or ():
        part = ways.parts[number]
        through = sum(
            flow for way, flow in zip(ways.ways, flows, strict=True) if way and number in way
        )
        parts.append((part.label, -part.ohms.high * (through + tool)))
    faulty = loads[worst].fault.high > 0.0
    return staircase(
        parts,
        title=f"Volts to {label}",
        unit="V",
        at=f"{loads[worst].item.label} in fault" if faulty else "",
        needed=loads[at].need.high + _ends(values["margin"]).high,
    )


def _ends(figure: Figure) -> Spread:
    return figure if isinstance(figure, Spread) else UNKNOWN_SPREAD
