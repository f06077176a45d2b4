"""Text with units to SI numbers and back: the only place where a unit is read or written.

A certificate prints ``83 nF``; the engine computes with 8.3e-08. Between the two stands
:func:`read`, which refuses what it cannot read without guessing, and :class:`Value`, which
keeps the text as printed, its SI number and where it was read. Numbers are the nearest
double of the exact decimal (600 nF/km gives exactly the double 6e-10), so that a sum that
meets its limit in decimals meets it in binary to a few units in the last place.

Four things are different and stay so:

``"0"`` or ``"0 nF"``
    a number, zero;
``"negligible"``
    zero in the words of a document, kept as such;
``"not limiting"``
    a document declares that this limit does not limit (fields that allow it: Ii, Pi);
``""`` or ``"unknown"``
    nothing is known: NaN, and a verdict that needs it is *unproven*.

Temperatures are in degC (not kelvin) throughout, since every limit of the trade is.
"""

from subspark.quantity.moving import anchor, exact_text, moved
from subspark.quantity.reading import (
    AREA,
    C_PER_LENGTH,
    CAPACITANCE,
    COUNT,
    CURRENT,
    DIFFERENCE,
    FREQUENCY,
    GAUGE,
    INDUCTANCE,
    L_PER_LENGTH,
    L_PER_R,
    LENGTH,
    MONEY,
    POWER,
    R_PER_LENGTH,
    RATIO,
    RESISTANCE,
    SURGE_CURRENT,
    TEMPERATURE,
    THERMAL,
    TIME,
    VOLTAGE,
    Kind,
    State,
    read,
    show,
)
from subspark.quantity.spread import UNKNOWN_SPREAD, Spread, read_spread
from subspark.quantity.values import (
    NO_EVIDENCE,
    Area,
    Capacitance,
    CapacitancePerLength,
    Current,
    Evidence,
    Gauge,
    Inductance,
    InductancePerLength,
    InductancePerResistance,
    Length,
    Power,
    Resistance,
    ResistancePerLength,
    SurgeCurrent,
    Temperature,
    TemperatureRange,
    ThermalResistance,
    Value,
    Voltage,
)

__all__ = [
    "AREA",
    "CAPACITANCE",
    "COUNT",
    "CURRENT",
    "C_PER_LENGTH",
    "DIFFERENCE",
    "FREQUENCY",
    "GAUGE",
    "INDUCTANCE",
    "LENGTH",
    "L_PER_LENGTH",
    "L_PER_R",
    "MONEY",
    "NO_EVIDENCE",
    "POWER",
    "RATIO",
    "RESISTANCE",
    "R_PER_LENGTH",
    "SURGE_CURRENT",
    "TEMPERATURE",
    "THERMAL",
    "TIME",
    "UNKNOWN_SPREAD",
    "VOLTAGE",
    "Area",
    "Capacitance",
    "CapacitancePerLength",
    "Current",
    "Evidence",
    "Gauge",
    "Inductance",
    "InductancePerLength",
    "InductancePerResistance",
    "Kind",
    "Length",
    "Power",
    "Resistance",
    "ResistancePerLength",
    "Spread",
    "State",
    "SurgeCurrent",
    "Temperature",
    "TemperatureRange",
    "ThermalResistance",
    "Value",
    "Voltage",
    "anchor",
    "exact_text",
    "moved",
    "read",
    "read_spread",
    "show",
]
