"""Thermocouples: what a current through their leads, and joints of copper, are in kelvins.

Seebeck coefficients: IEC 60584-1, see :mod:`subspark.physics.thermometry`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from subspark.physics.thermometry import THERMOCOUPLES, seebeck
from subspark.rules.bound import Bound
from subspark.rules.columns import Floats
from subspark.rules.function.columns import Triple, column
from subspark.rules.function.registry import function_rule, kind

__all__ = ["Thermocouple", "errors", "least_seebeck"]

COLDEST, HOTTEST = -270, 1820
"""Between these every pair has its range [degC]."""


@kind("thermocouple", "A thermocouple with its extension or compensating cable.")
@dataclass(frozen=True, slots=True, kw_only=True)
class Thermocouple:
    """Columns of thermocouples; ohms, amperes, degC, kelvins.

    ``lead`` are both legs of the cable, each of its own alloy; ``sensor`` those of the sensor;
    ``channel`` one channel of the barrier. ``joint`` is the difference of temperature between the
    two terminals of a joint of copper; 0 where there is none.
    """

    channel: Triple = column("source", "channel resistance of the barrier")
    bias: Triple = column("source", "bias current of the input")
    loop_limit: Triple = column("source", "highest loop resistance of the input")
    joint: Triple = column("circuit", "joint difference")
    hot: Floats = column("circuit", "highest ambient of the cabinet")
    cold: Floats = column("circuit", "lowest ambient of the cabinet")
    budget: Triple = column("circuit", "error budget")
    coldest: Floats = column("circuit", "measured temperature")
    hottest: Floats = column("circuit", "measured temperature")
    pair: Floats = column("device", "thermocouple type")
    sensor: Triple = column("device", "series resistance of the thermocouple")
    lead: Triple = column("line", "resistance of the extension cable, both legs")


@lru_cache(maxsize=1)
def _steps() -> list[npt.NDArray[np.float64]]:
    """Least Seebeck coefficient over 1, 2, 4 ... whole degrees from each on, pair by pair."""
    t = np.arange(COLDEST, HOTTEST + 1, dtype=np.float64)
    found = [seebeck(np.arange(len(THERMOCOUPLES))[:, None], t)]
    width = 1
    while 2 * width <= t.size:
        last = found[-1]
        ahead = np.concatenate([last[:, width:], last[:, -width:]], axis=1)
        found.append(np.minimum(last, ahead))
        width *= 2
    return found


def least_seebeck(pair: Floats, low: Floats, high: Floats) -> Floats:
    """Least Seebeck coefficient between two temperatures [V/K].

    At both ends and at every whole degree between; the coefficient bends so little that between
    two degrees it is hardly lower: by one or two millionths.
    """
    kind_of, first, last = np.broadcast_arrays(pair, np.ceil(low), np.floor(high))
    ends: Floats = np.minimum(seebeck(pair, low), seebeck(pair, high))
    inside = (first <= last) & np.isfinite(ends)
    row = np.where(inside, kind_of, 0.0).astype(np.intp)
    start = np.where(inside, first - COLDEST, 0.0).astype(np.intp)
    count = np.where(inside, last - first + 1.0, 1.0)
    level = np.floor(np.log2(count)).astype(np.intp)
    least = np.full(ends.shape, np.nan)
    for number, table in enumerate(_steps()):
        width = 1 << number
        stop = np.clip(start + count.astype(np.intp) - width, 0, table.shape[1] - 1)
        here = np.minimum(table[row, start], table[row, stop])
        least = np.where(level == number, here, least)
    return np.where(inside, np.minimum(ends, least), ends)


def loop_ohms(c: Thermocouple) -> Floats:
    """Ohms of the whole loop, everything in it [ohm]."""
    ohms: Floats = c.lead.high + c.sensor.high + 2.0 * c.channel.high
    return ohms


def errors(c: Thermocouple) -> dict[str, Floats]:
    """The parts of the error where the pair gives least [K]; unknown where it gives nothing."""
    least = least_seebeck(c.pair, c.coldest, c.hottest)
    slope = np.where(least > 0.0, least, np.nan)
    parts = {
        "cable": c.lead.high,
        "sensor": c.sensor.high,
        "channels of the barrier": 2.0 * c.channel.high,
    }
    told = {name: c.bias.high * ohms / slope for name, ohms in parts.items()}
    at_joint = np.maximum(seebeck(c.pair, c.cold), seebeck(c.pair, c.hot))
    joint = np.where(c.joint.high == 0.0, 0.0, c.joint.high * np.abs(at_joint) / slope)
    return {**told, "joint of copper": joint}


@function_rule(
    "lead error",
    Thermocouple,
    says="Bias current and joints do not spoil the measured temperature, anywhere in its range.",
    relation="(bias current x loop + joint difference x S of the ambient) / S <= error budget",
    unit="K",
    cites="IEC 60584-1 (from memory of NIST Monograph 175); Ohm's law",
    needs=(
        "bias",
        "lead",
        "sensor",
        "channel",
        "pair",
        "coldest",
        "hottest",
        "joint",
        "hot",
        "cold",
        "budget",
    ),
    remedy="An input of less bias current, thicker or shorter cable, an isolator in place of a "
    "barrier, terminals that keep one temperature.",
)
def lead_error(c: Thermocouple) -> Bound:
    """Sum of the parts against the budget."""
    total = np.zeros(())
    for part in errors(c).values():
        total = total + part
    return Bound(total, c.budget.low)


@function_rule(
    "loop ohms",
    Thermocouple,
    says="The loop has no more ohms than the input allows, the barrier included.",
    relation="cable + sensor + both channels <= highest loop resistance",
    unit="ohm",
    cites="data sheets of thermocouple inputs",
    needs=("lead", "sensor", "channel", "loop_limit"),
    remedy="Thicker or shorter cable, a barrier with fewer ohms, an isolator.",
)
def highest_loop(c: Thermocouple) -> Bound:
    """All ohms in the loop against the limit of the input."""
    return Bound(loop_ohms(c), c.loop_limit.low)
