"""Loops by closed forms and by points, against hand calculation, NumPy's interp and SciPy."""

# ruff: noqa: E741 - I is the trade's symbol of a current

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from subspark.errors import InputError
from subspark.physics.characteristics import (
    interpolate,
    largest_voltage,
    least_slack,
    straight_line,
)
from subspark.physics.conductors import highest_resistance, loop_resistance, resistance_at
from subspark.physics.loops import (
    hot_coil_at_current,
    hot_coil_on_source,
    leakage_at,
    least_supply_for_power,
    longest_by_time_constant,
    parallel_resistance,
    power_load_voltage,
    regulated_output,
    time_constant,
    working_point,
    working_voltage_at,
)

FIRST_CABLE = loop_resistance(resistance_at(highest_resistance(1.5e-6, 2), 50.0), 500.0)
SECOND_CABLE = loop_resistance(resistance_at(highest_resistance(0.75e-6, 5), 70.0), 1000.0)
REPEATER = [0.0, 0.020, 0.022], [22.5, 16.0, 15.3]


# --- characteristics ------------------------------------------------------------------------------


def test_straight_between_points_and_unknown_beyond():
    """Source: arithmetic; nothing is extrapolated."""
    U = interpolate(*REPEATER, [-1e-9, 0.0, 0.010, 0.020, 0.021, 0.022, 0.022 + 1e-12, np.nan])
    np.testing.assert_allclose(U[1:6], [22.5, 19.25, 16.0, 15.65, 15.3], rtol=1e-14)
    assert np.isnan(U[[0, 6, 7]]).all()


def test_points_are_met_exactly():
    rng = np.random.default_rng(1)
    points = np.cumsum(rng.uniform(1e-4, 1e-2, (6, 50)), axis=0), rng.uniform(5.0, 30.0, (6, 50))
    for I, U in zip(*points, strict=True):
        assert (interpolate(*points, I) == U).all()


def test_a_step_counts_against_us():
    """A need of 16 V up to 11 mA and 10.5 V from there on; a source that is cut off at 25 mA."""
    need = [0.0, 0.011, 0.011, 0.025], [16.0, 16.0, 10.5, 10.5]
    assert interpolate(*need, 0.011, highest=True) == 16.0
    assert interpolate(*need, 0.011) == 10.5
    cut = [0.0, 0.025, 0.025], [24.0, 20.0, 0.0]
    assert interpolate(*cut, 0.025) == 0.0
    assert interpolate(*cut, 0.025, highest=True) == 20.0


def test_one_point_is_known_at_itself_only():
    U = interpolate([0.022, np.nan], [15.3, np.nan], [0.022, 0.021, 0.023])
    assert U[0] == 15.3
    assert np.isnan(U[1:]).all()


def test_tables_of_unlike_length_stand_beside_each_other():
    I = np.array([[0.0, 0.0, np.nan], [0.02, 0.02, np.nan], [0.022, np.nan, np.nan]])
    U = np.array([[22.5, 24.0, np.nan], [16.0, 20.0, np.nan], [15.3, np.nan, np.nan]])
    got = interpolate(I, U, [[0.010], [0.022]])
    np.testing.assert_equal(got, [[19.25, 22.0, np.nan], [15.3, np.nan, np.nan]])


def test_gaps_are_not_bridged_and_falling_currents_are_no_table():
    assert np.isnan(interpolate([0.0, np.nan, 0.02], [22.0, np.nan, 16.0], 0.01))
    assert np.isnan(
        interpolate([0.0, 0.01, 0.02], [22.0, np.nan, 16.0], [0.005, 0.01, 0.015])
    ).all()
    assert np.isnan(interpolate([0.0, 0.02, 0.01], [22.0, 16.0, 18.0], 0.005))


@pytest.mark.parametrize("points", [(1.0, 2.0), ([], [])])
def test_points_that_are_none(points):
    with pytest.raises(InputError, match="wanted points along axis 0"):
        interpolate(*points, 0.01)


