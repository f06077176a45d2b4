"""Demand and limit, and what follows from the two alone: verdict and utilisation.

A demand at or below its limit is *safe*, above it *unsafe*; where either is NaN it is
*unproven*. Equality is safe. Decimal inputs meet in binary only to a few units in the last
place, so a quantity counts as equal within :data:`EQUAL` of its limit; ranks and
temperatures compare exactly.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from subspark.rules.columns import NOTHING, Bools, Floats

__all__ = ["EQUAL", "NOT_ASKED", "All", "Bound", "Settled", "Verdict", "holds", "settle"]

EQUAL = 2.0**-40
"""Relative difference (9.1e-13) within which a quantity counts as equal to its limit. The
rounding of a sum of a few dozen terms stays below 1e-14; certificates have three digits."""


class Verdict(IntEnum):
    """What a rule says; a higher number is worse, so the worst is the maximum."""

    NOT_ASKED = 0
    SAFE = 1
    UNPROVEN = 2
    UNSAFE = 3

    @property
    def word(self) -> str:
        """The word for people."""
        return self.name.lower().replace("_", " ")


# Of the arrays' own type: compared with the enumeration itself an array is widened first.
SAFE = np.uint8(Verdict.SAFE)
UNPROVEN = np.uint8(Verdict.UNPROVEN)
UNSAFE = np.uint8(Verdict.UNSAFE)
_NOT_ASKED = np.uint8(Verdict.NOT_ASKED)


@dataclass(frozen=True, slots=True)
class Bound:
    """A demand and its limit, of shape S or with a leading axis of members.

    ``over`` names the members of the leading axis ("apparatus", "source", "run", "port");
    blank where there is none. ``exact`` compares without allowance for rounding. ``what``
    names this bound among several of one rule. ``at`` tells the place of each member of the
    leading axis where that is a number (the current at which volts were compared) [SI].
    """

    demand: Floats
    limit: Floats
    over: str = ""
    exact: bool = False
    what: str = ""
    at: Floats | None = None


NOT_ASKED = Bound(np.full(1, NOTHING), np.zeros(1))
"""What a rule returns that asks nothing of any case."""


@dataclass(frozen=True, slots=True)
class All:
    """Several bounds that must all hold."""

    bounds: tuple[Bound, ...]


class Settled(NamedTuple):
    """Verdict (uint8) and utilisation (float64) of each case."""

    verdict: npt.NDArray[np.uint8]
    utilisation: Floats


def verdicts(bound: Bound) -> npt.NDArray[np.uint8]:
    """Verdict of every element of a bound, members not yet reduced."""
    demand, limit = bound.demand, bound.limit
    if not bound.exact:
        limit = limit + np.abs(limit) * EQUAL
    safe = np.less_equal(demand, limit)
    unsafe = np.greater(demand, limit)
    verdict = unsafe.view(np.uint8) + UNPROVEN
    verdict -= safe.view(np.uint8)
    np.copyto(verdict, _NOT_ASKED, where=np.equal(demand, -np.inf))
    return verdict


def utilisations(bound: Bound, verdict: npt.NDArray[np.uint8]) -> Floats:
    """Demand over limit: 0 where nothing limits, at most 1 where safe, NaN where unproven."""
    with np.errstate(divide="ignore", invalid="ignore"):
        used: Floats = np.divide(bound.demand, bound.limit)
    safe = verdict == SAFE
    np.copyto(used, np.nan, where=verdict == _NOT_ASKED)
    np.copyto(used, 0.0, where=safe & np.isnan(used))
    np.fmin(used, 1.0, out=used, where=safe)
    return used


def settle(answer: Bound | All, quantity: bool = True) -> Settled:
    """Verdict and utilisation of each case from what a rule returned.

    Parameters
    ----------
    answer : Bound or All
        Arrays of shape S, or (members, S).
    quantity : bool
        Whether a utilisation is wanted.

    Returns
    -------
    Settled
        The worst verdict over bounds and members, and the largest utilisation (NaN where
        there is none). One unsafe member makes the case unsafe, whatever is unknown of others.
    """
    bounds = (answer,) if isinstance(answer, Bound) else answer.bounds
    worst: npt.NDArray[np.uint8] | None = None
    most: Floats | None = None
    for bound in bounds:
        verdict = verdicts(bound)
        used = utilisations(bound, verdict) if quantity else None
        if bound.over:
            verdict = verdict.max(axis=0, initial=0)
            used = None if used is None else np.fmax.reduce(used, axis=0, initial=np.nan)
        worst = verdict if worst is None else np.maximum(worst, verdict)
        if used is not None:
            most = used if most is None else np.fmax(most, used)
    if worst is None:
        raise ValueError("a rule must return at least one bound")
    if most is None:
        most = np.full(worst.shape, np.nan)
    return Settled(worst, most)


def holds(answer: Bound | All) -> Bools:
    """Whether each case is safe or not asked by what a rule returned: :func:`settle` in short.

    Returns
    -------
    (S)
        The same as ``settle(answer).verdict <= Verdict.SAFE``, without telling unsafe from
        unproven.
    """
    bounds = (answer,) if isinstance(answer, Bound) else answer.bounds
    out: Bools | None = None
    for bound in bounds:
        demand, limit = bound.demand, bound.limit
        if not bound.exact:
            limit = limit + np.abs(limit) * EQUAL
        good: Bools = np.atleast_1d(np.less_equal(demand, limit) | np.isneginf(demand))
        if bound.over:
            good = np.atleast_1d(good.all(axis=0))
        out = good if out is None else out & good
    if out is None:
        raise ValueError("a rule must return at least one bound")
    return out


def known(values: Floats) -> Bools:
    """Where a value is known."""
    return np.equal(values, values)
