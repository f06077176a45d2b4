"""Circuits by their nodes, against SciPy, hand calculation and closed forms."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq, root

from subspark.errors import InputError
from subspark.physics.loops import power_load_voltage
from subspark.physics.network import (
    LEAST_OHMS,
    NO_STATE,
    NOT_FOUND,
    SOLVED,
    UNKNOWN,
    current_load,
    diode,
    power_load,
    resistor,
    solve,
    source,
    table_load,
    table_source,
)

KINDS = ("resistor", "current", "power", "led", "none")


# --- ladders: marched from their far end and closed by SciPy's brentq -----------------------------


def ladder(rng, rungs, many):
    """Draw a topology and the values of ``many`` circuits of it."""
    kinds = [str(rng.choice(KINDS)) for _ in range(rungs)]
    kinds[-1] = str(rng.choice(["resistor", "current", "power"]))
    diodes = rng.random(rungs) < 0.25
    values = {
        "U": rng.uniform(8.0, 30.0, many),
        "R": rng.uniform(1.0, 400.0, many),
        "limit": np.where(rng.random(many) < 0.5, np.inf, rng.uniform(0.015, 0.06, many)),
        "rail": rng.uniform(0.5, 60.0, (rungs, many)),
        "forward": rng.uniform(0.3, 1.0, (rungs, many)),
        "on": rng.uniform(0.5, 20.0, (rungs, many)),
        "R_load": rng.uniform(300.0, 3000.0, (rungs, many)),
        "I_load": rng.uniform(1e-3, 12e-3, (rungs, many)),
        "P_load": rng.uniform(5e-3, 120e-3, (rungs, many)),
        "least": rng.uniform(3.0, 9.0, (rungs, many)),
        "led": rng.uniform(1.5, 12.0, (rungs, many)),
    }
    return kinds, diodes, values


def ladder_branches(kinds, diodes, v):
    """The same for the solver; ``nodes`` has the node of each rung."""
    branches = [source(1, 0, v["U"], v["R"], v["limit"])]
    here, new, nodes = 1, 2, []
    for k, kind in enumerate(kinds):
        if diodes[k]:
            branches.append(diode(here, new, v["forward"][k], v["on"][k]))
            here, new = new, new + 1
        branches.append(resistor(here, new, v["rail"][k]))
        here, new = new, new + 1
        nodes.append(here)
        if kind == "resistor":
            branches.append(resistor(here, 0, v["R_load"][k]))
        elif kind == "current":
            branches.append(current_load(here, 0, v["I_load"][k], v["least"][k]))
        elif kind == "power":
            branches.append(power_load(here, v["P_load"][k], v["least"][k]))
        elif kind == "led":
            branches.append(diode(here, 0, v["led"][k], v["R_load"][k]))
    return branches, nodes


def march(kinds, diodes, v, n, x):
    """Give rung voltages and what the source lacks, if the far end had ``x`` volts."""
    volts, amperes, rungs = x, 0.0, []
    for k in reversed(range(len(kinds))):
        rungs.append(volts)
        if kinds[k] == "resistor":
            amperes += volts / v["R_load"][k, n]
        elif kinds[k] == "current":
            amperes += v["I_load"][k, n]
        elif kinds[k] == "power":
            amperes += v["P_load"][k, n] / volts
        elif kinds[k] == "led":
            amperes += max(0.0, (volts - v["led"][k, n]) / v["R_load"][k, n])
        volts += amperes * v["rail"][k, n]
        if diodes[k]:
            volts += v["forward"][k, n] + amperes * v["on"][k, n]
    lacks = volts + amperes * v["R"][n] - v["U"][n]
    return rungs[::-1], max(lacks, (amperes - v["limit"][n]) * 1e3)


def upper_state(kinds, diodes, v, n):
    """Give the rung voltages of the highest far end that the source can feed; None without one."""

    def lacks(x):
        return march(kinds, diodes, v, n, x)[1]

    grid = np.linspace(v["U"][n], 0.05, 300)
    values = [lacks(x) for x in grid]
    for k in range(1, grid.size):
        if values[k] <= 0.0 < values[k - 1]:
            end = brentq(lacks, grid[k], grid[k - 1], xtol=1e-13, rtol=1e-14)
            rungs = march(kinds, diodes, v, n, end)[0]
            loaded = [kind in {"current", "power"} for kind in kinds]
            enough = all(volts >= v["least"][k, n] for k, volts in enumerate(rungs) if loaded[k])
            return rungs if enough else None
    return None


def test_1000_ladders_against_scipy():
    """Source: SciPy's brentq on a ladder marched from its far end (written for this test)."""
    rng = np.random.default_rng(4)
    seen = {SOLVED: 0, NO_STATE: 0, "limited": 0}
    for _ in range(50):
        kinds, diodes, v = ladder(rng, int(rng.integers(1, 7)), 20)
        branches, nodes = ladder_branches(kinds, diodes, v)
        state = solve(branches)
        assert not (state.status == UNKNOWN).any()
        for n in range(20):
            wanted = upper_state(kinds, diodes, v, n)
            if wanted is None:
                assert state.status[n] in {NO_STATE, NOT_FOUND}
                assert np.isnan(state.V[:, n]).all()
            else:
                assert state.status[n] == SOLVED
                np.testing.assert_allclose(state.V[nodes, n], wanted, rtol=1e-9, atol=1e-9)
                seen["limited"] += -state.I[0, n] >= v["limit"][n] * (1 - 1e-9)
            seen[int(state.status[n])] = seen.get(int(state.status[n]), 0) + 1
    assert seen[SOLVED] > 500
    assert seen[NO_STATE] > 100
    assert seen["limited"] > 20
    assert seen.get(NOT_FOUND, 0) <= 10


