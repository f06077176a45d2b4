"""A circuit expanded into cases: every atmosphere, alternative and way its sources can act.

A circuit is as good as its worst atmosphere; in each, some one choice of alternatives must
pass every case formed of its sources.
"""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Iterator
from typing import NamedTuple

from subspark.assess.context import Context
from subspark.assess.members import (
    SurgeState,
    combinations,
    earthed_points,
    generating,
    is_multicore,
    place_of,
    run_case,
    runs_of,
    surge_state,
)
from subspark.assess.places import Need
from subspark.assess.readings import LEVELS, conductors, distance, ohms
from subspark.assess.rows import Case, HeadRow, MemberCase, RunRow, SourceCase
from subspark.assess.segments import as_segments
from subspark.assess.sources import source_cases, source_places
from subspark.model import SAFE_AREA, Circuit, Member, Run
from subspark.rules import NOTHING

__all__ = ["expand"]

NAN = math.nan
MOST_OF_UNCERTAIN_WIRING = 4
MIXED_WAYS = (
    "three or more sources that may be joined in mixed ways: state their wiring, let a document "
    "cover them, or have a person prove it"
)
MOST_SOURCES = 8
_TWO = 2.0


class Joined(NamedTuple):
    """One way in which sources act together: its name, kind and members."""

    name: str
    series: bool
    members: tuple[int, ...]
    assessed: bool = True
    by_document: bool = False


def ways(sources: list[SourceCase], stated: str) -> list[Joined]:
    """The ways in which the sources of a circuit can act together.

    Like polarity to the common earth is parallel, two of unlike polarity or a.c. are series;
    where that does not settle it, both, with every subset of two or more. ``stated`` says the
    wiring where polarity does not; where the two differ, both are formed, unless the sources
    share the earth of their barriers: then polarity alone decides. Three sources and more can
    also be joined in mixed ways (one in series with two in parallel), which no case here
    covers: one case more stands for them, never proved. Each source that can drive a current
    also acts alone on the whole load.
    """
    count = len(sources)
    if sources and sources[0].system:
        return [Joined(f"by {sources[0].kind.name}", False, tuple(range(count)), by_document=True)]
    if count == 1:
        return [Joined("single", series=False, members=(0,))]
    everyone = tuple(range(count))
    polarities = {one.use.polarity for one in sources}
    by_polarity = ""
    if len(polarities) == 1 and polarities <= {"+", "-"}:
        by_polarity = "parallel"
    elif count == 2 and "" not in polarities:
        by_polarity = "series"
    earthed = all(one.kind.isolation == "earthed barrier" for one in sources)
    if by_polarity and (earthed or not stated):
        kinds = [by_polarity]
    else:
        kinds = sorted({stated, by_polarity} - {""}, reverse=True)
    if count > 2 and "" not in polarities and not by_polarity:
        kinds = []  # unlike polarities settle it against any word
    out = [Joined(kind, kind == "series", everyone) for kind in kinds]
    if not kinds:
        out = _every_way(sources)
    return out + _alone(sources)


def _every_way(sources: list[SourceCase]) -> list[Joined]:
    """Every subset of two or more in series and in parallel, and the mixed ways."""
    everyone = tuple(range(len(sources)))
    names = _labels(sources)
    out = []
    for size in range(min(len(sources), MOST_OF_UNCERTAIN_WIRING), 1, -1):
        for subset in itertools.combinations(everyone, size):
            whole = size == len(sources)
            mark = "" if whole else " " + " + ".join(names[i] for i in subset)
            out.append(Joined(f"series{mark}", series=True, members=subset))
            out.append(Joined(f"parallel{mark}", series=False, members=subset))
    if len(sources) > 2:
        out.append(Joined("mixed wiring", series=True, members=everyone, assessed=False))
    return out


def _alone(sources: list[SourceCase]) -> list[Joined]:
    names = _labels(sources)
    return [
        Joined(f"{names[i]} alone", series=False, members=(i,))
        for i, one in enumerate(sources)
        if one.row.I != 0.0
    ]


def _labels(sources: list[SourceCase]) -> list[str]:
    """Names of the sources; outputs of one device are told apart."""
    count = Counter(one.label for one in sources)
    return [
        one.label if count[one.label] == 1 else f"{one.label} output {one.output.name}"
        for one in sources
    ]


def way_of_merged(sources: list[SourceCase], *, common: bool) -> list[Joined]:
    """The ways in which the sources of merged circuits can act together.

    Like polarity on a common return is parallel only; otherwise series and parallel, and three
    and more also in mixed ways, which are never proved. Each source also acts alone.
    """
    everyone = tuple(range(len(sources)))
    polarities = {one.use.polarity for one in sources}
    like = common and len(polarities) == 1 and polarities <= {"+", "-"}
    out = [] if like else [Joined("series", series=True, members=everyone)]
    out.append(Joined("parallel", series=False, members=everyone))
    if not like and len(sources) > 2:
        out.append(Joined("mixed wiring", series=True, members=everyone, assessed=False))
    return out + _alone(sources)


