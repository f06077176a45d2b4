"""``subspark fits``: which sources of the catalogue fit one circuit, and why the others do not."""

from __future__ import annotations

import argparse
import csv
import dataclasses
import json
import sys
from typing import Any

from subspark.assess.words import percent
from subspark.choose.filters import Wishes
from subspark.choose.fits import Fit, Search
from subspark.cli.busy import Busy
from subspark.cli.check import cell
from subspark.cli.paper import Cell, Column, Paper
from subspark.errors import UsageError
from subspark.exchange import read_plant
from subspark.exchange.curve_store import curves_in_use
from subspark.model import Plant
from subspark.rules import code as edition

__all__ = ["fits"]

JSON_VERSION = 1


def fits(arguments: argparse.Namespace) -> int:
    """Run the command."""
    if arguments.top is not None and arguments.top < 1:
        raise UsageError(f"--top {arguments.top}: wanted 1 or more")
    if arguments.code is not None:
        edition(arguments.code)
    with Busy(f"reading {arguments.plant}") as busy:
        plant = read_plant(arguments.plant)
        if arguments.code is not None:
            plant = dataclasses.replace(plant, code=arguments.code)
        catalogue = plant if arguments.catalogue is None else read_plant(arguments.catalogue)
        busy.says(f"trying {len(catalogue.sources):,} sources")
        wishes = Wishes(
            makers=tuple(arguments.maker or ()),
            approval=arguments.approval or "",
            obsolete=arguments.obsolete,
        )
        search = Search(
            plant, catalogue.sources, wishes, arguments.margin, curves_in_use(arguments.curves)
        )
        found = search.fits(arguments.tag, arguments.top, arguments.source - 1)
    if arguments.format == "json":
        document = _document(plant, arguments.tag, arguments.margin, found)
        print(json.dumps(document, ensure_ascii=False, indent=1, allow_nan=False))
    elif arguments.format == "csv":
        _write_csv(found)
    else:
        _print_table(arguments.tag, found, Paper())
    return 0 if any(one.serves for one in found) else 1


def _print_table(tag: str, found: list[Fit], paper: Paper) -> None:
    priced = any(one.price is not None for one in found)
    columns = [
        Column(""),
        Column("source"),
        Column("maker", flexible=True),
        Column("safety"),
        Column("function"),
        Column("used", right=True),
        *([Column("price", right=True)] if priced else []),
        Column("closest limit, or why not", flexible=True),
    ]
    rows: list[list[Cell | str]] = []
    for number, one in enumerate(found, 1):
        works: Cell | str = paper.verdict(one.works_word) if one.judged else "not judged"
        price = "" if one.price is None else f"{one.price:,.0f}"
        rows.append(
            [
                Cell(f"{number}", "" if one.serves else "quiet"),
                Cell(one.label + (" (now)" if one.present else ""), "title" if one.serves else ""),
                one.candidate.kind.maker,
                paper.verdict(one.verdict.word),
                works,
                "" if one.used is None else percent(one.used),
                *([price] if priced else []),
                one.governing if one.serves else one.reason,
            ]
        )
    paper.table(columns, rows)
    paper.line("")
    serving = sum(one.serves for one in found)
    paper.line(Cell(f"{tag}: {serving:,} of the {len(found):,} sources listed serve.", "title"))
    paper.text(
        "Order: safe and working first, then by what is used of the closest limit, price, stock. "
        "A circuit that shares cable or box was proved among its partners.",
        style="quiet",
    )


def _as_dict(one: Fit) -> dict[str, Any]:
    return {
        "source": one.candidate.kind.name,
        "outputs": one.candidate.outputs or None,
        "maker": one.candidate.kind.maker or None,
        "present": one.present,
        "serves": one.serves,
        "verdict": one.verdict.word,
        "governing": one.governing or None,
        "utilisation": one.utilisation,
        "works": one.works_word,
        "works governing": one.works_governing or None,
        "works utilisation": one.works_utilisation,
        "price": one.price,
        "stock": one.stock,
        "reason": one.reason or None,
    }


def _document(plant: Plant, tag: str, margin: float, found: list[Fit]) -> dict[str, Any]:
    return {
        "format": "subspark fits",
        "version": JSON_VERSION,
        "plant": plant.name,
        "digest": plant.digest,
        "code": plant.code,
        "tag": tag,
        "margin": margin,
        "sources": [_as_dict(one) for one in found],
    }


def _write_csv(found: list[Fit]) -> None:
    writer = csv.writer(sys.stdout, lineterminator="\n")
    head = list(_as_dict(found[0])) if found else ["source"]
    writer.writerow(head)
    for one in found:
        plain = _as_dict(one)
        writer.writerow([cell(plain[name]) for name in head])
