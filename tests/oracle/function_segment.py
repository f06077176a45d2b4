"""Oracle: fieldbus segments and two-wire Ethernet links, in exact fractions.

Volts are added up edge by edge with the currents that pass each edge; the engine adds up by the
ohms that two ways share. Volts, mA, ohm/m, metres. 9 V, 32 V, 1900 m and the lengths of spurs are
those of IEC 61158-2, from memory.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from fractions import Fraction

from oracle.function_figures import verdict, within

__all__ = ["Device", "Edge", "Segment", "judge", "link", "random_segment"]

CABLE = Fraction(44, 1000) * Fraction("284.5") / Fraction("254.5")
"""Loop at 50 degC [ohm/m]: 44 ohm/km at 20 degC."""

SPURS = ((12, 120), (14, 90), (18, 60), (24, 30), (32, 1))

Known = Fraction | None


@dataclass
class Edge:
    """A cable from a point to another, and whether it is a spur."""

    start: str
    end: str
    metres: int
    spur: bool


@dataclass
class Device:
    """Currents [mA] and least volts; a coupler's fault is that of a shorted spur."""

    basic: Known
    fault: Known
    need: Known
    coupler: bool = False


@dataclass
class Segment:
    """A tree of edges from ``PS``."""

    supply: Known
    inner: Fraction
    limit: Known
    reserve: Fraction
    tool: Known
    highest: Known
    edges: list[Edge]
    devices: dict[str, Device] = field(default_factory=dict)


def way(segment: Segment, to: str) -> list[int]:
    """The edges from the supply to a point, by walking back."""
    found = []
    while to != "PS":
        (at,) = [n for n, edge in enumerate(segment.edges) if edge.end == to]
        found.append(at)
        to = segment.edges[at].start
    return found


def all_volts(segment: Segment, ways: dict[str, list[int]], faulty: str) -> dict[str, Known]:
    """Volts at every device with one in fault, each with its own hand-held at work."""
    devices = segment.devices
    unknown = any(one.basic is None or one.fault is None for one in devices.values())
    if unknown or segment.supply is None or segment.tool is None:
        return dict.fromkeys(devices)
    through = [Fraction(0)] * len(segment.edges)
    total = Fraction(0)
    for name, device in devices.items():
        current = device.basic + (device.fault if name == faulty else 0)
        total += current
        for at in ways[name]:
            through[at] += current
    volts = {}
    for name, mine in ways.items():
        lost = segment.inner * (total + segment.tool)
        for at in mine:
            lost += segment.edges[at].metres * CABLE * (through[at] + segment.tool)
        volts[name] = segment.supply - lost / 1000
    return volts


def judge(segment: Segment) -> str:
    """The worst word of all devices."""
    ways = {tag: way(segment, tag) for tag in segment.devices}
    volts = [all_volts(segment, ways, faulty) for faulty in segment.devices]
    words = []
    for tag in segment.devices:
        left = [one[tag] for one in volts]
        least = None if None in left else min(left)
        words += answers(segment, tag, ways, least)
    return verdict(words)


def answers(
    segment: Segment, tag: str, ways: dict[str, list[int]], least: Known
) -> list[bool | None]:
    """What the rules say of one device, given the least volts there."""
    out = [within(segment.devices[tag].need, least)]
    parts = [one.basic for one in segment.devices.values()]
    faults = [one.fault for one in segment.devices.values()]
    total = None
    if None not in parts and None not in faults and segment.tool is not None:
        total = sum(parts, Fraction(0)) + max(faults) + segment.tool
    limit = None if segment.limit is None else segment.limit * (1 - segment.reserve)
    out.append(within(total, limit))
    out.append(within(segment.highest, Fraction(32)))
    mine = [at for at in ways[tag] if segment.edges[at].spur]
    if mine:
        sharing = sum(bool({*mine} & {*other}) for other in ways.values())
        allowed = next((most for count, most in SPURS if len(segment.devices) <= count), 0)
        allowed = max(allowed - 30 * (sharing - 1), 1) if allowed and sharing <= 4 else 0
        out.append(sum(segment.edges[at].metres for at in mine) <= allowed)
    out.append(sum(edge.metres for edge in segment.edges) <= 1900)
    return out


def link(supply: Fraction, metres: int, watts: Fraction, need: Fraction) -> bool:
    """Whether a load of constant power keeps its least volts: U >= need + P/need R, need > U/2."""
    if need <= supply / 2:
        raise ValueError("the test is rational only above half of the supply")
    return supply >= need + watts / need * metres * CABLE


def random_segment(seed: int) -> Segment:
    """A segment with a trunk of boxes, spurs, some of them forked."""
    draw = random.Random(seed)

    def maybe(value: Fraction) -> Known:
        return None if draw.random() < 0.02 else value

    couplers = draw.random() < 0.3
    edges, boxes = [], ["PS"]
    for number in range(draw.randint(1, 4)):
        start = draw.choice(boxes[-2:])
        edges.append(Edge(start, f"J{number}", draw.choice([10, 150, 300, 500]), spur=False))
        boxes.append(f"J{number}")
    devices = {}
    for number in range(draw.choice([1, 2, 4, 8, 13, 16])):
        tag, box = f"D{number}", draw.choice(boxes[1:])
        if draw.random() < 0.15:
            edges.append(Edge(box, f"T{number}", draw.choice([5, 20]), spur=True))
            box = f"T{number}"
            edges.append(Edge(box, f"{tag}x", draw.choice([5, 30]), spur=True))
            devices[f"{tag}x"] = _device(draw, maybe, couplers)
        edges.append(Edge(box, tag, draw.choice([2, 20, 60, 110]), spur=True))
        devices[tag] = _device(draw, maybe, couplers)
    draw.shuffle(edges)
    scale = 2 if couplers else 1
    return Segment(
        supply=maybe(scale * Fraction(draw.choice(["10", "12.8", "13.5", "15"]))),
        inner=Fraction(draw.choice(["0", "0", "5", "12.5"])),
        limit=maybe(scale * Fraction(draw.choice(["110", "265", "400"]))),
        reserve=Fraction(draw.choice(["0", "0", "0.1", "0.25"])),
        tool=Fraction(draw.choice(["0", "0", "12"])),
        highest=Fraction(draw.choice(["17", "17", "17", "17", "33"])),
        edges=edges,
        devices=devices,
    )


def _device(draw: random.Random, maybe, couplers: bool) -> Device:
    if couplers:
        basic, need = draw.choice(["25", "40"]), maybe(Fraction(draw.choice(["14", "16"])))
        return Device(
            maybe(Fraction(basic)), maybe(Fraction(draw.choice(["45", "60"]))), need, True
        )
    need = Fraction(9) if draw.random() < 0.8 else Fraction("9.7")
    basic = draw.choice(["8.5", "12", "20"])
    return Device(maybe(Fraction(basic)), maybe(Fraction(draw.choice(["0", "9"]))), need)
