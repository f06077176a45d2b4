"""Valves, lamps, sounders, detectors, pick-ups and serial lines from model to verdict."""

from __future__ import annotations

import pytest

from assess.function.circuits import Asked, changed, judge
from subspark.assess.working_function import stairs

DRIVER = {
    "role": "output driver",
    "open-circuit voltage": ">= 21 V",
    "internal resistance": "<= 270 ohm",
    "current limit": ">= 60 mA",
    "off-state voltage": "0.3 V",
}
VALVE = {
    "role": "solenoid valve",
    "coil resistance": "290 ohm ± 5 %",
    "self-heating": "15 K",
    "bridge voltage": "1.2 V",
    "pull-in current": "28 mA",
    "drop-out current": "2 mA",
}
ONE = Asked({**DRIVER, "off-state voltage": "1.5 V"}, [VALVE], length="300 m")
LAMP = Asked(
    DRIVER,
    [
        {
            "role": "lamp",
            "forward voltage": "6.3 V",
            "junctions": "3",
            "series resistance": "100 ohm",
            "visible current": "10 mA",
            "glow current": "0.5 mA",
        }
    ],
    length="300 m",
)
BELL = {
    "role": "sounder",
    "operating current": "9 mA",
    "lowest supply voltage": "15 V",
    "alive current": "2 mA",
}
SOUNDERS = Asked(
    {**DRIVER, "internal resistance": "250 to 270 ohm"}, [BELL, {**BELL, "role": "beacon"}]
)
DETECTOR = {
    "role": "detector",
    "quiescent current": "<= 0.1 mA",
    "alarm resistance": "560 to 600 ohm",
    "forward voltage": "5 to 6 V",
    "lowest supply voltage": ">= 15 V",
}
CALL_POINT = {"role": "contact", "series resistor": "680 ohm ± 5 %"}
END = {"role": "end-of-line resistor", "end-of-line resistance": "4.7 kohm ± 1 %"}
PANEL = {
    "open-circuit voltage": "20 to 22 V",
    "internal resistance": "200 to 240 ohm",
    "on threshold": "13 mA",
    "off threshold": "7 mA",
    "break threshold": "1 to 3 mA",
    "short current": "40 to 50 mA",
}
LOOP = Asked(
    {"role": "repeater supply", **PANEL}, [DETECTOR, DETECTOR, CALL_POINT, END], length="500 m"
)
PICK_UP = Asked(
    {
        "role": "pulse input",
        "input resistance": ">= 10 kohm",
        "input threshold": "60 mV",
        "highest frequency": ">= 5 kHz",
    },
    [
        {
            "role": "coil pick-up",
            "coil voltage": ">= 100 mV",
            "coil resistance": "1 kohm ± 10 %",
            "coil inductance": "0.3 H",
            "highest frequency": "1.5 kHz",
        }
    ],
    length="200 m",
)
STATION = {"role": "serial device", "differential voltage": ">= 1.5 V", "unit load": "1"}
SERIAL = Asked(
    {
        "role": "serial coupler",
        "differential voltage": ">= 1.5 V",
        "termination": "120 ohm",
        "unit load": "1",
    },
    [STATION, STATION],
    {"termination": "120 ohm"},
    length="500 m",
)
ALL = {
    "valve": ONE,
    "lamp": LAMP,
    "sounders": SOUNDERS,
    "loop": LOOP,
    "pick-up": PICK_UP,
    "serial": SERIAL,
}


def test_the_valve_of_the_handbook():
    # 4.13: 30.52 mA through the hot coil. Cold, 1.5 V less the bridge on 232.2 ohm: 1.29 mA.
    found = judge(ONE)
    assert found.rules["release"].demand == pytest.approx(0.3 / 232.2, rel=1e-3)
    assert found.word == "works"
    assert found.governing == "pull-in current"
    assert found.rules["pull-in current"].limit == pytest.approx(30.52e-3, abs=5e-6)
    assert judge(changed(ONE, "D0", pull_in_current="31 mA")).word == "fails"


def test_safety_is_untouched_by_function():
    assert not [one for one in judge(ONE).rules if one in ("voltage", "current", "power")]


def test_two_valves_on_one_driver_need_twice_the_current():
    found = judge(ONE._replace(devices=[VALVE, VALVE]))
    assert found.word == "fails"
    assert [word.word for _, word in found.devices] == ["unsafe", "unsafe"]
    told = found.staircase
    assert told is not None
    assert told.left < told.needed