def test_repeater_supply_on_a_long_cable():
    """Source: arithmetic: 15.3 - 0.022 x 62.22 = 13.93 V at 22 mA, lift-off 12 V; none at 23 mA."""
    loop = least_slack(
        REPEATER, SECOND_CABLE, straight_line(12.0, 0.0, 0.03), 0.0036, [0.022, 0.023]
    )
    assert loop.least[0] == pytest.approx(1.931, abs=5e-4)
    assert loop.at[0] == 0.022
    assert loop.has[loop.row[0], 0] == pytest.approx(13.931, abs=5e-4)
    assert np.isnan(loop.least[1])
    assert np.isnan(loop.at[1])


def test_barrier_loop():
    """Source: arithmetic: 24.0 - 0.9 - I (340 + 25 + 13.53 + 250) is 9.27 V at 22 mA, 10.53 at 20.

    Lift-off 10.5 V fails by 1.23 V, 9.0 V passes by 0.27 V; exactly what is there passes by zero.
    """
    R = 340.0 + 25.0 + FIRST_CABLE + 250.0
    supply = straight_line(24.0, 0.0, 0.025)
    need = straight_line([10.5, 9.0], 0.0, 0.025)
    loop = least_slack(supply, R, need, 0.0036, 0.022, drop=0.9)
    np.testing.assert_allclose(loop.least, [-1.228, 0.272], atol=5e-4)
    at_20 = least_slack(supply, R, need, 0.0036, 0.020, drop=0.9)
    assert at_20.has[1, 0] == pytest.approx(10.53, abs=0.005)
    exact = least_slack(
        straight_line(24.0, 0.0, 0.03), 500.0, straight_line(14.0, 0.0, 0.03), 0, 0.02
    )
    assert exact.least == 0.0


def test_the_worst_current_may_lie_between_the_ends():
    """Source: arithmetic: at 11 mA 24 - 6.38 = 17.62 V against 18; at 22 mA 11.24 against 10.5."""
    need = [0.0, 0.011, 0.011, 0.025], [18.0, 18.0, 10.5, 10.5]
    loop = least_slack(straight_line(24.0, 250.0, 0.025), 330.0, need, 0.0036, 0.022)
    assert loop.slack[0] > 0
    assert loop.slack[1] == pytest.approx(0.74, abs=1e-12)
    assert loop.least == pytest.approx(-0.38, abs=1e-12)
    assert loop.at == 0.011


def random_loops(rng, many):
    source_I = np.cumsum(rng.uniform(1e-3, 1e-2, (5, many)), axis=0)
    source_I[0] = 0.0
    need_I = np.cumsum(rng.uniform(1e-3, 1e-2, (4, many)), axis=0)
    need_I[0] = 0.0
    last = np.minimum(source_I[-1], need_I[-1])
    ends = np.sort(rng.uniform(0.0, 1.0, (2, many)), axis=0) * last
    source = source_I, np.sort(rng.uniform(10.0, 30.0, (5, many)), axis=0)[::-1]
    return source, rng.uniform(0.0, 600.0, many), (need_I, rng.uniform(5.0, 18.0, (4, many))), ends


def test_no_current_between_is_worse_than_those_tested():
    """Source: NumPy's interp at 4,001 currents of each loop."""
    rng = np.random.default_rng(2)
    source, R, need, (low, high) = random_loops(rng, 200)
    loop = least_slack(source, R, need, low, high)
    most = largest_voltage(source, R, low, high)
    for n in range(200):
        I = np.linspace(low[n], high[n], 4001)
        has = np.interp(I, source[0][:, n], source[1][:, n]) - I * R[n]
        slack = has - np.interp(I, need[0][:, n], need[1][:, n])
        assert loop.least[n] <= slack.min() + 1e-12
        assert loop.least[n] == pytest.approx(slack.min(), abs=0.05)
        assert most[n] >= has.max() - 1e-12
        assert most[n] == pytest.approx(has.max(), abs=0.05)
        assert low[n] <= loop.at[n] <= high[n]
        assert loop.slack[loop.row[n], n] == loop.least[n]


