"""Switch circuits at the levels of IEC 60947-5-6 (from memory), worked by hand beside each.

Vectors "4.13" are those of the functional part of a trade handbook; the high corner is taken
with the 550 ohm that the standard's band permits.
"""

from __future__ import annotations

import math

import pytest

from rules.function.figures import columns, sides, verdict
from subspark.rules.function.switching import Switching

KIND = "switch circuit"
STANDARD = {
    "on": 2.1e-3,
    "off": 1.2e-3,
    "broken": (0.05e-3, 0.35e-3),
    "short": (100.0, 360.0),
    "monitored": 1.0,
    "rate": math.inf,
}


def contact(U, R, Rs, Rp, lead=0.0, **more):
    """Series resistor before contact and parallel resistor."""
    return columns(
        Switching,
        **{
            **STANDARD,
            "open_voltage": U,
            "inner": R,
            "on_R": Rs,
            "off_R": Rs + Rp,
            "contact_R": Rs,
            "line": lead,
            **more,
        },
    )


@pytest.mark.parametrize(
    ("case", "closed", "opened"),
    [
        # 4.13: 8.2/2000 and 8.2/12000
        (contact(8.2, 1000.0, 1000.0, 10000.0), "4.10", "0.68"),
        # 4.13: 7.7/2250 and 7.7/12750
        (contact(7.7, 1100.0, 1050.0, 10500.0, 100.0), "3.42", "0.60"),
        # 4.13: 9/1850 and 9/11350
        (contact(9.0, 900.0, 950.0, 9500.0), "4.86", "0.79"),
        # the corner that the band permits: 9/1500, which is the 6 mA of old alarm figures
        (contact(9.0, 550.0, 950.0, 9500.0), "6.00", "0.82"),
    ],
)
def test_currents_of_a_contact_with_resistors(case, closed, opened):
    assert f"{1e3 * sides(KIND, 'on', case)[1]:.2f}" == closed
    assert f"{1e3 * sides(KIND, 'off', case)[0]:.2f}" == opened


def test_six_milliamperes_are_no_alarm_where_the_ohms_are_enough():
    # Seen are 950 ohm; an alarm is told below 360 ohm at the highest.
    assert verdict(KIND, "false short", contact(9.0, 550.0, 950.0, 9500.0)) == "works"
    assert verdict(KIND, "false short", contact(9.0, 550.0, 360.0, 9500.0)) == "works"
    assert verdict(KIND, "false short", contact(9.0, 550.0, 359.9, 9500.0)) == "fails"


def test_a_short_at_the_contact_is_told_only_through_few_ohms():
    # At 8.2 V behind 1 kohm 100 ohm draw 7.45 mA and 350 ohm draw 6.07 mA.
    through = contact(8.2, 1000.0, 1000.0, 10000.0, end_to_end=350.0, barrier=1.0, working=20.0)
    assert verdict(KIND, "short told", through) == "fails"
    assert verdict(KIND, "short told", contact(8.2, 1000.0, 1e3, 1e4, 100.0)) == "works"
    assert verdict(KIND, "short told", contact(8.2, 1000.0, 1e3, 1e4, 100.1)) == "fails"


def test_a_drop_of_volts_in_a_return_channel_counts_as_ohms_at_a_short():
    # (8.2 - 0.9) / (1000 + 50) = 6.952 mA: 0.9 V are 129.5 ohm, and 50 ohm beside
    shorted = contact(8.2, 1000.0, 1e3, 1e4, 0.0, end_to_end=50.0, drop=0.9, barrier=1.0)
    assert sides(KIND, "short told", shorted)[0] == pytest.approx(179.45, abs=0.01)


def test_a_parallel_resistor_of_22_kohm_is_taken_for_a_break():
    # 8.2 / 24 kohm = 0.342 mA, below the 0.35 mA up to which a break may be told
    demand, limit = sides(KIND, "false break", contact(8.2, 1000.0, 1000.0, 22000.0))
    assert (demand, limit) == pytest.approx((0.35e-3, 0.3417e-3), rel=1e-3)
    assert verdict(KIND, "false break", contact(8.2, 1000.0, 1000.0, 22000.0)) == "fails"


@pytest.mark.parametrize(("Rp", "word"), [(18800.0, "works"), (18900.0, "fails")])
def test_the_largest_parallel_resistor_in_the_worst_corner_is_18_8_kohm(Rp, word):
    # 7.7 V / 0.35 mA = 22 kohm, less 1100, 100 and 1050 ohm: 19.75 kohm, which is 18.81 k + 5 %
    case = contact(7.7, 1100.0, 1050.0, 1.05 * Rp, 100.0)
    assert verdict(KIND, "false break", case) == word


