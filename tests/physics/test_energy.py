"""Limits from the energy of a spark: shape, unknowns and directions."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from subspark.physics.energy import (
    CONSTANT_ENERGY_FROM,
    SPARK_ENERGY,
    inductance_from_energy,
    inductance_per_ohm,
)
from subspark.physics.ignition import GROUP_I, IIA, IIB, IIC


def test_energies_cannot_be_changed():
    assert SPARK_ENERGY.tolist() == [525e-6, 320e-6, 160e-6, 40e-6]
    with pytest.raises(ValueError, match="read-only"):
        SPARK_ENERGY[0] = 1.0
    assert CONSTANT_ENERGY_FROM == 1e-3


def test_arrays_broadcast_and_equal_single_values():
    current = np.array([0.05, 0.2, np.nan])[:, None, None]
    spark, factor = np.arange(4)[:, None], np.array([1.5, 1.0])
    L = inductance_from_energy(current, spark, factor)
    ratio = inductance_per_ohm(28.0, 28.0 / current, spark, factor, L=1e-5)
    assert L.shape == ratio.shape == (3, 4, 2)
    for i, j, k in np.ndindex(L.shape):
        one = float(current[i, 0, 0]), int(spark[j, 0]), float(factor[k])
        np.testing.assert_equal(L[i, j, k], inductance_from_energy(*one)[()])
        alone = inductance_per_ohm(28.0, 28.0 / one[0], one[1], one[2], L=1e-5)
        np.testing.assert_equal(ratio[i, j, k], alone[()])


@pytest.mark.parametrize(
    ("I", "spark", "factor"),
    [
        (np.nan, IIC, 1.5),
        (-0.1, IIC, 1.5),
        (0.1, np.nan, 1.5),
        (0.1, 7, 1.5),
        (0.1, IIC, np.nan),
        (0.1, IIC, 2.0),
    ],
)
def test_what_is_not_known_permits_nothing(I, spark, factor):  # noqa: E741 - the symbol
    assert np.isnan(inductance_from_energy(I, spark, factor))
    assert np.isnan(inductance_per_ohm(28.0, 28.0 / I, spark, factor))


@pytest.mark.parametrize(
    ("U", "R", "L"),
    [(np.nan, 300.0, 0.0), (28.0, np.nan, 0.0), (28.0, 300.0, np.nan), (-28.0, 300.0, 0.0),
     (28.0, -300.0, 0.0), (28.0, 300.0, -1e-3), (0.0, 0.0, 0.0)],
)  # fmt: skip
def test_a_ratio_from_what_is_not_known_is_none(U, R, L):
    assert np.isnan(inductance_per_ohm(U, R, IIC, 1.5, L=L))


def test_ends():
    assert inductance_from_energy(0.0, IIC, 1.5) == np.inf
    assert inductance_per_ohm(0.0, 300.0, IIC, 1.5) == np.inf
    assert inductance_per_ohm(28.0, 0.0, IIC, 1.5) == 0.0


def test_a_source_with_too_much_inductance_of_its_own_permits_no_ratio():
    # The root vanishes at L = 64 e R^2 / (72 U^2) = 4.0816 mH for 28 V, 300 ohm, 40 uJ.
    ratio = inductance_per_ohm(28.0, 300.0, IIC, 1.5, L=[4.081e-3, 4.082e-3])
    assert ratio[0] > 0
    assert np.isnan(ratio[1])


@given(I=st.floats(1e-3, 5.0), more=st.floats(1e-6, 5.0), spark=st.sampled_from([0, 1, 2, 3]))
def test_permitted_inductance_falls_with_current(I, more, spark):  # noqa: E741 - the symbol
    low, high = inductance_from_energy([I, I + more], spark, 1.5)
    assert high < low


@given(L=st.floats(0.0, 4e-3), more=st.floats(0.0, 1e-3))
def test_permitted_ratio_never_rises_with_the_source_s_own_inductance(L, more):
    low, high = inductance_per_ohm(28.0, 300.0, IIC, 1.5, L=[L, L + more])
    assert np.isnan(high) or high <= low


def test_a_less_sensitive_group_permits_more():
    for permitted in (
        inductance_from_energy(0.1, [GROUP_I, IIA, IIB, IIC], 1.5),
        inductance_per_ohm(28.0, 300.0, [GROUP_I, IIA, IIB, IIC], 1.5),
    ):
        assert (np.diff(permitted) < 0).all()
