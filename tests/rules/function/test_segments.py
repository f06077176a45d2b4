"""Segments: worked figures, hand calculation, and random trees against the solver of trees."""

from __future__ import annotations

import math

import numpy as np
import pytest

from rules.function.figures import answer, columns, sides, verdict
from subspark.physics.trees import tree_of_currents, tree_of_powers
from subspark.rules.bound import settle
from subspark.rules.function.segments import Segment, longest_spur, worst_state

NAN = math.nan
KIND = "fieldbus segment"


def segment(**more):
    """12.8 V; 1 km of trunk at 49.2 ohm/km to two devices of 50 mA, this one the first."""
    return columns(
        Segment,
        **{
            "supplies": 1.0,
            "open_voltage": 12.8,
            "limit": 0.11,
            "modulated": 1.0,
            "stations": 2.0,
            "on_spur": 1.0,
            "basic": [0.05, 0.05],
            "power": [0.0, 0.0],
            "fault": [0.0, 0.0],
            "least": [9.0, 9.0],
            "need": 9.0,
            "way": [49.2, 49.2],
            "reach": 49.2,
            "shared": [],
            **more,
        },
    )


def volts(**more):
    return sides(KIND, "volts at the device", segment(**more))[1]


def test_the_ohms_of_the_cable_are_hot():
    # worked: 1 km at 100 mA loses 4.92 V with 49.2 ohm/km (44 ohm/km at 20 degC, 50 degC)
    assert 12.8 - volts() == pytest.approx(4.92)
    assert pytest.approx(49.2, abs=0.05) == 44.0 * (234.5 + 50.0) / 254.5


def test_one_device_in_fault_at_a_time():
    # 9 mA more in the first, 12 mA in the second, over 49.2 ohm and over 40 ohm of shared way
    more = {"fault": [0.009, 0.012], "way": [49.2, 40.0]}
    base = 12.8 - 0.05 * 49.2 - 0.05 * 40.0
    assert volts(**more) == pytest.approx(base - max(0.009 * 49.2, 0.012 * 40.0))
    demand, limit = sides(KIND, "current of the segment", segment(**more))
    assert (demand, limit) == pytest.approx((0.112, 0.11))


def test_a_hand_held_hangs_at_the_device_and_on_the_supply():
    assert volts(tool=0.012) == pytest.approx(12.8 - 4.92 - 0.012 * 49.2)
    assert sides(KIND, "current of the segment", segment(tool=0.012))[0] == pytest.approx(0.112)


def test_reserve_is_kept_of_what_the_supply_gives():
    # 100 mA of 110 mA less 10 %: 99 mA
    assert verdict(KIND, "current of the segment", segment()) == "works"
    assert verdict(KIND, "current of the segment", segment(reserve=0.1)) == "fails"


def test_a_supply_behind_its_own_ohms_and_one_given_by_a_table():
    assert volts(inner=5.0) == pytest.approx(12.8 - 0.1 * (49.2 + 5.0))
    table = {"tabled": 1.0, "curve": [(0.0, 13.0), (0.1, 12.0), (0.12, 11.0)], "limit": NAN}
    assert volts(**table) == pytest.approx(12.0 - 4.92)
    assert volts(**table, tool=0.01) == pytest.approx(11.5 - 4.92 - 0.492)
    beyond = segment(**table, tool=0.03)
    assert verdict(KIND, "current of the segment", beyond) == "fails"
    assert sides(KIND, "current of the segment", segment(**table))[1] == 0.12


def test_a_load_of_constant_power():
    # worked: 9.6 V, 0.54 W, 16.1 ohm: 8.59 V (a constant current of 9 V would leave 8.69 V)
    one = {"basic": [0.0], "fault": [0.0], "power": [0.54], "way": [16.1], "reach": 16.1,
           "shared": [[16.1]], "least": [7.0], "open_voltage": 9.6}  # fmt: skip
    assert volts(**one) == pytest.approx(8.59, abs=0.005)
    # behind 6.1 ohm of the supply and 10 ohm of cable it is the same
    inner = {**one, "way": [10.0], "reach": 10.0, "shared": [[10.0]], "inner": 6.1}
    assert volts(**inner) == pytest.approx(volts(**one), rel=1e-12)
    # 9.6 V gives at most 9.6^2 / 4 / 0.54 ohm = 42.67 ohm its power
    for ohms, says in ((42.6, "works"), (42.7, "fails")):
        c = segment(**{**one, "way": [ohms], "shared": [[ohms]], "need": 4.7, "least": [4.7]})
        assert verdict(KIND, "volts at the device", c) == says
        assert verdict(KIND, "current of the segment", c) == says


