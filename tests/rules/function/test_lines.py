"""Detector loops, pick-ups and serial lines: worked by hand, and against the solver of physics."""

from __future__ import annotations

import math

import pytest

from rules.function.figures import columns, sides, verdict
from subspark.rules.function.detectors import DetectorLoop
from subspark.rules.function.lines import PickUp, Serial

LOOP, PICK_UP, SERIAL = "detector loop", "pick-up circuit", "serial line"


def loop(**more):
    """20 to 22 V behind 200 to 240 ohm, 4.7 kohm +-1 % at the end, 0.5 mA at rest, 20 ohm cable."""
    return columns(
        DetectorLoop,
        **{
            "open_voltage": (20.0, 22.0),
            "inner": (200.0, 240.0),
            "line": (0.0, 20.0),
            "end": (4653.0, 4747.0),
            "resting": (0.0, 0.0005),
            "alarm_R": (560.0, 600.0),
            "alarm_V": (5.0, 6.0),
            "need": 15.0,
            "on": 0.013,
            "off": 0.007,
            "broken": (0.001, 0.003),
            "shorted": (0.04, 0.05),
            **more,
        },
    )


def test_the_states_of_a_loop():
    # at rest, least: 20 / (260 + 4747) = 3.994 mA; most: 0.5 mA more drawn through 200 ohm:
    # 22 V - 0.1 V = 21.9 V, / 4853 = 4.513 mA, + 0.5 mA = 5.013 mA
    assert sides(LOOP, "no false break", loop())[1] == pytest.approx(3.9944e-3, rel=1e-4)
    assert sides(LOOP, "no false alarm", loop())[0] == pytest.approx(5.0127e-3, rel=1e-4)
    # alarm, least: node (20/260 + 6/600) / (1/260 + 1/4747 + 1/600) = 15.187 V;
    # (20 - 15.187) / 260 = 18.51 mA
    assert sides(LOOP, "alarm", loop())[1] == pytest.approx(18.51e-3, rel=1e-3)
    # alarm, most: node (22/200 - 0.5m + 5/560) / (1/200 + 1/4653 + 1/560) = 16.911 V; 25.44 mA
    assert sides(LOOP, "no false short", loop())[0] == pytest.approx(25.44e-3, rel=1e-3)
    # a short at the end: 20 / 260 = 76.9 mA
    assert sides(LOOP, "short told", loop())[1] == pytest.approx(76.92e-3, rel=1e-3)
    # volts at rest: (20 - 0.5m x 260) / (1 + 260/4653) = 18.82 V
    assert sides(LOOP, "detector voltage", loop())[1] == pytest.approx(18.82, abs=0.01)
    names = ("alarm", "no false alarm", "no false break", "break told", "no false short")
    assert {verdict(LOOP, one, loop()) for one in (*names, "short told")} == {"works"}


@pytest.mark.parametrize(
    ("name", "change"),
    [
        ("alarm", {"alarm_R": (900.0, 1200.0)}),
        ("alarm", {"alarm_V": (19.0, 19.5)}),
        ("no false alarm", {"end": (2700.0, 2800.0)}),
        ("no false break", {"end": (6500.0, 6800.0)}),
        ("break told", {"resting": (0.0, 0.0011)}),
        ("no false short", {"alarm_R": (220.0, 600.0)}),
        ("short told", {"line": (0.0, 200.0)}),
        ("detector voltage", {"need": 19.0}),
    ],
)
def test_what_spoils_a_loop(name, change):
    assert verdict(LOOP, name, loop(**change)) == "fails"


@pytest.mark.parametrize("name", ["alarm_R", "alarm_V", "resting", "end", "open_voltage"])
def test_an_unknown_figure_leaves_the_alarm_unproven(name):
    assert verdict(LOOP, "alarm", loop(**{name: math.nan})) == "unproven"


def test_leakage_hides_a_break():
    # 100 uA at 20 degC are 800 uA at 50 degC; with 0.5 mA at rest more than 1 mA
    hidden = loop(barrier=1.0, leakage=100e-6, hot=50.0, working=28.0)
    assert sides(LOOP, "break told", hidden)[0] == pytest.approx(1.3e-3)
    assert verdict(LOOP, "break told", hidden) == "fails"


