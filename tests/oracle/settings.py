"""Areas and sources of random circuits that would pass if nothing else were wrong."""

from __future__ import annotations

import copy
from dataclasses import dataclass
from fractions import Fraction
from random import Random

from oracle import energy
from oracle.figures import between, chance, sig, write
from oracle.quantities import Json

MILLI = Fraction(1, 1000)
LEVEL_OF_ZONE = {"0": 3, "1": 2, "2": 1, "20": 3, "21": 2, "22": 1}
NAME = {3: "ia", 2: "ib", 1: "ic"}
LETTER = {3: "a", 2: "b", 1: "c"}
WORDS = ("alder", "birch", "cedar", "elm", "hazel", "larch", "maple", "oak", "pine", "rowan")


@dataclass(slots=True)
class Setting:
    """The area, and what it asks, for building parts that suit it."""

    area: Json
    code: str
    kind: str  # G, D, M
    group: str
    asked: int
    limit: str  # temperature asked
    low: int
    high: int  # ambient
    marks: tuple[str, ...]  # groups of apparatus that suit
    source_marks: tuple[str, ...]
    columns: tuple[tuple[str, str], ...]  # name, spark group; the first one serves
    dust: Json | None = None


GAS_MARKS = {
    "IIA": ("IIA", "IIB", "IIC", "IIB+H2"),
    "IIB": ("IIB", "IIC", "IIB+H2"),
    "IIB+H2": ("IIB+H2", "IIC"),
    "IIC": ("IIC",),
}
GAS_COLUMNS = {
    "IIA": (("IIA", "IIA"), ("IIB", "IIB"), ("IIC", "IIC")),
    "IIB": (("IIB", "IIB"), ("IIC", "IIC"), ("IIA", "IIA")),
    "IIB+H2": (("IIC", "IIC"), ("IIB", "IIB")),
    "IIC": (("IIC", "IIC"), ("IIB", "IIB"), ("IIA", "IIA")),
}
DUST_MARKS = {
    "IIIA": ("IIIA", "IIIB", "IIIC"),
    "IIIB": ("IIIB", "IIIC"),
    "IIIC": ("IIIC",),
}
DUST_COLUMNS = (
    (("IIIC", "IIB"), ("IIC", "IIC")),
    (("III", "IIB"), ("IIB", "IIB"), ("IIC", "IIC")),
    (("IIB", "IIB"), ("IIC", "IIC")),
    (("IIC", "IIC"),),
)
NEC_MARKS = {
    "A": ("A, B, C, D",),
    "B": ("A, B, C, D", "B, C, D"),
    "C": ("A, B, C, D", "B, C, D", "C, D"),
    "D": ("A, B, C, D", "C, D", "D"),
    "E": ("E, F, G",),
    "F": ("E, F, G", "F, G"),
    "G": ("E, F, G", "F, G", "G"),
}
NEC_COLUMNS = {
    "A": (("A, B", "IIC"), ("C", "IIB"), ("D", "IIA")),
    "B": (("A, B", "IIC"), ("C", "IIB"), ("D", "IIA")),
    "C": (("C", "IIB"), ("A, B", "IIC"), ("D", "IIA")),
    "D": (("D", "IIA"), ("C", "IIB"), ("A, B", "IIC")),
    "E": (("E, F, G", "IIB"), ("A, B", "IIC")),
    "F": (("C", "IIB"), ("A, B", "IIC")),
    "G": (("E, F, G", "IIB"), ("C", "IIB")),
}
AMBIENTS = ((-20, 40), (-20, 40), (-20, 40), (-20, 60), (-40, 55), (0, 50), (-20, 50), (-30, 70))


def _ambient(rng: Random, code: str, area: Json) -> tuple[int, int]:
    low, high = rng.choice(AMBIENTS)
    if code == "NEC" and chance(rng, 50):
        low, high = rng.choice(((-20, 40), (-20, 60), (-40, 50)))
        area["ambient"] = f"{low * 9 // 5 + 32} to {high * 9 // 5 + 32} F"
    else:
        area["ambient"] = f"{low} to {high} C"
    return low, high


