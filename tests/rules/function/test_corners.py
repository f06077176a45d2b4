"""Every rule takes of each figure the end that hurts: no corner of its figures is worse.

A rule is given figures with two ends. Then every corner of them is tried with exact figures: what
the rule leaves must not be more than in the worst corner, and where no figure counts twice it must
be the same. A figure that a rule does not name in its needs must not move it.
"""

from __future__ import annotations

import dataclasses
import itertools
import math

import numpy as np
import pytest

from rules.function.figures import columns, replaced
from subspark.rules.function import KINDS, Table, Triple, columns_of, function_rules

INF = math.inf
AWAY = 0.1

DRIVER = {
    "open_voltage": 21.0,
    "inner": 270.0,
    "limit": 0.05,
    "line": 12.0,
    "off_volts": 3.0,
    "monitoring": 0.0011,
    "end_to_end": 300.0,
    "drop": 0.9,
    "working": 27.0,
    "least": 280.0,
    "fuse": 0.1,
    "highest": 28.0,
    "supply": 24.0,
    "cold": -10.0,
}
BARRIER = {"barrier": 1.0}
VALVE = {
    **DRIVER,
    "R20": 290.0,
    "bridge": 1.2,
    "heating": 15.0,
    "thermal": 40.0,
    "hot_air": 60.0,
    "cold_air": -20.0,
    "pull_in": 0.028,
    "pull_volts": 11.0,
    "pull_20": 9.0,
    "hold": 0.012,
    "drop_out": 0.002,
    "others_R": INF,
    "charge": 0.0015,
    "charge_time": 3.0,
    "cycle": 4.0,
    "others_I": 0.001,
}
INPUT = {
    "open_voltage": 8.2,
    "inner": 1000.0,
    "line": 30.0,
    "on": 2.1e-3,
    "off": 1.2e-3,
    "broken": 0.2e-3,
    "hot": 50.0,
    "cold": -10.0,
}
BEHIND = {"barrier": 1.0, "end_to_end": 60.0, "drop": 0.9, "working": 9.0, "leakage": 1e-6}
CONTACT = {
    **INPUT,
    "short": 200.0,
    "rate": 5000.0,
    "on_R": 1000.0,
    "off_R": 11000.0,
    "contact_R": 1000.0,
    "beside": 0.1,
    "wetting": 1e-3,
    "frequency": 1000.0,
    "C_line": 50e-9,
    "monitored": 1.0,
}
PANEL = {
    **INPUT,
    "open_voltage": 20.0,
    "inner": 220.0,
    "shorted": 0.04,
    "end": 4700.0,
    "resting": 0.0005,
    "alarm_R": 580.0,
    "alarm_V": 5.0,
    "need": 15.0,
}
LAMP = {
    **DRIVER,
    "forward": [(0.0001, 4.0), (0.05, 6.0)],
    "junctions": 3.0,
    "series": 100.0,
    "visible": 0.01,
    "glow": 0.001,
    "hot_air": 60.0,
    "cold_air": -20.0,
}
PICK_UP = {
    "barrier": 1.0,
    "channel": 100.0,
    "working": 9.0,
    "threshold": 0.06,
    "input_R": 10e3,
    "rate": 5e3,
    "signal": 0.1,
    "peak": 8.0,
    "R20": 1000.0,
    "L": 0.3,
    "hot_air": 60.0,
    "cold": -10.0,
    "frequency": 2000.0,
    "line": 5.0,
    "C_line": 20e-9,
}
SERIAL = {
    "drive": 1.5,
    "load": 54.0,
    "threshold": 0.2,
    "near": 120.0,
    "own_load": 1.0,
    "channel": 80.0,
    "far": 120.0,
    "loads": 10.0,
    "device_drive": 1.5,
    "device_load": 54.0,
    "device_threshold": 0.2,
    "line": 30.0,
}
SOUNDER = {**DRIVER, "need": 12.0, "together": 0.02, "alive": 0.001}
POINTS = {"tabled": 1.0, "curve": [(0.0, 21.0), (0.03, 14.0), (0.05, 5.0)]}
GIVEN = [
    ("valve circuit", VALVE),
    ("valve circuit", {**VALVE, **BARRIER}),
    ("valve circuit", {**VALVE, **POINTS}),
    ("valve circuit", {**VALVE, "by_power": 1.0}),
    ("valve circuit", {**VALVE, "others_R": 400.0, "others_V": 1.0}),
    ("valve circuit", {**VALVE, "boosted": 1.0}),
    ("valve circuit", {**VALVE, **POINTS, "boosted": 1.0}),
    ("valve circuit", {**VALVE, "off_volts": 1.1}),
    ("lamp circuit", LAMP),
    ("lamp circuit", {**LAMP, **BARRIER}),
    ("sounder circuit", SOUNDER),
    ("sounder circuit", {**SOUNDER, **BARRIER}),
    (
        "sounder circuit",
        {**DRIVER, "need": 12.0, "together": 0.02, "alive": 0.01, "off_volts": 0.1},
    ),
    ("switch circuit", CONTACT),
    ("switch circuit", {**CONTACT, **BEHIND}),
    ("detector loop", PANEL),
    ("detector loop", {**PANEL, **BEHIND, "working": 25.0}),
    ("pick-up circuit", PICK_UP),
    ("serial line", SERIAL),
]
TWICE = {
    "pull-in at 20 °C": {"R20", "bridge"},
    "short told": {"drop"},
    "pulse": {"input_R", "line", "channel", "R20"},
}
"""Figures that count on both sides of a rule, or in two of its terms, at the end that hurts there:
with these the rule may say worse than any one corner. Without them it says the worst corner.
"""


