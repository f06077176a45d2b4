"""Does a loop have volts and amperes enough: closed forms, one circuit or many.

All parameters of a function broadcast together. What a source gives by points, and what a load
needs by points, is in ``characteristics``.
"""

# ruff: noqa: E741 - I is the trade's symbol of a current
from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np

from subspark.physics._arrays import BoolArray, FloatArray, Floats, floats
from subspark.physics.conductors import resistance_at

__all__ = [
    "HART_TIME_CONSTANT",
    "KNEE_PER_KELVIN",
    "LEAKAGE_DOUBLES_EVERY",
    "WorkingPoint",
    "hot_coil_at_current",
    "hot_coil_on_source",
    "leakage_at",
    "least_supply_for_power",
    "longest_by_time_constant",
    "parallel_resistance",
    "power_load_voltage",
    "regulated_output",
    "time_constant",
    "working_point",
    "working_voltage_at",
]

HART_TIME_CONSTANT: Final = 65e-6
"""Largest product of a HART loop's resistance and capacitance [s]; from memory, high confidence."""

KNEE_PER_KELVIN: Final = 1e-3
"""Share by which the knee of a zener diode above 6 V rises with each kelvin; 0.8e-3 to 1e-3,
from memory, medium confidence."""

LEAKAGE_DOUBLES_EVERY: Final = 10.0
"""Kelvins in which the leakage of a diode doubles; common practice, medium confidence."""

_RISE: Final = 1.0 / 254.5
"""Share of its resistance at 20 C that copper gains with each kelvin; IEC 60228."""

_HALVINGS: Final = 64


class WorkingPoint(NamedTuple):
    """Current [A] through a load, and the voltage [V] across it."""

    I: FloatArray
    U: FloatArray


def working_point(
    U: Floats, R: Floats, U_forward: Floats, R_load: Floats, I_limit: Floats = np.inf
) -> WorkingPoint:
    """Give where a source meets a load of a fixed voltage and a resistance (LED, coil, bridge).

    Equation: ``I = min((U - U_f) / (R + R_load), I_limit)``, not below zero;
    ``U_load = U_f + I R_load``, and U where no current flows.

    Parameters
    ----------
    U : array_like
        Open-circuit voltage [V]; all parameters broadcast together.
    R : array_like
        All resistance between source and load [ohm].
    U_forward : array_like
        Voltage below which the load takes nothing [V].
    R_load : array_like
        Resistance of the load beyond it [ohm].
    I_limit : array_like, optional
        Current at which the source stops rising [A].

    Returns
    -------
    WorkingPoint
        NaN for NaN or negative inputs, and where nothing limits the current.

    Example
    -------
    21 V behind 270 ohm and 8.4 ohm of cable, a bridge of 1.2 V before a hot coil of 370.3 ohm:

    >>> I, U = working_point(21.0, 278.4, 1.2, 370.3)
    >>> f"{1e3 * I:.2f} mA, {U:.2f} V"
    '30.52 mA, 12.50 V'
    """
    voltage, inner, forward, load, limit = (
        floats(value) for value in (U, R, U_forward, R_load, I_limit)
    )
    sane = (voltage >= 0.0) & (inner >= 0.0) & (forward >= 0.0) & (load >= 0.0) & (limit >= 0.0)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        free = np.where(voltage > forward, (voltage - forward) / (inner + load), 0.0)
        current = np.minimum(free, limit)
        current = np.where(sane & np.isfinite(current), current, np.nan)
        across = np.where(current > 0.0, forward + current * load, np.minimum(voltage, forward))
    return WorkingPoint(current, np.where(np.isnan(current), np.nan, across))


def power_load_voltage(Us: Floats, R: Floats, P: Floats) -> FloatArray:
    """Give the voltage at a load of constant power.

    Equation: ``U = (Us + sqrt(Us^2 - 4 P R)) / 2``, the upper of the two states.

    Parameters
    ----------
    Us : array_like
        Voltage of the supply [V]; all parameters broadcast together.
    R : array_like
        Resistance between supply and load [ohm].
    P : array_like
        Power of the load [W].

    Returns
    -------
    ndarray
        Voltage [V]; NaN where the supply cannot give the power, and for NaN or negative inputs.

    Validity
    --------
    The load must also start: its least voltage is another question, see
    ``least_supply_for_power``.

    Example
    -------
    >>> f"{power_load_voltage(9.6, 16.1, 0.54):.2f} V"
    '8.59 V'
    """
    supply, ohms, power = floats(Us), floats(R), floats(P)
    sane = (supply >= 0.0) & (ohms >= 0.0) & (power >= 0.0)
    with np.errstate(invalid="ignore", over="ignore"):
        return np.where(sane, (supply + np.sqrt(supply**2 - 4.0 * power * ohms)) / 2.0, np.nan)


