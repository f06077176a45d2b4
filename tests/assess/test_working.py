"""The working of one circuit: numbers, words and evidence that an engineer can follow.

Expected numbers are worked by hand in the comments; rules from memory of IEC 60079-11 and -14.
"""

from __future__ import annotations

import dataclasses
import json
from pathlib import Path

import pytest

import subspark as ss
from oracle.adapter import UntranslatableError, plant_of
from oracle.generate import random_inputs
from subspark.assess.tree import Check, Line, Reference, Table
from subspark.assess.working import working
from subspark.demo import FAULTS, build_plant

WORKED = json.loads(
    (Path(__file__).parents[1] / "oracle" / "cases.json").read_text(encoding="utf-8")
)["cases"]


@pytest.fixture(scope="module")
def demo():
    return ss.assess(build_plant())


def of_worked(name):
    case = next(one for one in WORKED if one["id"] == name)
    plant = plant_of(case["inputs"])
    return working(ss.assess(plant), plant.circuits[0].tag)


def texts(told, key):
    return [
        f"{block.label}: {block.text}" if block.label else block.text
        for section in told.sections
        if section.key == key
        for block in section.blocks
        if isinstance(block, Line)
    ]


def test_sections_stand_in_the_order_in_which_they_are_read(demo):
    told = working(demo, "AT-4091")
    assert [one.key for one in told.sections] == [
        "verdict", "atmosphere", "source", "apparatus", "cable", "energy", "rules",
        "function", "assumptions", "declarations", "evidence",
    ]  # fmt: skip
    assert told.section("energy").title == "Stored energy"
    assert told.section("combination") is None


def test_lumped_parts_halved(demo):
    said = texts(working(demo, "AT-4091"), "energy")
    # 120 uH / 4.3 mH = 2.79 %; 40 nF / 99 nF = 40.4 %; 99 nF / 2 = 49.5 nF; 4.3 mH / 2 = 2.15 mH
    assert "lumped parts: Li 120 µH is 2.79 % of Lo 4.3 mH; Ci 40 nF is 40.4 % of Co 99 nF" in said
    assert "k = 1/2: both are at least 1 %, so half of each may be used" in said
    assert "half of Co: 99 nF / 2 = 49.5 nF, below the cap of 600 nF" in said
    assert "half of Lo: 4.3 mH / 2 = 2.15 mH" in said
    # 40 nF + 180 m x 95 pF/m; 120 uH + 180 m x 0.7 uH/m
    assert "C in all: 40 nF + 17.1 nF = 57.1 nF" in said
    assert "L in all: 120 µH + 126 µH = 246 µH" in said
    assert "capacitance: 57.1 nF against 49.5 nF" in said
    assert "by L/R: closed: the lumped Li is not below 1 % of Lo" in said


def test_half_of_co_capped():
    said = texts(of_worked("E02"), "energy")
    # 15 uH / 0.88 mH = 1.70 %; 590 nF / 3 uF = 19.7 %; half of 3 uF is above the cap for IIC
    assert "lumped parts: Li 15 µH is 1.70 % of Lo 880 µH; Ci 590 nF is 19.7 % of Co 3 µF" in said
    assert "half of Co: 3 µF / 2 = 1.5 µF, capped at 600 nF" in said
    assert "capacitance: 602 nF against 600 nF" in said


def test_lumped_parts_just_below_one_percent_are_not_rounded_up():
    said = texts(of_worked("E03"), "energy")
    # 174 uH / 17.5 mH = 0.994 %; 7.4 nF / 770 nF = 0.961 %
    assert (
        "lumped parts: Li 174 µH is 0.994 % of Lo 17.5 mH; Ci 7.4 nF is 0.961 % of Co 770 nF"
        in said
    )
    assert "k = 1: the lumped L is below 1 %, so Co and Lo may both be used in full" in said


def test_route_by_ratio():
    said = texts(of_worked("E05"), "energy")
    # 0.7 uH/m / 70 ohm/km = 10 uH/ohm
    assert "inductance by L: 985 µH against 880 µH" in said
    assert "by L/R: 10 µH/ohm against 71 µH/ohm; open: this way counts, it uses less" in said


def test_defaults_are_called_assumptions():
    told = of_worked("E06")
    said = " ".join(texts(told, "cable"))
    assert "900 m x 200 pF/m = 180 nF; C': default, IEC 60079-14:2013 16.2.2.2" in said
    assert "30 µH/ohm; default, IEC 60079-14:2013 16.2.2.2: an assumption" in said
    assert "run K0: capacitance 200 pF/m" in texts(told, "assumptions")


def test_pairs_are_listed_and_the_one_used_is_named():
    table = next(
        block for block in of_worked("E07").section("energy").blocks if isinstance(block, Table)
    )
    # 112 nF of 120 nF = 93.3 %, 1.62 mH of 2 mH = 81.0 %
    assert table.rows == (
        ("1", "112 nF of 165 nF", "67.9 %", "1.62 mH of 500 µH", "324 %"),
        ("2 (used)", "112 nF of 120 nF", "93.3 %", "1.62 mH of 2 mH", "81.0 %"),
        ("3", "112 nF of 90 nF", "124 %", "1.62 mH of 5 mH", "32.4 %"),
    )


def test_source_that_is_not_linear_cannot_be_halved():
    said = texts(of_worked("E14"), "energy")
    assert any(line.startswith("k unknown: both are at least 1 %, and halving is") for line in said)