def slack(rule, c):
    """What a rule leaves, the least of its bounds; infinite where it asks nothing."""
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        answer = rule.evaluate(c)
        least = None
        for bound in getattr(answer, "bounds", (answer,)):
            left = np.where(np.isneginf(bound.demand), INF, bound.limit - bound.demand)
            least = left if least is None else np.minimum(least, left)
    return least


def test_a_table_counts_with_the_end_that_hurts():
    # 21 V and 14 V at 0 and 30 mA, a tenth more or less: 18.9 V - 210 ohm x I at the least
    at, volts = np.array([[0.0], [0.03]]), np.array([[21.0], [14.0]])
    table = Table(at, 0.9 * volts, volts, 1.1 * volts)
    sounder = columns(KINDS["sounder circuit"].columns, **{**SOUNDER, "tabled": 1.0})
    sounder = dataclasses.replace(sounder, curve=table)
    operating = next(r for r in function_rules("sounder circuit") if r.name == "operating voltage")
    # 0.9 x (21 - 233.33 ohm x 20 mA) - 12 ohm x 20 mA = 14.46 V, of which 12 V are needed
    assert slack(operating, sounder)[0] == pytest.approx(2.46)
    valve = columns(KINDS["valve circuit"].columns, **{**VALVE, "tabled": 1.0})
    valve = dataclasses.replace(valve, curve=table)
    # 18.9 V - 210 ohm x I = 1.2 V + I x (12 ohm + 290 ohm x 309.5 / 254.5): 30.78 mA is beyond the
    # last point, where 30 mA are sure
    pull_in = next(r for r in function_rules("valve circuit") if r.name == "pull-in current")
    assert slack(pull_in, valve)[0] == pytest.approx(0.002)
    # a stated limit below the last point counts, with its least
    limited = replaced(valve, limit=(0.0285, 0.0295))
    assert slack(pull_in, limited)[0] == pytest.approx(0.0005)
    lamp = columns(KINDS["lamp circuit"].columns, **LAMP)
    lamp = dataclasses.replace(
        lamp,
        forward=Table(np.array([[0.0], [0.05]]), *(np.full((2, 1), U) for U in (4.0, 5.0, 6.0))),
    )
    visible, dark = (
        next(r for r in function_rules("lamp circuit") if r.name == name)
        for name in ("visible", "dark, by voltage")
    )
    # cold: 6 V + 3 x 2 mV/K x 40 K; left: 21 V - 10 mA x 382 ohm
    assert slack(visible, lamp)[0] == pytest.approx(17.18 - 6.24)
    # hot: 4 V - 3 x 2 mV/K x 40 K; left when off: 3 V - 1 mA x 382 ohm
    assert slack(dark, lamp)[0] == pytest.approx(3.76 - 2.618)


def triples(kind, values):
    """The figures of the base that have two ends, in order."""
    named = [one.name for one in columns_of(kind) if one.sort == "triple"]
    return [one for one in named if math.isfinite(values.get(one, 0.0)) and values.get(one)]


def spread(value):
    return value * (1 - AWAY), value * (1 + AWAY)


CASES = [
    pytest.param(rule, values, id=f"{kind}-{n}-{rule.name}")
    for n, (kind, values) in enumerate(GIVEN)
    for rule in function_rules(kind)
]


def compared(rule, values, figures):
    """What a rule leaves with the ends of these figures, and in the worst of their corners."""
    kind = KINDS[rule.kind].columns
    ends = {one: spread(values[one]) for one in figures}
    told = float(np.ravel(slack(rule, columns(kind, **{**values, **ends})))[0])
    every = itertools.product(*(ends[one] for one in figures))
    corners = np.array(list(every)).reshape(-1, len(figures))
    changes = {one: Triple(*[corners[:, k].copy()] * 3) for k, one in enumerate(figures)}
    worst = float(np.min(slack(rule, dataclasses.replace(columns(kind, **values), **changes))))
    return told, worst


@pytest.mark.parametrize(("rule", "values"), CASES)
def test_the_rule_says_the_worst_corner(rule, values):
    named = [one for one in triples(KINDS[rule.kind].columns, values) if one in rule.needs]
    told, worst = compared(rule, values, named)
    assert told == worst == INF or told <= worst + 1e-9 * abs(worst)
    once = [one for one in named if one not in TWICE.get(rule.name, set())]
    told, worst = compared(rule, values, once)
    assert told == pytest.approx(worst, rel=1e-6, abs=1e-12)


@pytest.mark.parametrize(
    ("name", "figure"), [(a, b) for a, of in TWICE.items() for b in sorted(of)]
)
def test_a_figure_that_counts_twice_is_right_alone_or_worse(name, figure):
    for kind, values in GIVEN:
        for rule in function_rules(kind):
            if rule.name == name and values.get(figure):
                told, worst = compared(rule, values, [figure])
                assert told == worst == INF or told <= worst + 1e-9 * abs(worst)


@pytest.mark.parametrize(("rule", "values"), CASES)
def test_a_figure_that_is_not_named_does_not_move_a_rule(rule, values):
    kind = KINDS[rule.kind].columns
    before = slack(rule, columns(kind, **values))
    for one in triples(kind, values):
        if one not in rule.needs:
            moved = slack(rule, columns(kind, **{**values, one: 1.7 * values[one]}))
            assert np.array_equal(before, moved), one
