"""Kill a writer in the middle of its writes, again and again: nothing acknowledged may be lost.

    python benchmarks/killed.py [--times N] [--postgres] [--seed N]

A process changes circuits of a plant as fast as it can, now and then a certificate on which most
of them lean (these are then judged after the change), and says the revision of each change that
was acknowledged. It is killed (SIGKILL) at a moment by chance and started again. After each kill:
every revision that was said is there, the chain of changes is whole, no record is half written,
and every circuit of the register has the verdict of the plant or waits to be judged as unproven;
once those that wait are judged, all have it. ``--postgres`` starts a PostgreSQL of its own.
"""

from __future__ import annotations

import argparse
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from _server import add_database, database

WRITER = "write"


def prepare(folder: str, database: str) -> None:
    """Set the desk up."""
    from subspark.desk.server import prepare as begin

    begin(folder=Path(folder), address=database or None)


def write(folder: str, database: str, seed: int) -> None:
    """Change circuits until killed, and say each revision once it is acknowledged."""
    import dataclasses

    prepare(folder, database)
    from subspark.store import plants
    from subspark.store.models import EntryRow, PlantRow
    from subspark.store.plants import Edit

    chance = random.Random(seed)
    plant = PlantRow.objects.get()
    plants.INLINE = 10
    with plants.held(plant.pk) as ledger:
        tags = sorted(ledger.records["circuits"])
        numbers = ledger.records["certificates"]
        most = max(numbers, key=lambda number: len(ledger.users(("certificates", number))))
    print("ready", flush=True)
    while True:
        if chance.random() < 0.2:
            row = EntryRow.objects.get(plant=plant, kind="certificates", name=most)
            with plants.held(plant.pk) as ledger:
                certificate = ledger.get(("certificates", most))
            status = "withdrawn" if certificate.status != "withdrawn" else "in force"
            fresh = dataclasses.replace(certificate, status=status)
            edit = Edit(("certificates", most), fresh, row.version)
            done = plants.change(plant.pk, [edit], "until killed", None, "writer")
            print(done.revision, flush=True)
            plants.rejudge(plant.pk)
            continue
        edits = []
        for tag in chance.sample(tags, chance.choice((1, 1, 1, 3))):
            version = EntryRow.objects.get(plant=plant, kind="circuits", name=tag).version
            with plants.held(plant.pk) as ledger:
                circuit = ledger.circuit(tag)
            note = f"version {version + 1}"
            runs = tuple(
                dataclasses.replace(run, length=f"{chance.randint(1, 400)} m")
                for run in circuit.runs
            )
            fresh = dataclasses.replace(circuit, note=note, runs=runs)
            edits.append(Edit(("circuits", tag), fresh, version))
        done = plants.change(plant.pk, edits, "until killed", None, "writer")
        print(done.revision, flush=True)


def check(said: int) -> list[str]:
    """What is not as it should be."""
    from subspark.assess import assess
    from subspark.assess.function.findings import word
    from subspark.rules import Verdict
    from subspark.store import holding, plants
    from subspark.store.models import EntryRow, PlantRow, VerdictRow

    plant = PlantRow.objects.get()
    found = plants.verify(plant.pk)
    if plant.revision < said:
        found.append(f"revision {said} was acknowledged, and {plant.revision} is the last")
    holding._SLOTS.clear()
    whole = plants.whole(plant.pk)
    for row in EntryRow.objects.filter(plant=plant, kind="circuits", version__gt=1):
        if f'"note":"version {row.version}"' not in row.content:
            found.append(f"{row.name}: version {row.version} holds another version")
    assessment = assess(whole)
    judged = {
        one.tag: (
            *(int(one.verdict), one.governing, one.utilisation),
            word(assessment.function.verdict(one.tag)),
        )
        for one in assessment.summaries()
    }
    waiting = VerdictRow.objects.filter(plant=plant, stale=True)
    if waiting.exclude(verdict=int(Verdict.UNPROVEN)).exists():
        found.append("what waits to be judged is not unproven")
    tags = set(waiting.values_list("tag", flat=True))
    rows = kept(plant)
    if rows.keys() != judged.keys() or any(rows[tag] != judged[tag] for tag in rows.keys() - tags):
        found.append("the register does not hold the verdicts of the plant")
    plants.rejudge(plant.pk)
    if kept(plant) != judged:
        found.append("what waited is not judged as the plant is")
    return found


def kept(plant: object) -> dict[str, tuple[object, ...]]:
    """The register: verdict, closest limit, utilisation, and whether each circuit works."""
    from subspark.store.models import VerdictRow

    rows = VerdictRow.objects.filter(plant=plant)
    columns = ("tag", "verdict", "governing", "utilisation", "works")
    return {tag: tuple(rest) for tag, *rest in rows.values_list(*columns)}


def run(times: int, database: str, seed: int, folder: str) -> int:
    """Kill and look, so many times; how many changes were acknowledged in all."""
    from subspark.demo import build_plant
    from subspark.store.ledger import Ledger

    prepare(folder, database)
    from django.db import connections

    from subspark.store import plants
    from subspark.store.models import PlantRow

    if PlantRow.objects.exists():
        raise SystemExit("wanted an empty database: this one holds plants")
    ledger = Ledger.of(build_plant())
    tags = list(ledger.records["circuits"])[:40]
    plants.create(ledger.part(ledger.concerned(tags)), "to be changed", None, "benchmark")
    chance = random.Random(seed)
    total, last = 0, 1
    for number in range(times):
        connections.close_all()
        writer = subprocess.Popen(
            [sys.executable, __file__, WRITER, folder, database, str(seed + number)],
            stdout=subprocess.PIPE,
            text=True,
        )
        assert writer.stdout is not None
        assert writer.stdout.readline().strip() == "ready"
        for _ in range(chance.randint(0, 12)):
            last = max(last, int(writer.stdout.readline()))
            total += 1
        time.sleep(chance.random() * 0.03)
        os.kill(writer.pid, signal.SIGKILL)
        for line in writer.stdout:  # said before it died, and so acknowledged
            if line.endswith("\n"):
                last = max(last, int(line))
                total += 1
        writer.wait()
        writer.stdout.close()
        wrong = check(last)
        if wrong:
            raise SystemExit(f"after kill {number + 1}: " + "; ".join(wrong))
    PlantRow.objects.all().delete()  # the one that was made above
    connections.close_all()
    return total


def main() -> None:
    """Run the check."""
    if sys.argv[1:2] == [WRITER]:
        write(sys.argv[2], sys.argv[3], int(sys.argv[4]))
        return
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--times", type=int, default=50)
    add_database(parser)
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    with (
        tempfile.TemporaryDirectory(prefix="subspark-killed-") as folder,
        database(arguments) as arguments.database,
    ):
        start = time.perf_counter()
        total = run(arguments.times, arguments.database, arguments.seed, folder)
        took = time.perf_counter() - start
    where = "PostgreSQL" if arguments.database else "SQLite"
    print(
        f"{where}: killed {arguments.times} times in {took:.0f} s; {total:,} changes acknowledged, "
        "none lost, none half written"
    )


if __name__ == "__main__":
    main()
