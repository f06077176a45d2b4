"""Fewest types beside HiGHS alone, in one run, on invented plants of a real plant's structure.

Sources have Uo, Io, Po, Co, Lo, a kind of signal, channels and a price; circuits have Ui, Ii, Pi,
C, L, a kind and the volts they need; who serves whom comes from comparisons. All circuits of a
plant are distinct: no two agree in group, installed type and the types that serve them.

Bare: highspy on the programme after equal circuits are grouped and dominated types dropped, in
one piece, with the same tolerances and no start. Ours: everything, from the table of who serves
whom to the plan counted anew. Only the ratio says something; a bare time at the limit is no
proof, so its ratio is an upper one.

Run with ``python benchmarks/covering.py [SECONDS]``: the time limit of the largest plant (60).
"""

from __future__ import annotations

import sys
import time
from typing import NamedTuple

import highspy
import numpy as np

from subspark.choose.covering import Covering, Progress, fewest
from subspark.choose.covering_highs import ABSOLUTE_GAP, RELATIVE_GAP
from subspark.choose.covering_model import Layout, programme
from subspark.choose.covering_problem import counted, usable
from subspark.choose.covering_reduce import reduced

TYPES = 300
LIMIT = 10.0
VOLTS = [5.9, 9.6, 12.4, 15.0, 17.5, 18.9, 21.4, 22.1, 23.1, 25.2, 26.3, 27.0, 28.0]


class Kind(NamedTuple):
    """A kind of plant: sharing groups, spare channels, whether sources are installed."""

    name: str
    groups: int
    spare: float
    brownfield: bool


KINDS = [
    Kind("new, one cabinet", 1, 0.0, brownfield=False),
    Kind("new, spare 20 %", 1, 0.2, brownfield=False),
    Kind("new, 4 cabinets", 4, 0.0, brownfield=False),
    Kind("existing, one cabinet", 1, 0.0, brownfield=True),
    Kind("existing, 4, spare 10 %", 4, 0.1, brownfield=True),
]


class Sources(NamedTuple):
    """Vectors of the candidate types."""

    Uo: np.ndarray
    Io: np.ndarray
    Po: np.ndarray
    Co: np.ndarray
    Lo: np.ndarray
    volts: np.ndarray
    kind: np.ndarray
    channels: np.ndarray
    price: np.ndarray


def sources(random: np.random.Generator) -> Sources:
    """Invented types: permitted C and L fall as voltage and current rise, prices with power."""
    Uo = random.choice(VOLTS, TYPES)
    Io = np.round(random.uniform(0.02, 0.12, TYPES), 4)
    kind = random.integers(0, 4, TYPES)
    channels = random.choice([1, 2, 4, 8], TYPES, p=[0.45, 0.3, 0.15, 0.1])
    price = 60 + 40 * kind + 75 * Uo * Io + random.normal(0, 12, TYPES) + 35 * (channels - 1)
    return Sources(
        Uo=Uo,
        Io=Io,
        Po=Uo * Io / 4,
        Co=83e-9 * (28 / Uo) ** 4 * random.uniform(0.8, 1, TYPES),
        Lo=4.2e-3 * (0.093 / Io) ** 2 * random.uniform(0.8, 1, TYPES),
        volts=Uo - 0.02 * Uo / Io * random.uniform(0.6, 1, TYPES),
        kind=kind,
        channels=channels,
        price=np.round(price).clip(25),
    )


def served(one: Sources, n: int, random: np.random.Generator) -> np.ndarray:
    """Who serves whom among n invented circuits, by comparison."""
    kind = random.integers(0, 4, n)[:, None]
    Ui = random.choice([15.0, 20.0, 28.0, 30.0], (n, 1), p=[0.05, 0.1, 0.35, 0.5])
    Ii = random.choice([0.06, 0.093, 0.1, 0.12, 0.2], (n, 1))
    Pi = random.choice([0.3, 0.5, 0.65, 0.75, 1.0, 1.3], (n, 1))
    C, L = 10 ** random.uniform(-8.5, -6.6, (n, 1)), 10 ** random.uniform(-4.5, -2.3, (n, 1))
    current = random.choice([[8.0, 10.0, 12.0], [3.0, 5.0, 7.0]][0], (n, 1))
    volts = np.where(kind == 0, current, current - 5)
    safe = (one.Uo <= Ui) & (one.Io <= Ii) & (one.Po <= Pi) & (one.Co >= C) & (one.Lo >= L)
    return safe & (one.kind == kind) & (one.volts >= volts)