def test_arrays_equal_single_loops_bit_for_bit():
    rng = np.random.default_rng(3)
    source, R, need, (low, high) = random_loops(rng, 30)
    whole = least_slack(source, R, need, low, high)
    for n in (0, 13, 29):
        pair = [(I[:, n], U[:, n]) for I, U in (source, need)]
        alone = least_slack(pair[0], R[n], pair[1], low[n], high[n])
        for many, one in zip(whole, alone, strict=True):
            assert many[..., n].tobytes() == one.tobytes()


def test_unknown_loops_stay_unknown():
    supply, need = straight_line(24.0, 250.0, 0.025), straight_line(12.0, 0.0, 0.025)
    nan = np.nan
    loop = least_slack(supply, [nan, 1.0, 1.0, 1.0, 1.0], need, [0, nan, 0, 0.02, 0],
                       [0.02, 0.02, nan, 0.01, 0.02])  # fmt: skip
    np.testing.assert_equal(np.isnan(loop.least), [True, True, True, True, False])
    short = least_slack(supply, 1.0, straight_line(12.0, 0.0, 0.01), 0.0, 0.02)
    assert np.isnan(short.least)  # the need is not known up to 20 mA
    assert np.isnan(largest_voltage(supply, 1.0, [0.02, 0.0], [0.01, 0.03])).all()


# --- closed forms ---------------------------------------------------------------------------------


def test_solenoid_hot_and_cold():
    """Source: arithmetic: 290 ohm + 5 % at 75 C is 370.3 ohm, 30.52 mA; - 5 % at -20 C, 39.43 mA.

    21 V behind 270 ohm, a bridge of 1.2 V, 300 m of 1.5 mm2 at 60 C.
    """
    hot = resistance_at(290.0 * 1.05, 75.0)
    cable = loop_resistance(resistance_at(highest_resistance(1.5e-6, 2), 60.0), 300.0)
    assert hot == pytest.approx(370.3, abs=0.05)
    I, U = working_point(21.0, 270.0 + cable, 1.2, hot)
    assert pytest.approx(30.52e-3, abs=5e-6) == I
    assert I * hot == pytest.approx(11.30, abs=0.005)
    assert pytest.approx(1.2 + I * hot, abs=1e-12) == U
    cold = working_point(21.0, 270.0, 1.2, resistance_at(290.0 * 0.95, -20.0))
    assert pytest.approx(39.43e-3, abs=5e-6) == cold.I


@pytest.mark.parametrize(
    ("U", "R_source", "lead", "Rs", "Rp", "closed_mA", "open_mA"),
    [
        (8.2, 1000.0, 0.0, 1000.0, 10000.0, 4.10, 0.68),
        (7.7, 1100.0, 100.0, 1050.0, 10500.0, 3.42, 0.60),
        (9.0, 900.0, 0.0, 950.0, 9500.0, 4.86, 0.79),
        (9.0, 550.0, 0.0, 950.0, 9500.0, 6.00, 0.82),
    ],
)
def test_contact_with_line_monitoring(U, R_source, lead, Rs, Rp, closed_mA, open_mA):
    """Source: arithmetic on IEC 60947-5-6 figures (8.2 V, 1 kohm and corners), from memory."""
    closed = working_point(U, R_source + lead, 0.0, Rs)
    opened = working_point(U, R_source + lead, 0.0, Rs + Rp)
    assert pytest.approx(closed_mA, abs=0.005) == closed.I * 1e3
    assert pytest.approx(open_mA, abs=0.005) == opened.I * 1e3


