"""The longest run, against the exact oracle, the engine a millimetre further, and by hand."""

from __future__ import annotations

import dataclasses
import json
import math
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

import subspark as ss
from oracle.adapter import UntranslatableError, plant_of
from oracle.generate import random_inputs
from oracle.oracle import judge
from subspark.choose.longest import FARTHEST, longest, with_length
from subspark.demo import build_plant
from subspark.model import Datum, Plant

CASES = json.loads((Path(__file__).parents[1] / "oracle" / "cases.json").read_text("utf-8"))
ASKED = [
    one
    for one in (CASES["cases"] if isinstance(CASES, dict) else CASES)
    if one["expected"].get("longest run", {}).get("metres") is not None
]


def down(exact: Fraction) -> float:
    """A length rounded down to the millimetre."""
    return math.floor(exact * 1000) / 1000


@pytest.mark.parametrize("case", ASKED, ids=[case["id"] for case in ASKED])
def test_worked_circuits(case: dict[str, Any]) -> None:
    """The worked circuits that ask for a longest run: exact fractions, source beside them."""
    expected = case["expected"]["longest run"]
    asked = case["inputs"]["ask"]
    (found,) = longest(plant_of(case["inputs"]), run=asked["run"] - 1)
    if found.safe_to is None:  # another rule fails whatever the length
        assert case["expected"]["verdict"] != "safe"
        return
    exact = down(Fraction(expected["exact metres"]))
    if expected["binds"] == "functional limit":  # given from outside, below that of safety
        assert found.safe_to > exact
        return
    assert found.safe_to == exact
    assert found.safe_binds == expected["binds"]


def test_random_circuits_agree_with_the_oracle() -> None:
    """The oracle solves for the length in fractions, from the rules and not from the engine."""
    compared = 0
    for seed in range(1200):
        inputs = random_inputs(seed)
        inputs["ask"] = {"run": 1}
        result = judge(inputs)
        told = result.get("longest run") or {}
        if result["verdict"] != "safe" or told.get("exact metres") is None:
            continue
        if result["open points"] or result["bad input"] or result.get("alternatives"):
            continue
        try:
            plant = plant_of(inputs)
        except UntranslatableError:
            continue
        if ss.assess(plant)["X"].verdict.word != "safe" or not plant.circuits[0].runs:
            continue
        (found,) = longest(plant, run=0)
        assert found.safe_to == min(down(Fraction(told["exact metres"])), FARTHEST), seed
        compared += 1
    assert compared > 100


def test_the_engine_holds_there_and_not_a_millimetre_further() -> None:
    plant = build_plant()
    tags = [one.tag for one in plant.circuits[::7]]
    for found in longest(plant, tags):
        if found.safe_to is None or found.safe_to >= FARTHEST:
            continue
        verdicts = []
        for length in (found.safe_to, round(found.safe_to + 0.001, 3)):
            number = plant.circuit(found.tag).runs[found.run].number
            circuits = tuple(
                dataclasses.replace(
                    one,
                    runs=tuple(
                        with_length(run, length)
                        if (one.tag == found.tag and at == found.run)
                        or (number and run.number == number)
                        else run
                        for at, run in enumerate(one.runs)
                    ),
                )
                for one in plant.circuits
            )
            changed = dataclasses.replace(plant, circuits=circuits)
            finding = next(ss.assess(changed, [found.tag]).summaries())
            verdicts.append((finding.verdict.word, finding.governing))
        assert verdicts[0][0] == "safe", found
        assert verdicts[1][0] != "safe", found
        assert verdicts[1][1] == found.safe_binds


