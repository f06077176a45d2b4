"""Oracle: resistance thermometers and potentiometers, in exact fractions.

IEC 60751 (Callendar and Van Dusen), JIS C1604:1981 and DIN 43760, from memory. Ohms, mA, V, kelvin.
"""

from __future__ import annotations

from fractions import Fraction

from oracle.function_figures import Ends, Said, verdict, within

__all__ = ["potentiometer", "resistance_and_slope", "thermometer"]

COEFFICIENTS = {
    "Pt 3851": ("0.0039083", "-0.0000005775", "-0.000000000004183"),
    "Pt 3916": ("0.0039739", "-0.000000587", "-0.0000000000044"),
}
RANGES = {"Pt 3851": (-200, 850), "Pt 3916": (-200, 630), "Ni 6180": (-60, 180)}


def resistance_and_slope(element: str, t: Fraction) -> tuple[Fraction, Fraction] | None:
    """R/R0 and its slope [1/K]; None beyond the range of the element."""
    low, high = RANGES[element]
    if not low <= t <= high:
        return None
    if element == "Ni 6180":
        a, b, d, f = (Fraction(x) for x in ("0.005485", "0.00000665", "2.805e-11", "-2e-17"))
        return (
            1 + a * t + b * t**2 + d * t**4 + f * t**6,
            a + 2 * b * t + 4 * d * t**3 + 6 * f * t**5,
        )
    a, b, c = (Fraction(x) for x in COEFFICIENTS[element])
    ratio, slope = 1 + a * t + b * t**2, a + 2 * b * t
    if t < 0:
        ratio += c * (t - 100) * t**3
        slope += c * (4 * t**3 - 300 * t**2)
    return ratio, slope


def least(said: Said, name: str) -> Fraction | None:
    one = said.get(name)
    return one.low if isinstance(one, Ends) else None


def most(said: Said, name: str) -> Fraction | None:
    one = said.get(name)
    return one.high if isinstance(one, Ends) else None


def both(*values: Fraction | None) -> bool:
    return all(value is not None for value in values)


def off(legs: int, lead: Fraction, channel: Ends | None, taken: Ends) -> Fraction | None:
    """Ohms of legs less those taken off, whichever way more; a cold cable may have none."""
    if channel is None:
        return None
    return max(legs * (lead + channel.high) - taken.low, taken.high - legs * channel.low)


def in_error(
    said: Said, lead: Fraction, channel: Ends | None, mismatch: Fraction | None, taken: Ends
) -> Fraction | None:
    """Ohms that are not the element's, by the number of wires."""
    leg = None if channel is None else lead + channel.high
    if said["wires"] == "2":
        return off(2, lead, channel, taken)
    if said["wires"] == "3":
        parts = (leg, most(said, "lead mismatch"), mismatch, most(said, "skew"))
        if not both(*parts):
            return None
        share, between, skew = parts[1:]
        return share / 100 * lead + between + skew / 100 * leg
    bias, excitation = most(said, "bias"), least(said, "excitation")
    return bias * 2 * leg / excitation if both(bias, leg, excitation) else None


def curve_at(said: Said, end: int) -> tuple[Fraction, Fraction] | None:
    """R/R0 and its slope at an end of the measured range."""
    measured, element = said["measured"], said["element"]
    if not isinstance(measured, Ends) or not element:
        return None
    return resistance_and_slope(str(element), measured[end])


def kelvins(said: Said, ohms: Fraction | None, past: Fraction | None, end: int) -> Fraction | None:
    """The error at an end of the range; ``past`` is the share of the current that leaks."""
    curve, R0 = curve_at(said, end), least(said, "R0")
    if curve is None or not both(ohms, past, R0):
        return None
    return ohms / (R0 * curve[1]) + past * curve[0] / curve[1]


def thermometer(said: Said, lead: Fraction, leakage_factor: int, knee: Fraction) -> str:
    """Leads, ohms of a leg, compliance; ``lead`` is the hot core."""
    barrier = said["barrier"] == "yes"
    zero = Ends(Fraction(0), Fraction(0))
    channel = said["channel"] if barrier else zero
    channel = channel if isinstance(channel, Ends) else None
    mismatch = most(said, "mismatch") if barrier else Fraction(0)
    taken = said.get("taken off") or zero
    assert isinstance(taken, Ends)
    past = Fraction(0) if not barrier else None
    leakage, excitation = most(said, "leakage"), least(said, "excitation")
    if barrier and both(leakage, excitation):
        past = leakage * leakage_factor / excitation
    ohms, budget = in_error(said, lead, channel, mismatch, taken), least(said, "budget")
    answers = [within(kelvins(said, ohms, past, end), budget) for end in (0, 1)]
    leg = None if channel is None else lead + channel.high
    answers.append(within(leg, least(said, "leg limit")))
    curve, R0, flow = curve_at(said, 1), most(said, "R0"), most(said, "excitation")
    volts = None
    if curve is not None and both(leg, R0, flow):
        legs = 3 if said["wires"] == "3" else 2
        volts = flow / 1000 * (R0 * curve[0] + legs * leg)
    answers.append(within(volts, least(said, "volts")))
    if barrier:
        working = least(said, "working")
        answers.append(within(volts, None if working is None else working * knee))
    return verdict(answers)


def potentiometer(said: Said, lead: Fraction) -> str:
    """Shift of an end of the span, ohms of a leg, range of the track."""
    zero = Ends(Fraction(0), Fraction(0))
    channel = said["channel"] if said["barrier"] == "yes" else zero
    taken = said.get("taken off") or zero
    assert isinstance(taken, Ends)
    if not isinstance(channel, Ends):
        return verdict([None])
    leg, track, budget = lead + channel.high, said["track"], least(said, "budget")
    shift = None
    if isinstance(track, Ends):
        if said["wires"] == "2":
            ohms = off(2, lead, channel, taken)
            assert ohms is not None
            shift = ohms / track.low
        else:
            over = (leg - taken.low / 2) / (track.low + 2 * leg)
            under = (taken.high / 2 - channel.low) / (track.low + 2 * channel.low)
            shift = max(over, under)
    answers = [
        within(shift, None if budget is None else budget / 100),
        within(leg, least(said, "leg limit")),
    ]
    if isinstance(track, Ends):
        answers.append(within(most(said, "least"), track.low + 2 * channel.low))
        answers.append(within(track.high + 2 * leg, least(said, "most")))
    else:
        answers += [None, None]
    return verdict(answers)
