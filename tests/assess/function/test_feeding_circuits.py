"""Loops from the model to the verdict: what is missing, what is not to be mixed up, staircases.

Numbers are worked by hand in the tests from Ohm's law; 12.1 ohm/km for 1.5 mm2 by IEC 60228.
"""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest

import subspark as ss
from assess.function.circuits import Asked, data, judge, judge_all
from subspark.assess.context import Context
from subspark.assess.function.engine import block_columns, evaluate
from subspark.choose.candidates import candidates_of, with_source
from subspark.choose.table_function import FunctionTable
from subspark.rules.function import KINDS, columns_of, function_rules

BARRIER = {
    "role": "shunt-diode barrier",
    "end-to-end resistance": "300 to 340 ohm",
    "return resistance": "20 to 25 ohm",
    "return voltage drop": "0.7 to 0.9 V",
    "fuse current": "100 mA",
    "highest supply": "35 V",
    "working voltage": "26 V",
    "return working voltage": "10 V",
    "leakage current": "1 µA",
}
ISOLATOR = {
    "role": "repeater supply",
    "terminal voltage": [
        ("0 mA", "22.5 to 24 V"),
        ("20 mA", "16 to 17 V"),
        ("23 mA", "15 to 16 V"),
    ],
    "current limit": "25 mA",
    "load compliance": "14 V",
    "HART": "yes",
    "HART resistance": "250 ohm",
}
TRANSMITTER = {
    "role": "two-wire transmitter",
    "lift-off voltage": "8 V",
    "low alarm current": "3.5 mA",
    "high alarm current": "22 mA",
    "highest operating voltage": "30 V",
    "input capacitance": "5 nF",
}
CARD = {
    "supply voltage": "23.5 to 24.5 V",
    "load resistance": "249 to 251 ohm",
    "load place": "return leg",
    "input limit voltage": "30 V",
    "error budget share": "0.1 %",
    "HART": "yes",
}
BY_BARRIER = Asked(BARRIER, [TRANSMITTER], CARD, "300 m")
BY_ISOLATOR = Asked(ISOLATOR, [TRANSMITTER], {"load resistance": "250 ohm", "HART": "yes"}, "300 m")
DROPPED = {
    "role": "two-wire transmitter",
    "lift-off voltage": "9 V",
    "fixed current": "4 mA",
    "start current": "4.5 mA",
    "highest operating voltage": "30 V",
    "input capacitance": "5 nF",
}
SEVERAL = Asked(BARRIER, [DROPPED, DROPPED, DROPPED], CARD, "300 m")
SUPPLY = {
    "role": "output driver",
    "open-circuit voltage": "21 to 24 V",
    "internal resistance": "40 to 60 ohm",
    "current limit": "90 mA",
}
DETECTOR = {
    "role": "powered transmitter",
    "supply current": "50 mA",
    "start current": "60 mA",
    "charge current": "5 mA",
    "lowest supply voltage": "14 V",
    "highest operating voltage": "30 V",
    "wires": "3",
    "high alarm current": "22 mA",
    "highest load": "500 ohm",
}
THREE_WIRES = Asked(SUPPLY, [DETECTOR], {"load resistance": "250 ohm"}, "300 m")
POSITIONER = {
    "role": "positioner",
    "voltage drop": [("3 mA", "8 to 9 V"), ("23 mA", "9 to 9.5 V")],
    "alive current": "3.5 mA",
    "input capacitance": "5 nF",
    "HART resistance": "200 to 300 ohm",
}
AO_CARD = {
    "low alarm current": "3.8 mA",
    "high alarm current": "21 mA",
    "load compliance": "20 V",
    "lowest load": "50 ohm",
    "open-circuit voltage": "26 V",
    "error budget share": "0.1 %",
    "HART": "yes",
}
DRIVEN = Asked(BARRIER, [POSITIONER], AO_CARD, "300 m")
LOOPS = {
    "barrier": BY_BARRIER,
    "isolator": BY_ISOLATOR,
    "several": SEVERAL,
    "three wires": THREE_WIRES,
    "output": DRIVEN,
}
OPTIONAL = {
    # of what is not stated nothing is asked, or the standard's figure is noted as an assumption
    "barrier": {"return resistance", "return voltage drop"},
    "isolator": {"current limit"},
    "several": {"start current", "return resistance", "return voltage drop", "error budget share",
                "leakage current"},
    "three wires": {"start current", "charge current"},
    "output": {"return resistance", "return voltage drop", "return working voltage", "fuse current",
               "lowest load"},
}  # fmt: skip
"""Figures without which a loop is judged all the same: there is no such part, or none is asked."""
BOTH_WAYS = {"load place", "HART"}
"""Of these both answers are tried; here either holds."""


