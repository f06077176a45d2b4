"""Contacts and proximity switches in exact fractions, written from the rules' text.

Volts, milliamperes and kiloohms, so that Ohm's law needs no factors. Levels: IEC 60947-5-6, from
memory.
"""

from __future__ import annotations

from fractions import Fraction

from oracle.function_figures import Ends, Said, verdict, within

__all__ = ["switch"]


def _of(said: Said, name: str) -> Ends | None:
    held = said.get(name)
    return held if isinstance(held, Ends) else None


def _add(*parts: Ends | None) -> Ends | None:
    known = [one for one in parts if one is not None]
    if len(known) < len(parts):
        return None
    return Ends(sum((p.low for p in known), Fraction(0)), sum((p.high for p in known), Fraction(0)))


def _contact(said: Said) -> tuple[Ends | None, Ends | None]:
    """Kiloohms shown when closed and when open; the latter None also where it is infinite."""
    Rs, Rp = _of(said, "series resistor"), _of(said, "parallel resistor")
    if said["topology"] == "series with the parallel pair":
        return Rs, _add(Rs, Rp)
    if Rs is None or Rp is None:
        return None, Rp
    return Ends(*(s * p / (s + p) for s, p in zip(Rs, Rp, strict=True))), Rp


def _proximity(said: Said) -> tuple[Ends | None, Ends | None]:
    """Kiloohms at 8.2 V behind 1 kohm; a silent switch is on from 2.2 mA and off to 1 mA."""
    on = _of(said, "on current") or Ends(Fraction("2.2"), Fraction("8.2") / Fraction("1.4"))
    off = _of(said, "off current") or Ends(Fraction("0.4"), Fraction(1))
    ohms = [Fraction("8.2") / one - 1 for one in (on.high, on.low, off.high, off.low)]
    return Ends(ohms[0], ohms[1]), Ends(ohms[2], ohms[3])


def switch(said: Said, line: Fraction) -> str:
    """Whether a switch circuit works; ``line`` is the most kiloohms of its cable."""
    closed, opened = _contact(said) if said["role"] == "contact" else _proximity(said)
    barrier = said["barrier"] == "yes"
    ohms = _of(said, "end-to-end") if barrier else Ends(Fraction(0), Fraction(0))
    U, R = _of(said, "U"), _add(_of(said, "inner"), ohms, Ends(Fraction(0), line))
    on, off = _of(said, "on"), _of(said, "off")
    answers: list[bool | None] = []

    def least(shown: Ends | None) -> Fraction | None:
        return None if U is None or R is None or shown is None else U.low / (R.high + shown.high)

    def most(shown: Ends | None) -> Fraction | None:
        return None if U is None or R is None or shown is None else U.high / (R.low + shown.low)

    answers.append(within(None if on is None else on.high, least(closed)))
    leak: Fraction | None = Fraction(0)
    if barrier:
        leakage = _of(said, "leakage")
        # 40 degC in the cabinet: two doublings
        leak = None if leakage is None else leakage.high * 4
    drawn = most(opened)
    total = None if drawn is None or leak is None else drawn + leak
    answers.append(within(total, None if off is None else off.low))
    if said["monitored"] != "no":
        answers += _monitored(said, closed, least(opened), ohms, line, leak if barrier else None)
    if said["role"] == "contact":
        answers.append(_wetting(said, U, R))
    if barrier:
        working = _of(said, "working")
        # 0 degC in the cabinet: 2 % less
        knee = None if working is None else working.low * Fraction("0.98")
        answers.append(within(None if U is None else U.high, knee))
    return verdict(answers)


def _monitored(
    said: Said,
    closed: Ends | None,
    resting: Fraction | None,
    ohms: Ends | None,
    line: Fraction,
    leak: Fraction | None,
) -> list[bool | None]:
    if said["monitored"] == "":
        return [None]
    broken, short = _of(said, "broken"), _of(said, "short")
    out: list[bool | None] = [within(None if broken is None else broken.high, resting)]
    seen = _add(closed, ohms)
    out.append(within(None if short is None else short.high, None if seen is None else seen.low))
    if said["barrier"] == "yes":
        out.append(within(leak, None if broken is None else broken.low))
    leads = None if ohms is None else line + ohms.high
    out.append(within(leads, None if short is None else short.low))
    return out


def _wetting(said: Said, U: Ends | None, R: Ends | None) -> bool | None:
    """Current of the contact's own branch."""
    wet, Rs, Rp = (_of(said, name) for name in ("wetting", "series resistor", "parallel resistor"))
    if wet is None or U is None or R is None or Rs is None:
        return None
    if said["topology"] == "series with the parallel pair":
        return wet.high <= U.low / (R.high + Rs.high)
    if Rp is None:
        return None
    # a current divider: total current times Rp / (Rs + Rp)
    total = U.low / (R.high + Rs.high * Rp.low / (Rs.high + Rp.low))
    return wet.high <= total * Rp.low / (Rs.high + Rp.low)