# --- trees and meshes: independently written sums of currents, handed to SciPy's root -------------


def mesh(rng, nodes, many):
    """Draw branches as (kind, first, second, values): a tree, some more ways, two sources."""
    drawn = []
    for node in range(2, nodes):
        to = int(rng.integers(1, node))
        if rng.random() < 0.2:
            values = (rng.uniform(0.3, 1.0, many), rng.uniform(1.0, 20.0, many))
            drawn.append(("diode", to, node, values))
        else:
            drawn.append(("resistor", to, node, (rng.uniform(0.5, 80.0, many),)))
    for _ in range(int(rng.integers(0, 3))):
        a, b = (int(node) for node in rng.choice(np.arange(1, nodes), 2, replace=False))
        drawn.append(("resistor", a, b, (rng.uniform(5.0, 500.0, many),)))
    for node in (1, int(rng.integers(1, nodes))):
        limit = np.where(rng.random(many) < 0.5, np.inf, rng.uniform(0.02, 0.08, many))
        values = (rng.uniform(10.0, 28.0, many), rng.uniform(5.0, 300.0, many), limit)
        drawn.append(("source", node, 0, values))
    # A source without any load has no one voltage.
    drawn += [("resistor", node, 0, (np.full(many, 1e7),)) for node in range(1, nodes)]
    for node in range(2, nodes):
        kind = str(rng.choice(["resistor", "current", "power", "led", "table", "none"]))
        if kind == "resistor":
            drawn.append((kind, node, 0, (rng.uniform(300.0, 5000.0, many),)))
        elif kind == "led":
            values = (rng.uniform(1.5, 12.0, many), rng.uniform(300.0, 2000.0, many))
            drawn.append(("diode", node, 0, values))
        elif kind == "table":
            U = np.cumsum(rng.uniform(2.0, 9.0, (4, many)), axis=0) - 2.0
            U[-1] = 40.0
            drawn.append((kind, node, 0, (U, np.cumsum(rng.uniform(0.0, 2e-3, (4, many)), axis=0))))
        elif kind == "current":
            drawn.append((kind, node, 0, (rng.uniform(1e-3, 30e-3, many), np.full(many, 2.0))))
        elif kind == "power":
            drawn.append((kind, node, 0, (rng.uniform(5e-3, 400e-3, many), np.full(many, 5.0))))
    return drawn