@pytest.mark.parametrize("name", LOOPS)
def test_each_works_as_it_stands(name):
    found = judge(LOOPS[name])
    assert found.word == "works", found.sentence


@pytest.mark.parametrize("name", LOOPS)
def test_a_figure_that_is_not_known_never_leaves_it_working(name):
    asked = LOOPS[name]
    spoiled = []
    for place, figures in [
        ("source", asked.source),
        ("own", asked.own),
        ("device", asked.devices[0]),
    ]:
        for one in figures:
            left = {key: value for key, value in figures.items() if key != one}
            if place == "device":
                spoiled.append((one, asked._replace(devices=[left, *asked.devices[1:]])))
            else:
                spoiled.append((one, asked._replace(**{place: left})))
    found = judge_all([case for _, case in spoiled])
    for n, (one, _) in enumerate(spoiled):
        finding = found[f"C{n}"]
        if one in OPTIONAL[name] | BOTH_WAYS:
            assert finding.word == "works" or finding.missing, one
        else:
            assert finding.word == "unproven", (one, finding.sentence)
            assert finding.missing, one


@pytest.mark.parametrize("name", LOOPS)
def test_the_staircase_ends_where_the_rule_does(name):
    found = judge(LOOPS[name])
    stairs = found.staircase
    assert stairs is not None
    assert sum(step.change for step in stairs.steps) == pytest.approx(stairs.left, rel=1e-12)
    rule = found.rules["compliance" if name == "output" else
                       "supply volts" if name == "three wires" else "lift-off"]  # fmt: skip
    at = rule.at
    assert at is not None
    group = judge_all([LOOPS[name]])
    again = group.cases[0].stairs(at)
    if name == "output":
        # an output drives what is left over: its staircase ends at the same slack
        slack = rule.limit - rule.demand
        assert again.left - again.needed == pytest.approx(slack, abs=1e-9)
    else:
        assert again.left == pytest.approx(rule.limit, rel=1e-12)
        assert again.needed == pytest.approx(rule.demand, rel=1e-12)


# --- by certificate -------------------------------------------------------------------------------


def certified(lift_off: str, shape: str = "linear") -> ss.Plant:
    """A loop of which nothing functional is known but the transmitter: 28 V, 93 mA."""
    output = ss.Output(Uo="28 V", Io="93 mA", Po="650 mW", shape=shape)
    device = {"role": "two-wire transmitter", "lift-off voltage": lift_off}
    circuit = ss.Circuit(
        tag="F",
        area="A",
        sources=(ss.SourceUse(source="S"),),
        members=(ss.Member(tag="F", apparatus="T"),),
    )
    return ss.Plant(
        areas=(ss.Area(tag="A"),),
        sources=(ss.SourceType(name="S", outputs=(output,)),),
        apparatus=(ss.ApparatusType(name="T", function=data(device)),),
        circuits=(circuit,),
    )


def test_safety_data_alone_show_that_a_loop_cannot_work():
    """28 - 0.020 x 28 / 0.093 = 21.98 V at 20 mA, whatever supply, cable and load are."""
    found = ss.assess(certified("22 V"))["F"].works
    assert (found.word, found.governing) == ("fails", "volts by certificate")
    assert found.rules["volts by certificate"].limit == pytest.approx(28 - 0.02 * 28 / 0.093)
    assert ss.assess(certified("21.9 V"))["F"].works.word == "unproven"
    assert ss.assess(certified("22 V", ""))["F"].works.word == "unproven"
    assert ss.assess(certified("28.1 V", ""))["F"].works.word == "fails"


# --- what is not to be mixed up -------------------------------------------------------------------


def test_that_a_circuit_uses_hart_does_not_make_its_source_pass_it():
    own = {**BY_ISOLATOR.own, "HART place": "safe side"}
    blocks = BY_ISOLATOR._replace(source={**ISOLATOR, "HART": "no"}, own=own)
    assert judge(blocks).rules["HART"].word == "fails"
    silent = {name: value for name, value in ISOLATOR.items() if name != "HART"}
    found = judge(BY_ISOLATOR._replace(source=silent))
    assert found.word == "unproven"
    assert "whether the source passes HART" in found.missing


def test_two_rows_at_one_current_are_a_step_of_the_need_and_a_contradiction_of_the_source():
    """15.5 V up to 11 mA: at 11 mA 16 + (22.5 - 16) x 9 / 20 = 18.93 V are there; 20 V are not."""
    steps = [("3 mA", "15.5 V"), ("11 mA", "15.5 V"), ("11 mA", "10 V"), ("23 mA", "9 V")]
    asked = BY_ISOLATOR._replace(devices=[{**TRANSMITTER, "lift-off voltage": steps}])
    assert judge(asked).word == "works"
    steps[0], steps[1] = ("3 mA", "18.95 V"), ("11 mA", "18.95 V")
    found = judge(asked._replace(devices=[{**TRANSMITTER, "lift-off voltage": steps}]))
    assert (found.word, found.rules["lift-off"].at) == ("fails", 11e-3)
    twice = [("0 mA", "22 V"), ("20 mA", "16 V"), ("20 mA", "15 V"), ("23 mA", "14 V")]
    found = judge(BY_ISOLATOR._replace(source={**ISOLATOR, "terminal voltage": twice}))
    assert found.word == "unproven"
    assert "terminal voltage of the source" in found.missing