def _gas(rng: Random) -> Setting:
    group = rng.choices(("IIC", "IIB", "IIA", "IIB+H2"), (45, 28, 20, 7))[0]
    zone = rng.choices(("0", "1", "2"), (25, 45, 30))[0]
    limit = rng.choices(("T4", "T3", "T6", "T5", "T1", "T2"), (60, 12, 8, 8, 6, 6))[0]
    area: Json = {"code": "IEC", "zone": zone, "group": group, "temperature": limit}
    asked = LEVEL_OF_ZONE[zone]
    if chance(rng, 10):
        stated = rng.randint(1, 3)
        area["EPL"] = "G" + LETTER[stated]
        asked = max(asked, stated)
    low, high = _ambient(rng, "IEC", area)
    marks = GAS_MARKS[group]
    sources = tuple(dict.fromkeys([*marks, "IIC, IIIC"]))
    columns = GAS_COLUMNS[group]
    return Setting(
        area,
        "IEC",
        "G",
        group,
        asked,
        limit,
        low,
        high,
        marks,
        sources,
        columns[: rng.randint(1, 3)],
    )


def _dust(rng: Random) -> Setting:
    group = rng.choice(("IIIC", "IIIC", "IIIB", "IIIA"))
    zone = rng.choices(("20", "21", "22"), (25, 45, 30))[0]
    limit = f"{rng.choice((135, 120, 150, 200, 225))} C"
    area: Json = {"code": "IEC", "zone": zone, "group": group, "temperature": limit}
    low, high = _ambient(rng, "IEC", area)
    marks = DUST_MARKS[group]
    sources = ("IIC, IIIC", "IIIC")
    asked = LEVEL_OF_ZONE[zone]
    columns = rng.choice(DUST_COLUMNS)
    return Setting(area, "IEC", "D", group, asked, limit, low, high, marks, sources, columns)


def _nec(rng: Random) -> Setting:
    dust = chance(rng, 20)
    group = rng.choice(("E", "F", "G") if dust else ("A", "B", "B", "C", "D"))
    division = rng.choice(("1", "2"))
    limit = "135 C" if dust else rng.choice(("T4", "T4", "T3", "T3C", "T5", "T4A"))
    area: Json = {
        "code": "NEC",
        "class": "II" if dust else "I",
        "division": division,
        "group": group,
        "temperature": limit,
    }
    low, high = _ambient(rng, "NEC", area)
    asked = 3 if division == "1" else 1
    marks = NEC_MARKS[group]
    columns = NEC_COLUMNS[group]
    kind = "D" if dust else "G"
    sources = (f"A, B, C, D, {marks[0]}",) if dust else marks
    return Setting(area, "NEC", kind, group, asked, limit, low, high, marks, sources, columns)


def _mine(rng: Random) -> Setting:
    asked = rng.choice((3, 2))
    limit = rng.choice(("150 C", "450 C"))
    area: Json = {
        "code": "IEC",
        "group": "I",
        "EPL": "M" + LETTER[asked],
        "temperature": limit,
    }
    low, high = _ambient(rng, "IEC", area)
    columns = rng.choice(((("I", "I"),), (("I", "I"), ("IIC", "IIC")), (("IIB", "IIB"),)))
    return Setting(area, "IEC", "M", "I", asked, limit, low, high, ("I",), ("I", "I, IIC"), columns)


def _gas_and_dust(rng: Random) -> Setting:
    setting = _gas(rng)
    area = setting.area
    gas = {key: area.pop(key) for key in ("zone", "group", "temperature", "EPL") if key in area}
    group = rng.choice(("IIIC", "IIIB"))
    zone = rng.choice(("20", "21", "22"))
    dust = {"zone": zone, "group": group, "temperature": rng.choice(("135 C", "150 C"))}
    area["atmospheres"] = [gas, dust] if chance(rng, 70) else [dust, gas]
    area["hybrid"] = "no" if chance(rng, 97) else "yes"
    setting.asked = max(setting.asked, LEVEL_OF_ZONE[zone])
    setting.dust = dust
    setting.source_marks = ("IIC, IIIC",)
    if all(spark != "IIB" for _, spark in setting.columns):
        setting.columns = (*setting.columns, ("IIB", "IIB"), ("IIC", "IIC"))
        setting.columns = tuple(dict.fromkeys(setting.columns))
    return setting


