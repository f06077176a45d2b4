"""Cable types: what a metre of cable stores, and how it is built."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from subspark.errors import InputError
from subspark.model.base import Answer, Record
from subspark.model.functional import Datum
from subspark.quantity import (
    Area,
    CapacitancePerLength,
    Evidence,
    Gauge,
    InductancePerLength,
    InductancePerResistance,
    Length,
    ResistancePerLength,
    Temperature,
    Voltage,
)

__all__ = ["CableType"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CableType(Record):
    """A type of cable.

    ``C`` is the capacitance per length as used; or ``C_core`` (core to core) and ``C_screen``
    (core to screen) from which it follows by the use of the screen. ``R_loop`` or ``R_core``
    is the *lowest* resistance (of two cores in loop, of one core), a data-sheet minimum;
    ``section`` or ``gauge`` ("18 AWG", by ASTM B258) gives nominal copper where no minimum is
    stated. ``R_loop_max`` is the *highest*
    resistance of two cores in loop, ``R_core_max`` that of one core (at 20 degC): they decide
    function and fieldbus segments; where neither is stated the highest of IEC 60228 for
    ``section`` and ``conductor`` counts, or that of ``gauge``. ``L_R`` is the highest L/R
    where the data sheet states it. ``cores`` is how many conductors one circuit may use;
    ``pairs`` how many pairs a multicore has. ``colours`` are those of the cores as codes of
    IEC 60757: of the cores that one circuit uses, or of every core in the order of the pairs;
    they decide nothing and are printed. ``function`` holds what decides no verdict: the
    price of a metre, whether it is still made.
    """

    name: str
    C: CapacitancePerLength = CapacitancePerLength()
    C_core: CapacitancePerLength = CapacitancePerLength()
    C_screen: CapacitancePerLength = CapacitancePerLength()
    L: InductancePerLength = InductancePerLength()
    L_R: InductancePerResistance = InductancePerResistance()
    R_loop: ResistancePerLength = ResistancePerLength()
    R_loop_max: ResistancePerLength = ResistancePerLength()
    R_core: ResistancePerLength = ResistancePerLength()
    R_core_max: ResistancePerLength = ResistancePerLength()
    section: Area = Area()
    gauge: Gauge = Gauge()
    conductor: Literal["solid", "stranded", "flexible", ""] = ""
    tinned: Answer = ""
    cores: int | None = None
    pairs: int | None = None
    colours: tuple[str, ...] = ()
    screen: Literal["none", "overall", "individual", ""] = ""
    coverage: float | None = None
    strand: Length = Length()
    test_voltage: Voltage = Voltage()
    insulation: Length = Length()
    rated_temperature: Temperature = Temperature()
    multicore: Literal["A", "B", "other", ""] = ""
    fixed_and_protected: Answer = ""
    construction: Answer = ""
    function: tuple[Datum, ...] = ()
    evidence: Evidence = Evidence()

    def __post_init__(self) -> None:
        Record.__post_init__(self)
        if not self.colours or self.cores is None:
            return
        few, all_ = self.cores, self.cores * (self.pairs or 1)
        if len(self.colours) not in (few, all_):
            wanted = f"{few}" if few == all_ else f"{few} (of one circuit) or {all_} (of all)"
            raise InputError(
                f"CableType {self.name!r}, colours: {len(self.colours)} given; wanted {wanted}"
            )
