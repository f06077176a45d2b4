"""The cases to prove: one source, or several combined by calculation.

IEC 60079-14 and IEC 60079-25 on several associated apparatus in one circuit, from memory.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from itertools import combinations

from oracle import energy
from oracle.parts import NAMES, Area, Column, Source, select_column
from oracle.quantities import Json, Notes, read, significant

LEAST_PROVEN_L = Fraction(1, 1000)  # below 1 mH the energy formula proves nothing
MOST_SOURCES = 8


@dataclass(slots=True)
class Limit:
    """A limit that is known, or unknown but certainly not above ``bound``."""

    known: Fraction | None
    bound: Fraction | None


NOTHING = Limit(None, None)


@dataclass(slots=True)
class Case:
    name: str
    sources: list[Source]
    U: Fraction | None
    I: Fraction | None  # noqa: E741 - the symbol of the trade
    P: Fraction | None
    column: str | None
    group: str | None  # group of the limits, for the cap
    level: int | None  # of the column
    Co: Limit
    Lo: Limit
    ratio: Fraction | None
    pairs: list[tuple[Fraction | None, Fraction | None]] | None
    linear: bool
    together: bool  # the document covers combined L and C of a non-linear source
    own_C: Fraction | None  # the sources' own, counted in calculated cases
    own_L: Fraction | None
    combined: bool = False
    calculated: bool = False  # two or more members with Io above 0 were combined
    asks_current: bool = False
    permitted: Fraction | None = None
    notes: list[str] = field(default_factory=list)


def _factor(column: Column) -> Fraction:
    return energy.ONE if column.level == 1 else energy.FULL


def _slip(notes: Notes, source: Source, what: str, column: str, times: Fraction) -> None:
    Notes.add(
        notes.warnings,
        f"{source.name}: declared {what} in column {column} is "
        f"{significant(times, 6):g} times the reference",
    )


def checked_limit(
    notes: Notes, source: Source, column: Column, what: str, text: object
) -> Fraction | None:
    """A declared Co, Lo or Lo/Ro after its cross-check; None is unknown."""
    dimension = {"Co": "F", "Lo": "H", "Lo/Ro": "H/ohm"}[what]
    declared = read(notes, f"{source.name} {column.name}", what, text, dimension).number
    U, current = source.Uo.number, source.Io.number
    if declared is None or not source.checked or U is None:
        return declared
    group, factor = column.spark, _factor(column)
    if what == "Co":
        reference = energy.permitted_capacitance(U, group, factor)
    elif what == "Lo":
        reference = None if current is None else energy.inductance_by_energy(current, group, factor)
    else:
        if current is None or current == 0 or U == 0:
            return declared
        own = source.Li.number or Fraction(0)
        if not energy.ratio_exceeds(declared, energy.SLIP, U, current, group, factor, own):
            return declared
        reference = energy.ratio_about(U, current, group, factor)
        _slip(notes, source, what, column.name, declared / reference)
        return declared if source.answered else None
    if reference is None or declared <= energy.SLIP * reference:
        return declared
    _slip(notes, source, what, column.name, declared / reference)
    return declared if source.answered else None


def checked_power(notes: Notes, source: Source) -> Fraction | None:
    """Po; far below Uo Io / 4 it counts as unknown until that is answered."""
    U, current, P = source.Uo.number, source.Io.number, source.Po.number
    if P is None or U is None or current is None or U == 0 or current == 0:
        return P
    product = U * current
    if product < P:
        Notes.add(notes.warnings, f"{source.name}: declared Po is above Uo x Io")
    if source.checked and Fraction(95, 100) * product > 4 * P:
        Notes.add(notes.warnings, f"{source.name}: declared Po is below Uo x Io / 4")
        return P if source.answered else None
    return P


def exact(value: Fraction | None) -> Limit:
    return Limit(value, value)


def alone(notes: Notes, source: Source, area: Area, name: str) -> Case:
    """One source with its own declared values."""
    column = select_column(source, area)
    Co = Lo = ratio = None
    pairs: list[tuple[Fraction | None, Fraction | None]] | None = None
    if column is not None and "pairs" in column.data:
        pairs = [
            (
                checked_limit(notes, source, column, "Co", pair.get("Co")),
                checked_limit(notes, source, column, "Lo", pair.get("Lo")),
            )
            for pair in column.data["pairs"]
        ]
    elif column is not None:
        Co = checked_limit(notes, source, column, "Co", column.data.get("Co"))
        Lo = checked_limit(notes, source, column, "Lo", column.data.get("Lo"))
        ratio = checked_limit(notes, source, column, "Lo/Ro", column.data.get("Lo/Ro"))
        own = source.Ci.number
        if ratio is not None and own != 0 and (own is None or Co is None or 100 * own >= Co):
            ratio = None  # the source's own capacitance closes the route
    case = Case(
        name=name,
        sources=[source],
        U=source.Uo.number,
        I=source.Io.number,
        P=checked_power(notes, source),
        column=None if column is None else column.name,
        group=None if column is None else column.spark,
        level=None if column is None else column.level,
        Co=exact(Co),
        Lo=exact(Lo),
        ratio=ratio,
        pairs=pairs,
        linear=source.linear,
        together=source.data.get("Co and Lo together") == "yes",
        own_C=Fraction(0),
        own_L=Fraction(0),
    )
    if source.Po.number is None and source.Uo.number is not None and source.Io.number is not None:
        case.notes.append("Po blank")
    return case


def _smallest(calculated: Fraction | None, declared: list[Fraction | None]) -> Limit:
    """The smaller of the calculated limit and the declared ones."""
    if calculated is None:
        return NOTHING
    known = [x for x in declared if x is not None]
    bound = min([calculated, *known])
    return Limit(bound if len(known) == len(declared) else None, bound)


def _total(values: list[Fraction | None]) -> Fraction | None:
    known = [v for v in values if v is not None]
    return sum(known, Fraction(0)) if len(known) == len(values) else None


def _declared(notes: Notes, source: Source, column: Column | None, what: str) -> Fraction | None:
    """A member's declared limit; here the reference is the limit, so no cross-check."""
    if column is None or "pairs" in column.data:
        return None
    dimension = "F" if what == "Co" else "H"
    owner = f"{source.name} {column.name}"
    return read(notes, owner, what, column.data.get(what), dimension).number


