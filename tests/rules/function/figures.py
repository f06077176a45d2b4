"""Columns of one case, from plain numbers: a figure for each column, 0 where none is given."""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np

from subspark.rules.bound import All, Bound, Verdict, settle
from subspark.rules.function import Members, Table, Triple, columns_of, function_rules

__all__ = ["Value", "columns", "replaced", "sides", "verdict"]

Value = float | tuple[float, float] | list[tuple[float, float]] | list[float] | list[list[float]]
"""A figure, its two ends, the points of a table, or the figures of members."""


def _triple(value: Value) -> Triple:
    low, high = value if isinstance(value, tuple) else (value, value)
    return Triple(*(np.array([one], dtype=float) for one in (low, (low + high) / 2, high)))


def _table(value: Value) -> Table:
    points = value if isinstance(value, list) else []
    at = np.array([one for one, _ in points], dtype=float).reshape(-1, 1)
    volts = np.array([one for _, one in points], dtype=float).reshape(-1, 1)
    return Table(at, volts, volts, volts)


def _members(value: Value) -> Members:
    """Figures of every member, or rows of them for every two; low and high are the same."""
    each = np.array(value if isinstance(value, list) else [], dtype=float)[..., None]
    return Members(each, each, each)


def columns(kind: type, **values: Value) -> Any:
    """Columns of one case of a kind."""
    make = {
        "triple": _triple,
        "table": _table,
        "plain": lambda one: np.array([one], dtype=float),
        "members": _members,
    }
    unknown = set(values) - {one.name for one in columns_of(kind)}
    assert not unknown, unknown
    return kind(**{one.name: make[one.sort](values.get(one.name, 0.0)) for one in columns_of(kind)})


def answer(kind: str, name: str, c: Any) -> Bound | All:
    rule = next(one for one in function_rules(kind) if one.name == name)
    with np.errstate(divide="ignore", invalid="ignore"):
        return rule.evaluate(c)


def sides(kind: str, name: str, c: Any) -> tuple[float, float]:
    """Demand and limit of a rule of one bound."""
    bound = answer(kind, name, c)
    assert isinstance(bound, Bound)
    demand, limit = np.broadcast_arrays(bound.demand, bound.limit)
    return float(demand[0]), float(limit[0])


def verdict(kind: str, name: str, c: Any) -> str:
    """What a rule says of one case, in the words of function."""
    words = {
        Verdict.SAFE: "works",
        Verdict.UNSAFE: "fails",
        Verdict.UNPROVEN: "unproven",
        Verdict.NOT_ASKED: "not asked",
    }
    with np.errstate(divide="ignore", invalid="ignore"):
        return words[Verdict(int(settle(answer(kind, name, c)).verdict[0]))]


def replaced(c: Any, **values: Value) -> Any:
    """The same columns with triples set."""
    return dataclasses.replace(c, **{name: _triple(one) for name, one in values.items()})
