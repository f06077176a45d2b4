"""Cases of function made into columns, and judged: those of one kind together."""

from __future__ import annotations

import dataclasses
import math
import os
from collections import defaultdict
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import Any, NamedTuple

import numpy as np

from subspark.assess.function.cases import Each, Figure, FunctionCase
from subspark.quantity import Spread
from subspark.rules import Verdict
from subspark.rules.bound import Settled, settle
from subspark.rules.function import (
    KINDS,
    FunctionRule,
    Members,
    Table,
    Triple,
    columns_of,
    function_rules,
)

__all__ = ["BLOCK", "Judged", "block_columns", "evaluate", "judge_columns", "judge_function"]

BLOCK = 8192
UNASKED = Spread(math.nan, math.nan, math.nan)


class Judged(NamedTuple):
    """What the rules of one kind say of its cases: (rules, n) verdicts and utilisations."""

    rules: tuple[FunctionRule, ...]
    verdicts: np.ndarray[Any, np.dtype[np.uint8]]
    utilisations: np.ndarray[Any, np.dtype[np.float64]]


def _triple(figures: Sequence[Figure | None]) -> Triple:
    ends = np.array(
        [one[:3] if isinstance(one, Spread) else UNASKED[:3] for one in figures], dtype=np.float64
    )
    return Triple(*np.ascontiguousarray(ends.T))


def _table(figures: Sequence[Figure | None]) -> Table:
    """Tables of unequal length; one that holds at every current is a point at +inf."""
    lists = [
        one if isinstance(one, tuple) and not isinstance(one, Spread) else () for one in figures
    ]
    longest = max((len(one) for one in lists), default=0)
    out = np.full((len(lists), longest, 4), math.nan)
    for i, points in enumerate(lists):
        for j, point in enumerate(points):
            at = math.inf if math.isnan(point.at) else point.at
            out[i, j] = (at, *point.value[:3])
    return Table(*np.ascontiguousarray(out.transpose(2, 1, 0)))


def _plain(figures: Sequence[Figure | None]) -> np.ndarray[Any, np.dtype[np.float64]]:
    return np.array(
        [one if isinstance(one, float) else math.nan for one in figures], dtype=np.float64
    )


def _members(figures: Sequence[Figure | None]) -> Members:
    """Members of unequal number; fewer are filled up with 0."""
    lists = [one if isinstance(one, Each) else None for one in figures]
    square = any(one is not None and one.square for one in lists)
    sizes = [_count(one) for one in lists]
    most = max(sizes, default=0)
    out = np.zeros((len(lists), *((most, most) if square else (most,)), 3))
    for i, (one, size) in enumerate(zip(lists, sizes, strict=True)):
        if one is None:
            out[i] = math.nan
        elif size:
            ends = np.array([each[:3] for each in one.figures], dtype=np.float64)
            if square:
                out[i, :size, :size] = ends.reshape(size, size, 3)
            else:
                out[i, :size] = ends
    return Members(*np.ascontiguousarray(np.moveaxis(out, (-1, 0), (0, -1))))


def _count(one: Each | None) -> int:
    if one is None:
        return 0
    return math.isqrt(len(one.figures)) if one.square else len(one.figures)


def block_columns(kind: str, cases: Sequence[FunctionCase]) -> Any:  # noqa: ANN401
    """The columns of cases of one kind, shape (n,); what a case does not name is unknown."""
    make = {"triple": _triple, "table": _table, "plain": _plain, "members": _members}
    declared = KINDS[kind].columns
    held = {
        one.name: make[one.sort]([case.values.get(one.name) for case in cases])
        for one in columns_of(declared)
    }
    return declared(**held)


def evaluate(rule: FunctionRule, columns: Any) -> Settled:  # noqa: ANN401 - of the rule's kind
    """Verdict and utilisation of each case by one rule."""
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        settled = settle(rule.evaluate(columns))
    if rule.near:
        unsure = settled.verdict != Verdict.SAFE
        return settled._replace(utilisation=np.where(unsure, settled.utilisation, np.nan))
    return settled


def judge_columns(kind: str, columns: Any, shape: tuple[int, ...]) -> Judged:  # noqa: ANN401
    """Judge the columns of one kind by all of its rules.

    A long list of cases is cut into blocks that stay in the cache and are shared out to threads;
    a cut changes no result.
    """
    rules = function_rules(kind)
    verdicts = np.empty((len(rules), *shape), dtype=np.uint8)
    used = np.empty((len(rules), *shape))

    def into(part: Any, of: slice) -> None:  # noqa: ANN401 - columns of the kind
        for index, rule in enumerate(rules):
            settled = evaluate(rule, part)
            verdicts[index, of], used[index, of] = settled.verdict, settled.utilisation

    if len(shape) > 1 or shape[0] <= BLOCK:
        into(columns, slice(None))
    else:
        cuts = [slice(start, start + BLOCK) for start in range(0, shape[0], BLOCK)]
        with ThreadPoolExecutor(min(4, os.cpu_count() or 1)) as pool:
            for _ in pool.map(lambda of: into(cut(columns, of), of), cuts):
                pass
    return Judged(rules, verdicts, used)


def cut(columns: Any, of: slice) -> Any:  # noqa: ANN401 - columns of any kind
    """Some of the cases of columns of shape (n,): views of them."""
    held = {}
    for one in dataclasses.fields(columns):
        whole = getattr(columns, one.name)
        if isinstance(whole, tuple):
            held[one.name] = type(whole)(*(end[..., of] for end in whole))
        else:
            held[one.name] = whole[..., of]
    return dataclasses.replace(columns, **held)


def judge_function(cases: Sequence[FunctionCase]) -> list[tuple[Judged, list[int]]]:
    """Judge cases kind by kind.

    Returns
    -------
    list of (judged, places)
        What is said of the cases of each kind, and their places in the list.
    """
    groups: dict[str, list[int]] = defaultdict(list)
    for place, case in enumerate(cases):
        groups[case.kind].append(place)
    out = []
    for kind, places in groups.items():
        columns = block_columns(kind, [cases[place] for place in places])
        out.append((judge_columns(kind, columns, (len(places),)), places))
    return out
