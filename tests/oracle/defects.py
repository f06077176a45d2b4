"""What goes wrong in a circuit: each defect changes one thing, by a little or by a lot.

Some are harmless on purpose (an answered condition, evidence for a low Um, a place that suits).
"""

from __future__ import annotations

from collections.abc import Callable
from random import Random
from typing import Any

from oracle.figures import between, bump, chance, sig, write
from oracle.quantities import Json, Notes, read
from oracle.settings import LETTER, NAME, Setting

BLANKS = ("", "unknown")


def _blank(rng: Random, item: Json, key: str) -> None:
    """Missing, empty or "unknown"."""
    way = rng.choice((None, *BLANKS))
    if way is None:
        item.pop(key, None)
    else:
        item[key] = way


def _certified(rng: Random, inputs: Json) -> Json | None:
    items = [a for a in inputs["apparatus"] if a["kind"] == "certified"]
    return rng.choice(items) if items else None


def _simple(rng: Random, inputs: Json) -> Json | None:
    items = [a for a in inputs["apparatus"] if a["kind"] == "simple"]
    return rng.choice(items) if items else None


def _source(rng: Random, inputs: Json) -> Json:
    source: Json = rng.choice(inputs["sources"])
    return source


def _holder(item: Json, key: str, rng: Random) -> Json:
    """The row of the item that carries the key: itself or one of its alternatives."""
    rows = [row for row in item.get("alternatives", []) if key in row]
    chosen: Json = rng.choice(rows) if rows else item
    return chosen


def _columns(source: Json) -> list[Json]:
    limits = source["limits"]
    rows = list(limits.values()) if isinstance(limits, dict) else limits
    flat: list[Json] = []
    for row in rows:
        flat += row.get("pairs", [row])
    return flat


def _scaled(rng: Random, item: Json, key: str, dimension: str, low: float, high: float) -> None:
    value = read(Notes(), "", key, item.get(key), dimension).number
    if value is None or value == 0:
        return
    item[key] = write(rng, sig(value * between(rng, low, high), rng.randint(2, 3)), dimension)


# --- limits of the apparatus ----------------------------------------------------------------


def lower_limit(rng: Random, _setting: Setting, inputs: Json) -> None:
    item = _certified(rng, inputs)
    if item is None:
        return
    key, dimension = rng.choice((("Ui", "V"), ("Ii", "A"), ("Pi", "W")))
    row = _holder(item, key, rng)
    if row.get(key) in (None, "not limiting"):
        return
    if chance(rng, 40):
        text = inputs["sources"][0].get(f"{key[0]}o")
        if read(Notes(), "", key, text, dimension).number:
            row[key] = bump(text, -1)
    else:
        _scaled(rng, row, key, dimension, 0.4, 0.95)


def blank_limit(rng: Random, _setting: Setting, inputs: Json) -> None:
    item = _certified(rng, inputs)
    if item is not None:
        key = rng.choice(("Ui", "Ii", "Pi"))
        _blank(rng, _holder(item, key, rng), key)


def bad_limit(rng: Random, _setting: Setting, inputs: Json) -> None:
    item = _certified(rng, inputs)
    if item is not None:
        key = rng.choice(("Ui", "Ii", "Pi"))
        row = _holder(item, key, rng)
        if row.get(key) not in (None, "not limiting", *BLANKS):
            row[key] = "not limiting" if key == "Ui" else f"-{row[key]}"


def blank_energy(rng: Random, _setting: Setting, inputs: Json) -> None:
    _blank(rng, rng.choice(inputs["apparatus"]), rng.choice(("Ci", "Li")))


def more_energy(rng: Random, _setting: Setting, inputs: Json) -> None:
    item = rng.choice(inputs["apparatus"])
    key, dimension = rng.choice((("Ci", "F"), ("Li", "H")))
    if read(Notes(), "", key, item.get(key), dimension).number:
        _scaled(rng, item, key, dimension, 1.5, 30)
    else:
        item[key] = rng.choice(("9.9 nF", "47 nF", "220 nF") if key == "Ci" else ("50 uH", "2 mH"))


# --- cable ----------------------------------------------------------------------------------