def test_an_upper_bound_guarantees_no_volts():
    """At most 24.5 V does not tell that anything is there: neither works nor fails."""
    own = {**CARD, "supply voltage": "<= 24.5 V"}
    assert judge(BY_BARRIER._replace(own=own)).word == "unproven"
    least = {**CARD, "supply voltage": ">= 23.5 V"}
    assert judge(BY_BARRIER._replace(own=least)).rules["lift-off"].word == "works"


def test_an_apparatus_without_a_role_may_stand_in_series():
    found = judge(BY_BARRIER._replace(devices=[TRANSMITTER, {"price": "1"}]))
    assert found.word == "unproven"
    assert "role of D1" in found.missing


def test_a_loop_isolator_with_volts_and_ohms():
    """2 V and 100 ohm at 22.5 mA: 4.25 V fewer."""
    more = {"role": "series element", "voltage drop": "2 V", "series resistance": "100 ohm"}
    alone, both = judge(BY_BARRIER), judge(BY_BARRIER._replace(devices=[TRANSMITTER, more]))
    lost = alone.rules["lift-off"].limit - both.rules["lift-off"].limit
    assert lost == pytest.approx(2.0 + 0.0225 * 100)
    assert any(step.label == "D1" for step in both.staircase.steps)


def test_other_devices_are_another_kind_of_circuit():
    valve = {"role": "solenoid valve"}
    found = judge(BY_BARRIER._replace(devices=[TRANSMITTER, valve]))
    assert (found.word, found.kind) == ("unproven", "")
    assert judge(BY_BARRIER._replace(source={"role": "switch amplifier"})).kind == ""


def test_alarm_ends_set_in_the_circuit_come_before_those_of_the_transmitter():
    found = judge(BY_BARRIER._replace(own={**CARD, "high alarm current": "21.5 mA"}))
    assert found.rules["lift-off"].at == pytest.approx(22e-3)


def test_a_common_return_rail():
    """2 ohm and 0.5 A of others: 1 V and 0.045 V more are lost; 6.25 % of the signal moves."""
    own = {**CARD, "common resistance": "1 ohm", "common current": "0.5 A"}
    before, after = judge(BY_BARRIER), judge(BY_BARRIER._replace(own=own))
    lost = before.rules["lift-off"].limit - after.rules["lift-off"].limit
    assert lost == pytest.approx(0.5 + 0.0225)
    assert after.rules["return rail"].demand == pytest.approx(0.5 / (249 * 0.016))
    assert after.word == "fails"
    blank = {name: value for name, value in own.items() if name != "common current"}
    found = judge(BY_BARRIER._replace(own=blank))
    assert "common current of the return rail" in found.missing


def test_power_of_a_device_and_four_wires():
    """(21 + sqrt(441 - 4 x 0.9 x 60)) / 2 = 18 V, no cable."""
    device = {name: value for name, value in DETECTOR.items() if "current" not in name}
    device |= {"power": "0.9 W", "wires": "4"}
    device.pop("highest load")
    found = judge(THREE_WIRES._replace(devices=[device], length="0 m", own={}))
    rule = found.rules["supply volts"]
    assert rule.limit == pytest.approx((21 + math.sqrt(441 - 4 * 0.9 * 60)) / 2)
    assert rule.at == pytest.approx(0.9 / rule.limit)
    assert found.word == "works"
    assert found.staircase.left == pytest.approx(rule.limit)


def test_two_positioners_in_series_share_one_output():
    found = judge(DRIVEN._replace(devices=[POSITIONER, POSITIONER]))
    assert [of for of, _ in found.devices] == ["D0 and D1"]
    assert found.rules["compliance"].word == "fails"  # 19 V and 300 m more than 20 V


