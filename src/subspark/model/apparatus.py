"""Field apparatus: what stands in the hazardous area, certified or simple."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from subspark.model.base import Answer, Method, Record
from subspark.model.functional import Datum
from subspark.model.place import Epl
from subspark.quantity import (
    Area,
    Capacitance,
    Current,
    Evidence,
    Inductance,
    Power,
    Resistance,
    SurgeCurrent,
    Temperature,
    TemperatureRange,
    ThermalResistance,
    Voltage,
)

__all__ = ["ApparatusType", "Entry", "Mark", "SimpleType", "TemperatureRow"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark(Record):
    """The facts of one alternative of a marking; alternatives are never mixed.

    ``group`` is one group ("IIC", "IIIB", "IIB+H2", "I") or North American letters
    ("A, B, C, D"). ``temperature`` is a class, a range of classes or degrees. ``system`` is that
    of the marking: IEC (ATEX too), AEx (zones of the NEC), Division; blank goes by the group.
    """

    system: Literal["IEC", "AEx", "Division", ""] = ""
    level: Literal["ia", "ib", "ic", ""] = ""
    group: str = ""
    epl: Epl = ""
    temperature: str = ""
    ambient: TemperatureRange = TemperatureRange()
    dust_category: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class TemperatureRow(Record):
    """A row of a certificate's temperature table: valid up to ``Pi``, within ``ambient``."""

    temperature: str
    ambient: TemperatureRange = TemperatureRange()
    Pi: Power = Power()


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry(Record):
    """One set of parameters: of one connection, under one alternative of the marking.

    Entries of the same ``connection`` are alternatives. A ``mark`` with several alternatives
    stands for one entry each, with the same parameters. ``method`` other than "entity" keeps
    a set (FISCO, 2-WISE) out of the entity proof. ``Uo, Io, Po`` are what these terminals
    themselves can deliver.
    """

    connection: str = ""
    method: Method = "entity"
    mark: str = ""
    marks: tuple[Mark, ...] = ()
    Ui: Voltage = Voltage()
    Ii: Current = Current()
    Pi: Power = Power()
    Ci: Capacitance = Capacitance()
    Li: Inductance = Inductance()
    Uo: Voltage = Voltage()
    Io: Current = Current()
    Po: Power = Power()
    rows: tuple[TemperatureRow, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ApparatusType(Record):
    """A type of certified field apparatus.

    ``isolation`` answers whether its Ex i terminals withstand 500 V to earth. ``surge`` marks a
    surge device, ``discharge`` its discharge current (8/20 µs). ``powered``
    says that it has a battery or auxiliary supply; ``energy`` then says how its document
    settles what it may feed back into the circuit. A fieldbus terminator has that ``role``, with
    its ``R`` and ``C`` in series. ``control_drawing`` is the number of the drawing by which it is
    installed, asked where the code goes by control drawings.
    """

    name: str
    maker: str = ""
    model: str = ""
    certificate: str = ""
    control_drawing: str = ""
    entries: tuple[Entry, ...] = ()
    role: Literal["terminator", ""] = ""
    R: Resistance = Resistance()
    C: Capacitance = Capacitance()
    isolation: Answer = ""
    surge: bool = False
    discharge: SurgeCurrent = SurgeCurrent()
    powered: Answer = ""
    energy: Literal["passive by its document", "within 1.5 V, 100 mA, 25 mW", "source", ""] = ""
    function: tuple[Datum, ...] = ()
    evidence: Evidence = Evidence()


@dataclass(frozen=True, slots=True, kw_only=True)
class SimpleType(Record):
    """A type of simple apparatus, with the assessment that replaces a certificate.

    ``item`` "switch or terminal" takes T6 up to 40 degC; others need ``Rth`` in still gas
    or a stated ``surface``. These serve in gas only: for dust and mines ``hottest_surface`` is
    the highest surface temperature that the assessment shows, dust on it included. ``U, I, P``
    are what a generating item can deliver. ``role``, ``R`` and ``C`` are those of a fieldbus
    terminator.
    """

    name: str
    sort: Literal["passive", "storing", "generating", ""] = ""
    item: Literal["switch or terminal", "other"] = "other"
    role: Literal["terminator", ""] = ""
    R: Resistance = Resistance()
    C: Capacitance = Capacitance()
    Ci: Capacitance = Capacitance()
    Li: Inductance = Inductance()
    U: Voltage = Voltage()
    I: Current = Current()  # noqa: E741 - the symbol of current
    P: Power = Power()
    Rth: ThermalResistance = ThermalResistance()
    surface: Area = Area()
    hottest_surface: Temperature = Temperature()
    ambient: TemperatureRange = TemperatureRange()
    isolation: Answer = ""
    surge: bool = False
    discharge: SurgeCurrent = SurgeCurrent()
    powered: Answer = ""
    energy: Literal["passive by its document", "within 1.5 V, 100 mA, 25 mW", "source", ""] = ""
    assessed: Answer = ""
    function: tuple[Datum, ...] = ()
    evidence: Evidence = Evidence()
