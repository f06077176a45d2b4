"""Field apparatus and runs of cable of a circuit as rows."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator
from typing import NamedTuple

from subspark.assess.context import Context, document_state, listing
from subspark.assess.declared import says_yes
from subspark.assess.places import Need
from subspark.assess.readings import (
    LEVELS,
    epl_rank,
    is_upper_bound,
    level_rank,
    marks_of_apparatus,
    rank_of_group,
    read_surface,
    same,
    split_groups,
    volts,
)
from subspark.assess.rows import ApparatusRow, MemberCase, RunRow
from subspark.model import (
    SAFE_AREA,
    ApparatusType,
    CableType,
    Circuit,
    Entry,
    Mark,
    Member,
    Method,
    Run,
    SimpleType,
)
from subspark.physics.conductors import awg_area
from subspark.quantity import TemperatureRange
from subspark.rules import NOTHING, Code

__all__ = [
    "NOT_ENTERED",
    "RunCase",
    "SurgeState",
    "combinations",
    "earthed_points",
    "generating",
    "run_case",
    "runs_of",
    "surge_state",
]

NAN = math.nan
MOST_COMBINATIONS = 64
NOT_ENTERED = "apparatus not entered"
_NO_CABLE = CableType(name="unknown cable")


def place_of(member: Member, circuit: Circuit) -> str:
    """The area in which an apparatus stands."""
    return member.place or circuit.area


def isolated(member: Member, circuit: Circuit, context: Context) -> float:
    """1 where the apparatus withstands 500 V to earth, 0 where not, NaN where not known."""
    item = context.items[member.apparatus]
    answer = member.isolation or item.isolation
    if answer:
        return float(answer == "yes")
    if item.surge:  # it fires above its rating: what holds for others does not hold for it
        return NAN
    text = context.declared.value(
        "apparatus isolation",
        circuit=circuit.tag,
        apparatus=item.name,
        area=place_of(member, circuit),
    )
    if not text:
        return NAN
    if text.lower() in ("yes", "no"):
        return float(text.lower() == "yes")
    volt = NAN if is_upper_bound(text) else volts(text)
    return NAN if math.isnan(volt) else float(volt >= context.code.number("isolation test voltage"))


def earthed_points(circuit: Circuit, members: tuple[Member, ...], context: Context) -> float:
    """Earthed points that there may be: barriers on their bar are one, an unknown may be one."""
    kinds = {context.sources[use.source].isolation for use in circuit.sources}
    points = float("earthed barrier" in kinds) or float("" in kinds)
    return points + sum(isolated(one, circuit, context) != 1.0 for one in members)


def _energy(item: ApparatusType | SimpleType, entry: Entry | None, place: str, circuit: Circuit,
            context: Context) -> float:  # fmt: skip
    """0 where the apparatus feeds nothing into the circuit, NaN where that is not shown."""
    delivered = () if entry is None else (entry.Uo, entry.Io, entry.Po)
    number = context.code.number
    if any(value.known for value in delivered):
        tops = (number("simple voltage"), number("simple current"), number("simple power"))
        within = all(value.si <= top for value, top in zip(delivered, tops, strict=True))
        return 0.0 if within else NAN
    if item.powered == "no":
        return NOTHING
    if item.energy in ("passive by its document", "within 1.5 V, 100 mA, 25 mW"):
        return 0.0
    if item.energy == "source":  # settled where its terminals are entered as a source
        sources = (context.sources[use.source] for use in circuit.sources)
        return 0.0 if any(one.terminals_of == item.name for one in sources) else NAN
    # What is stated to be powered is not settled by a word about the whole plant or area.
    where = "" if item.powered == "yes" else place
    found = context.declared.find("passive", circuit=circuit.tag, apparatus=item.name, area=where)
    if found is None or (item.powered == "yes" and found.scope == "plant"):
        return NAN
    return 0.0 if says_yes(found.value) else NAN


class _Site(NamedTuple):
    hot: float
    cold: float
    hottest: float


def _site(member: Member, circuit: Circuit, context: Context) -> _Site:
    air: TemperatureRange = member.ambient
    if not air.known:
        area = context.areas.get(place_of(member, circuit))
        air = area.ambient if area is not None else TemperatureRange()
    process = member.process.si
    hottest = air.high if math.isnan(process) else max(air.high, process)
    return _Site(air.high, air.low, NAN if math.isnan(air.high) else hottest)


def _celsius(text: str, family: str, code: Code) -> float:
    mark = read_surface(text)
    if mark.t_class:
        return code.marked_class(mark.t_class) if family == "II" else NAN
    return mark.celsius


def _temperature_rows(
    entry: Entry, mark: Mark, family: str, code: Code
) -> tuple[tuple[float, float, float, float], ...]:
    """Rows (Pi, hottest, coldest, surface) of the certificate; one open row where no table.

    A row that leaves Pi or ambient blank has those of the entry, and is then worth no more than
    the marking itself, which is its hottest class: it is not known where the row ends.
    """
    marked = _celsius(mark.temperature, family, code)
    if not entry.rows:
        return ((math.inf, math.inf, -math.inf, marked),)
    rows = []
    for one in entry.rows:
        air = one.ambient if one.ambient.known else mark.ambient
        low = air.low if air.known else code.number("ambient low")
        high = air.high if air.known else code.number("ambient high")
        power = one.Pi.si if one.Pi.known else entry.Pi.si
        surface = _celsius(one.temperature, family, code)
        if not (one.ambient.known and one.Pi.known):
            surface = NAN if math.isnan(marked) else max(marked, surface)
        rows.append((power, high, low, surface))
    return tuple(rows)


def _entries(member: Member, item: ApparatusType, circuit: Circuit) -> list[Entry]:
    """The sets of parameters that count: those of the circuit's method, never mixed.

    In a segment an apparatus without such a set is judged by its entity set, so that a limit
    which it breaks is found; what it keeps proves nothing, by the rule of segment devices.
    """
    here = [one for one in item.entries if member.connection in ("", one.connection)]
    own = [one for one in here if one.method == circuit.method]
    return own or [one for one in here if one.method == "entity"]


def _certified(
    member: Member, item: ApparatusType, circuit: Circuit, need: Need, context: Context
) -> list[MemberCase]:
    """Its alternatives, worked out once for all circuits in which it stands alike."""
    place = place_of(member, circuit)
    site = _site(member, circuit, context)
    entries = _entries(member, item, circuit) or [Entry(connection=member.connection)]
    energies = tuple(_energy(item, entry, place, circuit, context) for entry in entries)
    stands = _Stands(place == need.area, circuit.method, site, tuple(entries), energies)
    if not item.entries:  # the entry was made up here, and is another one each time
        found = _work_out(item, need, context, stands)
    else:
        key = (
            *("apparatus", id(item), id(need), member.connection),
            *(stands.here, stands.method, same(site), same(energies)),
        )
        if key not in context.known:
            context.known[key] = (item, need, _work_out(item, need, context, stands))
        found = context.known[key][-1]
    return [MemberCase(member, item, *one) for one in found]


class _Stands(NamedTuple):
    """How an apparatus stands in a circuit, as far as its rows lean on it."""

    here: bool
    method: Method
    site: _Site
    entries: tuple[Entry, ...]
    energies: tuple[float, ...]


class _Way(NamedTuple):
    """One alternative of an apparatus: what :class:`MemberCase` holds besides the apparatus."""

    entry: Entry
    mark: Mark
    option: int
    row: ApparatusRow
    temperatures: tuple[tuple[float, float, float, float], ...]


def _work_out(item: ApparatusType, need: Need, context: Context, stands: _Stands) -> list[_Way]:
    code, site, here = context.code, stands.site, stands.here
    needless = stands.method == "FISCO" and need.rank == LEVELS["ic"]
    conditions, listed = document_state(item, context), listing(item, context)
    # What stands on a sensor side that is not separated is part of this circuit: not known here.
    joined = item.name in context.unseparated
    out: list[_Way] = []
    for entry, energy in zip(stands.entries, stands.energies, strict=True):
        for mark in split_groups(entry.marks or marks_of_apparatus(entry.mark)) or (Mark(),):
            air = mark.ambient
            own = rank_of_group(mark, need.group, listed, code, lenient=not here)
            row = ApparatusRow(
                Ui=entry.Ui.si,
                Ii=math.inf if needless else entry.Ii.si,
                Pi=math.inf if needless else entry.Pi.si,
                Ci=NAN if joined else entry.Ci.si,
                Li=NAN if joined else entry.Li.si,
                level_a=level_rank(mark.level),
                group_a=own,
                here=float(here),
                epl_asked=need.rank,
                epl=epl_rank(mark, need.family, code),
                hot=site.hot,
                cold=site.cold,
                Ta_max=air.high if air.known else code.number("ambient high"),
                Ta_min=air.low if air.known else code.number("ambient low"),
                is_simple=0.0,
                T_fixed=NAN,
                Rth=NAN,
                surface=NAN,
                hottest=site.hottest,
                assessed=NOTHING,
                conditions=conditions,
                energy=energy,
            )
            rows = _temperature_rows(entry, mark, need.family, code)
            out.append(_Way(entry, mark, len(out) + 1, row, rows))
    if len(out) > 1:
        family = [one for one in out if one.row.group_a != 0.0]
        return family or out
    return out


def _simple(
    member: Member, item: SimpleType, circuit: Circuit, need: Need, context: Context
) -> MemberCase:
    code = context.code
    place = place_of(member, circuit)
    site = _site(member, circuit, context)
    declared = context.declared.holds(
        "simple assessment", circuit=circuit.tag, apparatus=item.name, area=place
    )
    assessed = (item.assessed == "yes" or (declared and item.assessed == "")) and item.sort != ""
    cool = site.hottest <= code.number("switch ambient")
    is_switch = item.item == "switch or terminal"
    fixed = code.number("switch temperature") if is_switch and cool else NAN
    if need.family != "II":
        fixed = item.hottest_surface.si
    energy = _energy(item, None, place, circuit, context)
    key = (
        *("simple", id(item), id(need), place == need.area),
        *(assessed, same((*site, fixed, energy))),
    )
    found = context.known.get(key)
    if found is not None:
        return MemberCase(member, item, None, None, 1, found[-1], _OPEN)
    row = ApparatusRow(
        Ui=math.inf,
        Ii=math.inf,
        Pi=math.inf,
        Ci=item.Ci.si,
        Li=item.Li.si,
        level_a=math.inf,
        group_a=math.inf,
        here=float(place == need.area),
        epl_asked=NOTHING,
        epl=math.inf,
        hot=site.hot,
        cold=site.cold,
        Ta_max=item.ambient.high,
        Ta_min=item.ambient.low,
        is_simple=1.0,
        T_fixed=fixed,
        Rth=item.Rth.si if need.family == "II" else NAN,
        surface=item.surface.si if item.surface.si > 0 else NAN,
        hottest=site.hottest,
        assessed=0.0 if assessed else NAN,
        conditions=NOTHING,
        energy=energy,
    )
    context.known[key] = (item, need, row)
    return MemberCase(member, item, None, None, 1, row, _OPEN)


_OPEN = ((math.inf, math.inf, -math.inf, NAN),)
"""The temperature rows of what has no table: one that covers all and says nothing."""


def combinations(
    circuit: Circuit, members: tuple[Member, ...], need: Need, context: Context
) -> Iterator[tuple[MemberCase, ...]]:
    """Every choice of one alternative for each apparatus; alternatives are never mixed.

    Where there are more than :data:`MOST_COMBINATIONS`, those beyond are left out: a circuit
    can only lose by it, never become safe. A circuit without apparatus has one of which nothing
    is known: a list that was left out is no proof that nothing is connected.
    """
    options = []
    if not circuit.members:
        unknown = Member(apparatus=NOT_ENTERED)
        kind = ApparatusType(name=NOT_ENTERED)
        options.append(_certified(unknown, kind, circuit, need, context))
    for member in members:
        item = context.items[member.apparatus]
        if isinstance(item, SimpleType):
            options.append([_simple(member, item, circuit, need, context)])
        else:
            options.append(_certified(member, item, circuit, need, context))
    yield from itertools.islice(itertools.product(*options), MOST_COMBINATIONS)


def generating(members: tuple[Member, ...], context: Context) -> tuple[float, float, float]:
    """Sums of voltage, current and power over generating simple apparatus; -inf where none."""
    items = [context.items[one.apparatus] for one in members]
    found = [
        one
        for one in items
        if isinstance(one, SimpleType)
        and (one.sort == "generating" or any(value.si > 0 for value in (one.U, one.I, one.P)))
    ]
    if not found:
        return NOTHING, NOTHING, NOTHING
    return (
        sum(one.U.si for one in found),
        sum(one.I.si for one in found),
        sum(one.P.si for one in found),
    )


class SurgeState(NamedTuple):
    """Surge devices of a circuit into zone 0, the worst of each; see Columns."""

    inside: float
    distance: float
    section: float
    discharge: float


def surge_state(
    circuit: Circuit, members: tuple[Member, ...], need: Need, context: Context
) -> SurgeState:
    """What a zone 0 asks of the surge devices of a circuit; nothing elsewhere."""
    found = [one for one in members if context.items[one.apparatus].surge]
    if not found or need.family != "II" or need.rank != LEVELS["ia"]:
        return SurgeState(NOTHING, NOTHING, math.inf, math.inf)
    inside = any(place_of(one, circuit) == need.area for one in found)
    return SurgeState(
        float(inside),
        _worst(max, [one.distance.si for one in found]),
        _worst(min, [one.earth_conductor.si for one in found]),
        _worst(min, [context.items[one.apparatus].discharge.si for one in found]),
    )


def _worst(pick: Callable[[list[float]], float], values: list[float]) -> float:
    return NAN if any(math.isnan(value) for value in values) else pick(values)


class RunCase(NamedTuple):
    """A run as a row, and what had to be assumed for it."""

    run: Run
    row: RunRow
    assumptions: tuple[str, ...]


def _capacitance(cable: CableType, run: Run, earthed: bool) -> float:
    """C' by how the screen is used [F/m]; NaN where not known."""
    if cable.C.known:
        return cable.C.si
    core, screen = cable.C_core.si, cable.C_screen.si
    if cable.screen in ("none", "") and (
        run.screen == "none" or (cable.screen == "none" and not run.screen)
    ):
        return core
    if run.screen == "floating" or (run.screen == "earthed" and not earthed):
        return core + screen / 2.0
    if not cable.C_screen.known and not run.screen and cable.screen == "":
        return core
    return core + screen


