"""The rules with a utilisation: voltage, current, power, capacitance, inductance, current table.

Every rule is ``demand <= limit``; equality passes; an unknown on either side is unproven, but
never hides what is unsafe already.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from oracle import energy
from oracle.combine import Case, Limit
from oracle.parts import DEFAULT_RATIO, Apparatus, Run
from oracle.quantities import Value, significant, written

SAFE, UNSAFE, UNPROVEN, NOT_ASKED = "safe", "unsafe", "unproven", "not asked"
BADNESS = {NOT_ASKED: 0, SAFE: 0, UNPROVEN: 1, UNSAFE: 2}
THREE_AMPERES = Fraction(3)
PERCENT = Fraction(1, 100)
ZERO = Fraction(0)


@dataclass(slots=True)
class Rule:
    demand: Any
    limit: Any
    unit: str | None
    verdict: str
    utilisation: Fraction | None = None
    extra: dict[str, Any] = field(default_factory=dict)

    def as_json(self) -> dict[str, Any]:
        used = self.utilisation
        if used is None:
            shown: float | int | None = None
        else:
            shown = 0 if isinstance(self.limit, str) else significant(used, 6)
        return {
            "demand": written(self.demand),
            "limit": written(self.limit),
            "unit": self.unit,
            "utilisation": shown,
            "verdict": self.verdict,
            **self.extra,
        }


def not_asked() -> Rule:
    return Rule(None, None, None, NOT_ASKED)


def compare(demand: Fraction | None, limit: Limit, unit: str, least: Fraction | None) -> Rule:
    """``least`` is what the demand is at least, where a part of it is unknown."""
    at_least = demand if demand is not None else least
    if at_least is not None and limit.bound is not None and at_least > limit.bound:
        used = at_least / limit.bound if limit.bound > 0 else None
        return Rule(at_least, limit.bound, unit, UNSAFE, used)
    if demand is None or limit.known is None:
        return Rule(demand, limit.known, unit, UNPROVEN)
    used = demand / limit.known if limit.known > 0 else ZERO
    return Rule(demand, limit.known, unit, SAFE, used)


def against_apparatus(
    demand: Fraction | None, accepted: Sequence[Value], unit: str, case: Case
) -> Rule:
    """Voltage, current, power: the smallest that the certified apparatus accept."""
    numbers = [v.number for v in accepted if v.number is not None]
    unknown = any(v.state == "unknown" for v in accepted)
    least = min(numbers, default=None)
    if least is None and not unknown:
        words = "not limiting" if accepted else "no apparatus asks"
        if demand is None:
            case.notes.append("unknown demand, nobody limits")
            return Rule(None, words, unit, UNPROVEN)
        return Rule(demand, words, unit, SAFE, ZERO)
    return compare(demand, Limit(None if unknown else least, least), unit, None)


@dataclass(slots=True)
class Sum:
    """A sum; None where a part is unknown, ``least`` then holds the known part."""

    total: Fraction | None
    least: Fraction


def add(values: Sequence[Fraction | None]) -> Sum:
    least = sum((v for v in values if v is not None), ZERO)
    return Sum(None if any(v is None for v in values) else least, least)


def both(one: Sum, other: Sum) -> Sum:
    known = None if one.total is None or other.total is None else one.total + other.total
    return Sum(known, one.least + other.least)


@dataclass(slots=True)
class Demand:
    """The demand side of one case."""

    Ci: Sum
    Li: Sum
    cable_C: Sum
    cable_L: Sum
    ratio: Fraction | None  # the worst L/R of the runs; None where one has none

    @property
    def C(self) -> Sum:
        return both(self.Ci, self.cable_C)

    @property
    def L(self) -> Sum:
        return both(self.Li, self.cable_L)

    def as_json(self) -> dict[str, Any]:
        return {
            "sum Ci": written(self.Ci.total),
            "sum Li": written(self.Li.total),
            "cable C": written(self.cable_C.total),
            "cable L": written(self.cable_L.total),
            "worst cable L/R": written(self.ratio),
        }


def run_total(run: Run, per_metre: Fraction | None) -> Fraction | None:
    """Length times the figure per metre; zero if either is certainly zero."""
    if run.length is None or per_metre is None:
        return ZERO if per_metre == 0 or run.length == 0 else None
    return run.length * per_metre


def run_ratio(run: Run, current: Fraction | None) -> Fraction | None:
    if run.default_ratio:
        return DEFAULT_RATIO if current is not None and current <= THREE_AMPERES else None
    return run.ratio


def demand_of(case: Case, apparatus: Sequence[Apparatus], runs: Sequence[Run]) -> Demand:
    ratios = [run_ratio(run, case.I) for run in runs]
    known = [r for r in ratios if r is not None]
    return Demand(
        Ci=add([a.Ci.number for a in apparatus] + [case.own_C]),
        Li=add([a.Li.number for a in apparatus] + [case.own_L]),
        cable_C=add([run_total(run, run.C) for run in runs]),
        cable_L=add([run_total(run, run.L) for run in runs]),
        ratio=max(known) if known and len(known) == len(ratios) else None,
    )


def lumped(part: Sum, limit: Fraction | None) -> bool | None:
    """At least 1 % of the full declared limit? Zero never; None is not decidable."""
    if part.total == 0:
        return False
    if limit is None:
        return None
    if part.least > 0 and part.least >= PERCENT * limit:
        return True
    return None if part.total is None else False


def factor_k(case: Case, demand: Demand) -> Fraction | str | None:
    """The factor on Co and Lo: 1, 1/2, "pairs" or None (not decidable)."""
    if case.pairs is not None:
        return "pairs"
    has_C = lumped(demand.Ci, case.Co.known)
    has_L = lumped(demand.Li, case.Lo.known)
    if has_C is False or has_L is False:
        return Fraction(1)
    if has_C is None or has_L is None:
        return None
    if not case.linear:
        return Fraction(1) if case.together else None
    return Fraction(1, 2)


def reduced(limit: Limit, k: Fraction, cap: Fraction | None) -> Limit:
    def one(value: Fraction | None) -> Fraction | None:
        if value is None or k == 1:
            return value
        return value * k if cap is None else min(value * k, cap)

    return Limit(one(limit.known), one(limit.bound))


@dataclass(slots=True)
class Storage:
    """What the comparison of stored energy found."""

    k: Fraction | str | None
    C: Rule
    L: Rule
    Co: Fraction | None
    Lo: Fraction | None
    open_ratio: bool
    route_L: Rule | None
    route_ratio: Rule | None
    limit_C: Limit
    limit_L: Limit


def by_pairs(case: Case, demand: Demand) -> Storage:
    """At least one certificate pair must cover both totals; the best one is reported."""
    usable: list[tuple[Fraction, int, Fraction, Fraction]] = []
    for number, (Co, Lo) in enumerate(case.pairs or [], start=1):
        if Co is not None and Lo is not None and Co > 0 and Lo > 0:
            worse = max(demand.C.least / Co, demand.L.least / Lo)
            usable.append((worse, number, Co, Lo))
    whole = len(usable) == len(case.pairs or [])
    if usable and not whole:
        case.notes.append("certificate pairs partly unknown")
    limit_C = limit_L = Limit(None, None)
    number_used: int | None = None
    if usable:
        worse, number_used, Co, Lo = min(usable, key=lambda item: (item[0], item[1]))
        limit_C, limit_L = Limit(Co, Co), Limit(Lo, Lo)
        if worse > 1 and not whole:
            # a pair that is not known might cover both
            limit_C = limit_L = Limit(None, None)
            number_used = None
    C = compare(demand.C.total, limit_C, "F", demand.C.least)
    L = compare(demand.L.total, limit_L, "H", demand.L.least)
    L.extra["by"] = "L"
    C.extra["pair"] = L.extra["pair"] = number_used
    return Storage(
        "pairs",
        C,
        L,
        limit_C.known,
        limit_L.known,
        open_ratio=False,
        route_L=None,
        route_ratio=None,
        limit_C=limit_C,
        limit_L=limit_L,
    )


def storage(case: Case, demand: Demand) -> Storage:
    """Capacitance and inductance, with k, L or L/R, or pairs."""
    if case.pairs is not None:
        return by_pairs(case, demand)
    k = factor_k(case, demand)
    limit_C = limit_L = Limit(None, None)
    if isinstance(k, Fraction):
        cap = energy.CAP.get(case.group or "", energy.OTHER_CAP)
        limit_C = reduced(case.Co, k, cap)
        limit_L = reduced(case.Lo, k, None)
    C = compare(demand.C.total, limit_C, "F", demand.C.least)
    route_L = compare(demand.L.total, limit_L, "H", demand.L.least)
    route_L.extra["by"] = "L"
    for rule, total, least in ((C, demand.C, case.Co), (route_L, demand.L, case.Lo)):
        if rule.verdict == UNSAFE and (total.total is None or least.known is None):
            case.notes.append("unsafe by the known part")
        if k is None and least.bound is not None and total.least > least.bound:
            case.notes.append("k not decidable, above the full limit")
    negligible = lumped(demand.Li, None if case.Lo.known is None else case.Lo.known) is False
    route_ratio: Rule | None = None
    if negligible and case.ratio is not None and demand.ratio is not None:
        route_ratio = compare(demand.ratio, Limit(case.ratio, case.ratio), "H/ohm", None)
        route_ratio.extra["by"] = "L/R"
    return Storage(
        k,
        C,
        choose_route(route_L, route_ratio),
        case.Co.known,
        case.Lo.known,
        open_ratio=negligible,
        route_L=route_L,
        route_ratio=route_ratio,
        limit_C=limit_C,
        limit_L=limit_L,
    )


def choose_route(route_L: Rule, route_ratio: Rule | None) -> Rule:
    """Of the open routes the one with the smaller utilisation.

    L that is not known stays the answer only where L/R does not pass either.
    """
    if route_ratio is None:
        return route_L
    if route_L.verdict == UNPROVEN:
        return route_ratio if route_ratio.verdict == SAFE else route_L
    one, other = route_L.utilisation, route_ratio.utilisation
    if one is None or (other is not None and other < one):
        return route_ratio
    return route_L


def quantity_rules(
    case: Case, apparatus: Sequence[Apparatus], demand: Demand
) -> tuple[dict[str, Rule], Storage]:
    certified = [a for a in apparatus if not a.simple]
    stored = storage(case, demand)
    rules = {
        "voltage": against_apparatus(case.U, [a.Ui for a in certified], "V", case),
        "current": against_apparatus(case.I, [a.Ii for a in certified], "A", case),
        "power": against_apparatus(case.P, [a.Pi for a in certified], "W", case),
        "capacitance": stored.C,
        "inductance": stored.L,
        "permitted current": not_asked(),
    }
    if case.asks_current:
        limit = Limit(case.permitted, case.permitted)
        rules["permitted current"] = compare(case.I, limit, "A", None)
    return rules, stored


def longest_run(
    case: Case, demand: Demand, stored: Storage, runs: Sequence[Run], number: int
) -> list[tuple[Fraction, str]] | None:
    """Lengths of the asked run at which a limit is reached; None where not provable."""
    if not 1 <= number <= len(runs):
        return None
    asked = runs[number - 1]
    others = [run for run in runs if run is not asked]
    rest_C = both(demand.Ci, add([run_total(run, run.C) for run in others])).total
    rest_L = both(demand.Li, add([run_total(run, run.L) for run in others])).total
    if case.pairs is not None:
        return longest_by_pairs(case.pairs, rest_C, rest_L, asked)
    found: list[tuple[Fraction, str]] = []
    if rest_C is None or asked.C is None or stored.limit_C.known is None:
        return None
    if asked.C > 0:
        found.append(((stored.limit_C.known - rest_C) / asked.C, "capacitance"))
    holds = stored.route_ratio is not None and stored.route_ratio.verdict == SAFE
    if not holds:
        if rest_L is None or asked.L is None or stored.limit_L.known is None:
            return None
        if asked.L > 0:
            found.append(((stored.limit_L.known - rest_L) / asked.L, "inductance"))
    return found


def longest_by_pairs(
    pairs: Sequence[tuple[Fraction | None, Fraction | None]],
    rest_C: Fraction | None,
    rest_L: Fraction | None,
    asked: Run,
) -> list[tuple[Fraction, str]] | None:
    """The best pair counts: of each pair the smaller of the two lengths."""
    if rest_C is None or rest_L is None or not asked.C or not asked.L:
        return None
    best: tuple[Fraction, str] | None = None
    for Co, Lo in pairs:
        if Co is None or Lo is None:
            continue
        by_C, by_L = (Co - rest_C) / asked.C, (Lo - rest_L) / asked.L
        one = (by_C, "capacitance") if by_C <= by_L else (by_L, "inductance")
        if best is None or one[0] > best[0]:
            best = one
    return None if best is None else [best]