MAKERS = {
    "resistor": resistor, "diode": diode, "source": source, "current": current_load,
    "power": lambda first, _, P, least: power_load(first, P, least), "table": table_load,
}  # fmt: skip


def current_of(kind, values, n, across):
    """Give the current of a branch by its plain definition."""
    v = [value[..., n] for value in values]
    if kind == "resistor":
        return across / v[0]
    if kind == "diode":
        return max(0.0, (across - v[0]) / v[1])
    if kind == "source":
        return -min(max((v[0] - across) / v[1], 0.0), v[2])
    if kind == "current":
        return v[0]
    if kind == "power":
        return v[0] / across if across > 0.1 else v[0] / 0.1
    return float(np.interp(across, v[0], v[1]))


def sums(V, drawn, nodes, n):
    """Give the currents [mA] that leave each node but the common."""
    volts = [0.0, *V]
    out = np.zeros(nodes)
    for kind, a, b, values in drawn:
        current = current_of(kind, values, n, volts[a] - volts[b])
        out[a] += current
        out[b] -= current
    return 1e3 * out[1:]


def test_1000_meshes_against_scipy():
    """Source: SciPy's root on sums of currents that are written for this test.

    Without loads of power there is one state only, so a state of SciPy's is ours. With them there
    may be a lower one.
    """
    rng = np.random.default_rng(16)
    solved = met = none = failed = 0
    for _ in range(50):
        nodes = int(rng.integers(4, 10))
        drawn = mesh(rng, nodes, 20)
        state = solve([MAKERS[kind](a, b, *values) for kind, a, b, values in drawn])
        powers = [a for kind, a, *_ in drawn if kind == "power"]
        for n in range(20):
            ours = state.V[1:, n]
            start = (
                ours if state.status[n] == SOLVED else np.full(nodes - 1, rng.uniform(-5.0, 15.0))
            )
            try_at = start + rng.uniform(-0.2, 0.2, nodes - 1)
            theirs = root(sums, try_at, args=(drawn, nodes, n), tol=1e-12)
            failed += state.status[n] == NOT_FOUND
            exact = theirs.success and np.abs(theirs.fun).max() < 1e-9
            if state.status[n] == SOLVED:
                solved += 1
                assert np.abs(sums(ours, drawn, nodes, n)).max() < 1e-9
                if exact and (not powers or (theirs.x >= ours - 0.5).all()):
                    met += 1
                    np.testing.assert_allclose(theirs.x, ours, atol=1e-6)
            elif state.status[n] == NO_STATE and exact:
                none += 1
                loads = [a for kind, a, *_ in drawn if kind in {"power", "current"}]
                least = [values[1][n] for kind, *_, values in drawn if kind in {"power", "current"}]
                assert (theirs.x[np.array(loads) - 1] < np.array(least)).any()
    assert solved > 800
    assert met > 0.8 * solved
    assert none >= 5
    assert failed <= 5


# --- by hand --------------------------------------------------------------------------------------


def test_repeater_supply_by_points():
    """Source: arithmetic: 15.3 V at 22 mA less 0.022 x 62.22 ohm is 13.93 V; no point beyond."""
    points = [0.0, 0.020, 0.022], [22.5, 16.0, 15.3]
    state = solve([
        table_source(1, 0, *points),
        resistor(1, 2, 62.22),
        current_load(2, 0, [0.022, 0.010, 0.023]),
    ])  # fmt: skip
    assert state.status.tolist() == [SOLVED, SOLVED, UNKNOWN]
    np.testing.assert_allclose(state.V[2, :2], [13.93116, 19.25 - 0.6222], atol=5e-6)
    assert np.isnan(state.V[:, 2]).all()