def test_a_parallel_resistor_outside_draws_more():
    # 8.2 / (1000 + 909.1) = 4.295 mA; 8.2 / 11 kohm = 0.745 mA
    outside = columns(
        Switching,
        **STANDARD,
        open_voltage=8.2,
        inner=1000.0,
        on_R=1e7 / 11e3,
        off_R=10000.0,
        contact_R=1000.0,
        beside=0.1,
    )
    assert sides(KIND, "on", outside)[1] == pytest.approx(4.295e-3, rel=1e-3)
    assert sides(KIND, "off", outside)[0] == pytest.approx(0.745e-3, rel=1e-3)
    # of which the contact carries 10/11
    assert sides(KIND, "wetting", outside)[1] == pytest.approx(3.905e-3, rel=1e-3)


def test_a_bare_contact_wants_line_monitoring_off():
    bare = {"on_R": 0.0, "off_R": math.inf, "open_voltage": 8.2, "inner": 1000.0}
    watched = columns(Switching, **{**STANDARD, **bare})
    assert sides(KIND, "on", watched)[1] == pytest.approx(8.2e-3)
    assert verdict(KIND, "false short", watched) == "fails"
    assert verdict(KIND, "false break", watched) == "fails"
    plain = columns(Switching, **{**STANDARD, **bare, "monitored": 0.0})
    for name in ("false short", "false break", "break told", "short told"):
        assert verdict(KIND, name, plain) == "not asked"
    assert verdict(KIND, "on", plain) == verdict(KIND, "off", plain) == "works"


def test_whether_lines_are_monitored_must_be_said():
    unsaid = contact(8.2, 1000.0, 1000.0, 10000.0, monitored=math.nan)
    for name in ("false short", "false break", "short told"):
        assert verdict(KIND, name, unsaid) == "unproven"


@pytest.mark.parametrize(("I", "word"), [(2.1e-3, "works"), (2.0999e-3, "fails")])
def test_on_begins_exactly_at_its_threshold(I, word):  # noqa: E741 - the symbol of current
    assert verdict(KIND, "on", contact(8.2, 1000.0, 8.2 / I - 1000.0, 1e4)) == word


@pytest.mark.parametrize(("I", "word"), [(1.2e-3, "works"), (1.2001e-3, "fails")])
def test_off_ends_exactly_at_its_threshold(I, word):  # noqa: E741 - the symbol of current
    assert verdict(KIND, "off", contact(8.2, 1000.0, 0.0, 8.2 / I - 1000.0)) == word


def test_leakage_of_a_hot_barrier_adds_to_off():
    # 10 uA at 20 degC are 80 uA at 50 degC (doubles every 10 K, common practice, no source)
    hot = {"barrier": 1.0, "leakage": 10e-6, "hot": 50.0, "working": 20.0}
    demand, _ = sides(KIND, "off", contact(8.2, 1000.0, 1000.0, 10000.0, **hot))
    assert demand == pytest.approx(8.2 / 12000.0 + 80e-6)
    told = contact(8.2, 1000.0, 1000.0, 10000.0, **hot)
    assert verdict(KIND, "break told", told) == "fails"  # 80 uA against 50 uA


def test_pulses_settle_in_half_a_period():
    # 1000 ohm and 100 nF: 5 x 0.1 ms = 0.5 ms, half a period of 1 kHz
    pulsing = {"C_line": 100e-9, "frequency": 1000.0}
    assert verdict(KIND, "pulse", contact(8.2, 1000.0, 1e3, 1e4, **pulsing)) == "works"
    pulsing["frequency"] = 1001.0
    assert verdict(KIND, "pulse", contact(8.2, 1000.0, 1e3, 1e4, **pulsing)) == "fails"
    assert verdict(KIND, "pulse", contact(8.2, 1000.0, 1e3, 1e4, C_line=math.nan)) == "not asked"


def test_a_barrier_conducts_earlier_when_cold():
    # 9.2 V at 20 degC are 8.83 V at -20 degC (0.1 %/K, from memory)
    cold = {"barrier": 1.0, "working": 9.2, "cold": -20.0}
    assert verdict(KIND, "working voltage", contact((7.7, 9.0), 1e3, 1e3, 1e4, **cold)) == "fails"
    cold["cold"] = 20.0
    assert verdict(KIND, "working voltage", contact((7.7, 9.0), 1e3, 1e3, 1e4, **cold)) == "works"