def test_a_valve_that_asks_by_neither_current_nor_volts_is_unproven():
    found = judge(changed(ONE, "D0", pull_in_current=""))
    assert found.word == "unproven"
    assert "pull-in current or voltage of the valve" in found.missing


def test_the_ambient_of_the_valve_counts():
    # colder air, more current: at 20 degC 290 x 1.05 x 269.5/254.5 = 322.4 ohm
    cool = judge(changed(ONE._replace(air="0 to 20 °C"), "D0", pull_in_current="33 mA"))
    assert cool.rules["pull-in current"].limit == pytest.approx(
        19.8 / (270 + 7.26 + 322.45), rel=1e-4
    )


def test_a_valve_behind_a_barrier_on_a_battery():
    barrier = {
        "role": "shunt-diode barrier",
        "end-to-end resistance": "290 to 300 ohm",
        "working voltage": "29.5 V",
        "fuse current": "100 mA",
        "highest supply": "30 V",
    }
    own = {"supply voltage": "21.6 to 28.8 V", "monitoring current": "0 mA"}
    behind = Asked(barrier, [VALVE], own)
    found = judge(behind)
    # 28.8 V / 290 ohm = 99.3 mA at a core to earth; 29.5 V less 2 % at 0 degC = 28.91 V
    assert found.word == "works"
    assert found.rules["barrier fuse"].demand == pytest.approx(99.31e-3, rel=1e-3)
    assert found.rules["working voltage"].limit == pytest.approx(28.91)
    # 20.4 V / (300 + 370.3) ohm
    assert found.rules["pull-in current"].limit == pytest.approx(20.4 / 670.31, rel=1e-4)
    assert judge(changed(behind, "own", supply_voltage="18 to 28.8 V")).word == "fails"
    assert judge(changed(behind, "own", supply_voltage="21.6 to 29.4 V")).word == "fails"


def test_a_booster_is_judged_by_its_charging():
    booster = {
        "role": "solenoid valve",
        "charge current": "1.5 mA",
        "charge time": "<= 3 s",
        "pull-in voltage": ">= 18 V",
        "drop-out current": "0.2 mA",
    }
    driver = {**DRIVER, "off-state voltage": "0 V"}
    asked = Asked(driver, [booster, booster], {"cycle time": "5 s"}, length="300 m")
    found = judge(asked)
    assert found.word == "works"
    # both charge: 21 V - 3 mA x 278.4 ohm
    assert found.rules["booster voltage"].limit == pytest.approx(20.165, abs=1e-3)
    assert judge(changed(asked, "own", cycle_time="2 s")).word == "fails"
    assert judge(changed(asked, "own", cycle_time="")).word == "unproven"
    # plain coils among boosters: what is left is not known
    assert judge(Asked(driver, [booster, VALVE], {"cycle time": "5 s"})).word == "unproven"


def test_a_driver_must_say_what_it_gives_when_off():
    for asked in (ONE, LAMP, SOUNDERS):
        found = judge(changed(asked, "source", off_state_voltage=""))
        assert found.word == "unproven"
        assert "off-state voltage of the driver" in found.missing


def test_a_lamp_is_seen_and_dark():
    found = judge(LAMP)
    assert found.word == "works"
    # 6.3 V + 3 x 2 mV/K x 40 K
    assert found.rules["visible"].demand == pytest.approx(6.54)
    assert judge(changed(LAMP, "source", monitoring_current="0.6 mA")).word == "fails"
    assert judge(changed(LAMP, "D0", junctions="")).word == "unproven"


def test_sounders_share_the_driver():
    # 21 V - 18 mA x 270 ohm = 16.14 V
    found = judge(SOUNDERS)
    assert found.word == "works"
    assert found.rules["operating voltage"].limit == pytest.approx(16.14)
    # off: 0.3 V through 250 ohm at the least
    assert found.rules["silent"].demand == pytest.approx(1.2e-3)
    assert judge(changed(SOUNDERS, "D1", start_current="16 mA")).word == "fails"


def test_a_detector_loop_tells_its_four_states():
    found = judge(LOOP)
    assert found.word == "works"
    assert [name for name, _ in found.devices] == ["D0", "D1", "D2"]
    assert "alarm is told of one device at a time" in found.assumptions
    many = LOOP._replace(devices=[*[DETECTOR] * 12, END])
    assert judge(many).governing == "break told"
    assert judge(many).word == "fails"


