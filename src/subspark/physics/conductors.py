"""Ohms of copper conductors: by section and class, by gauge, by temperature.

The resistances of IEC 60228 are the largest that a conductor may have. They are right for asking
whether a circuit works, and the wrong end for the ratio of inductance to resistance, where the
least resistance counts: there take nominal copper less an allowance, cold.
"""

from __future__ import annotations

from decimal import Decimal
from functools import lru_cache
from typing import Final

import numpy as np
import numpy.typing as npt

from subspark.physics._arrays import FloatArray, Floats, floats
from subspark.physics._data import rows_of

__all__ = [
    "CORES_OF_A_LOOP",
    "SOURCE",
    "awg_area",
    "awg_diameter",
    "highest_awg_resistance",
    "highest_resistance",
    "loop_resistance",
    "nominal_resistance",
    "resistance_at",
    "sections",
]

SOURCE: Final = "IEC 60228:2004 Tables 1, 2 and 3, from memory"
"""Where the tabulated resistances come from."""

CORES_OF_A_LOOP: Final = 2
"""A loop runs out by one core and back by another."""

_COPPER: Final = 17.241e-9
"""Resistivity of annealed copper at 20 C [ohm m]: 100 % IACS, that is 17.241 ohm.mm2/km."""

_ZERO_OHMS: Final = -234.5
"""Temperature [C] to which the straight line of copper's resistance points; IEC 60228."""

_SAME_SECTION: Final = 1e-9


@lru_cache(maxsize=1)
def _table() -> tuple[FloatArray, dict[tuple[int, bool], FloatArray]]:
    cells: dict[tuple[int, bool], dict[float, float]] = {}
    for row in rows_of("conductor-resistance.csv"):
        area = float(Decimal(row["section_mm2"]).scaleb(-6))
        column = cells.setdefault((int(row["conductor_class"]), row["coating"] == "tinned"), {})
        column[area] = float(Decimal(row["resistance_ohm_per_km"]).scaleb(-3))
    areas = np.array(sorted({area for column in cells.values() for area in column}))
    columns = {
        key: np.array([column.get(area, np.nan) for area in areas.tolist()] + [np.nan])
        for key, column in cells.items()
    }
    return areas, columns


@lru_cache(maxsize=1)
def _awg_allowances() -> dict[str, float]:
    return {row["allowance"]: float(row["factor"]) for row in rows_of("awg-allowance.csv")}


def sections() -> FloatArray:
    """Give the tabulated nominal sections [m2], rising.

    Returns
    -------
    ndarray of shape (n,)
        Sections [m2].

    Example
    -------
    >>> [f"{1e6 * area:g}" for area in sections()]
    ['0.5', '0.75', '1', '1.5', '2.5', '4', '6', '10']
    """
    return _table()[0].copy()


def highest_resistance(
    area: Floats, conductor_class: Floats, tinned: npt.ArrayLike = False
) -> FloatArray:
    """Give the largest resistance that a conductor of a nominal section may have at 20 C.

    Clause: IEC 60228:2004 Tables 1, 2 and 3, from memory.

    Equation: the tabulated value; nothing between two sections.

    Parameters
    ----------
    area : array_like
        Nominal section [m2]; all parameters broadcast together.
    conductor_class : array_like of int
        1 (solid), 2 (stranded) or 5 (flexible) [-].
    tinned : array_like of bool, optional
        Whether the copper is tinned [-]; else plain.

    Returns
    -------
    ndarray
        Resistance of one conductor [ohm/m]; NaN for a section or class that is not tabulated.

    Validity
    --------
    Nominal metric sections only: a gauge is not one of them.

    Example
    -------
    >>> R = highest_resistance([1.5e-6, 1.5e-6, 0.34e-6], [2, 5, 2])
    >>> [f"{1e3 * value:.1f} ohm/km" for value in R]
    ['12.1 ohm/km', '13.3 ohm/km', 'nan ohm/km']

    Source: ``SOURCE``.
    """
    areas, columns = _table()
    section, kind = floats(area), floats(conductor_class)
    coated = np.asarray(tinned, dtype=np.bool_)
    section, kind, coated = np.broadcast_arrays(section, kind, coated)
    place = np.searchsorted(areas, section * (1.0 - _SAME_SECTION), side="left")
    found = np.append(areas, np.nan)[place]
    place = np.where(np.abs(section - found) <= _SAME_SECTION * found, place, areas.size)
    result = np.full(section.shape, np.nan)
    for (number, is_tinned), column in columns.items():
        result = np.where((kind == number) & (coated == is_tinned), column[place], result)
    return result


def nominal_resistance(area: Floats) -> FloatArray:
    """Give the resistance of annealed copper of a true section at 20 C.

    Equation: ``R' = rho / A``, rho = 17.241 ohm.mm2/km.

    Parameters
    ----------
    area : array_like
        Section of the metal [m2].

    Returns
    -------
    ndarray
        Resistance of one conductor [ohm/m]; NaN where the section is not above zero.

    Validity
    --------
    Without the lay of strands (about 2 % more) or tin (3 to 5 % more; common practice). For the
    ratio of inductance to resistance the caller takes an allowance off.

    Example
    -------
    >>> f"{1e3 * nominal_resistance(1.5e-6):.2f} ohm/km"
    '11.49 ohm/km'

    Source: International Annealed Copper Standard.
    """
    section = floats(area)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        return np.where(section > 0.0, _COPPER / section, np.nan)