def least_supply_for_power(U_least: Floats, R: Floats, P: Floats) -> FloatArray:
    """Give the lowest supply on which a load of constant power keeps its least voltage.

    Equation: ``Us >= U + (P / U) R`` with ``U = max(U_least, sqrt(P R))``. Where ``U_least`` is
    above half the supply it decides, and the test is rational.

    Parameters
    ----------
    U_least : array_like
        Least voltage of the load [V]; all parameters broadcast together.
    R : array_like
        Resistance between supply and load [ohm].
    P : array_like
        Power of the load [W].

    Returns
    -------
    ndarray
        Voltage of the supply [V]; NaN for NaN or negative inputs and where ``U_least`` is zero.

    Example
    -------
    >>> f"{least_supply_for_power(9.0, 16.1, 0.54):.3f} V"
    '9.966 V'
    """
    least, ohms, power = floats(U_least), floats(R), floats(P)
    sane = (least > 0.0) & (ohms >= 0.0) & (power >= 0.0)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        volts = np.maximum(least, np.sqrt(power * ohms))
        return np.where(sane, volts + power / volts * ohms, np.nan)


def parallel_resistance(first: Floats, second: Floats) -> FloatArray:
    """Give the resistance of two ways between the same two terminals: across a modem's port.

    Equation: ``R1 R2 / (R1 + R2)``.

    Parameters
    ----------
    first, second : array_like
        Resistances [ohm]; infinite for an open way. They broadcast together.

    Returns
    -------
    ndarray
        Resistance [ohm]; NaN for NaN or negative inputs.

    Example
    -------
    >>> parallel_resistance([250.0, 250.0, 0.0], [1000.0, float("inf"), 340.0]).tolist()
    [200.0, 250.0, 0.0]
    """
    one, other = floats(first), floats(second)
    low, high = np.minimum(one, other), np.maximum(one, other)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        both = np.where(np.isinf(high) | (low == 0.0), low, low / (1.0 + low / high))
    return np.where((one >= 0.0) & (other >= 0.0), both, np.nan)


def regulated_output(Vs: Floats, drop: Floats, U_reg: Floats, R: Floats, I: Floats) -> FloatArray:
    """Give the output voltage of a barrier that is protected against overvoltage.

    Equation: ``U = min(Vs - drop, U_reg) - I R``.

    Parameters
    ----------
    Vs : array_like
        Voltage of the supply [V]; all parameters broadcast together.
    drop : array_like
        Voltage that the regulator loses [V].
    U_reg : array_like
        Voltage at which it regulates [V].
    R : array_like
        Resistance from end to end [ohm].
    I : array_like
        Current [A].

    Returns
    -------
    ndarray
        Voltage at the field terminals [V]; NaN for NaN inputs.

    Example
    -------
    >>> regulated_output([24.0, 30.0], 0.5, 26.0, 300.0, 0.02).tolist()
    [17.5, 20.0]
    """
    with np.errstate(invalid="ignore", over="ignore"):
        behind = np.minimum(floats(Vs) - floats(drop), floats(U_reg))
        return floats(behind - floats(I) * floats(R))


def working_voltage_at(
    V_wm: Floats, temperature: Floats, at: Floats = 20.0, per_kelvin: Floats = KNEE_PER_KELVIN
) -> FloatArray:
    """Give the highest working voltage of a shunt-diode barrier at another temperature.

    Equation: ``V_wm (1 + k (t - t0))``: above about 6 V the knee of a zener diode is lowest cold.

    Parameters
    ----------
    V_wm : array_like
        Highest working voltage as printed [V]; all parameters broadcast together.
    temperature : array_like
        Temperature [C].
    at : array_like, optional
        Temperature at which the printed one holds [C].
    per_kelvin : array_like, optional
        Share by which the knee rises with each kelvin [1/K].

    Returns
    -------
    ndarray
        Voltage [V], never above the printed one; NaN for NaN inputs.

    Example
    -------
    >>> f"{working_voltage_at(28.0, -20.0):.2f} V"
    '26.88 V'
    """
    with np.errstate(invalid="ignore", over="ignore"):
        factor = 1.0 + floats(per_kelvin) * (floats(temperature) - floats(at))
        return floats(floats(V_wm) * np.minimum(factor, 1.0))