def longer(rng: Random, _setting: Setting, inputs: Json) -> None:
    run = rng.choice(inputs["runs"])
    number, _, unit = run.get("length", "").partition(" ")
    if number.isdigit():
        run["length"] = f"{number}0 {unit}"
    elif number.replace(".", "").isdigit():
        _scaled(rng, run, "length", "m", 3, 20)


def blank_length(rng: Random, _setting: Setting, inputs: Json) -> None:
    run = rng.choice(inputs["runs"])
    if chance(rng, 25):
        run["length"] = f"-{run.get('length', '10 m')}"
    else:
        _blank(rng, run, "length")


def many_cores(rng: Random, _setting: Setting, inputs: Json) -> None:
    run = rng.choice(inputs["runs"])
    run["cores"] = rng.choice(("4", "6", "8"))
    if chance(rng, 70):
        key = "L" if chance(rng, 40) else "C"
        run[key] = "unknown"
        if key == "C":
            for name in ("C_core", "C_screen", "screen"):
                run.pop(name, None)


def no_resistance(rng: Random, _setting: Setting, inputs: Json) -> None:
    run = rng.choice(inputs["runs"])
    run.pop("R_loop", None)
    run.pop("R_core", None)


def construction(rng: Random, _setting: Setting, inputs: Json) -> None:
    if chance(rng, 50):
        _blank(rng, inputs["declarations"], "cable construction")
        if chance(rng, 40):
            for run in inputs["runs"]:
                run["construction"] = "evidenced"
    else:
        rng.choice(inputs["runs"])["construction"] = rng.choice(("unknown", "not evidenced"))


# --- source ---------------------------------------------------------------------------------


def blank_source_limit(rng: Random, _setting: Setting, inputs: Json) -> None:
    """The same limit blank in every column, so that no other column can stand in."""
    key = rng.choice(("Co", "Lo", "Lo/Ro", "Co", "Lo"))
    source = _source(rng, inputs)
    for row in _columns(source):
        row.pop(key, None)


def slip(rng: Random, _setting: Setting, inputs: Json) -> None:
    """A declared value far above its reference, sometimes answered with evidence."""
    source = _source(rng, inputs)
    key, dimension = rng.choice((("Co", "F"), ("Lo", "H"), ("Lo/Ro", "H/ohm")))
    low, high = rng.choice(((1.3, 2.0), (3.5, 9.0), (999.5, 1000.5)))
    for row in _columns(source):
        _scaled(rng, row, key, dimension, low, high)
    if chance(rng, 25):
        source["cross-check answered"] = "yes"


def power_slip(rng: Random, _setting: Setting, inputs: Json) -> None:
    source = _source(rng, inputs)
    _scaled(rng, source, "Po", "W", *rng.choice(((0.5, 0.93), (1.06, 1.4), (3.5, 3.9))))
    if chance(rng, 25):
        source["cross-check answered"] = "yes"


def blank_output(rng: Random, _setting: Setting, inputs: Json) -> None:
    key = rng.choice(("Uo", "Io", "Po", "Io", "Uo"))
    source = _source(rng, inputs)
    if "Io words" in source:
        source.pop("Io words")
    else:
        _blank(rng, source, key)


def bad_output(rng: Random, _setting: Setting, inputs: Json) -> None:
    source = _source(rng, inputs)
    key = rng.choice(("Uo", "Io", "Um"))
    if source.get(key) and source[key] not in ("unknown", "0"):
        source[key] = "not limiting" if chance(rng, 40) else f"-{source[key]}".replace("--", "-")


def shape(rng: Random, _setting: Setting, inputs: Json) -> None:
    source = _source(rng, inputs)
    source["output"] = rng.choice(("trapezoidal", "rectangular", "unknown", "", "non-linear"))
    if chance(rng, 50):
        _scaled(rng, source, "Po", "W", 1.5, 3.9)


