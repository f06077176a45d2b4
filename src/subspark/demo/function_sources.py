"""What the sources of the demo plant do when they work: figures of their data sheets.

Nothing of it is of a certificate. Makers' nearly equal types differ by little, as they do.
"""

from __future__ import annotations

from typing import Final

__all__ = ["SOURCE_FIGURES"]


def _feeding(open_end: str, at_20: str, at_24: str, *, hart: bool = True, limit: str = "") -> str:
    """Supply of two-wire transmitters by its guaranteed volts at 0, 20 and 24 mA."""
    spoken = "HART: yes; HART resistance: 265 to 285 ohm" if hart else "HART: no"
    return (
        f"role: repeater supply; terminal voltage: {open_end} @ 0 mA; "
        f"terminal voltage: {at_20} @ 20 mA; terminal voltage: {at_24} @ 24 mA; "
        f"current limit: {limit or '26 to 32 mA'}; load compliance: >= 14 V; accuracy: <= 0.1 %; "
        f"{spoken}"
    )


def _barrier(
    ohms: str, least: str, working: str, highest: str, fuse: str = "100 mA", leak: str = "1 µA"
) -> str:
    """Shunt-diode barrier, one channel."""
    return (
        f"role: shunt-diode barrier; end-to-end resistance: {ohms}; "
        f"least resistance: >= {least}; working voltage: >= {working}; leakage current: <= {leak}; "
        f"fuse current: >= {fuse}; highest supply: <= {highest}"
    )


def _return(supply: str) -> str:
    """Barrier with a supply channel (1), a diode return (2), and both for a transmitter."""
    back = (
        "return resistance: 20 to 25 ohm; return voltage drop: 0.6 to 0.9 V; "
        "return working voltage: >= 26 V; return leakage current: <= 1 µA"
    )
    parts = [f"[1] {one.strip()}" for one in supply.split(";")]
    parts += [f"[1+2] {one.strip()}" for one in f"{supply}; {back}".split(";")]
    return "; ".join(parts)


def _switch(volts: str, ohms: str, rate: str = "5000 Hz") -> str:
    """Switch amplifier."""
    return (
        f"role: switch amplifier; open-circuit voltage: {volts}; internal resistance: {ohms}; "
        "on threshold: >= 2.1 mA; off threshold: <= 1.2 mA; break threshold: 0.05 to 0.35 mA; "
        f"short threshold: 100 to 360 ohm; line-fault detection: yes; highest frequency: >= {rate}"
    )


def _driver(volts: str, ohms: str, limit: str, monitoring: str = "0 mA") -> str:
    """Driver of valves, lamps and sounders."""
    return (
        f"role: output driver; open-circuit voltage: {volts}; internal resistance: {ohms}; "
        f"current limit: >= {limit}; off-state voltage: 0 V; monitoring current: <= {monitoring}"
    )


def _output(compliance: str) -> str:
    """Driver of positioners, from 3.8 to 20.5 mA."""
    return (
        f"role: current output; load compliance: >= {compliance}; "
        "low alarm current: 3.8 mA; high alarm current: 20.5 mA; "
        "accuracy: <= 0.1 %; HART: yes; HART resistance: 265 to 285 ohm"
    )


def _sensors(excitation: str, leg: str, bias: str) -> str:
    """Input for resistance thermometers, potentiometers and thermocouples."""
    return (
        f"role: temperature input; excitation current: {excitation}; current mismatch: <= 0.1 %; "
        f"bias current: <= {bias}; highest lead resistance: <= {leg}; "
        "open-circuit voltage: >= 3 V; highest loop resistance: <= 1 kohm; "
        "lowest load: >= 500 ohm; highest load: <= 12 kohm"
    )


def _probes(volts: str, at_10: str) -> str:
    """Supply of vibration probes; magnitudes."""
    return (
        f"role: probe supply; terminal voltage: {volts} @ 0 mA; "
        f"terminal voltage: {at_10} @ 12 mA; current limit: >= 14 mA; input resistance: >= 1 Mohm"
    )


def _bus(volts: str, limit: str) -> str:
    return (
        f"role: fieldbus supply; open-circuit voltage: {volts}; internal resistance: 0 to 0.5 ohm; "
        f"current limit: >= {limit}"
    )


_U26: Final = ("22 to 23.5 V", "17.2 to 18.6 V", "16.2 to 17.6 V")
_U25: Final = ("21.5 to 23 V", "16.6 to 17.8 V", "15.7 to 17 V")
_BARRIER_28: Final = _barrier("327 to 340 ohm", "301 ohm", "26 V", "28 V")

