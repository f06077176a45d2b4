"""Inputs that read a current: a switch amplifier or panel, directly or behind a barrier."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from subspark.physics.loops import leakage_at
from subspark.rules.columns import NOTHING, Floats
from subspark.rules.function.columns import Triple, column

__all__ = ["Reading", "leaking", "when"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """Columns of circuits whose input reads a current; volts, amperes, ohms, degC.

    ``barrier`` is 1 where a shunt-diode barrier stands between the input and the field; its
    own figures are 0 where there is none.
    """

    barrier: Floats = column("source", "role of the source")
    open_voltage: Triple = column("source", "open-circuit voltage of the input")
    inner: Triple = column("source", "internal resistance of the input")
    end_to_end: Triple = column("source", "end-to-end resistance of the barrier")
    drop: Triple = column("source", "voltage drop of the barrier")
    working: Triple = column("source", "working voltage of the barrier")
    leakage: Triple = column("source", "leakage current of the barrier")
    on: Triple = column("source", "on threshold of the input")
    off: Triple = column("source", "off threshold of the input")
    broken: Triple = column("source", "break threshold of the input")
    hot: Floats = column("circuit", "highest ambient of the cabinet")
    cold: Floats = column("circuit", "lowest ambient of the cabinet")
    line: Triple = column("line", "resistance of the cable, both cores")


def leaking(c: Reading) -> Floats:
    """Most leakage of the barrier when hot [A]; 0 without a barrier."""
    return np.where(c.barrier == 0.0, 0.0, leakage_at(c.leakage.high, c.hot))


def when(flag: Floats, demand: Floats) -> Floats:
    """The demand where the flag is 1; nothing where it is 0; unknown where it is not known."""
    return np.where(flag > 0.0, demand, np.where(flag == 0.0, NOTHING, np.nan))
