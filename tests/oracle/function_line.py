"""Detector loops, pick-ups and serial lines in exact fractions, written from the rules' text."""

from __future__ import annotations

from fractions import Fraction

from oracle.function_figures import Ends, Said, copper, verdict, within

__all__ = ["detector", "pick_up", "serial"]


def _of(said: Said, name: str) -> Ends | None:
    held = said.get(name)
    return held if isinstance(held, Ends) else None


def _nodal(
    U: Fraction, R: Fraction, end: Fraction, sink: Fraction, alarm: tuple[Fraction, Fraction] | None
) -> tuple[Fraction, Fraction]:
    """Volts across a pair with a resistor, a constant current and a branch V + I R; its amperes."""
    volts = (U / R - sink) / (1 / R + 1 / end)
    if alarm is not None and volts > alarm[0]:
        volts = (U / R - sink + alarm[0] / alarm[1]) / (1 / R + 1 / end + 1 / alarm[1])
    volts = max(volts, Fraction(0))
    drawn = sink + volts / end
    if alarm is not None:
        drawn += max(volts - alarm[0], Fraction(0)) / alarm[1]
    return volts, drawn


def detector(said: Said, resting: Ends | None, line: Fraction) -> str:
    """Whether a detector on a loop with an end-of-line resistor is told in every state."""
    names = ("U", "inner", "end", "alarm R", "alarm V", "need", "on", "off", "broken", "shorted")
    U, inner, end, Ra, Va, need, on, off, broken, shorted = (_of(said, name) for name in names)

    def low(one: Ends | None) -> Fraction | None:
        return one.low if one else None

    def high(one: Ends | None) -> Fraction | None:
        return one.high if one else None

    def at(most: bool, alarm: bool) -> Fraction | None:
        if None in (U, inner, end, resting) or (alarm and None in (Ra, Va)):
            return None
        assert U and inner and end and resting  # noqa: PT018
        if most:
            branch = (Va.low, Ra.low) if alarm and Ra and Va else None
            return _nodal(U.high, inner.low, end.low, resting.high, branch)[1]
        branch = (Va.high, Ra.high) if alarm and Ra and Va else None
        return _nodal(U.low, inner.high + line, end.high, resting.low, branch)[1]

    volts = short = None
    if U and inner and end and resting:
        volts = _nodal(U.low, inner.high + line, end.low, resting.high, None)[0]
    if U and inner:
        short = U.low / (inner.high + line)
    return verdict(
        [
            within(high(on), at(most=False, alarm=True)),
            within(at(most=True, alarm=False), low(off)),
            within(high(broken), at(most=False, alarm=False)),
            within(high(resting), low(broken)),
            within(at(most=True, alarm=True), low(shorted)),
            within(high(shorted), short),
            within(high(need), volts),
        ]
    )


def pick_up(said: Said, line: Fraction, farads: Fraction, hot: int) -> str:
    """Whether a coil pick-up reaches its input; ``farads`` are those of the cable."""
    names = ("signal", "coil", "L", "input R", "threshold", "rate", "frequency")
    signal, coil, L, input_R, threshold, rate, frequency = (_of(said, name) for name in names)
    answers: list[bool | None] = []
    seen = settled = None
    if coil and input_R:
        before = copper(coil.high, Fraction(hot)) + line
        if signal:
            seen = signal.low * input_R.low / (input_R.low + before)
        if L:
            both = 1 / (1 / before + 1 / input_R.high)
            settled = 5 * (both * farads + L.high / (coil.low + input_R.low))
    answers.append(within(threshold.high if threshold else None, seen))
    half = 1 / (2 * frequency.high) if frequency else None
    answers.append(within(settled, half))
    answers.append(within(frequency.high if frequency else None, rate.low if rate else None))
    return verdict(answers)


def _parallel(*ohms: Fraction) -> Fraction:
    return 1 / sum((1 / one for one in ohms), Fraction(0))


def serial(said: Said, loads: Fraction | None, line: Fraction) -> str:
    """Whether a device and its coupler understand each other; levels of TIA-485."""
    names = ("drive", "device drive", "near", "far", "own load", "leg")
    drive, device, near, far, own, leg = (_of(said, name) for name in names)
    answers: list[bool | None] = []
    far_R = near_R = None
    if far and loads is not None:
        far_R = _parallel(far.low, 12000 / loads)
    if near and own:
        near_R = _parallel(near.low, 12000 / own.high)
    most = line + 2 * leg.high if leg else None
    least = 2 * leg.low if leg else None

    def received(volts: Ends | None, end: Fraction | None) -> Fraction | None:
        if volts is None or end is None or most is None:
            return None
        return volts.low * end / (end + most)

    answers.append(within(Fraction("0.2"), received(drive, far_R)))
    answers.append(within(Fraction("0.2"), received(device, near_R)))
    for here, there in ((near_R, far_R), (far_R, near_R)):
        seen = None
        if here is not None and there is not None and least is not None:
            seen = _parallel(here, there + least)
        answers.append(within(Fraction(54), seen))
    total = loads + own.high if loads is not None and own else None
    answers.append(within(total, Fraction(32)))
    return verdict(answers)
