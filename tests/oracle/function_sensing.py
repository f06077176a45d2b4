"""Oracle: thermocouples, bridges, probes and accelerometers, in exact fractions.

Common practice of the trade and Ohm's law. Ohms, mA, V, nF, Hz, kelvin.
"""

from __future__ import annotations

from fractions import Fraction

from oracle.function_figures import Ends, Said, verdict, within
from oracle.function_thermometer import both, least, most

__all__ = ["accelerometer", "bridge", "probe", "thermocouple"]

TWO_PI = 2 * Fraction("3.14159265358979323846264338327950288")


def thermocouple(said: Said, lead: Fraction, slope: Fraction, at_joint: Fraction) -> str:
    """Error and loop; slopes in uV/K, the least of the range and the greatest at the joint."""
    barrier = said["barrier"] == "yes"
    channel = most(said, "channel") if barrier else Fraction(0)
    joint = most(said, "joint") if barrier else Fraction(0)
    sensor, bias, budget = most(said, "sensor"), most(said, "bias"), least(said, "budget")
    loop = None if not both(channel, sensor) else lead + sensor + 2 * channel
    kelvin = None
    if both(loop, bias, joint):
        kelvin = (bias * loop + joint * at_joint) / slope
    return verdict([within(kelvin, budget), within(loop, least(said, "loop limit"))])


def bridge(said: Said, cells: list[Ends | None], needs: list[Ends | None], lead: Fraction,
           knee: Fraction) -> str:  # fmt: skip
    """Excitation, sense wires, span, current, working voltage."""
    barrier = said["barrier"] == "yes"
    zero = Ends(Fraction(0), Fraction(0))
    channel = said["channel"] if barrier else zero
    feeds = Ends(2 * channel.low, 2 * (lead + channel.high)) if isinstance(channel, Ends) else None
    together = None
    if all(isinstance(one, Ends) for one in cells):
        together = 1 / sum(1 / one.low for one in cells if one is not None)
    supply, sensed, input_R = said["excitation"], said["sensed"], least(said, "input")
    answers: list[bool | None] = []
    known = isinstance(supply, Ends) and together is not None and feeds is not None
    if known and all(isinstance(one, Ends) for one in needs):
        left = supply.low * together / (together + feeds.high)
        answers.append(max(one.high for one in needs if one is not None) <= left)
    else:
        answers.append(None)
    if barrier:
        answers.append({"yes": True, "no": False}.get(str(sensed)))
    share = None
    if feeds is not None and input_R is not None:
        before = feeds.high / (feeds.high + input_R)
        if sensed == "yes":
            share = 2 * before
        elif sensed == "no" and together is not None:
            drift = feeds.high / (together + feeds.high) - feeds.low / (together + feeds.low)
            share = before + drift
    budget = least(said, "budget")
    answers.append(within(share, None if budget is None else budget / 100))
    current = supply.high / (together + feeds.low) * 1000 if known else None
    answers.append(within(current, least(said, "limit")))
    if barrier:
        working = least(said, "working")
        answers.append(within(most(said, "excitation"), working * knee if working else None))
    return verdict(answers)


def probe(said: Said, lead: Fraction, farads: Fraction, knee: Fraction) -> str:
    """Volts, current, gain, bandwidth, slew, working voltage; ``lead`` is one core."""
    barrier = said["barrier"] == "yes"
    flow, signal, input_R = most(said, "I"), said["signal"], least(said, "input")
    answers: list[bool | None] = []
    zero = Fraction(0)
    feed, through, common = (
        most(said, name) if barrier else zero for name in ("feed", "through", "common")
    )
    volts = None
    if flow is not None:
        if barrier:
            volts = least(said, "supply")
        else:
            U, inner = least(said, "U"), most(said, "inner")
            volts = None if not both(U, inner) else U - flow / 1000 * inner
    left = None
    if both(volts, flow, input_R, feed, common) and isinstance(signal, Ends):
        back = flow / 1000 + signal.high / input_R
        left = volts - flow / 1000 * (feed + lead) - back * (common + lead)
    answers.append(within(most(said, "need"), left))
    if not barrier:
        answers.append(within(flow, least(said, "limit")))
    output, frequency, budget = (
        most(said, "output"), most(said, "frequency"), least(said, "budget"),
    )  # fmt: skip
    R = None if not both(through, output) else through + output + lead
    gain = None if not both(R, input_R) else R / (input_R + R)
    answers.append(within(gain, None if budget is None else budget / 100))
    if both(R, frequency):
        answers.append(3 * frequency * TWO_PI * R * farads <= 1)
    else:
        answers.append(None)
    if barrier:
        working = least(said, "working")
        limit = None if working is None else working * knee
        answers.append(within(most(said, "supply"), limit))
        answers.append(within(most(said, "signal"), limit))
    return verdict(answers)


def accelerometer(said: Said, line: Fraction, farads: Fraction, knee: Fraction) -> str:
    """Compliance, working voltage, constant current, slew; ``line`` is both cores."""
    barrier = said["barrier"] == "yes"
    flow, signal, takes = said["I"], said["signal"], said["takes"]
    through = most(said, "through") if barrier else Fraction(0)
    answers: list[bool | None] = []
    volts = None
    if isinstance(flow, Ends) and isinstance(signal, Ends) and through is not None:
        volts = signal.high + flow.high / 1000 * (through + line)
    answers.append(within(volts, least(said, "volts")))
    if barrier:
        working = least(said, "working")
        answers.append(within(volts, None if working is None else working * knee))
    if isinstance(flow, Ends) and isinstance(takes, Ends):
        answers.append(takes.low <= flow.low and flow.high <= takes.high)
    else:
        answers.append(None)
    frequency = most(said, "frequency")
    if isinstance(flow, Ends) and isinstance(signal, Ends) and frequency is not None:
        left, peak = (flow.low - 1) / 1000, (signal.high - signal.low) / 2
        answers.append(frequency * TWO_PI * farads * peak <= left)
    else:
        answers.append(None)
    return verdict(answers)
