"""Temperature class: no surface becomes hot enough to ignite the atmosphere."""

from __future__ import annotations

import numpy as np

from subspark.rules.bound import EQUAL, All, Bound
from subspark.rules.columns import NOTHING, Columns, Floats
from subspark.rules.registry import rule

__all__ = ["power_in_dust", "surface_limit", "surface_temperature", "temperature_class"]


def _certified(c: Columns) -> Floats:
    """Best row of the certificate that covers power and ambient; +inf where none does."""
    reached = c.P * (1.0 - EQUAL)
    # An unknown power or ambient counts as the worst for "covers", as the best for "may cover".
    covers = (
        (_or(reached, np.inf) <= c.row_P)
        & (_or(c.hot, np.inf) <= c.row_hot)
        & (_or(c.cold, -np.inf) >= c.row_cold)
    )
    best: Floats = np.where(covers, c.row_T, np.inf).min(axis=0, initial=np.inf)
    none = np.isposinf(best)
    if not none.any():
        return best
    open_ = ~((reached > c.row_P) | (c.hot > c.row_hot) | (c.cold < c.row_cold))
    unsure = (open_ & ~covers).any(axis=0) & none
    return np.where(unsure, np.nan, best)


def _or(values: Floats, other: float) -> Floats:
    """The values, with ``other`` where they are unknown."""
    unknown = np.isnan(values)
    return np.where(unknown, other, values) if unknown.any() else values


def _simple(c: Columns) -> Floats:
    by_resistance = c.hottest + c.P * c.Rth
    if not (c.is_simple & np.isnan(c.Rth) & np.isnan(c.T_fixed)).any():
        return np.where(np.isnan(c.T_fixed), by_resistance, c.T_fixed)
    by_power = np.where(
        c.by_power
        & (c.T_limit >= c.code.t_class("T4"))
        & (c.surface >= c.code.number("small surface") * (1.0 - EQUAL)),
        np.where(_power_for_T4(c) * (1.0 + EQUAL) >= c.P, c.code.t_class("T4"), np.nan),
        np.nan,
    )
    worked = np.where(np.isnan(c.Rth), by_power, by_resistance)
    return np.where(np.isnan(c.T_fixed), worked, c.T_fixed)


def _power_for_T4(c: Columns) -> Floats:
    """Highest power for T4 at the next hotter tabulated ambient; NaN above the last [W]."""
    return _tabulated(c, *c.code.power_for_t4)


def power_in_dust(c: Columns) -> Floats:
    """Highest power in dust of uncontrolled depth, shape (k, S); NaN above the last ambient [W].

    750, 650 and 550 mW at 40, 70 and 100 degC, the next hotter ambient where between.
    IEC 60079-11:2011 5.6 (from memory).
    """
    return _tabulated(c, *c.code.power_in_dust)


def _tabulated(c: Columns, columns: Floats, watts: Floats) -> Floats:
    index = np.searchsorted(columns, c.hottest, side="left")
    padded = np.append(watts, np.nan)
    out: Floats = padded[np.where(np.isnan(c.hottest), len(watts), index)]
    return out


def surface_temperature(c: Columns) -> Floats:
    """Hottest surface of each apparatus, shape (k, S) [degC].

    Certified: the best row of its table that covers the case's power and the ambient there.
    Simple: T6 for switches and terminals up to 40 degC; else ambient + P Rth in still gas;
    else T4 by power. IEC 60079-0:2017 5.3; IEC 60079-14:2013 16.4 (from memory).
    """
    if not c.is_simple.any():
        return _certified(c)
    return np.where(c.is_simple, _simple(c), _certified(c))


def surface_limit(c: Columns) -> Floats:
    """Highest surface temperature permitted to each apparatus, shape (k, S) [degC]."""
    if not c.is_simple.any():
        return c.T_limit
    large = c.code.number("large surface") * (1.0 + EQUAL)
    small = c.code.number("small surface") * (1.0 - EQUAL)
    relaxed = np.where(c.surface < small, c.T_tiny, c.T_small)
    return np.where(c.is_simple & (c.surface <= large), np.fmax(c.T_limit, relaxed), c.T_limit)


@rule(
    "temperature class",
    says="No surface becomes hotter than the atmosphere allows.",
    relation="surface temperature <= limit of the atmosphere",
    unit="degC",
    needs=("P", "hot", "row_P", "row_T", "row_hot", "hottest", "Rth", "surface", "T_limit"),
    remedy="apparatus of a better temperature class, a cooler place, or a source of lower Po",
)
def temperature_class(c: Columns) -> Bound | All:
    """Surface temperature <= what the atmosphere allows, where the apparatus stands [degC].

    In dust of uncontrolled depth no temperature shows it: there the power must stay within
    :func:`power_in_dust` [W], and above it nothing is proved.
    """
    demand = np.where(c.here, surface_temperature(c), NOTHING)
    limit = surface_limit(c)
    if not c.dust_power.any():
        return Bound(demand, limit, over="apparatus", exact=True)
    demand = np.where(c.dust_power & np.isposinf(limit), NOTHING, demand)
    most = power_in_dust(c)
    return All(
        (
            Bound(demand, limit, over="apparatus", exact=True),
            Bound(
                np.where(c.here & c.dust_power, c.P, NOTHING),
                np.where(most * (1.0 + EQUAL) >= c.P, most, np.nan),
                over="apparatus",
                what="W",
            ),
        )
    )
