"""Two-wire loops from the model to the verdict: worked vectors and counterexamples, by hand.

Expected values follow from Ohm's law with the figures of each test; conductor ohms by IEC
60228:2004 Table 2 (12.1 ohm/km for 1.5 mm2, from memory) and copper's 234.5. Levels of alarm by
NAMUR NE 43, HART figures by the FSK physical layer (from memory).
"""

from __future__ import annotations

import dataclasses

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assess.function.circuits import Asked, judge
from subspark.assess.function import FunctionFinding
from subspark.rules import Verdict

BARRIER = {
    "role": "shunt-diode barrier",
    "end-to-end resistance": "340 ohm",
    "return resistance": "25 ohm",
    "return voltage drop": "0.9 V",
    "fuse current": "100 mA",
    "highest supply": "35 V",
    "working voltage": "26 V",
    "leakage current": "0 mA",
}
TRANSMITTER = {
    "role": "two-wire transmitter",
    "lift-off voltage": "10.5 V",
    "low alarm current": "3.6 mA",
    "high alarm current": "22 mA",
    "highest operating voltage": "30 V",
    "HART": "no",
}
LOOP = {
    "supply voltage": "24 V",
    "load resistance": "250 ohm",
    "load place": "supply leg",
    "error budget share": "0.1 %",
    "input limit voltage": "30 V",
}
ISOLATOR = {
    "role": "repeater supply",
    "terminal voltage": [("0 mA", "22.5 V"), ("20 mA", "16.0 V"), ("22 mA", "15.3 V")],
    "current limit": "25 mA",
    "load compliance": "14 V",
    "accuracy": "0 %",
    "HART": "yes",
    "HART resistance": "270 ohm",
}
METRE = 2 * 12.1e-3 * (234.5 + 50) / 254.5
"""Ohms of a metre of loop at 50 degC."""


def loop(
    source: dict | None = None,
    device: dict | None = None,
    own: dict | None = None,
    length: str = "500 m",
    cabinet: str = "10 to 20 °C",
    more: tuple[dict, ...] = (),
) -> FunctionFinding:
    return judge(
        Asked(
            {**BARRIER, **(source or {})} if (source or {}).get("role") is None else source,
            ({**TRANSMITTER, **(device or {})}, *more),
            {**LOOP, **(own or {})},
            length,
            "-20 to 50 °C",
            cabinet,
        )
    )


def test_the_barrier_loop_of_the_worked_vector():
    """24 - 0.9 - 0.022 x (340 + 25 + 13.53 + 250) = 9.27 V: below 10.5 V."""
    found = loop()
    rule = found.rules["lift-off"]
    assert rule.limit == pytest.approx(24 - 0.9 - 0.022 * (615 + 500 * METRE), rel=1e-12)
    assert f"{rule.limit:.2f}" == "9.27"
    assert rule.at == 0.022
    assert found.verdict is Verdict.UNSAFE
    assert found.governing == "lift-off"
    assert loop(device={"lift-off voltage": "9.0 V"}).verdict is Verdict.SAFE
    margin = loop(device={"lift-off voltage": "9.0 V"}, own={"margin": "0.5 V"})
    assert margin.verdict is Verdict.UNSAFE
    assert (
        loop(device={"lift-off voltage": "8.5 V"}, own={"margin": "0.5 V"}).verdict is Verdict.SAFE
    )


def test_at_twenty_milliamperes_it_would_pass():
    """24 - 0.9 - 0.020 x 628.53 = 10.53 V: the high alarm is the pass line, not 20 mA."""
    found = loop(device={"high alarm current": "20 mA"})
    assert f"{found.rules['lift-off'].limit:.2f}" == "10.53"
    assert found.rules["lift-off"].verdict is Verdict.SAFE


def test_the_staircase_adds_up_to_what_is_left():
    found = loop()
    stairs = found.staircase
    assert stairs is not None
    assert sum(step.change for step in stairs.steps) == pytest.approx(stairs.left)
    assert stairs.left == pytest.approx(found.rules["lift-off"].limit)
    assert stairs.needed == 10.5


