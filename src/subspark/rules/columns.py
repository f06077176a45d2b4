"""The columns that rules read: one row a case, all in SI float64 (temperatures in degC).

``S`` is the shape of the cases: ``(n,)`` for a list of cases, ``(n, m)`` where n cases are
tried against m candidates (arrays that do not vary along an axis may have length 1 there).
Members stand on a leading axis: ``(k, *S)`` for k apparatus, ``(r, *S)`` for r runs,
``(s, *S)`` for s sources, ``(q, *S)`` for q ports. NaN is unknown. A demand of -inf asks
nothing; a limit of +inf does not limit.

Ordered facts are ranks: levels ic 1, ib 2, ia 3; EPL c 1, b 2, a 3 within one family; groups
by their letter within one family; 0 is "none of this family".
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

if TYPE_CHECKING:
    from subspark.rules.codes import Code
    from subspark.rules.codes.fieldbus import Figures

__all__ = ["NOTHING", "Bools", "Columns", "Floats", "Segments", "total"]

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
NOTHING = -np.inf
"""The demand of what is not asked."""


def total(members: Floats) -> Floats:
    """Sum over the leading axis, in the order of the members whatever the shape.

    The sum of NumPy takes eight and more in another order where there is one case only, and a
    circuit alone would differ in its last bit from the same circuit in a plant.
    """
    if members.shape[0] == 0:
        return np.zeros(members.shape[1:])
    out: Floats = members[0]
    for one in members[1:]:
        out = out + one
    return out


@dataclass(frozen=True, slots=True, kw_only=True)
class Segments:
    """What only fieldbus segments have; every case of the columns is one, of one method.

    Parameters
    ----------
    figures : Figures
        The figures of the method, in the edition used.
    confirmed : (S)
        0 where a person has confirmed the figures of low confidence, NaN elsewhere.
    active, terminators, stations : (S)
        Sources; terminators, built-in ones too; devices and sources.
    is_IIC : (S)
        1 where the limits of IIC serve, 0 where those of IIB do, NaN elsewhere.
    own_output : (s, S)
        0 where the values of a source serve this method, NaN otherwise.
    output_C, output_L : (s, S) [F], [H]
        Ci and Li of a source.
    own_set : (k, S)
        0 where the parameters of an apparatus serve this method, NaN otherwise, -inf for simple.
    leak : (k, S) [A]
        Current that an apparatus may feed into the segment.
    is_terminator : (k, S)
    end_R, end_C : (k, S) [ohm], [F]
        Resistance and capacitance of terminators.
    least_spur, most_spur : (r, S) [m]
        Length of the whole spur that a run belongs to, at the least and at the most; -inf for
        the trunk.
    low_C, high_C, low_L, high_L, low_R, high_R : (r, S) [F/m], [H/m], [ohm/m]
        What the cable has at the least and at the most.
    """

    figures: Figures
    confirmed: Floats
    active: Floats
    terminators: Floats
    stations: Floats
    is_IIC: Floats
    own_output: Floats
    output_C: Floats
    output_L: Floats
    own_set: Floats
    leak: Floats
    is_terminator: Bools
    end_R: Floats
    end_C: Floats
    least_spur: Floats
    most_spur: Floats
    low_C: Floats
    high_C: Floats
    low_L: Floats
    high_L: Floats
    low_R: Floats
    high_R: Floats

    def figure(self, name: str) -> Floats:
        """A figure of the method; NaN where it is doubtful and not confirmed."""
        return self.figures.number(name, self.confirmed)


@dataclass(frozen=True, slots=True, kw_only=True)
class Columns:
    """Cases as arrays. See the module for shapes.

    Parameters
    ----------
    U, I, P : (S) [V], [A], [W]
        Largest output voltage, current and power of the case.
    Co, Lo, Lo_Ro : (S) [F], [H], [H/ohm]
        What may be connected, by the column used; Lo_Ro NaN closes that route.
    half_cap : (S) [F]
        Cap of the halved Co of that column.
    pair_Co, pair_Lo : (p, S) [F], [H]
        Pairs of the certificate; NaN where there is none; a pair replaces Co and Lo.
    linear, together, paired : (S)
        Whether the output is documented as linear; whether a document lets Co and Lo be used
        together; whether pairs are given.
    source_C, source_L : (S) [F], [H]
        What the sources themselves add (combined sources only).
    permitted, calculated : (S) [A], bool
        Permitted current of a case that is combined by calculation.
    level_asked, level : (S) rank
        Level that the atmosphere asks; highest that the way of proof allows (ib where sources
        are combined by calculation).
    group_asked : (S) rank
        Group that the atmosphere asks.
    T_limit, T_small, T_tiny : (S) [degC]
        Highest surface temperature; that of surfaces up to 1000 mm2 and below 20 mm2.
    by_power : (S) bool
        Whether T4 by power may be used (gas of group II).
    dust_power : (S) bool
        Whether apparatus lie in dust of uncontrolled depth: the power counts.
    earthed, earth_limit : (S)
        Earthed points that there may be; how many there may be.
    earth_ohm, earth_wires, earth_section : (S) [ohm], count, [m2]
        Earth of shunt-diode barriers.
    separation : (S) [m]
        Distance kept from circuits that are not Ex i.
    atmosphere : (S)
        0 for a standard atmosphere, NaN otherwise.
    shared_demand, shared_limit : (S)
        What the shared cable must show.
    surge_inside, surge_distance, surge_section, surge_discharge : (S)
        Surge devices of a circuit that enters zone 0: 1 for one that stands in it, farthest
        from its boundary [m], least earth conductor [m2], least discharge current [A]; -inf
        and +inf where none is asked.
    box_T, box_limit : (S) [degC]
        Hottest junction box that the circuit ends in, and the limit there.
    generating_U, generating_I, generating_P : (S)
        Sums over generating simple apparatus.
    behind, Um : (q, S) [V]
        Voltage behind each safe-side port, and what the port withstands.
    source_epl_asked, source_epl, source_body_asked, source_body : (s, S) rank
    source_T_limit, source_T : (s, S) [degC]
    source_hot, source_cold, source_Ta_max, source_Ta_min : (s, S) [degC]
    source_conditions : (s, S)
    Ui, Ii, Pi, Ci, Li : (k, S)
    level_a, group_a, here, epl_asked, epl : (k, S)
    hot, cold, Ta_max, Ta_min : (k, S) [degC]
    row_P, row_hot, row_cold, row_T : (t, k, S)
    is_simple, T_fixed, Rth, surface : (k, S)
    hottest : (k, S) [degC]
        Hottest of air and mounting, for simple apparatus.
    assessed, conditions, energy : (k, S)
        0 settled, NaN open, 1 refused, -inf not asked.
    length, C, L, LR, LR_assumed, strand, tested, rated_T, route_T : (r, S)
    segments : Segments, optional
        Where all cases are fieldbus segments; None where none is.
    memo : dict
        What several rules share is worked out once; not part of the content.
    """

    code: Code
    U: Floats
    I: Floats  # noqa: E741 - the symbol of current
    P: Floats
    Co: Floats
    Lo: Floats
    Lo_Ro: Floats
    half_cap: Floats
    pair_Co: Floats
    pair_Lo: Floats
    paired: Bools
    linear: Bools
    together: Bools
    source_C: Floats
    source_L: Floats
    permitted: Floats
    calculated: Bools
    level_asked: Floats
    level: Floats
    group_asked: Floats
    T_limit: Floats
    T_small: Floats
    T_tiny: Floats
    by_power: Bools
    dust_power: Bools
    earthed: Floats
    earth_limit: Floats
    earth_ohm: Floats
    earth_wires: Floats
    earth_section: Floats
    separation: Floats
    atmosphere: Floats
    shared_demand: Floats
    shared_limit: Floats
    surge_inside: Floats
    surge_distance: Floats
    surge_section: Floats
    surge_discharge: Floats
    box_T: Floats
    box_limit: Floats
    generating_U: Floats
    generating_I: Floats
    generating_P: Floats
    behind: Floats
    Um: Floats
    source_level: Floats
    source_group: Floats
    source_epl_asked: Floats
    source_epl: Floats
    source_body_asked: Floats
    source_body: Floats
    source_T_limit: Floats
    source_T: Floats
    source_hot: Floats
    source_cold: Floats
    source_Ta_max: Floats
    source_Ta_min: Floats
    source_conditions: Floats
    Ui: Floats
    Ii: Floats
    Pi: Floats
    Ci: Floats
    Li: Floats
    level_a: Floats
    group_a: Floats
    here: Bools
    epl_asked: Floats
    epl: Floats
    hot: Floats
    cold: Floats
    Ta_max: Floats
    Ta_min: Floats
    row_P: Floats
    row_hot: Floats
    row_cold: Floats
    row_T: Floats
    is_simple: Bools
    T_fixed: Floats
    Rth: Floats
    surface: Floats
    hottest: Floats
    assessed: Floats
    conditions: Floats
    energy: Floats
    length: Floats
    C: Floats
    L: Floats
    LR: Floats
    LR_assumed: Bools
    strand: Floats
    tested: Floats
    rated_T: Floats
    route_T: Floats
    segments: Segments | None = None
    memo: dict[str, object] = field(default_factory=dict, repr=False, compare=False)