def random_setting(rng: Random) -> Setting:
    kinds = (_gas, _dust, _nec, _mine, _gas_and_dust)
    return rng.choices(kinds, (58, 14, 15, 5, 8))[0](rng)


# --- sources --------------------------------------------------------------------------------


def _reference(
    spark: str, U: Fraction, current: Fraction, factor: Fraction
) -> tuple[Fraction | None, Fraction | None, Fraction | None]:
    """Co, Lo and Lo/Ro of the tables and formulas."""
    Co = energy.permitted_capacitance(U, "IIA" if spark == "I" else spark, factor)
    if current == 0:
        return Co, None, None
    Lo = energy.inductance_by_energy(current, spark, factor)
    return Co, Lo, energy.ratio_about(U, current, spark, factor)


def _share(rng: Random) -> Fraction:
    return between(rng, 0.7, 1.05) if chance(rng, 80) else between(rng, 0.2, 1.24)


def _row(
    rng: Random, spark: str, U: Fraction, current: Fraction, factor: Fraction, *, ratio: bool
) -> Json:
    Co, Lo, LR = _reference(spark, U, current or 90 * MILLI, factor)
    row: Json = {}
    if Co is not None:
        row["Co"] = write(rng, sig(Co * _share(rng), rng.randint(2, 3)), "F")
    if Lo is not None:
        row["Lo"] = write(rng, sig(Lo * _share(rng), rng.randint(2, 3)), "H")
    if LR is not None and ratio:
        row["Lo/Ro"] = write(rng, sig(LR * _share(rng), 2), "H/ohm")
    return row


def _pairs(rng: Random, spark: str, U: Fraction, current: Fraction, factor: Fraction) -> Json:
    Co, Lo, _ = _reference(spark, U, current, factor)
    if Co is None or Lo is None:
        return _row(rng, spark, U, current, factor, ratio=False)
    rows = []
    for at in range(rng.randint(2, 4)):
        less, more = Fraction(10 - 2 * at, 10), Fraction(2 + 2 * at, 10)
        rows.append(
            {
                "Co": write(rng, sig(Co * less, rng.randint(2, 3)), "F"),
                "Lo": write(rng, sig(Lo * more, rng.randint(2, 3)), "H"),
            }
        )
    return {"pairs": rows}


def limits(
    rng: Random, setting: Setting, level: int, U: Fraction, current: Fraction, *, single: bool
) -> object:
    """The columns of a certificate: by group, by level and group, or pairs."""
    style = rng.choices(("plain", "levels", "pairs"), (74, 14, 12))[0] if single else "plain"
    ratio = chance(rng, 70)
    own = energy.ONE if level == 1 else energy.FULL
    if style == "pairs":
        return {n: _pairs(rng, s, U, current, own) for n, s in setting.columns}
    if style == "plain" or level == 1:
        return {n: _row(rng, s, U, current, own, ratio=ratio) for n, s in setting.columns}
    full = [(n, _row(rng, s, U, current, energy.FULL, ratio=ratio)) for n, s in setting.columns]
    easy = [(n, _row(rng, s, U, current, energy.ONE, ratio=ratio)) for n, s in setting.columns]
    names = "ia, ib" if level == 3 else "ib"
    if chance(rng, 50):
        rows = [{"level": names, "group": n, **row} for n, row in full]
        return rows + [{"level": "ic", "group": n, **row} for n, row in easy]
    keyed = {f"{names}: {n}": row for n, row in full}
    return keyed | {f"ic: {n}": row for n, row in easy}


