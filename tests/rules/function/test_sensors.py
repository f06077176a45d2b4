"""Thermometers, thermocouples, bridges and probes: worked figures and hand calculation.

Figures called "worked" were computed outside by another program from the formulas of the trade.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from rules.function.figures import answer, columns, sides, verdict
from subspark.physics.thermometry import CURVES, THERMOCOUPLES, seebeck
from subspark.rules.bound import settle
from subspark.rules.function.bridges import Bridge
from subspark.rules.function.probes import Accelerometer, Probe
from subspark.rules.function.thermocouples import Thermocouple, least_seebeck
from subspark.rules.function.thermometers import Potentiometer, Thermometer, error_at

NAN = math.nan
K = float(THERMOCOUPLES.index("K"))


def kelvins(c, t):
    return float(error_at(c, np.array([t]))[0])


def rtd(**more):
    """Pt100 on three wires without a barrier, nothing in its way."""
    return columns(Thermometer, **{"wires": 3.0, "R0": 100.0, "excitation": 1e-3, **more})


# --- resistance thermometers ---------------------------------------------------------------------


def test_mismatches_on_three_wires():
    # worked: barrier 0.15 ohm and leads 0.05 ohm apart: 0.52 K with 0.385 ohm/K; at 0 degC the
    # slope is 0.39083 ohm/K: 0.512 K
    c = rtd(barrier=1.0, mismatch=0.15, lead=0.5, lead_mismatch=0.1)
    assert kelvins(c, 0.0) == pytest.approx(0.2 / 0.390830, rel=1e-5)
    assert kelvins(c, 0.0) * 0.39083 / 0.385 == pytest.approx(0.52, abs=0.005)


@pytest.mark.parametrize(
    ("t", "kelvin"), [(0.0, 0.51), (400.0, 0.58), (800.0, 0.67)]
)  # worked: the slope falls from 0.3908 to 0.3446 and 0.298 ohm/K
def test_the_slope_at_the_measured_temperature_counts(t, kelvin):
    assert kelvins(rtd(mismatch=0.2), t) == pytest.approx(kelvin, abs=0.005)


def test_the_difference_of_the_currents_acts_on_lead_and_barrier():
    # worked: 0.1 % of 50 ohm is 0.05 ohm, 0.13 K
    c = rtd(barrier=1.0, skew=0.001, lead=10.0, channel=40.0)
    assert kelvins(c, 0.0) == pytest.approx(0.13, abs=0.005)


def test_two_wires_read_both_legs():
    # worked: 100 m of 1.5 mm2, class 2, 50 degC: 2.7053 ohm, 7.03 K with 0.385 ohm/K
    core = 1.352652
    c = rtd(wires=2.0, lead=core, excitation=1e-3)
    assert kelvins(c, 0.0) * 0.39083 / 0.385 == pytest.approx(7.03, abs=0.005)
    # the instrument takes off 2.5 ohm: 0.2053 ohm are left; with a cold core of 1.0 ohm, 0.5 ohm
    assert kelvins(rtd(wires=2.0, lead=core, taken_off=2.5), 0.0) == pytest.approx(
        0.205304 / 0.39083, rel=1e-5
    )
    cold = rtd(wires=2.0, lead=(1.0, core), taken_off=2.5)
    assert kelvins(cold, 0.0) == pytest.approx(0.5 / 0.39083, rel=1e-5)


def test_a_bias_current_through_the_sensing_legs_of_four_wires():
    # 1 uA through 2 x 25 ohm against 1 mA: 0.05 ohm
    c = rtd(wires=4.0, lead=5.0, channel=20.0, bias=1e-6)
    assert kelvins(c, 0.0) == pytest.approx(0.05 / 0.39083, rel=1e-5)


def test_a_leakage_takes_its_share_of_the_current():
    # worked: 1 uA of 0.2 mA is 0.5 %: of 247.09 ohm at 400 degC 1.2355 ohm, over 0.34463 ohm/K;
    # at 40 degC the leakage is four times as large
    cool = rtd(wires=4.0, barrier=1.0, excitation=0.2e-3, leakage=1e-6, hot=20.0)
    assert kelvins(cool, 400.0) == pytest.approx(0.005 * 247.092 / 0.34463, rel=1e-4)
    warm = rtd(wires=4.0, barrier=1.0, excitation=0.2e-3, leakage=1e-6, hot=40.0)
    assert kelvins(warm, 400.0) == pytest.approx(4.0 * kelvins(cool, 400.0))
    without = rtd(wires=4.0, barrier=0.0, excitation=0.2e-3, leakage=1e-6, hot=40.0)
    assert kelvins(without, 400.0) == 0.0


@pytest.mark.parametrize("curve", range(len(CURVES)))
@pytest.mark.parametrize("leakage", [0.0, 1e-6, 20e-6])
def test_no_temperature_within_the_range_is_worse_than_its_ends(curve, leakage):
    low, high = (-60.0, 180.0) if CURVES[curve] == "Ni 6180" else (-200.0, 600.0)
    c = rtd(barrier=1.0, curve=float(curve), mismatch=0.3, leakage=leakage, hot=20.0)
    ends = max(kelvins(c, low), kelvins(c, high))
    within = [kelvins(c, t) for t in np.linspace(low, high, 400)]
    assert max(within) <= ends * (1.0 + 1e-12)


def test_the_range_of_the_curve_and_the_number_of_wires_must_be_known():
    c = {"mismatch": 0.1, "budget": 1.0}
    assert verdict("resistance thermometer", "lead error", rtd(hottest=100.0, **c)) == "works"
    for wrong in ({"hottest": 900.0}, {"wires": 6.0}, {"curve": NAN}, {"budget": NAN}):
        assert verdict("resistance thermometer", "lead error", rtd(**{**c, **wrong})) == "unproven"


def test_the_channel_of_the_barrier_counts_as_ohms_of_the_leg():
    # 5 ohm of core and 18 ohm of channel against 20 ohm
    c = rtd(barrier=1.0, lead=5.0, channel=18.0, leg_limit=20.0)
    assert sides("resistance thermometer", "ohms per leg", c) == (23.0, 20.0)


def test_the_common_leg_of_three_wires_carries_both_currents():
    # 1 mA: 247.09 ohm at 400 degC and three legs of 25 ohm: 0.32209 V; on four wires two legs
    more = {"hottest": 400.0, "lead": 5.0, "channel": 20.0, "volts": 0.32, "working": 1.0}
    for wires, says in ((3.0, "fails"), (4.0, "works")):
        c = rtd(wires=wires, cold=20.0, barrier=1.0, **more)
        assert verdict("resistance thermometer", "compliance", c) == says
    low = rtd(cold=20.0, barrier=1.0, **{**more, "volts": 10.0, "working": 0.3})
    assert verdict("resistance thermometer", "compliance", low) == "fails"
    none = rtd(cold=20.0, barrier=0.0, **{**more, "volts": 10.0, "working": 0.3})
    assert verdict("resistance thermometer", "compliance", none) == "works"


# --- potentiometers ------------------------------------------------------------------------------


def test_a_potentiometer_is_shifted_by_its_leads():
    # 10 ohm a leg, track 980 ohm: 10 / 1000 on three wires, 20 / 980 on two
    c = {"lead": 4.0, "channel": 6.0, "track": (980.0, 1020.0), "budget": 0.01}
    three = columns(Potentiometer, wires=3.0, **c)
    assert sides("potentiometer", "lead error", three)[0] == pytest.approx(0.01)
    assert verdict("potentiometer", "lead error", three) == "works"
    two = columns(Potentiometer, wires=2.0, **c)
    assert sides("potentiometer", "lead error", two)[0] == pytest.approx(20.0 / 980.0)
    assert verdict("potentiometer", "lead error", columns(Potentiometer, wires=4.0, **c)) == (
        "unproven"
    )


def test_a_track_must_lie_within_what_the_input_takes():
    c = {"lead": 10.0, "track": 1000.0, "least": 1000.0, "most": 1020.0}
    assert verdict("potentiometer", "range of the track", columns(Potentiometer, **c)) == "works"
    for wrong in ({"least": 1021.0}, {"most": 1019.0}):
        spoiled = columns(Potentiometer, **{**c, **wrong})
        assert verdict("potentiometer", "range of the track", spoiled) == "fails"


# --- thermocouples -------------------------------------------------------------------------------


def couple(**more):
    return columns(Thermocouple, **{"pair": K, "budget": 10.0, "hot": 20.0, "cold": 20.0, **more})


def test_the_bias_current_through_the_loop():
    # worked: 0.5 uA through 200 + 2 x 60 ohm is 160 uV; 3.90 K with 41 uV/K. At 100 degC type K
    # gives 41.37 uV/K (NIST tables: 4.096 mV at 100, 4.138 at 101, 4.055 at 99): 3.87 K
    c = couple(bias=0.5e-6, lead=200.0, channel=60.0, coldest=100.0, hottest=100.0)
    demand, _ = sides("thermocouple", "lead error", c)
    assert demand == pytest.approx(160.0 / 41.4, rel=2e-3)
    assert demand * 41.37 / 41.0 == pytest.approx(3.90, abs=0.005)


def test_the_least_slope_of_the_whole_range_counts():
    # type K dips below 40.3 uV/K between 40 and 500 degC (NIST tables: 5.735 mV at 140 and 6.540 at
    # 160 degC are 40.2 uV/K apart, 7.340 at 180 and 8.940 at 220 degC 40.0), from 41 at 40 degC
    c = couple(bias=1e-6, lead=100.0, coldest=40.0, hottest=500.0)
    demand, _ = sides("thermocouple", "lead error", c)
    assert demand > 100.0 / 40.3
    assert demand > sides("thermocouple", "lead error", couple(
        bias=1e-6, lead=100.0, coldest=40.0, hottest=40.0))[0]  # fmt: skip


@pytest.mark.parametrize("pair", range(len(THERMOCOUPLES)))
def test_the_least_slope_is_that_of_a_fine_search(pair):
    draw = np.random.default_rng(pair)
    low = draw.uniform(-100.0, 900.0, 40)
    high = low + draw.uniform(0.0, 400.0, 40) ** 1.5 / 10.0
    found = least_seebeck(np.full(40, float(pair)), low, high)
    for a, b, least in zip(low, high, found, strict=True):
        fine = np.min(seebeck(pair, np.concatenate([[a, b], np.arange(a, b, 0.01)])))
        if math.isnan(fine):
            assert math.isnan(least)
        else:
            assert least == pytest.approx(fine, rel=1e-5, abs=2e-11)


def test_a_type_that_gives_nothing_there_is_unproven():
    B = float(THERMOCOUPLES.index("B"))
    cool = couple(pair=B, bias=1e-9, lead=1.0, coldest=0.0, hottest=1700.0)
    assert verdict("thermocouple", "lead error", cool) == "unproven"
    hot = couple(pair=B, bias=1e-9, lead=1.0, coldest=600.0, hottest=1700.0)
    assert verdict("thermocouple", "lead error", hot) == "works"


def test_a_joint_of_copper_errs_by_the_slope_of_its_own_ambient():
    # 2 K at 40 degC on type K: 2 x 41.1 uV/K; at 1000 degC type K gives 39.0 uV/K: 2.10 K
    c = couple(joint=2.0, hot=40.0, cold=40.0, coldest=1000.0, hottest=1000.0)
    assert sides("thermocouple", "lead error", c)[0] == pytest.approx(2.10, abs=0.01)
    unknown = couple(joint=2.0, hot=NAN, cold=NAN, coldest=1000.0, hottest=1000.0)
    assert verdict("thermocouple", "lead error", unknown) == "unproven"
    none = couple(joint=0.0, hot=NAN, cold=NAN, coldest=1000.0, hottest=1000.0)
    assert verdict("thermocouple", "lead error", none) == "works"


def test_the_loop_counts_cable_sensor_and_both_channels():
    c = couple(lead=200.0, sensor=30.0, channel=60.0, loop_limit=350.0)
    assert sides("thermocouple", "loop ohms", c) == (350.0, 350.0)


# --- bridges -------------------------------------------------------------------------------------


def cells(**more):
    """Four cells of 350 ohm on 10 V, six wires."""
    four = {"cells": [350.0] * 4, "needs": [5.0, 5.0, 6.0, 5.0]}
    return columns(Bridge, **{"excitation": 10.0, "sensed": 1.0, "input_R": 1e6, **four, **more})


def test_excitation_at_cells_in_parallel():
    # 87.5 ohm behind 2 x (5 + 20) ohm: 10 x 87.5 / 137.5 = 6.364 V against the 6 V of one cell
    c = cells(barrier=1.0, lead=5.0, channel=20.0)
    assert sides("bridge", "excitation", c) == pytest.approx((6.0, 6.363636))
    # one more cell: 70 ohm, 5.833 V
    five = cells(barrier=1.0, lead=5.0, channel=20.0, cells=[350.0] * 5, needs=[6.0] * 5)
    assert verdict("bridge", "excitation", five) == "fails"
    assert verdict("bridge", "excitation", cells(cells=[350.0, NAN], needs=[6.0, 6.0])) == (
        "unproven"
    )


def test_cells_that_fill_up_a_shorter_row_do_not_count():
    filled = cells(lead=5.0, cells=[350.0, 350.0, 0.0, 0.0], needs=[5.0, 5.0, 0.0, 0.0])
    two = cells(lead=5.0, cells=[350.0, 350.0], needs=[5.0, 5.0])
    for rule in ("excitation", "current of the supply"):
        assert sides("bridge", rule, filled) == sides("bridge", rule, two)


def test_span_with_and_without_sense_wires():
    # 2 x 10 ohm before 1 Mohm, twice with sense wires: 2 x 20 / 1 000 020
    assert sides("bridge", "span error", cells(lead=10.0))[0] == pytest.approx(40 / 1000020)
    # four wires: feeds of 16 to 20 ohm before 350 ohm: 20/370 - 16/366 = 1.034 %
    four = cells(sensed=0.0, cells=[350.0], needs=[5.0], lead=(8.0, 10.0))
    assert sides("bridge", "span error", four)[0] == pytest.approx(
        0.010338 + 20 / 1000020, rel=1e-3
    )


def test_a_barrier_wants_sense_wires_and_its_knee():
    for sensed, says in ((1.0, "works"), (0.0, "fails"), (NAN, "unproven")):
        assert verdict("bridge", "sense wires", cells(barrier=1.0, sensed=sensed)) == says
    assert verdict("bridge", "sense wires", cells(barrier=0.0, sensed=0.0)) == "not asked"
    # 10 V against 10.2 V at 20 degC, which is 9.79 V at -20 degC (0.1 %/K)
    for cold, says in ((20.0, "works"), (-20.0, "fails")):
        c = cells(barrier=1.0, working=10.2, cold=cold)
        assert verdict("bridge", "working voltage", c) == says


def test_current_of_the_bridge():
    # 10 V over 87.5 ohm: 114.3 mA
    assert sides("bridge", "current of the supply", cells(limit=0.12)) == pytest.approx(
        (0.1142857, 0.12)
    )


# --- probes --------------------------------------------------------------------------------------


def probe(**more):
    """-24 V +-5 % through a barrier to a probe at 12 mA, signal -2 to -18 V into 10 kohm."""
    return columns(
        Probe,
        **{
            "barrier": 1.0,
            "supply": (22.8, 25.2),
            "feed": 100.0,
            "through": 240.0,
            "common": 20.0,
            "input_R": 10e3,
            "wires": 3.0,
            "I": 0.012,
            "need": 17.5,
            "signal_low": 2.0,
            "signal_high": 18.0,
            "lead": 10.0,
            "frequency": 10e3,
            "drive": -math.inf,
            "working": 26.0,
            "cold": 20.0,
            "budget": 0.03,
            **more,
        },
    )


def test_volts_of_a_probe_out_and_back():
    # 22.8 - 0.012 x 110 - (0.012 + 18/10k) x 30 = 21.066 V
    assert sides("vibration probe", "supply of the probe", probe())[1] == pytest.approx(21.066)
    assert verdict("vibration probe", "supply of the probe", probe(need=21.1)) == "fails"
    assert verdict("vibration probe", "supply of the probe", probe(wires=NAN)) == "unproven"
    # an isolator of 23 V behind 50 ohm: 23 - 0.6 - 0.012 x 10 - 0.0138 x 10
    free = probe(barrier=0.0, open_voltage=23.0, inner=50.0, feed=0.0, common=0.0)
    assert sides("vibration probe", "supply of the probe", free)[1] == pytest.approx(22.142)


def test_gain_of_a_signal_through_a_barrier():
    # worked: 240 ohm of channel and 10 ohm of lead before 10 kohm: 2.44 % low
    assert sides("vibration probe", "gain error", probe())[0] == pytest.approx(0.0244, abs=5e-5)


def test_bandwidth_and_slew():
    # 1 / (2 pi x 250 ohm x 20 nF) = 31.83 kHz against 30 kHz; 25 nF: 25.5 kHz
    c = probe(C_line=20e-9)
    assert sides("vibration probe", "bandwidth", c) == pytest.approx((30e3, 31831), rel=1e-4)
    assert verdict("vibration probe", "bandwidth", probe(C_line=25e-9)) == "fails"
    assert verdict("vibration probe", "slew", c) == "not asked"
    # 10 mA into 20 nF at 8 V of peak: 9947 Hz
    assert sides("vibration probe", "slew", probe(C_line=20e-9, drive=0.01))[1] == pytest.approx(
        9947, abs=1
    )


def test_working_voltages_of_probes_are_magnitudes():
    assert verdict("vibration probe", "working voltage", probe()) == "works"
    assert verdict("vibration probe", "working voltage", probe(cold=-20.0)) == "fails"
    assert verdict("vibration probe", "working voltage", probe(signal_high=26.1)) == "fails"


def test_supply_of_an_isolated_probe_is_limited():
    for limit, says in ((0.012, "works"), (0.011, "fails"), (NAN, "unproven")):
        c = probe(barrier=0.0, limit=limit)
        assert verdict("vibration probe", "current of the supply", c) == says


def accelerometer(**more):
    """4 mA; 7 to 17 V at the output, that is 12 V of bias and 5 V of peak."""
    values = {"I": 0.004, "signal_low": 7.0, "signal_high": 17.0, "frequency": 3000.0}
    return columns(Accelerometer, **{**values, "C_line": 30e-9, **more})


def test_slew_of_a_constant_current():
    # worked: 4 mA, 30 nF, 5 V of peak: 3183 Hz
    assert sides("accelerometer", "slew", accelerometer())[1] == pytest.approx(3183, abs=0.5)
    assert verdict("accelerometer", "slew", accelerometer(frequency=3200.0)) == "fails"


def test_compliance_of_a_constant_current():
    # 17 + 0.004 x (240 + 10) = 18 V
    c = accelerometer(barrier=1.0, through=240.0, line=10.0, volts=18.0, working=18.1, cold=20.0)
    assert sides("accelerometer", "compliance", c) == pytest.approx((18.0, 18.0))
    assert verdict("accelerometer", "compliance", c) == "works"
    assert verdict("accelerometer", "working voltage", c) == "works"
    colder = accelerometer(barrier=1.0, through=240.0, line=10.0, working=18.1, cold=0.0)
    assert verdict("accelerometer", "working voltage", colder) == "fails"


def test_a_constant_current_lies_within_what_the_accelerometer_takes():
    for I, says in ((0.002, "works"), (0.0019, "fails"), (0.01, "works"), (0.011, "fails")):  # noqa: E741
        c = accelerometer(I=I, least_I=0.002, most_I=0.010)
        assert verdict("accelerometer", "constant current", c) == says


# --- shapes --------------------------------------------------------------------------------------


def test_candidates_along_another_axis():
    """Three sources against two circuits give what each pair gives by itself."""
    one, other = rtd(lead=5.0, budget=0.2), rtd(lead=50.0, budget=0.2)
    sources = [rtd(skew=skew) for skew in (0.0001, 0.001, 0.01)]
    own = ["skew", "channel", "mismatch", "leakage", "excitation", "bias", "barrier"]

    def stacked(parts, name, axis):
        values = [getattr(part, name) for part in parts]
        if isinstance(values[0], np.ndarray):
            return np.stack(values, axis=axis).reshape((-1, 1) if axis == 0 else (1, -1))
        ends = zip(*values, strict=True)
        shape = (-1, 1) if axis == 0 else (1, -1)
        return type(values[0])(*(np.concatenate(end).reshape(shape) for end in ends))

    grid = type(one)(
        **{
            name: stacked(sources, name, 1) if name in own else stacked([one, other], name, 0)
            for name in one.__dataclass_fields__
        }
    )
    table = settle(answer("resistance thermometer", "lead error", grid)).verdict
    assert table.shape == (2, 3)
    for i, circuit in enumerate((one, other)):
        for j, source in enumerate(sources):
            mixed = type(one)(
                **{
                    name: getattr(source if name in own else circuit, name)
                    for name in one.__dataclass_fields__
                }
            )
            alone = settle(answer("resistance thermometer", "lead error", mixed)).verdict
            assert alone[0] == table[i, j]
