"""Random sensor circuits of function, kind by kind, each with the oracle's verdict."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import numpy as np

from assess.function.circuits import Asked
from oracle import function_sensing, function_thermometer
from oracle.function_draws import Words, drawn, written
from oracle.function_figures import Draw, Ends, cable_ohms
from subspark.physics.thermometry import THERMOCOUPLES, seebeck

__all__ = ["KINDS"]

HOT = 60
KNEE = Fraction("0.98")
"""A cabinet at 0 degC: 0.1 % a kelvin below 20 degC."""

LEAKAGE = 4
"""At 40 degC: twice for every 10 kelvins above 20 degC."""

COMMON: Words = {"channel": ("channel resistance", "ohm")}
BARRIER: Words = {
    **COMMON,
    "mismatch": ("channel mismatch", "ohm"),
    "leakage": ("leakage current", "mA"),
    "working": ("working voltage", "V"),
}
INPUT: Words = {
    "excitation": ("excitation current", "mA"),
    "skew": ("current mismatch", "%"),
    "bias": ("bias current", "mA"),
    "leg limit": ("highest lead resistance", "ohm"),
    "volts": ("open-circuit voltage", "V"),
}


def core(metres: int) -> Fraction:
    return cable_ohms(metres, HOT) / 2


def farads(metres: int) -> Fraction:
    return Fraction(metres) * Fraction(100, 10**12)


def chosen(said: dict[str, Ends | str | None], names: Words) -> dict[str, str]:
    return written({name: said.get(name) for name in names}, names)


def a_thermometer(draw: Draw) -> tuple[Asked, str]:
    said = drawn(
        draw,
        {
            "excitation": ("0.3", "1.5"),
            "skew": ("0.01", "0.3"),
            "bias": ("0.00005", "0.002"),
            "leg limit": ("10", "80"),
            "volts": ("0.2", "2"),
            "channel": ("10", "40"),
            "mismatch": ("0.01", "0.2"),
            "leakage": ("0.00001", "0.001"),
            "working": ("0.3", "3"),
            "lead mismatch": ("0.1", "5"),
            "budget": ("0.3", "2.5"),
            "R0": ("99.9", "100.1"),
        },
    )
    said["barrier"] = "yes" if draw.chance(0.5) else "no"
    said["wires"] = draw.random.choice(["2", "3", "3", "4", "4"])
    said["element"] = draw.random.choice(["Pt 3851", "Pt 3851", "Pt 3916", "Ni 6180", ""])
    low = draw.random.choice([-150, -50, 0, 20])
    said["measured"] = Ends(Fraction(low), Fraction(low + draw.random.choice([0, 100, 150, 600])))
    metres = draw.random.choice([0, 50, 300, 1000])
    if said["wires"] == "2":
        said["budget"] = draw.ends("5", "120")
        most = 2 * core(metres)
        if draw.chance(0.5):
            said["taken off"] = draw.ends("0.1", str(float(most / 2 + 10)))
    expected = function_thermometer.thermometer(said, core(metres), LEAKAGE, KNEE)
    own_words: Words = {
        "lead mismatch": ("lead mismatch", "%"),
        "budget": ("error budget", "K"),
        "taken off": ("compensated resistance", "ohm"),
        "measured": ("measured temperature", "°C"),
    }
    own = {"wires": str(said["wires"]), **chosen(said, own_words)}
    device = {
        "role": "resistance thermometer",
        **chosen(said, {"R0": ("resistance at 0 °C", "ohm")}),
    }
    if said["element"]:
        device["element"] = str(said["element"])
    if said["barrier"] == "yes":
        source = {"role": "shunt-diode barrier", **chosen(said, BARRIER), **chosen(said, INPUT)}
    else:
        source = {"role": "resistance input", **chosen(said, INPUT)}
    return Asked(source, [device], own, length=f"{metres} m"), expected


def a_potentiometer(draw: Draw) -> tuple[Asked, str]:
    said = drawn(
        draw,
        {
            "leg limit": ("30", "200"),
            "least": ("100", "500"),
            "most": ("900", "5000"),
            "channel": ("10", "40"),
            "budget": ("1", "6"),
            "track": ("400", "1500"),
        },
    )
    said["barrier"] = "yes" if draw.chance(0.5) else "no"
    said["wires"] = draw.random.choice(["2", "3"])
    if draw.chance(0.3):
        said["taken off"] = draw.ends("10", "50")
    metres = draw.random.choice([0, 100, 300, 1000])
    expected = function_thermometer.potentiometer(said, core(metres))
    own_words: Words = {
        "budget": ("error budget share", "%"), "taken off": ("compensated resistance", "ohm"),
    }  # fmt: skip
    words: Words = {
        "leg limit": ("highest lead resistance", "ohm"),
        "least": ("lowest load", "ohm"),
        "most": ("highest load", "ohm"),
    }
    source = {"role": "resistance input", **chosen(said, words)}
    if said["barrier"] == "yes":
        source = {**source, "role": "shunt-diode barrier", **chosen(said, COMMON)}
    own = {"wires": str(said["wires"]), **chosen(said, own_words)}
    device = {"role": "potentiometer", **chosen(said, {"track": ("track resistance", "ohm")})}
    return Asked(source, [device], own, length=f"{metres} m"), expected


RESISTIVITY = {"J": "0.61", "K": "1.00", "N": "1.32", "T": "0.5072", "S": "0.295"}
"""Both alloys [ohm.mm2/m]: nominal figures of the trade."""

RANGES = {"J": (-50, 700), "K": (-50, 1200), "N": (-50, 1200), "T": (-50, 350), "S": (200, 1400)}


def slopes(pair: str, low: float, high: float) -> tuple[Fraction, Fraction]:
    """Least in the range and greatest at the joint, 0 or 40 degC [uV/K]; the curves are given."""
    code = THERMOCOUPLES.index(pair)
    within = np.concatenate([[low, high], np.arange(np.ceil(low), high, 1.0)])
    least = float(np.min(seebeck(code, within)))
    return Fraction(least) * 10**6, Fraction(float(np.max(seebeck(code, [0.0, 40.0])))) * 10**6


def a_thermocouple(draw: Draw) -> tuple[Asked, str]:
    said = drawn(
        draw,
        {
            "bias": ("0.05", "0.6"),
            "loop limit": ("100", "1500"),
            "channel": ("10", "80"),
            "sensor": ("1", "50"),
            "budget": ("0.8", "6"),
            "joint": ("0.1", "1.5"),
        },
    )
    said["barrier"] = "yes" if draw.chance(0.5) else "no"
    pair = draw.random.choice(list(RESISTIVITY))
    bottom, top = RANGES[pair]
    low = draw.random.randint(bottom, top - 50)
    high = draw.random.randint(low, top)
    metres = draw.random.choice([0, 20, 100, 400])
    lead = Fraction("1.1") * Fraction(RESISTIVITY[pair]) * metres / Fraction("1.5")
    expected = function_sensing.thermocouple(said, lead, *slopes(pair, low, high))
    words: Words = {
        "bias": ("bias current", "µA"), "loop limit": ("highest loop resistance", "ohm"),
    }  # fmt: skip
    source = {"role": "thermocouple input", **chosen(said, words)}
    own_words: Words = {"budget": ("error budget", "K")}
    if said["barrier"] == "yes":
        source = {**source, "role": "shunt-diode barrier", **chosen(said, COMMON)}
        own_words["joint"] = ("joint difference", "K")
    own = {"measured temperature": f"{low} to {high} °C", **chosen(said, own_words)}
    device = {
        "role": "thermocouple", "thermocouple type": pair,
        **chosen(said, {"sensor": ("series resistance", "ohm")}),
    }  # fmt: skip
    return Asked(source, [device], own, length=f"{metres} m"), expected


def some_cells(draw: Draw) -> tuple[Asked, str]:
    said = drawn(
        draw,
        {
            "excitation": ("5", "15"),
            "limit": ("20", "200"),
            "input": ("20000", "1000000"),
            "channel": ("5", "40"),
            "working": ("6", "25"),
            "budget": ("0.05", "5"),
        },
    )
    said["barrier"] = "yes" if draw.chance(0.4) else "no"
    said["sensed"] = draw.random.choice(["yes", "yes", "yes", "no", ""])
    each = [
        drawn(draw, {"R": ("300", "1000"), "need": ("2", "6")})
        for _ in range(draw.random.choice([1, 2, 3, 4]))
    ]
    metres = draw.random.choice([0, 50, 200])
    expected = function_sensing.bridge(
        said, [_ends(one["R"]) for one in each], [_ends(one["need"]) for one in each],
        core(metres), KNEE,
    )  # fmt: skip
    words: Words = {
        "excitation": ("excitation voltage", "V"),
        "limit": ("current limit", "mA"),
        "input": ("input resistance", "ohm"),
    }
    source = {"role": "bridge supply", **chosen(said, words)}
    if said["barrier"] == "yes":
        more: Words = {**COMMON, "working": ("working voltage", "V")}
        source = {**source, "role": "shunt-diode barrier", **chosen(said, more)}
    own = chosen(said, {"budget": ("error budget share", "%")})
    if said["sensed"]:
        own["sense wires"] = str(said["sensed"])
    cell: Words = {"R": ("bridge resistance", "ohm"), "need": ("lowest supply voltage", "V")}
    devices = [{"role": "bridge", **chosen(one, cell)} for one in each]
    return Asked(source, devices, own, length=f"{metres} m"), expected


def _ends(one: Ends | str | None) -> Ends | None:
    return one if isinstance(one, Ends) else None


def a_probe(draw: Draw) -> tuple[Asked, str]:
    said = drawn(
        draw,
        {
            "supply": ("22", "26"),
            "working": ("22", "32"),
            "feed": ("50", "350"),
            "through": ("50", "350"),
            "common": ("5", "60"),
            "input": ("10000", "100000"),
            "U": ("18", "24"),
            "inner": ("10", "100"),
            "limit": ("8", "40"),
            "I": ("3", "14"),
            "need": ("14", "20"),
            "output": ("10", "100"),
            "frequency": ("2000", "12000"),
            "budget": ("0.5", "5"),
        },
    )
    said["barrier"] = "yes" if draw.chance(0.5) else "no"
    low = draw.random.choice([1, 2, 4])
    said["signal"] = draw.maybe(Ends(Fraction(low), Fraction(draw.random.choice([16, 18, 20]))))
    metres = draw.random.choice([5, 50, 200, 400])
    expected = function_sensing.probe(said, core(metres), farads(metres), KNEE)
    source = {"role": "probe supply", **chosen(said, {"input": ("input resistance", "ohm")})}
    own_words: Words = {
        "budget": ("error budget share", "%"), "frequency": ("highest frequency", "Hz"),
    }  # fmt: skip
    if said["barrier"] == "yes":
        words: Words = {
            "feed": ("end-to-end resistance", "ohm"),
            "through": ("signal resistance", "ohm"),
            "common": ("common resistance", "ohm"),
            "working": ("working voltage", "V"),
        }
        source = {**source, "role": "shunt-diode barrier", **chosen(said, words)}
        own_words["supply"] = ("supply voltage", "V")
    else:
        words = {
            "U": ("open-circuit voltage", "V"),
            "inner": ("internal resistance", "ohm"),
            "limit": ("current limit", "mA"),
        }
        source = {**source, **chosen(said, words)}
    device_words: Words = {
        "I": ("supply current", "mA"),
        "need": ("lowest supply voltage", "V"),
        "output": ("output resistance", "ohm"),
        "signal": ("signal voltage", "V"),
    }
    device = {"role": "vibration probe", "wires": "3", **chosen(said, device_words)}
    return Asked(source, [device], chosen(said, own_words), length=f"{metres} m"), expected


def an_accelerometer(draw: Draw) -> tuple[Asked, str]:
    said = drawn(
        draw,
        {
            "I": ("2.5", "8"),
            "volts": ("17", "26"),
            "through": ("50", "400"),
            "working": ("17", "30"),
            "frequency": ("500", "8000"),
        },
    )
    said["barrier"] = "yes" if draw.chance(0.5) else "no"
    peak = draw.random.choice([3, 4, 5])
    said["signal"] = draw.maybe(Ends(Fraction(11 - peak), Fraction(12 + peak)))
    said["takes"] = draw.maybe(Ends(Fraction(2), Fraction(draw.random.choice([6, 10, 20]))))
    metres = draw.random.choice([10, 100, 300, 600])
    expected = function_sensing.accelerometer(
        said, cable_ohms(metres, HOT), farads(metres), KNEE
    )  # fmt: skip
    words: Words = {"I": ("excitation current", "mA"), "volts": ("open-circuit voltage", "V")}
    source = {"role": "probe supply", **chosen(said, words)}
    if said["barrier"] == "yes":
        more: Words = {
            "through": ("end-to-end resistance", "ohm"), "working": ("working voltage", "V"),
        }  # fmt: skip
        source = {**source, "role": "shunt-diode barrier", **chosen(said, more)}
    device_words: Words = {
        "signal": ("signal voltage", "V"), "takes": ("operating current", "mA"),
    }  # fmt: skip
    device = {"role": "vibration probe", "wires": "2", **chosen(said, device_words)}
    own = chosen(said, {"frequency": ("highest frequency", "Hz")})
    return Asked(source, [device], own, length=f"{metres} m"), expected


KINDS: dict[str, Callable[[Draw], tuple[Asked, str]]] = {
    "resistance thermometer": a_thermometer,
    "potentiometer": a_potentiometer,
    "thermocouple": a_thermocouple,
    "bridge": some_cells,
    "vibration probe": a_probe,
    "accelerometer": an_accelerometer,
}
