"""Short hands for typing in a certificate: every number with the page where it stands."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from subspark.model import Entry, Limits, Output, Pair, Port, TemperatureRow
from subspark.quantity import (
    Capacitance,
    Current,
    Evidence,
    Inductance,
    InductancePerResistance,
    Power,
    TemperatureRange,
    Voltage,
)

__all__ = ["Column", "Sheet", "Stage"]

Column = tuple[str, str, str, str]
"""A column of limits: group (or "level: group"), Co, Lo, Lo/Ro as printed."""

Shape = Literal["linear", "trapezoidal", "rectangular", ""]
_LEVELS: dict[str, Literal["ia", "ib", "ic", "ia, ib", ""]] = {
    "": "",
    "ia": "ia",
    "ib": "ib",
    "ic": "ic",
    "ia, ib": "ia, ib",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """An output as its certificate prints it: ``values`` is "Uo, Io, Po"."""

    values: str
    columns: tuple[Column, ...] = ()
    pairs: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = ()
    name: str = "1"
    shape: Shape = "linear"
    polarity: Literal["+", "-", "a.c.", ""] = ""
    no_current: str = ""
    together: Literal["yes", ""] = ""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A document open before the reader; what is typed in carries its page."""

    document: str

    def at(self, page: int, note: str = "") -> Evidence:
        """Return the evidence for what stands on a page."""
        return Evidence(document=self.document, page=str(page), note=note)

    def output(self, stage: Stage, page: int = 3) -> Output:
        """Return the output of a stage; its columns stand on the next page."""
        here = self.at(page)
        Uo, Io, Po = (part.strip() for part in stage.values.split(","))
        limits = [self._column(column, stage, page + 1) for column in stage.columns]
        limits += [self._pairs(group, pairs, page + 1) for group, pairs in stage.pairs]
        return Output(
            name=stage.name,
            shape=stage.shape,
            Uo=Voltage(Uo, here),
            Io=Current(Io, here),
            Po=Power(Po, here),
            Ci=Capacitance("negligible", here),
            Li=Inductance("negligible", here),
            no_current=stage.no_current,
            polarity=stage.polarity,
            limits=tuple(limits),
        )

    def _column(self, column: Column, stage: Stage, page: int) -> Limits:
        key, Co, Lo, Lo_Ro = column
        level, _, group = key.rpartition(":")
        words = "Co and Lo may be used together" if stage.together else ""
        here = self.at(page, words)
        return Limits(
            level=_LEVELS[level],
            group=group.strip(),
            Co=Capacitance(Co, here),
            Lo=Inductance(Lo, here),
            Lo_Ro=InductancePerResistance(Lo_Ro, here if Lo_Ro else Evidence()),
            together=stage.together,
        )

    def _pairs(self, group: str, pairs: tuple[tuple[str, str], ...], page: int) -> Limits:
        here = self.at(page, "values that may be used together")
        return Limits(
            group=group,
            pairs=tuple(
                Pair(Co=Capacitance(Co, here), Lo=Inductance(Lo, here)) for Co, Lo in pairs
            ),
        )

    def ports(self, text: str) -> tuple[Port, ...]:
        """Return the ports of "supply 253 V, signal 253 V"."""
        here = self.at(2)
        named = [part.strip().partition(" ") for part in text.split(",")]
        return tuple(Port(name=name, Um=Voltage(Um, here)) for name, _, Um in named)

    def entry(self, mark: str, values: str, rows: str = "", connection: str = "") -> Entry:
        """Return the parameters of one connection under one mark.

        ``values`` is "Ui, Ii, Pi, Ci, Li", a blank between two commas where the document is
        silent; ``rows`` is "T6 -40 to 40 °C 300 mW; T4 -40 to 70 °C".
        """
        here = self.at(4)
        Ui, Ii, Pi, Ci, Li = (part.strip() for part in values.split(","))
        words = self.at(4, "states Ui and Ii only") if Pi == "not limiting" else here
        return Entry(
            connection=connection,
            mark=mark,
            Ui=Voltage(Ui, here),
            Ii=Current(Ii, here),
            Pi=Power(Pi, words if Pi else Evidence()),
            Ci=Capacitance(Ci, here),
            Li=Inductance(Li, here),
            rows=tuple(self._row(row.strip()) for row in rows.split(";") if row.strip()),
        )

    def _row(self, row: str) -> TemperatureRow:
        here = self.at(5)
        temperature, _, rest = row.partition(" ")
        ambient, degrees, power = rest.partition("°C")
        return TemperatureRow(
            temperature=temperature.replace("_", " "),
            ambient=TemperatureRange((ambient + degrees).strip(), here),
            Pi=Power(power.strip(), here if power.strip() else Evidence()),
        )