def test_working_point_at_its_borders():
    """Source: arithmetic."""
    I, U = working_point([24.0, 1.5, 24.0, 0.0, 24.0], [300.0, 300, 300, 300, 0.0],
                         [2.0, 2.0, 0.0, 2.0, 2.0], [0.0, 50, 100, 50, 0.0],
                         [np.inf, np.inf, 0.03, np.inf, np.inf])  # fmt: skip
    np.testing.assert_allclose(I, [22.0 / 300.0, 0.0, 0.03, 0.0, np.nan], rtol=1e-14)
    np.testing.assert_allclose(U, [2.0, 1.5, 3.0, 0.0, np.nan], rtol=1e-14)
    for bad in ([-1.0, 1, 1, 1, 1], [1.0, np.nan, 1, 1, 1], [1.0, 1, 1, -1, 1], [1.0, 1, 1, 1, -1]):
        assert np.isnan(working_point(*bad)).all()


def test_constant_power():
    """Source: arithmetic: 9.6 V, 0.54 W, 16.1 ohm: (9.6 + sqrt(57.384)) / 2 = 8.588 V."""
    U = power_load_voltage([9.6, 9.6, 9.6, 5.0], 16.1, [0.54, 0.0, 1.44, np.nan])
    np.testing.assert_allclose(U, [8.58761, 9.6, np.nan, np.nan], atol=5e-6)


@given(
    least=st.floats(0.5, 20.0), R=st.floats(0.0, 200.0), P=st.floats(0.0, 3.0),
    more=st.floats(1e-6, 10.0),
)  # fmt: skip
def test_supply_for_power_is_just_enough(least, R, P, more):
    """Both forms are each other's inverse: at the supply the load has its least, below it less."""
    supply = float(least_supply_for_power(least, R, P))
    enough = power_load_voltage(supply * (1.0 + 1e-12) + more, R, P)
    assert enough >= least * (1.0 - 1e-9)
    short = power_load_voltage(supply - min(more, supply), R, P)
    assert np.isnan(short) or short < least


def test_supply_for_power_by_hand():
    """Source: arithmetic: 9 + 0.54 x 16.1 / 9 = 9.966 V; 2 sqrt(1 x 100) = 20 V."""
    np.testing.assert_allclose(
        least_supply_for_power([9.0, 2.0, 0.0, np.nan], [16.1, 100.0, 1, 1], [0.54, 1.0, 1, 1]),
        [9.966, 20.0, np.nan, np.nan], rtol=1e-14,
    )  # fmt: skip


def test_hart_lengths():
    """Source: arithmetic: (65 us / R - C) / C' without cable ohms; 1405 m with those of 1.5 mm2.

    250 ohm and 150 pF/m: 1633 m; 590 ohm and 200 pF/m: 476 m (475.8); 15 nF besides.
    """
    bare = longest_by_time_constant([250.0, 590.0], 15e-9, 0.0, [150e-12, 200e-12])
    np.testing.assert_allclose(bare, [1633.333, 475.847], atol=6e-4)
    real = longest_by_time_constant(250.0, 15e-9, FIRST_CABLE / 500.0, 150e-12)
    assert real == pytest.approx(1405.0, abs=0.5)


@given(
    R=st.just(0.0) | st.floats(1e-3, 700.0), C=st.just(0.0) | st.floats(1e-15, 1e-7),
    r=st.just(0.0) | st.floats(1e-9, 0.2),
    c=st.just(0.0) | st.floats(1e-15, 400e-12), tau=st.just(0.0) | st.floats(1e-9, 1e-4),
)  # fmt: skip
def test_longest_is_within_and_a_millimetre_more_is_not(R, C, r, c, tau):
    length = float(longest_by_time_constant(R, C, r, c, tau))
    if np.isinf(length):
        assert (tau < R * C) if length < 0 else (time_constant(R, C, r, c, 1e3) <= tau)
        return
    assert length >= 0.0
    assert time_constant(R, C, r, c, length) <= tau
    if length < 1e8:
        assert time_constant(R, C, r, c, length + 2e-3) > tau * (1.0 - 1e-9)