def more_output(rng: Random, _setting: Setting, inputs: Json) -> None:
    """More voltage or current (and power) than everything was chosen for."""
    source = _source(rng, inputs)
    key, dimension = rng.choice((("Uo", "V"), ("Io", "A")))
    times = float(between(rng, 1.02, 1.8 if len(inputs["sources"]) == 1 else 5.0))
    for name, unit in ((key, dimension), ("Po", "W")):
        _scaled(rng, source, name, unit, times, times)


def level(rng: Random, _setting: Setting, inputs: Json) -> None:
    items = [a for a in inputs["apparatus"] if a["kind"] == "certified"] + inputs["sources"]
    item = rng.choice(items)
    row = _holder(item, "level", rng)
    if chance(rng, 35):
        _blank(rng, row, "level")
    else:
        row["level"] = NAME[rng.randint(1, 3)]


def group(rng: Random, setting: Setting, inputs: Json) -> None:
    items = [a for a in inputs["apparatus"] if a["kind"] == "certified"] + inputs["sources"]
    item = rng.choice(items)
    row = _holder(item, "group", rng)
    if chance(rng, 35):
        _blank(rng, row, "group")
    elif setting.code == "NEC":
        row["group"] = rng.choice(("C, D", "D", "G", "F, G"))
    else:
        row["group"] = rng.choice(("IIA", "IIB", "IIB+H2", "IIIA", "IIIB", "I", "IIC"))


def other_zone(rng: Random, _setting: Setting, inputs: Json) -> None:
    """The same circuit in a more onerous place."""
    area = inputs["area"]
    row = rng.choice(area["atmospheres"]) if "atmospheres" in area else area
    if "zone" in row:
        row["zone"] = row["zone"][:-1] + rng.choice(("0", "1", "2"))
    elif "division" in row:
        row["division"] = "1"


def blank_area(rng: Random, _setting: Setting, inputs: Json) -> None:
    area = inputs["area"]
    row = rng.choice(area["atmospheres"]) if "atmospheres" in area else area
    if chance(rng, 25):
        _blank(rng, area, "ambient")
    else:
        _blank(rng, row, "temperature")


# --- temperature and ambient ----------------------------------------------------------------


def temperature(rng: Random, setting: Setting, inputs: Json) -> None:
    item = _certified(rng, inputs)
    if item is None:
        return
    if "temperature rows" in item:
        row = rng.choice(item["temperature rows"])
        _scaled(rng, row, "Pi", "W", 0.3, 0.99)
        return
    row = _holder(item, "temperature", rng)
    text = str(row.get("temperature"))
    if chance(rng, 30):
        _blank(rng, row, "temperature")
    elif text.endswith("C") or setting.kind != "G":
        hotter = (136, 150, 151, 200, 226, 451)
        row["temperature"] = f"T{rng.choice(hotter)} C"
    else:
        row["temperature"] = rng.choice(("T1", "T2", "T3", "T4", "T6...T3", "T5...T4", "T5"))


def ambient(rng: Random, setting: Setting, inputs: Json) -> None:
    way = rng.randrange(5)
    if way == 0:
        _blank(rng, rng.choice(inputs["sources"]), "place ambient")
    elif way == 1:
        high = rng.choice((55, 60, 61, 65, 70, 71))
        rng.choice(inputs["sources"])["place ambient"] = f"{rng.choice((-20, -5, 5))} to {high} C"
    elif way == 2 and chance(rng, 30):
        _blank(rng, rng.choice(inputs["apparatus"]), "ambient")
    else:
        low, high = setting.low - 5, setting.high + 5
        if chance(rng, 50):
            high = setting.high - rng.choice((1, 5, 20))
        else:
            low = setting.low + rng.choice((1, 10))
        rng.choice(inputs["apparatus"])["ambient"] = f"{low} to {high} C"


