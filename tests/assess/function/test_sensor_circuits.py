"""Thermometers, thermocouples, potentiometers, bridges and probes from model to verdict."""

from __future__ import annotations

import math

import pytest

from assess.function.circuits import Asked, changed, judge, judge_all

BARRIER = {
    "role": "shunt-diode barrier",
    "channel resistance": "18 to 20 ohm",
    "channel mismatch": "<= 0.15 ohm",
    "working voltage": "1 V",
    "leakage current": "<= 0.1 µA",
}
INPUT = {
    "excitation current": "0.5 mA",
    "current mismatch": "<= 0.1 %",
    "bias current": "<= 0.1 µA",
    "highest lead resistance": "<= 50 ohm",
    "open-circuit voltage": ">= 2 V",
}
PT100 = {"role": "resistance thermometer", "element": "Pt 3851", "resistance at 0 °C": "100 ohm"}
THREE_WIRE = Asked(
    {"role": "resistance input", **INPUT},
    [PT100],
    {"wires": "3", "lead mismatch": "2 %", "measured temperature": "0 to 400 °C",
     "error budget": "<= 0.5 K"},
    length="300 m",
)  # fmt: skip
THROUGH_BARRIER = Asked(
    BARRIER, [PT100], {**THREE_WIRE.own, **INPUT, "error budget": "<= 1.5 K"}, length="300 m"
)
POT = Asked(
    {"role": "resistance input", "highest lead resistance": "<= 50 ohm",
     "lowest load": "800 ohm", "highest load": "20 kohm"},
    [{"role": "potentiometer", "track resistance": "1 kohm ± 10 %"}],
    {"wires": "3", "error budget share": "1 %"},
    length="300 m",
)  # fmt: skip
COUPLE = Asked(
    {"role": "thermocouple input", "bias current": "<= 0.2 µA",
     "highest loop resistance": "<= 1 kohm"},
    [{"role": "thermocouple", "thermocouple type": "K", "series resistance": "<= 20 ohm"}],
    {"measured temperature": "0 to 1000 °C", "error budget": "<= 2 K", "lead pair": "KX"},
    length="200 m",
)  # fmt: skip
CELL = {"role": "bridge", "bridge resistance": "350 ohm ± 1 %", "lowest supply voltage": "5 V"}
CELLS = Asked(
    {"role": "bridge supply", "excitation voltage": "10 V ± 1 %", "current limit": ">= 150 mA",
     "input resistance": ">= 1 Mohm"},
    [CELL, CELL, CELL],
    {"sense wires": "yes", "error budget share": "0.1 %"},
    length="150 m",
)  # fmt: skip
PROBE = Asked(
    {"role": "shunt-diode barrier", "end-to-end resistance": "<= 300 ohm",
     "signal resistance": "<= 250 ohm", "common resistance": "<= 30 ohm",
     "working voltage": "26.5 V", "input resistance": ">= 50 kohm"},
    [{"role": "vibration probe", "wires": "3", "supply current": "<= 12 mA",
      "lowest supply voltage": "16 V", "output resistance": "<= 50 ohm",
      "signal voltage": "2 to 18 V"}],
    {"supply voltage": "24 V ± 5 %", "error budget share": "1 %", "highest frequency": "10 kHz"},
    length="100 m",
)  # fmt: skip
ACCELEROMETER = Asked(
    {"role": "probe supply", "excitation current": "4 mA ± 5 %", "open-circuit voltage": ">= 22 V"},
    [{"role": "vibration probe", "wires": "2", "signal voltage": "7 to 17 V",
      "operating current": "2 to 10 mA"}],
    {"highest frequency": "3 kHz"},
    length="200 m",
)  # fmt: skip
ALL = {
    "three-wire": THREE_WIRE,
    "barrier": THROUGH_BARRIER,
    "potentiometer": POT,
    "thermocouple": COUPLE,
    "bridge": CELLS,
    "probe": PROBE,
    "accelerometer": ACCELEROMETER,
}


@pytest.mark.parametrize("name", ALL)
def test_each_works_as_it_stands(name):
    found = judge(ALL[name])
    assert found.word == "works", found.sentence
    assert not found.missing


def steps_add_up(told):
    total = 0.0
    for step in told.steps:
        total += step.change
        assert step.left == pytest.approx(total)
    assert told.left == pytest.approx(total)


@pytest.mark.parametrize("name", ALL)
def test_the_last_step_of_a_staircase_is_what_is_left(name):
    steps_add_up(judge(ALL[name]).staircase)


def figures_of(asked):
    """Where every figure of a circuit stands, but what only chooses the rules."""
    for where, figures in (("source", asked.source), ("own", asked.own), ("D0", asked.devices[0])):
        for word in figures:
            if word not in ("role", "lead pair", "compensated resistance"):
                yield where, word


# Of these the circuit asks nothing on so many wires, or by its source.
UNASKED = {
    "three-wire": {"bias current"},
    "barrier": {"bias current"},
    "thermocouple": set(),
}