def test_a_shorted_spur_of_a_coupler_is_its_fault():
    # two couplers at 24 V: 0.1 A and 0.2 A over 2 and 5 ohm, 60 mA more of a shorted spur each;
    # at the second 24 - 2 x 0.3 - 3 x 0.2 = 22.8 V, less 5 x 0.06 where its own spur is shorted
    c = {"open_voltage": 24.0, "limit": 0.4, "basic": [0.1, 0.2], "way": [2.0, 5.0], "reach": 5.0}
    assert volts(**c) == pytest.approx(22.8)
    assert volts(**c, fault=[0.06, 0.06]) == pytest.approx(22.5)


def test_members_that_fill_up_do_not_count():
    filled = {"basic": [0.05, 0.05, 0.0], "power": [0.0] * 3, "fault": [0.009, 0.0, 0.0],
              "least": [9.0, 9.0, 0.0], "way": [49.2, 49.2, 0.0],
              "shared": [[0.0] * 3] * 3}  # fmt: skip
    plain = {"fault": [0.009, 0.0]}
    for rule in ("volts at the device", "current of the segment"):
        assert sides(KIND, rule, segment(**filled)) == sides(KIND, rule, segment(**plain))


@pytest.mark.parametrize("what", ["basic", "fault", "way"])
def test_what_is_not_known_of_one_device_leaves_volts_unproven(what):
    known = {"basic": [0.05, 0.05], "fault": [0.0, 0.0], "way": [1.0, 1.0], "least": [9.0, 9.0]}
    powered = {"power": [0.1, 0.1], "shared": [[1.0, 1.0], [1.0, 1.0]], "reach": 1.0}
    spoiled = {**known, what: [known[what][0], NAN]}
    assert verdict(KIND, "volts at the device", segment(**known, **powered)) == "works"
    assert verdict(KIND, "volts at the device", segment(**spoiled, **powered)) == "unproven"
    assert verdict(KIND, "volts at the device", segment(supplies=NAN)) == "unproven"


def _random_tree(draw):
    count = int(draw.integers(2, 9))
    parents = [-1] + [int(draw.integers(0, node)) for node in range(1, count)]
    R = np.concatenate([[0.0], draw.uniform(0.0, 20.0, count - 1)])
    ways = []
    for node in range(count):
        way, at = set(), node
        while at > 0:
            way.add(at)
            at = parents[at]
        ways.append(way)
    shared = [[sum(R[e] for e in one & other) for other in ways] for one in ways]
    return parents, R, shared


@pytest.mark.parametrize("seed", range(60))
def test_random_trees_of_currents_are_those_of_the_solver(seed):
    draw = np.random.default_rng(seed)
    parents, R, shared = _random_tree(draw)
    basic = np.concatenate([[0.0], draw.uniform(0.0, 0.05, len(parents) - 1)])
    fault = np.concatenate([[0.0], draw.uniform(0.0, 0.02, len(parents) - 1)])
    R0 = draw.uniform(0.0, 10.0)
    worst = np.full(len(parents), np.inf)
    for k in range(len(parents)):
        loads = basic + np.where(np.arange(len(parents)) == k, fault, 0.0)
        worst = np.minimum(worst, tree_of_currents(parents, 14.0, [R0, *R[1:]], loads).V)
    for node in range(len(parents)):
        c = {"basic": basic.tolist(), "fault": fault.tolist(), "way": shared[node],
             "power": [0.0] * len(parents), "least": [9.0] * len(parents)}  # fmt: skip
        found = volts(open_voltage=14.0, inner=R0, reach=shared[node][node], **c)
        assert found == pytest.approx(worst[node], rel=1e-12)


@pytest.mark.parametrize("seed", range(60))
def test_random_trees_of_powers_are_those_of_the_solver(seed):
    draw = np.random.default_rng(seed)
    parents, R, shared = _random_tree(draw)
    count = len(parents)
    power = np.where(draw.random(count) < 0.7, draw.uniform(0.0, 0.6, count), 0.0)
    basic = np.where(power > 0.0, 0.0, draw.uniform(0.0, 0.02, count))
    tree = tree_of_powers(parents, 14.0, R, power, 1e-6, basic)
    for node in range(count):
        c = {"basic": basic.tolist(), "fault": [0.0] * count, "way": shared[node],
             "power": power.tolist(), "least": [1.0] * count, "shared": shared}  # fmt: skip
        found = volts(open_voltage=14.0, reach=shared[node][node], **c)
        if np.isnan(tree.V[0]):
            assert found == 0.0
        else:
            assert found == pytest.approx(tree.V[node], rel=1e-9)


