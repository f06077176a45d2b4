"""``subspark whatif`` and ``subspark apply``: a change laid over a plant, and made."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import Any

from subspark.assess.words import percent
from subspark.choose.change import Change, Edit, edit, place_of, read_change
from subspark.choose.change import apply as made
from subspark.choose.whatif import Difference, State, WhatIf, what_if
from subspark.cli.busy import Busy
from subspark.cli.paper import Cell, Column, Paper
from subspark.errors import InputError, UsageError
from subspark.exchange import read_plant, write_plant
from subspark.exchange.curve_store import curves_in_use
from subspark.exchange.saving import save
from subspark.model import Plant

__all__ = ["apply", "read_change_file", "whatif", "write_change_file"]

JSON_VERSION = 1


def _edits(plant: Plant, settings: list[str]) -> list[Edit]:
    edits = []
    for text in settings:
        place, sign, value = text.partition("=")
        if not sign or not place.strip():
            raise UsageError(
                f"--set {text!r}: wanted PLACE=VALUE, such as 'circuits/FT-101/runs/1/length=500 m'"
            )
        edits.append(edit(plant, place_of(place), value.strip()))
    return edits


def read_change_file(path: str, plant: Plant | None) -> Change:
    """A change from its file.

    Raises
    ------
    InputError
        The file cannot be read, or is no JSON.
    UsageError
        It is no change, or the plant has moved on.
    """
    try:
        given = json.loads(Path(path).read_text(encoding="utf-8"))
    except OSError as error:
        raise InputError(f"{path}: cannot be read: {error.strerror}") from None
    except ValueError as error:
        raise InputError(f"{path}: not JSON: {error}") from None
    try:
        return read_change(given, plant)
    except UsageError as error:
        raise UsageError(f"{path}: {error}") from None


def write_change_file(change: Change, path: str) -> None:
    """Write a change, to be reviewed and applied."""
    text = json.dumps(change.as_dict(), ensure_ascii=False, indent=1, allow_nan=False)
    save(f"{text}\n".encode(), Path(path))


def whatif(arguments: argparse.Namespace) -> int:
    """Run the command: tell what the change would do."""
    with Busy(f"reading {arguments.plant}") as busy:
        plant = read_plant(arguments.plant)
        edits = list(read_change_file(arguments.change, plant).edits) if arguments.change else []
        edits += _edits(plant, arguments.set or [])
        if not edits:
            raise UsageError("nothing to change; wanted --set PLACE=VALUE or --change FILE")
        busy.says("judging what the change touches")
        found = what_if(plant, edits, curves=curves_in_use(arguments.curves))
    change = Change(arguments.why or "", plant.digest, tuple(edits))
    if arguments.output:
        write_change_file(change, arguments.output)
    if arguments.format == "json":
        print(json.dumps(_document(change, found), ensure_ascii=False, indent=1, allow_nan=False))
    else:
        print_differences(change, found, Paper())
        if arguments.output:
            print(f"{arguments.output} written: the change, to be reviewed and applied.")
    return 1 if found.worse else 0


def apply(arguments: argparse.Namespace) -> int:
    """Run the command: write the plant with the change made."""
    plant = read_plant(arguments.plant)
    change = read_change_file(arguments.change, plant)
    target = Path(arguments.output)
    if target.exists() and not arguments.force:
        raise UsageError(f"{target}: is there already; --force replaces it")
    write_plant(made(plant, change.edits), target)
    count = len(change.edits)
    print(f"{target} written: {plant.name} with {count:,} edit{'' if count == 1 else 's'} made.")
    return 0


def print_differences(change: Change, found: WhatIf, paper: Paper) -> None:
    """Tell edits, counts, and every circuit that would stand otherwise."""
    for one in change.edits[:_EDITS]:
        paper.text(one.sentence)
    if len(change.edits) > _EDITS:
        paper.line(f"... and {len(change.edits) - _EDITS:,} more edits.")
    paper.line("")
    if found.differences:
        paper.table(_COLUMNS, [_row(one, paper) for one in found.differences])
        paper.line("")
    paper.line(
        Cell(
            f"{found.judged:,} circuits touched: {len(found.worse):,} worse, "
            f"{len(found.better):,} better, {len(found.differences):,} differ.",
            "title",
        )
    )


_EDITS = 12
_COLUMNS = (
    Column("tag"),
    Column("before"),
    Column("after"),
    Column("used", right=True),
    Column("then", right=True),
    Column("closest limit then", flexible=True),
    Column("function"),
)


def _row(one: Difference, paper: Paper) -> list[Cell | str]:
    def verdict(state: State | None) -> Cell | str:
        return "not there" if state is None else paper.verdict(state.verdict.word)

    def used(state: State | None) -> str:
        share = None if state is None else state.utilisation
        return "" if share is None else percent(share)

    before = "" if one.before is None else one.before.works_word
    after = "" if one.after is None else one.after.works_word
    return [
        one.tag,
        verdict(one.before),
        verdict(one.after),
        used(one.before),
        used(one.after),
        "" if one.after is None else one.after.governing,
        after if before == after else f"{before} -> {after}",
    ]


def _state(one: State | None) -> dict[str, Any] | None:
    if one is None:
        return None
    return {
        "verdict": one.verdict.word,
        "governing": one.governing or None,
        "utilisation": one.utilisation,
        "margin": one.margin,
        "works": one.works_word,
    }


def _document(change: Change, found: WhatIf) -> dict[str, Any]:
    return {
        "format": "subspark what-if",
        "version": JSON_VERSION,
        "change": change.as_dict(),
        "judged": found.judged,
        "worse": [one.tag for one in found.worse],
        "better": [one.tag for one in found.better],
        "differences": [
            {"tag": one.tag, "before": _state(one.before), "after": _state(one.after)}
            for one in found.differences
        ],
    }
