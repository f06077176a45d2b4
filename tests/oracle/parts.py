"""The parts of a circuit, read from the inputs of a worked case: area, source, apparatus, run."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from oracle.quantities import (
    UNKNOWN,
    ZERO,
    Json,
    Notes,
    Value,
    blank,
    read,
    read_range,
    read_temperature,
)

LEVELS = {"ia": 3, "ib": 2, "ic": 1}
NAMES = {3: "ia", 2: "ib", 1: "ic"}
LETTERS = {3: "a", 2: "b", 1: "c"}
ZONES = {
    "0": ("G", 3),
    "1": ("G", 2),
    "2": ("G", 1),
    "20": ("D", 3),
    "21": ("D", 2),
    "22": ("D", 1),
}
# Suitability: family, kind of place, rank inside the family.
GROUPS = {
    "I": ("I", 1),
    "IIA": ("II", 1),
    "IIB": ("II", 2),
    "IIB+H2": ("II", 3),
    "IIC": ("II", 4),
    "IIIA": ("III", 1),
    "IIIB": ("III", 3),
    "IIIC": ("III", 4),
    "D": ("II", 1),
    "C": ("II", 2),
    "B": ("II", 3),
    "A": ("II", 4),
    "G": ("III", 2),
    "F": ("III", 3),
    "E": ("III", 4),
}
FAMILY_KIND = {"I": "M", "II": "G", "III": "D"}
# Spark limits: the group whose tables and energies hold.
SPARK = {
    "I": "I",
    "IIA": "IIA",
    "D": "IIA",
    "IIB": "IIB",
    "C": "IIB",
    "III": "IIB",
    "IIIA": "IIB",
    "IIIB": "IIB",
    "IIIC": "IIB",
    "E": "IIB",
    "F": "IIB",
    "G": "IIB",
    "IIC": "IIC",
    "IIB+H2": "IIC",
    "A": "IIC",
    "B": "IIC",
}
HARDEST = ("IIC", "IIB", "IIA", "I")
TIERS = {"IIA": ("IIA", "IIB", "IIC"), "IIB": ("IIB", "IIC"), "IIC": ("IIC",)}
NON_LINEAR = ("trapezoidal", "rectangular", "non-linear")


def split(text: object) -> list[str]:
    """The members of "IIC, IIIC"; empty for unknown."""
    if blank(text) or not isinstance(text, str):
        return []
    return [part.strip() for part in text.split(",") if part.strip()]


@dataclass(slots=True)
class Area:
    code: str
    group: str | None
    kind: str | None  # G, D, M
    asked: int | None  # rank of the level that the area asks
    place: str | None
    temperature: tuple[Fraction, str] | None
    ambient: tuple[Fraction, Fraction] | None
    ambient_text: str | None
    label: str
    circuit: int | None  # rank that the most onerous place of any part asks of the circuit

    @property
    def spark(self) -> str | None:
        return None if self.group is None else SPARK[self.group]

    @property
    def gas(self) -> bool:
        return self.kind == "G"


def epl(text: object) -> tuple[str, int] | None:
    """Kind and rank of "Gb"."""
    if not isinstance(text, str) or len(text) != 2:
        return None
    ranks = {"a": 3, "b": 2, "c": 1}
    if text[0] not in "GDM" or text[1] not in ranks:
        return None
    return text[0], ranks[text[1]]


def read_area(notes: Notes, data: Json) -> Area:
    group = None if blank(data.get("group")) else str(data["group"])
    if group is not None and group not in GROUPS:
        Notes.add(notes.bad, f"area: group {group!r}")
        group = None
    zone, division, own = data.get("zone"), data.get("division"), epl(data.get("EPL"))
    kind = None if group is None else FAMILY_KIND[GROUPS[group][0]]
    asked: int | None = None
    place: str | None = None
    if not blank(zone) and str(zone) in ZONES:
        kind, asked = ZONES[str(zone)]
        place = f"zone {zone}"
    elif not blank(division):
        asked = {"1": 3, "2": 1}.get(str(division))
        place = f"Class {data.get('class', '?')} Division {division}"
    if own is not None:
        asked = max(asked or 0, own[1])
        kind = kind or own[0]
        place = place or f"EPL {data['EPL']}"
    ambient = read_range(notes, "area", data.get("ambient"))
    text = data.get("ambient")
    return Area(
        code="NEC" if data.get("code") == "NEC" else "IEC",
        group=group,
        kind=kind,
        asked=asked,
        place=place,
        temperature=read_temperature(notes, "area", data.get("temperature")),
        ambient=ambient,
        ambient_text=text if isinstance(text, str) else None,
        label=group or "unknown",
        circuit=asked,
    )


@dataclass(slots=True)
class Column:
    """One column of a certificate: for some levels and groups."""

    name: str
    levels: list[int]
    groups: list[str]
    data: Json

    @property
    def level(self) -> int | None:
        return max(self.levels) if self.levels else None

    @property
    def spark(self) -> str:
        found = {SPARK[g] for g in self.groups if g in SPARK}
        return next((g for g in HARDEST if g in found), "IIC")


@dataclass(slots=True)
class Source:
    name: str
    data: Json
    Uo: Value
    Io: Value
    Po: Value
    Ci: Value
    Li: Value
    level: int | None
    groups: list[str]
    group_text: str | None
    linear: bool
    checked: bool  # cross-checks apply
    answered: bool
    columns: list[Column] = field(default_factory=list)

    @property
    def live(self) -> bool:
        """Io above 0, or not known to be 0."""
        return self.Io.number is None or self.Io.number > 0


def read_columns(limits: object, level: int | None) -> list[Column]:
    columns: list[Column] = []
    own = [] if level is None else [level]
    if isinstance(limits, dict):
        for key, data in limits.items():
            head, colon, tail = key.rpartition(":")
            levels = [LEVELS[x] for x in split(head) if x in LEVELS] if colon else own
            columns.append(Column(key, levels, split(tail), data))
    elif isinstance(limits, list):
        for data in limits:
            levels = [LEVELS[x] for x in split(data.get("level")) if x in LEVELS]
            group = data.get("group", "")
            name = f"{data['level']}: {group}" if levels else str(group)
            columns.append(Column(name, levels or own, split(group), data))
    return columns


def read_source(notes: Notes, data: Json) -> Source:
    name = str(data.get("name", "source"))
    level = LEVELS.get(str(data.get("level", "")))
    Uo = read(notes, name, "Uo", data.get("Uo"), "V")
    Io = read(notes, name, "Io", data.get("Io"), "A")
    Po = read(notes, name, "Po", data.get("Po"), "W")
    volts = Uo.number
    if Io.number == 0 and blank(data.get("Io words")) and (volts is None or volts > Fraction(3, 2)):
        Io = UNKNOWN  # no output current is believed only with the words of the document
    output = data.get("output")
    linear = False
    if output == "linear" and Uo.number is not None and Io.number is not None:
        product = Uo.number * Io.number
        if product == 0:
            linear = True
        elif Po.number is not None:
            linear = Fraction(95, 100) <= 4 * Po.number / product <= Fraction(105, 100)
    return Source(
        name=name,
        data=data,
        Uo=Uo,
        Io=Io,
        Po=Po,
        Ci=read(notes, name, "Ci", data["Ci"], "F") if "Ci" in data else ZERO,
        Li=read(notes, name, "Li", data["Li"], "H") if "Li" in data else ZERO,
        level=level,
        groups=split(data.get("group")),
        group_text=None if blank(data.get("group")) else str(data["group"]),
        linear=linear,
        checked=output not in NON_LINEAR,
        answered=data.get("cross-check answered") == "yes",
        columns=read_columns(data.get("limits"), level),
    )


def serves(column: Column, tier: str, area: Area) -> bool:
    """Tell whether the column belongs to this tier of the area's list."""
    if tier == "own":
        rank = GROUPS[area.group or "IIIC"][1]
        return any(
            g == "III" or (g in GROUPS and GROUPS[g][0] == "III" and GROUPS[g][1] >= rank)
            for g in column.groups
        )
    if tier == "I":
        return "I" in column.groups
    names = {g: SPARK[g] for g in column.groups if GROUPS.get(g, ("",))[0] == "II"}
    return any(spark == tier and g != "IIB+H2" for g, spark in names.items())