def pick_up(**more):
    """100 mV of 1 kohm and 0.3 H into 10 kohm and 60 mV, through 2 x 50 ohm, 200 m of cable."""
    return columns(
        PickUp,
        **{
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
            "hot_air": 20.0,
            "cold": 20.0,
            "frequency": 2000.0,
            "line": 5.0,
            "C_line": 20e-9,
            **more,
        },
    )


def test_a_pick_up_is_divided_by_what_stands_before_the_input():
    # 0.1 V x 10000 / (10000 + 1105) = 90.05 mV; the coil at 120 degC has 1392.9 ohm
    assert sides(PICK_UP, "amplitude", pick_up())[1] == pytest.approx(0.09005, rel=1e-4)
    hot = sides(PICK_UP, "amplitude", pick_up(hot_air=120.0))[1]
    assert hot == pytest.approx(1000.0 / (10000.0 + 1000.0 * 354.5 / 254.5 + 105.0), rel=1e-4)
    assert verdict(PICK_UP, "amplitude", pick_up(threshold=0.0901)) == "fails"


def test_pulses_settle_through_cable_and_coil():
    # 1105 || 10000 = 995.0 ohm x 20 nF = 19.9 us; 0.3 H / 11105 ohm = 27.0 us; 5 x 46.9 = 234.6 us
    demand, limit = sides(PICK_UP, "pulse", pick_up())
    assert (demand, limit) == pytest.approx((234.6e-6, 250e-6), rel=1e-3)
    assert verdict(PICK_UP, "pulse", pick_up(frequency=2200.0)) == "fails"
    assert verdict(PICK_UP, "input rate", pick_up(rate=1999.0)) == "fails"


def test_a_barrier_clips_the_signal_of_a_fast_wheel():
    assert verdict(PICK_UP, "working voltage", pick_up(peak=9.1)) == "fails"
    # 9 V at 20 degC are 8.64 V at -20 degC (0.1 %/K, from memory)
    assert verdict(PICK_UP, "working voltage", pick_up(peak=8.7, cold=-20.0)) == "fails"


def serial(**more):
    """1.5 V at 54 ohm and above, 120 ohm at either end, 10 unit loads, 40 ohm in each leg."""
    return columns(
        Serial,
        **{
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
            "line": (0.0, 30.0),
            **more,
        },
    )


def test_differential_volts_after_leads_barriers_and_terminations():
    # far end: 120 || 1200 = 109.09 ohm; 1.5 V x 109.09 / (109.09 + 110) = 0.747 V
    assert sides(SERIAL, "volts at the device", serial())[1] == pytest.approx(0.7469, abs=1e-4)
    # near end: 120 || 12000 = 118.81 ohm; 1.5 x 118.81 / 228.81 = 0.779 V
    assert sides(SERIAL, "volts at the coupler", serial())[1] == pytest.approx(0.7789, abs=1e-4)
    # the coupler sees 118.81 || (109.09 + 80) = 72.97 ohm
    assert sides(SERIAL, "load of the coupler", serial())[1] == pytest.approx(72.97, abs=0.01)
    # the device sees 109.09 || (118.81 + 80) = 70.44 ohm
    assert sides(SERIAL, "load of the device", serial())[1] == pytest.approx(70.44, abs=0.01)


def test_two_terminations_of_120_ohm_leave_a_driver_its_load():
    # 118.81 || 115.38 ohm (4 unit loads) = 58.5 ohm; 90 ohm at the far end: 118.81 || 83.7 = 49.1
    assert verdict(SERIAL, "load of the coupler", serial(channel=0.0, loads=4.0)) == "works"
    assert verdict(SERIAL, "load of the coupler", serial(channel=0.0, far=90.0)) == "fails"


def test_no_more_than_32_unit_loads():
    assert verdict(SERIAL, "unit loads", serial(loads=31.0)) == "works"
    assert verdict(SERIAL, "unit loads", serial(loads=31.125)) == "fails"


@pytest.mark.parametrize("name", ["near", "far", "own_load", "loads", "channel"])
def test_an_unknown_end_is_no_open_end(name):
    assert verdict(SERIAL, "load of the device", serial(**{name: math.nan})) == "unproven"
