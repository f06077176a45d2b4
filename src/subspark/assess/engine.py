"""The rules applied to columns: verdict, governing rule and utilisation of every case.

The same few lines judge one case and a million. Long columns are cut into blocks that stay in
the cache, and the blocks are shared out to threads; a cut changes no result.
"""

from __future__ import annotations

import dataclasses
import os
from concurrent.futures import ThreadPoolExecutor
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from subspark.rules import EQUAL, RULES, Columns, Segments, Verdict, settle
from subspark.rules.bound import NOT_ASKED, UNPROVEN, UNSAFE
from subspark.rules.columns import Bools, Floats

__all__ = ["NO_RULE", "QUANTITIES", "Judged", "judge", "judge_pairs", "part"]

QUANTITIES = tuple(i for i, rule in enumerate(RULES) if rule.sort == "quantity")
NO_RULE = 255
"""Index of the governing rule where no rule asks anything."""
BLOCK = 20480


class Judged(NamedTuple):
    """Result of n cases.

    Parameters
    ----------
    verdict : (n,) uint8
        Worst verdict over the rules.
    governing : (n,) uint8
        Index of the governing rule in :data:`subspark.rules.RULES`.
    utilisation : (n,) float64
        Of the governing rule; NaN where it has none.
    verdicts : (rules, n) uint8
    utilisations : (quantity rules, n) float64
    """

    verdict: npt.NDArray[np.uint8]
    governing: npt.NDArray[np.uint8]
    utilisation: Floats
    verdicts: npt.NDArray[np.uint8]
    utilisations: Floats


def part(columns: Columns, of: slice | npt.NDArray[np.intp]) -> Columns:
    """Some of the cases, all members kept: a view where ``of`` is a slice."""
    segments = columns.segments
    if segments is not None:
        segments = Segments(figures=segments.figures, **_cut(segments, of))
    return Columns(code=columns.code, segments=segments, **_cut(columns, of))


def _cut(record: Columns | Segments, of: slice | npt.NDArray[np.intp]) -> dict[str, Any]:
    """The arrays of a record, some of the cases only."""
    return {
        one.name: getattr(record, one.name)[..., of]
        for one in dataclasses.fields(record)
        if one.name not in _WHOLE
    }


_WHOLE = frozenset({"code", "memo", "segments", "figures"})


def _judge_into(columns: Columns, out: Judged) -> None:
    rows = iter(range(len(QUANTITIES)))
    for index, rule in enumerate(RULES):
        quantity = rule.sort == "quantity"
        answer = rule.evaluate(columns)
        if answer is NOT_ASKED and not quantity:
            out.verdicts[index] = Verdict.NOT_ASKED
            continue
        settled = settle(answer, quantity)
        out.verdicts[index] = settled.verdict
        if quantity:
            out.utilisations[next(rows)] = settled.utilisation
    _govern(out)


def _govern(out: Judged) -> None:
    """Worst verdict, and the rule that governs.

    Unsafe: the quantity rule with the largest utilisation if one is unsafe, else the first
    unsafe rule. Unproven: the first unproven rule. Safe: the quantity rule with the largest
    utilisation, the first on a tie.
    """
    np.max(out.verdicts, axis=0, out=out.verdict)
    unsafe = out.verdicts == UNSAFE
    used = np.where(np.isnan(out.utilisations), -1.0, out.utilisations)
    # An unsafe quantity is above 1 and a safe one is not, so the largest is the one wanted.
    most = used.max(axis=0)
    closest = _first(used >= most * (1.0 - EQUAL))
    most = np.take_along_axis(used, closest[None], 0)[0]
    none = most < 0.0
    is_unsafe = out.verdict == UNSAFE
    is_unproven = out.verdict == UNPROVEN
    by_suitability = is_unsafe & ~unsafe[list(QUANTITIES)].any(axis=0)
    governing = _QUANTITY_RULES[closest]
    governing = _choose(none, NO_RULE, governing)
    governing = _choose(is_unproven, _first(out.verdicts == UNPROVEN), governing)
    out.governing[...] = _choose(by_suitability, _first(unsafe), governing)
    out.utilisation[...] = most * _KEPT[(none | is_unproven | by_suitability).view(np.uint8)]


_QUANTITY_RULES = np.array(QUANTITIES, dtype=np.uint8)
_KEPT = np.array([1.0, np.nan])
"""Factor of a utilisation that governs, and of one that does not."""


def _choose(
    mask: Bools, yes: npt.NDArray[np.uint8] | int, no: npt.NDArray[np.uint8]
) -> npt.NDArray[np.uint8]:
    """``yes`` where the mask is true, else ``no``: in arithmetic modulo 256, without a branch."""
    chosen: npt.NDArray[np.uint8] = no + mask.view(np.uint8) * (np.uint8(yes) - no)
    return chosen


def _first(rows: Bools) -> npt.NDArray[np.uint8]:
    """Index of the first row that is true in each column, 0 where none is.

    The same as ``argmax`` along the rows, which is slow there for want of a vector form.
    """
    count = rows.shape[0]
    rank = np.arange(count, 0, -1, dtype=np.uint8)[:, None]
    best: npt.NDArray[np.uint8] = (rows.view(np.uint8) * rank).max(axis=0)
    best[best == 0] = count
    return np.uint8(count) - best


def _empty(n: int) -> Judged:
    return Judged(
        np.empty(n, dtype=np.uint8),
        np.empty(n, dtype=np.uint8),
        np.empty(n),
        np.empty((len(RULES), n), dtype=np.uint8),
        np.empty((len(QUANTITIES), n)),
    )


def _slice(out: Judged, of: slice) -> Judged:
    return Judged(
        out.verdict[of],
        out.governing[of],
        out.utilisation[of],
        out.verdicts[:, of],
        out.utilisations[:, of],
    )


def judge_pairs(columns: Columns, shape: tuple[int, ...]) -> Judged:
    """Judge columns whose arrays broadcast to a shape, such as cases against candidates.

    Parameters
    ----------
    columns : Columns
        Arrays that broadcast to ``shape`` behind their axes of members.
    shape : tuple of int
        Such as (n, m).

    Returns
    -------
    Judged
        Flat, n m cases in C order: the same bit for bit as each judged alone.
    """
    count = int(np.prod(shape))
    out = _empty(count)
    rows = iter(range(len(QUANTITIES)))
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        for index, rule in enumerate(RULES):
            quantity = rule.sort == "quantity"
            settled = settle(rule.evaluate(columns), quantity)
            out.verdicts[index] = np.broadcast_to(settled.verdict, shape).ravel()
            if quantity:
                out.utilisations[next(rows)] = np.broadcast_to(settled.utilisation, shape).ravel()
        _govern(out)
    return out


def judge(columns: Columns, block: int = BLOCK, threads: int | None = None) -> Judged:
    """Judge cases by every rule.

    Parameters
    ----------
    columns : Columns
        Shape S = (n,).
    block : int
        Cases judged at once; does not change the result.
    threads : int, optional
        Threads for many blocks; by default as many as processors, at most four.

    Returns
    -------
    Judged
        Of every case, in order.
    """
    n = columns.U.shape[0]
    out = _empty(n)
    cuts = [slice(start, min(start + block, n)) for start in range(0, n, block)]

    def one(of: slice) -> None:
        with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
            _judge_into(part(columns, of), _slice(out, of))

    if len(cuts) == 1:
        one(cuts[0])
    elif cuts:
        with ThreadPoolExecutor(threads or min(4, os.cpu_count() or 1)) as pool:
            for _ in pool.map(one, cuts):
                pass
    return out
