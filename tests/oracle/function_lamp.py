"""Lamps and sounders in exact fractions, written from the rules' text."""

from __future__ import annotations

from fractions import Fraction

from oracle.function_figures import Ends, Said, verdict, within

__all__ = ["lamp", "sounder"]

PER_JUNCTION = Fraction(2, 1000)


def _of(said: Said, name: str) -> Ends | None:
    held = said.get(name)
    return held if isinstance(held, Ends) else None


def _left(said: Said, flows: Fraction | None, more: Fraction) -> Fraction | None:
    U, R = _of(said, "U"), _of(said, "inner")
    if U is None or R is None or flows is None:
        return None
    return U.low - flows * (R.high + more)


def lamp(said: Said, line: Fraction, hot: int, cold: int) -> str:
    """Whether a lamp on a driver is seen when on and dark when off."""
    forward, series, count, seen, glow = (
        _of(said, name) for name in ("forward", "series", "junctions", "visible", "glow")
    )
    limit, volts, flows = (_of(said, name) for name in ("limit", "off volts", "monitoring"))
    answers: list[bool | None] = []
    needs = None
    if forward is not None and count is not None:
        needs = forward.high + PER_JUNCTION * count.high * max(20 - cold, 0)
    have = None
    if seen is not None and series is not None:
        have = _left(said, seen.high, line + series.high)
    answers.append(within(needs, have))
    answers.append(within(seen.high if seen else None, limit.low if limit else None))
    if "off volts" not in said and "monitoring" not in said:
        answers.append(None)
    if "monitoring" in said and not (flows and flows.high == 0):
        answers.append(within(flows.high if flows else None, glow.low if glow else None))
    if "off volts" in said and not (volts and volts.high == 0):
        inner = _of(said, "inner")
        if None in (volts, inner, series, glow, forward, count):
            answers.append(None)
        else:
            assert volts and inner and series and glow and forward and count  # noqa: PT018
            left = volts.high - glow.low * (inner.low + series.low)
            dark = forward.low - PER_JUNCTION * count.high * max(hot - 20, 0)
            answers.append(left <= dark)
    return verdict(answers)


def sounder(said: Said, together: Fraction | None, line: Fraction) -> str:
    """Whether a sounder on a driver works when on and is silent when off."""
    need, limit, alive = (_of(said, name) for name in ("need", "limit", "alive"))
    volts, flows = _of(said, "off volts"), _of(said, "monitoring")
    answers = [
        within(need.high if need else None, _left(said, together, line)),
        within(together, limit.low if limit else None),
    ]
    stated = [name for name in ("off volts", "monitoring") if name in said]
    if not stated or any(_of(said, name) is None for name in stated):
        answers.append(None)
        return verdict(answers)
    demand = flows.high if flows else Fraction(0)
    if volts is not None and volts.high > 0:
        inner = _of(said, "inner")
        if inner is None:
            return verdict([*answers, None])
        demand = max(demand, volts.high / inner.low)
    if demand > 0:
        answers.append(within(demand, alive.low if alive else None))
    return verdict(answers)