def select_column(source: Source, area: Area) -> Column | None:
    """The most generous column of the level asked or a higher one that serves the area."""
    if area.group is None:
        return None
    family = GROUPS[area.group][0]
    if family == "II":
        tiers: tuple[str, ...] = TIERS[SPARK[area.group]]
    elif family == "III":
        tiers = ("own", "IIB", "IIC")
    else:
        tiers = ("I", "IIA", "IIB", "IIC")
    fitting: list[tuple[int, Column]] = []
    for at, tier in enumerate(tiers):
        for column in source.columns:
            if serves(column, tier, area) and all(c is not column for _, c in fitting):
                fitting.append((at, column))
    if not fitting:
        return None
    asked = 3 if area.circuit is None else area.circuit
    ranks = [c.level or 0 for _, c in fitting]
    floor = min(asked, max(ranks))
    kept = [(at, c) for at, c in fitting if (c.level or 0) >= floor]
    best = min(at for at, _ in kept)
    same = [c for at, c in kept if at == best]
    return min(same, key=lambda c: min((x for x in c.levels if x >= floor), default=0))


@dataclass(slots=True)
class Apparatus:
    name: str
    data: Json
    simple: bool
    Ui: Value
    Ii: Value
    Pi: Value
    Ci: Value
    Li: Value
    level: int | None
    groups: list[str]
    group_text: str | None


