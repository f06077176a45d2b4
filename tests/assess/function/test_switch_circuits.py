"""Contacts and proximity switches from model to verdict: levels, topologies, barriers, gaps."""

from __future__ import annotations

import pytest

from assess.function.circuits import Asked, changed, judge

AMPLIFIER = {"role": "switch amplifier", "line-fault detection": "yes"}
CONTACT = {
    "role": "contact",
    "resistor topology": "series with the parallel pair",
    "series resistor": "1 kohm ± 5 %",
    "parallel resistor": "10 kohm ± 5 %",
    "wetting current": ">= 1 mA",
}
GOOD = Asked(AMPLIFIER, [CONTACT], length="300 m")
PROXIMITY = Asked(AMPLIFIER, [{"role": "proximity switch"}], length="300 m")


def limits(finding):
    return {name: (one.demand, one.limit) for name, one in finding.rules.items()}


def test_a_contact_on_a_silent_amplifier_has_the_corners_of_the_standard():
    # 9.0 V, 550 ohm and no cable: 9 / 11000 = 0.818 mA; 7.7 V, 1100 ohm, 8.40 ohm: 7.7 / 2158.4
    found = judge(GOOD)
    assert found.word == "works"
    assert limits(found)["off"][0] == pytest.approx(0.8182e-3, rel=1e-4)
    assert limits(found)["on"][1] == pytest.approx(3.5675e-3, rel=1e-4)
    assert any("open-circuit voltage of S0 is not stated" in one for one in found.assumptions)


def test_figures_of_the_amplifier_come_before_the_standard():
    own = changed(GOOD, "source", off_threshold="0.7 mA")
    assert limits(judge(own))["off"][1] == pytest.approx(0.7e-3)
    assert judge(own).word == "fails"


def test_the_nominal_is_shown_beside_the_corner():
    # 8.2 V / (1000 + 6.9 + 1000) ohm; 300 m of nominal copper 17.241 / 1.5 ohm/km
    found = judge(GOOD).rules["on"]
    assert found.nominal_limit == pytest.approx(8.2 / (2000 + 0.6 * 17.241 / 1.5), rel=1e-6)


@pytest.mark.parametrize(("Rp", "word"), [("18.8 kohm ± 5 %", "works"), ("22 kohm ± 5 %", "fails")])
def test_a_large_parallel_resistor_ends_as_a_break(Rp, word):
    assert judge(changed(GOOD._replace(length="0 m"), "D0", parallel_resistor=Rp)).word == word


def test_a_bare_contact_works_only_without_line_monitoring():
    bare = changed(GOOD, "D0", resistor_topology="no resistors")
    bare = changed(bare, "D0", series_resistor="", parallel_resistor="")
    found = judge(bare)
    assert found.word == "fails"
    assert {name for name, one in found.rules.items() if one.word == "fails"} == {
        "false break",
        "false short",
    }
    own = {"line-fault detection": "no"}
    assert judge(bare._replace(own=own)).word == "works"


def test_only_a_series_resistor_leaves_a_break_untold_from_off():
    alone = changed(GOOD, "D0", resistor_topology="series only", parallel_resistor="")
    assert judge(alone).rules["false break"].word == "fails"
    assert judge(alone).rules["false short"].word == "works"


def test_a_contact_behind_a_barrier_of_350_ohm_switches_but_its_short_is_not_told():
    barrier = {
        "role": "shunt-diode barrier",
        "end-to-end resistance": "<= 350 ohm",
        "leakage current": "1 µA",
        "working voltage": "10 V",
    }
    own = {
        "open-circuit voltage": "8.2 V",
        "internal resistance": "1 kohm",
        "on threshold": "2.1 mA",
        "off threshold": "1.2 mA",
        "break threshold": "0.05 to 0.35 mA",
        "short threshold": "100 to 360 ohm",
        "line-fault detection": "yes",
    }
    behind = Asked(barrier, [CONTACT], own, length="100 m")
    found = judge(behind)
    assert found.governing == "short told"
    assert [name for name, one in found.rules.items() if one.word == "fails"] == ["short told"]
    assert judge(changed(behind, "own", line_fault_detection="no")).word == "works"
    # Behind a barrier nothing says that the input keeps the standard.
    gap = judge(changed(behind, "own", open_circuit_voltage=""))
    assert gap.word in ("fails", "unproven")
    assert gap.rules["on"].word == "unproven"


