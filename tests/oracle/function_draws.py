"""Random circuits of function, kind by kind, each with the oracle's verdict.

Figures are drawn so that all three verdicts come up.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from assess.function.circuits import Asked
from oracle import function_lamp, function_line, function_switch, function_valve
from oracle.function_figures import Draw, Ends, Said, cable_ohms, text

__all__ = ["KINDS"]

HOT, COLD = 60, -20
ZERO = Ends(Fraction(0), Fraction(0))

Words = dict[str, tuple[str, str]]
"""Name of the oracle: word of the model and unit."""


def written(said: dict[str, Ends | str | None], words: Words) -> dict[str, str]:
    """Figures as a person enters them; the unit of the model's word."""
    return {
        words[name][0]: text(ends, words[name][1])
        for name, ends in said.items()
        if isinstance(ends, Ends)
    }


def drawn(draw: Draw, ranges: dict[str, tuple[str, str]]) -> dict[str, Ends | str | None]:
    """A figure for each range, now and then none."""
    return {name: draw.maybe(draw.ends(*ends)) for name, ends in ranges.items()}


BARRIER = {"role": "shunt-diode barrier", "return voltage drop": "0 V"}

SWITCH_WORDS: Words = {
    "U": ("open-circuit voltage", "V"),
    "inner": ("internal resistance", "kohm"),
    "on": ("on threshold", "mA"),
    "off": ("off threshold", "mA"),
    "broken": ("break threshold", "mA"),
    "short": ("short threshold", "kohm"),
}
BARRIER_WORDS: Words = {
    "end-to-end": ("end-to-end resistance", "kohm"),
    "leakage": ("leakage current", "mA"),
    "working": ("working voltage", "V"),
}
CONTACT_WORDS: Words = {
    "series resistor": ("series resistor", "kohm"),
    "parallel resistor": ("parallel resistor", "kohm"),
    "wetting": ("wetting current", "mA"),
}
SWITCH_CURRENTS: Words = {"on current": ("on current", "mA"), "off current": ("off current", "mA")}


def a_switch(draw: Draw) -> tuple[Asked, str]:
    said = drawn(
        draw,
        {
            "U": ("7.8", "9"),
            "inner": ("0.55", "1.1"),
            "on": ("1.9", "2.2"),
            "off": ("1", "1.4"),
            "broken": ("0.05", "0.4"),
            "short": ("0.15", "0.4"),
        },
    )
    barrier, contact = draw.chance(0.4), draw.chance(0.6)
    said["barrier"] = "yes" if barrier else "no"
    said["monitored"] = draw.random.choice(["yes", "yes", "no", "no", ""])
    said["role"] = "contact" if contact else "proximity switch"
    device: dict[str, str] = {"role": str(said["role"])}
    if contact:
        said["topology"] = draw.random.choice(["series with the parallel pair", "parallel outside"])
        ranges = {"series resistor": ("0.3", "1.5"), "parallel resistor": ("6", "20")}
        said |= drawn(draw, {**ranges, "wetting": ("0.5", "3")})
        device |= {"resistor topology": str(said["topology"]), **written(
            {name: said[name] for name in CONTACT_WORDS}, CONTACT_WORDS)}  # fmt: skip
    else:
        draw.lost = 0.2
        said |= drawn(draw, {"on current": ("2.3", "5"), "off current": ("0.4", "1.2")})
        draw.lost = 0.02
        device |= written({name: said[name] for name in SWITCH_CURRENTS}, SWITCH_CURRENTS)
    figures = written({name: said[name] for name in SWITCH_WORDS}, SWITCH_WORDS)
    source, own = {"role": "pulse input", **figures}, {}
    if barrier:
        ranges = {"end-to-end": ("0.02", "0.4"), "leakage": ("0.001", "0.015")}
        said |= drawn(draw, {**ranges, "working": ("8.5", "26")})
        own = figures
        source = {
            **BARRIER,
            **written({name: said[name] for name in BARRIER_WORDS}, BARRIER_WORDS),
        }
    if said["monitored"]:
        own = {**own, "line-fault detection": str(said["monitored"])}
    metres = draw.random.choice([0, 200, 2000, 5000])
    expected = function_switch.switch(said, cable_ohms(metres, HOT) / 1000)
    return Asked(source, [device], own, length=f"{metres} m"), expected