class _Earth(NamedTuple):
    ohm: float
    wires: float
    section: float


def _barrier_earth(circuit: Circuit, context: Context) -> _Earth:
    """The earth of shunt-diode barriers as declared, the worst of each; -inf ohms where none."""
    found = []
    for use in circuit.sources:
        kind = context.sources[use.source]
        if kind.isolation == "galvanic":
            continue
        names = {
            "circuit": circuit.tag,
            "source": use.source,
            "cabinet": use.cabinet,
            "area": use.place if use.place != SAFE_AREA else "",
        }
        ohm = ohms(context.declared.value("barrier earth resistance", **names))
        wires, section = conductors(context.declared.value("barrier earth conductors", **names))
        found.append(_Earth(ohm, wires, section))
    if not found:
        return _Earth(NOTHING, 2.0, math.inf)
    ohm = max(found, key=lambda one: math.inf if math.isnan(one.ohm) else one.ohm).ohm
    thinnest = min(found, key=lambda one: _conducting(one, context))
    return _Earth(ohm, thinnest.wires, thinnest.section)


def _conducting(one: _Earth, context: Context) -> float:
    """Section of earth conductors as a share of what their number asks; NaN counts as least."""
    asked = context.code.number(
        "earth section of two" if one.wires >= _TWO else "earth section of one"
    )
    share = one.section / asked
    return -math.inf if math.isnan(share) else share


def _atmosphere(circuit: Circuit, areas: tuple[str, ...], context: Context) -> float:
    """0 where every place is declared to have the standard atmosphere and no hybrid mixture."""
    for tag in areas:
        declared = context.declared.value("atmospheric conditions", circuit=circuit.tag, area=tag)
        if declared.lower() != "standard":
            return NAN
        families = {need.family for need in context.needs(tag)}
        area = context.areas.get(tag)
        if {"II", "III"} <= families and (area is None or area.hybrid != "no"):
            return NAN
    return 0.0


def _shared(circuit: Circuit, context: Context) -> tuple[float, float]:
    """Demand and limit of the multicores that this circuit shares with others.

    Type A by its screens, type B by its voltage; where neither is shown the circuit is merged
    with the others and proved together, and nothing more is asked here. A multicore that bears
    no number may be shared with circuits that are not known.
    """
    worst = (NOTHING, math.inf)
    number = context.code.number
    for run in circuit.runs:
        cable = context.cables.get(run.cable)
        if cable is not None and not run.number and is_multicore(cable):
            screened = cable.multicore == "A" and cable.coverage is not None
            if not (screened and (cable.coverage or 0.0) >= number("screen coverage")):
                return 0.0, NAN
        if context.sharing.get(run.number, 0) <= 1 or cable is None:
            continue
        one = (0.0, 0.0)
        if cable.multicore == "A" and cable.coverage is not None:
            one = (number("screen coverage"), cable.coverage)
        elif cable.multicore == "B" and cable.fixed_and_protected == "yes":
            one = (context.shared_voltage[run.number], number("type B voltage"))
        if not one[0] <= one[1]:
            one = (0.0, 0.0)
        if worst[0] == NOTHING or one[0] > worst[0]:
            worst = one
    return worst


def _hottest_box(circuit: Circuit, context: Context) -> tuple[float, float]:
    """Temperature and limit of the worst junction box in which the circuit ends [degC]."""
    worst = (NOTHING, math.inf)
    for tag in dict.fromkeys(end for run in circuit.runs for end in (run.start, run.end)):
        one = context.box(tag)
        if one is None:
            continue
        if math.isnan(one[0] - one[1]):
            return one
        if worst[0] == NOTHING or one[0] - one[1] > worst[0] - worst[1]:
            worst = one
    return worst


def _areas(circuit: Circuit, context: Context) -> tuple[str, ...]:
    """The classified areas that a circuit enters, each once; "" where one is not known."""
    found = [circuit.area]
    found += [place_of(member, circuit) for member in circuit.members]
    found += [run.area or circuit.area for run in circuit.runs]
    ends = [context.boxes.get(end, "") for run in circuit.runs for end in (run.start, run.end)]
    found += [area for area in ends if area]
    found += [place for place in source_places(circuit, context) if place]
    classified = [tag for tag in dict.fromkeys(found) if tag != SAFE_AREA]
    return tuple(classified) or ("",)


