"""``subspark sensitivity``: how far each input of a circuit may move, and what then binds."""

from __future__ import annotations

import argparse
import dataclasses
import json
import math

from subspark.choose.sensitivity import COLDEST, FACTORS, HOTTEST, End, Sensed, Sensitivity, Span
from subspark.choose.sensitivity import sensitivity as sensed
from subspark.cli.busy import Busy
from subspark.cli.paper import Cell, Column, Paper
from subspark.exchange import read_plant
from subspark.exchange.curve_store import curves_in_use
from subspark.rules import code as edition

__all__ = ["sensitivity"]

JSON_VERSION = 1
_CELLS = 8  # of each side of the bar; full at ten times, or at a tenth
_FULL = math.log(10.0)


def sensitivity(arguments: argparse.Namespace) -> int:
    """Run the command."""
    if arguments.code is not None:
        edition(arguments.code)
    with Busy(f"reading {arguments.plant}") as busy:
        plant = read_plant(arguments.plant)
        if arguments.code is not None:
            plant = dataclasses.replace(plant, code=arguments.code)
        busy.says(f"moving every input of {arguments.tag}")
        found = sensed(plant, arguments.tag, curves=curves_in_use(arguments.curves))
    if arguments.format == "json":
        document = {
            "format": "subspark sensitivity",
            "version": JSON_VERSION,
            "plant": plant.name,
            "digest": plant.digest,
            "code": plant.code,
            **found.as_dict(),
        }
        print(json.dumps(document, ensure_ascii=False, indent=1, allow_nan=False))
    else:
        _print_table(found, Paper())
    return 0


def _print_table(found: Sensitivity, paper: Paper) -> None:
    function = any(one.works is not None for one in found.inputs)
    safe = "safe" if found.verdict == "safe" else f"stays {found.verdict}"
    works = "works" if found.works == "works" else f"still {found.works}"
    columns = [
        Column("input", flexible=True),
        Column("now", right=True),
        Column(f"{safe} from", right=True),
        Column("to", right=True),
        *([Column(f"{works} from", right=True), Column("to", right=True)] if function else []),
        Column("room"),
        Column("what changes beyond", flexible=True),
    ]
    bound = [one for one in found.inputs if any(one.ends)]
    rows: list[list[Cell | str]] = []
    for one in bound:
        spans = [one.safety, one.works] if function else [one.safety]
        values = [
            "" if span is None or end.value is None else one.show(end.value)
            for span in spans
            for end in ((span.low, span.high) if span is not None else (End(), End()))
        ]
        rows.append(
            [
                one.label,
                one.show(one.now),
                *values,
                _bar(one, paper),
                _beyond(one, function=function),
            ]
        )
    governing = f" ({found.governing})" if found.governing else ""
    paper.line(Cell(found.tag, "title"), "  ", paper.verdict(found.verdict), governing)
    paper.line("")
    if rows:
        paper.table(columns, rows)
        paper.line("")
    free = [one.label for one in found.inputs if not any(one.ends)]
    if free:
        paper.text(f"Not bound: {'; '.join(free)}.", style="quiet")
    if found.unknown:
        told = (f"{one.label} ({one.text or 'unknown'})" for one in found.unknown)
        paper.text(f"Not a number, so not moved: {'; '.join(told)}.", style="quiet")
    if not function:
        paper.text("Whether it works cannot be judged, so only safety was asked.", style="quiet")
    paper.text(
        f"Each input moves while all others stay, down to a thousandth and up to {FACTORS[-1]:g} "
        f"times, temperatures from {COLDEST:g} to {HOTTEST:g} °C. At a value that is told the "
        "verdict holds; one unit of its sixth digit (a thousandth of a degree) further it does "
        "not. The bar is full at a tenth and at ten times, or at 230 K; a line ends nowhere.",
        style="quiet",
    )


def _bar(one: Sensed, paper: Paper) -> Cell:
    """Room to both sides of the present value, on a scale of factors; a line where none ends."""
    left, right = (_side(one, side, paper) for side in ("low", "high"))
    return Cell(left[::-1] + ("│" if paper.unicode else "|") + right)


def _side(one: Sensed, side: str, paper: Paper) -> str:
    full, rest, free = ("█", "·", "─") if paper.unicode else ("#", ".", "-")
    moves = [
        abs(one.move(end.value))
        for span in (one.safety, one.works)
        if span is not None and (end := getattr(span, side)).value is not None
    ]
    if not moves:
        return free * _CELLS
    share = min(moves) / _FULL
    cells = _CELLS if share >= 1.0 else math.ceil(share * _CELLS - 1e-9)
    return full * cells + rest * (_CELLS - cells)


def _beyond(one: Sensed, *, function: bool) -> str:
    told = []
    spans: list[Span | None] = [one.safety, one.works if function else None]
    for side, name in (("low", "below"), ("high", "above")):
        for span in spans:
            end: End = End() if span is None else getattr(span, side)
            if end.bound:
                told.append(f"{name}: {end.becomes}" + (f", {end.binds}" if end.binds else ""))
    return "; ".join(told)