DRIVER_WORDS: Words = {
    "U": ("open-circuit voltage", "V"),
    "inner": ("internal resistance", "ohm"),
    "limit": ("current limit", "A"),
    "off volts": ("off-state voltage", "V"),
    "monitoring": ("monitoring current", "A"),
}
SUPPLY_WORDS: Words = {
    "supply": ("supply voltage", "V"),
    "off volts": ("off-state voltage", "V"),
    "monitoring": ("monitoring current", "A"),
}
VALVE_BARRIER_WORDS: Words = {
    "end-to-end": ("end-to-end resistance", "ohm"),
    "drop": ("return voltage drop", "V"),
    "working": ("working voltage", "V"),
    "fuse": ("fuse current", "A"),
    "highest": ("highest supply", "V"),
    "least": ("least resistance", "ohm"),
}
VALVE_WORDS: Words = {
    "coil": ("coil resistance", "ohm"),
    "diodes": ("bridge voltage", "V"),
    "self-heating": ("self-heating", "K"),
    "pull-in current": ("pull-in current", "A"),
    "pull-in voltage": ("pull-in voltage", "V"),
    "pull-in at 20": ("pull-in voltage at 20 °C", "V"),
    "hold": ("hold current", "A"),
    "drop-out": ("drop-out current", "A"),
}


def off_state(draw: Draw) -> dict[str, Ends | str | None]:
    """Figures of a driver that is off: of its volts or its current or both, or of neither."""
    said: dict[str, Ends | str | None] = {}
    if draw.chance(0.7):
        said["off volts"] = draw.ends("0.1", "3") if draw.chance(0.8) else ZERO
    if draw.chance(0.6):
        said["monitoring"] = draw.ends("0.0001", "0.003") if draw.chance(0.8) else ZERO
    return said


def a_coil(draw: Draw) -> dict[str, Ends | str | None]:
    ranges = {"coil": ("150", "500"), "diodes": ("0.1", "1.4"), "self-heating": ("3", "20")}
    said = drawn(draw, {**ranges, "drop-out": ("0.001", "0.006")})
    wants = {
        "pull-in current": ("0.01", "0.035"),
        "pull-in voltage": ("5", "13"),
        "pull-in at 20": ("5", "12"),
    }
    for name, ends in wants.items():
        if draw.chance(0.45):
            said[name] = draw.ends(*ends)
    if draw.chance(0.3):
        said["hold"] = draw.ends("0.005", "0.02")
    return said


def some_valves(draw: Draw) -> tuple[Asked, str]:
    barrier = draw.chance(0.4)
    shared: dict[str, Ends | str | None] = {"barrier": "yes" if barrier else "no"}
    shared |= off_state(draw)
    if barrier:
        ranges = {"supply": ("20", "27"), "end-to-end": ("60", "350"), "drop": ("0.2", "1")}
        marks = {"working": ("24", "29"), "fuse": ("0.05", "0.3"), "highest": ("25", "30")}
        shared |= drawn(draw, {**ranges, **marks, "least": ("100", "300")})
        shared["drop"] = shared["drop"] or ZERO
        shared["least"] = shared["least"] or draw.ends("100", "300")
        source = {
            "role": "shunt-diode barrier",
            **written({name: shared[name] for name in VALVE_BARRIER_WORDS}, VALVE_BARRIER_WORDS),
        }
        own = written({k: v for k, v in shared.items() if k in SUPPLY_WORDS}, SUPPLY_WORDS)
    else:
        shared |= drawn(draw, {"U": ("18", "24"), "inner": ("50", "300"), "limit": ("0.02", "0.1")})
        source = {
            "role": "output driver",
            **written({k: v for k, v in shared.items() if k in DRIVER_WORDS}, DRIVER_WORDS),
        }
        own = {}
    coils = [a_coil(draw) for _ in range(draw.random.choice([1, 1, 1, 2, 3]))]
    metres = draw.random.choice([0, 100, 1000])
    line = cable_ohms(metres, HOT)
    words = []
    for coil in coils:
        others: list[Said] = [one for one in coils if one is not coil]
        words.append(function_valve.valve({**shared, **coil}, others, line, HOT, COLD))
    expected = next(one for one in ("fails", "unproven", "works") if one in words)
    devices = [{"role": "solenoid valve", **written(coil, VALVE_WORDS)} for coil in coils]
    return Asked(source, devices, own, length=f"{metres} m"), expected


