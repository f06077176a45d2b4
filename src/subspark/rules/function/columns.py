"""What the columns of functional rules are made of: figures with their ends, and tables.

``S`` is the shape of the cases, as in :mod:`subspark.rules.columns`. A rule takes of each figure
the end that hurts; handed columns whose three ends are the nominal value, it gives the nominal.
"""

from __future__ import annotations

import dataclasses
from dataclasses import field
from typing import Any, Literal, NamedTuple, TypeVar

import numpy as np

from subspark.rules.columns import Floats

__all__ = [
    "Column",
    "Members",
    "Owner",
    "Table",
    "Triple",
    "column",
    "columns_of",
    "interpolate",
    "nominal",
]

Owner = Literal["source", "device", "circuit", "line"]
"""Whose figure a column holds: what varies when another source is tried, and what does not."""


class Triple(NamedTuple):
    """Least, nominal and greatest value of a figure, each of shape S."""

    low: Floats
    nominal: Floats
    high: Floats


class Table(NamedTuple):
    """A figure against a current: breakpoints on the leading axis, NaN where there is none.

    Currents rise along the axis. ``at`` [A] is of shape (p, S), so are least, nominal, greatest.
    """

    at: Floats
    low: Floats
    nominal: Floats
    high: Floats


class Members(NamedTuple):
    """A figure of every member, or of every two of them: (k, S), or (k, k, S).

    Cases with fewer members are filled up with 0, so what is summed over them stays right.
    """

    low: Floats
    nominal: Floats
    high: Floats


class Column(NamedTuple):
    """A declared column: its name, its kind, whose figure it is and how people call it."""

    name: str
    sort: Literal["triple", "table", "plain", "members"]
    owner: Owner
    what: str


def column(owner: Owner, what: str) -> Any:  # noqa: ANN401 - a field specifier is of any type
    """Declare a column of a kind of circuit.

    Parameters
    ----------
    owner : {"source", "device", "circuit", "line"}
        Whose figure it is.
    what : str
        How a person calls it; what is asked for where it is not known.
    """
    return field(metadata={"owner": owner, "what": what})


_SORTS: dict[str, Literal["triple", "table", "plain", "members"]] = {
    "Triple": "triple",
    "Table": "table",
    "Members": "members",
    "Floats": "plain",
}


def columns_of(kind: type) -> tuple[Column, ...]:
    """The columns of a kind of circuit, in order.

    Raises
    ------
    TypeError
        A field is not declared by :func:`column`, or is of another type.
    """
    found = []
    for one in dataclasses.fields(kind):
        sort = _SORTS.get(str(one.type))
        if sort is None or "owner" not in one.metadata:
            raise TypeError(f"{kind.__name__}.{one.name}: wanted a column of a known sort")
        found.append(Column(one.name, sort, one.metadata["owner"], one.metadata["what"]))
    return tuple(found)


Kind = TypeVar("Kind")


def nominal(columns: Kind) -> Kind:
    """The same columns with every figure at its nominal value."""
    changed: dict[str, Triple | Table | Members] = {}
    for one in dataclasses.fields(columns):  # type: ignore[arg-type]
        held = getattr(columns, one.name)
        if isinstance(held, Triple):
            changed[one.name] = Triple(held.nominal, held.nominal, held.nominal)
        elif isinstance(held, Members):
            changed[one.name] = Members(held.nominal, held.nominal, held.nominal)
        elif isinstance(held, Table):
            changed[one.name] = Table(held.at, held.nominal, held.nominal, held.nominal)
    return dataclasses.replace(columns, **changed)  # type: ignore[type-var]


def interpolate(
    at: Floats,
    values: Floats,
    I: Floats,  # noqa: E741 - the symbol of current
    *,
    falling: bool = False,
) -> Floats:
    """A table at a current, linear between its points.

    Parameters
    ----------
    at, values : (p, S)
        Points, rising; NaN where there is none. A point at +inf stands for every current.
    I : (S) [A]
    falling : bool
        The values fall with the current and are least values: then the first point also
        stands for every lower current.

    Returns
    -------
    (S)
        NaN beyond the last point and, unless falling, before the first: nothing is extrapolated.
    """
    shape = np.broadcast_shapes(at.shape[1:], values.shape[1:], I.shape)
    out = np.full(shape, np.nan)
    count = at.shape[0]
    if count:
        always = np.isposinf(at[0])
        first = always | (at[0] >= I) if falling else always | (at[0] == I)
        out = np.where(first, values[0], out)
    for k in range(count - 1):
        here, after = at[k], at[k + 1]
        inside = (here < I) & (after >= I) & np.isfinite(after)
        share = (I - here) / (after - here)
        line = values[k] + share * (values[k + 1] - values[k])
        out = np.where(inside, np.where(after == I, values[k + 1], line), out)
    return out
