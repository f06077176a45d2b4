"""Outputs, powered transmitters and several devices on a pair, from the model to the verdict.

Expected values follow from Ohm's law and U = (Us + sqrt(Us^2 - 4 P R)) / 2, by hand; conductor
ohms by IEC 60228:2004 Table 2 (from memory).
"""

from __future__ import annotations

import math

import pytest

from assess.function.circuits import Asked, judge
from subspark.rules import Verdict

METRE = 2 * 12.1e-3 * (234.5 + 50) / 254.5
AIR, CABINET = "-20 to 50 °C", "20 to 20 °C"

BARRIER = {
    "role": "shunt-diode barrier",
    "end-to-end resistance": "150 ohm",
    "return voltage drop": "0.9 V",
    "return resistance": "0 ohm",
    "working voltage": "26 V",
    "highest supply": "30 V",
    "leakage current": "0 mA",
    "fuse current": "50 mA",
}
POSITIONER = {
    "role": "positioner",
    "lift-off voltage": "9.5 V",
    "low alarm current": "3.6 mA",
    "high alarm current": "22 mA",
    "alive current": "3.6 mA",
    "highest operating voltage": "30 V",
    "HART": "no",
}
OUTPUT = {
    "load compliance": "16 V",
    "open-circuit voltage": "24 V",
    "high alarm current": "22 mA",
    "low alarm current": "3.6 mA",
    "error budget share": "0.1 %",
    "lowest load": "0 ohm",
}


def test_a_positioner_behind_a_barrier_needs_fourteen_volts():
    """9.5 + 0.9 + 0.022 x (150 + 13.53) = 14.00 V."""
    found = judge(Asked(BARRIER, (POSITIONER,), OUTPUT, "500 m", AIR, CABINET))
    assert found.kind == "output loop"
    needed = 9.5 + 0.9 + 0.022 * (150 + 500 * METRE)
    assert found.rules["working voltage"].demand == pytest.approx(needed)
    assert f"{needed:.2f}" == "14.00"
    assert found.rules["compliance"].verdict is Verdict.SAFE
    weak = judge(
        Asked(
            BARRIER, (POSITIONER,), {**OUTPUT, "load compliance": "13.9 V"}, "500 m", AIR, CABINET
        )
    )
    assert weak.rules["compliance"].verdict is Verdict.UNSAFE


def test_an_output_whose_open_volts_the_barrier_does_not_bear():
    own = {**OUTPUT, "open-circuit voltage": "31 V"}
    found = judge(Asked(BARRIER, (POSITIONER,), own, "500 m", AIR, CABINET))
    assert found.rules["open-circuit voltage"].verdict is Verdict.UNSAFE


POWERED = {
    "role": "powered transmitter",
    "power": "0.54 W",
    "lowest supply voltage": "8 V",
    "highest operating voltage": "32 V",
    "wires": "4",
    "HART": "no",
}
SUPPLY = {
    "role": "repeater supply",
    "open-circuit voltage": "9.6 V",
    "internal resistance": "16.1 ohm",
    "current limit": "100 mA",
    "accuracy": "0 %",
}


def test_a_load_of_constant_power_takes_more_volts_than_one_of_constant_current():
    """9.6 V, 0.54 W, 16.1 ohm: 8.59 V, where a constant current would leave 8.69 V."""
    found = judge(Asked(SUPPLY, (POWERED,), {"error budget share": "0.1 %"}, "0 m", AIR, CABINET))
    left = (9.6 + math.sqrt(9.6**2 - 4 * 0.54 * 16.1)) / 2
    assert found.rules["supply volts"].limit == pytest.approx(left)
    assert f"{left:.2f}" == "8.59"
    assert found.verdict is Verdict.SAFE


def test_a_load_of_more_power_than_the_line_can_bring_does_not_work():
    """Us^2 / 4 R = 1.43 W is the most that reaches it."""
    found = judge(
        Asked(SUPPLY, ({**POWERED, "power": "1.5 W"},), {"error budget share": "0.1 %"}, "0 m", AIR)
    )
    assert found.verdict is not Verdict.SAFE


def test_three_devices_on_one_pair():
    """3 x 4 mA and the 0.5 mA of HART: 22 - 0.0125 x (270 + 13.53) = 18.46 V."""
    device = {
        "role": "two-wire transmitter",
        "fixed current": "4 mA",
        "start current": "4 mA",
        "lift-off voltage": "10 V",
        "highest operating voltage": "30 V",
        "HART": "yes",
        "input capacitance": "5 nF",
    }
    source = {
        "role": "repeater supply",
        "open-circuit voltage": "22 V",
        "internal resistance": "270 ohm",
        "current limit": "25 mA",
        "HART": "yes",
        "HART resistance": "270 ohm",
        "load compliance": "14 V",
        "accuracy": "0 %",
    }
    own = {"HART": "yes", "load resistance": "250 ohm"}
    found = judge(Asked(source, (device,) * 3, own, "500 m", AIR, CABINET))
    assert found.kind == "multidrop loop"
    assert found.rules["lift-off"].limit == pytest.approx(22 - 0.0125 * (270 + 500 * METRE))
    assert found.verdict is Verdict.SAFE
    many = judge(Asked(source, (device,) * 7, own, "500 m", AIR, CABINET))
    assert many.rules["current limit"].verdict is Verdict.UNSAFE  # 28.5 mA of 25 mA