def test_an_isolator_by_its_table_and_not_beyond_it():
    """15.3 V at 22 mA less the loop; at 23 mA there is no point: it cannot be told."""
    found = loop(ISOLATOR, length="1000 m")
    assert found.rules["lift-off"].limit == pytest.approx(15.3 - 0.022 * 1000 * METRE)
    assert found.verdict is Verdict.SAFE
    beyond = loop(ISOLATOR, {"high alarm current": "23 mA"}, length="1000 m")
    assert beyond.rules["lift-off"].verdict is Verdict.UNPROVEN
    assert beyond.verdict is Verdict.UNPROVEN


def test_the_least_left_lies_at_a_breakpoint():
    """Lift-off 16.6 V up to 11 mA, then 10.5 V: it fails at 11 mA, not at 3.6 nor at 22 mA."""
    steps = [("3.6 mA", "16.6 V"), ("11 mA", "16.6 V"), ("11.5 mA", "10.5 V"), ("22 mA", "10.5 V")]
    supply = {**ISOLATOR, "terminal voltage": [("0 mA", "21 V"), ("22 mA", "12 V")]}
    found = loop(supply, {"lift-off voltage": steps}, length="10 m")
    rule = found.rules["lift-off"]
    assert rule.verdict is Verdict.UNSAFE
    assert rule.at == 0.011
    # 21 - 11 x 9 / 22 V less the volts of 10 m
    assert rule.limit == pytest.approx(21 - 4.5 - 0.011 * 10 * METRE)


def test_a_modem_wants_ohms_across_its_own_port():
    """Load 100 ohm behind a barrier of 340 ohm: 340 ohm in series give the modem nothing."""
    hart = {"HART": "yes"}
    capacitance = {"HART": "yes", "input capacitance": "5 nF", "lift-off voltage": "5 V"}
    own = {"load resistance": "100 ohm", "HART": "yes", "HART place": "safe side"}
    deaf = loop(hart and None, capacitance, own)
    assert deaf.rules["HART"].verdict is Verdict.UNSAFE
    assert deaf.rules["HART"].limit == pytest.approx(100.0)
    heard = loop(None, capacitance, {**own, "load resistance": "250 ohm"})
    assert heard.rules["HART"].verdict is Verdict.SAFE


def test_the_time_constant_counts_the_ohms_of_the_cable():
    """It grows with the square of the length, not in proportion to it."""
    device = {"HART": "yes", "input capacitance": "5 nF", "lift-off voltage": "2 V"}
    own = {"HART": "yes", "HART place": "safe side"}
    taus = [
        loop(None, device, own, length=f"{metres} m").rules["HART time constant"].demand
        for metres in (0, 500, 1000)
    ]
    assert None not in taus
    first, second = taus[1] - taus[0], taus[2] - taus[1]
    assert second > first


def test_a_core_that_touches_earth_meets_the_fuse():
    """26 V / 305 ohm = 85 mA with the load in the return leg (least resistance stated)."""
    source = {"least resistance": "305 ohm", "fuse current": "80 mA"}
    own = {"supply voltage": "24 to 26 V", "load place": "return leg"}
    source["return working voltage"] = "10 V"
    found = loop(source, None, own)
    assert found.rules["barrier fuse"].demand == pytest.approx(26 / 305)
    assert found.rules["barrier fuse"].verdict is Verdict.UNSAFE


def test_the_return_terminal_stands_above_its_load():
    """0.9 + 0.022 x (25 + 250) = 6.95 V."""
    own = {"load place": "return leg"}
    found = loop({"return working voltage": "10 V"}, None, own)
    assert found.rules["return channel"].demand == pytest.approx(6.95)
    assert found.rules["return channel"].verdict is Verdict.SAFE
    low = loop({"return working voltage": "6 V"}, None, own)
    assert low.rules["return channel"].verdict is Verdict.UNSAFE


def test_the_knee_is_lowest_cold_and_the_leakage_worst_hot():
    """0.1 %/K: 26 V is 24.96 V at -20 degC; leakage doubles every 10 K (practice)."""
    cold = loop(None, None, {"supply voltage": "25.5 V"}, cabinet="-20 to 20 °C")
    assert cold.rules["working voltage"].limit == pytest.approx(26 * (1 - 40e-3), rel=1e-3)
    assert cold.rules["working voltage"].verdict is Verdict.UNSAFE
    warm = loop(None, None, {"supply voltage": "25.5 V"}, cabinet="20 to 40 °C")
    assert warm.rules["working voltage"].verdict is Verdict.SAFE
    cool = loop({"leakage current": "10 µA"}, cabinet="20 to 20 °C")
    hot = loop({"leakage current": "10 µA"}, cabinet="20 to 40 °C")
    assert cool.rules["accuracy"].demand == pytest.approx(10e-6 / 16e-3)
    assert hot.rules["accuracy"].demand == pytest.approx(40e-6 / 16e-3)