@pytest.mark.parametrize("name", ALL)
def test_a_missing_figure_leaves_function_unproven_and_is_named(name):
    asked = ALL[name]
    for where, word in figures_of(asked):
        spoiled = changed(asked, where, **{word.replace(" ", "_").replace("-", "_"): ""})
        found = judge(spoiled)
        if word in UNASKED.get(name, ()):
            assert found.word == "works", word
        else:
            assert found.word == "unproven", word
            assert any(word in one for one in found.missing) or word == "wires", (
                word,
                found.missing,
            )


def test_a_thermometer_of_the_handbook():
    # 300 m of 1.5 mm2 class 2 at 60 degC: 0.3 x 12.1 x 294.5/254.5 = 4.2005 ohm a core; 2 % and
    # 0.1 % of it are 0.08821 ohm; at 400 degC 0.34463 ohm/K
    found = judge(THREE_WIRE)
    assert found.rules["lead error"].demand == pytest.approx(0.088211 / 0.34463, rel=1e-4)
    assert found.rules["ohms per leg"].demand == pytest.approx(4.2005, rel=1e-4)
    # behind the barrier: 24.2005 ohm a leg; + 0.15 ohm; leakage 0.1 uA, 4 times at 40 degC, of
    # 0.5 mA: 0.08 % of 247.09 ohm
    ohms = 0.02 * 4.2005 + 0.15 + 0.001 * 24.2005 + 0.0008 * 247.092
    through = judge(THROUGH_BARRIER)
    assert through.rules["lead error"].demand == pytest.approx(ohms / 0.34463, rel=1e-4)
    # 0.5 mA x (247.09 + 3 x 24.2) ohm
    assert through.rules["compliance"].demand == pytest.approx(0.5e-3 * 319.69, rel=1e-4)


def test_two_wires_want_ohms_taken_off():
    two = changed(THREE_WIRE, "own", wires="2")
    assert judge(two).word == "fails"
    # 8.401 ohm hot; of a cold cable no least is stated, so 4.2 ohm are off either way
    taken = changed(two, "own", compensated_resistance="4.2 ohm", error_budget="13 K")
    assert judge(taken).rules["lead error"].demand == pytest.approx(4.201 / 0.34463, rel=1e-3)
    assert judge(taken).word == "works"


def test_the_range_may_be_stated_of_the_element():
    without = changed(THREE_WIRE, "own", measured_temperature="")
    assert judge(changed(without, "D0", measured_temperature="0 to 400 °C")).word == "works"


def test_an_element_outside_its_curve_is_unproven():
    assert judge(changed(THREE_WIRE, "own", measured_temperature="0 to 900 °C")).word == "unproven"
    nickel = changed(THREE_WIRE, "D0", element="Ni 6180")
    assert judge(nickel).word == "unproven"
    assert judge(changed(nickel, "own", measured_temperature="-50 to 180 °C")).word == "works"


def test_the_alloys_of_the_extension_cable_count():
    # KX: 1.0 ohm.mm2/m, 10 % more: 200 m of 1.5 mm2 146.67 ohm; + 20 ohm; 0.2 uA; type K gives
    # 38.98 uV/K at 1000 degC (NIST tables: 41.276 mV, 41.315 at 1001 degC)
    found = judge(COUPLE)
    assert found.rules["loop ohms"].demand == pytest.approx(166.667, rel=1e-4)
    assert found.rules["lead error"].demand == pytest.approx(0.2 * 166.667 / 38.98, rel=1e-3)
    assumed = judge(changed(COUPLE, "own", lead_pair=""))
    assert assumed.rules["loop ohms"].demand == pytest.approx(166.667, rel=1e-4)
    assert any("taken for a cable of the alloys of type K" in one for one in assumed.assumptions)
    # of this compensating cable the resistivity is not known well enough
    assert judge(changed(COUPLE, "own", lead_pair="KCB")).word == "unproven"


def test_a_joint_behind_a_barrier_must_be_stated():
    barrier = {
        **COUPLE.source, "role": "shunt-diode barrier", "channel resistance": "<= 60 ohm",
    }  # fmt: skip
    asked = COUPLE._replace(source=barrier)
    assert judge(asked).missing == ("joint difference",)
    assert judge(changed(asked, "own", joint_difference="0.5 K")).word == "works"
    # 1.5 K at 40 degC (41.0 uV/K) are 1.58 K at 1000 degC, beside 1.47 K of the loop
    assert judge(changed(asked, "own", joint_difference="1.5 K")).word == "fails"


def test_one_cell_more_than_the_supply_feeds():
    # 350 ohm less 1 %, four of them: 86.625 ohm; 10.1 V: 116.6 mA
    four = CELLS._replace(devices=[CELL] * 4)
    assert judge(four).rules["current of the supply"].demand == pytest.approx(0.11659, rel=1e-3)
    assert judge(changed(four, "source", current_limit="116 mA")).word == "fails"
    assert judge(CELLS).rules["excitation"].of == "D0, D1, D2"


