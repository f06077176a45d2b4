"""Function of many circuits, every kind of the demo plant, against their safety in the same run.

python benchmarks/function.py [circuits]
"""

from __future__ import annotations

import random
import sys
import time
from collections.abc import Callable
from typing import Any

import numpy as np

from subspark.assess.cases import expand
from subspark.assess.columns import blocks_of
from subspark.assess.context import Context
from subspark.assess.engine import judge, part
from subspark.assess.function import BUILDERS
from subspark.assess.function.engine import block_columns, cut, judge_columns
from subspark.assess.function.facts import loop_of
from subspark.demo import build_plant
from subspark.model import Plant
from subspark.rules.function import nominal

LIMIT = 4.0


def timed(run: Callable[[], None], times: int = 3) -> float:
    """Least seconds of several runs."""
    best = float("inf")
    for _ in range(times):
        start = time.perf_counter()
        run()
        best = min(best, time.perf_counter() - start)
    return best


def rows_of(plant: Plant, context: Context) -> tuple[dict[str, list[Any]], set[str]]:
    """The cases of function of every circuit, by kind, and the tags of those that have any."""
    cases: dict[str, list[Any]] = {}
    judged = set()
    for circuit in plant.circuits:
        loop = loop_of(circuit, context)
        for build in BUILDERS:
            for case in build(loop):
                cases.setdefault(case.kind, []).append(case)
                judged.add(circuit.tag)
    return cases, judged


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    plant = build_plant()
    context = Context.of(plant)
    rng = random.Random(3)
    cases, judged = rows_of(plant, context)
    total = sum(len(one) for one in cases.values())
    columns = {}
    for kind, listed in cases.items():
        many = max(1, count * len(listed) // total)
        places = np.array([rng.randrange(len(listed)) for _ in range(many)])
        columns[kind] = (cut(block_columns(kind, listed), places), many)

    def function() -> None:
        for kind, (one, many) in columns.items():
            judge_columns(kind, one, (many,))

    def both() -> None:
        for kind, (one, many) in columns.items():
            judge_columns(kind, one, (many,))
            judge_columns(kind, nominal(one), (many,))

    own = [
        case
        for place, circuit in enumerate(plant.circuits)
        if circuit.tag in judged
        for case in expand(place, circuit, context)
    ]
    blocks = blocks_of(own, context.code, context.curves)
    sizes = [max(1, count * block.places.size // len(own)) for block in blocks]
    safety_columns = [
        part(block.columns, np.array([rng.randrange(block.places.size) for _ in range(size)]))
        for block, size in zip(blocks, sizes, strict=True)
    ]

    def safety() -> None:
        for one in safety_columns:
            judge(one)

    base, works, with_nominal = timed(safety), timed(function), timed(both)
    kinds = ", ".join(f"{kind} {many:,}" for kind, (_, many) in columns.items())
    print(f"{count:,} circuits: {kinds}")
    print(f"safety, all rules                 {base * 1e3:8.1f} ms")
    print(f"function at the worst corner      {works * 1e3:8.1f} ms   {works / base:5.2f} x")
    beside = with_nominal / base
    print(f"with the nominal beside it        {with_nominal * 1e3:8.1f} ms   {beside:5.2f} x")
    print(f"wanted: within {LIMIT:g} x")
    start = time.perf_counter()
    rows_of(plant, context)
    rows = time.perf_counter() - start
    print(f"rows of the plant's {len(plant.circuits)} circuits  {rows * 1e3:8.1f} ms")


if __name__ == "__main__":
    main()