def test_a_proximity_switch_to_the_standard_reaches_170_ohm():
    # 2.2 mA at 8.2 V and 1 kohm: 2727.3 ohm; 8.2 V / 2.1 mA = 3904.8: 177.5 ohm of leads, which at
    # 60 degC are 6338 m; a short at the switch is told up to 100 ohm, 3571 m
    assert judge(PROXIMITY).word == "works"
    assert judge(PROXIMITY._replace(length="3570 m")).word == "works"
    far = judge(PROXIMITY._replace(length="3572 m"))
    assert [name for name, one in far.rules.items() if one.word == "fails"] == ["short told"]
    quiet = changed(PROXIMITY, "source", line_fault_detection="no")
    assert judge(quiet._replace(length="6330 m")).word == "works"
    assert judge(quiet._replace(length="6345 m")).governing == "on"


def test_a_safety_switch_needs_its_own_currents():
    safety = changed(PROXIMITY, "D0", switch_type="safety")
    found = judge(safety)
    assert found.word == "unproven"
    stated = changed(safety, "D0", on_current="3 to 5 mA", off_current="0.4 to 1 mA")
    assert judge(stated).word == "works"


def test_a_bound_alone_is_read_as_the_bound():
    bounds = changed(PROXIMITY, "D0", on_current=">= 3 mA", off_current="<= 1 mA")
    found = judge(bounds)
    assert found.word == "works"
    assert any("least off current of D0" in one for one in found.assumptions)
    # 8.2 V / (1000 + 1733.3 + 8.4) ohm = 2.99 mA
    assert limits(found)["on"][1] == pytest.approx(2.991e-3, rel=1e-3)


@pytest.mark.parametrize(
    ("where", "word", "named"),
    [
        ("D0", "series resistor", "resistors of the contact"),
        ("D0", "parallel resistor", "resistors of the contact"),
        ("D0", "resistor topology", "resistors of the contact"),
        ("D0", "wetting current", "wetting current of the contact"),
        ("source", "line-fault detection", "line-fault detection"),
    ],
)
def test_what_is_not_known_is_named(where, word, named):
    found = judge(changed(GOOD, where, **{word.replace("-", "_").replace(" ", "_"): ""}))
    if word == "line-fault detection":
        found = judge(GOOD._replace(source={"role": "switch amplifier"}))
    assert found.word == "unproven"
    assert named in "; ".join(found.missing)


def test_a_pulse_input_states_its_own_levels():
    found = judge(GOOD._replace(source={**AMPLIFIER, "role": "pulse input"}))
    assert found.word == "unproven"
    assert "on threshold of the input" in found.missing


def test_a_switch_that_pulses_is_asked_for_its_rate():
    pulsing = changed(GOOD, "own", highest_frequency="100 Hz")
    assert judge(pulsing).word == "unproven"
    fast = changed(pulsing, "source", highest_frequency="5 kHz")
    found = judge(fast)
    assert found.word == "works"
    # 5 x (1100 + 8.4) ohm x 30 nF = 166 us of 5 ms
    assert limits(found)["pulse"] == pytest.approx((166.3e-6, 5e-3), rel=1e-3)
    assert judge(changed(fast, "own", highest_frequency="6 kHz")).word == "fails"


@pytest.mark.parametrize("asked", [GOOD, PROXIMITY, GOOD._replace(length="90 km")])
def test_the_staircase_adds_up_and_says_the_same_as_the_rule(asked):
    found = judge(asked)
    stairs = found.staircase
    assert stairs is not None
    assert stairs.left == pytest.approx(sum(one.change for one in stairs.steps))
    assert stairs.left == stairs.steps[-1].left
    assert (stairs.left >= stairs.needed) is (found.rules["on"].word == "works")


def test_two_contacts_on_one_input_are_not_judged_as_one():
    assert judge(GOOD._replace(devices=[CONTACT, CONTACT])).word == "unproven"
