"""What circuits of the demo plant state of themselves for function: wires, budgets, instruments.

What holds for many is declared once: see ``FUNCTION_DECLARATIONS``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from typing import Final

from subspark.demo.function_data import figures
from subspark.model import Circuit, Datum, Declaration, Fact
from subspark.quantity import Evidence

__all__ = ["FUNCTION_DECLARATIONS", "with_figures"]

_BASIS: Final = "Loop design basis LB-1"
_PLANT_WIDE: Final[tuple[tuple[Fact, str, str], ...]] = (
    ("supply voltage", "24 V ± 1 %", "section 2, regulated supplies of the cabinets"),
    ("load resistance", "250 ohm ± 1 %", "section 3, input cards"),
    ("load place", "supply leg", "section 3, input cards"),
    ("input limit voltage", "<= 30 V", "section 3, input cards"),
    ("conductor temperature", "-20 to 60 °C", "section 4, trays in the sun"),
)
_SCOPED: Final[tuple[tuple[Fact, str, str, tuple[str, ...]], ...]] = (
    ("HART", "yes", "cabinet", ("MC-1", "MC-2", "MC-4", "FC-1", "FC-2")),
    ("HART", "no", "cabinet", ("MC-3", "MC-5")),
    ("load resistance", "100 ohm ± 1 %", "cabinet", ("MC-3", "MC-5")),
    ("conductor temperature", "5 to 65 °C", "area", ("COMP-1",)),
)


def _declarations() -> tuple[Declaration, ...]:
    whole = [
        Declaration(fact=fact, value=value, evidence=Evidence(document=_BASIS, note=note))
        for fact, value, note in _PLANT_WIDE
    ]
    part = [
        Declaration(
            fact=fact,
            value=value,
            scope="area" if scope == "area" else "cabinet",
            of=name,
            evidence=Evidence(document=_BASIS, note=f"schedule of {name}"),
        )
        for fact, value, scope, names in _SCOPED
        for name in names
    ]
    return (*whole, *part)


FUNCTION_DECLARATIONS: Final = _declarations()

_BUDGET: Final = "error budget share: <= 0.3 %"
_BACK: Final = f"load place: return leg; {_BUDGET}"
_DIODE: Final = (
    f"{_BACK}; return resistance: 20 to 25 ohm; return voltage drop: 0.6 to 0.9 V; "
    "return working voltage: >= 24.9 V; return leakage current: <= 1 µA"
)
_TWO_WIRES: Final = "wires: 2; measured temperature: -20 to 120 °C"
_THREE_WIRES: Final = (
    "wires: 3; measured temperature: -50 to 150 °C; error budget: <= 0.6 K; lead mismatch: <= 1 %"
)
_FOUR_WIRES: Final = (
    "wires: 4; measured temperature: -50 to 200 °C; error budget: <= 0.4 K; lead mismatch: <= 1 %"
)
_BEHIND_BARRIER: Final = (
    "excitation current: 195 to 205 µA; bias current: <= 0.05 µA; "
    "highest lead resistance: <= 150 ohm; open-circuit voltage: >= 3 V"
)
_COUPLE: Final = "measured temperature: 0 to 500 °C"
_COUPLE_BARRIER: Final = (
    f"{_COUPLE}; error budget: <= 3.5 K; bias current: <= 0.1 µA; "
    "highest loop resistance: <= 1.5 kohm; joint difference: <= 1 K"
)
_PROBE_BARRIER: Final = (
    "supply voltage: 18 V ± 1 %; signal resistance: 195 to 205 ohm; common resistance: 0 ohm; "
    "input resistance: >= 1 Mohm; error budget share: <= 0.2 %"
)
_POLLED: Final = "low alarm current: 4 mA; high alarm current: 4 mA"

_BY_SOURCE: Final = {
    "AB-28": _BUDGET,
    "AB-28R": _BACK,
    "AB-24C": f"{_BUDGET}; supply voltage: 22 V ± 1 %",
    "AB-12": f"{_BUDGET}; supply voltage: 10.4 V ± 1 %",
    "AB-26S": _DIODE,
    "AB-20N": _PROBE_BARRIER,
}
"""By the first source of the circuit; what is said of source and apparatus comes before it."""

_BY_BOTH: Final = {
    ("RW-1110", "Pt100", "3"): _THREE_WIRES,
    ("RW-1110", "Pt100", "4"): _FOUR_WIRES,
    ("RW-1110", "Pt100", "2"): (
        f"{_TWO_WIRES}; error budget: <= 7 K; conductor temperature: 0 to 40 °C; "
        "compensated resistance: 13.9 ohm ± 0.2 ohm"
    ),
    ("AB-09", "Pt100", "2"): (
        f"{_TWO_WIRES}; error budget: <= 8 K; compensated resistance: 217.9 ohm ± 0.2 ohm; "
        f"{_BEHIND_BARRIER}"
    ),
    ("DS-H60 sensor", "Pt100", "4"): _FOUR_WIRES,
    ("HM-T4 sensor", "Pt100", "4"): _FOUR_WIRES,
    ("DS-U9 sensor", "Pt100", "4"): _FOUR_WIRES,
    ("RW-1110", "thermocouple, insulated tip", "2"): f"{_COUPLE}; error budget: <= 1.5 K",
    ("RW-1110", "thermocouple, earthed tip", "2"): f"{_COUPLE}; error budget: <= 1.5 K",
    ("AB-09", "thermocouple, insulated tip", "2"): _COUPLE_BARRIER,
    ("AB-09", "thermocouple, earthed tip", "2"): _COUPLE_BARRIER,
    ("RW-1110", "position potentiometer", "3"): "wires: 3; error budget share: <= 0.3 %",
    ("RW-1160", "SV-P8", "3"): "error budget share: <= 0.1 %",
    ("AB-28", "NJ-S3", "2"): "off-state voltage: 0 V",
    ("RW-2012", "KW-P30", "2"): _POLLED,
}
"""By first source, first apparatus, and cores of the cable at the field end."""

_BY_TAG: Final = {
    "TE-1161": f"{_COUPLE}; error budget: <= 3 K; joint difference: <= 1.5 K",
}


@cache
def _read(text: str) -> tuple[Datum, ...]:
    return figures(text, "Loop schedule LS-1", "1")


def with_figures(circuit: Circuit, cores: Mapping[str, int | None], more: str = "") -> Circuit:
    """Return the circuit with what it states of itself.

    Parameters
    ----------
    cores : mapping
        How many cores of each cable a circuit may use.
    more : str
        Figures that come in place of those of a table.
    """
    source = circuit.sources[0].source if circuit.sources else ""
    item = circuit.members[0].apparatus if circuit.members else ""
    last = str(cores.get(circuit.runs[-1].cable)) if circuit.runs else ""
    usual = _BY_BOTH.get((source, item, last), _BY_SOURCE.get(source, ""))
    text = more or _BY_TAG.get(circuit.tag, usual)
    return replace(circuit, function=_read(text)) if text else circuit
