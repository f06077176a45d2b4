"""What the field devices of the demo plant ask of their circuits: figures of their data sheets.

A type without a row has no figure: its circuits are judged for safety alone.
"""

from __future__ import annotations

from typing import Final

__all__ = ["DEVICE_FIGURES"]


def _transmitter(
    *lift_off: str,
    hart: bool = True,
    low: str = "3.2 mA",
    high: str = "20.5 mA",
    most: str = "30 V",
) -> str:
    """Two-wire transmitter; lift-off voltages as printed, "12 V" or "16 V @ 4 mA".

    Those of Larkfen are set to fail low: no current above 20.5 mA.
    """
    volts = "; ".join(f"lift-off voltage: >= {one}" for one in lift_off)
    spoken = "yes" if hart else "no"
    return (
        f"role: two-wire transmitter; {volts}; low alarm current: <= {low}; "
        f"high alarm current: <= {high}; highest operating voltage: <= {most}; HART: {spoken}; "
        "input capacitance: <= 5 nF"
    )


def _proximity(on: str, off: str, *, rate: str = "") -> str:
    text = f"role: proximity switch; switch type: standard; on current: {on}; off current: {off}"
    return f"{text}; highest frequency: <= {rate}" if rate else text


_CONTACT: Final = (
    "role: contact; resistor topology: series with the parallel pair; "
    "series resistor: 1 kohm ± 1 %; parallel resistor: 10 kohm ± 1 %; wetting current: >= 0.1 mA"
)
_PT100: Final = (
    "role: resistance thermometer; element: Pt 3851; resistance at 0 °C: 100 ohm ± 0.06 %"
)
_TYPE_K: Final = "role: thermocouple; thermocouple type: K; series resistance: 3 to 6 ohm"


def _coil(ohms: str, pull_in: str, hold: str, drop_out: str, heating: str) -> str:
    return (
        f"role: solenoid valve; coil resistance: {ohms}; bridge voltage: 1 to 1.6 V; "
        f"self-heating: {heating}; pull-in current: >= {pull_in}; hold current: >= {hold}; "
        f"drop-out current: <= {drop_out}"
    )


def _bus_device(current: str, fault: str = "3 mA") -> str:
    return (
        f"role: fieldbus device; basic current: <= {current}; fault current: <= {fault}; "
        "lowest supply voltage: >= 9 V; highest operating voltage: <= 32 V"
    )


_RADAR: Final = ("16 V @ 3.2 mA", "16 V @ 11 mA", "11 V @ 11.5 mA", "10.5 V @ 24 mA")
_OLD: Final = ("12.5 V",)

