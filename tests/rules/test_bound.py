"""Demand and limit: verdict and utilisation at, above and around equality, and of the unknown.

Source: own engineering (equality passes; one part in 10^9 is no longer equal).
"""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from subspark.rules import EQUAL, All, Bound, Verdict, settle
from subspark.rules.bound import holds, utilisations, verdicts

NAN, INF = math.nan, math.inf
SAFE, UNSAFE, UNPROVEN, NOT_ASKED = (
    Verdict.SAFE,
    Verdict.UNSAFE,
    Verdict.UNPROVEN,
    Verdict.NOT_ASKED,
)


def one(demand: float, limit: float, *, exact: bool = False) -> Verdict:
    return Verdict(int(verdicts(Bound(np.array([demand]), np.array([limit]), exact=exact))[0]))


@pytest.mark.parametrize(
    ("demand", "limit", "expected"),
    [
        (1.0, 1.0, SAFE),
        (0.0, 0.0, SAFE),
        (0.0, 1.0, SAFE),
        (1.0, 2.0, SAFE),
        (1.0 + 1e-9, 1.0, UNSAFE),
        (1.0 + 1e-11, 1.0, UNSAFE),
        (1.0 + 1e-15, 1.0, SAFE),  # rounding of a sum
        (83e-9 * (1 + 1e-9), 83e-9, UNSAFE),
        (83e-9 * (1 + 1e-14), 83e-9, SAFE),
        (1e-300, 0.0, UNSAFE),
        (2.0, 1.0, UNSAFE),
        (NAN, 1.0, UNPROVEN),
        (1.0, NAN, UNPROVEN),
        (NAN, NAN, UNPROVEN),
        (NAN, INF, UNPROVEN),
        (INF, 1.0, UNSAFE),
        (INF, NAN, UNPROVEN),
        (1.0, INF, SAFE),
        (-INF, 1.0, NOT_ASKED),
        (-INF, NAN, NOT_ASKED),
    ],
)
def test_verdict_of_a_demand_and_a_limit(demand, limit, expected):
    assert one(demand, limit) is expected


@pytest.mark.parametrize(
    ("demand", "limit", "expected"),
    [
        (135.0, 135.0, SAFE),
        (np.nextafter(135.0, 200.0), 135.0, UNSAFE),
        (-20.0, -20.0, SAFE),
        (np.nextafter(-20.0, 0.0), -20.0, UNSAFE),
        (NAN, 135.0, UNPROVEN),
    ],
)
def test_ranks_and_temperatures_compare_exactly(demand, limit, expected):
    assert one(demand, limit, exact=True) is expected


def test_the_allowance_is_far_below_a_part_in_ten_to_the_nine():
    assert 1e-14 < EQUAL < 1e-11


def used(demand: float, limit: float) -> float:
    bound = Bound(np.array([demand]), np.array([limit]))
    return float(utilisations(bound, verdicts(bound))[0])


@pytest.mark.parametrize(
    ("demand", "limit", "expected"),
    [
        (28.0, 30.0, 28.0 / 30.0),
        (1.0 + 1e-15, 1.0, 1.0),  # at most 1 where it is safe
        (3.0, 2.0, 1.5),
        (0.0, 0.0, 0.0),
        (1.0, 0.0, INF),
        (1.0, INF, 0.0),
        (NAN, 1.0, NAN),
        (1.0, NAN, NAN),
        (-INF, 1.0, NAN),
    ],
)
def test_utilisation(demand, limit, expected):
    share = used(demand, limit)
    assert share == expected or (math.isnan(expected) and math.isnan(share))


@settings(max_examples=400, deadline=None)
@given(
    st.floats(min_value=0.0, max_value=1e6) | st.sampled_from([NAN, INF, -INF]),
    st.floats(min_value=1e-12, max_value=1e6) | st.sampled_from([NAN, INF, 0.0]),
)
def test_a_safe_utilisation_is_at_most_one_and_an_unsafe_one_above(demand, limit):
    said, share = one(demand, limit), used(demand, limit)
    if said is SAFE:
        assert 0.0 <= share <= 1.0
    elif said is UNSAFE and limit > 0:
        assert share > 1.0
    elif said is not UNSAFE:
        assert math.isnan(share)


MEMBERS = [(1.0, 2.0, SAFE), (3.0, 2.0, UNSAFE), (NAN, 2.0, UNPROVEN), (-INF, 2.0, NOT_ASKED)]


@pytest.mark.parametrize("first", MEMBERS, ids=lambda one: one[2].name)
@pytest.mark.parametrize("second", MEMBERS, ids=lambda one: one[2].name)
@pytest.mark.parametrize("third", MEMBERS, ids=lambda one: one[2].name)
def test_the_worst_member_decides(first, second, third):
    """One unsafe member beats what is unknown of the others; unknown beats safe."""
    demand = np.array([[first[0]], [second[0]], [third[0]]])
    limit = np.array([[first[1]], [second[1]], [third[1]]])
    settled = settle(Bound(demand, limit, over="apparatus"))
    assert settled.verdict.tolist() == [max(first[2], second[2], third[2])]
    shares = [d / m for d, m, v in (first, second, third) if v in (SAFE, UNSAFE)]
    assert settled.utilisation[0] == max(shares, default=NAN) or (
        not shares and math.isnan(settled.utilisation[0])
    )


def test_no_members_ask_nothing():
    settled = settle(Bound(np.zeros((0, 3)), np.zeros((0, 3)), over="run"))
    assert settled.verdict.tolist() == [NOT_ASKED] * 3
    assert np.isnan(settled.utilisation).all()


def test_all_bounds_must_hold():
    safe, unsafe = Bound(np.array([1.0]), np.array([2.0])), Bound(np.array([3.0]), np.array([2.0]))
    unknown = Bound(np.array([NAN]), np.array([2.0]))
    assert settle(All((safe, unknown))).verdict.tolist() == [UNPROVEN]
    assert settle(All((unknown, unsafe, safe))).verdict.tolist() == [UNSAFE]
    assert settle(All((safe, unsafe))).utilisation.tolist() == [1.5]
    with pytest.raises(ValueError, match="at least one bound"):
        settle(All(()))


def test_without_a_quantity_there_is_no_utilisation():
    settled = settle(Bound(np.array([1.0]), np.array([2.0])), quantity=False)
    assert settled.verdict.tolist() == [SAFE]
    assert np.isnan(settled.utilisation).all()


def test_the_words_of_verdicts():
    assert [one.word for one in Verdict] == ["not asked", "safe", "unproven", "unsafe"]
    assert max(Verdict) is UNSAFE


@pytest.mark.parametrize("seed", range(40))
def test_holds_is_settle_in_short(seed):
    """Own invariant: what choosing asks for speed is what checking says."""
    rng = np.random.default_rng(seed)
    special = np.array([np.nan, -np.inf, np.inf, 0.0, 1.0, 1.0 + 2.0**-42, 1.0 + 2.0**-38, -1.0])

    def bound(over: bool) -> Bound:
        shape = (3, 50) if over else (50,)
        demand, limit = (rng.choice(special, size=shape) for _ in range(2))
        return Bound(demand, limit, over="apparatus" if over else "", exact=bool(rng.integers(2)))

    for answer in (bound(False), bound(True), All((bound(True), bound(False)))):
        with np.errstate(invalid="ignore"):
            assert np.array_equal(holds(answer), settle(answer).verdict <= Verdict.SAFE)