def _section(cable: CableType) -> float:
    """Section of a core [m2], that of its gauge by ASTM B258; the larger where both are stated."""
    sections = [cable.section.si] if cable.section.known else []
    if cable.gauge.known:
        sections.append(float(awg_area(cable.gauge.si)))
    return max(sections, default=NAN)


def _ratio(
    cable: CableType, L: float, coldest: float, defaulted: bool, ordinary: bool, code: Code
) -> tuple[float, bool, bool]:
    """L/R of a run [H/ohm], whether it is assumed from copper, whether it is the default."""
    if cable.L_R.known:
        return cable.L_R.si, False, False
    loop = cable.R_loop.si if cable.R_loop.known else 2.0 * cable.R_core.si
    if not math.isnan(loop):
        return (L / loop if loop > 0 else NAN), False, False
    section = _section(cable)
    if section > 0:
        nominal = 2.0 * code.number("nominal copper") / section
        lowest = nominal * code.number("copper allowance") * (234.5 + coldest) / 254.5
        return (L / lowest if lowest > 0 else NAN), True, False
    if defaulted and ordinary:
        return code.number("default L/R"), False, True
    return NAN, False, False


def is_multicore(cable: CableType) -> bool:
    """Whether a cable holds more circuits than one."""
    return (cable.pairs or 1) > 1 or cable.multicore != ""


