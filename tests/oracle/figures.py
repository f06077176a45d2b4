"""Figures as people type them: few digits, varied units, exact decimals."""

from __future__ import annotations

from fractions import Fraction
from random import Random

from oracle.quantities import UNITS

CHOICES: dict[str, tuple[str, ...]] = {
    "V": ("V",),
    "A": ("A", "mA"),
    "W": ("W", "mW"),
    "F": ("uF", "nF", "pF"),
    "H": ("mH", "uH"),
    "H/ohm": ("uH/ohm",),
    "m": ("m", "km"),
    "F/m": ("pF/m", "nF/km", "nF/m"),
    "H/m": ("uH/m", "mH/km"),
    "ohm/m": ("ohm/km", "ohm/m"),
    "ohm": ("ohm",),
}


def sig(value: Fraction, digits: int, *, up: bool = False) -> Fraction:
    """Rounded down (or up) to so many significant digits."""
    if value <= 0:
        return Fraction(0)
    exponent = 0
    while value * Fraction(10) ** -exponent >= 10**digits:
        exponent += 1
    while value * Fraction(10) ** -exponent < 10 ** (digits - 1):
        exponent -= 1
    scaled = value * Fraction(10) ** -exponent
    whole = scaled.numerator // scaled.denominator
    if up and whole != scaled:
        whole += 1
    return whole * Fraction(10) ** exponent


def decimal(value: Fraction) -> str | None:
    """The exact decimal text of a fraction; None if it does not end."""
    below, places = value.denominator, 0
    while below % 10 == 0:
        below //= 10
        places += 1
    while below % 2 == 0:
        below //= 2
        places += 1
    while below % 5 == 0:
        below //= 5
        places += 1
    if below != 1:
        return None
    scaled = value * 10**places
    digits = str(abs(scaled.numerator)).rjust(places + 1, "0")
    text = digits if places == 0 else f"{digits[:-places]}.{digits[-places:]}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return f"-{text}" if value < 0 else text


def write(rng: Random, value: Fraction, dimension: str) -> str:
    """A quantity in one of the units that people would choose for it."""
    units = [(u, UNITS[u][1]) for u in CHOICES[dimension]]
    fitting = [(u, f) for u, f in units if Fraction(1, 20) <= value / f < 5000]
    unit, factor = rng.choice(fitting or units[:1])
    text = decimal(value / factor)
    if text is None:
        message = f"{value} has no exact decimal"
        raise ValueError(message)
    return f"{text} {unit}"


def bump(text: str, steps: int) -> str:
    """The text with its last digit moved by so many steps: "585 mW" + 1 is "586 mW"."""
    number, _, unit = text.partition(" ")
    places = len(number.partition(".")[2])
    moved = Fraction(number) + steps * Fraction(1, 10**places)
    if moved <= 0:
        moved = Fraction(1, 10 ** (places + 1))
        places += 1
    whole = str((moved * 10**places).numerator).rjust(places + 1, "0")
    shown = whole if places == 0 else f"{whole[:-places]}.{whole[-places:]}"
    return f"{shown} {unit}" if unit else shown


def between(rng: Random, low: float, high: float) -> Fraction:
    """A random fraction with four decimals at most."""
    return Fraction(rng.randint(round(low * 10000), round(high * 10000)), 10000)


def chance(rng: Random, percent: float) -> bool:
    return rng.random() * 100 < percent