def leakage_at(I: Floats, temperature: Floats, at: Floats = 20.0) -> FloatArray:
    """Give the leakage current of a shunt-diode barrier at another temperature.

    Equation: ``I 2^((t - t0) / 10 K)``, not below the printed one.

    Parameters
    ----------
    I : array_like
        Leakage as printed [A]; all parameters broadcast together.
    temperature : array_like
        Temperature [C].
    at : array_like, optional
        Temperature at which the printed one holds [C].

    Returns
    -------
    ndarray
        Current [A]; NaN for NaN inputs.

    Example
    -------
    >>> f"{1e6 * leakage_at(10e-6, 60.0):.0f} uA"
    '160 uA'
    """
    with np.errstate(invalid="ignore", over="ignore"):
        kelvins = np.maximum(floats(temperature) - floats(at), 0.0)
        return floats(floats(I) * np.exp2(kelvins / LEAKAGE_DOUBLES_EVERY))


def time_constant(
    R: Floats, C: Floats, R_per_metre: Floats, C_per_metre: Floats, length: Floats
) -> FloatArray:
    """Give the time constant of a loop with the resistance of its own cable.

    Equation: ``tau = (R + R' l) (C + C' l)``.

    Parameters
    ----------
    R : array_like
        Resistance beside the cable's [ohm]; all parameters broadcast together.
    C : array_like
        Capacitance beside the cable's [F].
    R_per_metre : array_like
        Resistance of both cores together [ohm/m].
    C_per_metre : array_like
        Capacitance of the cable [F/m].
    length : array_like
        Length of the cable [m].

    Returns
    -------
    ndarray
        Time constant [s]; NaN for NaN or negative inputs.

    Example
    -------
    >>> f"{1e6 * time_constant(250.0, 15e-9, 27.06e-3, 150e-12, 1404.0):.2f} us"
    '64.97 us'
    """
    values = [floats(value) for value in (R, C, R_per_metre, C_per_metre, length)]
    sane = _not_negative(*values)
    ohms, farads, per_ohm, per_farad, metres = values
    with np.errstate(invalid="ignore", over="ignore"):
        tau = (ohms + per_ohm * metres) * (farads + per_farad * metres)
    return np.where(sane, tau, np.nan)


def longest_by_time_constant(
    R: Floats, C: Floats, R_per_metre: Floats, C_per_metre: Floats, tau: Floats = HART_TIME_CONSTANT
) -> FloatArray:
    """Give the longest cable that keeps a loop within a time constant.

    Equation: ``(R + R' l) (C + C' l) <= tau``, a quadratic in l, rounded down to a millimetre.

    Parameters
    ----------
    R : array_like
        Resistance beside the cable's [ohm]; all parameters broadcast together.
    C : array_like
        Capacitance beside the cable's [F].
    R_per_metre : array_like
        Resistance of both cores together [ohm/m].
    C_per_metre : array_like
        Capacitance of the cable [F/m].
    tau : array_like, optional
        Largest time constant [s].

    Returns
    -------
    ndarray
        Length [m], of which ``time_constant`` holds the limit; minus infinity where the loop
        breaks it without any cable, infinite where no length breaks it; NaN for NaN or negative
        inputs.

    Example
    -------
    250 ohm, one field device of 5 nF and 10 nF of the rest, 150 pF/m on 1.5 mm2 at 50 C:

    >>> f"{longest_by_time_constant(250.0, 15e-9, 27.06e-3, 150e-12):.0f} m"
    '1405 m'
    """
    values = [floats(value) for value in (R, C, R_per_metre, C_per_metre, tau)]
    sane = _not_negative(*values)
    ohms, farads, per_ohm, per_farad, limit = values
    a = per_ohm * per_farad
    b = ohms * per_farad + per_ohm * farads
    left = limit - ohms * farads
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        # the root that does not subtract two equal numbers
        root = 2.0 * left / (b + np.hypot(b, 2.0 * np.sqrt(a * left)))
        length = np.where(left == 0.0, 0.0, np.floor(root * 1e3) / 1e3)
        for _ in range(2):
            too_long = time_constant(ohms, farads, per_ohm, per_farad, length) > limit
            shorter = length - np.maximum(1e-3, 2.0 * np.spacing(length))
            length = np.where(too_long, np.maximum(shorter, 0.0), length)
        too_long = time_constant(ohms, farads, per_ohm, per_farad, length) > limit
        length = np.where(too_long, np.nan, length)
        length = np.where((a == 0.0) & (b == 0.0), np.inf, length)
    length = np.where(left < 0.0, -np.inf, length)
    return np.where(sane, length, np.nan)


