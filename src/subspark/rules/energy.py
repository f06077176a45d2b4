"""Stored energy: capacitance, inductance, their lumped rule, and the permitted current."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from subspark.rules.bound import EQUAL, Bound
from subspark.rules.columns import NOTHING, Bools, Columns, Floats
from subspark.rules.registry import rule

__all__ = [
    "Allowed",
    "allowed",
    "capacitance",
    "capacitance_demand",
    "inductance",
    "inductance_demand",
    "lumped",
    "permitted_current",
]


class Lumped(NamedTuple):
    """Lumped sums and what the lumped rule makes of them.

    ``k`` is 1, 0.5, or NaN where it cannot be decided; ``low_L`` says that the lumped
    inductance is below 1 % of Lo for sure.
    """

    Ci: Floats
    Li: Floats
    k: Floats
    low_L: Bools


class Allowed(NamedTuple):
    """What may be connected after halving or by the best pair, and which pair (-1: none)."""

    C: Floats
    L: Floats
    pair: Floats


def _total(members: Floats) -> Floats:
    out: Floats = members.sum(axis=0)
    return out


def capacitance_demand(c: Columns) -> Floats:
    """Sum of Ci and cable capacitance, shape S [F]."""
    return _total(c.Ci) + c.source_C + _total(c.length * c.C)


def inductance_demand(c: Columns) -> Floats:
    """Sum of Li and cable inductance, shape S [H]."""
    return _total(c.Li) + c.source_L + _total(c.length * c.L)


def lumped(c: Columns) -> Lumped:
    """The factor k of the lumped rule.

    Where the lumped (not cable) Ci reaches 1 % of Co *and* the lumped Li reaches 1 % of Lo,
    only half of both may be used; exactly 1 % counts as reached, zero never does. Valid for
    linear sources, or where a document lets Co and Lo be used together (k = 1); otherwise it
    is not decidable. IEC 60079-11:2011 10.1.5.2; IEC 60079-14:2013 16.2.4.3 (from memory).
    """
    share = c.code.number("lumped share") * (1.0 - EQUAL)
    Ci = _total(c.Ci) + c.source_C
    Li = _total(c.Li) + c.source_L
    few_C, few_L = share * c.Co, share * c.Lo
    low_C = (Ci == 0.0) | (Ci < few_C)
    low_L = (Li == 0.0) | (Li < few_L)
    both = (Ci >= few_C) & (Li >= few_L)
    k = np.where(both & c.linear, c.code.number("lumped factor"), np.nan)
    k[low_C | low_L | c.together] = 1.0
    return Lumped(Ci, Li, k, low_L)


def allowed(c: Columns, stored: Lumped, C: Floats, L: Floats) -> Allowed:
    """Co and Lo as they may be used with ``C`` and ``L`` connected, shape S [F], [H]."""
    half = stored.k != 1.0  # NaN too, and NaN stays NaN
    Co = np.where(half, np.minimum(c.Co * stored.k, c.half_cap), c.Co)
    Lo = np.where(half, c.Lo * stored.k, c.Lo)
    pair = np.full(Co.shape, -1.0)
    if c.pair_Co.shape[0] and c.paired.any():
        with np.errstate(divide="ignore", invalid="ignore"):
            worse = np.maximum(C / c.pair_Co, L / c.pair_Lo)
        best = np.argmin(np.where(np.isnan(worse), np.inf, worse), axis=0)[None]
        shape = (c.pair_Co.shape[0], *Co.shape)
        chosen_C = np.take_along_axis(np.broadcast_to(c.pair_Co, shape), best, 0)[0]
        chosen_L = np.take_along_axis(np.broadcast_to(c.pair_Lo, shape), best, 0)[0]
        Co = np.where(c.paired, chosen_C, Co)
        Lo = np.where(c.paired, chosen_L, Lo)
        pair = np.where(c.paired, best[0], pair)
    return Allowed(Co, Lo, pair)


@rule(
    "capacitance",
    says="Apparatus and cable store no more charge than the source may be connected to.",
    relation="sum Ci + Cc <= k Co",
    sort="quantity",
    unit="F",
    needs=("Ci", "C", "length", "Co", "Lo", "Li", "half_cap", "pair_Co"),
    remedy="shorter or other cable, apparatus of lower Ci, or a source of higher Co",
)
def capacitance(c: Columns) -> Bound:
    """Sum Ci + Cc <= k Co, or the Co of a pair that covers both [F]."""
    demand = capacitance_demand(c)
    if not c.paired.any():
        return Bound(demand, allowed(c, lumped(c), demand, demand).C)
    return Bound(demand, allowed(c, lumped(c), demand, inductance_demand(c)).C)


def ratio_route(c: Columns, stored: Lumped) -> tuple[Bound, Bools]:
    """The route by L/R: worst run against Lo/Ro, and where it is open.

    Open only where the source states Lo/Ro, the lumped Li is below 1 % of Lo (or none, where
    no Lo is stated), no pairs are used and every run has an L/R. An L/R that was assumed from
    nominal copper is no proof above 80 % of the limit.
    """
    worst = c.LR.max(axis=0, initial=0.0)
    low = (stored.low_L & (c.Lo == c.Lo)) | ((stored.Li == 0.0) & np.isnan(c.Lo))
    open_ = low & (c.Lo_Ro == c.Lo_Ro) & (worst == worst) & ~c.paired
    if c.LR_assumed.any():
        assumed = c.LR_assumed.any(axis=0)
        open_ &= ~(assumed & (worst > c.code.number("assumed ratio share") * c.Lo_Ro))
    return Bound(worst, c.Lo_Ro), open_


def by_ratio(c: Columns) -> Bools:
    """Where the inductance rule is decided by L/R, shape S."""
    return _inductance(c)[1]


def _inductance(c: Columns) -> tuple[Bound, Bools]:
    stored = lumped(c)
    demand = inductance_demand(c)
    other = capacitance_demand(c) if c.paired.any() else demand
    limit = allowed(c, stored, other, demand).L
    ratio, open_ = ratio_route(c, stored)
    with np.errstate(divide="ignore", invalid="ignore"):
        by = open_ & ~(demand / limit <= ratio.demand / ratio.limit)
    return Bound(np.where(by, ratio.demand, demand), np.where(by, ratio.limit, limit)), by


@rule(
    "inductance",
    says="Apparatus and cable store no more magnetic energy than the source may be connected to.",
    relation="sum Li + Lc <= k Lo, or else L/R of every run <= Lo/Ro",
    sort="quantity",
    unit="H",
    needs=("Li", "L", "length", "Lo", "Co", "Ci", "LR", "Lo_Ro", "pair_Lo"),
    remedy="shorter cable, cable with a stated L/R, or a source of higher Lo",
)
def inductance(c: Columns) -> Bound:
    """Sum Li + Lc <= k Lo [H], or the worst run's L/R <= Lo/Ro [H/ohm].

    Of the routes that are open, the one with the smaller utilisation.
    """
    return _inductance(c)[0]


@rule(
    "permitted current",
    says="The current of sources combined by calculation is permitted at their voltage.",
    relation="I <= permitted(U, group)",
    sort="quantity",
    unit="A",
    needs=("I", "permitted"),
    remedy="one source, permanently separated sources, or a certificate for the combination",
)
def permitted_current(c: Columns) -> Bound:
    """I <= permitted short-circuit current at U, for calculated cases only [A]."""
    return Bound(np.where(c.calculated, c.I, NOTHING), c.permitted)