def _electric(rng: Random, setting: Setting, count: int) -> tuple[Fraction, Fraction]:
    """Uo and Io below the permitted current of the hardest column."""
    digits = rng.randint(2, 4)
    high = 29.0 if count == 1 else 24.0 / count + 4
    U = sig(between(rng, 5.0, high), digits)
    hardest = next(
        (g for g in ("IIC", "IIB", "IIA") if any(s == g for _, s in setting.columns)), "IIB"
    )
    most = energy.permitted_current(U, hardest, energy.FULL) or 50 * MILLI
    if count == 1:
        most = min(most, Fraction(5) / U)
        share = between(rng, 0.2, 0.95)
    else:
        total = {"IIC": 170, "IIB": 330, "IIA": 480}[hardest] * MILLI
        alike = energy.permitted_current(U * count, hardest, energy.FULL) or 40 * MILLI
        most = min(total, most, alike * 2) / count
        share = between(rng, 0.3, 0.9) if chance(rng, 70) else between(rng, 0.9, 3.0)
    return U, sig(most * share, rng.randint(2, 3))


def random_source(rng: Random, setting: Setting, number: int, count: int) -> Json:
    """A source that suits the area; one of ``count``."""
    level = rng.choices((3, max(setting.asked, 2), setting.asked), (65, 20, 15))[0]
    if level < setting.asked:
        level = 3
    U, current = _electric(rng, setting, count)
    shape = "linear"
    if count == 1 and chance(rng, 14):
        shape = rng.choice(("trapezoidal", "rectangular", "non-linear"))
    power = U * current / 4
    if shape != "linear":
        power = power * between(rng, 1.2, 3.9)
    source: Json = {
        "name": f"{rng.choice(WORDS)} {rng.choice(('isolator', 'barrier', 'supply'))} {number}",
        "level": NAME[level],
        "group": rng.choice(setting.source_marks),
        "output": shape,
        "Uo": write(rng, U, "V"),
        "Io": write(rng, current, "A"),
        "Po": write(rng, sig(power, 3, up=True), "W"),
        "isolation": "galvanic",
        "Um": rng.choice(("250 V", "253 V", "253 V", "250 V", "264 V")),
        "limits": limits(rng, setting, level, U, current, single=count == 1),
        "ambient": rng.choice(("-20 to 60 C", "-20 to 70 C", "-40 to 60 C", "0 to 55 C")),
        "place ambient": rng.choice(("5 to 45 C", "0 to 50 C", "10 to 40 C", "0 to 55 C")),
    }
    if shape != "linear" and chance(rng, 40):
        source["Co and Lo together"] = "yes"
    return source


def diode_return(rng: Random, supply: Json) -> Json:
    """The return channel of a barrier: no output current by the words of its document."""
    extra: Json = {
        "name": "return channel",
        "Io": rng.choice(("0 mA", "0 A", "0")),
        "Po": "0 W",
        "Io words": "diode return, no output current",
    }
    return {**copy.deepcopy(supply), **extra}


def random_sources(
    rng: Random, setting: Setting, single: int = 85
) -> tuple[list[Json], str | None]:
    """One source in ``single`` per cent, or several with their wiring."""
    if chance(rng, single):
        sources = [random_source(rng, setting, 1, 1)]
        joined = None
    elif chance(rng, 40):
        supply = random_source(rng, setting, 1, 2)
        sources = [supply, diode_return(rng, supply)]
        joined = _wire(rng, sources)
    else:
        count = 2 if chance(rng, 80) else 3
        sources = [random_source(rng, setting, n, count) for n in range(1, count + 1)]
        joined = _wire(rng, sources)
        for source in sources:
            if chance(rng, 8):
                source["Ci"] = write(rng, Fraction(rng.randint(10, 900), 10**12), "F")
                source["Li"] = "0"
    if chance(rng, 30):
        for source in sources:
            source["isolation"] = "earthed barrier"
    return sources, joined


def _wire(rng: Random, sources: list[Json]) -> str | None:
    how = rng.choices(("like", "unlike", "unknown", "joined"), (45, 15, 25, 15))[0]
    if how == "joined":
        return rng.choice(("parallel", "parallel", "series"))
    if how == "like":
        sign = rng.choice(("+", "+", "-"))
        for source in sources:
            source["polarity"] = sign
    elif how == "unlike" and len(sources) == 2:
        for source, sign in zip(sources, rng.choice((("+", "-"), ("a.c.", "a.c."))), strict=True):
            source["polarity"] = sign
    elif how == "unknown" and chance(rng, 50):
        for source in sources:
            source["polarity"] = "unknown"
    return None