DEVICE_FIGURES: Final = {
    "KW-P30": _transmitter("10.5 V"),
    "KW-P31": _transmitter("10.5 V"),
    "KW-P30B": _transmitter("10.5 V"),
    "KW-P24": _transmitter("9 V", most="24 V"),
    "KW-D40": _transmitter("12 V @ 3.2 mA", "10.8 V @ 24 mA"),
    "KW-D42": _transmitter("11 V @ 3.2 mA", "10 V @ 24 mA"),
    "KW-P12": _transmitter(*_OLD, hart=False, most="28 V"),
    "KW-Q15": _transmitter("10 V", hart=False),
    "KW-F70": _transmitter("14 V @ 3.2 mA", "12 V @ 24 mA"),
    "KW-N1": _transmitter("8.5 V", hart=False),
    "DS-H55": _transmitter("9.5 V"),
    "DS-H60": _transmitter("9.5 V"),
    "DS-U9": _transmitter("10 V"),
    "DS-R20": _transmitter("10 V"),
    "HM-T4": _transmitter("9.5 V"),
    "HM-L12": _transmitter(*_RADAR),
    "HM-M6": _transmitter("11 V @ 3.2 mA", "9 V @ 24 mA"),
    "WB-Y3": _transmitter("8 V", hart=False),
    "WB-M3": _transmitter("12 V"),
    "TG-4": _transmitter("11 V"),
    "TG-7": _transmitter("12 V @ 3.2 mA", "11 V @ 24 mA", hart=False),
    "TG-9": _transmitter("11.5 V @ 3.2 mA", "10 V @ 24 mA"),
    "TG-2C": _transmitter("9.5 V", hart=False),
    "TG-20": _transmitter("5 V", hart=False),
    "TG-21": _transmitter("5 V", hart=False),
    "SV-A1": _transmitter("11 V", hart=False),
    "MT-P60": (
        "[setpoint] role: positioner; [setpoint] lift-off voltage: 7.2 to 7.6 V @ 3.2 mA; "
        "[setpoint] lift-off voltage: 7.8 to 8.2 V @ 22 mA; [setpoint] alive current: <= 3.2 mA; "
        "[setpoint] HART: yes; [setpoint] HART resistance: 265 to 300 ohm; "
        "[setpoint] input capacitance: <= 5 nF; "
        "[position] role: two-wire transmitter; [position] lift-off voltage: >= 8 V; "
        "[position] low alarm current: <= 3.2 mA; [position] high alarm current: <= 20.5 mA; "
        "[position] highest operating voltage: <= 30 V; [position] HART: no; "
        "[position] input capacitance: <= 5 nF"
    ),
    "KW-I5": (
        "role: indicator; voltage drop: 1 to 1.6 V @ 3.2 mA; voltage drop: 1.6 to 2.2 V @ 24 mA"
    ),
    "KW-I4": (
        "role: indicator; voltage drop: 0.8 to 1.1 V @ 3.2 mA; voltage drop: 1 to 1.4 V @ 24 mA"
    ),
    "NJ-A2": "role: series element; series resistance: 3.6 to 4.8 ohm",
    "HM-C7": _proximity("2.8 to 4.2 mA", "0.5 to 0.9 mA"),
    "WB-N4": _proximity("3 to 4.5 mA", "0.5 to 0.9 mA"),
    "WB-S8": _proximity("3 to 4 mA", "0.5 to 0.8 mA"),
    "WB-R2": _proximity("3 to 4.5 mA", "0.5 to 0.9 mA", rate="50 Hz"),
    "WB-E1": _proximity("2.6 to 4 mA", "0.5 to 0.9 mA"),
    "MT-V10": _coil("400 to 440 ohm", "23.5 mA", "14 mA", "3 mA", "16 to 20 K"),
    "MT-V11": _coil("360 to 400 ohm", "23.5 mA", "15 mA", "3 mA", "16 to 20 K"),
    "MT-V06": _coil("900 to 980 ohm", "11 mA", "6 mA", "1.5 mA", "9 to 12 K"),
    "NJ-S3": (
        "role: sounder; operating current: <= 25 mA; lowest supply voltage: >= 11 V; "
        "alive current: <= 2 mA"
    ),
    "NJ-B4": (
        "role: beacon; operating current: <= 27 mA; lowest supply voltage: >= 10 V; "
        "alive current: <= 2 mA"
    ),
    "NJ-L2": (
        "role: lamp; forward voltage: 6.6 to 7 V @ 0.05 mA; forward voltage: 7.6 to 8 V @ 2 mA; "
        "forward voltage: 8.7 to 9.2 V @ 25 mA; junctions: 4; series resistance: 300 to 330 ohm; "
        "visible current: >= 15 mA; glow current: <= 0.3 mA"
    ),
    "TG-5": (
        "role: powered transmitter; wires: 4; supply current: <= 70 mA; start current: <= 95 mA; "
        "lowest supply voltage: >= 9 V; highest operating voltage: <= 16 V"
    ),
    "TG-8": (
        "role: powered transmitter; wires: 4; supply current: <= 45 mA; "
        "lowest supply voltage: >= 3.5 V; highest operating voltage: <= 11 V"
    ),
    "SV-P8": (
        "role: vibration probe; wires: 3; supply current: <= 10 mA; "
        "lowest supply voltage: >= 13 V; output resistance: <= 60 ohm; "
        "signal voltage: 2 to 11 V; highest frequency: <= 5000 Hz"
    ),
    "SV-P9": (
        "role: vibration probe; wires: 3; supply current: <= 6 mA; lowest supply voltage: >= 13 V; "
        "output resistance: <= 60 ohm; signal voltage: 2 to 8 V; highest frequency: <= 5000 Hz"
    ),
    "KW-P30F": _bus_device("11 mA"),
    "DS-T8F": _bus_device("12 mA"),
    "MT-P60F": _bus_device("15.5 mA", "6 mA"),
    "HM-L12C": _bus_device("16 mA"),
    "KW-P30W": (
        "role: fieldbus device; power: <= 0.5 W; lowest supply voltage: >= 9.6 V; "
        "highest operating voltage: <= 15 V"
    ),
    "mechanical limit switch": _CONTACT,
    "push button": _CONTACT,
    "reed float switch": _CONTACT,
    "Pt100": _PT100,
    "Pt100 surface sensor": "role: series element; series resistance: 0 ohm",
    "thermocouple, insulated tip": _TYPE_K,
    "thermocouple, earthed tip": _TYPE_K,
    "position potentiometer": "role: potentiometer; track resistance: 4.9 to 5.1 kohm",
    "end-of-line network": "role: series element; series resistance: 0 ohm",
}
"""Figures by the name of the type. A sensor on the terminals of its own transmitter, and a
network across a contact, take no volts of the loop: they stand as no ohms in series."""