def test_lengths_that_are_none_or_unknown():
    got = longest_by_time_constant([7000.0, 250.0, np.nan, 250.0, -1.0], [10e-9, 0, 0, 0, 0], 0.0,
                                   [0.0, 0.0, 0.0, np.nan, 0.0])  # fmt: skip
    np.testing.assert_equal(got, [-np.inf, np.inf, np.nan, np.nan, np.nan])


def test_ohms_across_a_port():
    """Source: arithmetic: a port on 0 ohm of load has none, whatever the barrier."""
    np.testing.assert_allclose(
        parallel_resistance([250.0, 0.0, 250.0, np.inf, 300.0], [590.0, 340.0, np.inf, np.inf, -1]),
        [250.0 * 590.0 / 840.0, 0.0, 250.0, np.inf, np.nan], rtol=1e-14,
    )  # fmt: skip


def test_hot_coil_against_scipy():
    """Source: SciPy's brentq on the balance of the coil's heat, first crossing from cold."""
    rng = np.random.default_rng(5)
    U, R, R20 = rng.uniform(5, 30, 60), rng.uniform(0, 400, 60), rng.uniform(50, 2000, 60)
    Ta, Rth = rng.uniform(-40, 70, 60), rng.uniform(1, 120, 60)
    limit = np.where(rng.random(60) < 0.5, np.inf, rng.uniform(0.01, 0.05, 60))
    got = hot_coil_on_source(U, R, R20, Ta, Rth, limit)
    for n in range(60):

        def excess(ohms, n=n):
            I = min(U[n] / (R[n] + ohms), limit[n])
            return R20[n] * (234.5 + Ta[n] + Rth[n] * I * I * ohms) / 254.5 - ohms

        cold = R20[n] * (234.5 + Ta[n]) / 254.5
        steps = cold * np.geomspace(1.0, 1e4, 4000)
        cross = next(k for k in range(4000) if excess(steps[k]) < 0.0)
        wanted = brentq(excess, steps[cross - 1], steps[cross], xtol=1e-12)
        assert got[n] == pytest.approx(wanted, rel=1e-9)


def test_hot_coil_at_a_current():
    """Source: arithmetic: 304.5 ohm at 60 C is 352.3; 0.957 of it holds at 30 mA and 40 K/W."""
    R = hot_coil_at_current(304.5, 60.0, 40.0, [0.0, 0.030, 0.3, np.nan])
    np.testing.assert_allclose(R, [352.359, 368.21, np.nan, np.nan], rtol=1e-4)
    np.testing.assert_allclose(
        R[1], 304.5 * (234.5 + 60.0 + 40.0 * 0.030**2 * R[1]) / 254.5, rtol=1e-14
    )
    assert np.isnan(hot_coil_on_source(np.nan, 1.0, 1.0, 20.0, 1.0))
    assert np.isnan(hot_coil_on_source(24.0, 100.0, -1.0, 20.0, 1.0))
    assert hot_coil_on_source(0.0, 100.0, 290.0, 20.0, 10.0) == 290.0


def test_two_corners_of_a_barrier():
    """Source: common practice, no source: 0.1 %/K of the knee, leakage doubling each 10 K."""
    assert working_voltage_at(28.0, -20.0) == pytest.approx(28.0 - 1.12)
    assert working_voltage_at(28.0, 60.0) == 28.0  # never more than printed
    assert working_voltage_at(28.0, -20.0, per_kelvin=0.8e-3) == pytest.approx(28.0 - 0.896)
    np.testing.assert_allclose(
        leakage_at(1e-6, [20.0, 30.0, 60.0, -20.0]), [1e-6, 2e-6, 16e-6, 1e-6]
    )


def test_regulated_barrier():
    """Source: arithmetic: 24 - 0.5 - 0.02 x 300 = 17.5 V; 20 V from 26.5 V on."""
    U = regulated_output([24.0, 26.5, 35.0, np.nan], 0.5, 26.0, 300.0, 0.02)
    np.testing.assert_allclose(U, [17.5, 20.0, 20.0, np.nan])