def simple(rng: Random, setting: Setting, inputs: Json) -> None:
    item = _simple(rng, inputs)
    if item is None:
        if setting.kind != "G" or setting.dust is not None:
            return
        item = {
            "name": "thermocouple",
            "kind": "simple",
            "type": "generating",
            "Ci": "0",
            "Li": "0",
        }
        item |= {"U": "50 mV", "I": "10 mA", "P": "0.5 mW", "surface": "120 mm2"}
        item |= {"assessment": "yes", "ambient": f"-60 to {setting.high} C"}
        inputs["apparatus"].append(item)
    way = rng.randrange(5)
    if way == 0:
        _blank(rng, item, "assessment")
    elif way == 1 and item["type"] == "generating":
        key, text = rng.choice((("U", "1.6 V"), ("I", "101 mA"), ("P", "25.1 mW"), ("U", "3.6 V")))
        item[key] = text
    elif way == 2 and item["type"] == "generating":
        _blank(rng, item, rng.choice(("U", "I", "P")))
    elif way == 3 and "Rth" in item:
        number, _, unit = item["Rth"].partition(" ")
        item["Rth"] = f"{number.partition('.')[0]}0 {unit}"
    elif "Rth" in item:
        item["Rth"] = "unknown"
    elif item["type"] == "generating":
        item |= {"U": "1.5 V", "I": "100 mA", "P": "25 mW"}


# --- supply, earth, place -------------------------------------------------------------------


def supply(rng: Random, _setting: Setting, inputs: Json) -> None:
    source, declared = _source(rng, inputs), inputs["declarations"]
    way = rng.randrange(8)
    if way == 0:
        _blank(rng, declared, "safe side")
    elif way == 1:
        source["Um"] = rng.choice(("60 V", "30 V", "40 V", "125 V"))
    elif way == 2:
        _blank(rng, source, "Um")
    elif way == 3:
        source |= {"Um": "60 V", "safe side": rng.choice(("24 V", "60 V", "48 V", "60.1 V"))}
        source["evidence"] = rng.choice(("SELV", "PELV", "safety transformer", "battery"))
    elif way == 4:
        source |= {"Um": "60 V", "safe side": rng.choice(("24 V", "60 V"))}
    elif way == 5:
        source["safe side"] = rng.choice(("230 V", "250 V", "400 V", "251 V", "253 V", "265 V"))
    elif way == 6:
        service: Json = {"name": "service", "Um": "30 V", "safe side": "24 V"}
        service |= rng.choice(({}, {"evidence": "SELV"}, {"evidence": "battery"}))
        if chance(rng, 30):
            service["safe side"] = "230 V"
        source["ports"] = [{"name": "supply", "Um": source.pop("Um", "253 V")}, service]
    else:
        source["safe side"] = "400 V"


def earthing(rng: Random, _setting: Setting, inputs: Json) -> None:
    declared = inputs["declarations"]
    way = rng.randrange(4)
    if way == 0:
        _blank(rng, declared, "apparatus isolation")
        for item in inputs["apparatus"]:
            if chance(rng, 50):
                item["isolation 500 V"] = "yes"
    else:
        for item in rng.sample(inputs["apparatus"], min(2, len(inputs["apparatus"]))):
            item["isolation 500 V"] = rng.choice(("no", "no", "yes"))
        if way > 1:
            for source in inputs["sources"]:
                source["isolation"] = "earthed barrier"
    if chance(rng, 20):
        declared["bonding evidenced"] = "yes"


def barrier_earth(rng: Random, _setting: Setting, inputs: Json) -> None:
    for source in inputs["sources"]:
        source["isolation"] = "earthed barrier"
    earth: Any = inputs["declarations"]["barrier earth"]
    way = rng.randrange(6)
    if way == 0:
        inputs["declarations"].pop("barrier earth")
    elif way == 1:
        earth["resistance"] = rng.choice(("1.01 ohm", "3 ohm", "1001 mohm", "1.0 ohm"))
    elif way == 2:
        earth["conductors"] = rng.choice(("1 x 2.5 mm2", "1.5 mm2", "2 x 1 mm2", "3.9 mm2"))
    elif way == 3:
        _blank(rng, earth, rng.choice(("resistance", "conductors")))
    elif way == 4:
        own = {"resistance": rng.choice(("0.5 ohm", "2 ohm")), "conductors": "4 mm2"}
        inputs["sources"][0]["barrier earth"] = own
    else:
        earth["conductors"] = rng.choice(("3 x 1.5 mm2", "6 mm2", "4 mm2"))