def test_a_coil_behind_an_isolator_that_takes_volts_on_its_safe_side():
    """21.5 mA x 50 ohm + 4 V = 5.08 V of the card; the field 21.5 mA x (300 + 8.4 + ...)."""
    isolator = {
        "role": "current output", "highest load": "700 ohm", "voltage drop": "4 V",
        "input resistance": "50 ohm", "HART": "yes", "HART resistance": "300 ohm",
    }  # fmt: skip
    coil = {
        "role": "positioner", "coil resistance": "300 ohm ± 5 %", "input capacitance": "5 nF",
        "HART resistance": "300 ohm",
    }  # fmt: skip
    own = {**AO_CARD, "load compliance": "5.1 V"}
    del own["error budget share"]
    asked = Asked(isolator, [coil], own, "300 m")
    found = judge(asked)
    assert found.rules["safe-side input"].demand == pytest.approx(4 + 0.0215 * 50)
    assert found.word == "works", found.sentence
    weak = judge(asked._replace(own={**own, "load compliance": "5 V"}))
    assert (weak.word, weak.governing) == ("fails", "safe-side input")


# --- candidates against circuits ------------------------------------------------------------------


def catalogue() -> tuple[ss.SourceType, ...]:
    """Barriers and isolators, each with a figure of its own."""
    kinds = []
    for n, ohms in enumerate((200, 340, 480)):
        figures = {**BARRIER, "end-to-end resistance": f"{ohms} ohm"}
        kinds.append(ss.SourceType(name=f"B{n}", outputs=(ss.Output(Uo="28 V", Io="93 mA"),),
                                   function=data(figures)))  # fmt: skip
    for n, volts in enumerate(("13 V", "16 V")):
        figures = {**ISOLATOR, "terminal voltage": [("0 mA", "22 V"), ("23 mA", volts)]}
        kinds.append(ss.SourceType(name=f"I{n}", outputs=(ss.Output(Uo="26 V", Io="90 mA"),),
                                   function=data(figures)))  # fmt: skip
    kinds.append(ss.SourceType(name="O", outputs=(ss.Output(Uo="5 V", Io="9 mA"),)))
    return tuple(kinds)


@pytest.mark.parametrize("name", ["barrier", "isolator", "several", "three wires", "output"])
def test_a_candidate_is_judged_as_it_would_be_in_the_circuit(name):
    asked = LOOPS[name]
    found = judge_all([asked])
    sources = (*found.context.sources.values(), *catalogue())
    plant = ss.Plant(
        areas=tuple(found.context.areas.values()),
        sources=sources,
        apparatus=tuple(found.context.items.values()),
        cables=tuple(found.context.cables.values()),
        circuits=found.circuits,
    )
    circuit, candidates = plant.circuits[0], tuple(candidates_of(catalogue()))
    told = FunctionTable(Context.of(plant), candidates).against(circuit).verdict.tolist()
    for candidate, said in zip(candidates, told, strict=True):
        alone = dataclasses.replace(plant, circuits=(with_source(circuit, candidate),))
        assert said == int(ss.assess(alone).function.verdict(circuit.tag)), candidate.label


def spread_out(held: object, *, rows: bool) -> object:
    """A column along the first axis of two; of a table every part."""
    if isinstance(held, tuple):
        return type(held)(*(spread_out(part, rows=rows) for part in held))
    return held[..., :, None] if rows else held[..., None, :]


@pytest.mark.parametrize("name", LOOPS)
def test_rules_take_devices_against_sources(name):
    """Sources along one axis, all else along the other: the same as each pair by itself."""
    asked = LOOPS[name]
    lengths, ohms = ("0 m", "2000 m"), ("end-to-end resistance", "internal resistance")
    mine = judge_all([asked._replace(length=one) for one in lengths]).cases
    stated = [one for one in ohms if one in asked.source]
    sources = [asked.source] + [
        {**asked.source, **dict.fromkeys(stated, other)} for other in ("80 ohm", "700 ohm")
    ]
    theirs = judge_all([asked._replace(source=one) for one in sources]).cases
    theirs = [one for one in theirs if one.of == mine[0].of][:3]
    mine = [one for one in mine if one.of == mine[0].of]
    kind, declared = mine[0].kind, KINDS[mine[0].kind].columns
    ours, other = block_columns(kind, mine), block_columns(kind, theirs)
    of_source = {one.name for one in columns_of(declared) if one.owner == "source"}
    both = declared(**{
        one.name: spread_out(getattr(other, one.name), rows=False)
        if one.name in of_source else spread_out(getattr(ours, one.name), rows=True)
        for one in columns_of(declared)
    })  # fmt: skip
    pairs = [
        dataclasses.replace(a, values={
            **a.values, **{name: held for name, held in b.values.items() if name in of_source}})
        for a in mine for b in theirs
    ]  # fmt: skip
    alone = block_columns(kind, pairs)
    seen = set()
    for rule in function_rules(kind):
        said = np.broadcast_to(evaluate(rule, both).verdict, (len(mine), len(theirs)))
        seen |= set(said.ravel().tolist())
        np.testing.assert_array_equal(said.ravel(), evaluate(rule, alone).verdict, rule.name)
    assert len(seen) > 1