def test_a_cable_used_there_and_back_grows_as_one() -> None:
    """Both runs bear the number of one cable: neither may stay short while the other grows."""
    plant = build_plant()
    found = next(
        one
        for one in plant.circuits
        if len(one.sources) == 1 and one.method == "entity" and len(one.runs) == 1
        and ss.assess(plant, [one.tag])[one.tag].verdict.word == "safe"
    )  # fmt: skip
    run = dataclasses.replace(with_length(found.runs[0], 1.0), number="W-THERE-AND-BACK")

    def of(length: float) -> Plant:
        runs = (with_length(run, length),) * 2
        changed = dataclasses.replace(found, runs=runs)
        circuits = tuple(changed if one.tag == found.tag else one for one in plant.circuits)
        return dataclasses.replace(plant, circuits=circuits)

    def safe(length: float) -> bool:
        return ss.assess(of(length), [found.tag])[found.tag].verdict.word == "safe"

    (told,) = longest(of(1.0), [found.tag], function=False)
    assert told.safe_to is not None
    assert 1.0 < told.safe_to < FARTHEST
    assert safe(told.safe_to)
    assert not safe(told.safe_to + 0.001)


def loop(lift_off: str = "10.5 V") -> Plant:
    """A barrier loop: 24 V, 340 ohm, diode 0.9 V + 25 ohm, load 250 ohm, 1.5 mm2 at 50 degC."""

    def data(**given: str) -> tuple[Datum, ...]:
        return tuple(Datum(what=name.replace("_", " "), value=text) for name, text in given.items())

    area = ss.Area(tag="A", ambient="-20 to 50 °C")
    source = ss.SourceType(
        name="B",
        isolation="earthed barrier",
        outputs=(ss.Output(Uo="28 V", Io="93 mA", Po="650 mW"),),
        function=(
            Datum(what="role", value="shunt-diode barrier"),
            Datum(what="end-to-end resistance", value="340 ohm"),
            Datum(what="return resistance", value="25 ohm"),
            Datum(what="return voltage drop", value="0.9 V"),
            Datum(what="fuse current", value="100 mA"),
            Datum(what="highest supply", value="35 V"),
            Datum(what="working voltage", value="26 V"),
            Datum(what="leakage current", value="0 mA"),
        ),
    )
    transmitter = ss.ApparatusType(
        name="T",
        function=(
            Datum(what="role", value="two-wire transmitter"),
            Datum(what="lift-off voltage", value=lift_off),
            Datum(what="low alarm current", value="3.6 mA"),
            Datum(what="high alarm current", value="22 mA"),
            Datum(what="highest operating voltage", value="30 V"),
            Datum(what="HART", value="no"),
        ),
    )
    cable = ss.CableType(name="K", section="1.5 mm2", conductor="stranded", tinned="no")
    circuit = ss.Circuit(
        tag="FT-1",
        area="A",
        sources=(ss.SourceUse(source="B", place="A", place_ambient="10 to 20 °C"),),
        members=(ss.Member(tag="FT-1", apparatus="T"),),
        runs=(ss.Run(cable="K", length="500 m"),),
        function=(
            *data(supply_voltage="24 V", load_resistance="250 ohm", load_place="supply leg"),
            *data(error_budget_share="0.1 %", input_limit_voltage="30 V"),
        ),
    )
    return Plant(
        areas=(area,), sources=(source,), apparatus=(transmitter,), cables=(cable,),
        circuits=(circuit,),
    )  # fmt: skip


def test_a_length_bound_by_function_by_hand() -> None:
    """(24 - 0.9 - 0.022 x 615 - lift-off) / 0.022 / (2 x 12.1e-3 x 284.5/254.5), by fractions."""
    metre = Fraction(2 * 121, 10_000) * Fraction(2845, 2545)
    left = Fraction(231, 10) - Fraction(22, 1000) * 615 - Fraction(9)
    exact = left / Fraction(22, 1000) / metre
    (found,) = longest(loop("9 V"))
    assert found.works_to == down(exact)
    assert found.works_binds == "lift-off"
    assert found.works_from == 0.0
    assert found.safe_to is None  # nothing is known of its safety


def test_a_loop_that_works_at_no_length_says_why() -> None:
    (found,) = longest(loop("10.5 V"))
    assert found.works_to is None
    assert found.works_binds == "fails: lift-off"