def source_place(rng: Random, _setting: Setting, inputs: Json) -> None:
    source = _source(rng, inputs)
    if chance(rng, 25):
        _blank(rng, inputs["declarations"], "source place")
        return
    zone = rng.choice(("1", "2", "2", "2"))
    group = rng.choice(("IIC", "IIB", "IIA"))
    source["place"] = {"zone": zone, "group": group, "temperature": rng.choice(("T4", "T3"))}
    way = rng.randrange(6)
    if way == 0:
        source["body"] = "none"
    elif way == 1:
        return
    else:
        source["body"] = {
            "EPL": "G" + (LETTER[2] if zone == "1" else rng.choice("bc")),
            "group": rng.choice(("IIC", "IIC", "IIB")),
            "temperature": rng.choice(("T4", "T4", "T3", "T6")),
        }
        if way == 2:
            _blank(rng, source["body"], rng.choice(("EPL", "group", "temperature")))
        elif way == 3:
            source["body"]["EPL"] = rng.choice(("Gc", "Dc", "Gb"))


def apparatus_place(rng: Random, setting: Setting, inputs: Json) -> None:
    """In another place than the area; or an EPL that does not suit."""
    item = _certified(rng, inputs)
    if item is None or setting.dust is not None:
        return
    if setting.kind == "G" and setting.code == "IEC" and chance(rng, 60):
        item["place"] = rng.choice(("safe area", "zone 2", "zone 1", "zone 2"))
    if chance(rng, 50):
        row = _holder(item, "EPL", rng)
        if "alternatives" not in item:
            row["EPL"] = setting.kind + rng.choice("abc" if setting.kind != "M" else "ab")


def suffix(rng: Random, _setting: Setting, inputs: Json) -> None:
    item = rng.choice([*inputs["apparatus"], *inputs["sources"]])
    item["suffix"] = rng.choices(("X", "U"), (80, 20))[0]
    if chance(rng, 55):
        item["conditions answered"] = rng.choice(("yes", "yes", "yes", "unknown"))


def powered(rng: Random, _setting: Setting, inputs: Json) -> None:
    item = rng.choice(inputs["apparatus"])
    item["powered"] = rng.choice(("battery", "auxiliary supply"))
    way = rng.randrange(4)
    if way == 0:
        item["output"] = "passive"
    elif way == 1:
        item |= {"Uo": "1.2 V", "Io": "80 mA", "Po": "20 mW"}
    elif way == 2:
        item |= {"Uo": "1.5 V", "Io": "100 mA", "Po": "25 mW"}
        if chance(rng, 40):
            _blank(rng, item, rng.choice(("Uo", "Io", "Po")))
    elif chance(rng, 20):
        item["output"] = "unknown"


Defect = Callable[[Random, Setting, Json], None]
DEFECTS: tuple[tuple[Defect, int], ...] = (
    (lower_limit, 12),
    (blank_limit, 5),
    (bad_limit, 2),
    (blank_energy, 4),
    (more_energy, 7),
    (longer, 6),
    (blank_length, 2),
    (many_cores, 3),
    (no_resistance, 3),
    (construction, 4),
    (blank_source_limit, 4),
    (slip, 6),
    (power_slip, 4),
    (blank_output, 4),
    (bad_output, 2),
    (shape, 3),
    (more_output, 6),
    (level, 6),
    (group, 6),
    (other_zone, 4),
    (blank_area, 2),
    (temperature, 6),
    (ambient, 7),
    (simple, 11),
    (supply, 9),
    (earthing, 6),
    (barrier_earth, 5),
    (source_place, 7),
    (apparatus_place, 5),
    (suffix, 8),
    (powered, 7),
)
COUNTS, COUNT_WEIGHTS = (0, 1, 2, 3, 5), (16, 42, 24, 12, 6)


def spoil(rng: Random, setting: Setting, inputs: Json) -> None:
    """Put in some defects; many circuits keep none."""
    count = rng.choices(COUNTS, COUNT_WEIGHTS)[0]
    left = list(DEFECTS)
    for _ in range(count):
        chosen = rng.choices(left, [weight for _, weight in left])[0]
        left.remove(chosen)
        chosen[0](rng, setting, inputs)
