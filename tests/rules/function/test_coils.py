"""Solenoid valves: vectors of a trade handbook (4.13), hand calculation, other solvers."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest

from rules.function.figures import columns, replaced, sides, verdict
from subspark.physics.loops import hot_coil_on_source
from subspark.rules.function import function_rules
from subspark.rules.function.coils import Solenoid, coil_current, hot_coil

KIND = "valve circuit"
INF = math.inf
NOT_STATED = (-INF, -INF)

# 21 V behind 270 ohm; 290 ohm +-5 % with a bridge of 1.2 V; 300 m of 1.5 mm2 at 60 degC: 8.4 ohm
VALVE = {
    "open_voltage": 21.0,
    "inner": (0.0, 270.0),
    "limit": 0.1,
    "line": (0.0, 2 * 0.3 * 12.1 * 294.5 / 254.5),
    "R20": (275.5, 304.5),
    "bridge": 1.2,
    "heating": 15.0,
    "hot_air": 60.0,
    "cold_air": -20.0,
    "pull_in": 0.028,
    "pull_volts": NOT_STATED,
    "pull_20": NOT_STATED,
    "hold": NOT_STATED,
    "drop_out": 0.002,
    "others_R": INF,
    "off_volts": 0.0,
    "monitoring": NOT_STATED,
}


@pytest.fixture(autouse=True)
def quiet():
    """As the engine does: infinite ohms stand for coils that are not there."""
    with np.errstate(invalid="ignore", divide="ignore"):
        yield


def valve(**more):
    return columns(Solenoid, **{**VALVE, **more})


def at(array):
    return float(np.ravel(array)[0])


def test_the_hot_coil_of_the_handbook():
    # 4.13: 290 x 1.05 x (234.5 + 75) / 254.5 = 370.3 ohm; 19.8 V / 648.7 ohm = 30.52 mA; 11.30 V
    c = valve()
    ohms = hot_coil(c)
    I = coil_current(c, ohms, c.bridge.high)  # noqa: E741 - the symbol of current
    assert f"{at(ohms):.1f}" == "370.3"
    assert f"{1e3 * at(I):.2f}" == "30.52"
    assert f"{at(I * ohms):.2f}" == "11.30"
    assert sides(KIND, "pull-in current", c) == pytest.approx((0.028, 0.03052), abs=5e-6)


def test_the_cold_coil_of_the_handbook():
    # 4.13: 290 x 0.95 x 214.5 / 254.5 = 232.2 ohm; 19.8 V / 502.2 ohm = 39.43 mA, no cable
    c = valve(inner=270.0, line=0.0)
    assert f"{1e3 * at(coil_current(c, np.array([275.5 * 214.5 / 254.5]), c.bridge.low)):.2f}" == (
        "39.43"
    )
    # The same coil releases: what 21 V left on when off would drive.
    released = valve(inner=270.0, line=0.0, off_volts=21.0)
    assert f"{1e3 * sides(KIND, 'release', released)[0]:.2f}" == "39.43"


def test_a_coil_that_warms_by_its_power_meets_its_own_equation():
    # R = 304.5 (234.5 + 60 + 40 I^2 R) / 254.5, put in
    c = valve(by_power=1.0, thermal=40.0, heating=0.0)
    R = at(hot_coil(c))
    I = at(coil_current(c, np.array([R]), c.bridge.high))  # noqa: E741 - the symbol of current
    assert pytest.approx(304.5 * (234.5 + 60.0 + 40.0 * I**2 * R) / 254.5, rel=1e-9) == R


@pytest.mark.parametrize("limit", [0.1, 0.025])
def test_a_coil_that_warms_is_that_of_the_solver_of_the_physics(limit):
    c = valve(by_power=1.0, thermal=60.0, heating=0.0, limit=limit)
    other = hot_coil_on_source(19.8, 270.0 + c.line.high, 304.5, 60.0, 60.0, limit)
    assert at(hot_coil(c)) == pytest.approx(at(other), rel=1e-9)


def test_volts_at_20_degrees_stand_for_a_current():
    # Pulled in by 10 V at 20 degC, the coil of fewest ohms: (10 - 1.2) / 275.5 = 31.94 mA. The hot
    # coil has 12.50 V across it and yet only 30.52 mA.
    c = valve(pull_in=NOT_STATED, pull_20=10.0)
    assert sides(KIND, "pull-in at 20 °C", c) == pytest.approx((31.94e-3, 30.52e-3), abs=5e-6)
    assert verdict(KIND, "pull-in at 20 °C", c) == "fails"
    assert verdict(KIND, "pull-in current", c) == "not asked"


def test_volts_of_a_hot_coil_are_asked_at_either_tolerance():
    # Most ohms: 1.2 + 11.30 = 12.50 V. Fewest: 275.5 x 309.5 / 254.5 = 335.0 ohm, 32.27 mA, 12.01 V
    assert verdict(KIND, "pull-in voltage", valve(pull_volts=12.00)) == "works"
    assert verdict(KIND, "pull-in voltage", valve(pull_volts=12.10)) == "fails"
    assert verdict(KIND, "pull-in voltage", valve(pull_volts=12.10, R20=304.5)) == "works"


def test_a_trapezoid_gives_no_more_than_its_limit():
    assert sides(KIND, "pull-in current", valve(limit=0.029))[1] == pytest.approx(0.029)
    assert verdict(KIND, "pull-in current", valve(limit=0.0279)) == "fails"
    assert verdict(KIND, "pull-in current", valve(limit=math.nan)) == "unproven"


@pytest.mark.parametrize(
    ("points", "expected"),
    [
        # 1.2 V + I x 378.7 ohm meets 21 V - 200 ohm x I at 34.22 mA
        ([(0.0, 21.0), (0.04, 13.0)], 19.8 / 578.7),
        # a corner at 30 mA and 15 V, 5 V at 40 mA: 15 - 1000 (I - 0.03) = 1.2 + 378.7 I
        ([(0.0, 21.0), (0.03, 15.0), (0.04, 5.0)], 43.8 / 1378.7),
        # at its last point the source still has volts to spare: that current is sure
        ([(0.0, 21.0), (0.02, 17.0)], 0.020),
        # one point, before which no less volts stand: 15 V from 0 to 50 mA
        ([(0.05, 15.0)], 13.8 / 378.7),
    ],
)
def test_a_driver_by_points(points, expected):
    c = valve(tabled=1.0, curve=points, limit=math.nan)
    ohms = np.array([378.7]) - c.line.high
    assert at(coil_current(c, ohms, c.bridge.high)) == pytest.approx(expected, rel=1e-9)


def test_two_coils_on_one_driver_share_its_current():
    # 21 V behind 278.4 ohm; one coil 370.3 ohm behind 1.2 V, the other cold 232.2 ohm behind 1 V.
    # Node: (21/278.4 + 1.2/370.3 + 1/232.2) / (1/278.4 + 1/370.3 + 1/232.2) = 7.829 V
    c = valve(others_R=232.2, others_V=1.0)
    mine = at(coil_current(c, np.array([370.3]), c.bridge.high))
    R = 270.0 + at(c.line.high)
    node = (21 / R + 1.2 / 370.3 + 1 / 232.2) / (1 / R + 1 / 370.3 + 1 / 232.2)
    assert node == pytest.approx(7.829, abs=1e-3)
    assert mine == pytest.approx((node - 1.2) / 370.3, rel=1e-9)


def test_a_coil_behind_too_many_diodes_gets_nothing():
    # The other takes all: node 21 V x 10 / (278 + 10) = 0.73 V, below the 1.2 V of this one.
    c = valve(others_R=10.0, others_V=0.0)
    assert at(coil_current(c, np.array([370.3]), c.bridge.high)) == 0.0


def test_what_coils_in_parallel_take_must_be_known():
    assert verdict(KIND, "pull-in current", valve(others_R=math.nan)) == "unproven"
    assert verdict(KIND, "pull-in current", valve(others_V=math.nan, others_R=300.0)) == "unproven"


def test_monitoring_current_can_hold_a_small_valve():
    held = valve(monitoring=0.0021)
    assert verdict(KIND, "release", held) == "fails"
    assert verdict(KIND, "release", valve(monitoring=0.002)) == "works"
    assert verdict(KIND, "release", valve(off_volts=math.nan)) == "unproven"


def test_a_booster_wants_volts_while_it_charges_and_time_to_do_so():
    booster = {"boosted": 1.0, "charge": 2e-3, "pull_volts": 18.0, "pull_in": NOT_STATED}
    # 21 V - 2 mA x 278.4 ohm = 20.44 V
    c = valve(**booster, charge_time=3.0, cycle=3.0)
    assert sides(KIND, "booster voltage", c)[1] == pytest.approx(20.443, abs=1e-3)
    assert verdict(KIND, "booster time", c) == "works"
    assert verdict(KIND, "booster time", replaced(c, cycle=2.9)) == "fails"
    assert verdict(KIND, "booster current", replaced(c, limit=0.0019)) == "fails"
    assert verdict(KIND, "pull-in voltage", c) == "not asked"


def test_a_battery_supply_hurts_at_either_end():
    # 21.6 to 28.8 V on a barrier of 300 ohm: (21.6 - 1.2) / 678.7 = 30.06 mA at the low end; the
    # high end is above a working voltage of 26 V.
    behind = {"barrier": 1.0, "supply": (21.6, 28.8), "end_to_end": (290.0, 300.0)}
    c = valve(**behind, working=26.0, cold=20.0, highest=28.0, least=290.0, fuse=0.1)
    limit = sides(KIND, "pull-in current", c)[1]
    assert limit == pytest.approx(20.4 / (300.0 + 8.401 + 370.31), rel=1e-5)
    assert verdict(KIND, "working voltage", c) == "fails"
    assert verdict(KIND, "barrier supply", c) == "fails"
    assert verdict(KIND, "barrier fuse", c) == "works"  # 28.8 / 290 = 99.3 mA


def test_sources_against_circuits_are_the_same_as_one_by_one():
    volts, ohms = (18.0, 21.0, 24.0), (200.0, 300.0)
    owners = {one: Solenoid.__dataclass_fields__[one].metadata["owner"] for one in VALVE}
    kinds = ("R20", "open_voltage")
    assert [owners[one] for one in kinds] == ["device", "source"]
    grid = replaced(valve(by_power=1.0, thermal=40.0, heating=0.0, others_R=400.0))
    wide = dataclasses.replace(
        grid,
        open_voltage=type(grid.R20)(*[np.array([volts])] * 3),
        R20=type(grid.R20)(*[np.array([ohms]).T] * 3),
    )
    for rule in function_rules(KIND):
        with np.errstate(divide="ignore", invalid="ignore"):
            answer = rule.evaluate(wide)
        for bound in getattr(answer, "bounds", (answer,)):
            np.broadcast_shapes(bound.demand.shape, bound.limit.shape, (2, 3))
    pulled = next(one for one in function_rules(KIND) if one.name == "pull-in current")
    limits = pulled.evaluate(wide).limit
    for i, R in enumerate(ohms):
        for j, U in enumerate(volts):
            alone = replaced(grid, R20=R, open_voltage=U)
            assert limits[i, j] == pulled.evaluate(alone).limit[0]


def test_a_driver_by_points_meets_its_load_where_a_search_finds_it():
    rng = np.random.default_rng(4)
    for _ in range(200):
        points = int(rng.integers(2, 6))
        at_I = np.sort(rng.uniform(0.0, 0.06, points))
        volts = np.sort(rng.uniform(0.5, 24.0, points))[::-1]
        ohms = float(rng.uniform(50.0, 800.0))
        c = valve(tabled=1.0, curve=list(zip(at_I, volts, strict=True)), limit=math.nan, line=0.0)
        # What flows is the highest current at which the source still has what the load takes;
        # its first voltage stands for every lower current.
        fine = np.linspace(0.0, at_I[-1], 60001)
        has = np.interp(fine, at_I, volts)
        expected = fine[has >= 1.2 + fine * ohms].max(initial=0.0)
        found = at(coil_current(c, np.array([ohms]), c.bridge.high))
        assert found == pytest.approx(expected, abs=2e-6)
