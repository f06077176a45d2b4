"""Random circuits in the input format of the worked cases, the same for the same seed.

A circuit is first built so that it would pass (with equality and last digits on purpose), then a
random number of defects is put in (``defects.py``).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from random import Random

from oracle.combine import Case, cases
from oracle.defects import spoil
from oracle.energy import CAP, OTHER_CAP
from oracle.figures import between, bump, chance, decimal, sig, write
from oracle.parts import Run, read_area, read_run, read_source
from oracle.quantities import CLASSES, Json, Notes, temperature_mark
from oracle.settings import LETTER, NAME, Setting, random_setting, random_sources
from oracle.temperature_rule import BY_POWER

ZERO = Fraction(0)
PICO = Fraction(1, 10**12)


@dataclass(slots=True)
class Budget:
    """What the worst of the cases allows."""

    U: Fraction
    I: Fraction  # noqa: E741 - the symbol of the trade
    P: Fraction
    Co: Fraction
    Lo: Fraction
    ratio: Fraction | None
    pairs: bool
    linear: bool
    together: bool
    cap: Fraction
    single: bool


def budget(found: Sequence[Case], rng: Random) -> Budget:
    """The smallest limits of all cases; a missing one counts as some ordinary figure."""
    Co = [c.Co.known for c in found if c.Co.known]
    Lo = [c.Lo.known for c in found if c.Lo.known]
    pairs = next((c.pairs for c in found if c.pairs), None)
    if pairs:
        usable = [(a, b) for a, b in pairs if a is not None and b is not None]
        if usable:
            one = rng.choice(usable)
            Co, Lo = [one[0]], [one[1]]
    single = len(found) == 1
    return Budget(
        U=max((c.U for c in found if c.U is not None), default=Fraction(24)),
        I=max((c.I for c in found if c.I is not None), default=Fraction(1, 10)),
        P=max((c.P for c in found if c.P is not None), default=Fraction(1, 2)),
        Co=min(Co, default=100000 * PICO),
        Lo=min(Lo, default=Fraction(1, 1000)),
        ratio=found[0].ratio if single else None,
        pairs=bool(pairs),
        linear=found[0].linear,
        together=found[0].together,
        cap=CAP.get(found[0].group or "", OTHER_CAP),
        single=single,
    )


# --- apparatus ------------------------------------------------------------------------------


def _above(rng: Random, least: Fraction, dimension: str) -> str:
    """A limit at least this: equal, one digit above, or comfortably above."""
    exact = decimal(least)
    way = rng.random()
    if exact is not None and len(exact) <= 7 and way < 0.3:
        text = write(rng, least, dimension)
        return text if way < 0.18 else bump(text, 1)
    return write(rng, sig(least * between(rng, 1.03, 2.2), rng.randint(2, 3), up=True), dimension)


def _limits(rng: Random, allowed: Budget) -> Json:
    out: Json = {
        "Ui": _above(rng, allowed.U, "V"),
        "Ii": _above(rng, allowed.I, "A") if chance(rng, 93) else "not limiting",
        "Pi": _above(rng, allowed.P, "W") if chance(rng, 93) else "not limiting",
    }
    return out


def _range(rng: Random, setting: Setting) -> str:
    low = setting.low - rng.choice((0, 0, 5, 10, 20, 1))
    high = setting.high + rng.choice((0, 0, 5, 10, 20, 1))
    return f"{low} to {high} C"


def _mark(rng: Random, limit: str, kind: str) -> str:
    """A temperature mark that suits."""
    most = temperature_mark(limit)
    degrees = Fraction(135) if most is None else most[0]
    if kind == "G":
        fitting = [name for name, value in CLASSES.items() if value <= degrees and len(name) == 2]
        if chance(rng, 4):
            return f"T6...{fitting[0]}"
        return fitting[0] if chance(rng, 55) else rng.choice(fitting)
    exact = int(degrees)
    return f"T{exact if chance(rng, 30) else rng.choice((80, 95, 110, 120))} C"


def _certified(rng: Random, setting: Setting, allowed: Budget) -> Json:
    least = setting.asked
    level = rng.choices((3, max(least, 2), least), (60, 25, 15))[0]
    item: Json = {"kind": "certified", **_limits(rng, allowed)}
    if setting.dust is None:
        item |= {
            "level": NAME[level],
            "group": rng.choice(setting.marks),
            "temperature": _mark(rng, setting.limit, setting.kind),
        }
        if chance(rng, 30):
            item["EPL"] = setting.kind + LETTER[rng.randint(least, 3)]
    else:
        gas = {
            "level": NAME[level],
            "group": rng.choice(setting.marks),
            "temperature": _mark(rng, setting.limit, "G"),
        }
        dust = {
            "level": NAME[level],
            "group": "IIIC",
            "temperature": _mark(rng, str(setting.dust["temperature"]), "D"),
        }
        item["alternatives"] = [gas, dust] if chance(rng, 80) else [dust, gas]
    item["ambient"] = _range(rng, setting)
    if setting.dust is None and setting.kind == "G" and chance(rng, 8):
        _rows(rng, item, setting, allowed)
    if setting.dust is None and chance(rng, 9):
        _alternatives(rng, item, setting)
    return item


def _rows(rng: Random, item: Json, setting: Setting, allowed: Budget) -> None:
    """Temperature by ambient and Pi; the last row is the one that counts."""
    del item["temperature"]
    mark = _mark(rng, setting.limit, "G")
    if "..." in mark:
        mark = "T6"
    low = setting.low - 10
    item["temperature rows"] = [
        {
            "temperature": "T6",
            "ambient": f"{low} to {setting.high - rng.choice((0, 5, 10))} C",
            "Pi": write(rng, sig(allowed.P * between(rng, 0.3, 1.2), 2), "W"),
        },
        {
            "temperature": mark,
            "ambient": f"{low} to {setting.high + rng.choice((0, 5))} C",
            "Pi": _above(rng, allowed.P, "W"),
        },
    ]


def _alternatives(rng: Random, item: Json, setting: Setting) -> None:
    """A second alternative of the mark, worse in one thing; or one of another method."""
    good: Json = {key: item.pop(key) for key in ("level", "group", "Ui", "Pi") if key in item}
    if "EPL" in item:
        good["EPL"] = item.pop("EPL")
    other = dict(good)
    if chance(rng, 30):
        other |= {"method": "FISCO", "Ui": "17.5 V", "Pi": "5.32 W"}
    elif chance(rng, 50):
        other["Ui"] = bump(str(good["Ui"]), -rng.randint(1, 9))
    else:
        other["level"] = NAME[rng.randint(1, 3)]
        other["group"] = rng.choice(("IIA", "IIB", "IIC") if setting.kind == "G" else ("IIIA",))
        other.pop("EPL", None)
        if setting.code == "NEC":
            other["group"] = good["group"]
    item["alternatives"] = [good, other] if chance(rng, 50) else [other, good]


def _simple(rng: Random, setting: Setting, allowed: Budget) -> Json:
    kind = rng.choice(("generating", "passive", "switch", "terminals", "plug"))
    item: Json = {"kind": "simple", "type": kind, "assessment": "yes"}
    item["ambient"] = _range(rng, setting)
    if kind == "generating":
        item |= {"U": "50 mV", "I": rng.choice(("10 mA", "25 mA")), "P": "0.5 mW"}
        if chance(rng, 10):
            item |= {"U": "1.5 V", "I": "100 mA", "P": "25 mW"}
    mark = temperature_mark(setting.limit)
    limit = Fraction(135) if mark is None else mark[0]
    hottest = Fraction(setting.high)
    if kind in ("switch", "terminals", "plug") and hottest <= 40:
        return item
    room = next((w for degrees, w in BY_POWER if hottest <= degrees), ZERO)
    by_power = limit >= 135 and room >= allowed.P
    if by_power and chance(rng, 50):
        item["surface"] = f"{rng.choice((20, 120, 350, 1000, 1500))} mm2"
        return item
    if chance(rng, 15):
        process = setting.high + rng.choice((5, 10, -10))
        item["process"] = f"{process} C"
        hottest = max(hottest, Fraction(process))
    most = (limit - hottest) / allowed.P if allowed.P > 0 else Fraction(300)
    item["Rth"] = f"{decimal(sig(max(most, Fraction(1)) * between(rng, 0.2, 1.0), 3))} K/W"
    if chance(rng, 50):
        item["surface"] = f"{rng.choice((8, 19, 20, 350, 999, 1500))} mm2"
    return item


def random_apparatus(rng: Random, setting: Setting, allowed: Budget) -> list[Json]:
    count = rng.choices((1, 2, 3, 4), (50, 28, 14, 8))[0]
    simple = 22 if setting.kind == "G" and setting.dust is None else 1.5
    items: list[Json] = []
    for number in range(1, count + 1):
        make = _simple if chance(rng, simple) else _certified
        word = rng.choice(("transmitter", "valve", "sensor", "display", "switch box"))
        items.append({"name": f"{word} {number}", **make(rng, setting, allowed)})
    if sum(1 for i in items if i.get("I") == "100 mA") and len(items) > 1:
        for item in items:
            if item.get("type") == "generating":
                item |= {"U": "50 mV", "I": "5 mA", "P": "0.5 mW"}
    return items


# --- stored energy and cable ----------------------------------------------------------------


def _cable(rng: Random, setting: Setting) -> Json:
    run: Json = {}
    if chance(rng, 5):
        run["C"] = "unknown"
    elif chance(rng, 20):
        run["C_core"] = f"{rng.randint(50, 120)} pF/m"
        if chance(rng, 85):
            run["C_screen"] = f"{rng.randint(80, 200)} pF/m"
            run["screen"] = rng.choice(("tied to one core", "floating", "earthed", "unknown"))
    else:
        run["C"] = rng.choice(
            (f"{rng.randint(60, 200)} pF/m", f"{rng.randint(60, 200)} nF/km", "0.11 nF/m")
        )
    if chance(rng, 5):
        run["L"] = "unknown"
    else:
        run["L"] = rng.choice((f"0.{rng.randint(55, 99)} mH/km", "0.7 uH/m", "1 uH/m"))
    if run["L"] != "unknown" and chance(rng, 75):
        key, low, high = rng.choice((("R_loop", 240, 780), ("R_core", 121, 390)))
        run[key] = f"{decimal(Fraction(rng.randint(low, high), 10))} ohm/km"
    if setting.code == "NEC" and chance(rng, 40):
        run["C"] = rng.choice((f"{rng.randint(25, 60)} pF/ft", "unknown"))
        run.pop("C_core", None)
        run.pop("C_screen", None)
        run.pop("screen", None)
        run["L"] = rng.choice((f"0.{rng.randint(15, 25)} uH/ft", "unknown"))
    if chance(rng, 6):
        run["cores"] = rng.choice(("2", "3"))
    return run


def _length(rng: Random, metres: Fraction, code: str) -> tuple[str, Fraction]:
    """A length of few digits, not above."""
    if code == "NEC" and chance(rng, 70):
        feet = sig(metres / Fraction(3048, 10000), rng.randint(2, 3)) or Fraction(1)
        return f"{decimal(feet)} ft", feet * Fraction(3048, 10000)
    found = sig(metres, rng.randint(2, 4)) or Fraction(1)
    return write(rng, found, "m"), found


@dataclass(slots=True)
class Plan:
    """How the stored energy is spent."""

    Ci: Fraction
    Li: Fraction
    C: Fraction  # the whole limit, after k
    L: Fraction
    edge: str


def _plan(rng: Random, allowed: Budget) -> Plan:
    """Which lumped parts there are: none, one, both, or exactly 1 % of a limit."""
    names = ["none", "C", "L"]
    weights = [40, 22, 14]
    if allowed.single and not allowed.pairs and (allowed.linear or allowed.together):
        names += ["both", "C exact", "L exact", "both exact", "below"]
        weights += [14, 4, 4, 2, 5]
    elif allowed.pairs:
        names += ["both"]
        weights += [30]
    kind = rng.choices(names, weights)[0]
    one_C, one_L = allowed.Co / 100, allowed.Lo / 100
    k = 1
    Ci, Li = ZERO, ZERO
    some_C = sig(allowed.Co * between(rng, 0.02, 0.4), 2)
    some_L = sig(allowed.Lo * between(rng, 0.02, 0.4), 2)
    if kind == "C":
        Ci, Li = some_C, sig(one_L * between(rng, 0.0, 0.9), 2)
    elif kind == "L":
        Ci, Li = sig(one_C * between(rng, 0.0, 0.9), 2), some_L
    elif kind in ("both", "C exact", "L exact", "both exact"):
        k = 1 if allowed.pairs or allowed.together else 2
        Ci = one_C if kind in ("C exact", "both exact") else some_C
        Li = one_L if kind in ("L exact", "both exact") else some_L
    elif kind == "below":
        Ci, Li = one_C - sig(one_C, 1) / 100, some_L
    elif chance(rng, 60):
        Ci, Li = sig(one_C * between(rng, 0.0, 0.95), 2), sig(one_L * between(rng, 0.0, 0.95), 2)
    C, L = allowed.Co / k, allowed.Lo / k
    if k == 2:
        C = min(C, allowed.cap)
        Ci = min(Ci, sig(C * Fraction(8, 10), 2)) if kind in ("both", "L exact") else Ci
    edge = rng.choices(("", "equal C", "equal L", "above C", "above L"), (78, 8, 5, 3, 3))[0]
    if edge[-1:] == "C" and kind not in ("C", "both"):
        edge = ""
    if edge[-1:] == "L" and kind not in ("L", "both"):
        edge = ""
    return Plan(Ci, Li, C, L, edge)


def _spread(rng: Random, total: Fraction, items: list[Json], key: str, dimension: str) -> None:
    """Give the total to one or two of the items, exactly; the others have none."""
    for item in items:
        item[key] = rng.choice(("0", "0", "negligible"))
    if total <= 0:
        return
    chosen = rng.sample(items, min(len(items), rng.choice((1, 1, 2))))
    left = total
    if len(chosen) == 2:
        part = sig(total * between(rng, 0.2, 0.8), 2)
        chosen[1][key] = write(rng, part, dimension)
        left -= part
    chosen[0][key] = write(rng, left, dimension)


def _runs(rng: Random, setting: Setting, plan: Plan, allowed: Budget) -> list[Json]:
    """Cables whose lengths keep both totals, or L/R instead of L."""
    runs = [_cable(rng, setting) for _ in range(rng.choices((1, 2, 3, 4), (55, 27, 12, 6))[0])]
    parts = [read_run(Notes(), 1, run, setting.code, earthed=True) for run in runs]
    share = between(rng, 0.05, 1.0)
    room_C, room_L = (plan.C - plan.Ci) * share, (plan.L - plan.Li) * share
    weights = [between(rng, 0.2, 1.0) for _ in runs]
    total = sum(weights, ZERO)
    C = sum((w / total * (p.C or ZERO) for w, p in zip(weights, parts, strict=True)), ZERO)
    L = sum((w / total * (p.L or ZERO) for w, p in zip(weights, parts, strict=True)), ZERO)
    metres = max(room_C, ZERO) / C if C > 0 else Fraction(100)
    if L > 0 and not (_by_ratio(plan, allowed, parts) and chance(rng, 60)):
        metres = min(metres, max(room_L, ZERO) / L)
    metres = min(metres, Fraction(6000))
    for run, weight in zip(runs, weights, strict=True):
        run["length"], _ = _length(rng, metres * weight / total, setting.code)
    return runs


def _by_ratio(plan: Plan, allowed: Budget, parts: Sequence[Run]) -> bool:
    if allowed.ratio is None or 100 * plan.Li >= allowed.Lo:
        return False
    return all(p.ratio is not None and p.ratio <= allowed.ratio for p in parts)


def _equalise(
    rng: Random, setting: Setting, plan: Plan, items: list[Json], runs: list[Json]
) -> None:
    """Make one total equal to its limit to the last digit, or one digit above."""
    parts = [read_run(Notes(), 1, run, setting.code, earthed=True) for run in runs]
    if any(p.C is None or p.L is None or p.length is None for p in parts):
        return
    if plan.edge.endswith("C"):
        cable = sum(((p.C or ZERO) * (p.length or ZERO) for p in parts), ZERO)
        left = plan.C - cable + (PICO if plan.edge.startswith("above") else 0)
        key, dimension = "Ci", "F"
    else:
        cable = sum(((p.L or ZERO) * (p.length or ZERO) for p in parts), ZERO)
        left = plan.L - cable + (PICO * 1000 if plan.edge.startswith("above") else 0)
        key, dimension = "Li", "H"
    if left > 0 and decimal(left) is not None:
        _spread(rng, left, items, key, dimension)


# --- the whole ------------------------------------------------------------------------------


def _declarations(rng: Random) -> Json:
    return {
        "safe side": rng.choice(("250 V", "250 V", "230 V")),
        "source place": "safe area",
        "apparatus isolation": "500 V",
        "barrier earth": {
            "resistance": rng.choice(("0.8 ohm", "1 ohm", "0.3 ohm", "950 mohm")),
            "conductors": rng.choice(("2 x 1.5 mm2", "4 mm2", "1 x 4 mm2", "2 x 2.5 mm2")),
        },
        "cable construction": "evidenced",
    }


def random_inputs(seed: int, *, extras: bool = False, single: int = 85) -> Json:
    """The circuit of this seed, in the input format of ``cases.json``."""
    rng = Random(seed)
    setting = random_setting(rng)
    sources, joined = random_sources(rng, setting, single)
    notes = Notes()
    rows = setting.area.get("atmospheres", [{}])
    base = {k: v for k, v in setting.area.items() if k != "atmospheres"}
    found: list[Case] = []
    for row in rows:
        area = read_area(notes, {**base, **row})
        found += cases(notes, [read_source(notes, s) for s in sources], area, joined)
    allowed = budget(found, rng)
    plan = _plan(rng, allowed)
    items = random_apparatus(rng, setting, allowed)
    _spread(rng, plan.Ci, items, "Ci", "F")
    _spread(rng, plan.Li, items, "Li", "H")
    runs = _runs(rng, setting, plan, allowed)
    if plan.edge:
        _equalise(rng, setting, plan, items, runs)
    inputs: Json = {
        "area": setting.area,
        "sources": sources,
        "apparatus": items,
        "runs": runs,
        "declarations": _declarations(rng),
    }
    if joined is not None:
        inputs["joined"] = joined
    if chance(rng, 15):
        inputs["ask"] = {"run": rng.randint(1, len(runs))}
        if chance(rng, 40):
            inputs["ask"]["functional limit"] = rng.choice(("1000 m", "5000 ft", "2.5 km"))
    if extras:
        _extras(rng, setting, allowed, inputs)
    spoil(rng, setting, inputs)
    return inputs


def _extras(rng: Random, setting: Setting, allowed: Budget, inputs: Json) -> None:
    """Service tools and multicores, only where asked for."""
    if chance(rng, 20):
        tool = {"kind": "certified", **_limits(rng, allowed), "Ci": "5 nF", "Li": "0"}
        tool |= {"level": "ia", "group": setting.marks[-1], "temperature": "T6"}
        inputs["service tool"] = {**tool, "ambient": _range(rng, setting)}
    if chance(rng, 20):
        other_sources, _ = random_sources(rng, setting)
        others = random_apparatus(rng, setting, allowed)
        for item in others:
            item |= {"Ci": "1 nF", "Li": "0"}
        run = {"length": "100 m", "C": "120 pF/m", "L": "0.7 uH/m", "R_loop": "70 ohm/km"}
        inputs["multicore"] = {
            "type": rng.choice(("A", "B", "C", "unknown")),
            "screen coverage": rng.choice(("60 %", "85 %", "50 %")),
            "fixed and protected": rng.choice(("yes", "no")),
            "returns": rng.choice(("common", "isolated")),
            "other circuits": [
                {"name": "neighbour", "sources": other_sources, "apparatus": others, "runs": [run]}
            ],
        }