def test_table_source_without_load_stands_at_its_first_point_and_takes_nothing_back():
    """Source: arithmetic: the stronger of two supplies feeds alone (30 V, 600 ohm, 400 ohm)."""
    weak = table_source(1, 0, [0.0, 0.03], [20.0, 10.0])
    idle = solve([weak, resistor(1, 0, np.inf)])
    assert idle.V[1] == pytest.approx(20.0, abs=1e-9)
    both = solve([weak, source(1, 0, 40.0, 600.0), resistor(1, 0, 1000.0)])
    assert both.V[1] == pytest.approx(25.0, abs=1e-9)
    assert both.I[0] == 0.0


def test_a_source_sinks_only_where_it_is_said():
    """Source: arithmetic: 40 V over 600 ohm against 20 V over 400 ohm meet at 28 V, 20 mA."""
    strong = source(1, 0, 40.0, 600.0)
    assert solve([strong, source(1, 0, 20.0, 400.0)]).V[1] == pytest.approx(40.0, abs=1e-9)
    sinking = solve([strong, source(1, 0, 20.0, 400.0, sinks=True)])
    assert sinking.V[1] == pytest.approx(28.0, abs=1e-12)
    assert sinking.I[1] == pytest.approx(0.020, abs=1e-15)


def test_limited_source():
    """Source: arithmetic: 24 V, 300 ohm, 30 mA: the knee is at 15 V; 400 ohm take 30 mA at 12 V."""
    state = solve([source(1, 0, 24.0, 300.0, 0.03), resistor(1, 0, [400.0, 700.0, 500.0])])
    np.testing.assert_allclose(state.V[1], [12.0, 16.8, 15.0], rtol=1e-13)
    np.testing.assert_allclose(-state.I[0], [0.03, 0.024, 0.03], rtol=1e-12)


def test_led_behind_a_barrier():
    """Source: arithmetic: (24 - 2) / (300 + 20 + 240) = 39.29 mA; dark below its 2 V."""
    led = [diode(2, 3, 2.0), resistor(3, 0, 240.0)]
    state = solve([source(1, 0, [24.0, 1.9], 300.0), resistor(1, 2, 20.0), *led])
    assert state.I[-1, 0] == pytest.approx(22.0 / (560.0 + LEAST_OHMS), rel=1e-12)
    assert abs(state.I[-1, 1]) < 1e-14
    assert state.V[2, 1] == pytest.approx(1.9, abs=1e-9)


def test_powered_load_takes_the_upper_state():
    """Source: arithmetic: (9.6 + sqrt(9.6^2 - 4 x 0.54 x 16.1)) / 2 = 8.588 V; at most 1.43 W."""
    state = solve([source(1, 0, 9.6, 16.1), power_load(1, [0.54, 1.44], 1.0)])
    assert state.V[1, 0] == pytest.approx((9.6 + (92.16 - 34.776) ** 0.5) / 2, rel=1e-11)
    assert state.status.tolist() == [SOLVED, NO_STATE]
    assert np.isnan(state.V[1, 1])


def test_powered_load_that_drops_out():
    state = solve([source(1, 0, 9.6, 16.1), power_load(1, 0.54, [8.5, 8.6])])
    assert state.status.tolist() == [SOLVED, NO_STATE]


def test_near_the_largest_power_the_state_is_right_or_not_found():
    """Source: arithmetic: 10 V over 10 ohm give at most 2.5 W."""
    P = np.linspace(2.40, 2.51, 23)
    state = solve([source(1, 0, 10.0, 10.0), power_load(1, P, 1.0)])
    assert set(state.status.tolist()) <= {SOLVED, NO_STATE, NOT_FOUND}
    assert (state.status[P > 2.5] != SOLVED).all()
    good = state.status == SOLVED
    assert good[P < 2.45].all()
    np.testing.assert_allclose(state.V[1, good], power_load_voltage(10.0, 10.0, P[good]), rtol=1e-9)