LAMP_WORDS: Words = {
    "forward": ("forward voltage", "V"),
    "series": ("series resistance", "ohm"),
    "junctions": ("junctions", ""),
    "visible": ("visible current", "A"),
    "glow": ("glow current", "A"),
}


def a_driver(draw: Draw) -> dict[str, Ends | str | None]:
    ranges = {"U": ("12", "24"), "inner": ("50", "300"), "limit": ("0.01", "0.1")}
    return {**drawn(draw, ranges), **off_state(draw)}


def a_lamp(draw: Draw) -> tuple[Asked, str]:
    said = a_driver(draw)
    ranges = {"forward": ("2", "13"), "series": ("10", "300"), "visible": ("0.002", "0.03")}
    said |= drawn(draw, {**ranges, "glow": ("0.0002", "0.004")})
    count = Fraction(draw.random.choice([0, 1, 3, 6]))
    said["junctions"] = draw.maybe(Ends(count, count))
    metres = draw.random.choice([0, 500, 3000])
    expected = function_lamp.lamp(said, cable_ohms(metres, HOT), HOT, COLD)
    source = written({k: v for k, v in said.items() if k in DRIVER_WORDS}, DRIVER_WORDS)
    device = written({name: said[name] for name in LAMP_WORDS}, LAMP_WORDS)
    devices = [{"role": "lamp", **device}]
    return Asked({"role": "output driver", **source}, devices, length=f"{metres} m"), expected


SOUNDER_WORDS: Words = {
    "need": ("lowest supply voltage", "V"),
    "current": ("operating current", "A"),
    "start": ("start current", "A"),
    "alive": ("alive current", "A"),
}


def some_sounders(draw: Draw) -> tuple[Asked, str]:
    driver = a_driver(draw)
    devices = []
    for _ in range(draw.random.choice([1, 1, 2, 4])):
        ranges = {"need": ("6", "15"), "current": ("0.001", "0.02"), "alive": ("0.001", "0.03")}
        devices.append(drawn(draw, ranges))
        if draw.chance(0.3):
            devices[-1]["start"] = draw.ends("0.001", "0.03")
    together: Fraction | None = Fraction(0)
    for one in devices:
        work, start = one["current"], one.get("start")
        if not isinstance(work, Ends) or together is None:
            together = None
        else:
            together += max(work.high, start.high if isinstance(start, Ends) else Fraction(0))
    metres = draw.random.choice([0, 500, 3000])
    line = cable_ohms(metres, HOT)
    words = [function_lamp.sounder({**driver, **one}, together, line) for one in devices]
    expected = next(one for one in ("fails", "unproven", "works") if one in words)
    source = {
        "role": "output driver",
        **written({k: v for k, v in driver.items() if k in DRIVER_WORDS}, DRIVER_WORDS),
    }
    entered = [
        {"role": draw.random.choice(["sounder", "beacon"]), **written(one, SOUNDER_WORDS)}
        for one in devices
    ]
    return Asked(source, entered, length=f"{metres} m"), expected


PANEL_WORDS: Words = {
    "U": ("open-circuit voltage", "V"),
    "inner": ("internal resistance", "ohm"),
    "on": ("on threshold", "A"),
    "off": ("off threshold", "A"),
    "broken": ("break threshold", "A"),
    "shorted": ("short current", "A"),
}
DETECTOR_WORDS: Words = {
    "alarm R": ("alarm resistance", "ohm"),
    "alarm V": ("forward voltage", "V"),
    "need": ("lowest supply voltage", "V"),
    "resting": ("quiescent current", "A"),
}


