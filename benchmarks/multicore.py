"""Time a 24-pair cable of unlike circuits that merge, against the same circuits by themselves.

    python benchmarks/multicore.py [PAIRS]

The cable is of neither type A nor B, so that whole circuits merge: all pairs, and all triples too
where barriers give a common return. By themselves means the same plant with a cable number for
each circuit. Medians of several runs taken in turn; only the ratio says something.
"""

from __future__ import annotations

import dataclasses
import random
import statistics
import sys
import time
from collections.abc import Callable
from typing import Literal

from subspark.assess import assess
from subspark.model import (
    ApparatusType,
    Area,
    Atmosphere,
    CableType,
    Certificate,
    Circuit,
    Declaration,
    Entry,
    Fact,
    Limits,
    Member,
    Output,
    Plant,
    Port,
    Run,
    SourceType,
    SourceUse,
)
from subspark.quantity import (
    Capacitance,
    CapacitancePerLength,
    Current,
    Inductance,
    InductancePerLength,
    Length,
    Power,
    ResistancePerLength,
    TemperatureRange,
    Voltage,
)

PAIRS = 24
RUNS = 5
Isolation = Literal["galvanic", "earthed barrier"]
FACTS: dict[Fact, str] = {
    "safe side voltage": "250 V",
    "source place": "safe area",
    "cable construction": "evidenced",
    "segregation": "50 mm",
    "atmospheric conditions": "standard",
    "cabinet ambient": "0 to 40 °C",
    "barrier earth resistance": "0.5 ohm",
    "barrier earth conductors": "4 mm2",
}


def source(number: int, isolation: Isolation, draw: random.Random) -> SourceType:
    """A source of 6 to 12 V and 10 to 50 mA, like no other."""
    U, I = round(draw.uniform(6, 12), 2), round(draw.uniform(10, 50), 1)  # noqa: E741 - symbols
    output = Output(
        shape="linear",
        Uo=Voltage(f"{U} V"),
        Io=Current(f"{I} mA"),
        Po=Power(f"{U * I / 4} mW"),
        polarity="+",
        limits=(Limits(group="IIC", Co=Capacitance("1 µF"), Lo=Inductance("5 mH")),),
    )
    return SourceType(
        name=f"S{number}",
        certificate="C",
        mark="[Ex ib Gb] IIC",
        isolation=isolation,
        ports=(Port(Um=Voltage("253 V")),),
        outputs=(output,),
    )


def apparatus(number: int, draw: random.Random) -> ApparatusType:
    """An apparatus, like no other."""
    entry = Entry(
        mark="Ex ib IIC T4 Gb",
        Ui=Voltage(f"{draw.uniform(28, 40):.1f} V"),
        Ii=Current(f"{draw.uniform(150, 300):.0f} mA"),
        Pi=Power("1 W"),
        Ci=Capacitance(f"{draw.uniform(0, 20):.1f} nF"),
        Li=Inductance("0"),
    )
    return ApparatusType(
        name=f"A{number}", certificate="C", isolation="yes", powered="no", entries=(entry,)
    )


def plant(pairs: int, isolation: Isolation) -> Plant:
    """A plant whose circuits all share one cable, and which differ in every number."""
    draw = random.Random(20261125)
    area = Area(
        tag="Z",
        atmospheres=(Atmosphere(zone="1", group="IIC", temperature="T4"),),
        ambient=TemperatureRange("-20 to 40 °C"),
    )
    cable = CableType(
        name="W",
        C=CapacitancePerLength("100 pF/m"),
        L=InductancePerLength("0.7 µH/m"),
        R_loop=ResistancePerLength("30 ohm/km"),
        cores=2,
        pairs=pairs,
        multicore="other",
    )
    lengths = [Length(f"{draw.uniform(20, 200):.0f} m") for _ in range(pairs)]
    return Plant(
        areas=(area,),
        certificates=(Certificate(number="C"),),
        sources=tuple(source(number, isolation, draw) for number in range(pairs)),
        apparatus=tuple(apparatus(number, draw) for number in range(pairs)),
        cables=(cable,),
        circuits=tuple(
            Circuit(
                tag=f"K{number}",
                area="Z",
                sources=(SourceUse(source=f"S{number}"),),
                members=(Member(apparatus=f"A{number}"),),
                runs=(Run(cable="W", length=length, number="W-1"),),
            )
            for number, length in enumerate(lengths)
        ),
        declarations=tuple(Declaration(fact=fact, value=value) for fact, value in FACTS.items()),
    )


def apart(whole: Plant) -> Plant:
    """The same circuits, each in a cable of its own."""
    circuits = tuple(
        dataclasses.replace(one, runs=(dataclasses.replace(one.runs[0], number=f"C-{one.tag}"),))
        for one in whole.circuits
    )
    return dataclasses.replace(whole, circuits=circuits)


def timed(run: Callable[[], object]) -> float:
    """Seconds of one run."""
    start = time.perf_counter()
    run()
    return time.perf_counter() - start


def measure(pairs: int, isolation: Isolation) -> tuple[float, float, float]:
    """Median seconds apart and merged, and the median of their ratios run by run."""
    merged = plant(pairs, isolation)
    alone = apart(merged)
    assess(alone), assess(merged)
    times = [(timed(lambda: assess(alone)), timed(lambda: assess(merged))) for _ in range(RUNS)]
    return (
        statistics.median(one for one, _ in times),
        statistics.median(other for _, other in times),
        statistics.median(other / one for one, other in times),
    )


def main() -> None:
    """Print the table."""
    pairs = int(sys.argv[1]) if len(sys.argv) > 1 else PAIRS
    two, three = pairs * (pairs - 1) // 2, pairs * (pairs - 1) * (pairs - 2) // 6
    rows: tuple[tuple[Isolation, int], ...] = (("galvanic", two), ("earthed barrier", two + three))
    print(f"one cable of {pairs} unlike circuits")
    print(f"{'sources':<16} {'merged sets':>11} {'apart ms':>9} {'merged ms':>10} {'ratio':>7}")
    for isolation, sets in rows:
        one, other, ratio = measure(pairs, isolation)
        print(f"{isolation:<16} {sets:>11} {1e3 * one:>9.1f} {1e3 * other:>10.1f} {ratio:>7.1f}")


if __name__ == "__main__":
    main()
