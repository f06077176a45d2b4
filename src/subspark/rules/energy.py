"""Stored energy: capacitance, inductance, their lumped rule, and the permitted current."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from subspark.rules.bound import EQUAL, NOT_ASKED, All, Bound, known
from subspark.rules.columns import NOTHING, Bools, Columns, Floats, total
from subspark.rules.registry import rule

__all__ = [
    "Allowed",
    "Lumped",
    "Stored",
    "allowed",
    "by_ratio",
    "capacitance",
    "inductance",
    "lumped",
    "permitted_current",
    "ratio_route",
    "stored",
]


class Stored(NamedTuple):
    """Sums over apparatus and cable of each case, shape S [F], [H].

    ``C`` and ``L`` are NaN where a part is unknown; ``C_known`` and ``L_known`` are the known
    parts alone (the same arrays where all is known). ``Ci`` and ``Li`` are the lumped sums.
    """

    Ci: Floats
    Li: Floats
    Ci_known: Floats
    Li_known: Floats
    C: Floats
    L: Floats
    C_known: Floats
    L_known: Floats


class Lumped(NamedTuple):
    """What the lumped rule makes of the sums.

    ``k`` is 1, 0.5, or NaN where it cannot be decided; ``low_L`` says that the lumped
    inductance is below 1 % of Lo for sure.
    """

    k: Floats
    low_L: Bools


class Allowed(NamedTuple):
    """What may be connected after halving or by the best pair, and which pair (-1: none)."""

    C: Floats
    L: Floats
    pair: Floats


def _known_part(members: Floats, whole: Floats) -> Floats:
    """Sum of the members that are known; the total itself where nothing is unknown."""
    if not np.isnan(whole).any():
        return whole
    return total(np.where(np.isnan(members), 0.0, members))


def stored(c: Columns) -> Stored:
    """Sums of capacitance and inductance, worked out once for a set of columns."""
    found = c.memo.get("stored")
    if isinstance(found, Stored):
        return found
    Ci, Li = total(c.Ci), total(c.Li)
    Ci_known = _known_part(c.Ci, Ci) + c.source_C
    Li_known = _known_part(c.Li, Li) + c.source_L
    Ci, Li = Ci + c.source_C, Li + c.source_L
    run_C, run_L = c.length * c.C, c.length * c.L
    Cc, Lc = total(run_C), total(run_L)
    out = Stored(
        Ci,
        Li,
        Ci_known,
        Li_known,
        Ci + Cc,
        Li + Lc,
        Ci_known + _known_part(run_C, Cc),
        Li_known + _known_part(run_L, Lc),
    )
    c.memo["stored"] = out
    return out


def lumped(c: Columns) -> Lumped:
    """The factor k of the lumped rule.

    Where the lumped (not cable) Ci reaches 1 % of Co *and* the lumped Li reaches 1 % of Lo,
    only half of both may be used; exactly 1 % counts as reached, zero never does. Valid for
    linear sources, or where a document lets Co and Lo be used together (k = 1); otherwise it
    is not decidable. IEC 60079-11:2011 10.1.5.2; IEC 60079-14:2013 16.2.4.3 (from memory).
    """
    found = c.memo.get("lumped")
    if isinstance(found, Lumped):
        return found
    share = c.code.number("lumped share") * (1.0 - EQUAL)
    sums = stored(c)
    few_C, few_L = share * c.Co, share * c.Lo
    low_C = (sums.Ci == 0.0) | (sums.Ci < few_C)
    low_L = (sums.Li == 0.0) | (sums.Li < few_L)
    both = (sums.Ci_known >= few_C) & (sums.Li_known >= few_L)
    both &= (sums.Ci_known > 0.0) & (sums.Li_known > 0.0)
    k = np.where(both & c.linear, c.code.number("lumped factor"), np.nan)
    k[low_C | low_L | (both & c.together)] = 1.0
    out = Lumped(k, low_L)
    c.memo["lumped"] = out
    return out


def allowed(c: Columns) -> Allowed:
    """Co and Lo as they may be used, shape S [F], [H]: halved, capped, or of the best pair."""
    found = c.memo.get("allowed")
    if isinstance(found, Allowed):
        return found
    k, sums = lumped(c).k, stored(c)
    half = k != 1.0  # NaN too, and NaN stays NaN
    Co, Lo, pair = c.Co, c.Lo, np.full(np.shape(c.Co), -1.0)
    if half.any():
        Co = np.where(half, np.minimum(Co * k, c.half_cap), Co)
        Lo = np.where(half, Lo * k, Lo)
    if c.pair_Co.shape[0] and c.paired.any():
        with np.errstate(divide="ignore", invalid="ignore"):
            worse = np.maximum(sums.C_known / c.pair_Co, sums.L_known / c.pair_Lo)
        best = np.argmin(np.where(np.isnan(worse), np.inf, worse), axis=0)[None]
        shape = (c.pair_Co.shape[0], *np.shape(Co))
        chosen_C = np.take_along_axis(np.broadcast_to(c.pair_Co, shape), best, 0)[0]
        chosen_L = np.take_along_axis(np.broadcast_to(c.pair_Lo, shape), best, 0)[0]
        Co = np.where(c.paired, chosen_C, Co)
        Lo = np.where(c.paired, chosen_L, Lo)
        pair = np.where(c.paired, best[0], pair)
    out = Allowed(Co, Lo, pair)
    c.memo["allowed"] = out
    return out


def _with_known_part(demand: Floats, known: Floats, limit: Floats) -> Bound | All:
    """Demand against limit; where part of it is unknown, the known part alone may exceed it."""
    if known is demand or not np.isnan(demand).any():
        return Bound(demand, limit)
    alone = np.where(np.isnan(demand) & (known > limit), known, NOTHING)
    return All((Bound(demand, limit), Bound(alone, limit, what="known part")))


@rule(
    "capacitance",
    says="Apparatus and cable store no more charge than the source may be connected to.",
    relation="sum Ci + Cc <= k Co",
    sort="quantity",
    unit="F",
    needs=("Ci", "C", "length", "Co", "Lo", "Li", "half_cap", "pair_Co"),
    remedy="shorter or other cable, apparatus of lower Ci, or a source of higher Co",
)
def capacitance(c: Columns) -> Bound | All:
    """Sum Ci + Cc <= k Co, or the Co of a pair that covers both [F]; not asked of segments."""
    if c.segments is not None:
        return NOT_ASKED
    sums = stored(c)
    return _with_known_part(sums.C, sums.C_known, allowed(c).C)


def ratio_route(c: Columns) -> tuple[Bound, Bools]:
    """The route by L/R: worst run against Lo/Ro, and where it is open.

    Open only where the source states Lo/Ro, the lumped Li is below 1 % of Lo (or none, where
    no Lo is stated), no pairs are used and every run has an L/R. An L/R that was assumed from
    nominal copper is no proof above 80 % of the limit.
    """
    worst = c.LR.max(axis=0, initial=0.0)
    low = (lumped(c).low_L & known(c.Lo)) | ((stored(c).Li == 0.0) & np.isnan(c.Lo))
    open_ = low & known(c.Lo_Ro) & known(worst) & ~c.paired
    if c.LR_assumed.any():
        assumed = c.LR_assumed.any(axis=0)
        open_ &= ~(assumed & (worst > c.code.number("assumed ratio share") * c.Lo_Ro))
    return Bound(worst, c.Lo_Ro), open_


def by_ratio(c: Columns) -> Bools:
    """Where the inductance rule is decided by L/R, shape S."""
    return _inductance(c)[1]


def _inductance(c: Columns) -> tuple[Bound | All, Bools]:
    sums, limit = stored(c), allowed(c).L
    ratio, open_ = ratio_route(c)
    if not open_.any():
        return _with_known_part(sums.L, sums.L_known, limit), open_
    with np.errstate(divide="ignore", invalid="ignore"):
        used, used_ratio = sums.L / limit, ratio.demand / ratio.limit
    # An L that is not shown is answered by L/R only where that route holds.
    unknown = np.isnan(used)
    by = open_ & np.where(unknown, used_ratio <= 1.0 + EQUAL, ~(used <= used_ratio))
    demand = np.where(by, ratio.demand, sums.L)
    limit = np.where(by, ratio.limit, limit)
    return _with_known_part(demand, np.where(by, demand, sums.L_known), limit), by


@rule(
    "inductance",
    says="Apparatus and cable store no more magnetic energy than the source may be connected to.",
    relation="sum Li + Lc <= k Lo, or else L/R of every run <= Lo/Ro",
    sort="quantity",
    unit="H",
    needs=("Li", "L", "length", "Lo", "Co", "Ci", "LR", "Lo_Ro", "pair_Lo"),
    remedy="shorter cable, cable with a stated L/R, or a source of higher Lo",
)
def inductance(c: Columns) -> Bound | All:
    """Sum Li + Lc <= k Lo [H], or the worst run's L/R <= Lo/Ro [H/ohm].

    Of the routes that are open, the one with the smaller utilisation. Not asked of segments.
    """
    if c.segments is not None:
        return NOT_ASKED
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
