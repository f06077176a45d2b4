"""A FISCO segment that keeps every limit, to be spoiled one fact at a time.

One source with a terminator built in, a trunk of 300 m, two spurs, two devices and the second
terminator. Figures from memory of IEC 60079-11:2011 Annex G.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import subspark as ss
from subspark.model import SAFE_AREA, Entry, Method
from subspark.quantity import (
    Capacitance,
    CapacitancePerLength,
    Current,
    Evidence,
    Inductance,
    InductancePerLength,
    Length,
    Power,
    Resistance,
    ResistancePerLength,
    TemperatureRange,
    Voltage,
)

PAPER = Evidence(document="Certificate", page="3")
CABLE = {"C": "120 nF/km", "L": "0.7 mH/km", "R_loop": "40 ohm/km", "R_loop_max": "49 ohm/km"}
KINDS = {
    "Uo": Voltage, "Ui": Voltage, "Io": Current, "Ii": Current, "Po": Power, "Pi": Power,
    "Ci": Capacitance, "Li": Inductance, "R": Resistance, "C": Capacitance,
}  # fmt: skip


def read(**texts: str) -> dict[str, Any]:
    """Quantities of their fields."""
    return {name: KINDS[name](text, PAPER) for name, text in texts.items()}


SOURCE = {"Uo": "14 V", "Io": "180 mA", "Po": "2.52 W", "Ci": "5 nF", "Li": "10 µH"}
FISCO_SET = {"Ui": "17.5 V", "Ii": "380 mA", "Pi": "5.32 W", "Ci": "5 nF", "Li": "10 µH"}
ENTITY_SET = {"Ui": "24 V", "Ii": "250 mA", "Pi": "1.2 W", "Ci": "5 nF", "Li": "10 µH"}
GAS = "Ex ia IIC T4 Ga"


def entry(method: Method = "FISCO", mark: str = GAS, **texts: str) -> Entry:
    return Entry(method=method, mark=mark, **read(**texts))


def device(name: str, *entries: Entry, **more: Any) -> ss.ApparatusType:
    facts = {"certificate": "CERT 1", "powered": "no", "isolation": "yes", **more}
    return ss.ApparatusType(name=name, entries=entries, **facts)


def source(*outputs: ss.Output, mark: str = "[Ex ia Ga] IIC") -> ss.SourceType:
    return ss.SourceType(
        name="PS",
        certificate="CERT 1",
        mark=mark,
        isolation="galvanic",
        outputs=outputs,
        ports=(ss.Port(Um=Voltage("253 V")),),
        ambient=TemperatureRange("-20 to 60 °C"),
    )


def output(method: Method = "FISCO", name: str = "1", **facts: Any) -> ss.Output:
    texts = {key: facts.pop(key, text) for key, text in SOURCE.items()}
    plain = {"terminator": "yes", "shape": "rectangular", **read(**texts), **facts}
    return ss.Output(name=name, method=method, **plain)


def cable(name: str = "A", **texts: str) -> ss.CableType:
    kinds = {
        "C": CapacitancePerLength, "C_core": CapacitancePerLength, "C_screen": CapacitancePerLength,
        "L": InductancePerLength, "R_loop": ResistancePerLength,
        "R_core": ResistancePerLength, "R_loop_max": ResistancePerLength,
    }  # fmt: skip
    given = {key: texts.pop(key, text) for key, text in CABLE.items()} | texts
    facts = {key: kinds[key](text) for key, text in given.items() if key in kinds}
    more: dict[str, Any] = {key: text for key, text in given.items() if key not in kinds}
    return ss.CableType(name=name, cores=2, construction="yes", **facts, **more)


def run(length: str, start: str, end: str, part: str = "spur", name: str = "A", **more: Any) -> Any:
    return ss.Run(cable=name, length=Length(length), start=start, end=end,
                  part=part, **more)  # type: ignore[arg-type]  # fmt: skip


TERMINATOR = device(
    "T", entry(**{**FISCO_SET, "Ci": "negligible", "Li": "negligible"}),
    role="terminator", **read(R="100 ohm", C="1 µF"),
)  # fmt: skip
DEVICE = device("D", entry(**FISCO_SET), entry("entity", **ENTITY_SET))
RUNS = (
    run("300 m", "PS-1", "JB-1", "trunk"),
    run("60 m", "JB-1", "D-1"),
    run("20 m", "JB-1", "D-2"),
)


def plant(
    *,
    kind: ss.SourceType | None = None,
    items: tuple[Any, ...] = (DEVICE, DEVICE, TERMINATOR),
    runs: tuple[ss.Run, ...] = RUNS,
    cables: tuple[ss.CableType, ...] = (cable(),),
    zone: str = "1",
    group: str = "IIC",
    method: Method = "FISCO",
    confirmed: bool = False,
    code: str = "IEC-2013",
    facts: tuple[ss.Declaration, ...] = (),
) -> ss.Plant:
    """A plant of the one circuit "S", everything else of it in order."""
    said = {
        "safe side voltage": "250 V", "segregation": "50 mm", "atmospheric conditions": "standard",
        "cabinet ambient": "5 to 40 °C",
    }  # fmt: skip
    declared = [ss.Declaration(fact=fact, value=value) for fact, value in said.items()]  # type: ignore[arg-type]
    if confirmed:
        declared.append(
            ss.Declaration(fact="fieldbus figures confirmed", value="yes", evidence=PAPER)
        )
    atmosphere = ss.Atmosphere(zone=zone, group=group, temperature="T4")  # type: ignore[arg-type]
    area = ss.Area(tag="A", atmospheres=(atmosphere,), ambient=TemperatureRange("-20 to 40 °C"))
    return ss.Plant(
        code=code,
        areas=(area,),
        certificates=(ss.Certificate(number="CERT 1", status="in force"),),
        sources=(kind or source(output()),),
        apparatus=tuple(dict.fromkeys(one for one in items if isinstance(one, ss.ApparatusType))),
        simple=tuple(dict.fromkeys(one for one in items if isinstance(one, ss.SimpleType))),
        cables=cables,
        circuits=(
            ss.Circuit(
                tag="S",
                area="A",
                method=method,
                sources=(ss.SourceUse(tag="PS-1", source="PS", place=SAFE_AREA),),
                members=tuple(
                    ss.Member(tag=f"{one.name}-{number}", apparatus=one.name)
                    for number, one in enumerate(items, 1)
                ),
                runs=runs,
            ),
        ),
        declarations=(*declared, *facts),
    )


def link(**given: Any) -> ss.Plant:
    """A 2-WISE link: one source port, one load port, one cable."""
    kind = source(output("2-WISE", terminator=""))
    load = device("D", entry("2-WISE", **FISCO_SET))
    facts = {"kind": kind, "items": (load,), "runs": (run("200 m", "PS-1", "D-1", ""),)}
    return plant(**{**facts, "method": "2-WISE", "confirmed": True, **given})


def wrong(of: ss.Plant) -> dict[str, str]:
    """The rules that do not hold in any case that counts, with the verdict of each."""
    judged = ss.assess(of)
    return {
        name: found.verdict.word
        for place in judged.counted_places("S")
        for name, found in judged.rule_findings(place).items()
        if found.verdict in (ss.Verdict.UNSAFE, ss.Verdict.UNPROVEN)
    }


def said(of: ss.Plant, rule: str) -> str:
    return ss.assess(of)["S"].rules[rule].sentence


def with_output(of: ss.Plant, **facts: Any) -> ss.Plant:
    return replace(of, sources=(source(output(**facts)),))
