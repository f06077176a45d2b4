"""``subspark longest``: how long the run of each circuit may be, and what binds it."""

from __future__ import annotations

import argparse
import csv
import dataclasses
import json
import sys
from typing import Any

from subspark.choose.longest import FARTHEST, Longest
from subspark.choose.longest import longest as farthest
from subspark.cli.busy import Busy
from subspark.cli.check import cell
from subspark.cli.paper import Cell, Column, Paper
from subspark.errors import UsageError
from subspark.exchange import read_plant
from subspark.exchange.curve_store import curves_in_use
from subspark.model import Plant
from subspark.quantity import LENGTH, show
from subspark.rules import code as edition

__all__ = ["longest"]

JSON_VERSION = 1
_STEP = 20  # circuits between two signs of life
_DIGITS = 9


def longest(arguments: argparse.Namespace) -> int:
    """Run the command."""
    if arguments.code is not None:
        edition(arguments.code)
    with Busy(f"reading {arguments.plant}") as busy:
        plant = read_plant(arguments.plant)
        if arguments.code is not None:
            plant = dataclasses.replace(plant, code=arguments.code)
        run = None if arguments.run is None else _run(arguments.run, arguments.tags, plant)

        def told(done: int, of: int) -> None:
            if done % _STEP == 0:
                busy.says(f"lengthening {done:,} of {of:,} circuits")

        found = farthest(
            plant,
            arguments.tags or None,
            run=run,
            curves=curves_in_use(arguments.curves),
            told=told,
        )
    if not found:
        raise UsageError(f"{arguments.plant}: none of these circuits has a run of cable")
    if arguments.format == "json":
        print(json.dumps(_document(plant, found), ensure_ascii=False, indent=1, allow_nan=False))
    elif arguments.format == "csv":
        _write_csv(found)
    else:
        _print_table(found, plant, Paper())
    return 0


def _run(number: int, tags: list[str], plant: Plant) -> int:
    """The run asked for, from 0."""
    if len(tags) != 1:
        raise UsageError("--run goes with one TAG")
    count = len(plant.circuit(tags[0]).runs)
    if not 1 <= number <= count:
        raise UsageError(f"--run {number}: {tags[0]} has {count} runs; wanted 1 to {count}")
    return number - 1


def _length(value: float | None, *, feet: bool) -> str:
    if value is None:
        return "none"
    if value >= FARTHEST:
        return "not bound"
    return show(value, LENGTH, _DIGITS, feet=feet)


def _print_table(found: list[Longest], plant: Plant, paper: Paper) -> None:
    feet = edition(plant.code).by_drawing
    function = any(one.works_to is not None for one in found)
    columns = [
        Column("tag"),
        Column("run", flexible=True),
        Column("now", right=True),
        Column("safe to", right=True),
        *([Column("works to", right=True)] if function else []),
        Column("longest", right=True),
        Column("left", right=True),
        Column("binds", flexible=True),
    ]
    rows: list[list[Cell | str]] = []
    for one in found:
        left = "" if one.left is None or one.length == FARTHEST else f"{one.left:+,.0f} m"
        if left and feet:
            left = f"{one.left / 0.3048:+,.0f} ft" if one.left is not None else ""
        works = [_length(one.works_to, feet=feet)] if function else []
        now = "not known" if one.now is None else _length(one.now, feet=feet)
        style = "unsafe" if one.left is not None and one.left < 0.0 else ""
        rows.append(
            [
                one.tag,
                one.label,
                now,
                _length(one.safe_to, feet=feet),
                *works,
                Cell(_length(one.length, feet=feet), "title"),
                Cell(left, style),
                one.binds,
            ]
        )
    paper.table(columns, rows)
    paper.line("")
    paper.text(
        "Each run varies while the others stay, and circuits in the same cable grow with it. "
        f"Lengths are whole millimetres, tried up to {FARTHEST / 1000:g} km: a millimetre more, "
        "and the rule named fails. Function counts where it can be judged.",
        style="quiet",
    )


def _as_dict(one: Longest) -> dict[str, Any]:
    plain = dataclasses.asdict(one)
    plain["run"] = one.run + 1
    plain["together"] = list(one.together)
    return {**plain, "length": one.length, "binds": one.binds or None, "left": one.left}


def _document(plant: Plant, found: list[Longest]) -> dict[str, Any]:
    return {
        "format": "subspark longest",
        "version": JSON_VERSION,
        "plant": plant.name,
        "digest": plant.digest,
        "code": plant.code,
        "farthest": FARTHEST,
        "circuits": [_as_dict(one) for one in found],
    }


def _write_csv(found: list[Longest]) -> None:
    writer = csv.writer(sys.stdout, lineterminator="\n")
    head = ("tag", "run", "label", "now", "safe_to", "works_from", "works_to", "length", "left")
    writer.writerow((*head, "binds"))
    for one in found:
        plain = _as_dict(one)
        writer.writerow([cell(plain[name]) for name in (*head, "binds")])