def test_load_short_of_volts():
    """Source: arithmetic: 12 - 0.02 x 600 = 0 V; a load of 10 V least does not run on it."""
    rest = [source(1, 0, 12.0, 500.0), resistor(1, 2, 100.0)]
    state = solve([*rest, current_load(2, 0, 0.02, [10.0, 0.0, -np.inf])])
    assert state.status.tolist() == [NO_STATE, SOLVED, SOLVED]
    assert state.V[2, 1] == pytest.approx(0.0, abs=1e-12)
    short = solve([*rest, current_load(2, 0, 0.03, -np.inf)])
    assert short.V[2] == pytest.approx(-6.0, abs=1e-12)


def test_more_than_the_limit_is_no_state_even_without_a_least_voltage():
    state = solve([source(1, 0, 24.0, 300.0, 0.03), current_load(1, 0, 0.031, -np.inf)])
    assert state.status == NO_STATE


def test_load_by_points_that_ends_before_the_voltage_is_unknown():
    points = [5.0, 10.0, np.nan], [1e-3, 2e-3, np.nan]
    state = solve([source(1, 0, [12.0, 10.2, 5.0], 100.0), table_load(1, 0, *points)])
    assert state.status.tolist() == [UNKNOWN, SOLVED, UNKNOWN]
    assert state.V[1, 1] == pytest.approx(10.0, abs=1e-12)


@pytest.mark.parametrize(
    "points",
    [
        ([5.0, 10.0], [2e-3, 1e-3]),
        ([10.0, 5.0], [1e-3, 2e-3]),
        ([5.0, np.nan, 10.0], [1e-3, 1.5e-3, 2e-3]),
        ([5.0, np.nan], [1e-3, np.nan]),
    ],
)
def test_tables_that_fall_or_have_gaps_are_unknown(points):
    state = solve([source(1, 0, 9.0, 100.0), table_load(1, 0, *points)])
    assert state.status == UNKNOWN


def test_leads_without_length():
    """Source: arithmetic; a lead counts as no less than a tenth of a milliohm."""
    state = solve([
        source(1, 0, 24.0, 0.0), resistor(1, 2, 0.0), resistor(2, 3, 0.0), resistor(3, 0, 1200.0),
    ])  # fmt: skip
    assert state.V[3] == pytest.approx(24.0, abs=3 * 0.02 * LEAST_OHMS + 1e-9)
    assert state.V[3] < 24.0


def test_conductances_of_any_size_beside_each_other():
    """Source: arithmetic: a bridge of 1e9 ohm over leads of 1e-4 ohm, behind 100 ohm and on 900."""
    state = solve([
        source(1, 0, 10.0, 100.0), resistor(1, 2, 1e-4), resistor(2, 3, 1e-4), resistor(1, 3, 1e9),
        resistor(3, 0, 899.9998),
    ])  # fmt: skip
    assert state.V[1] == pytest.approx(9.0, rel=1e-12)


# --- what holds for every circuit -----------------------------------------------------------------


def test_alone_is_the_same_as_among_others_bit_for_bit():
    rng = np.random.default_rng(7)
    for _ in range(8):
        kinds, diodes, v = ladder(rng, 5, 40)
        together = solve(ladder_branches(kinds, diodes, v)[0])
        for n in (0, 7, 39):
            one = {name: values[..., n : n + 1] for name, values in v.items()}
            alone = solve(ladder_branches(kinds, diodes, one)[0])
            for whole, single in zip(together, alone, strict=True):
                assert whole[..., n : n + 1].tobytes() == single.tobytes()


def test_a_mesh_alone_is_the_same_as_among_others_bit_for_bit():
    rng = np.random.default_rng(8)
    for _ in range(8):
        drawn = mesh(rng, 8, 30)
        together = solve([MAKERS[kind](a, b, *values) for kind, a, b, values in drawn])
        alone = solve([
            MAKERS[kind](a, b, *(value[..., 11:12] for value in values))
            for kind, a, b, values in drawn
        ])  # fmt: skip
        for whole, single in zip(together, alone, strict=True):
            assert whole[..., 11:12].tobytes() == single.tobytes()


