"""Functional figures of the demo plant of Class and Division; lengths and wires as there."""

from __future__ import annotations

from typing import Final

from subspark.model import Declaration, Fact
from subspark.quantity import Evidence

__all__ = ["DIVISION_DECLARATIONS", "DIVISION_FIGURES"]

_LOOP: Final = (
    "low alarm current: <= 3.2 mA; high alarm current: <= 20.5 mA; "
    "highest operating voltage: <= 30 V"
)

DIVISION_FIGURES: Final = {
    "QB-28": (
        "role: repeater supply; terminal voltage: 23 to 25 V @ 0 mA; "
        "terminal voltage: 17 to 18.6 V @ 20 mA; terminal voltage: 16 to 17.6 V @ 24 mA; "
        "current limit: 26 to 32 mA; load compliance: >= 14 V; accuracy: <= 0.1 %; HART: no"
    ),
    "HZ-25": (
        "role: repeater supply; terminal voltage: 21.5 to 23 V @ 0 mA; "
        "terminal voltage: 16.6 to 17.8 V @ 20 mA; terminal voltage: 15.7 to 17 V @ 24 mA; "
        "current limit: 26 to 32 mA; load compliance: >= 14 V; accuracy: <= 0.1 %; HART: no"
    ),
    "QS-10": (
        "role: switch amplifier; open-circuit voltage: 8 to 8.4 V; "
        "internal resistance: 950 to 1050 ohm; on threshold: >= 2.1 mA; off threshold: <= 1.2 mA; "
        "line-fault detection: no"
    ),
    "NF-28": (
        "role: current output; load compliance: >= 16 V; low alarm current: 3.8 mA; "
        "high alarm current: 20.5 mA; accuracy: <= 0.1 %; HART: no"
    ),
    "PX-2": f"role: two-wire transmitter; lift-off voltage: >= 10.5 V; {_LOOP}; HART: no",
    "TX-5": f"role: two-wire transmitter; lift-off voltage: >= 10 V; {_LOOP}; HART: no",
    "DX-3": f"role: two-wire transmitter; lift-off voltage: >= 11 V; {_LOOP}; HART: no",
    "VP-4": "role: positioner; lift-off voltage: 9 to 9.5 V; alive current: <= 3.2 mA; HART: no",
    "contact": "role: contact; resistor topology: no resistors; wetting current: >= 0.1 mA",
}
"""Figures by the name of the type; the others have none, and their circuits stay open."""

_DECLARED: Final[tuple[tuple[Fact, str], ...]] = (
    ("load resistance", "250 ohm ± 1 %"),
    ("conductor temperature", "-4 to 140 °F"),
)
DIVISION_DECLARATIONS: Final = tuple(
    Declaration(fact=fact, value=value, evidence=Evidence(document="Loop standard LS-2"))
    for fact, value in _DECLARED
)