def read_apparatus(notes: Notes, data: Json) -> Apparatus:
    name = str(data.get("name", "apparatus"))
    return Apparatus(
        name=name,
        data=data,
        simple=data.get("kind") == "simple",
        Ui=read(notes, name, "Ui", data.get("Ui"), "V"),
        Ii=read(notes, name, "Ii", data.get("Ii"), "A", not_limiting=True),
        Pi=read(notes, name, "Pi", data.get("Pi"), "W", not_limiting=True),
        Ci=read(notes, name, "Ci", data.get("Ci"), "F"),
        Li=read(notes, name, "Li", data.get("Li"), "H"),
        level=LEVELS.get(str(data.get("level", ""))),
        groups=split(data.get("group")),
        group_text=None if blank(data.get("group")) else str(data["group"]),
    )


@dataclass(slots=True)
class Run:
    name: str
    data: Json
    length: Fraction | None
    C: Fraction | None  # per metre
    L: Fraction | None
    ratio: Fraction | None  # H/ohm, without the default
    default_ratio: bool  # 30 uH/ohm may stand in, up to 3 A


PF, UH = Fraction(1, 10**12), Fraction(1, 10**6)
FOOT = Fraction(3048, 10000)
DEFAULT_C = {"IEC": (200 * PF, "200 pF/m"), "NEC": (60 * PF / FOOT, "60 pF/ft")}
DEFAULT_L = {"IEC": UH, "NEC": UH / 5 / FOOT}
DEFAULT_RATIO = 30 * UH
HALF = Fraction(1, 2)


def _capacitance(notes: Notes, name: str, data: Json, *, earthed: bool) -> Fraction | None:
    """Per metre, from the total or from core-core and core-screen; None is unknown."""
    if "C" in data:
        return read(notes, name, "C", data["C"], "F/m").number
    core = read(notes, name, "C_core", data.get("C_core"), "F/m").number
    screen = read(notes, name, "C_screen", data.get("C_screen"), "F/m").number
    use = data.get("screen")
    if core is None or (screen is None and not blank(use) and use != "none"):
        return None
    if screen is None or use == "none":
        return core
    half = use == "floating" or (use == "earthed" and not earthed)
    return core + screen * (HALF if half else 1)


def read_run(notes: Notes, number: int, data: Json, code: str, *, earthed: bool) -> Run:
    name = f"run {number}"
    ordinary = blank(data.get("cores")) or str(data["cores"]) in ("2", "3")
    C = _capacitance(notes, name, data, earthed=earthed)
    L = read(notes, name, "L", data.get("L"), "H/m").number
    loop = read(notes, name, "R_loop", data.get("R_loop"), "ohm/m").number
    core = read(notes, name, "R_core", data.get("R_core"), "ohm/m").number
    if loop is None and core is not None:
        loop = 2 * core
    if C is None and ordinary and not notes_bad(notes, name, ("C", "C_core", "C_screen")):
        C, text = DEFAULT_C[code]
        Notes.add(notes.assumptions, f"{name}: capacitance {text}")
    default_ratio = False
    if L is None and ordinary and not notes_bad(notes, name, ("L",)):
        L = DEFAULT_L[code]
        if code == "NEC":
            Notes.add(notes.assumptions, f"{name}: inductance 0.20 uH/ft")
        elif loop is None:
            default_ratio = True
            Notes.add(notes.assumptions, f"{name}: inductance 1 uH/m or 30 uH/ohm")
        else:
            Notes.add(notes.assumptions, f"{name}: inductance 1 uH/m")
    ratio = read(notes, name, "L/R", data.get("L/R"), "H/ohm").number
    if ratio is None and L is not None and loop is not None and loop > 0:
        ratio = L / loop
    return Run(
        name=name,
        data=data,
        length=read(notes, name, "length", data.get("length"), "m").number,
        C=C,
        L=L,
        ratio=ratio,
        default_ratio=default_ratio and ratio is None,
    )


def notes_bad(notes: Notes, owner: str, names: tuple[str, ...]) -> bool:
    """Was one of these refused? A refused figure is no figure "not known" that a default fills."""
    return any(text.startswith(f"{owner}: {name} ") for text in notes.bad for name in names)