def expand(index: int, circuit: Circuit, context: Context) -> Iterator[Case]:
    """All cases of one circuit."""
    areas = _areas(circuit, context)
    tools = tuple(one for one in circuit.members if one.temporary)
    fixed = tuple(one for one in circuit.members if not one.temporary)
    atmosphere = _atmosphere(circuit, areas, context)
    shared = _shared(circuit, context)
    earth = _barrier_earth(circuit, context)
    separation = distance(
        context.declared.value("segregation", circuit=circuit.tag, area=circuit.area)
    )
    bonded = circuit.bonding == "yes" or (
        circuit.bonding == ""
        and context.declared.holds("bonding", circuit=circuit.tag, area=circuit.area)
    )
    needs = [need for tag in areas for need in context.needs(tag)]
    variants: list[tuple[tuple[Member, ...], bool]] = [(circuit.members, False)]
    if tools:
        variants.append((fixed, True))
    for number, need in enumerate(needs):
        for members, aside in variants:
            points = earthed_points(circuit, members, context)
            runs = [run_case(run, circuit, context, points > 0) for run in runs_of(circuit)]
            common = _Common(
                points=points,
                earth_limit=math.inf if bonded else 1.0,
                earth=earth,
                separation=separation,
                atmosphere=atmosphere,
                shared=shared,
                surge=surge_state(circuit, members, need, context),
                box=_hottest_box(circuit, context),
                generating=generating(members, context),
                runs=tuple((one.run, one.row) for one in runs),
                notes=tuple(note for one in runs for note in one.assumptions),
                stated=circuit.joined,
            )
            sources = source_cases(circuit, need, context)
            prefix = f"{need.name}: " if len(needs) > 1 else ""
            for option, chosen in enumerate(combinations(circuit, members, need, context)):
                label = _Label(index, number, option, aside, prefix)
                made = _of_sources(label, need, sources, chosen, common)
                if circuit.method != "entity":
                    made = as_segments(made, circuit, context)
                yield from made


class _Common(NamedTuple):
    points: float
    earth_limit: float
    earth: _Earth
    separation: float
    atmosphere: float
    shared: tuple[float, float]
    surge: SurgeState
    box: tuple[float, float]
    generating: tuple[float, float, float]
    runs: tuple[tuple[Run, RunRow], ...]
    notes: tuple[str, ...]
    stated: str


class _Label(NamedTuple):
    circuit: int
    atmosphere: int
    option: int
    aside: bool
    prefix: str


def _of_sources(
    label: _Label,
    need: Need,
    sources: list[SourceCase],
    chosen: tuple[MemberCase, ...],
    common: _Common,
) -> Iterator[Case]:
    for way in ways(sources, common.stated) if sources else [Joined("no source", False, ())]:
        acting = tuple(sources[i] for i in way.members)
        assessed = way.assessed and len(acting) <= MOST_SOURCES
        ic_member = any(one.row.level == LEVELS["ic"] for one in acting)
        factor = 1.0 if ic_member and need.rank == LEVELS["ic"] else 1.5
        head = HeadRow(
            series=float(way.series),
            combined=float(len(acting) > 1),
            by_document=float(way.by_document),
            spark=float(need.spark) if assessed else -1.0,
            factor=factor if assessed else NAN,
            level_asked=need.rank,
            group_asked=need.group_rank,
            T_limit=need.T_limit,
            T_small=need.T_small,
            T_tiny=need.T_tiny,
            by_power=float(need.by_power),
            dust_power=float(need.in_dust),
            earthed=common.points,
            earth_limit=common.earth_limit,
            earth_ohm=common.earth.ohm,
            earth_wires=common.earth.wires,
            earth_section=common.earth.section,
            separation=common.separation,
            atmosphere=common.atmosphere,
            shared_demand=common.shared[0],
            shared_limit=common.shared[1],
            surge_inside=common.surge.inside,
            surge_distance=common.surge.distance,
            surge_section=common.surge.section,
            surge_discharge=common.surge.discharge,
            box_T=common.box[0],
            box_limit=common.box[1],
            generating_U=common.generating[0],
            generating_I=common.generating[1],
            generating_P=common.generating[2],
        )
        warnings = tuple(note for one in acting for note in one.warnings)
        if not assessed:
            warnings += (MIXED_WAYS,)
            acting = acting[:MOST_SOURCES]
        yield Case(
            circuit=label.circuit,
            atmosphere=label.atmosphere,
            option=label.option,
            aside=label.aside,
            name=label.prefix + way.name,
            need=need,
            head=head,
            sources=acting,
            members=chosen,
            runs=common.runs,
            assumptions=(*need.assumptions, *common.notes),
            warnings=warnings,
        )
