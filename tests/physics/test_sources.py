"""Equivalents of sources: shape, unknowns, places that are not used, subsets."""

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from subspark.errors import InputError
from subspark.physics.sources import (
    MOST_SOURCES,
    largest_matched_power,
    linear_power,
    linearity_ratio,
    matched_power,
    parallel_output,
    parallel_thevenin,
    series_output,
    series_thevenin,
    source_resistance,
    trapezoid_power,
)

COMBINATIONS = (parallel_output, series_output, parallel_thevenin, series_thevenin)


def by_every_subset(U, I, series):  # noqa: E741 - the symbol
    """Work the largest matched power out with loops: the oracle of the array form."""
    live = [(u, i) for u, i in zip(U, I, strict=True) if i > 0]
    best = 0.0
    for size in range(1, len(live) + 1):
        for chosen in combinations(live, size):
            if series:
                volts, ohms = sum(u for u, _ in chosen), sum(u / i for u, i in chosen)
            else:
                ohms = 1 / sum(i / u for u, i in chosen)
                volts = ohms * sum(i for _, i in chosen)
            best = max(best, volts**2 / (4 * ohms))
    return best


@pytest.mark.parametrize("count", range(1, MOST_SOURCES + 1))
def test_largest_power_equals_the_subsets_worked_one_by_one(count):
    rng = np.random.default_rng(count)
    U, I = rng.uniform(1, 30, (count, 20)), rng.uniform(0.001, 0.5, (count, 20))  # noqa: E741
    I[rng.random(I.shape) < 0.2] = 0.0
    for series in (False, True):
        got = largest_matched_power(U, I, series)
        wanted = [by_every_subset(U[:, n], I[:, n], series) for n in range(20)]
        np.testing.assert_allclose(got, wanted, rtol=1e-12)


def test_large_arrays_are_worked_in_blocks_with_the_same_result():
    rng = np.random.default_rng(5)
    U, I = rng.uniform(1, 30, (8, 10_000)), rng.uniform(0.001, 0.5, (8, 10_000))  # noqa: E741
    series = rng.random(10_000) < 0.5
    whole = largest_matched_power(U, I, series)
    parts = [
        largest_matched_power(U[:, n : n + 1], I[:, n : n + 1], series[n : n + 1])[0]
        for n in range(0, 10_000, 397)
    ]
    np.testing.assert_allclose(whole[::397], parts, rtol=1e-12)


def test_one_source_gives_exactly_a_quarter_of_its_corners():
    """No rounding may come between 28 V x 93 mA / 4 and a limit of just that."""
    rng = np.random.default_rng(3)
    U, I = rng.uniform(1, 30, (1, 500)), rng.uniform(0.001, 0.5, (1, 500))  # noqa: E741
    for series in (False, True):
        np.testing.assert_array_equal(largest_matched_power(U, I, series), U[0] * I[0] / 4)
    assert largest_matched_power([28.0, 28.0], [0.093, 0.0], True) == 28.0 * 0.093 / 4


def test_a_weak_source_does_not_hide_the_power_of_a_strong_one():
    """28 V/301 ohm and 5 V/1 kohm: 0.209 W by the equivalent in series, 0.651 W alone."""
    U, I = [28.0, 5.0], [28.0 / 301.0, 5.0 / 1000.0]  # noqa: E741
    assert matched_power(*series_thevenin(U, I)) == pytest.approx(0.2093, abs=5e-5)
    assert matched_power(*parallel_thevenin(U, I)) == pytest.approx(0.5558, abs=5e-5)
    assert largest_matched_power(U, I, True) == pytest.approx(0.6512, abs=5e-5)
    assert largest_matched_power(U, I, False) == pytest.approx(0.6512, abs=5e-5)


def test_matched_powers_add_where_the_voltages_are_equal():
    U, I = [24.0, 24.0, 24.0], [0.03, 0.05, 0.07]  # noqa: E741
    assert largest_matched_power(U, I, False) == pytest.approx(24.0 * 0.15 / 4)


def test_a_source_behind_a_diode_adds_voltage_only():
    U, I = [28.0, 28.0], [0.093, 0.0]  # noqa: E741
    assert tuple(map(float, parallel_output(U, I))) == (28.0, 0.093)
    assert tuple(map(float, series_output(U, I))) == (56.0, 0.093)
    volts, ohms = parallel_thevenin(U, I)
    assert volts == pytest.approx(28.0)
    assert ohms == pytest.approx(28.0 / 0.093)
    _, ohms = series_thevenin(U, I)
    assert ohms == np.inf
    assert matched_power(*series_thevenin(U, I)) == 0.0


def test_a_place_that_is_not_used_changes_nothing():
    U, I = [28.0, 12.0], [0.1, 0.05]  # noqa: E741
    for combine in COMBINATIONS:
        padded = combine([*U, 0.0], [*I, 0.0])
        np.testing.assert_allclose(padded, combine(U, I), rtol=1e-15)
    for series in (False, True):
        padded = largest_matched_power([*U, 0.0], [*I, 0.0], series)
        assert padded == largest_matched_power(U, I, series)


