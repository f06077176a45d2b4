"""Voltage and power lost in a cable against a general solver (SciPy's linear algebra).

The circuit is solved node by node from conductances, with no use of "two cores in a loop".
Resistances: IEC 60228:2004 Table 2 (class 2, plain copper), literals from memory.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy import linalg

from subspark.physics.conductors import loop_resistance, resistance_at

LOAD = 250.0
SUPPLY = 24.0


def solved(core: float) -> tuple[float, float]:
    """Current [A] and power lost in the cores [W] of a supply, two cores and a load.

    Nodes 1 (supply), 2 and 3 (the load's ends); node 0 is the supply's return. Each core is one
    resistor of ``core`` ohm; the supply is a Norton source of a very small resistance.
    """
    inner = 1e-9
    g, load, source = 1.0 / core, 1.0 / LOAD, 1.0 / inner
    conductances = np.array([[source + g, -g, 0.0], [-g, g + load, -load], [0.0, -load, load + g]])
    volts = linalg.solve(conductances, np.array([SUPPLY * source, 0.0, 0.0]))
    current = (volts[1] - volts[2]) * load
    lost = (volts[0] - volts[1]) ** 2 * g + volts[2] ** 2 * g
    return float(current), float(lost)


@pytest.mark.parametrize(
    ("ohm_per_km", "length", "celsius"),
    [(12.1, 500.0, 50.0), (24.5, 1000.0, 70.0), (18.1, 80.0, -20.0), (7.41, 1800.0, 20.0)],
)
def test_loss_of_a_loop(ohm_per_km: float, length: float, celsius: float) -> None:
    """Current and loss by our loop resistance are those of the nodal solution."""
    metre = float(resistance_at(ohm_per_km / 1000.0, celsius))
    core = ohm_per_km / 1000.0 * length * (234.5 + celsius) / 254.5
    current, lost = solved(core)
    loop = float(loop_resistance(metre, length))
    ours = SUPPLY / (LOAD + loop)
    assert ours == pytest.approx(current, rel=1e-6)
    assert ours**2 * loop == pytest.approx(lost, rel=1e-5)
