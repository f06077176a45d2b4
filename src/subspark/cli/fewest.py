"""``subspark fewest``: the fewest source or cable types that serve a whole plant."""

from __future__ import annotations

import argparse
import dataclasses
import json
from typing import Any

from subspark.choose.covering import Progress
from subspark.choose.fewest import Ask, Proposal, margins
from subspark.choose.fewest import fewest as choose
from subspark.choose.filters import Wishes
from subspark.cli.busy import Busy
from subspark.cli.paper import Cell, Column, Paper
from subspark.cli.whatif import write_change_file
from subspark.errors import UsageError
from subspark.exchange import read_plant
from subspark.exchange.curve_store import curves_in_use
from subspark.model import Plant
from subspark.rules import code as edition

__all__ = ["fewest"]

JSON_VERSION = 1
_TOLD = 12
Curve = list[tuple[float, int, float, int]]


def fewest(arguments: argparse.Namespace) -> int:
    """Run the command."""
    if arguments.code is not None:
        edition(arguments.code)
    ask = Ask(
        margin=arguments.margin,
        order=arguments.order,
        stocking=arguments.stocking,
        replacing=arguments.replacing,
        spare=arguments.spare,
        time_limit=arguments.time,
        wishes=Wishes(makers=tuple(arguments.maker or ()), obsolete=arguments.obsolete),
        forced=tuple(arguments.keep or ()),
        forbidden=tuple(arguments.without or ()),
        of=arguments.of,
    )
    asked = _margins(arguments.curve)
    if asked and arguments.of == "cables":
        raise UsageError("--curve is of sources; leave it out, or --of cables")
    curves = curves_in_use(arguments.curves)
    with Busy(f"reading {arguments.plant}") as busy:
        plant = read_plant(arguments.plant)
        if arguments.code is not None:
            plant = dataclasses.replace(plant, code=arguments.code)
        tried = len(plant.cables if arguments.of == "cables" else plant.sources)
        busy.says(f"trying {tried:,} {arguments.of} in {len(plant.circuits):,} circuits")

        def watch(one: Progress) -> None:
            busy.says(
                f"{one.types} types, no plan below {one.types_bound}; cost {float(one.cost):,.0f}, "
                f"gap {one.gap:.1%}"
            )

        def told(done: int, of: int) -> None:
            busy.says(f"tried {done} of {of} {arguments.of}")

        found = choose(plant, ask, curves=curves, progress=watch, told=told)
        curve = margins(plant, asked, ask, curves=curves, progress=watch) if asked else []
    if arguments.output:
        write_change_file(found.change, arguments.output)
    if arguments.format == "json":
        document = _document(plant, found, curve)
        print(json.dumps(document, ensure_ascii=False, indent=1, allow_nan=False))
    else:
        _print(found, curve, Paper())
        if arguments.output:
            print(f"{arguments.output} written: the change, to be reviewed and applied.")
    return 1 if found.misses else 0


def _margins(text: str | None) -> list[float]:
    if text is None:
        return []
    try:
        found = [float(one) for one in text.split(",")]
    except ValueError:
        found = []
    if not found or not all(0.0 < one <= 1.0 for one in found):
        raise UsageError(f"--curve {text!r}: wanted shares such as 1,0.9,0.8")
    return found


