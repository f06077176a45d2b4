"""Loops that feed a device or drive one: published and hand-calculated figures, rule by rule.

"Handbook" marks the test vectors of the project's collection of the trade's rules: worked there
by program from Ohm's law and IEC 60228. The rest is worked by hand in the comments.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from rules.function.figures import Value, answer, columns, replaced, sides, verdict
from subspark.rules.bound import All
from subspark.rules.function.multidrop import Multidrop
from subspark.rules.function.powered import Powered
from subspark.rules.function.two_wire import TwoWire

TWO, MANY, SUPPLIED, DRIVEN = "two-wire loop", "multidrop loop", "powered circuit", "output loop"
FIRST_CABLE = 13.53
"""Ohms of 500 m of 1.5 mm2, class 2, at 50 degC (handbook)."""
SECOND_CABLE = 62.22
"""Ohms of 1000 m of 0.75 mm2, class 5, at 70 degC (handbook)."""
PER_METRE = 2 * 12.1e-3 * 284.5 / 254.5
"""Ohms of 1.5 mm2, class 2, at 50 degC (IEC 60228), both cores [ohm/m]."""
UNKNOWN = math.nan

BARRIER: dict[str, Value] = {
    "barrier": 1.0,
    "supply": 24.0,
    "end_to_end": 340.0,
    "least": 340.0,
    "back": 25.0,
    "back_drop": 0.9,
    "two_channel": 1.0,
    "load": 250.0,
    "line": FIRST_CABLE,
    "regulated": math.inf,
    "limit": UNKNOWN,
    "hot": 20.0,
    "cold": 20.0,
}
SIGNAL: dict[str, Value] = {
    "I_low": 3.6e-3,
    "I_high": 22e-3,
    "low_alarm": 3.6e-3,
    "high_alarm": 21e-3,
    "need": [(math.inf, 10.5)],
    "most_ohms": 1100.0,
}


def two_wire(**more: Value) -> TwoWire:
    return columns(TwoWire, **{**BARRIER, **SIGNAL, **more})


def isolator(**more: Value) -> TwoWire:
    """Handbook: curve 22.5 V open, 16 V at 20 mA, 15.3 V at 22 mA."""
    curve = [(0.0, 22.5), (0.020, 16.0), (0.022, 15.3)]
    figures = {**SIGNAL, "tabled": 1.0, "line": SECOND_CABLE, "regulated": math.inf}
    figures |= {"curve": curve, "need": [(math.inf, 12.0)], "limit": UNKNOWN, **more}
    return columns(TwoWire, **figures)


def volts_at(rule: str, kind: str, c: object, current: float) -> float:
    """What is left at a tested current."""
    bound = answer(kind, rule, c)
    assert not isinstance(bound, All)
    assert bound.at is not None
    rows = [k for k in range(len(bound.at)) if math.isclose(float(bound.at[k, 0]), current)]
    return float(bound.limit[rows[0], 0])


# --- two wires ------------------------------------------------------------------------------------


def test_volts_left_by_a_barrier():
    """Handbook: 24 - 0.9 - 0.022 x (340 + 25 + 13.53 + 250) = 9.27 V; 10.53 V at 20 mA."""
    assert volts_at("lift-off", TWO, two_wire(), 22e-3) == pytest.approx(9.27, abs=5e-3)
    at_20 = two_wire(need=[(0.0, 10.5), (0.020, 10.5), (0.025, 10.5)])
    assert volts_at("lift-off", TWO, at_20, 20e-3) == pytest.approx(10.53, abs=5e-3)


@pytest.mark.parametrize(
    ("lift_off", "margin", "said"),
    [(10.5, 0.0, "fails"), (8.5, 0.5, "works"), (9.0, 0.5, "fails"), (9.0, 0.0, "works")],
)
def test_lift_off_with_and_without_a_margin(lift_off, margin, said):
    """Handbook, the same loop: the margin is an input, and none by default."""
    c = two_wire(need=[(math.inf, lift_off)], margin=margin)
    assert verdict(TWO, "lift-off", c) == said


def test_volts_left_by_an_isolator():
    """Handbook: 15.3 - 0.022 x 62.22 = 13.93 V; at 23 mA nothing is known."""
    assert volts_at("lift-off", TWO, isolator(), 22e-3) == pytest.approx(13.93, abs=5e-3)
    assert verdict(TWO, "lift-off", isolator()) == "works"
    assert verdict(TWO, "lift-off", isolator(I_high=23e-3)) == "unproven"
    assert verdict(TWO, "current limit", isolator(I_high=23e-3)) == "unproven"
    assert verdict(TWO, "current limit", isolator(I_high=23e-3, limit=22.9e-3)) == "fails"


def test_loop_resistance_that_an_isolator_allows():
    """Handbook: (15.3 - 12) / 0.022 = 150 ohm at 22 mA."""
    assert verdict(TWO, "lift-off", isolator(line=150.0)) == "works"
    assert verdict(TWO, "lift-off", isolator(line=150.1)) == "fails"


def test_a_fault_between_the_ends_of_the_signal_is_found():
    """Correction to the handbook: 16 V up to 11 mA, 10.5 V from there on.

    24 - 0.011 x (300 + 460) = 15.64 V at 11 mA; 23.1 - ... at the ends there is enough.
    """
    step = [(3.6e-3, 16.0), (11e-3, 16.0), (11e-3, 10.5), (22e-3, 7.0)]
    c = two_wire(end_to_end=300.0, back=0.0, back_drop=0.0, load=250.0, line=210.0, need=step)
    bound = answer(TWO, "lift-off", c)
    left = {float(at[0]): (float(d[0]), float(x[0])) for at, d, x in zip(
        bound.at, bound.demand, bound.limit, strict=True) if at[0] > 0.0}  # fmt: skip
    assert left[3.6e-3] == pytest.approx((16.0, 21.264))
    assert left[22e-3] == pytest.approx((7.0, 7.28))
    assert left[11e-3] == pytest.approx((16.0, 15.64))
    assert verdict(TWO, "lift-off", c) == "fails"


def test_a_step_counts_against_us_in_either_direction():
    """At 11 mA 15.64 V are left: a need that rises there to 16 V is not met."""
    figures = {"end_to_end": 300.0, "back": 0.0, "back_drop": 0.0, "line": 210.0}
    rising = [(3.6e-3, 10.0), (11e-3, 10.0), (11e-3, 16.0), (22e-3, 7.0)]
    assert verdict(TWO, "lift-off", two_wire(need=rising, **figures)) == "fails"


def test_need_is_not_extrapolated():
    """Lift-off told from 4 mA on says nothing of the low alarm."""
    c = two_wire(need=[(4e-3, 8.0), (23e-3, 8.0)])
    assert verdict(TWO, "lift-off", c) == "unproven"


def test_peak_of_hart():
    """24 - 0.9 - 0.0225 x 628.53 = 8.96 V: 9.0 V works without the peak and not with it."""
    nine = [(math.inf, 9.0)]
    assert verdict(TWO, "lift-off", two_wire(need=nine, hart=0.0)) == "works"
    assert verdict(TWO, "lift-off", two_wire(need=nine, hart=1.0)) == "fails"
    assert verdict(TWO, "lift-off", two_wire(need=nine, hart=UNKNOWN)) == "unproven"
    assert verdict(TWO, "lift-off", two_wire(need=[(math.inf, 8.9)], hart=UNKNOWN)) == "works"
    assert verdict(TWO, "lift-off", two_wire(need=[(math.inf, 9.4)], hart=UNKNOWN)) == "fails"


def test_peak_of_hart_meets_the_last_point_of_a_table():
    """22 mA and 0.5 mA are 22.5 mA as printed, not a hair beyond it."""
    curve = [(0.0, 22.5), (22.5e-3, 15.0)]
    assert verdict(TWO, "lift-off", isolator(curve=curve, hart=1.0, line=0.0)) == "works"


def test_most_volts_at_the_low_alarm():
    """26 - 0.0036 x (300 + 200 + 1) = 24.196 V with all ends for it; 30 V by its ohms alone."""
    c = two_wire(
        supply=(23.0, 26.0), end_to_end=(300.0, 340.0), load=(200.0, 250.0), line=(1.0, 14.0),
        back=0.0, back_drop=(0.0, 0.9), bearable=24.2, Uo=UNKNOWN, Io=UNKNOWN,
    )  # fmt: skip
    assert sides(TWO, "operating voltage", c)[0] == pytest.approx(24.1964, abs=1e-4)
    assert verdict(TWO, "operating voltage", c) == "works"
    assert verdict(TWO, "operating voltage", replaced(c, bearable=24.19)) == "fails"


def test_uo_shows_that_too_many_volts_cannot_come_and_never_that_they_do():
    """An isolator that tells its least volts only; Uo 28 V."""
    c = isolator(Uo=28.0, Io=UNKNOWN, linear=0.0, bearable=30.0)
    blind = c.__class__(**{**_held(c), "curve": c.curve._replace(high=c.curve.high * np.nan)})
    assert verdict(TWO, "operating voltage", blind) == "works"
    assert verdict(TWO, "operating voltage", replaced(blind, bearable=27.0)) == "unproven"


def _held(c: object) -> dict[str, object]:
    return {name: getattr(c, name) for name in columns(TwoWire).__dataclass_fields__}


def test_start_current_counts_where_it_is_higher():
    """24 - 0.9 - 0.025 x 628.53 = 7.39 V."""
    eight = [(math.inf, 8.0)]
    assert verdict(TWO, "lift-off", two_wire(need=eight)) == "works"
    assert verdict(TWO, "lift-off", two_wire(need=eight, I_start=25e-3)) == "fails"


def test_battery():
    """21.6 to 28.8 V: low for the transmitter, high for a barrier of 28 V."""
    c = two_wire(supply=(21.6, 28.8), need=[(math.inf, 6.9)], working=28.0)
    assert verdict(TWO, "lift-off", c) == "fails"  # 21.6 - 0.9 - 13.83 = 6.87 V
    assert verdict(TWO, "working voltage", c) == "fails"


# --- by certificate -------------------------------------------------------------------------------


def test_safety_data_alone_prove_that_it_cannot_work():
    """Linear, 28 V and 93 mA: 28 - 0.022 x 301.08 = 21.38 V is the most that it can get."""
    blank = dict.fromkeys(("supply", "end_to_end", "load", "line"), UNKNOWN)
    c = two_wire(**blank, Uo=28.0, Io=93e-3, linear=1.0, need=[(math.inf, 21.4)])
    assert verdict(TWO, "lift-off", c) == "unproven"
    assert verdict(TWO, "volts by certificate", c) == "fails"
    c = two_wire(**blank, Uo=28.0, Io=93e-3, linear=1.0, need=[(math.inf, 21.3)])
    assert verdict(TWO, "volts by certificate", c) == "not asked"


def test_only_a_linear_source_has_sure_ohms():
    c = two_wire(Uo=28.0, Io=93e-3, linear=0.0, line=0.0, need=[(math.inf, 21.4)])
    assert verdict(TWO, "volts by certificate", c) == "not asked"
    c = two_wire(Uo=28.0, Io=93e-3, linear=0.0, line=0.0, need=[(math.inf, 28.1)])
    assert verdict(TWO, "volts by certificate", c) == "fails"
    c = two_wire(Uo=28.0, Io=21e-3, linear=0.0, line=0.0, need=[(math.inf, 12.0)])
    assert verdict(TWO, "volts by certificate", c) == "fails"  # 22 mA cannot flow at all


def test_the_sure_ohms_of_the_cable_count():
    """28 - 0.022 x (301.08 + 100) = 19.18 V."""
    figures = {"Uo": 28.0, "Io": 93e-3, "linear": 1.0, "line": (100.0, 120.0)}
    need = [(math.inf, 19.2)]
    assert verdict(TWO, "volts by certificate", two_wire(need=need, **figures)) == "fails"


# --- barrier, fuse and card -----------------------------------------------------------------------


def test_terminal_of_the_return_channel():
    """Correction to the handbook: 0.9 + 0.022 x (25 + 250) = 6.95 V, not 5.5 V."""
    c = two_wire(in_return=1.0, return_working=7.0)
    assert sides(TWO, "return channel", c)[0] == pytest.approx(6.95)
    assert verdict(TWO, "return channel", c) == "works"
    assert verdict(TWO, "return channel", replaced(c, return_working=6.9)) == "fails"
    assert verdict(TWO, "return channel", two_wire(in_return=0.0)) == "not asked"


def test_common_rail_lifts_the_return_and_costs_volts():
    """2 ohm and 1.5 A of others: 3 V and 0.044 V more at the terminal, as many fewer left."""
    c = two_wire(in_return=1.0, common=2.0, others=1.5, return_working=9.0)
    assert sides(TWO, "return channel", c)[0] == pytest.approx(6.95 + 3.044)
    assert volts_at("lift-off", TWO, c, 22e-3) == pytest.approx(9.2723 - 3.044, abs=1e-3)


def test_common_rail_shifts_the_reading():
    """10 mohm x 0.5 A = 5 mV of 250 ohm x 16 mA = 4 V: 0.125 %."""
    c = two_wire(in_return=1.0, common=0.010, others=0.5, budget=0.0013)
    assert sides(TWO, "return rail", c)[0] == pytest.approx(0.00125)
    assert verdict(TWO, "return rail", c) == "works"
    assert verdict(TWO, "return rail", replaced(c, budget=0.001)) == "fails"
    assert verdict(TWO, "return rail", two_wire(in_return=1.0)) == "not asked"


def test_core_to_earth():
    """Correction to the handbook: 26 V / 305 ohm = 85 mA; a load before the barrier limits it."""
    figures = {"supply": 26.0, "least": 305.0, "fuse": 80e-3}
    c = two_wire(in_return=1.0, **figures)
    assert sides(TWO, "barrier fuse", c)[0] == pytest.approx(85.2e-3, abs=5e-5)
    assert verdict(TWO, "barrier fuse", c) == "fails"
    before = two_wire(in_return=0.0, **figures)  # 26 / 555 = 46.8 mA
    assert sides(TWO, "barrier fuse", before)[0] == pytest.approx(46.8e-3, abs=5e-5)
    assert verdict(TWO, "barrier fuse", two_wire(in_return=UNKNOWN, **figures)) == "unproven"


def test_volts_on_the_card_at_a_short():
    """Correction to the handbook: 26 V, 305 + 22 + 250 ohm: 45 mA, 11.3 V on the card."""
    c = two_wire(in_return=1.0, supply=26.0, least=305.0, back=22.0, back_drop=0.0, card=11.3)
    assert sides(TWO, "input card", c)[0] == pytest.approx(11.27, abs=5e-3)
    assert verdict(TWO, "input card", c) == "works"
    assert verdict(TWO, "input card", replaced(c, card=10.0)) == "fails"
    before = two_wire(in_return=0.0, supply=26.0, least=305.0, card=11.3)
    assert sides(TWO, "input card", before)[0] == pytest.approx(26.0 * 250 / 555)


def test_knee_cold_and_leakage_hot_are_two_corners():
    """28 V at -20 degC is 26.88 V; 10 uA at 60 degC are 160 uA, 1 % of 16 mA (from memory)."""
    c = two_wire(supply=27.0, working=28.0, cold=-20.0, hot=60.0, leakage=10e-6, budget=0.01)
    assert sides(TWO, "working voltage", c) == pytest.approx((27.0, 26.88))
    assert verdict(TWO, "working voltage", c) == "fails"
    assert verdict(TWO, "working voltage", two_wire(supply=27.0, working=28.0)) == "works"
    assert sides(TWO, "accuracy", c) == pytest.approx((0.01, 0.01))
    assert verdict(TWO, "accuracy", c) == "works"
    assert verdict(TWO, "accuracy", two_wire(leakage=161e-6, budget=0.01)) == "fails"


def test_supply_above_the_printed_working_voltage_fails_whatever_the_cold():
    c = two_wire(supply=28.1, working=28.0, cold=UNKNOWN)
    assert verdict(TWO, "working voltage", c) == "fails"
    c = two_wire(supply=27.9, working=28.0, cold=UNKNOWN)
    assert verdict(TWO, "working voltage", c) == "unproven"


def test_leakage_lifts_the_low_alarm_before_a_load_in_the_supply_leg():
    """Correction to the handbook: 3.60 + 0.01 mA is no low alarm any more; NAMUR NE 43."""
    assert verdict(TWO, "low alarm", two_wire(leakage=10e-6, in_return=0.0)) == "fails"
    assert verdict(TWO, "low alarm", two_wire(leakage=10e-6, in_return=1.0)) == "works"
    assert verdict(TWO, "low alarm", two_wire(leakage=10e-6, in_return=UNKNOWN)) == "unproven"
    assert verdict(TWO, "low alarm", two_wire(leakage=0.0, in_return=0.0)) == "works"
    assert verdict(TWO, "low alarm", two_wire(leakage=10e-6, I_low=3.59e-3)) == "works"


def test_between_measurement_and_alarm_is_neither():
    """NAMUR NE 43: up to 3.6 mA and from 21 mA alarm, 3.8 to 20.5 mA measurement (from memory)."""
    assert verdict(TWO, "low alarm", two_wire(I_low=3.7e-3)) == "fails"
    assert verdict(TWO, "low alarm", two_wire(I_low=3.8e-3)) == "not asked"
    assert verdict(TWO, "high alarm", two_wire(I_high=20.8e-3)) == "fails"
    assert verdict(TWO, "high alarm", two_wire(I_high=20.5e-3)) == "not asked"
    assert verdict(TWO, "high alarm", two_wire(I_high=21e-3)) == "works"


def test_leakage_of_the_return_channel_takes_from_the_high_alarm():
    c = two_wire(I_high=21e-3, return_leakage=10e-6, in_return=1.0)
    assert verdict(TWO, "high alarm", c) == "fails"


def test_regulated_barrier():
    """min(30 - 0.5, 26) - 0.022 x (300 + 250) = 13.9 V; in the supply leg 24 - 5.55 - 0.5 - 6.6."""
    figures = {
        "end_to_end": 300.0, "drop": [(math.inf, 0.5)], "regulated": 26.0, "back": 0.0,
        "back_drop": 0.0, "line": 0.0, "own": 2e-3, "need": [(math.inf, 11.0)],
    }  # fmt: skip
    c = two_wire(supply=30.0, in_return=1.0, **figures)
    assert volts_at("lift-off", TWO, c, 22e-3) == pytest.approx(13.9)
    c = two_wire(supply=24.0, in_return=0.0, **figures)
    assert volts_at("lift-off", TWO, c, 22e-3) == pytest.approx(24 - 0.024 * 250 - 0.5 - 6.6)
    # 2 mA for itself pass the load before it: 12.5 % of 16 mA
    assert sides(TWO, "accuracy", c)[0] == pytest.approx(0.125)
    # regulated below its knee: no working voltage is printed, none asked
    assert verdict(TWO, "working voltage", two_wire(working=UNKNOWN, **figures)) == "not asked"


def test_a_load_behind_no_return_channel_is_no_circuit():
    c = two_wire(two_channel=0.0, in_return=1.0, need=[(math.inf, 1.0)])
    assert verdict(TWO, "lift-off", c) == "unproven"


# --- the safe side of an isolator -----------------------------------------------------------------


def test_safe_side_load():
    """22 mA x 600 ohm = 13.2 V; 600 ohm at most, and 601 ohm is too much."""
    most = {"most_load": UNKNOWN, "compliance": 13.2}
    assert verdict(TWO, "safe-side load", isolator(load=600.0, **most)) == "works"
    assert verdict(TWO, "safe-side load", isolator(load=601.0, **most)) == "fails"
    most = {"most_load": 600.0, "compliance": UNKNOWN}
    assert verdict(TWO, "safe-side load", isolator(load=600.0, **most)) == "works"
    assert verdict(TWO, "safe-side load", isolator(load=601.0, **most)) == "fails"
    assert verdict(TWO, "safe-side load", isolator(load=0.0)) == "not asked"
    assert verdict(TWO, "safe-side load", two_wire()) == "not asked"


def test_accuracy_of_an_isolator_is_asked_where_a_budget_is():
    assert verdict(TWO, "accuracy", isolator(accuracy=0.001, budget=0.001)) == "works"
    assert verdict(TWO, "accuracy", isolator(accuracy=0.0011, budget=0.001)) == "fails"
    assert verdict(TWO, "accuracy", isolator(accuracy=UNKNOWN, budget=0.001)) == "unproven"
    assert verdict(TWO, "accuracy", isolator(accuracy=UNKNOWN, budget=UNKNOWN)) == "not asked"


# --- HART -----------------------------------------------------------------------------------------


def hart(**more: Value) -> TwoWire:
    figures = {"hart": 1.0, "passes": 1.0, "safe_modem": 1.0, "port": UNKNOWN, **more}
    return two_wire(**figures)


def test_ohms_across_the_modems_own_port():
    """Correction to the handbook: load 0, barrier 340 ohm, modem on the safe side: nothing."""
    assert verdict(TWO, "HART", hart(load=0.0)) == "fails"
    assert verdict(TWO, "HART", hart(load=0.0, safe_modem=0.0, field_modem=1.0)) == "works"
    assert verdict(TWO, "HART", hart(load=0.0, field_modem=1.0)) == "fails"
    assert verdict(TWO, "HART", hart(load=230.0)) == "works"
    assert verdict(TWO, "HART", hart(load=229.0)) == "fails"
    # where it stands is not told: enough on the safe side is enough anywhere
    assert verdict(TWO, "HART", hart(load=230.0, safe_modem=UNKNOWN)) == "works"
    assert verdict(TWO, "HART", hart(load=100.0, safe_modem=UNKNOWN)) == "unproven"
    assert verdict(TWO, "HART", hart(load=100.0, hart=0.0)) == "not asked"


def test_an_isolator_has_to_pass_hart():
    figures = {"hart": 1.0, "safe_modem": 1.0, "port": 250.0}
    assert verdict(TWO, "HART", isolator(passes=1.0, **figures)) == "works"
    assert verdict(TWO, "HART", isolator(passes=0.0, **figures)) == "fails"
    assert verdict(TWO, "HART", isolator(passes=UNKNOWN, **figures)) == "unproven"


def test_ohms_of_the_loop_at_most():
    """Common guides: 1100 ohm; the text of the specification: 600 ohm (from memory).

    340 + 25 + 250 + 13.53 = 628.53 ohm.
    """
    assert sides(TWO, "HART load", hart())[0] == pytest.approx(628.53)
    assert verdict(TWO, "HART load", hart()) == "works"
    assert verdict(TWO, "HART load", hart(most_ohms=600.0)) == "fails"


@pytest.mark.parametrize(
    ("ohms", "per_metre", "longest"),
    [
        # correction to the handbook: with the cable's own ohms 1405 m (1404.9), not 1633 m
        (250.0, 150e-12, 1404),
        # by hand: (590 + 0.02706 l)(15 nF + 200 pF l) = 65 us at 464.4 m, not 476 m
        (590.0, 200e-12, 464),
    ],
)
def test_length_by_time_constant(ohms, per_metre, longest):
    """5 nF of one device and 10 nF of the rest of the loop (handbook)."""
    said = []
    for metres in (longest, longest + 1):
        c = hart(
            end_to_end=ohms - 250.0, back=0.0, line=PER_METRE * metres,
            C_line=per_metre * metres, C_device=5e-9,
        )  # fmt: skip
        said.append(verdict(TWO, "HART time constant", c))
    assert said == ["works", "fails"]


# --- several on one pair --------------------------------------------------------------------------


def several(count: int = 4, **more: Value) -> Multidrop:
    """So many at 4 mA behind 24 V and 628.53 ohm, a diode of 0.9 V."""
    figures = {
        **BARRIER, "count": float(count), "I_own": 4e-3, "I_start": 4e-3,
        "I_all": count * 4e-3, "I_starts": count * 4e-3, "need": [(math.inf, 10.5)],
        "hart": 1.0, **more,
    }  # fmt: skip
    return columns(Multidrop, **figures)


def test_currents_of_all_meet_at_the_far_end():
    """23.1 - (0.016 + 0.0005) x 628.53 = 12.73 V for four, 10.22 V for five."""
    assert volts_at("lift-off", MANY, several(), 16.5e-3) == pytest.approx(12.729, abs=1e-3)
    assert verdict(MANY, "lift-off", several()) == "works"
    assert verdict(MANY, "lift-off", several(5)) == "fails"


def test_they_start_together():
    """Four at 6 mA: 23.1 - 0.024 x 628.53 = 8.02 V."""
    c = several(I_start=6e-3, I_starts=24e-3)
    assert volts_at("lift-off", MANY, c, 24e-3) == pytest.approx(8.015, abs=1e-3)
    assert verdict(MANY, "lift-off", c) == "fails"


@pytest.mark.parametrize(
    ("count", "said"), [(15, "works"), (16, "unproven"), (63, "unproven"), (64, "fails")]
)
def test_addresses(count, said):
    """HART: 15 up to revision 5, 63 from revision 6 on (from memory)."""
    assert verdict(MANY, "addresses", several(count)) == said


# --- supply wires of their own --------------------------------------------------------------------


def supplied(**more: Value) -> Powered:
    figures = {
        "open_voltage": 9.6, "inner": 0.0, "line": 16.1, "by_power": 1.0, "P": 0.54,
        "U_least": 8.5, "wires": 4.0, "limit": UNKNOWN, "regulated": math.inf, **more,
    }  # fmt: skip
    return columns(Powered, **figures)


def test_constant_power():
    """Correction to the handbook: 9.6 V, 0.54 W, 16.1 ohm: 8.59 V, not 8.69 V."""
    c = supplied()
    bound = answer(SUPPLIED, "supply volts", c)
    assert float(bound.limit[0, 0]) == pytest.approx(8.59, abs=5e-3)
    assert verdict(SUPPLIED, "supply volts", c) == "works"
    assert verdict(SUPPLIED, "supply volts", replaced(c, U_least=8.6)) == "fails"


def test_constant_power_at_its_very_limit():
    """Us = 9 + (0.54 / 9) x 10 = 9.6 V exactly."""
    c = supplied(line=10.0, U_least=9.0)
    assert verdict(SUPPLIED, "supply volts", c) == "works"
    assert verdict(SUPPLIED, "supply volts", replaced(c, open_voltage=9.5999)) == "fails"


def test_constant_power_by_a_table_of_the_source():
    """At 0.54 W / 9 V = 60 mA the table gives 9.6 V: 9.6 - 0.06 x 10 = 9 V."""
    curve = [(0.0, 12.0), (0.060, 9.6), (0.1, 6.0)]
    figures = {"tabled": 1.0, "curve": curve, "line": 10.0}
    assert verdict(SUPPLIED, "supply volts", supplied(U_least=9.0, **figures)) == "works"
    assert verdict(SUPPLIED, "supply volts", supplied(U_least=9.01, **figures)) == "fails"


def test_a_supply_that_collapses_fails():
    """9.6^2 / (4 x 0.54) = 42.67 ohm at most; with 42 ohm (9.6 + 1.2) / 2 = 5.4 V are left."""
    assert verdict(SUPPLIED, "supply volts", supplied(line=42.0, U_least=5.4)) == "works"
    assert verdict(SUPPLIED, "supply volts", supplied(line=42.0, U_least=5.41)) == "fails"
    assert verdict(SUPPLIED, "supply volts", supplied(line=43.0, U_least=1.0)) == "fails"


def test_below_half_the_supply_it_may_hang_as_it_starts():
    """At 3 V it draws 0.18 A: 9.6 - 0.18 x 40 = 2.4 V, though 7 V and 77 mA would hold."""
    assert verdict(SUPPLIED, "supply volts", supplied(line=40.0, U_least=3.0)) == "unproven"


def by_current(**more: Value) -> Powered:
    """24 V, 100 mA, three cores of 10 ohm each."""
    figures = {"open_voltage": 24.0, "by_power": 0.0, "I_run": 0.1, "P": UNKNOWN, "line": 20.0}
    return supplied(**{**figures, "wires": 3.0, "sort": 1.0, **more})


def test_signal_current_in_the_shared_core_costs_volts():
    """24 - 0.1 x 20 - 0.022 x 10 = 21.78 V by three wires, 22 V by four."""
    three = by_current(I_signal=0.022, U_least=21.9)
    assert verdict(SUPPLIED, "supply volts", three) == "fails"
    assert verdict(SUPPLIED, "supply volts", replaced(three, U_least=21.78)) == "works"
    four = by_current(I_signal=0.022, U_least=22.0, wires=4.0)
    assert verdict(SUPPLIED, "supply volts", four) == "works"
    blank = by_current(I_signal=0.022, U_least=20.0, wires=UNKNOWN)
    assert verdict(SUPPLIED, "supply volts", blank) == "unproven"


def test_supply_current_shifts_a_voltage_signal():
    """0.1 A x 10 ohm = 1 V of 1 to 5 V: 25 %."""
    c = by_current(sort=2.0, signal=(1.0, 5.0), budget=0.01)
    assert sides(SUPPLIED, "common lead", c)[0] == pytest.approx(0.25)
    assert verdict(SUPPLIED, "common lead", c) == "fails"
    four = by_current(sort=2.0, signal=(1.0, 5.0), budget=0.01, wires=4.0)
    assert verdict(SUPPLIED, "common lead", four) == "not asked"


def test_load_of_a_current_signal():
    """250 + 10 + 10 + 0.1 x 10 / 0.022 = 315.5 ohm by three wires; 250 + 20 by four."""
    c = by_current(signal_load=250.0, I_signal=0.022, most_signal=315.0)
    assert sides(SUPPLIED, "signal load", c)[0] == pytest.approx(315.45, abs=0.01)
    assert verdict(SUPPLIED, "signal load", c) == "fails"
    four = by_current(signal_load=250.0, I_signal=0.022, most_signal=270.0, wires=4.0)
    assert verdict(SUPPLIED, "signal load", four) == "works"


def test_start_and_charge_against_the_limit():
    """100 mA at work and 30 mA to charge need 130 mA, though 120 mA would start it."""
    figures = {"charge": 0.03, "I_start": 0.12, "I_signal": 0.022, "U_least": 15.0}
    assert verdict(SUPPLIED, "current limit", by_current(limit=0.13, **figures)) == "works"
    assert verdict(SUPPLIED, "current limit", by_current(limit=0.129, **figures)) == "fails"
    assert verdict(SUPPLIED, "supply volts", by_current(**{**figures, "U_least": 21.2})) == "fails"


def test_a_powered_device_sees_the_open_circuit_before_it_starts():
    c = by_current(open_voltage=(22.0, 26.0), bearable=25.9, Uo=UNKNOWN)
    assert verdict(SUPPLIED, "operating voltage", c) == "fails"
    assert verdict(SUPPLIED, "operating voltage", replaced(c, bearable=26.0)) == "works"