def test_an_unknown_stays_with_its_circuit():
    rng = np.random.default_rng(9)
    kinds, diodes = ["current", "led", "power", "resistor"], [False, True, False, False]
    _, _, v = ladder(rng, 4, 12)
    whole = solve(ladder_branches(kinds, diodes, v)[0])
    for name, place in [("U", 3), ("R", 4), ("rail", (1, 5)), ("least", (0, 6)), ("led", (1, 7)),
                        ("P_load", (2, 8)), ("limit", 9), ("forward", (1, 10))]:  # fmt: skip
        spoilt = {key: values.copy() for key, values in v.items()}
        spoilt[name][place] = np.nan
        n = place if isinstance(place, int) else place[1]
        state = solve(ladder_branches(kinds, diodes, spoilt)[0])
        assert state.status[n] == UNKNOWN
        assert np.isnan(state.V[:, n]).all()
        assert np.isnan(state.I[:, n]).all()
        others = np.arange(12) != n
        assert state.V[:, others].tobytes() == whole.V[:, others].tobytes()


@settings(max_examples=60, deadline=None)
@given(
    R=st.lists(st.floats(0.1, 500.0), min_size=3, max_size=3),
    loads=st.lists(st.floats(100.0, 1e4), min_size=3, max_size=3),
    U=st.floats(1.0, 40.0),
    more=st.floats(0.01, 10.0),
)
def test_more_supply_never_lowers_a_voltage(R, loads, U, more):
    branches = [source(1, 0, np.array([U, U + more]), R[0])]
    for k in (1, 2, 3):
        branches += [resistor(k, k + 1, R[k - 1]), resistor(k + 1, 0, loads[k - 1])]
    V = solve(branches).V
    assert (V[1:, 1] >= V[1:, 0]).all()
    assert (V[1:, 0] > 0.0).all()


def test_shape_of_the_values_is_the_shape_of_the_state():
    state = solve([source(1, 0, np.full((3, 1), 24.0), 300.0), resistor(1, 0, [300.0, 900.0])])
    assert state.V.shape == (2, 3, 2)
    assert state.I.shape == (2, 3, 2)
    assert state.residual.shape == state.status.shape == (3, 2)
    assert (state.residual < 1e-12).all()
    none = solve([source(1, 0, np.zeros(0), 300.0), resistor(1, 0, 300.0)])
    assert none.V.shape == (2, 0)


@pytest.mark.parametrize(
    ("branches", "said"),
    [
        ([], "without branches"),
        ([resistor(1, 1, 1.0)], "to itself"),
        ([resistor(0, 2, 1.0)], "without a gap"),
        ([resistor(0, 1, [1.0, 2.0]), resistor(0, 1, [1.0, 2.0, 3.0])], "broadcast"),
    ],
)
def test_circuits_that_are_none(branches, said):
    with pytest.raises(InputError, match=said):
        solve(branches)


@pytest.mark.parametrize(
    "branch",
    [resistor(1, 0, -1.0), source(1, 0, 24.0, -1.0), source(1, 0, np.inf, 1.0),
     source(1, 0, 24.0, 1.0, -0.1), diode(1, 0, -0.5), power_load(1, -1.0, 5.0),
     power_load(1, 1.0, 0.0), current_load(1, 0, np.inf), current_load(1, 0, 0.01, np.nan),
     table_source(1, 0, [-0.01, 0.01], [20.0, 10.0])],
)  # fmt: skip
def test_values_that_cannot_be_are_unknown(branch):
    state = solve([source(1, 0, 24.0, 300.0), branch])
    assert state.status == UNKNOWN
    assert np.isnan(state.V[1])