def highest_awg_resistance(
    gauge: Floats, stranded: npt.ArrayLike = True, tinned: npt.ArrayLike = False
) -> FloatArray:
    """Give the largest resistance that a conductor of an American gauge may have at 20 C.

    Clause: ASTM B258 (diameters), B3, B8 and B33 (allowances), from memory.

    Equation: ``R' = rho / A(n)`` times 1.02 for the diameter, 1.02 for the lay of strands, 1.05
    for tin.

    Parameters
    ----------
    gauge : array_like
        Number of the gauge [-]; see ``awg_diameter``. All parameters broadcast together.
    stranded : array_like of bool, optional
        Whether the conductor has strands [-]; taken for so where nothing is said.
    tinned : array_like of bool, optional
        Whether the copper is tinned [-]; else plain.

    Returns
    -------
    ndarray
        Resistance of one conductor [ohm/m]; NaN where the gauge is.

    Validity
    --------
    For asking whether a circuit works. The least resistance, for the ratio of inductance to
    resistance, is another question.

    Example
    -------
    >>> R = highest_awg_resistance([18, 18, 18], [False, True, True], [False, False, True])
    >>> [f"{1e3 * value:.2f} ohm/km" for value in R]
    ['21.37 ohm/km', '21.79 ohm/km', '22.88 ohm/km']
    """
    more = _awg_allowances()
    lay = np.where(np.asarray(stranded, dtype=np.bool_), more["lay"], 1.0)
    tin = np.where(np.asarray(tinned, dtype=np.bool_), more["tin"], 1.0)
    return floats(nominal_resistance(awg_area(gauge)) * more["diameter"] * lay * tin)


def resistance_at(R20: Floats, temperature: Floats) -> FloatArray:
    """Give a copper resistance at another temperature than 20 C.

    Clause: IEC 60228:2004 annex on temperature correction, from memory.

    Equation: ``R(t) = R20 (234.5 + t) / 254.5``.

    Parameters
    ----------
    R20 : array_like
        Resistance at 20 C [ohm, or ohm/m].
    temperature : array_like
        Temperature of the conductor [C]; broadcasts with ``R20``.

    Returns
    -------
    ndarray
        Resistance [unit of R20]; NaN at -234.5 C and below.

    Validity
    --------
    Copper between about -100 and 200 C; the one law of copper that the library uses.

    Example
    -------
    >>> f"{resistance_at(12.1, 50.0):.3f}"
    '13.526'
    """
    t = floats(temperature)
    with np.errstate(invalid="ignore", over="ignore"):
        return np.where(
            t > _ZERO_OHMS, floats(R20) * ((t - _ZERO_OHMS) / (20.0 - _ZERO_OHMS)), np.nan
        )


def loop_resistance(R_per_metre: Floats, length: Floats) -> FloatArray:
    """Give the resistance of a loop: out by one core, back by another.

    Equation: ``R = 2 R' l``.

    Parameters
    ----------
    R_per_metre : array_like
        Resistance of one conductor [ohm/m].
    length : array_like
        Length of the cable [m]; broadcasts with ``R_per_metre``.

    Returns
    -------
    ndarray
        Resistance [ohm]; NaN for NaN or negative inputs.

    Example
    -------
    500 m of 1.5 mm2, class 2, at 50 C:

    >>> f"{loop_resistance(resistance_at(12.1e-3, 50.0), 500.0):.2f} ohm"
    '13.53 ohm'
    """
    ohms, metres = floats(R_per_metre), floats(length)
    with np.errstate(invalid="ignore", over="ignore"):
        sane = (ohms >= 0.0) & (metres >= 0.0)
        return np.where(sane, CORES_OF_A_LOOP * ohms * metres, np.nan)


def awg_diameter(gauge: Floats) -> FloatArray:
    """Give the diameter of a solid wire of an American gauge.

    Clause: ASTM B258, from memory.

    Equation: ``d = 0.127 mm * 92^((36 - n) / 39)``.

    Parameters
    ----------
    gauge : array_like
        Number of the gauge [-]; 1/0 is 0, 2/0 is -1, 3/0 is -2, 4/0 is -3.

    Returns
    -------
    ndarray
        Diameter [m].

    Example
    -------
    >>> [f"{1e3 * d:.4f} mm" for d in awg_diameter([36, 18, -3])]
    ['0.1270 mm', '1.0237 mm', '11.6840 mm']
    """
    return floats(0.127e-3 * 92.0 ** ((36.0 - floats(gauge)) / 39.0))


def awg_area(gauge: Floats) -> FloatArray:
    """Give the section of an American gauge, for ``nominal_resistance``.

    Clause: ASTM B258, from memory.

    Equation: ``A = pi d^2 / 4``.

    Parameters
    ----------
    gauge : array_like
        Number of the gauge [-]; see ``awg_diameter``.

    Returns
    -------
    ndarray
        Section [m2].

    Validity
    --------
    The true section of the gauge: never the nearest metric one.

    Example
    -------
    >>> area = awg_area([18, 16])
    >>> [f"{1e6 * A:.4f} mm2" for A in area]
    ['0.8230 mm2', '1.3087 mm2']
    >>> [f"{1e3 * R:.2f} ohm/km" for R in nominal_resistance(area)]
    ['20.95 ohm/km', '13.17 ohm/km']
    """
    return floats(np.pi / 4.0 * awg_diameter(gauge) ** 2)