def test_sources_in_parallel_are_drawn_and_calculated():
    told = of_worked("E16")
    said = texts(told, "combination")
    assert said[:4] == [
        "in parallel: [supply channel: 26 V, 90 mA] --+",
        "[return channel: 26 V, 0 A  ] --+--> field",
        "U: the larger of 26 V and 26 V = 26 V",
        "I: 90 mA + 0 A = 90 mA",
    ]
    assert "permitted I: 143 mA permitted at 26 V, IIC, factor 1.5" in said
    cases = told.section("cases").blocks[0]
    assert [row[:2] for row in cases.rows] == [
        ("parallel", "safe"),
        ("supply channel alone", "safe"),
    ]


def test_sources_in_series_are_drawn_and_calculated():
    said = texts(of_worked("E13"), "combination")
    assert said[0].startswith("in series: [aspen isolator: 26 V, 90 mA] -- [yew isolator: ")
    assert "U: 26 V + 14 V = 40 V" in said


def test_circuits_joined_by_a_multicore_are_told_apart():
    plant = build_plant()
    cables = [
        dataclasses.replace(one, multicore="other") if one.multicore == "A" else one
        for one in plant.cables
    ]
    told = working(ss.assess(dataclasses.replace(plant, cables=cables), ["LT-1011"]), "LT-1011")
    assert told.case == "with PT-1001: series"
    titles = [one.title for one in told.sections]
    assert "Source MC-1/007" in titles
    assert "Source MC-1/001, of circuit PT-1001 in the same multicore" in titles
    assert any("shared cable: evidence of type A or B" in line for line in texts(told, "verdict"))
    # 22 V and 26 V in series; the pairs of LM-22P give no Co of its own
    said = texts(told, "combination")
    assert "U: 26 V + 22 V = 48 V" in said
    assert any(line.endswith("and the smallest declared (unknown)") for line in said)


def test_dust_limit_shows_how_it_was_got(demo):
    said = texts(working(demo, "MT-5291"), "atmosphere")
    # layer 300 degC less 75 K = 225 degC, lower than 2/3 of 400 degC
    assert "surfaces: no surface above 225 °C" in said
    assert any("2/3 of 400 °C" in line and "300 °C less 75 K" in line for line in said)


def test_a_doubted_value_is_set_aside_where_it_is_listed(demo):
    told = working(demo, "FT-4091")
    said = texts(told, "source")
    assert "Lo set aside until the cross-check is answered" in said
    assert texts(told, "missing") == [
        "answer: source RW-1126 issue A: answer the cross-check of Lo"
    ]
    assert len(texts(told, "warnings")) == 1


def test_every_rule_that_is_asked_stands_with_numbers_and_clause(demo):
    told = working(demo, "AT-4091")
    checks = {one.rule: one for one in told.section("rules").blocks if isinstance(one, Check)}
    finding = demo["AT-4091"]
    asked = {name for name, one in finding.rules.items() if one.verdict.word != "not asked"}
    assert set(checks) == asked
    one = checks["capacitance"]
    assert one.verdict == "unsafe"
    assert one.numbers == "57.1 nF > 49.5 nF"
    assert one.relation == "sum Ci + Cc <= k Co"
    assert one.remedy
    assert all(check.clause for check in checks.values())


def test_every_number_leads_to_its_evidence(demo):
    told = working(demo, "AT-4091")
    listed = {
        one.number: one for one in told.section("evidence").blocks if isinstance(one, Reference)
    }
    output = next(one for one in told.section("source").blocks if "Uo 26 V" in one.text)
    assert [listed[ref].text for ref in output.refs] == ["DEMO 21.0001, p. 3"]
    assert "Uo, Io, Po of MC-1/140" in listed[output.refs[0]].of
    lines = [b for s in told.sections for b in s.blocks if isinstance(b, Line)]
    assert {ref for line in lines for ref in line.refs} == set(listed)


def test_what_has_no_evidence_is_said():
    said = texts(of_worked("E01"), "evidence")
    assert said[0].startswith("no evidence stated: ")


def test_declarations_are_named_with_their_scope_and_evidence(demo):
    told = working(demo, "AT-4091")
    line = told.section("declarations").blocks[0]
    assert (line.label, line.text) == ("safe side voltage", "250 V (the whole plant)")
    assert line.refs


@pytest.mark.parametrize("fault", FAULTS, ids=lambda one: one.tag)
def test_each_deliberate_fault_is_told_first_and_with_a_way_out(demo, fault):
    told = working(demo, fault.tag)
    assert told.verdict == fault.verdict
    assert told.sentence.startswith(f"{fault.verdict.capitalize()}. {fault.rule.capitalize()}")
    label = "what would mend it" if fault.verdict == "unsafe" else "what would show it"
    assert any(line.startswith(label) for line in texts(told, "verdict"))


def test_a_circuit_that_was_not_assessed_is_refused():
    part = ss.assess(build_plant(), ["PT-1101"])
    with pytest.raises(ss.UsageError, match="circuit 'AT-4091' was not assessed"):
        working(part, "AT-4091")


def test_any_circuit_has_a_working_that_is_plain_data():
    told = 0
    for seed in range(300):
        try:
            plant = plant_of(random_inputs(seed, extras=seed % 2 == 0))
        except UntranslatableError:
            continue
        one = working(ss.assess(plant), plant.circuits[0].tag)
        text = json.dumps(one.as_dict(), allow_nan=False)
        assert " nan" not in text
        told += 1
    assert told > 200
