"""Lamps, sounders and beacons: worked by hand; 2 mV/K a junction (handbooks, from memory)."""

from __future__ import annotations

import math

import pytest

from rules.function.figures import columns, sides, verdict
from subspark.rules.function.lamps import Lamp, Sounder

LAMP, SOUNDER = "lamp circuit", "sounder circuit"
OFF = (-math.inf, -math.inf)
DRIVER = {"open_voltage": 16.0, "inner": (300.0, 320.0), "limit": 0.03, "line": (0.0, 10.0)}


def lamp(**more):
    """Three junctions, 6 V to 6.3 V from 1 mA to 20 mA, 100 ohm before them."""
    return columns(
        Lamp,
        **{
            **DRIVER,
            "forward": [(0.001, 6.0), (0.02, 6.38)],
            "junctions": 3.0,
            "series": 100.0,
            "visible": 0.02,
            "glow": 0.001,
            "hot_air": 60.0,
            "cold_air": -30.0,
            "off_volts": 0.0,
            "monitoring": OFF,
            **more,
        },
    )


def test_a_cold_lamp_needs_more_volts():
    # 6.38 V + 3 x 2 mV/K x 50 K = 6.68 V; left are 16 - 20 mA x (320 + 10 + 100) = 7.4 V
    assert sides(LAMP, "visible", lamp()) == pytest.approx((6.68, 7.4))
    assert verdict(LAMP, "visible", lamp(forward=[(0.001, 6.0), (0.02, 7.2)])) == "fails"
    # at 20 degC the same lamp is seen
    warm = lamp(forward=[(0.001, 6.0), (0.02, 7.2)], cold_air=20.0)
    assert verdict(LAMP, "visible", warm) == "works"


def test_nothing_is_told_beyond_the_points_of_the_lamp():
    assert verdict(LAMP, "visible", lamp(visible=0.021)) == "unproven"


def test_the_driver_must_give_the_current():
    assert verdict(LAMP, "current limit", lamp()) == "works"
    assert verdict(LAMP, "current limit", lamp(limit=0.0199)) == "fails"


def test_a_hot_lamp_glows_on_fewer_volts():
    # 6.0 V - 3 x 2 mV/K x 40 K = 5.76 V against 6.1 V - 1 mA x (300 + 100) = 5.7 V
    glowing = lamp(off_volts=6.1)
    assert sides(LAMP, "dark, by voltage", glowing) == pytest.approx((5.7, 5.76))
    assert verdict(LAMP, "dark, by voltage", glowing) == "works"
    assert verdict(LAMP, "dark, by voltage", lamp(off_volts=6.17)) == "fails"
    assert verdict(LAMP, "dark, by voltage", lamp(off_volts=6.17, hot_air=20.0)) == "works"


def test_monitoring_current_makes_a_lamp_glow():
    assert verdict(LAMP, "dark, by monitoring", lamp(monitoring=0.001)) == "works"
    assert verdict(LAMP, "dark, by monitoring", lamp(monitoring=0.0011)) == "fails"
    assert verdict(LAMP, "dark, by monitoring", lamp()) == "not asked"


def sounder(**more):
    figures = {"need": 10.0, "together": 0.018, "alive": 0.0005, "off_volts": 0.0}
    return columns(Sounder, **{**DRIVER, **figures, "monitoring": OFF, **more})


def test_sounders_are_left_their_volts_with_all_at_work():
    # 16 V - 18 mA x 330 ohm = 10.06 V
    assert sides(SOUNDER, "operating voltage", sounder())[1] == pytest.approx(10.06)
    assert verdict(SOUNDER, "operating voltage", sounder(together=0.0182)) == "fails"
    assert verdict(SOUNDER, "current limit", sounder(together=0.031)) == "fails"


def test_a_sounder_is_silent_on_little():
    # 0.3 V through 300 ohm at the least: 1 mA
    assert sides(SOUNDER, "silent", sounder(off_volts=0.3))[0] == pytest.approx(0.001)
    assert verdict(SOUNDER, "silent", sounder(off_volts=0.3)) == "fails"
    assert verdict(SOUNDER, "silent", sounder(off_volts=0.15)) == "works"
    # with no ohms that surely are there the current is not known
    assert verdict(SOUNDER, "silent", sounder(off_volts=0.3, inner=(0.0, 320.0))) == "unproven"
    assert verdict(SOUNDER, "silent", sounder()) == "not asked"
