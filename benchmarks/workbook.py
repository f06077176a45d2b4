"""Time a workbook of 10,000 circuits: written, read, and against the file libraries alone.

    python benchmarks/workbook.py [CIRCUITS]

The libraries alone do the same cells: XlsxWriter writes them without styles, lists or notes;
python-calamine reads the file into lists. The ratios are taken within one run.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import python_calamine
import xlsxwriter

from subspark.assess import assess
from subspark.exchange import read_json, read_workbook, write_json, write_workbook
from subspark.exchange.workbook_rows import tables_of
from subspark.model import (
    ApparatusType,
    Area,
    Atmosphere,
    CableType,
    Circuit,
    Entry,
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
    Evidence,
    Inductance,
    InductancePerLength,
    Length,
    Power,
    Voltage,
)

CIRCUITS = 10_000
SOURCES, APPARATUS, CABLES, AREAS = 30, 60, 10, 20


def source(number: int) -> SourceType:
    """One type of source with two groups."""
    here = Evidence(document=f"Certificate S-{number}", page="3")
    limits = tuple(
        Limits(group=group, Co=Capacitance(Co, here), Lo=Inductance(Lo, here))
        for group, Co, Lo in (("IIC", "83 nF", "4.2 mH"), ("IIB", "0.65 µF", "16 mH"))
    )
    output = Output(
        shape="linear",
        Uo=Voltage("28 V", here),
        Io=Current(f"{60 + number} mA", here),
        Po=Power("651 mW", here),
        limits=limits,
    )
    port = Port(Um=Voltage("253 V", here))
    name = f"S-{number}"
    return SourceType(
        name=name, mark="[Ex ia Ga] IIC", outputs=(output,), ports=(port,), evidence=here
    )


def apparatus(number: int) -> ApparatusType:
    """One type of apparatus."""
    here = Evidence(document=f"Certificate F-{number}", page="2")
    entry = Entry(
        mark="Ex ia IIC T4 Ga",
        Ui=Voltage("30 V", here),
        Ii=Current("120 mA", here),
        Pi=Power("900 mW", here),
        Ci=Capacitance(f"{number} nF", here),
        Li=Inductance("negligible", here),
    )
    return ApparatusType(name=f"F-{number}", entries=(entry,), isolation="yes", evidence=here)


def circuit(number: int) -> Circuit:
    """One circuit with one source, one to three apparatus and one to four runs."""
    schedule = Evidence(document="Cable schedule 1", page=str(number // 50))
    return Circuit(
        tag=f"PT-{number:05}",
        service=f"pressure {number}",
        area=f"A-{number % AREAS}",
        sources=(
            SourceUse(
                tag=f"B-{number}",
                source=f"S-{number % SOURCES}",
                place="safe area",
                cabinet=f"C-{number // 100}",
            ),
        ),
        members=tuple(
            Member(tag=f"PT-{number:05}{'ABC'[one]}", apparatus=f"F-{(number + one) % APPARATUS}")
            for one in range(1 + number % 3)
        ),
        runs=tuple(
            Run(
                cable=f"K-{(number + one) % CABLES}",
                length=Length(f"{10 + (number * 7 + one) % 400} m", schedule),
                number=f"W-{number}-{one}",
            )
            for one in range(1 + number % 4)
        ),
        evidence=Evidence(document=f"Loop drawing {number}"),
    )


def plant(circuits: int) -> Plant:
    """A plant of so many circuits with a modest catalogue."""
    return Plant(
        name="Benchmark plant",
        areas=tuple(
            Area(
                tag=f"A-{number}",
                atmospheres=(Atmosphere(zone="1", group="IIC", temperature="T4"),),
            )
            for number in range(AREAS)
        ),
        sources=tuple(source(number) for number in range(SOURCES)),
        apparatus=tuple(apparatus(number) for number in range(APPARATUS)),
        cables=tuple(
            CableType(
                name=f"K-{number}",
                C=CapacitancePerLength("120 nF/km"),
                L=InductancePerLength("0.7 mH/km"),
            )
            for number in range(CABLES)
        ),
        circuits=tuple(circuit(number) for number in range(circuits)),
    )


def timed(work: Callable[[], object]) -> float:
    """Seconds that some work takes."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def write_alone(cells: list[list[list[str | float]]], path: Path) -> None:
    """XlsxWriter alone with the same cells."""
    book = xlsxwriter.Workbook(path, {"strings_to_formulas": False, "strings_to_urls": False})
    for rows in cells:
        sheet = book.add_worksheet()
        for number, row in enumerate(rows):
            for column, cell in enumerate(row):
                if cell == "":
                    continue
                if isinstance(cell, str):
                    sheet.write_string(number, column, cell)
                else:
                    sheet.write_number(number, column, cell)
    book.close()


def read_alone(path: Path) -> None:
    """Every sheet by python-calamine alone."""
    book = python_calamine.CalamineWorkbook.from_path(path)
    for name in book.sheet_names:
        book.get_sheet_by_name(name).to_python()


def every_finding(built: Plant) -> int:
    """Every circuit judged, and every rule of it put into words."""
    return sum(len(finding.as_dict()["rules"]) for finding in assess(built))


def main() -> None:
    circuits = int(sys.argv[1]) if len(sys.argv) > 1 else CIRCUITS
    built = plant(circuits)
    tables, _ = tables_of(built)
    cells = [
        [[row.get(slot.title, "") for slot in table.sheet.slots] for row in table.rows]
        for table in tables
    ]
    rows = sum(len(table.rows) for table in tables)
    filled = sum(len(row) for table in tables for row in table.rows)
    with tempfile.TemporaryDirectory() as folder:
        file, bare = Path(folder) / "plant.xlsx", Path(folder) / "bare.xlsx"
        text = write_json(built)
        parts = [
            ("XlsxWriter alone, same cells", timed(lambda: write_alone(cells, bare)), 0),
            ("write_workbook", timed(lambda: write_workbook(built, file)), 0),
            ("python-calamine alone, same file", timed(lambda: read_alone(file)), 2),
            ("read_workbook", timed(lambda: read_workbook(file)), 2),
            ("assess: every rule of every circuit", timed(lambda: assess(built)), 2),
            ("findings with all their working", timed(lambda: every_finding(built)), 2),
            ("write_json", timed(lambda: write_json(built)), 0),
            ("read_json", timed(lambda: read_json(text)), 2),
        ]
        if read_workbook(file) != built:
            sys.exit("the workbook does not give back the plant")
    print(f"{circuits} circuits, {rows} rows, {filled} filled cells")
    for name, seconds, against in parts:
        print(f"{name:36}{seconds:8.2f} s   x {seconds / parts[against][1]:5.1f}")


if __name__ == "__main__":
    main()
