"""A whole plant against a whole catalogue, against NumPy doing five comparisons on that shape.

python benchmarks/choosing.py [circuits] [sources]
"""

from __future__ import annotations

import dataclasses
import random
import resource
import sys
import time

import numpy as np

from subspark.choose.fits import Search
from subspark.choose.longest import with_length
from subspark.choose.matrix import Board
from subspark.demo import build_plant
from subspark.model import Circuit, Plant, SourceType

LIMIT = 6.0
GIB = 2**30


def many_circuits(plant: Plant, count: int, rng: random.Random) -> list[Circuit]:
    """Circuits like those of the demo plant, each with a length of its own."""
    base = [
        one
        for one in plant.circuits
        if len(one.sources) == 1 and one.method == "entity" and not one.system and one.runs
    ]
    out = []
    for number in range(count):
        one = rng.choice(base)
        *front, last = (dataclasses.replace(run, number="") for run in one.runs)
        last = with_length(last, float(rng.randint(20, 900)))
        use = dataclasses.replace(one.sources[0], tag="")
        out.append(dataclasses.replace(one, tag=f"C-{number}", runs=(*front, last), sources=(use,)))
    return out


def many_sources(plant: Plant, count: int, rng: random.Random) -> list[SourceType]:
    """Sources like those of the demo plant, each with figures of its own."""
    base = [one for one in plant.sources if one.outputs and not one.covers and not one.terminals_of]
    out = []
    for number in range(count):
        one = rng.choice(base)
        output = one.outputs[0]
        if output.Uo.known and output.method == "entity":
            volts = max(1.0, output.Uo.si * rng.uniform(0.8, 1.05))
            output = dataclasses.replace(output, Uo=f"{volts:.2f} V")  # type: ignore[arg-type]
        out.append(dataclasses.replace(one, name=f"S-{number}", outputs=(output,)))
    return out


def timed(run: object, times: int = 3) -> float:
    """Least seconds of several runs."""
    best = float("inf")
    for _ in range(times):
        start = time.perf_counter()
        run()  # type: ignore[operator]
        best = min(best, time.perf_counter() - start)
    return best


def main() -> None:
    n, m = (int(one) for one in (*sys.argv[1:3], *("10000", "1000")[len(sys.argv) - 1 :]))
    rng = random.Random(7)
    plant = build_plant()
    circuits, sources = many_circuits(plant, n, rng), many_sources(plant, m, rng)
    start = time.perf_counter()
    search = Search(plant, sources)
    board = Board(search.table, search.function, circuits)
    laid = time.perf_counter() - start
    first = board.serving()
    whole = time.perf_counter() - start
    m = len(search.candidates)
    again = timed(board.serving, 3)
    generator = np.random.default_rng(1)
    left = [generator.random((n, 1)) for _ in range(5)]
    right = [generator.random((1, m)) for _ in range(5)]

    def floor() -> object:
        held = left[0] <= right[0]
        for one, other in zip(left[1:], right[1:], strict=True):
            held &= one <= other
        return held

    base = timed(floor)
    print(f"{n:,} circuits x {m:,} sources, {n * m:,} pairs; {first.serves.mean():.1%} serve")
    print(f"five comparisons by NumPy            {base * 1e3:8.1f} ms")
    print(f"circuits and sources laid out         {laid * 1e3:8.1f} ms")
    print(f"all rules, first time                {whole * 1e3:8.1f} ms   {whole / base:6.1f} x")
    print(f"all rules, all laid out              {again * 1e3:8.1f} ms   {again / base:6.1f} x")
    print(f"pairs asked of the rules             {first.asked:,} ({first.asked / (n * m):.1%})")
    one = circuits[0]
    search.fits_of(one)
    warm = timed(lambda: search.fits_of(one), 5)
    print(f"fits of one circuit, warm            {warm * 1e3:8.1f} ms")
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
    print(f"peak memory                          {peak / GIB:8.2f} GiB")
    print(f"wanted: within {LIMIT:g} x and under 2 GiB")


if __name__ == "__main__":
    main()
