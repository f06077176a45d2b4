"""Symbols, drawn by us after IEC 60617 and the balloons of ISA-5.1, both from memory.

Every symbol stands in a box of 12 by 12 mm about (0, 0), with its leads on the left where it has
leads. docs/drawings.md says which means what.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from subspark.papers.drawings.shapes import Circle, Line, Path, Rect, Shape, Text, arc, moved

__all__ = ["SYMBOLS", "balloon", "choose", "symbol"]

Drawer = Callable[[], tuple[Shape, ...]]


def _letters(text: str, y: float, size: float = 3.4, x: float = 0.0) -> Text:
    return Text(x, y, text, size, "text", anchor="middle")


def _earth() -> tuple[Shape, ...]:
    return (
        Line(0, -4, 0, 0, "earth"),
        Line(-3.2, 0, 3.2, 0, "earth"),
        Line(-2.1, 1.3, 2.1, 1.3, "earth"),
        Line(-1.0, 2.6, 1.0, 2.6, "earth"),
    )


def _protective_earth() -> tuple[Shape, ...]:
    return (*_earth(), Circle(0, 0.2, 4.4, "earth"))


def _bond() -> tuple[Shape, ...]:
    return (
        Line(0, -4, 0, -1, "earth"),
        Path(((-3.0, -1), (3.0, -1), (0, 3.4)), "earth", closed=True),
    )


def _leads(left: float = -3.0, right: float = 3.0) -> tuple[Shape, ...]:
    return (Line(-6, 0, left, 0), Line(right, 0, 6, 0))


def _resistor() -> tuple[Shape, ...]:
    return (*_leads(), Rect(-3, -1.1, 6, 2.2, "symbol"))


def _diode() -> tuple[Shape, ...]:
    return (
        Line(-6, 0, 6, 0),
        Path(((-1.6, -1.8), (-1.6, 1.8), (1.6, 0)), "symbol", closed=True),
        Line(1.6, -1.8, 1.6, 1.8),
    )


def _zener() -> tuple[Shape, ...]:
    return (*_diode(), Line(1.6, -1.8, 0.7, -1.8))


def _capacitor() -> tuple[Shape, ...]:
    return (*_leads(-0.6, 0.6), Line(-0.6, -2.4, -0.6, 2.4), Line(0.6, -2.4, 0.6, 2.4))


def _inductor() -> tuple[Shape, ...]:
    return (*_leads(-4, 4), *(arc(-3 + 2 * i, 0, 1, 180, 360) for i in range(4)))


def _fuse() -> tuple[Shape, ...]:
    return (Line(-6, 0, 6, 0), Rect(-3, -1.1, 6, 2.2, "symbol"))


def _coil() -> tuple[Shape, ...]:
    return (Line(-6, 0, -4, 0), Rect(-4, -2.4, 8, 4.8, "symbol"), Line(4, 0, 6, 0))


def _valve() -> tuple[Shape, ...]:
    return (
        Path(((-4, 1), (-4, 5), (4, 1), (4, 5)), "symbol", closed=True),
        Line(0, 3, 0, -1),
        Rect(-2.6, -5, 5.2, 4, "symbol"),
        Line(-2.6, -1, 2.6, -5),
    )


def _positioner() -> tuple[Shape, ...]:
    return (
        Path(((-4, 1.6), (-4, 5.2), (4, 1.6), (4, 5.2)), "symbol", closed=True),
        Line(0, 3.4, 0, -0.6),
        arc(0, -0.6, 3.4, 180, 360),
        Line(-3.4, -0.6, 3.4, -0.6),
    )


def _contact() -> tuple[Shape, ...]:
    return (Line(-6, 0, -2.6, 0), Line(-2.6, 0, 2.4, -2.8), Line(2.6, 0, 6, 0))


def _proximity() -> tuple[Shape, ...]:
    diamond = ((0, -5.6), (1.9, -3.9), (0, -2.2), (-1.9, -3.9))
    return (*moved(_contact(), 0, 2.6), Path(diamond, "symbol", closed=True))


def _button() -> tuple[Shape, ...]:
    return (
        *moved(_contact(), 0, 2.4),
        Line(0, 0.9, 0, -3.4),
        Line(-1.8, -3.4, 1.8, -3.4),
        Line(-1.8, -3.4, -1.8, -2.4),
        Line(1.8, -3.4, 1.8, -2.4),
    )


def _float() -> tuple[Shape, ...]:
    return (*moved(_contact(), 0, -1), Line(0, -2.4, 0, 3), Circle(0, 4.4, 1.4))


def _thermocouple() -> tuple[Shape, ...]:
    return (
        Line(-5, -3, 3.4, 0),
        Line(-5, 3, 3.4, 0),
        Circle(3.4, 0, 0.7, "solid"),
        _letters("+", -3.4, 2.6, -3.2),
        _letters("–", 5.2, 2.6, -3.2),
    )


def _resistance_thermometer() -> tuple[Shape, ...]:
    return (
        *_leads(),
        Rect(-3, -1.3, 6, 2.6, "symbol"),
        Path(((-4.2, 4.2), (-2.6, 4.2), (3.4, -4.2)), "symbol"),
        _letters("ϑ", 5.0, 3.0, 3.6),
    )


def _potentiometer() -> tuple[Shape, ...]:
    return (
        *_resistor(),
        Line(0, -4.6, 0, -1.2),
        Path(((-0.8, -2.5), (0.8, -2.5), (0, -1.1)), "solid", closed=True),
    )


def _photocell() -> tuple[Shape, ...]:
    return (
        *_diode(),
        *(Line(-4.6 + d, -5, -2.4 + d, -2.6) for d in (0, 1.8)),
    )


def _sounder() -> tuple[Shape, ...]:
    return (
        Path(((-4, -2), (-1, -2), (3, -5), (3, 5), (-1, 2), (-4, 2)), "symbol", closed=True),
        Line(-6, 0, -4, 0),
    )


def _lamp() -> tuple[Shape, ...]:
    d = 4.2 * 0.7071
    return (Circle(0, 0, 4.2), Line(-d, -d, d, d), Line(-d, d, d, -d))


def _surge() -> tuple[Shape, ...]:
    return (
        Line(0, -6, 0, -4),
        Rect(-2.2, -4, 4.4, 6, "symbol"),
        Line(0, -3, 0, -0.6),
        Path(((-0.9, -1.6), (0.9, -1.6), (0, 0.4)), "solid", closed=True),
        Line(0, 2, 0, 3.2),
        Line(-2.4, 3.2, 2.4, 3.2, "earth"),
        Line(-1.6, 4.2, 1.6, 4.2, "earth"),
        Line(-0.8, 5.2, 0.8, 5.2, "earth"),
    )


def _terminator() -> tuple[Shape, ...]:
    return (
        Line(0, -6, 0, -4.6),
        Rect(-1.1, -4.6, 2.2, 4.6, "symbol"),
        Line(0, 0, 0, 2),
        Line(-2.4, 2, 2.4, 2),
        Line(-2.4, 3.2, 2.4, 3.2),
        Line(0, 3.2, 0, 6),
    )


def _network() -> tuple[Shape, ...]:
    return (*moved(_resistor(), 0, -2.6), *moved(_capacitor(), 0, 2.8))


def _isolator() -> tuple[Shape, ...]:
    return (
        Rect(-6, -4, 12, 8, "symbol"),
        Line(-6, 4, 6, -4),
        _letters("=", -0.6, 3.0, -3.0),
        _letters("=", 3.4, 3.0, 3.0),
    )


def _barrier() -> tuple[Shape, ...]:
    return (
        Line(-6, -3, -5, -3),
        Rect(-5, -3.9, 3, 1.8, "symbol"),
        Line(-5, -3, 0, -3),
        Line(0, -3, 1.4, -3),
        Rect(1.4, -3.9, 3.4, 1.8, "symbol"),
        Line(4.8, -3, 6, -3),
        Line(0, -3, 0, -1.6),
        Path(((-1.6, 1.1), (1.6, 1.1), (0, -1.6)), "symbol", closed=True),
        Path(((-1.6, -1.0), (-1.6, -1.6), (1.6, -1.6)), "symbol"),
        Line(0, 1.1, 0, 4),
        Line(-6, 4, 6, 4, "earth"),
    )


def _battery() -> tuple[Shape, ...]:
    return (*_leads(-1.0, 1.0), Line(-1, -3, -1, 3), Line(1, -1.5, 1, 1.5))


def _part() -> tuple[Shape, ...]:
    return (Rect(-4.6, -4, 9.2, 8, "symbol"), Line(-6, 0, -4.6, 0))


SYMBOLS: dict[str, tuple[str, Drawer]] = {
    "earth": ("earth", _earth),
    "protective earth": ("protective earth", _protective_earth),
    "bond": ("equipotential bonding", _bond),
    "resistor": ("resistor", _resistor),
    "diode": ("diode", _diode),
    "zener": ("voltage-limiting diode", _zener),
    "capacitor": ("capacitor", _capacitor),
    "inductor": ("inductor", _inductor),
    "fuse": ("fuse", _fuse),
    "coil": ("coil of an actuator", _coil),
    "valve": ("solenoid valve", _valve),
    "positioner": ("valve positioner", _positioner),
    "contact": ("switch contact", _contact),
    "proximity": ("proximity switch", _proximity),
    "button": ("push button", _button),
    "float": ("float switch", _float),
    "thermocouple": ("thermocouple", _thermocouple),
    "resistance thermometer": ("resistance thermometer", _resistance_thermometer),
    "potentiometer": ("potentiometer", _potentiometer),
    "photocell": ("photocell", _photocell),
    "sounder": ("sounder", _sounder),
    "lamp": ("lamp or beacon", _lamp),
    "surge": ("surge device", _surge),
    "terminator": ("fieldbus terminator", _terminator),
    "network": ("resistor and capacitor", _network),
    "isolator": ("galvanic isolator", _isolator),
    "barrier": ("shunt-diode barrier", _barrier),
    "battery": ("battery", _battery),
    "part": ("apparatus", _part),
}
"""Name of each symbol, what it means in words, and what draws it."""

# The first that is found in the words of an apparatus gives its symbol.
_WORDS = (
    (r"surge", "surge"),
    (r"terminator", "terminator"),
    (r"transmitter|vibration sensor", "balloon"),
    (r"solenoid", "valve"),
    (r"positioner", "positioner"),
    (r"thermocouple", "thermocouple"),
    (r"\bPt\d|resistance thermometer|\bRTD\b", "resistance thermometer"),
    (r"potentiometer", "potentiometer"),
    (r"photocell|photodiode", "photocell"),
    (r"sounder|horn", "sounder"),
    (r"beacon|lamp|\bLED\b", "lamp"),
    (r"proximity|slot sensor|inductive sensor|NAMUR", "proximity"),
    (r"push button|hand switch", "button"),
    (r"float switch", "float"),
    (r"end-of-line", "network"),
    (r"transformer|choke|inductor", "inductor"),
    (r"resistor|dropper", "resistor"),
    (r"switch|contact", "contact"),
    (r"battery", "battery"),
)
_LETTERS = (
    (r"T[EW]", "resistance thermometer"),
    (r"[XSH]V", "valve"),
    (r"[A-Z]S[HL]{0,2}", "contact"),
    (r"[A-Z]{1,3}[TIRE]|[A-Z]{2,4}", "balloon"),
)
_TAG = re.compile(r"([A-Za-z]{2,4})[-_ ]?(\d[\w./-]*)")


def choose(words: str, tag: str) -> str:
    """The symbol of an apparatus, by its words, else by the letters of its tag.

    Parameters
    ----------
    words : str
        Name, model and role of its type.
    tag : str
        Its tag.

    Returns
    -------
    str
        A key of :data:`SYMBOLS`, or "balloon".
    """
    for pattern, name in _WORDS:
        if re.search(pattern, words, re.IGNORECASE if pattern.islower() else 0):
            return name
    match = _TAG.match(tag)
    for pattern, name in _LETTERS if match else ():
        if match and re.fullmatch(pattern, match[1].upper()):
            return name
    return "part"


def balloon(tag: str, x: float, y: float, r: float = 5.6) -> tuple[Shape, ...]:
    """A balloon with the letters of a tag above its number; letters only where they do not fit."""
    match = _TAG.match(tag)
    upper, lower = (match[1], match[2]) if match else (tag[:4], "")
    shapes: list[Shape] = [Circle(x, y, r)]
    top = Text(x, y - 0.7 if lower else y + 1.0, upper, 3.0, "text", anchor="middle")
    bottom = Text(x, y + 2.6, lower, 2.6, "text", anchor="middle")
    if top.width <= 1.7 * r:
        shapes.append(top)
    if lower and bottom.width <= 1.8 * r:
        shapes.append(bottom)
    return tuple(shapes)


def symbol(name: str, x: float, y: float, tag: str = "") -> tuple[Shape, ...]:
    """A symbol about a point [mm]."""
    if name == "balloon":
        return balloon(tag, x, y)
    return moved(SYMBOLS[name][1](), x, y)