def some_detectors(draw: Draw) -> tuple[Asked, str]:
    said = drawn(
        draw,
        {
            "U": ("18", "24"),
            "inner": ("100", "400"),
            "end": ("3000", "7000"),
            "on": ("0.008", "0.013"),
            "off": ("0.005", "0.009"),
            "broken": ("0.001", "0.004"),
            "shorted": ("0.03", "0.05"),
        },
    )
    detectors = [
        drawn(
            draw,
            {
                "alarm R": ("200", "1200"),
                "alarm V": ("2", "8"),
                "need": ("10", "17"),
                "resting": ("0.00002", "0.0004"),
            },
        )
        for _ in range(draw.random.choice([1, 2, 5]))
    ]
    rest = [one["resting"] for one in detectors]
    known = [one for one in rest if isinstance(one, Ends)]
    resting = None
    if len(known) == len(rest):
        ends = (sum(end, Fraction(0)) for end in zip(*known, strict=True))
        resting = Ends(*ends)
    metres = draw.random.choice([0, 500, 3000])
    line = cable_ohms(metres, HOT)
    words = [function_line.detector({**said, **one}, resting, line) for one in detectors]
    expected = next(one for one in ("fails", "unproven", "works") if one in words)
    source = written({name: said[name] for name in PANEL_WORDS}, PANEL_WORDS)
    end = written({"end": said["end"]}, {"end": ("end-of-line resistance", "ohm")})
    devices = [{"role": "detector", **written(one, DETECTOR_WORDS)} for one in detectors]
    devices.append({"role": "end-of-line resistor", **end})
    return Asked({"role": "repeater supply", **source}, devices, length=f"{metres} m"), expected


PICK_UP_WORDS: Words = {
    "signal": ("coil voltage", "V"),
    "coil": ("coil resistance", "ohm"),
    "L": ("coil inductance", "H"),
    "frequency": ("highest frequency", "Hz"),
}
INPUT_WORDS: Words = {
    "input R": ("input resistance", "ohm"),
    "threshold": ("input threshold", "V"),
    "rate": ("highest frequency", "Hz"),
}


def a_pick_up(draw: Draw) -> tuple[Asked, str]:
    said = drawn(
        draw,
        {
            "signal": ("0.05", "0.3"),
            "coil": ("200", "1500"),
            "L": ("0.05", "0.8"),
            "frequency": ("200", "3000"),
            "input R": ("5000", "30000"),
            "threshold": ("0.02", "0.12"),
            "rate": ("1000", "5000"),
        },
    )
    metres = draw.random.choice([0, 200, 1000])
    farads = Fraction(metres) * Fraction(100, 10**12)
    expected = function_line.pick_up(said, cable_ohms(metres, HOT), farads, HOT)
    source = written({name: said[name] for name in INPUT_WORDS}, INPUT_WORDS)
    device = written({name: said[name] for name in PICK_UP_WORDS}, PICK_UP_WORDS)
    devices = [{"role": "coil pick-up", **device}]
    return Asked({"role": "pulse input", **source}, devices, length=f"{metres} m"), expected


COUPLER_WORDS: Words = {
    "drive": ("differential voltage", "V"),
    "near": ("termination", "ohm"),
    "own load": ("unit load", ""),
    "leg": ("channel resistance", "ohm"),
}


def a_serial_line(draw: Draw) -> tuple[Asked, str]:
    said = drawn(
        draw,
        {
            "drive": ("0.4", "2"),
            "near": ("100", "220"),
            "own load": ("0.25", "2"),
            "far": ("100", "220"),
        },
    )
    said["leg"] = draw.ends("5", "150")
    devices = [
        drawn(draw, {"device drive": ("0.4", "2"), "load": ("0.25", "2")})
        for _ in range(draw.random.choice([1, 1, 2, 24]))
    ]
    loads: Fraction | None = Fraction(0)
    for one in devices:
        load = one["load"]
        loads = loads + load.high if isinstance(load, Ends) and loads is not None else None
    metres = draw.random.choice([0, 500, 3000])
    line = cable_ohms(metres, HOT)
    words = [function_line.serial({**said, **one}, loads, line) for one in devices]
    expected = next(one for one in ("fails", "unproven", "works") if one in words)
    device_words: Words = {
        "device drive": ("differential voltage", "V"),
        "load": ("unit load", ""),
    }
    source = written({name: said[name] for name in COUPLER_WORDS}, COUPLER_WORDS)
    own = written({"far": said["far"]}, {"far": ("termination", "ohm")})
    entered = [{"role": "serial device", **written(one, device_words)} for one in devices]
    return Asked({"role": "serial coupler", **source}, entered, own, length=f"{metres} m"), expected


KINDS: dict[str, Callable[[Draw], tuple[Asked, str]]] = {
    "switch circuit": a_switch,
    "valve circuit": some_valves,
    "lamp circuit": a_lamp,
    "sounder circuit": some_sounders,
    "detector loop": some_detectors,
    "pick-up circuit": a_pick_up,
    "serial line": a_serial_line,
}