def plant(kind: Kind, n: int, seed: int, stocking: float = 500.0) -> Covering:
    """An invented plant of n distinct circuits that some type serves."""
    random = np.random.default_rng(seed)
    types = sources(random)
    rows, found = [], 0
    palette = random.permutation(TYPES)[:40]
    seen: set[bytes] = set()
    while found < n:
        serves = served(types, 4 * n, random)
        group = random.integers(0, kind.groups, len(serves))
        # an installed type is one of 40 that serve the circuit, for three circuits of five
        worth = random.random((len(serves), len(palette))) * serves[:, palette]
        has = kind.brownfield & (worth.max(axis=1) > 0) & (random.random(len(serves)) < 0.6)
        existing = np.where(has, palette[worth.argmax(axis=1)], -1)
        for i in np.flatnonzero(serves.any(axis=1)):
            # numbers that differ in nothing the optimiser sees would be grouped
            key = (
                serves[i].tobytes()
                + bytes([group[i]])
                + int(existing[i]).to_bytes(2, "big", signed=True)
            )
            if key not in seen and found < n:
                seen.add(key)
                rows.append((serves[i], group[i], existing[i]))
                found += 1
    return Covering(
        serves=np.array([one for one, _, _ in rows]),
        price=types.price,
        stocking=stocking,
        channels=types.channels,
        group=np.array([one for _, one, _ in rows]),
        spare=kind.spare,
        existing=np.array([one for _, _, one in rows]),
        change=30.0,
    )


def bare(problem: Covering, seconds: float) -> tuple[float, bool, tuple[int, int]]:
    """Seconds of HiGHS on the reduced programme in one piece, whether it proved, and its size."""
    part = reduced(problem, usable(problem, "refuse"), counted(problem))
    model = programme(part, Layout(part), None, rooms=False)
    solver = highspy.Highs()
    for option, value in (
        ("output_flag", False),
        ("parallel", "off"),
        ("mip_abs_gap", ABSOLUTE_GAP),
        ("mip_rel_gap", RELATIVE_GAP),
        ("time_limit", seconds),
    ):
        solver.setOptionValue(option, value)
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(model.cost), len(model.rows.lower)
    lp.col_cost_, lp.col_lower_, lp.col_upper_ = model.cost, model.lower, model.upper
    lp.row_lower_, lp.row_upper_ = model.rows.lower, model.rows.upper
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.searchsorted(model.rows.row, np.arange(len(model.rows.lower) + 1))
    lp.a_matrix_.index_, lp.a_matrix_.value_ = model.rows.column, model.rows.value
    kinds = highspy.HighsVarType
    lp.integrality_ = [kinds.kInteger if one else kinds.kContinuous for one in model.whole]
    start = time.perf_counter()
    solver.passModel(lp)
    solver.run()
    taken = time.perf_counter() - start
    return taken, solver.getModelStatus() == highspy.HighsModelStatus.kOptimal, part.serves.shape


def beside_bare() -> None:
    """The first table: 1,000 distinct circuits, both ways."""
    print(f"1,000 distinct circuits x {TYPES} types, least cost, limit {LIMIT:.0f} s")
    print(
        f"{'plant':<26}{'classes x types':>16}{'bare s':>8}{'ours s':>8}{'ratio':>7}"
        f"{'quick':>9}{'found':>9}{'gap %':>7}  how it ended"
    )
    for kind in KINDS:
        for seed in (1, 2):
            problem = plant(kind, 1_000, seed)
            seconds, proved, size = bare(problem, 3 * LIMIT)
            result = fewest(problem, time_limit=LIMIT)
            mark = " " if proved else "+"
            print(
                f"{kind.name:<26}{size[0]:>10} x {size[1]:>3}{seconds:>7.2f}{mark}"
                f"{result.seconds:>8.2f}{result.seconds / seconds:>7.2f}"
                f"{float(result.quick_cost):>9.0f}{float(result.cost.total):>9.0f}"
                f"{100 * result.gap:>7.2f}  {result.status}"
            )


def types_first() -> None:
    """The second table: the number of types first."""
    print(f"\n1,000 distinct circuits x {TYPES} types, fewest types first, limit {LIMIT:.0f} s")
    print(f"{'plant':<26}{'types':>6}{'at least':>9}{'seconds':>9}  how it ended")
    for kind in KINDS:
        result = fewest(plant(kind, 1_000, 1), order="types", time_limit=LIMIT)
        print(
            f"{kind.name:<26}{len(result.chosen):>6}{result.types_bound:>9}"
            f"{result.seconds:>9.2f}  {result.status}"
        )


def largest(limit: float) -> None:
    """The third table: 10,000 circuits."""
    print(f"\n10,000 distinct circuits x {TYPES} types, least cost, limit {limit:.0f} s")
    print(
        f"{'plant':<26}{'answer s':>9}{'quick':>9}{'own gap %':>10}{'found':>9}{'gap %':>7}"
        f"{'seconds':>9}  how it ended"
    )
    for kind in (KINDS[2], KINDS[4]):
        problem = plant(kind, 10_000, 1)
        first: list[Progress] = []
        quick = fewest(problem, optimise=False, progress=first.append)
        result = fewest(problem, time_limit=limit)
        print(
            f"{kind.name:<26}{first[0].seconds:>9.2f}{float(quick.cost.total):>9.0f}"
            f"{100 * quick.gap:>10.2f}{float(result.cost.total):>9.0f}{100 * result.gap:>7.2f}"
            f"{result.seconds:>9.2f}  {result.status}"
        )


def main() -> None:
    """Print the tables."""
    beside_bare()
    types_first()
    largest(float(sys.argv[1]) if len(sys.argv) > 1 else 60.0)


if __name__ == "__main__":
    main()