def runs_of(circuit: Circuit) -> tuple[Run, ...]:
    """The runs of a circuit; one of which nothing is known where none is listed.

    Apparatus is never without a cable: a list that was left out is no proof of no cable. A run
    of 0 m says that there is none.
    """
    return circuit.runs or (Run(),)


def _in_parallel(cores: int, C: float, ratio: float) -> tuple[float, float, str]:
    """Capacitance and L/R of a run with several cores joined for each conductor.

    Every core of the one conductor faces every core of the other, so C grows at the most with
    the square of their number. The resistance falls with it and the inductance not surely.
    """
    if cores < 1:
        return NAN, NAN, "the number of joined cores is not known"
    note = f"{cores} cores joined for each conductor: C x {cores**2}, L/R x {cores} at the most"
    return C * cores**2, ratio * cores, note


def run_case(run: Run, circuit: Circuit, context: Context, earthed: bool) -> RunCase:
    """One run of cable as a row."""
    cable = context.cables.get(run.cable, _NO_CABLE)
    place = run.area or circuit.area
    evidenced = cable.construction == "yes" or (
        cable.construction == ""
        and context.declared.holds(
            "cable construction", circuit=circuit.tag, cable=cable.name, area=place
        )
    )
    key = ("run", run.cable, run.screen, run.parallel, place, earthed, evidenced)
    found = context.known.get(key)
    if found is None:
        found = context.known[key] = _per_metre(cable, run, place, context, earthed, evidenced)
    row, notes = found
    label = run.number or run.cable or "unknown cable"
    told = tuple(f"run {label}: {note}" for note in notes)
    return RunCase(run, row._replace(length=run.length.si), told)


