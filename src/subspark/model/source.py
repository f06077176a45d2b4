"""Sources: associated apparatus that feeds circuits from the safe side."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from subspark.model.apparatus import Mark
from subspark.model.base import Answer, Method, Record
from subspark.model.functional import Datum
from subspark.quantity import (
    Capacitance,
    Current,
    Evidence,
    Inductance,
    InductancePerResistance,
    Power,
    Temperature,
    TemperatureRange,
    Voltage,
)

__all__ = ["Limits", "Output", "Pair", "Port", "SourceType"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair(Record):
    """A capacitance and an inductance that may be connected at the same time."""

    Co: Capacitance = Capacitance()
    Lo: Inductance = Inductance()


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits(Record):
    """One column of a certificate: what may be connected, for a level and a group.

    ``level`` blank means the output's own level. ``group`` is one gas or dust group, or the
    letters of a North American column ("A, B"). ``together`` "yes" records the words of a
    document that Co and Lo may be used at the same time.
    """

    level: Literal["ia", "ib", "ic", "ia, ib", ""] = ""
    group: str = ""
    Co: Capacitance = Capacitance()
    Lo: Inductance = Inductance()
    Lo_Ro: InductancePerResistance = InductancePerResistance()
    pairs: tuple[Pair, ...] = ()
    together: Answer = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Output(Record):
    """One output of a source, or a printed row for several outputs used together ("1+2").

    ``shape`` is what the document says of the characteristic; blank is not known and counts
    as non-linear. ``no_current`` keeps the words by which a document declares Io = 0 (a
    diode return). For a.c., ``peak`` says whether Uo is the peak. ``method`` is the proof that
    this set of values serves; terminals with a set for each are entered as one output a method.
    ``terminator`` answers whether a fieldbus terminator is built in.
    """

    name: str = "1"
    method: Method = "entity"
    shape: Literal["linear", "trapezoidal", "rectangular", ""] = ""
    Uo: Voltage = Voltage()
    Io: Current = Current()
    Po: Power = Power()
    Ci: Capacitance = Capacitance()
    Li: Inductance = Inductance()
    no_current: str = ""
    polarity: Literal["+", "-", "a.c.", ""] = ""
    peak: Literal["peak", "r.m.s.", ""] = ""
    terminator: Answer = ""
    limits: tuple[Limits, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Port(Record):
    """Terminals on the safe side, with the voltage that they withstand."""

    name: str = "supply"
    Um: Voltage = Voltage()


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceType(Record):
    """A type of source as its certificate describes it.

    ``serves`` and ``body`` give the facts of the marking where they are not to be read from
    ``mark``: the alternatives of the circuits that it may feed (what stands in brackets),
    and of its own body (empty: safe area only). ``control_drawing`` is the number of the drawing
    by which it is installed, asked where the code goes by such; ``lumped_rule_words`` are the
    words of that drawing by which Co and Lo (Ca and La) may be used in full together.

    A certificate for a whole combination is entered as a source too: ``covers`` names the
    source types that it stands for, and no others.

    Terminals of field apparatus that deliver energy (the sensor side of a transmitter, a
    battery tester) are entered as a source too: ``terminals_of`` names the apparatus, and
    ``separated`` answers whether they are galvanically separated from its other terminals.
    Where they are not, both sides are one circuit and no proof of the one alone.

    ``function`` holds figures that are not of the certificate: whether a circuit works.
    """

    name: str
    maker: str = ""
    model: str = ""
    certificate: str = ""
    control_drawing: str = ""
    lumped_rule_words: str = ""
    mark: str = ""
    serves: tuple[Mark, ...] = ()
    body: tuple[Mark, ...] = ()
    isolation: Literal["galvanic", "earthed barrier", ""] = ""
    outputs: tuple[Output, ...] = ()
    ports: tuple[Port, ...] = ()
    ambient: TemperatureRange = TemperatureRange()
    surface: Temperature = Temperature()
    covers: tuple[str, ...] = ()
    terminals_of: str = ""
    separated: Answer = ""
    cross_check: Answer = ""
    function: tuple[Datum, ...] = ()
    evidence: Evidence = Evidence()
