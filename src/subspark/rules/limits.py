"""Voltage, current and power: what the source can drive against what apparatus accept."""

from __future__ import annotations

from subspark.rules.bound import Bound
from subspark.rules.columns import Columns
from subspark.rules.registry import rule

__all__ = ["current", "power", "voltage"]


@rule(
    "voltage",
    says="The source cannot drive more voltage than any apparatus accepts.",
    relation="Uo <= Ui",
    sort="quantity",
    unit="V",
    needs=("U", "Ui"),
    remedy="a source of lower Uo, or apparatus of higher Ui",
)
def voltage(c: Columns) -> Bound:
    """Uo <= Ui for every apparatus [V]."""
    return Bound(c.U, c.Ui, over="apparatus")


@rule(
    "current",
    says="The source cannot drive more current than any apparatus accepts.",
    relation="Io <= Ii",
    sort="quantity",
    unit="A",
    needs=("I", "Ii"),
    remedy="a source of lower Io, or apparatus of higher Ii",
)
def current(c: Columns) -> Bound:
    """Io <= Ii for every apparatus [A]."""
    return Bound(c.I, c.Ii, over="apparatus")


@rule(
    "power",
    says="The source cannot deliver more power than any apparatus accepts.",
    relation="Po <= Pi",
    sort="quantity",
    unit="W",
    needs=("P", "Pi"),
    remedy="a source of lower Po, or apparatus of higher Pi",
)
def power(c: Columns) -> Bound:
    """Po <= Pi for every apparatus [W]."""
    return Bound(c.P, c.Pi, over="apparatus")
