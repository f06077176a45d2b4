"""``subspark repair``: what would mend a circuit, the least effort first."""

from __future__ import annotations

import argparse
import dataclasses
import json
from typing import Any

from subspark.assess.words import percent
from subspark.choose.repairs import Repair, Repairs, repairs
from subspark.choose.whatif import State
from subspark.cli.busy import Busy
from subspark.cli.paper import Cell, Paper
from subspark.cli.whatif import write_change_file
from subspark.errors import UsageError
from subspark.exchange import read_plant
from subspark.exchange.curve_store import curves_in_use
from subspark.rules import code as edition

__all__ = ["repair"]

JSON_VERSION = 1


def repair(arguments: argparse.Namespace) -> int:
    """Run the command."""
    if arguments.code is not None:
        edition(arguments.code)
    with Busy(f"reading {arguments.plant}") as busy:
        plant = read_plant(arguments.plant)
        if arguments.code is not None:
            plant = dataclasses.replace(plant, code=arguments.code)
        plant.circuit(arguments.tag)
        busy.says(f"trying what would mend {arguments.tag}")
        found = repairs(plant, arguments.tag, curves=curves_in_use(arguments.curves))
    if arguments.format == "json":
        print(json.dumps(_document(found), ensure_ascii=False, indent=1, allow_nan=False))
    else:
        _print(found, Paper())
    if arguments.take is not None:
        _take(found, arguments.take, arguments.output)
    return 0 if found.sound or found.repairs else 1


def _take(found: Repairs, number: int, output: str | None) -> None:
    """Write one of the repairs as a change."""
    if output is None:
        raise UsageError("--take goes with -o FILE")
    changes = [one for one in found.repairs if one.change.edits]
    if not 1 <= number <= len(changes):
        raise UsageError(f"--take {number}: wanted a repair from 1 to {len(changes)}")
    write_change_file(changes[number - 1].change, output)
    print(f"{output} written: {changes[number - 1].says}.")


def _stands(one: State) -> str:
    limit = one.governing
    if one.utilisation is not None:
        limit = f"{limit} {percent(one.utilisation)}"
    function = "" if one.works_word == "unproven" else f", {one.works_word}"
    return f"{one.verdict.word}{f' ({limit})' if limit else ''}{function}"


def _print(found: Repairs, paper: Paper) -> None:
    paper.line(Cell(found.tag, "title"), f"  stands: {_stands(found.before)}")
    if found.sound:
        paper.line("Nothing is to be mended.")
        return
    if not found.repairs:
        paper.text("No single change of those that are tried mends it.")
        return
    number = 0
    sort = ""
    for one in found.repairs:
        if one.sort != sort:
            paper.line("")
            paper.line(Cell(one.sort, "title"))
            sort = one.sort
        if one.change.edits:
            number += 1
        _print_one(one, number, paper)
    paper.line("")
    paper.text(
        "Each change was assessed with all that the circuit is bound to. --take N -o FILE writes "
        "one, to be reviewed and applied.",
        style="quiet",
    )


def _print_one(one: Repair, number: int, paper: Paper) -> None:
    head = f"{number:>3}  " if one.change.edits else "  -  "
    after = "" if one.after is None else f": {_stands(one.after)}"
    lines = paper.prose_lines(f"{one.says}{after}", paper.prose - len(head))
    paper.line(head, lines[0])
    for line in lines[1:]:
        paper.line(" " * len(head) + line)
    if one.worse:
        paper.text(f"makes worse: {', '.join(one.worse)}", len(head))


def _state(one: State | None) -> dict[str, Any] | None:
    if one is None:
        return None
    return {
        "verdict": one.verdict.word,
        "governing": one.governing or None,
        "utilisation": one.utilisation,
        "works": one.works_word,
    }


def _document(found: Repairs) -> dict[str, Any]:
    return {
        "format": "subspark repair",
        "version": JSON_VERSION,
        "tag": found.tag,
        "before": _state(found.before),
        "repairs": [
            {
                "sort": one.sort,
                "says": one.says,
                "after": _state(one.after),
                "worse": list(one.worse),
                "change": one.change.as_dict() if one.change.edits else None,
            }
            for one in found.repairs
        ],
    }