def test_a_bridge_behind_a_barrier_is_sensed():
    barrier = {
        **CELLS.source, "role": "shunt-diode barrier", "channel resistance": "<= 30 ohm",
        "working voltage": "11 V",
    }  # fmt: skip
    asked = changed(CELLS._replace(source=barrier), "own", error_budget_share="0.05 %")
    assert judge(asked).word == "works"
    found = judge(changed(asked, "own", sense_wires="no"))
    assert found.word == "fails"
    assert found.rules["sense wires"].word == "fails"


def test_a_probe_of_unknown_wires_is_unproven():
    found = judge(changed(PROBE, "D0", wires=""))
    assert (found.kind, found.word) == ("vibration probe", "unproven")
    assert "wires of the probe" in found.missing


def test_an_isolated_probe_supply():
    supply = {
        "role": "probe supply", "terminal voltage": ">= 22 V", "current limit": ">= 20 mA",
        "input resistance": ">= 50 kohm",
    }  # fmt: skip
    found = judge(PROBE._replace(source=supply))
    assert found.word == "works"
    # 100 m of 1.5 mm2 at 60 degC: 1.4002 ohm a core; 12 mA out, 12.36 mA back
    assert found.rules["supply of the probe"].limit == pytest.approx(22.0 - 0.02436 * 1.4002)
    assert found.rules["working voltage"].word == "not asked"


def test_a_slow_current_on_a_long_cable():
    # 200 m x 100 pF/m: 20 nF; 3.8 mA - 1 mA at 5 V: 4456 Hz
    found = judge(ACCELEROMETER)
    assert found.rules["slew"].limit == pytest.approx(4456, abs=1)
    assert judge(ACCELEROMETER._replace(length="300 m")).word == "fails"


AGAINST = {
    "three-wire": [
        ("own", "lead_mismatch", "{} %", (0.0, 0.5, 1.0, 2.0, 4.0, 8.0)),
        ("own", "error_budget", "{} K", (2.0, 1.0, 0.5, 0.2, 0.1)),
        ("source", "current_mismatch", "{} %", (0.0, 0.1, 1.0, 3.0)),
        ("source", "highest_lead_resistance", "{} ohm", (50, 20, 5, 4, 1)),
        ("source", "excitation_current", "{} mA", (0.5, 1, 5, 8, 10)),
        ("source", "open_circuit_voltage", "{} V", (2, 1, 0.2, 0.1)),
    ],
    "thermocouple": [
        ("source", "bias_current", "{} µA", (0.0, 0.1, 0.2, 0.5, 1.0)),
        ("D0", "series_resistance", "{} ohm", (0, 100, 400, 800, 900)),
        ("own", "error_budget", "{} K", (3, 1, 0.5)),
    ],
    "bridge": [
        ("source", "current_limit", "{} mA", (200, 100, 90, 80)),
        ("source", "input_resistance", "{} kohm", (1000, 100, 10, 1)),
        ("D0", "lowest_supply_voltage", "{} V", (1, 5, 9, 9.9)),
    ],
    "probe": [
        ("own", "supply_voltage", "{} to 25 V", (25, 23, 22, 20, 18)),
        ("source", "working_voltage", "{} V", (30, 26, 25, 20)),
        ("D0", "supply_current", "{} mA", (5, 12, 20, 30)),
        ("own", "highest_frequency", "{} kHz", (1, 10, 18, 50)),
    ],
    "accelerometer": [
        ("own", "highest_frequency", "{} kHz", (1, 4, 5)),
        ("source", "open_circuit_voltage", "{} V", (30, 20, 17.1, 17)),
    ],
}


@pytest.mark.parametrize("name", AGAINST)
def test_a_figure_that_gets_worse_never_mends(name):
    for where, word, text, values in AGAINST[name]:
        spoiled = [changed(ALL[name], where, **{word: text.format(value)}) for value in values]
        found = judge_all(spoiled)
        said = [found[f"C{n}"].word for n in range(len(values))]
        assert set(said) <= {"works", "fails"}, (word, said)
        assert said == sorted(said, reverse=True), (word, said)
        assert said[-1] == "fails", (word, said)


def test_ohms_in_series_with_a_thermometer_count_in_each_leg():
    surge = {"role": "series element", "series resistance": "4 ohm"}
    found = judge(THREE_WIRE._replace(devices=[PT100, surge]))
    assert found.rules["ohms per leg"].demand == pytest.approx(6.2005, rel=1e-4)
    assert found.staircase is not None


def test_two_thermometers_in_one_circuit_are_not_judged():
    found = judge(THREE_WIRE._replace(devices=[PT100, PT100]))
    assert (found.kind, found.word) == ("", "unproven")


def test_the_nominal_stands_beside_the_worst_corner():
    one = judge(POT).rules["lead error"]
    # nominal copper 17.241 ohm.mm2/km at 20 degC: 3.4482 ohm a core, 1000 ohm of track
    assert one.nominal_demand == pytest.approx(3.4482 / 1006.8964, rel=1e-4)
    assert one.demand == pytest.approx(4.2005 / (900.0 + 8.401), rel=1e-4)
    assert not math.isnan(one.demand or math.nan)
