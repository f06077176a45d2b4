"""What is to be covered: circuits, candidate types, and what each choice costs.

Nothing here knows a plant. Circuits and types are rows and columns; which type may serve which
circuit was decided elsewhere, by proof.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from subspark.errors import InputError

__all__ = ["Bools", "Covering", "Ints", "Money", "UnknownPrices", "counted", "usable"]

Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]
UnknownPrices = Literal["refuse", "leave out"]

MILLION = 10**6
MOST_UNITS = 2**50
"""Costs above could not be told apart by the optimiser, which counts in doubles."""
NAMED = 5
"""Offenders that a message names."""


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Covering:
    """Circuits, the types that may serve them, and the cost of each choice.

    A circuit takes ``need`` channels of one type. Channels of one type and one group come in
    modules; a circuit's channels may lie on several modules of that type and group. Modules are
    bought for the channels that those already installed do not give, with the spare fraction
    on top of what is bought for:

        bought = ceil((1 + spare) * max(0, used - free) / channels)

    Parameters
    ----------
    serves : array of bool, shape (n, m)
        Whether a type may serve a circuit (safe, works, passes the filters, margin as asked).
    price : array, shape (m,)
        Price of one module of a type; NaN where it is not known.
    stocking : float or array, shape (m,)
        Cost of keeping one further type in stores, paid once for each type that is used.
    channels : int or array, shape (m,)
        Channels of one module.
    need : int or array, shape (n,)
        Channels that a circuit takes.
    group : array of int, shape (n,), optional
        Sharing group, from 0 (redundant half, SIL, cabinet): circuits of different groups never
        share a module.
    spare : Fraction or float
        Spare channels asked for, as a fraction of the channels in use (0.2 is 20 %).
    existing : array of int, shape (n,), optional
        Type that is installed for a circuit today, -1 for none.
    change : float or array, shape (n,)
        Cost of replacing a type that works. Keeping it costs nothing; replacing one that no
        longer serves is no choice and carries no such cost.
    installed : array of int, shape (m, groups), optional
        Modules that are there today. Without it, the fewest that hold ``existing``.
    forced, forbidden : sequence of int
        Types that are kept in stores in any case, and types that may not be used.
    names : sequence of str
        Names of the types, for messages.

    Raises
    ------
    InputError
        Where sizes do not agree, or a number is negative, not finite, or not a whole one.
    """

    serves: Bools
    price: NDArray[np.float64]
    stocking: float | NDArray[np.float64] = 0.0
    channels: int | Ints = 1
    need: int | Ints = 1
    group: int | Ints = 0
    spare: Fraction | float = Fraction(0)
    existing: int | Ints = -1
    change: float | NDArray[np.float64] = 0.0
    installed: Ints | None = None
    forced: Sequence[int] = ()
    forbidden: Sequence[int] = ()
    names: Sequence[str] = ()

    def __post_init__(self) -> None:
        serves = np.array(self.serves, dtype=bool)
        if serves.ndim != 2:
            raise InputError(f"serves: {serves.ndim} dimensions; wanted circuits by types")
        n, m = serves.shape
        self._put("serves", serves)
        self._put("price", _money("price", self.price, m, unknown=True))
        self._put("stocking", _money("stocking", self.stocking, m))
        self._put("change", _money("change", self.change, n))
        self._put("channels", _whole("channels", self.channels, m, 1))
        self._put("need", _whole("need", self.need, n, 1))
        self._put("group", _whole("group", self.group, n, 0))
        self._put("existing", _whole("existing", self.existing, n, -1, m - 1))
        self._put("spare", _fraction(self.spare))
        for field in ("forced", "forbidden"):
            chosen = _whole(field, np.array(getattr(self, field), dtype=float), None, 0, m - 1)
            self._put(field, tuple(sorted({int(one) for one in chosen})))
        both = sorted(set(self.forced) & set(self.forbidden))
        if both:
            raise InputError(f"{self.name(both[0])}: forced and forbidden at once; wanted one")
        if self.names and len(self.names) != m:
            raise InputError(f"names: {len(self.names)} for {m} types; wanted one each")
        self._put("installed", self._modules())

    def _put(self, field: str, value: object) -> None:
        object.__setattr__(self, field, value)

    def _modules(self) -> Ints:
        """Modules installed today, checked against what is in use."""
        group, channels = np.asarray(self.group), np.asarray(self.channels)
        groups = int(group.max(initial=0)) + 1
        used = np.zeros((self.serves.shape[1], groups), dtype=np.int64)
        existing = np.asarray(self.existing)
        here = existing >= 0
        np.add.at(used, (existing[here], group[here]), np.asarray(self.need)[here])
        least: Ints = -(-used // channels[:, None])
        if self.installed is None:
            return least
        given = np.asarray(self.installed)
        if given.ndim != 2 or given.shape[0] != used.shape[0] or given.shape[1] < groups:
            wanted = f"({used.shape[0]}, {groups})"
            raise InputError(f"installed: shape {given.shape}; wanted {wanted}")
        modules = _whole("installed", given.ravel(), None, 0).reshape(given.shape)
        short = np.argwhere(modules[:, :groups] < least)
        if len(short):
            one, place = (int(value) for value in short[0])
            raise InputError(
                f"installed: {modules[one, place]} modules of {self.name(one)} in group {place};"
                f" wanted at least {least[one, place]}, which its existing circuits fill"
            )
        return modules

    def name(self, one: int) -> str:
        """A type in words."""
        return str(self.names[one]) if self.names else f"type {one}"


def _money(
    field: str, value: ArrayLike, size: int, *, unknown: bool = False
) -> NDArray[np.float64]:
    array = np.array(
        np.broadcast_to(np.asarray(value, dtype=np.float64), _shape(field, value, size))
    )
    bad = ~(array >= 0) | np.isinf(array)
    if unknown:
        bad &= ~np.isnan(array)
    if bad.any():
        place = int(np.flatnonzero(bad)[0])
        raise InputError(f"{field}[{place}]: {array[place]}; wanted a cost, zero or more")
    return array


def _whole(
    field: str, value: ArrayLike, size: int | None, least: int, most: int | None = None
) -> Ints:
    given = np.asarray(value, dtype=np.float64)
    if size is not None:
        given = np.broadcast_to(given, _shape(field, value, size))
    bad = ~(given >= least) | (given != np.floor(given)) | (given > 2**31)
    if most is not None:
        bad |= given > most
    if bad.any():
        place = int(np.flatnonzero(bad)[0])
        upto = "" if most is None else f" to {most}"
        raise InputError(
            f"{field}[{place}]: {given[place]:g}; wanted a whole number from {least}{upto}"
        )
    return given.astype(np.int64)


def _shape(field: str, value: ArrayLike, size: int) -> tuple[int]:
    shape = np.shape(value)
    if shape not in {(), (size,)}:
        raise InputError(f"{field}: shape {shape}; wanted one value, or {size}")
    return (size,)


def _fraction(spare: Fraction | float) -> Fraction:
    value = spare if isinstance(spare, Fraction) else float(spare)
    if not 0 <= value <= 10:  # NaN too
        raise InputError(f"spare: {spare}; wanted a fraction such as 0.2 for 20 %")
    return value if isinstance(value, Fraction) else Fraction(repr(value)).limit_denominator(1000)


def usable(problem: Covering, unknown_prices: UnknownPrices) -> Bools:
    """Which type may serve which circuit once forbidden and unpriced types are dealt with.

    Parameters
    ----------
    problem : Covering
        What is to be covered.
    unknown_prices : {"refuse", "leave out"}
        Left out, a type without a price stays only where it is installed today.

    Raises
    ------
    InputError
        Where a type that could be chosen has no price and that is to be refused.
    """
    if unknown_prices not in {"refuse", "leave out"}:
        raise InputError(f"unknown prices: {unknown_prices!r}; wanted 'refuse' or 'leave out'")
    serves = problem.serves.copy()
    serves[:, list(problem.forbidden)] = False
    unpriced = np.flatnonzero(np.isnan(problem.price) & serves.any(axis=0))
    if not len(unpriced):
        return serves
    if unknown_prices == "refuse":
        shown = ", ".join(problem.name(int(one)) for one in unpriced[:NAMED])
        more = f" and {len(unpriced) - NAMED} more" if len(unpriced) > NAMED else ""
        raise InputError(
            f"price: not known for {shown}{more}; wanted a price for every type that may be"
            " chosen, or to leave these types out"
        )
    serves[:, unpriced] &= np.asarray(problem.existing)[:, None] == unpriced
    return serves


class Money(NamedTuple):
    """Costs as whole numbers of one unit, so that sums are exact and bounds can be rounded up."""

    price: Ints
    stocking: Ints
    change: Ints
    unit: Fraction


def counted(problem: Covering) -> Money:
    """Costs in whole units: the greatest that divides them all, a millionth at the least.

    Parameters
    ----------
    problem : Covering
        What is to be covered. A cost is taken as it prints, rounded to a millionth.

    Raises
    ------
    InputError
        Where costs are so large beside their finest digit that sums would not be exact.
    """
    columns = [
        [
            0 if math.isnan(value) else round(Decimal(repr(float(value))) * MILLION)
            for value in column
        ]
        for column in (problem.price, np.asarray(problem.stocking), np.asarray(problem.change))
    ]
    unit = math.gcd(*(value for column in columns for value in column)) or MILLION
    price, stocking, change = ([value // unit for value in column] for column in columns)
    channels = int(np.asarray(problem.need).sum()) * math.ceil(1 + problem.spare)
    cells = len(price) * (int(np.asarray(problem.group).max(initial=0)) + 1)
    most = max(price, default=0) * (channels + cells) + sum(stocking) + sum(change)
    if most > MOST_UNITS:
        raise InputError(
            f"costs: sums up to {float(most * Fraction(unit, MILLION)):g} in steps of"
            f" {float(Fraction(unit, MILLION)):g}; wanted coarser prices, rounded to cents say"
        )
    return Money(
        np.array(price, dtype=np.int64),
        np.array(stocking, dtype=np.int64),
        np.array(change, dtype=np.int64),
        Fraction(unit, MILLION),
    )