def test_a_detector_loop_through_a_barrier():
    barrier = {
        "role": "shunt-diode barrier",
        "end-to-end resistance": "100 to 110 ohm",
        "leakage current": "<= 10 µA",
        "working voltage": "26 V",
    }
    found = judge(LOOP._replace(source=barrier, own=PANEL))
    assert found.word == "works"
    # 20 V / (240 + 110 + 14.0) ohm
    assert found.rules["short told"].limit == pytest.approx(20 / 364.0, rel=1e-3)


def test_a_pick_up_and_its_gaps():
    found = judge(PICK_UP)
    assert found.word == "works"
    # 100 mV x 10 kohm / (10 kohm + 1.1 kohm at 60 degC + 5.6 ohm)
    coil = 1100 * 294.5 / 254.5
    assert found.rules["amplitude"].limit == pytest.approx(1000 / (10e3 + coil + 5.6), rel=1e-4)
    gap = judge(changed(PICK_UP, "D0", coil_inductance=""))
    assert gap.word == "unproven"
    assert gap.missing == ("coil inductance of the pick-up",)


def test_a_serial_line_and_its_gaps():
    found = judge(SERIAL)
    assert found.word == "works"
    assert any("lowest load of S0 is not stated" in one for one in found.assumptions)
    assert judge(changed(SERIAL, "own", termination="")).word == "unproven"
    assert judge(changed(SERIAL, "own", termination="60 ohm")).word == "fails"
    legs = changed(SERIAL, "source", channel_resistance="400 ohm")
    assert judge(legs).word == "fails"


def test_a_serial_line_through_a_barrier_has_its_host_on_the_circuit():
    barrier = {"role": "shunt-diode barrier", "channel resistance": "20 to 30 ohm"}
    own = {"differential voltage": "1.5 V", "termination": "120 ohm", "unit load": "1"}
    found = judge(SERIAL._replace(source=barrier, own=own))
    assert found.word == "works"
    # far end 120 || 6000 = 117.6 ohm behind 2 x 30 ohm and 14.0 ohm of cable
    assert found.rules["volts at the device"].limit == pytest.approx(
        1.5 * 117.647 / (117.647 + 60 + 14.0), rel=1e-4
    )


@pytest.mark.parametrize("name", ALL)
def test_each_circuit_works_as_drawn(name):
    assert judge(ALL[name]).word == "works"


@pytest.mark.parametrize("name", ALL)
def test_each_staircase_adds_up(name):
    told = judge(ALL[name]).staircase
    assert told is not None
    assert told.left == pytest.approx(sum(one.change for one in told.steps))
    assert told.left == told.steps[-1].left
    assert told.left >= told.needed


@pytest.mark.parametrize("name", ALL)
def test_taking_any_figure_away_never_makes_a_circuit_work(name):
    # Figures that only say something where they are given.
    optional = {"off-state voltage", "start current"}
    asked = ALL[name]
    for where, figures in (
        ("source", asked.source),
        *((f"D{k}", one) for k, one in enumerate(asked.devices)),
        ("own", asked.own),
    ):
        for word in set(figures) - optional - {"role"}:
            # words hold hyphens too: edited as they are
            edited = {key: value for key, value in figures.items() if key != word}
            spoilt = _with(asked, where, edited)
            assert judge(spoilt).word == "unproven", (where, word)


def _with(asked, where, figures):
    if where == "source":
        return asked._replace(source=figures)
    if where == "own":
        return asked._replace(own=figures)
    k = int(where[1:])
    return asked._replace(devices=[*asked.devices[:k], figures, *asked.devices[k + 1 :]])


@pytest.mark.parametrize("name", ALL)
def test_an_apparatus_of_another_role_leaves_the_circuit_unjudged(name):
    asked = ALL[name]
    stranger = {"role": "positioner"}
    assert judge(asked._replace(devices=[*asked.devices, stranger])).word == "unproven"


def test_a_small_signal_is_told_in_millivolts():
    told = stairs(judge(PICK_UP).staircase)
    assert told.steps[0].left == "100.00 mV"
    assert told.needed == "60.00 mV"
    assert stairs(judge(ONE).staircase).steps[0].left == "21.00 V"