SOURCE_FIGURES: Final = {
    "RW-1126": _feeding(*_U26),
    "RW-1126 issue A": _feeding(*_U26),
    "RW-1125": _feeding(*_U25),
    "RW-1170": _feeding(*_U25),
    "RW-1128": _driver("22 to 24 V", "230 to 245 ohm", "45 mA"),
    "RW-1136": _output("16 V"),
    "RW-1107": _switch("8 to 8.4 V", "950 to 1050 ohm"),
    "RW-1110": _sensors("195 to 205 µA", "50 ohm", "0.05 µA"),
    "RW-1150": _driver("22 to 24 V", "300 to 315 ohm", "45 mA", "0.5 mA"),
    "RW-1160": _probes("22.5 to 24 V", "19 to 20.5 V"),
    "AB-28": _BARRIER_28,
    "AB-28R": _return(_BARRIER_28),
    "AB-09": (
        "role: shunt-diode barrier; channel resistance: 104.5 to 105.5 ohm; "
        "channel mismatch: <= 0.2 ohm; end-to-end resistance: 104.5 to 105.5 ohm; "
        "working voltage: >= 6 V; leakage current: <= 0.1 µA; least resistance: >= 100 ohm; "
        "fuse current: >= 100 mA; highest supply: <= 7 V"
    ),
    "AB-24C": _barrier("315 to 330 ohm", "300 ohm", "22.6 V", "23.5 V"),
    "LM-24C": _feeding("21 to 22.5 V", "15.2 to 16.6 V", "14.3 to 15.7 V"),
    "LM-22P": _feeding("19.5 to 21 V", "13.8 to 15 V", "12.9 to 14.2 V"),
    "LM-17T": _driver("16.8 to 17.2 V", "95 to 105 ohm", "60 mA"),
    "LM-18Q": _driver("17 to 17.6 V", "95 to 105 ohm", "60 mA"),
    "LM-15R": (
        "role: repeater supply; open-circuit voltage: 13.8 to 14.6 V; "
        "internal resistance: 4 to 6 ohm; current limit: >= 130 mA; "
        "load compliance: >= 10 V; accuracy: <= 0.1 %; HART: no"
    ),
    "LM-10H": (
        "role: repeater supply; open-circuit voltage: 8.6 to 9.3 V; "
        "internal resistance: 40 to 48 ohm; current limit: >= 100 mA; load compliance: >= 10 V; "
        "accuracy: <= 0.2 %; HART: no"
    ),
    "RW-2012": (
        "role: repeater supply; open-circuit voltage: 12.1 to 12.5 V; "
        "internal resistance: 300 to 315 ohm; current limit: >= 30 mA; load compliance: >= 10 V; "
        "accuracy: <= 0.1 %; HART: yes; HART resistance: 265 to 285 ohm"
    ),
    "AB-12": _barrier("355 to 370 ohm", "343 ohm", "10.8 V", "12 V"),
    "AB-26S": _barrier("305 to 320 ohm", "289 ohm", "24.9 V", "26 V"),
    "AB-20N": _barrier("415 to 430 ohm", "400 ohm", "18.5 V", "19.5 V"),
    "AB-24": _barrier("415 to 430 ohm", "400 ohm", "22.5 V", "23.5 V"),
    "AB-22A": _barrier("160 to 170 ohm", "150 ohm", "19 V", "21 V"),
    "DS-H60 sensor": _sensors("190 to 210 µA", "20 ohm", "0.05 µA"),
    "HM-T4 sensor": _sensors("190 to 210 µA", "20 ohm", "0.05 µA"),
    "DS-U9 sensor": _sensors("190 to 210 µA", "20 ohm", "0.05 µA"),
    "LM-60F": _bus("12.8 to 13.4 V", "110 mA"),
    "LM-61F": _bus("13.2 to 13.8 V", "265 mA"),
    "LM-62F": _bus("13.2 to 14 V", "320 mA"),
    "LM-70W": _bus("12.4 to 14 V", "95 mA"),
    # what no circuit of the plant uses
    "RW-1226": _feeding(*_U26),
    "RW-0926": _feeding("21 to 23.5 V", "15.5 to 17.5 V", "14.3 to 16.5 V", hart=False),
    "TW-310": _feeding(*_U25),
    "TW-311": _feeding("21.5 to 23 V", "16.2 to 17.6 V", "15.3 to 16.8 V"),
    "TW-312": _feeding(*_U25),
    "BF-5041": _feeding("22 to 23.4 V", "17 to 18.2 V", "16.1 to 17.4 V"),
    "BF-5042": _feeding("22 to 23.4 V", "17 to 18.2 V", "16.1 to 17.4 V"),
    "BF-5049": _feeding("22 to 23.4 V", "16.8 to 18 V", "15.9 to 17.2 V"),
    "MP-21": _feeding("22.5 to 24 V", "17.4 to 18.8 V", "16.4 to 17.9 V"),
    "MP-22": _feeding("22.5 to 24 V", "17 to 18.5 V", "16 to 17.6 V"),
    "LM-23E": _feeding("19.5 to 21 V", "15 to 16.2 V", "14.1 to 15.4 V", hart=False),
    "LM-26Z": _feeding("22 to 23.5 V", "16.9 to 18.4 V", "15.9 to 17.5 V"),
    "CB-728": _barrier("330 to 342 ohm", "301 ohm", "25.8 V", "27.6 V"),
    "CB-728H": _barrier("250 to 262 ohm", "242 ohm", "25.6 V", "27.4 V", "160 mA"),
    "CB-788": _return(_barrier("330 to 342 ohm", "301 ohm", "25.8 V", "27.6 V")),
    "CB-722": _barrier("162 to 172 ohm", "150 ohm", "20.2 V", "21.5 V", "250 mA"),
    "CB-709": (
        "role: shunt-diode barrier; channel resistance: 106 to 108 ohm; "
        "channel mismatch: <= 0.3 ohm; end-to-end resistance: 106 to 108 ohm; "
        "working voltage: >= 6.4 V; leakage current: <= 0.1 µA; least resistance: >= 100 ohm; "
        "fuse current: >= 100 mA; highest supply: <= 7 V"
    ),
    "AB-28H": _barrier("252 to 264 ohm", "242 ohm", "25.5 V", "27.5 V", "160 mA"),
    "AB-22": _barrier("160 to 170 ohm", "150 ohm", "20 V", "21.4 V", "250 mA"),
    "TW-B28": _barrier("326 to 338 ohm", "301 ohm", "26.2 V", "28 V", leak="2 µA"),
    "TW-B28R": _return(_barrier("326 to 338 ohm", "301 ohm", "26.2 V", "28 V", leak="2 µA")),
    "MP-Z28": _barrier("328 to 345 ohm", "301 ohm", "25.5 V", "27.5 V", "50 mA", "10 µA"),
    "RW-1207": _switch("8.1 to 8.3 V", "970 to 1030 ohm"),
    "RW-0907": _switch("7.8 to 8.6 V", "900 to 1100 ohm", "500 Hz"),
    "TW-401": _switch("8 to 8.4 V", "950 to 1050 ohm"),
    "TW-402": _switch("8 to 8.4 V", "950 to 1050 ohm"),
    "BF-5011": _switch("8 to 8.5 V", "960 to 1060 ohm", "10000 Hz"),
    "BF-5012": _switch("8 to 8.5 V", "960 to 1060 ohm", "10000 Hz"),
    "MP-31": _switch("7.9 to 8.5 V", "930 to 1070 ohm", "1000 Hz"),
    "RW-1228": _driver("22 to 24 V", "230 to 245 ohm", "45 mA", "1 mA"),
    "TW-501": _driver("21.2 to 22.8 V", "228 to 240 ohm", "45 mA"),
    "BF-5025": _driver("21 to 22.6 V", "228 to 240 ohm", "40 mA"),
    "MP-41": _driver("22 to 24 V", "232 to 250 ohm", "45 mA", "0.3 mA"),
    "TW-321": _output("16.2 V"),
    "BF-5045": _output("16.6 V"),
    "MP-25": _output("15.6 V"),
    "TW-610": _sensors("195 to 205 µA", "50 ohm", "0.05 µA"),
    "BF-5074": _sensors("198 to 202 µA", "100 ohm", "0.02 µA"),
    "MP-51": _sensors("180 to 220 µA", "30 ohm", "0.2 µA"),
    "TW-511": _driver("22 to 24 V", "300 to 315 ohm", "45 mA"),
    "MP-45": _driver("21.6 to 24 V", "302 to 320 ohm", "45 mA", "0.8 mA"),
    "BF-5031": _probes("22.4 to 23.8 V", "18.8 to 20.2 V"),
    "TW-331": _probes("22.3 to 23.6 V", "18.7 to 20 V"),
    "TW-90F": _bus("12.8 to 13.4 V", "110 mA"),
    "BF-93F": _bus("13.2 to 13.9 V", "265 mA"),
}
"""Figures by the name of the type."""
