"""Segments: engine and oracle on random trees, and links of constant power at their very limit."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction

import pytest

import subspark as ss
from assess.function.circuits import data
from oracle.function_segment import CABLE, Segment, judge, link, random_segment
from subspark.assess.function.findings import word
from subspark.quantity import ResistancePerLength

MANY = 400
CABLE_TYPE = ss.CableType(
    name="FB", R_loop_max=ResistancePerLength("44 ohm/km"), C="60 nF/km", L="0.6 mH/km"
)


def text(value: Fraction, unit: str) -> str:
    return f"{float(value):.10g} {unit}"


def supply_of(segment: Segment) -> dict[str, str]:
    figures = {"role": "fieldbus supply", "internal resistance": text(segment.inner, "ohm")}
    if segment.supply is not None:
        figures["open-circuit voltage"] = (
            f"{text(segment.supply, 'V').removesuffix(' V')} to {text(segment.highest, 'V')}"
            if segment.highest >= segment.supply
            else text(segment.supply, "V")
        )
    if segment.limit is not None:
        figures["current limit"] = f">= {text(segment.limit, 'mA')}"
    return figures


def written(segments: list[Segment]) -> ss.Plant:
    """All of them as circuits of one plant."""
    sources, apparatus, circuits = [], [], []
    tool = {"role": "fieldbus device", "basic current": "12 mA"}
    apparatus.append(ss.ApparatusType(name="tool", function=data(tool)))
    for n, segment in enumerate(segments):
        sources.append(ss.SourceType(name=f"PS{n}", function=data(supply_of(segment))))
        members = []
        for tag, one in segment.devices.items():
            extra = "spur current limit" if one.coupler else "fault current"
            need = "trunk voltage" if one.coupler else "lowest supply voltage"
            given = {"basic current": (one.basic, "mA"), extra: (one.fault, "mA")}
            given[need] = (one.need, "V")
            figures = {key: text(*pair) for key, pair in given.items() if pair[0] is not None}
            figures["role"] = "field coupler" if one.coupler else "fieldbus device"
            apparatus.append(ss.ApparatusType(name=f"{n} {tag}", function=data(figures)))
            members.append(ss.Member(tag=tag, apparatus=f"{n} {tag}"))
        if segment.tool:
            members.append(ss.Member(tag="tool", apparatus="tool", temporary=True))
        runs = tuple(
            ss.Run(
                cable="FB",
                length=f"{edge.metres} m",
                start=f"PS-{n}" if edge.start == "PS" else edge.start,
                end=edge.end,
                part="spur" if edge.spur else "trunk",
            )
            for edge in segment.edges
        )
        circuits.append(
            ss.Circuit(
                tag=f"F{n}",
                area="A",
                sources=(ss.SourceUse(tag=f"PS-{n}", source=f"PS{n}"),),
                members=tuple(members),
                runs=runs,
                function=data({"reserve": text(100 * segment.reserve, "%")}),
            )
        )
    return ss.Plant(
        areas=(ss.Area(tag="A", ambient="-20 to 50 °C"),),
        sources=tuple(sources),
        apparatus=tuple(apparatus),
        cables=(CABLE_TYPE,),
        circuits=tuple(circuits),
    )


def test_engine_and_oracle_agree_on_random_trees():
    segments = [random_segment(seed) for seed in range(MANY)]
    for one in segments:
        one.highest = max(one.highest, one.supply or one.highest)
        if one.supply is None:
            one.highest = None
    found = ss.assess(written(segments)).function
    words, differ = Counter(), []
    for n, segment in enumerate(segments):
        said, expected = word(found.verdict(f"F{n}")), judge(segment)
        words[said] += 1
        if said != expected:
            differ.append((n, said, expected, found[f"F{n}"].sentence))
    assert not differ, f"{len(differ)} differ, the first: {differ[0]}"
    assert min(words[one] for one in ("works", "fails", "unproven")) >= MANY // 20, words
    assert found.kinds == {"fieldbus segment"}


@pytest.mark.parametrize("metres", [150, 199, 200, 201, 350])
def test_links_of_constant_power_at_their_limit(metres):
    """The least volts of a load where its supply just suffices, by the exact rational test."""
    watts, supply = Fraction("0.54"), Fraction("9.6")
    R = metres * CABLE
    edge = supply / 2 + _root(supply**2 / 4 - watts * R)
    for step, says in ((Fraction(-1, 10**6), True), (Fraction(1, 10**6), False)):
        need = Fraction(round((edge + step) * 10**9), 10**9)
        assert link(supply, metres, watts, need) is says
        figures = {"role": "fieldbus device", "power": "0.54 W",
                   "lowest supply voltage": f"{float(need):.10g} V"}  # fmt: skip
        source = {"role": "fieldbus supply", "terminal voltage": ">= 9.6 V",
                  "current limit": "90 mA"}  # fmt: skip
        plant = ss.Plant(
            areas=(ss.Area(tag="A", ambient="-20 to 50 °C"),),
            sources=(ss.SourceType(name="P", function=data(source)),),
            apparatus=(ss.ApparatusType(name="D", function=data(figures)),),
            cables=(CABLE_TYPE,),
            circuits=(
                ss.Circuit(
                    tag="L",
                    area="A",
                    method="2-WISE",
                    sources=(ss.SourceUse(source="P"),),
                    members=(ss.Member(tag="D", apparatus="D"),),
                    runs=(ss.Run(cable="FB", length=f"{metres} m"),),
                ),
            ),
        )
        found = ss.assess(plant).function["L"]
        assert found.rules["volts at the device"].word == ("works" if says else "fails")


def _root(value: Fraction) -> Fraction:
    """A square root to twelve decimals, below."""
    scaled = 10**24
    whole = value.numerator * scaled // value.denominator
    at = int(whole**0.5)
    while at * at > whole:
        at -= 1
    while (at + 1) ** 2 <= whole:
        at += 1
    return Fraction(at, 10**12)