def combined(notes: Notes, sources: list[Source], area: Area, name: str, *, series: bool) -> Case:
    """Several sources by calculation; only where every one is linear."""
    columns = [select_column(s, area) for s in sources]
    levels = [c.level for c in columns if c is not None]
    case = Case(
        name=name,
        sources=sources,
        U=None,
        I=None,
        P=None,
        column=f"{area.spark} (table and formula)",
        group=area.spark,
        level=None if None in levels else min((x for x in levels if x), default=None),
        Co=NOTHING,
        Lo=NOTHING,
        ratio=None,
        pairs=None,
        linear=all(s.linear for s in sources),
        together=False,
        own_C=_total([s.Ci.number for s in sources]),
        own_L=_total([s.Li.number for s in sources]),
        combined=True,
        asks_current=True,
    )
    for source in sources:
        checked_power(notes, source)
    if not case.linear:
        case.notes.append("combination not calculated")
        return case
    volts = [s.Uo.number or Fraction(0) for s in sources]
    amps = [s.Io.number or Fraction(0) for s in sources]
    zero = Fraction(0)
    case.U = sum(volts, zero) if series else max(volts)
    case.I = max(amps) if series else sum(amps, zero)
    case.P = energy.matched_power(list(zip(volts, amps, strict=True)), series)
    case.calculated = sum(1 for x in amps if x > 0) >= 2
    group = area.spark
    if group is None:
        return case
    ic = area.circuit == 1 and any(s.level == 1 for s in sources)
    factor = energy.ONE if ic else energy.FULL
    case.permitted = energy.permitted_current(case.U, group, factor)
    table = energy.permitted_capacitance(case.U, group, factor)
    pairs = list(zip(sources, columns, strict=True))
    case.Co = _smallest(table, [_declared(notes, s, c, "Co") for s, c in pairs])
    declared = [_declared(notes, s, c, "Lo") for s, c in pairs]
    if case.I == 0:
        known = [x for x in declared if x is not None]
        case.Lo = Limit(min(known) if len(known) == len(declared) else None, None)
    else:
        formula = energy.inductance_by_energy(case.I, group, factor)
        if formula is not None and formula >= LEAST_PROVEN_L:
            case.Lo = _smallest(formula, declared)
    return case


def wiring(sources: list[Source], joined: object) -> str:
    """Parallel, series or both, from the words of the inputs."""
    if joined in ("parallel", "series"):
        return str(joined)
    signs = [s.data.get("polarity") for s in sources]
    if any(sign not in ("+", "-", "a.c.") for sign in signs):
        return "both"
    if len(set(signs)) == 1 and signs[0] != "a.c.":
        return "parallel"
    return "series" if len(sources) == 2 else "both"


def cases(notes: Notes, sources: list[Source], area: Area, joined: object) -> list[Case]:
    """Every case of the circuit, in the order listed."""
    if len(sources) == 1:
        return [alone(notes, sources[0], area, "single")]
    if not sources or len(sources) > MOST_SOURCES:
        message = f"a circuit has 1 to {MOST_SOURCES} sources, this one {len(sources)}"
        raise ValueError(message)
    how = wiring(sources, joined)
    found: list[Case] = []
    sizes = [len(sources)]
    if how == "both":
        sizes += range(len(sources) - 1, 1, -1)
    for size in sizes:
        for chosen in combinations(sources, size):
            members = list(chosen)
            tail = "" if size == len(sources) else " " + " + ".join(s.name for s in members)
            if how in ("series", "both"):
                found.append(combined(notes, members, area, f"series{tail}", series=True))
            if how in ("parallel", "both"):
                found.append(combined(notes, members, area, f"parallel{tail}", series=False))
    found += [alone(notes, s, area, f"{s.name} alone") for s in sources if s.live]
    return found


def level_of(case: Case, levels: list[int | None]) -> tuple[int | None, int | None]:
    """Lowest known level, and the level of the circuit (None where a member is unknown)."""
    members = [s.level for s in case.sources] + levels
    known = [x for x in members if x is not None]
    if case.level is not None:
        known.append(case.level)
    if case.calculated:
        known.append(2)
    lowest = min(known, default=None)
    return lowest, None if None in members else lowest


def level_name(rank: int | None) -> str | None:
    return None if rank is None else NAMES[rank]


def expand_outputs(data: Json) -> list[Json]:
    """The printed row of the outputs used is one source; without it each output is one."""
    used, rows = data.get("outputs used"), data.get("outputs")
    if not isinstance(rows, dict) or not isinstance(used, str):
        return [data]
    base = {k: v for k, v in data.items() if k not in ("outputs", "outputs used")}
    if used in rows:
        return [{**base, **rows[used]}]
    name = base.get("name", "source")
    return [
        {**base, **rows.get(part.strip(), {"Uo": ""}), "name": f"{name} {part.strip()}"}
        for part in used.split("+")
    ]