def hot_coil_at_current(
    R20: Floats, temperature: Floats, R_thermal: Floats, I: Floats
) -> FloatArray:
    """Give the resistance of a copper coil that a given current keeps warm.

    Equation: ``R = R20 (234.5 + Ta + Rth I^2 R) / 254.5``, solved for R.

    Parameters
    ----------
    R20 : array_like
        Resistance at 20 C with its tolerance [ohm]; all parameters broadcast together.
    temperature : array_like
        Temperature round the coil [C].
    R_thermal : array_like
        Warming of the coil by power [K/W].
    I : array_like
        Current [A].

    Returns
    -------
    ndarray
        Resistance [ohm]; NaN where the coil would warm without end, and for NaN or negative
        inputs.

    Example
    -------
    >>> f"{hot_coil_at_current(304.5, 60.0, 40.0, 0.030):.1f} ohm"
    '368.2 ohm'
    """
    ohms, warming, current = floats(R20), floats(R_thermal), floats(I)
    around = resistance_at(ohms, temperature)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        left = 1.0 - _RISE * ohms * warming * current**2
        sane = _not_negative(ohms, warming, current) & (left > 0.0)
        return np.where(sane, around / left, np.nan)


def hot_coil_on_source(
    U: Floats,
    R: Floats,
    R20: Floats,
    temperature: Floats,
    R_thermal: Floats,
    I_limit: Floats = np.inf,
) -> FloatArray:
    """Give the resistance of a copper coil that a source keeps warm.

    Equation: ``R_c = R20 (234.5 + Ta + Rth I^2 R_c) / 254.5`` with
    ``I = min(U / (R + R_c), I_limit)``: the state that a coil reaches from cold.

    Parameters
    ----------
    U : array_like
        Voltage of the source less that of a bridge [V]; all parameters broadcast together.
    R : array_like
        Resistance between source and coil [ohm].
    R20 : array_like
        Resistance of the coil at 20 C with its tolerance [ohm].
    temperature : array_like
        Temperature round the coil [C].
    R_thermal : array_like
        Warming of the coil by power [K/W].
    I_limit : array_like, optional
        Current at which the source stops rising [A].

    Returns
    -------
    ndarray
        Resistance [ohm], rounded up; NaN for NaN or negative inputs.

    Example
    -------
    >>> f"{hot_coil_on_source(19.8, 278.4, 304.5, 60.0, 40.0):.1f} ohm"
    '368.9 ohm'
    """
    values = [floats(value) for value in (U, R, R20, R_thermal, I_limit)]
    sane = _not_negative(*values)
    voltage, outside, ohms, warming, limit = values
    around = resistance_at(ohms, temperature)
    slope = _RISE * ohms * warming
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        # The power in the coil is at most what a matched load takes, or what it takes when cold.
        coldest = np.where(around > outside, around, outside)
        most = (voltage / (outside + coldest)) ** 2 * coldest
        low = np.array(
            np.broadcast_to(around, np.broadcast_shapes(*(v.shape for v in values), around.shape))
        )
        high = np.where(most > 0.0, low + slope * most, low)
        for _ in range(_HALVINGS):
            middle = 0.5 * (low + high)
            current = np.minimum(voltage / (outside + middle), limit)
            still_warming = around + slope * current**2 * middle > middle
            low = np.where(still_warming, middle, low)
            high = np.where(still_warming, high, middle)
    return np.where(sane & (around >= 0.0), high, np.nan)


def _not_negative(*values: FloatArray) -> BoolArray:
    with np.errstate(invalid="ignore"):
        sane = np.asarray(True)
        for value in values:
            sane = sane & (value >= 0.0)
    return sane