def test_no_current_at_all():
    nothing = parallel_thevenin([28.0, 10.0], [0.0, 0.0])
    assert (float(nothing.U), float(nothing.R)) == (28.0, np.inf)
    assert largest_matched_power([28.0, 10.0], [0.0, 0.0], [False, True]).tolist() == [0.0, 0.0]


@pytest.mark.parametrize("bad", [(np.nan, 0.1), (5.0, np.nan), (np.nan, 0.0), (-5.0, 0.1),
                                 (5.0, -0.1), (0.0, 0.1)])  # fmt: skip
def test_an_unknown_or_impossible_member_makes_the_whole_unknown(bad):
    U, I = [28.0, bad[0]], [0.1, bad[1]]  # noqa: E741
    for combine in COMBINATIONS:
        assert np.isnan(combine(U, I)).all()
    assert np.isnan(largest_matched_power(U, I, [False, True])).all()


def test_an_unknown_member_touches_its_own_circuit_only():
    U = np.array([[28.0, 28.0], [5.0, np.nan]])
    I = np.full((2, 2), 0.1)  # noqa: E741
    got = largest_matched_power(U, I, False)
    assert not np.isnan(got[0])
    assert np.isnan(got[1])


def test_shapes():
    U, I = np.full((3, 4, 5), 10.0), np.full((3, 1, 5), 0.1)  # noqa: E741
    for combine in COMBINATIONS:
        assert [part.shape for part in combine(U, I)] == [(4, 5), (4, 5)]
    assert largest_matched_power(U, I, False).shape == (4, 5)
    assert largest_matched_power(U, I, np.zeros((2, 1, 1), bool)).shape == (2, 4, 5)
    assert largest_matched_power(np.ones((2, 0)), np.ones((2, 0)), False).shape == (0,)
    assert largest_matched_power([10.0], [0.1], False).shape == ()


def test_too_many_or_no_sources_are_refused():
    with pytest.raises(InputError, match="9 sources in one circuit; wanted at most 8"):
        largest_matched_power(np.ones(9), np.ones(9), False)
    for combine in COMBINATIONS:
        with pytest.raises(InputError, match="wanted at least one along axis 0"):
            combine(np.ones((0, 3)), np.ones((0, 3)))
        with pytest.raises(InputError, match="wanted at least one along axis 0"):
            combine(28.0, 0.1)


@given(
    members=st.lists(st.tuples(st.floats(0.5, 60.0), st.floats(1e-4, 2.0)), min_size=1, max_size=8),
    series=st.booleans(),
)
def test_largest_power_is_at_least_that_of_any_part_and_at_most_their_sum(members, series):
    U, I = np.array(members).T  # noqa: E741
    power = float(largest_matched_power(U, I, series))
    alone = linear_power(U, I)
    equivalent = (series_thevenin if series else parallel_thevenin)(U, I)
    assert power >= alone.max()
    assert power >= float(matched_power(*equivalent)) * (1 - 1e-12)
    assert power <= alone.sum() * (1 + 1e-12)
    if len(members) > 1:
        assert power >= float(largest_matched_power(U[1:], I[1:], series)) * (1 - 1e-12)


def test_resistance_of_a_source():
    assert source_resistance([28.0, 28.0], [0.1, 0.0]).tolist() == [280.0, np.inf]
    assert np.isnan(source_resistance([0.0, -1.0, np.nan], [0.1, 0.1, 0.1])).all()


def test_matched_power_at_its_ends():
    assert matched_power([28.0, 0.0], np.inf).tolist() == [0.0, 0.0]
    assert np.isnan(matched_power([np.nan, -1.0, 1.0], [1.0, 1.0, -1.0])).all()


def test_trapezoid_by_its_corners():
    # 48 V behind 960 ohm: 0.6 W on the slope; clipped at 12 V: 12 x 36 / 960 = 0.45 W.
    got = trapezoid_power(48.0, [48.0, 30.0, 24.0, 12.0, 0.0], 960.0)
    np.testing.assert_allclose(got, [0.6, 0.6, 0.6, 0.45, 0.0], rtol=1e-15)
    assert np.isnan(trapezoid_power([np.nan, 48.0, 48.0], [24.0, np.nan, -1.0], 960.0)).all()


def test_trapezoid_clipped_nowhere_is_linear():
    assert trapezoid_power(28.0, 28.0, 280.0) == pytest.approx(linear_power(28.0, 0.1))


def test_linearity_ratio():
    ratio = linearity_ratio([28.0, 15.0, 0.0, np.nan], [0.1, 0.1, 0.1, 0.1], [0.7, 1.5, 0.1, 0.1])
    np.testing.assert_allclose(ratio, [1.0, 4.0, np.nan, np.nan])