def test_powers_on_a_table_meet_it():
    # 1 W on a supply that falls from 13 V by 10 ohm: the table is a straight line of 10 ohm
    straight = {"tabled": 1.0, "curve": [(0.0, 13.0), (0.3, 10.0)], "limit": 0.3}
    one = {"basic": [0.0], "fault": [0.0], "power": [1.0], "way": [16.1], "reach": 16.1,
           "shared": [[16.1]], "least": [9.0]}  # fmt: skip
    by_ohms = volts(open_voltage=13.0, inner=10.0, **one)
    by_table = volts(**straight, **one)
    assert by_table == pytest.approx(by_ohms, rel=1e-9)
    assert by_table <= by_ohms * (1.0 + 1e-12)


def test_spurs_by_the_number_of_devices():
    # IEC 61158-2, annex on cable lengths: 120, 90, 60, 30, 1 m for 12, 14, 18, 24, 32 devices
    devices = np.array([1.0, 12.0, 13.0, 14.0, 18.0, 24.0, 32.0, 33.0, NAN])
    found = longest_spur(devices, np.ones(9))
    assert found[:-1].tolist() == [120.0, 120.0, 90.0, 90.0, 60.0, 30.0, 1.0, 0.0]
    assert math.isnan(found[-1])
    # each further device on the spur takes 30 m off
    assert longest_spur(np.full(5, 6.0), np.array([1.0, 2, 3, 4, 5])).tolist() == [
        120,
        90,
        60,
        30,
        0,
    ]
    for spur, says in ((0.0, "not asked"), (120.0, "works"), (120.5, "fails"), (NAN, "unproven")):
        assert verdict(KIND, "spur length", segment(spur=spur)) == says
        assert verdict(KIND, "spur length", segment(spur=spur, modulated=0.0)) == "not asked"


def test_lengths_and_volts_of_a_fieldbus_only():
    for length, says in ((1900.0, "works"), (1900.5, "fails"), (NAN, "unproven")):
        assert verdict(KIND, "segment length", segment(length=length)) == says
        assert verdict(KIND, "segment length", segment(length=length, modulated=0.0)) == "not asked"
    for highest, says in ((32.0, "works"), (32.5, "fails"), (NAN, "unproven")):
        c = segment(highest=highest, bearable=32.0)
        assert verdict(KIND, "operating voltage", c) == says


def test_supplies_along_another_axis():
    """Three supplies against one segment of two devices give what each gives by itself."""
    one = segment(power=[0.2, 0.0], basic=[0.0, 0.05], shared=[[49.2, 49.2], [49.2, 49.2]])
    supplies = [segment(open_voltage=U, inner=R) for U, R in ((12.8, 0.0), (14.0, 9.0), (8.0, 0.0))]
    owned = ("supplies", "open_voltage", "inner", "tabled", "limit", "highest")

    def joined(name):
        values = [getattr(supply, name) for supply in supplies]
        if isinstance(values[0], np.ndarray):
            return np.concatenate(values)
        return type(values[0])(*(np.concatenate(end) for end in zip(*values, strict=True)))

    def mixed(pick):
        return Segment(
            **{name: pick(name) if name in owned else getattr(one, name)
               for name in one.__dataclass_fields__}
        )  # fmt: skip

    both = mixed(joined)
    for rule in ("volts at the device", "current of the segment"):
        together = settle(answer(KIND, rule, both))
        assert together.verdict.shape == (3,)
        for at, supply in enumerate(supplies):
            alone = settle(answer(KIND, rule, mixed(lambda name, s=supply: getattr(s, name))))
            assert together.verdict[at] == alone.verdict[0]
            assert together.utilisation[at] == alone.utilisation[0]
    # 0.05 A and 0.2 W over 49.2 ohm of 12.8 V: V = 10.34 - 9.84/V, 9.2796 V
    state = worst_state(both)[0]
    assert state.volts[0] == pytest.approx(9.2796, abs=1e-4)
    assert state.volts[2] == -np.inf
