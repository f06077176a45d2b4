"""A whole plant against a whole catalogue, against NumPy doing five comparisons on that shape.

python benchmarks/choosing.py [circuits] [sources]

What is compared: five comparisons `(n, 1) <= (1, m)` of float64, joined by `and` into one array
of n m booleans, by NumPy on one processor; against `Board.serving`, which gives the same array of
booleans by every rule of safety and of function. Laying out makes the cases of the circuits and
of the sources, their columns, and what is alike in them; it is done once for a plant and a
catalogue and holds no verdict. The first answer makes the cases of function that it needs besides;
they are kept. Every answer asks the rules anew. Of the circuits no two need be alike, but many
differ in one length only, as in a plant. In the second catalogue no two sources agree in any
figure of their outputs.
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
from subspark.model import Circuit, Output, Plant, SourceType

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


def many_sources(
    plant: Plant, count: int, rng: random.Random, *, unlike: bool = False
) -> list[SourceType]:
    """Sources like those of the demo plant, each with volts of its own; or with all its own."""
    base = [one for one in plant.sources if one.outputs and not one.covers and not one.terminals_of]
    out = []
    for number in range(count):
        one = rng.choice(base)
        output = one.outputs[0]
        if output.Uo.known and output.method == "entity":
            volts = max(1.0, output.Uo.si * rng.uniform(0.8, 1.05))
            output = dataclasses.replace(output, Uo=f"{volts:.2f} V")  # type: ignore[arg-type]
        if unlike and output.method == "entity":
            output = _unlike(output, rng)
        out.append(dataclasses.replace(one, name=f"S-{number}", outputs=(output,)))
    return out


def _unlike(output: Output, rng: random.Random) -> Output:
    """An output with a current, a power, capacitances and inductances of its own."""

    def own(value: float, unit: str, scale: float) -> str:
        return f"{value / scale * rng.uniform(0.85, 1.0):.5f} {unit}"

    changed = {
        name: own(getattr(output, name).si, unit, 1e-3)
        for name, unit in (("Io", "mA"), ("Po", "mW"))
        if getattr(output, name).known
    }
    limits = tuple(
        dataclasses.replace(
            one,
            **{
                name: own(getattr(one, name).si, unit, scale)
                for name, unit, scale in (("Co", "nF", 1e-9), ("Lo", "mH", 1e-3))
                if getattr(one, name).known
            },
        )
        for one in output.limits
    )
    return dataclasses.replace(output, limits=limits, **changed)  # type: ignore[arg-type]


def timed(run: object, times: int = 3) -> float:
    """Least seconds of several runs."""
    best = float("inf")
    for _ in range(times):
        start = time.perf_counter()
        run()  # type: ignore[operator]
        best = min(best, time.perf_counter() - start)
    return best


def floor(n: int, m: int) -> float:
    """Seconds of five comparisons on this shape."""
    generator = np.random.default_rng(1)
    left = [generator.random((n, 1)) for _ in range(5)]
    right = [generator.random((1, m)) for _ in range(5)]

    def compare() -> object:
        held = left[0] <= right[0]
        for one, other in zip(left[1:], right[1:], strict=True):
            held &= one <= other
        return held

    return timed(compare, 7)


def one_plant(plant: Plant, circuits: list[Circuit], sources: list[SourceType], name: str) -> None:
    """Time one plant against one catalogue, and print it."""
    start = time.perf_counter()
    search = Search(plant, sources)
    board = Board(search.table, search.function, circuits)
    laid = time.perf_counter() - start
    first = board.serving()
    whole = time.perf_counter() - start
    n, m = first.serves.shape
    bare = Board(search.table, None, circuits)
    base = floor(n, m)
    safety, again = timed(bare.serving, 7), timed(board.serving, 7)
    near = timed(lambda: board.serving(0.9), 3)
    base = min(base, floor(n, m))
    print(
        f"{name}: {n:,} circuits x {m:,} outputs, {n * m:,} pairs; {first.serves.mean():.1%} serve"
    )
    print(f"  five comparisons by NumPy            {base * 1e3:8.1f} ms")
    print(f"  circuits and sources laid out, once  {laid * 1e3:8.1f} ms")
    print(f"  with the first answer                {whole * 1e3:8.1f} ms")
    print(f"  safety alone, all laid out           {safety * 1e3:8.1f} ms   {safety / base:6.1f} x")
    print(f"  safety and function, all laid out    {again * 1e3:8.1f} ms   {again / base:6.1f} x")
    print(f"  the same at a margin of 0.9          {near * 1e3:8.1f} ms   {near / base:6.1f} x")
    print(f"  times that a rule was asked          {first.asked:,}")


def one_circuit(plant: Plant, circuit: Circuit, sources: list[SourceType]) -> None:
    """Time one circuit against a catalogue, first and again, and print it."""
    start = time.perf_counter()
    search = Search(plant, sources)
    search.fits_of(circuit)
    cold = time.perf_counter() - start
    warm = timed(lambda: search.fits_of(circuit), 7)
    print(f"fits of one circuit against {len(search.candidates):,} outputs")
    print(f"  first                                {cold * 1e3:8.1f} ms")
    print(f"  warm                                 {warm * 1e3:8.1f} ms")


def main() -> None:
    n, m = (int(one) for one in (*sys.argv[1:3], *("10000", "1000")[len(sys.argv) - 1 :]))
    rng = random.Random(7)
    plant = build_plant()
    circuits, sources = many_circuits(plant, n, rng), many_sources(plant, m, rng)
    one_plant(plant, circuits, sources, "volts of their own")
    unlike = many_sources(plant, m, rng, unlike=True)
    one_plant(plant, circuits, unlike, "all figures of their own")
    one_circuit(plant, circuits[0], many_sources(plant, 5 * m, rng, unlike=True))
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
    print(f"peak memory                            {peak / GIB:8.2f} GiB")
    print(f"wanted: within {LIMIT:g} x, under 2 GiB, fits in under 50 ms warm")


if __name__ == "__main__":
    main()
