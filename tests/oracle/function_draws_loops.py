"""Random loops that feed a device or drive one, each with the oracle's verdict."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction

from assess.function.circuits import Asked
from oracle import function_loop
from oracle.function_draws import HOT, Words, drawn
from oracle.function_figures import Draw, Ends, cable_ohms, text
from oracle.function_loop import Figures, Points

__all__ = ["KINDS"]

Held = dict[str, Ends | Points | str | None]
Written = dict[str, str | Sequence[tuple[str, str]]]


def farads(metres: int) -> Fraction:
    return Fraction(metres) * Fraction(100, 10**12)


def written(said: Figures, words: Words) -> Written:
    """Figures as a person enters them, tables too."""
    out: Written = {}
    for name, (word, unit) in words.items():
        held = said.get(name)
        if isinstance(held, Ends):
            times = {"%": 100, "nF": 10**9}.get(unit, 1)
            out[word] = text(Ends(held.low * times, held.high * times), unit)
        elif isinstance(held, str):
            out[word] = held
        elif held is not None:
            out[word] = [(f"{float(at * 1000):.10g} mA", text(one, unit)) for at, one in held]
    return {word: value for word, value in out.items() if value != ""}


def a_table(draw: Draw, ends: Sequence[tuple[str, str, str]]) -> Points:
    """Points at currents [mA]: current, and between which two figures [V]."""
    return [(Fraction(at) / 1000, draw.ends(low, high, 0.03)) for at, low, high in ends]


SOURCE: Words = {
    "end-to-end": ("end-to-end resistance", "ohm"),
    "drop": ("voltage drop", "V"),
    "regulated": ("regulated voltage", "V"),
    "own": ("own current", "A"),
    "back": ("return resistance", "ohm"),
    "back drop": ("return voltage drop", "V"),
    "working": ("working voltage", "V"),
    "return working": ("return working voltage", "V"),
    "leakage": ("leakage current", "A"),
    "return leakage": ("return leakage current", "A"),
    "fuse": ("fuse current", "A"),
    "highest": ("highest supply", "V"),
    "U": ("open-circuit voltage", "V"),
    "inner": ("internal resistance", "ohm"),
    "curve": ("terminal voltage", "V"),
    "limit": ("current limit", "A"),
    "compliance": ("load compliance", "V"),
    "accuracy": ("accuracy", "%"),
    "passes": ("HART", ""),
    "port": ("HART resistance", "ohm"),
    "channel": ("signal resistance", "ohm"),
    "most load": ("highest load", "ohm"),
    "least load": ("lowest load", "ohm"),
    "input volts": ("voltage drop", "V"),
    "input ohms": ("input resistance", "ohm"),
}
OWN: Words = {
    "supply": ("supply voltage", "V"),
    "load": ("load resistance", "ohm"),
    "signal load": ("load resistance", "ohm"),
    "place": ("load place", ""),
    "card": ("input limit voltage", "V"),
    "budget": ("error budget share", "%"),
    "margin": ("margin", "V"),
    "HART": ("HART", ""),
    "HART place": ("HART place", ""),
    "card volts": ("load compliance", "V"),
    "card most": ("highest load", "ohm"),
    "card least": ("lowest load", "ohm"),
    "card open": ("open-circuit voltage", "V"),
}
RANGE: Words = {"low": ("low alarm current", "A"), "high": ("high alarm current", "A")}
DEVICE: Words = {
    **RANGE,
    "need": ("lift-off voltage", "V"),
    "bearable": ("highest operating voltage", "V"),
    "C": ("input capacitance", "nF"),
    "start": ("start current", "A"),
    "fixed": ("fixed current", "A"),
}


def a_barrier(draw: Draw, supply: tuple[str, str] = ("22", "27")) -> Held:
    marks = {"working": ("26", "31"), "highest": ("27", "33"), "fuse": ("0.06", "0.2")}
    said: Held = {"barrier": "yes"}
    said |= drawn(draw, {"end-to-end": ("250", "350"), "leakage": ("1e-7", "1e-5"), **marks})
    said |= drawn(draw, {"supply": supply})
    if draw.chance(0.6):
        said |= {"back": draw.ends("10", "40"), "back drop": draw.ends("0.5", "1")}
        said |= drawn(draw, {"return working": ("7", "14")})
        if draw.chance(0.3):
            said["return leakage"] = draw.ends("1e-7", "1e-5")
    if draw.chance(0.2):
        said |= {"regulated": draw.ends("22", "26"), "drop": draw.ends("0.3", "1")}
        said |= drawn(draw, {"own": ("1e-6", "1e-4")})
    return said


def an_isolator(draw: Draw) -> Held:
    said: Held = {"barrier": "no"}
    ranges = {
        "limit": ("0.0225", "0.03"),
        "compliance": ("9", "15"),
        "accuracy": ("0.0005", "0.002"),
    }
    said |= drawn(draw, {**ranges, "port": ("220", "400")})
    if draw.chance(0.5):
        points = [("0", "21", "24"), ("12", "18", "20"), ("20", "15", "17"), ("23", "14", "15")]
        said["curve"] = a_table(draw, points)
    else:
        said |= drawn(draw, {"U": ("20", "25"), "inner": ("200", "350")})
    return said


def a_safe_side(draw: Draw, *, barrier: bool) -> Held:
    said: Held = drawn(draw, {"load": ("200", "400")})
    if barrier:
        said |= drawn(draw, {"card": ("10", "30")})
        said["place"] = draw.random.choice(["supply leg", "return leg", "return leg", ""])
    if barrier or draw.chance(0.5):
        said |= drawn(draw, {"budget": ("0.001", "0.006")})
    if draw.chance(0.3):
        said["margin"] = draw.ends("0.1", "1")
    said["HART"] = draw.random.choice(["yes", "no", "no", ""])
    said["HART place"] = draw.random.choice(["safe side", "field side", ""])
    return said


def a_two_wire_loop(draw: Draw) -> tuple[Asked, str]:
    draw.lost = 0.008
    barrier = draw.chance(0.6)
    said = a_barrier(draw) if barrier else an_isolator(draw)
    passes = draw.random.choice(["yes", "yes", "no", ""])
    said |= {} if barrier else {"passes": passes}
    said |= a_safe_side(draw, barrier=barrier)
    said |= drawn(draw, {"bearable": ("25", "36"), "high": ("0.0215", "0.0222")})
    said["low"] = draw.maybe(draw.random.choice([
        Ends(Fraction("0.0034"), Fraction("0.0034")), Ends(Fraction("0.0035"), Fraction("0.0036")),
        Ends(Fraction("0.0038"), Fraction("0.0038")), Ends(Fraction("0.0034"), Fraction("0.00358")),
        Ends(Fraction("0.0039"), Fraction("0.0041")),
    ]))  # fmt: skip
    said["C"] = draw.maybe(nanofarads(draw, "1", "20"))
    if draw.chance(0.15):
        said["start"] = draw.ends("0.02", "0.023")
    if draw.chance(0.6):
        said["need"] = draw.maybe(draw.ends("6", "12"))
    else:
        points = [("3", "8", "14"), ("11", "8", "13"), ("11.5", "7", "11"), ("24", "6", "10")]
        said["need"] = a_table(draw, points)
    devices = [{"role": "two-wire transmitter", **written(said, DEVICE)}]
    if draw.chance(0.2):
        said |= {"indicator": draw.ends("1", "3"), "series": draw.ends("2", "20")}
        volts, ohms = (said[name] for name in ("indicator", "series"))
        assert isinstance(volts, Ends)
        assert isinstance(ohms, Ends)
        devices += [
            {"role": "indicator", "voltage drop": text(volts, "V")},
            {"role": "series element", "series resistance": text(ohms, "ohm")},
        ]
    metres = draw.random.choice([0, 300, 1500])
    expected = function_loop.two_wire(said, cable_ohms(metres, HOT), farads(metres))
    return asked(said, devices, metres, "repeater supply"), expected


def nanofarads(draw: Draw, low: str, high: str) -> Ends:
    """A capacitance [F]."""
    ends = draw.ends(low, high)
    return Ends(ends.low / 10**9, ends.high / 10**9)


def asked(said: Held, devices: Sequence[Written], metres: int, role: str) -> Asked:
    """The circuit with its source: a barrier, or what has this role."""
    barrier = said["barrier"] == "yes"
    left_out = ("input volts", "input ohms") if barrier else ("drop",)
    names: Words = {name: held for name, held in SOURCE.items() if name not in left_out}
    if role == "current output" and barrier:
        names = {name: held for name, held in names.items() if "load" not in name}
    source: Written = {"role": "shunt-diode barrier" if barrier else role}
    return Asked({**source, **written(said, names)}, devices, written(said, OWN), f"{metres} m")


def several(draw: Draw) -> tuple[Asked, str]:
    draw.lost = 0.004
    barrier = draw.chance(0.5)
    shared = a_barrier(draw) if barrier else an_isolator(draw)
    shared |= {} if barrier else {"passes": draw.random.choice(["yes", "yes", "yes", ""])}
    shared |= a_safe_side(draw, barrier=barrier)
    shared |= {"HART": "yes", "HART place": draw.random.choice(["safe side", "field side"])}
    shared |= {"load": draw.ends("235", "300")} if draw.chance(0.8) else {}
    devices: list[Held] = []
    for _ in range(draw.random.choice([2, 3, 4, 5])):
        one: Held = drawn(draw, {"fixed": ("0.0035", "0.0045"), "bearable": ("26", "36")})
        one["C"] = draw.maybe(nanofarads(draw, "1", "10"))
        if draw.chance(0.4):
            one["start"] = draw.ends("0.003", "0.007")
        points = [("2", "8", "12"), ("5", "8", "11"), ("9", "7", "10")]
        flat = draw.maybe(draw.ends("6", "12"))
        one["need"] = a_table(draw, points) if draw.chance(0.3) else flat
        devices.append(one)
    metres = draw.random.choice([0, 300, 800])
    expected = function_loop.multidrop(shared, devices, cable_ohms(metres, HOT), farads(metres))
    listed = [{"role": "two-wire transmitter", **written(one, DEVICE)} for one in devices]
    return asked(shared, listed, metres, "repeater supply"), expected


SUPPLIED: Words = {
    "P": ("power", "W"),
    "run": ("supply current", "A"),
    "charge": ("charge current", "A"),
    "start": ("start current", "A"),
    "least": ("lowest supply voltage", "V"),
    "bearable": ("highest operating voltage", "V"),
    "wires": ("wires", ""),
    "signal current": ("high alarm current", "A"),
    "most load": ("highest load", "ohm"),
    "signal": ("signal voltage", "V"),
}


def a_powered_device(draw: Draw) -> tuple[Asked, str]:
    draw.lost = 0.01
    barrier = draw.chance(0.4)
    said = a_barrier(draw) if barrier else an_isolator(draw)
    said |= {"limit": draw.ends("0.05", "0.12")} if "limit" in said and not barrier else {}
    if "curve" in said:
        points = [("0", "21", "24"), ("40", "17", "19"), ("150", "9", "11")]
        said["curve"] = a_table(draw, points)
    elif not barrier:
        said["inner"] = draw.maybe(draw.ends("10", "120"))
    if draw.chance(0.5):
        said["P"] = draw.maybe(draw.ends("0.2", "0.9"))
        said["run"] = None
    if not isinstance(said.get("P"), Ends):
        said |= drawn(draw, {"run": ("0.01", "0.06")})
    if draw.chance(0.25):
        said["charge"] = draw.ends("0.002", "0.02")
    if draw.chance(0.25):
        said["start"] = draw.ends("0.02", "0.07")
    if draw.chance(0.2):
        said["margin"] = draw.ends("0.1", "1")
    least = ("2", "6") if draw.chance(0.2) else ("7", "14")
    said |= drawn(draw, {"least": least, "bearable": ("24", "32")})
    wires, sort = (
        draw.random.choice(["3", "3", "4", ""]),
        draw.random.choice(["current", "voltage", ""]),
    )
    said |= {"wires": wires or None, "sort": sort or ("none" if wires == "4" else None)}
    if draw.chance(0.5) and wires == "":
        said |= {"wires": "3"}
    if sort == "current":
        said |= {"signal current": draw.ends("0.02", "0.022")}
        said |= drawn(draw, {"most load": ("300", "700"), "signal load": ("200", "400")})
        if barrier and draw.chance(0.5):
            said["channel"] = draw.ends("10", "60")
    elif sort == "voltage":
        said["signal"] = Ends(Fraction(1), Fraction(5))
        said |= drawn(draw, {"budget": ("0.01", "0.1")})
    metres = draw.random.choice([0, 200, 1000])
    expected = function_loop.powered(said, cable_ohms(metres, HOT))
    device: Written = {"role": "powered transmitter", **written(said, SUPPLIED)}
    said.pop("most load", None)
    return asked(said, [device], metres, "output driver"), expected


POSITIONER: Words = {
    "volts": ("voltage drop", "V"),
    "ohms": ("coil resistance", "ohm"),
    "alive": ("alive current", "A"),
    "modem": ("HART resistance", "ohm"),
    "C": ("input capacitance", "nF"),
}


def an_output(draw: Draw) -> tuple[Asked, str]:
    draw.lost = 0.008
    barrier = draw.chance(0.5)
    said = a_barrier(draw) if barrier else an_isolator(draw)
    for name in ("regulated", "own", "drop", "limit"):
        said.pop(name, None)
    said |= {"end-to-end": draw.maybe(draw.ends("80", "200"))} if barrier else {}
    said |= drawn(draw, {"low": ("0.0037", "0.0041"), "high": ("0.0202", "0.022")})
    said["HART"] = draw.random.choice(["yes", "no", "no", ""])
    said |= {} if barrier else {"passes": draw.random.choice(["yes", "yes", "no", ""])}
    if barrier or draw.chance(0.5):
        said |= drawn(draw, {"budget": ("0.001", "0.006"), "card volts": ("14", "22")})
    if barrier:
        said |= drawn(draw, {"card open": ("20", "28")})
        if draw.chance(0.3):
            said["card most"] = draw.ends("600", "900")
        if draw.chance(0.2):
            said["card least"] = draw.ends("20", "500")
    else:
        said["compliance"] = draw.maybe(draw.ends("12", "19"))
        if draw.chance(0.3):
            said["most load"] = draw.ends("550", "800")
        if draw.chance(0.2):
            said["least load"] = draw.ends("20", "500")
        if draw.chance(0.4):
            said |= {"input volts": draw.ends("1", "4"), "input ohms": draw.ends("20", "200")}
    devices = [a_positioner(draw) for _ in range(draw.random.choice([1, 1, 1, 2]))]
    metres = draw.random.choice([0, 300, 1500])
    expected = function_loop.output(said, devices, cable_ohms(metres, HOT), farads(metres))
    listed = [{"role": "positioner", **written(one, POSITIONER)} for one in devices]
    words = written(said, RANGE)
    made = asked(said, listed, metres, "current output")
    return made._replace(own={**made.own, **words}), expected


def a_positioner(draw: Draw) -> Held:
    one: Held = drawn(draw, {"modem": ("100", "500")})
    one["C"] = draw.maybe(nanofarads(draw, "1", "10"))
    sort = draw.random.random()
    if sort < 0.4:
        one |= drawn(draw, {"volts": ("7", "11")})
    elif sort < 0.6:
        one["volts"] = a_table(draw, [("3", "8", "10"), ("10", "8", "9"), ("24", "9", "11")])
    else:
        one |= drawn(draw, {"ohms": ("150", "300")})
    if sort < 0.6 or draw.chance(0.2):
        one |= drawn(draw, {"alive": ("0.0033", "0.0039")})
    return one


KINDS: dict[str, Callable[[Draw], tuple[Asked, str]]] = {
    "two-wire loop": a_two_wire_loop,
    "multidrop loop": several,
    "powered circuit": a_powered_device,
    "output loop": an_output,
}
