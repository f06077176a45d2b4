"""Solenoid valves in exact fractions, written from the rules' text.

Coils in parallel are solved by trying which of them conduct, not by the engine's closed form.
"""

from __future__ import annotations

import itertools
from fractions import Fraction

from oracle.function_figures import Ends, Said, copper, verdict, within

__all__ = ["Coil", "branch", "valve"]

PULLS = ("pull-in current", "pull-in voltage", "pull-in at 20")

Coil = tuple[Fraction, Fraction]
"""Volts of the diodes and ohms of the coil."""


def _of(said: Said, name: str) -> Ends | None:
    held = said.get(name)
    return held if isinstance(held, Ends) else None


def _nodal(U: Fraction, R: Fraction, coils: list[Coil]) -> Fraction:
    """Volts across coils in parallel behind U and R: the set of conductors that agrees."""
    for count in range(len(coils), 0, -1):
        for chosen in itertools.combinations(coils, count):
            volts = (U / R + sum((v / r for v, r in chosen), Fraction(0))) / (
                1 / R + sum((1 / r for _, r in chosen), Fraction(0))
            )
            rest = [one for one in coils if one not in chosen]
            if all(volts >= v for v, _ in chosen) and all(volts <= v for v, _ in rest):
                return volts
    return U


def branch(
    U: Fraction, R: Fraction, line: Fraction, limit: Fraction | None, mine: Coil, others: list[Coil]
) -> Fraction:
    """Current of one coil; ``limit`` is that of the source, None where it has none."""
    coils = [mine, *others]
    volts = _nodal(U, R + line, coils)
    total = sum((max(volts - v, Fraction(0)) / r for v, r in coils), Fraction(0))
    if limit is not None and total > limit:
        volts = _at(limit, coils)
    return max(volts - mine[0], Fraction(0)) / mine[1]


def _at(total: Fraction, coils: list[Coil]) -> Fraction:
    """Volts across coils that together take a current."""
    best = Fraction(0)
    for count in range(1, len(coils) + 1):
        for chosen in itertools.combinations(coils, count):
            volts = (total + sum((v / r for v, r in chosen), Fraction(0))) / sum(
                (1 / r for _, r in chosen), Fraction(0)
            )
            rest = [one for one in coils if one not in chosen]
            if all(volts >= v for v, _ in chosen) and all(volts <= v for v, _ in rest):
                best = volts
    return best


def _source(said: Said) -> tuple[Fraction | None, Fraction | None, Fraction | None]:
    """Least volts, most ohms, and the limit (0 ohm.. where a barrier has none: None)."""
    if said["barrier"] == "yes":
        supply, ohms, drop = (_of(said, name) for name in ("supply", "end-to-end", "drop"))
        if supply is None or ohms is None:
            return None, None, None
        return supply.low - (drop.high if drop else Fraction(0)), ohms.high, None
    U, R, limit = (_of(said, name) for name in ("U", "inner", "limit"))
    if U is None or R is None or limit is None:
        return None, None, None
    return U.low, R.high, limit.low


def _hot(said: Said, air: int, tolerance: str) -> Coil | None:
    R20, dT, diodes = (_of(said, name) for name in ("coil", "self-heating", "diodes"))
    if R20 is None or dT is None or diodes is None:
        return None
    if tolerance == "most":
        return diodes.high, copper(R20.high, air + dT.high)
    return diodes.low, copper(R20.low, air + dT.low)


def _pulls(
    said: Said, others: list[Said], line: Fraction, hot: int, cold: int
) -> list[bool | None]:
    U, R, limit = _source(said)
    beside: list[Coil] = []
    known = U is not None
    for one in others:
        ohms, diodes = _of(one, "coil"), _of(one, "diodes")
        if ohms is None or diodes is None:
            known = False
        else:
            beside.append((diodes.low, copper(ohms.low, Fraction(cold))))
    if beside:
        # several are told as one, with the least diodes of them
        together = 1 / sum((1 / r for _, r in beside), Fraction(0))
        beside = [(min(v for v, _ in beside), together)]
    out: list[bool | None] = []
    asked = [
        name for name in ("pull-in current", "pull-in voltage", "pull-in at 20") if name in said
    ]
    if not asked:
        return [None]
    for name in (*asked, *(["hold"] if "hold" in said else [])):
        want = _of(said, name)
        corners = ("most", "least") if name == "pull-in voltage" else ("most",)
        for corner in corners:
            coil = _hot(said, hot, corner)
            if want is None or coil is None or not known or U is None or R is None:
                out.append(None)
                continue
            I = branch(U, R, line, limit, coil, beside)  # noqa: E741 - the symbol of current
            if name == "pull-in voltage":
                out.append(want.high <= coil[0] + I * coil[1])
            elif name == "pull-in at 20":
                R20, diodes = _of(said, "coil"), _of(said, "diodes")
                assert R20 is not None
                assert diodes is not None
                out.append((want.high - diodes.low) / R20.low <= I)
            else:
                out.append(want.high <= I)
    return out


def _release(said: Said, cold: int) -> bool | str | None:
    """Whether the cold coil releases; "not asked" where surely nothing flows."""
    volts, flows, falls = (_of(said, name) for name in ("off volts", "monitoring", "drop-out"))
    if "off volts" not in said and "monitoring" not in said:
        return None
    if ("off volts" in said and volts is None) or ("monitoring" in said and flows is None):
        return None
    demand = flows.high if flows else Fraction(0)
    if volts is not None and volts.high > 0:
        R20, diodes = _of(said, "coil"), _of(said, "diodes")
        inner = _of(said, "end-to-end" if said["barrier"] == "yes" else "inner")
        if R20 is None or diodes is None or inner is None:
            return None
        drop = _of(said, "drop") if said["barrier"] == "yes" else None
        left = volts.high - diodes.low - (drop.low if drop else Fraction(0))
        demand = max(demand, max(left, Fraction(0)) / (inner.low + copper(R20.low, Fraction(cold))))
    if demand == 0:
        return "not asked"
    return within(demand, falls.low if falls else None)


def valve(said: Said, others: list[Said], line: Fraction, hot: int, cold: int) -> str:
    """Whether one valve works beside others; ``line`` is the most ohms of the cable."""
    answers = _pulls(said, others, line, hot, cold)
    released = _release(said, cold)
    if not isinstance(released, str):
        answers.append(released)
    if said["barrier"] == "yes":
        supply, working, fuse, highest, least = (
            _of(said, name) for name in ("supply", "working", "fuse", "highest", "least")
        )
        top = supply.high if supply else None
        answers.append(within(top, working.low * Fraction("0.98") if working else None))
        blown = top / least.low if top is not None and least else None
        answers.append(within(blown, fuse.low if fuse else None))
        answers.append(within(top, highest.low if highest else None))
    return verdict(answers)