def _print(found: Proposal, curve: Curve, paper: Paper) -> None:
    laid = found.ask.of == "cables"
    columns = [
        Column("type"),
        *([] if laid else [Column("maker", flexible=True)]),
        Column("runs now" if laid else "now", right=True),
        Column("runs then" if laid else "then", right=True),
        Column("m to lay" if laid else "to buy", right=True),
        *([Column("price of 1 m" if laid else "price", right=True)] if found.priced else []),
    ]
    rows: list[list[Cell | str]] = []
    for one in found.lines:
        price = "" if one.price is None else f"{one.price:,.2f}" if laid else f"{one.price:,.0f}"
        rows.append(
            [
                Cell(one.name, "title" if one.after else "quiet"),
                *([] if laid else [one.maker]),
                f"{one.before:,}" if one.before else "",
                f"{one.after:,}" if one.after else "",
                f"{one.bought:,}" if one.bought else "",
                *([price] if found.priced else []),
            ]
        )
    paper.table(columns, rows)
    paper.line("")
    paper.line(Cell(f"{found.types_before} types in use now, {found.types_after} then.", "title"))
    if found.types_unserved:
        count = found.types_unserved
        paper.line(f"Of these {count} stay only in circuits that nothing serves: mend those.")
    for line in _told(found):
        paper.text(line)
    if found.misses:
        paper.line("")
        paper.line(Cell(f"Served by nothing: {len(found.misses):,} circuits", "title"))
        misses: list[list[Cell | str]] = [
            [one.tag, one.nearest, one.reason] for one in found.misses[:_TOLD]
        ]
        paper.table([Column("tag"), Column("nearest"), Column("why not", flexible=True)], misses)
        if len(found.misses) > _TOLD:
            paper.line(f"... and {len(found.misses) - _TOLD:,} more.")
    if curve:
        paper.line("")
        head = [Column(name, right=True) for name in ("used at most", "types", "cost", "served")]
        paper.table(
            head,
            [[f"{m:.0%}", f"{types}", f"{cost:,.0f}", f"{n:,}"] for m, types, cost, n in curve],
        )


def _told(found: Proposal) -> list[str]:
    """What a person must know of a proposal: cost, proof, greedy's answer, what was left."""
    result, first = found.result, found.first
    total = float(result.cost.total)
    laid = found.ask.of == "cables"
    each = "metre" if laid else "module"
    unit = "" if found.priced else f" (no prices stated: each {each} counts 1)"
    what = "runs" if laid else "circuits"
    out = [f"Cost {total:,.0f}{unit}, {len(found.change.edits):,} {what} change."]
    lost = len(result.unserved) - len(first.unserved)
    if lost > 0:
        out.append(
            f"Nothing is proved of this choice: {lost} {what if laid else 'circuits'} could be "
            "served one by one and not together, by any choice that was tried. Of choices that "
            f"serve them too none has fewer than {first.types_bound} types."
        )
    elif found.proved:
        out.append("Proved: nothing is better in the order asked.")
    elif found.types_proved:
        out.append(f"Proved: no fewer types. Cost not proved: gap {found.gap:.1%}.")
    else:
        out.append(
            f"Not proved: {result.status}; no plan below {first.types_bound} types, gap of the "
            f"cost {found.gap:.1%}."
        )
    out.append(
        f"The quick answer had {first.quick_types} types at {float(first.quick_cost):,.0f}. "
        f"Search {result.seconds:.1f} s, {found.rounds} rounds; {found.struck} choices did not "
        "hold in the whole plant and were struck out."
    )
    if found.left:
        why = (
            "no cable of their own, segments, thermocouples"
            if laid
            else "several sources, segments, a certificate for the combination"
        )
        out.append(
            f"{len(found.left):,} circuits stay as they are ({why}); their types stay in stores."
        )
    if laid:
        out.append(
            "A type takes the place of another only if both are multicores or neither, have the "
            "same kind of screen, and it has no fewer cores; armour, sheath and colour are for a "
            "person to compare. Cables that circuits share stay as they are."
        )
    return out


def _document(plant: Plant, found: Proposal, curve: Curve) -> dict[str, Any]:
    result, first = found.result, found.first
    return {
        "format": "subspark fewest",
        "version": JSON_VERSION,
        "plant": plant.name,
        "digest": plant.digest,
        "ask": dataclasses.asdict(found.ask),
        "types before": found.types_before,
        "types after": found.types_after,
        "types of circuits that nothing serves": found.types_unserved,
        "cost": float(result.cost.total),
        "proved": found.proved,
        "types proved": found.types_proved,
        "types bound": first.types_bound,
        "cost bound": float(first.bound),
        "gap": found.gap,
        "status": result.status,
        "quick types": first.quick_types,
        "quick cost": float(first.quick_cost),
        "lines": [dataclasses.asdict(one) for one in found.lines],
        "unserved": [dataclasses.asdict(one) for one in found.misses],
        "left": list(found.left),
        "change": found.change.as_dict(),
        "curve": [
            {"used": m, "types": types, "cost": cost, "served": n} for m, types, cost, n in curve
        ],
    }