def test_a_low_alarm_that_the_leakage_lifts_is_no_alarm():
    """3.60 + 0.01 mA leaves NAMUR's 3.6 mA."""
    found = loop({"leakage current": "10 µA"}, cabinet="20 to 20 °C")
    assert found.rules["low alarm"].demand == pytest.approx(3.61e-3)
    assert found.rules["low alarm"].verdict is Verdict.UNSAFE


def test_an_alarm_that_lies_near_its_threshold_uses_up_no_margin():
    """3.55 of 3.6 mA is how alarms are; what is left of the loop are its volts. Own rule."""
    found = loop(device={"low alarm current": "3.55 mA", "lift-off voltage": "8 V"})
    assert found.verdict is Verdict.SAFE
    assert found.rules["low alarm"].demand / found.rules["low alarm"].limit > 0.98
    assert found.governing != "low alarm"
    assert found.utilisation < 0.95
    failing = loop(device={"low alarm current": "3.7 mA", "lift-off voltage": "8 V"})
    assert failing.governing == "low alarm"
    assert failing.utilisation > 1.0


@pytest.mark.parametrize(
    ("where", "word"),
    [
        ("source", "end-to-end resistance"),
        ("source", "working voltage"),
        ("source", "fuse current"),
        ("device", "lift-off voltage"),
        ("device", "high alarm current"),
        ("own", "supply voltage"),
        ("own", "load resistance"),
        ("own", "load place"),
    ],
)
def test_a_missing_figure_leaves_it_unproven_and_is_named(where, word):
    parts = {
        "source": dict(BARRIER),
        "device": {**TRANSMITTER, "lift-off voltage": "8 V"},
        "own": dict(LOOP),
    }
    whole = judge(Asked(parts["source"], (parts["device"],), parts["own"], "500 m"))
    del parts[where][word]
    found = judge(Asked(parts["source"], (parts["device"],), parts["own"], "500 m"))
    assert found.verdict is not Verdict.SAFE
    assert whole.verdict is not Verdict.UNPROVEN or whole.missing
    assert found.missing
    assert set(found.missing) - set(whole.missing)


@settings(max_examples=40, deadline=None)
@given(
    st.sampled_from(["end-to-end resistance", "return resistance", "return voltage drop"]),
    st.floats(1.0, 3.0),
)
def test_more_against_it_never_makes_a_loop_work(word, factor):
    number, unit = BARRIER[word].split()
    worse = {word: f"{float(number) * factor:.6g} {unit}"}
    before, after = (
        loop(device={"lift-off voltage": "9 V"}),
        loop(worse, device={"lift-off voltage": "9 V"}),
    )
    assert after.rules["lift-off"].limit <= before.rules["lift-off"].limit
    assert after.rules["lift-off"].verdict >= before.rules["lift-off"].verdict


def test_an_indicator_in_series_takes_its_volts():
    indicator = {"role": "indicator", "voltage drop": "2 V"}
    alone = loop(device={"lift-off voltage": "8 V"})
    both = loop(device={"lift-off voltage": "8 V"}, more=(indicator,))
    lost = alone.rules["lift-off"].limit - both.rules["lift-off"].limit
    assert lost == pytest.approx(2.0)
    assert both.verdict is Verdict.UNSAFE


def test_two_corners_of_a_battery():
    """21.6 to 28.8 V: too few volts at the one end, above the working voltage at the other."""
    found = loop(device={"lift-off voltage": "9 V"}, own={"supply voltage": "21.6 to 28.8 V"})
    assert found.rules["lift-off"].verdict is Verdict.UNSAFE
    assert found.rules["working voltage"].verdict is Verdict.UNSAFE
    assert dataclasses.replace(found).word == "fails"