def _per_metre(
    cable: CableType, run: Run, place: str, context: Context, earthed: bool, evidenced: bool
) -> tuple[RunRow, tuple[str, ...]]:
    """The row of a run but for its length, and what had to be assumed for it."""
    code = context.code
    ordinary = cable.cores in (2, 3) and (cable.pairs or 1) == 1
    notes = []
    C = _capacitance(cable, run, earthed)
    if math.isnan(C) and ordinary and not cable.C_core.known:
        C = code.number("default C")
        notes.append(f"capacitance {code.constants['default C'].text}")
    L = cable.L.si
    defaulted = math.isnan(L) and ordinary
    area = context.areas.get(place)
    cold, hot = (area.ambient.low, area.ambient.high) if area else (NAN, NAN)
    if defaulted:
        L = code.number("default L")
    ratio, assumed, by_default = _ratio(cable, L, cold, defaulted, ordinary, code)
    if defaulted:
        text = code.constants["default L"].text
        ratio_text = code.constants["default L/R"].text
        both = f"{text} or {ratio_text}" if by_default and ratio_text else text
        notes.append(f"inductance {both}")
    if assumed and not math.isnan(ratio):
        notes.append(f"L/R from nominal copper less 5 % at {cold:g} °C")
    refused = cable.construction == "no"
    other = math.inf if evidenced and not refused else NAN
    asks_route = place != SAFE_AREA and not (evidenced and not cable.rated_temperature.known)
    if run.parallel is not None:
        C, ratio, note = _in_parallel(run.parallel, C, ratio)
        notes.append(note)
    row = RunRow(
        length=NAN,
        C=C,
        L=L,
        LR=ratio,
        LR_assumed=float(assumed),
        LR_default=float(by_default),
        strand=cable.strand.si if cable.strand.known and not refused else other,
        tested=cable.test_voltage.si if cable.test_voltage.known and not refused else other,
        rated_T=cable.rated_temperature.si if cable.rated_temperature.known else other,
        route_T=hot if asks_route else NOTHING,
    )
    return row, tuple(notes)
