"""Papers: dossiers against the typesetter alone, the register of 1,000 circuits, and memory.

What is wanted: dossiers within 1.5 times the typesetter compiling the same sources alone, the
register of 1,000 circuits within 10 s, memory that does not grow with the number of dossiers.

    python benchmarks/papers.py [MANY]

MANY is how many dossiers are written to see how much memory they take: 1,000 by default, 0 for
none. The peak of a printing process must not grow with them; that of the first process grows
with the plant that it holds.
"""

from __future__ import annotations

import dataclasses
import json
import resource
import sys
import tempfile
import time
from pathlib import Path

from subspark.assess import Assessment, assess
from subspark.demo import build_plant
from subspark.model import Plant
from subspark.papers.attachment import dossier, print_dossier
from subspark.papers.plant_papers import lists, print_list, sheet_of_list
from subspark.papers.printing import encoded, print_pdf
from subspark.papers.writing import write_papers

DOSSIERS = 200
CIRCUITS = 1000


def larger(plant: Plant, count: int) -> Plant:
    """The demo plant again and again, until it has that many circuits; cables and tags renamed."""
    circuits = list(plant.circuits)
    turn = 0
    while len(circuits) < count:
        turn += 1
        for one in plant.circuits:
            runs = tuple(
                dataclasses.replace(run, number=f"{run.number}/{turn}" if run.number else "")
                for run in one.runs
            )
            uses = tuple(
                dataclasses.replace(use, tag=f"{use.tag}/{turn}" if use.tag else "")
                for use in one.sources
            )
            circuits.append(
                dataclasses.replace(one, tag=f"{one.tag}/{turn}", runs=runs, sources=uses)
            )
    return dataclasses.replace(plant, circuits=tuple(circuits[:count]))


def typesetter_alone(assessment: Assessment, tags: list[str]) -> float:
    """Processor seconds to compile the sources of dossiers, with all else done before."""
    sources = []
    for tag in tags:
        made = dossier(assessment, tag)
        sheet = encoded(json.loads(made.attachment)["sheet"])
        sources.append(
            {"sheet": sheet, "digest": made.digest, "attachment": made.attachment, "by": "subspark"}
        )
    print_dossier(made.attachment, made.digest)  # fonts are read once
    start = time.process_time()
    for one in sources:
        print_pdf("dossier-1", one)
    return time.process_time() - start


def all_told(assessment: Assessment, tags: list[str]) -> float:
    """Processor seconds from a judged plant to files on disk, in one process."""
    with tempfile.TemporaryDirectory() as folder:
        start = time.process_time()
        write_papers(assessment, Path(folder), tags, kinds=("dossiers",), jobs=1)
        return time.process_time() - start


def on_two(assessment: Assessment, tags: list[str]) -> float:
    """Seconds by the clock from a judged plant to files on disk, in two processes."""
    with tempfile.TemporaryDirectory() as folder:
        start = time.perf_counter()
        write_papers(assessment, Path(folder), tags, kinds=("dossiers",), jobs=2)
        return time.perf_counter() - start


def peak(who: int) -> float:
    """Most memory so far of this process or of those that it waited for [MB]."""
    return resource.getrusage(who).ru_maxrss / 1024


def many(plant: Plant, count: int) -> None:
    """Write many dossiers with two processes and tell the peaks of memory."""
    start = time.perf_counter()
    big = assess(larger(plant, count))
    judged = time.perf_counter() - start
    before = peak(resource.RUSAGE_SELF)
    with tempfile.TemporaryDirectory() as folder:
        start = time.perf_counter()
        found = write_papers(big, Path(folder), kinds=("dossiers",), jobs=2)
        taken = time.perf_counter() - start
        size = sum(file.stat().st_size for file in Path(folder).rglob("*.pdf"))
    print(
        f"{len(found.written):,} dossiers, two processes   judged {judged:.1f} s, written "
        f"{taken:.1f} s by the clock, {size / 1e6:.0f} MB on disk"
    )
    print(
        f"most memory   first process {before:.0f} MB with the judged plant, "
        f"{peak(resource.RUSAGE_SELF):.0f} MB at the end; "
        f"a printing process {peak(resource.RUSAGE_CHILDREN):.0f} MB"
    )


def main() -> None:
    """Print one table."""
    if wanted := int(sys.argv[1]) if len(sys.argv) > 1 else CIRCUITS:
        many(build_plant(), wanted)
    plant = build_plant()
    assessment = assess(plant)
    tags = [one.tag for one in plant.circuits][:DOSSIERS]
    alone = typesetter_alone(assessment, tags)
    told = all_told(assessment, tags)
    two = on_two(assessment, tags)
    n = len(tags)
    print(f"{n} dossiers, typesetter alone   {alone:6.2f} s of processor")
    print(f"{n} dossiers, all told           {told:6.2f} s of processor, ratio {told / alone:.2f}")
    print(f"{n} dossiers, two processes      {two:6.2f} s by the clock")
    start = time.perf_counter()
    big = assess(larger(plant, CIRCUITS))
    judged = time.perf_counter() - start
    start = time.perf_counter()
    register = lists(big)[0]
    listed = time.perf_counter() - start
    start = time.perf_counter()
    data = print_list(sheet_of_list(big, register))
    printed = time.perf_counter() - start
    print(
        f"register of {len(register.rows):,} circuits    judged {judged:.2f} s, listed "
        f"{listed:.2f} s, printed {printed:.2f} s, {len(data) / 1e6:.1f} MB"
    )


if __name__ == "__main__":
    sys.exit(main())
