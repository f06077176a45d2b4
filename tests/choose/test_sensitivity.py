"""How far inputs may move: by hand, against plain bisection with the engine, a digit further."""

from __future__ import annotations

import dataclasses
import json
import math
from fractions import Fraction
from typing import Any

import pytest

import subspark as ss
from subspark.choose.change import apply, edit, value_at
from subspark.choose.longest import longest
from subspark.choose.sensitivity import Sensed, Sensitivity, Span, sensitivity
from subspark.choose.sensitivity_copies import Copies, Variant
from subspark.choose.sensitivity_inputs import inputs_of
from subspark.choose.sensitivity_lattice import Lattice, lattice_of
from subspark.demo import build_division_plant, build_plant
from subspark.errors import UsageError
from subspark.model import Datum, Plant
from subspark.quantity import (
    CAPACITANCE,
    LENGTH,
    TEMPERATURE,
    VOLTAGE,
    exact_text,
    moved,
    read,
    read_spread,
)
from subspark.rules import Verdict

DEMO = build_plant()
TRUNK = "PT-1102"  # in a multicore of type A with seven others
ALONE = "AT-4091"  # the deliberate fault of the lumped rule


@pytest.fixture(scope="module")
def trunk() -> Sensitivity:
    return sensitivity(DEMO, TRUNK)


@pytest.fixture(scope="module")
def alone() -> Sensitivity:
    return sensitivity(DEMO, ALONE)


def with_value(plant: Plant, one: Sensed, value: float) -> Plant:
    """The whole plant with one quantity moved, by an edit as a user would make it."""
    place = one.input.place
    held = value_at(plant, place)
    text = exact_text(value, one.kind)
    if isinstance(held, dict):
        return apply(plant, [edit(plant, place, {**held, "text": text})])
    return apply(plant, [edit(plant, place, text)])


def verdict(plant: Plant, tag: str) -> Verdict:
    return next(ss.assess(plant, [tag]).summaries()).verdict


def digit_further(value: float, *, up: bool) -> float:
    """The next number of six significant digits, by its decimal text."""
    mantissa, power = f"{value:.5e}".split("e")
    step = Fraction(1, 10**5) * (1 if up else -1)
    return float((Fraction(mantissa) + step) * Fraction(10) ** int(power))


# --- by hand ---------------------------------------------------------------------------------


def test_input_voltage_is_bound_at_output_voltage(trunk: Sensitivity) -> None:
    """Uo 26 V <= Ui: equality is safe (IEC 60079-14, the comparison of voltages)."""
    one = trunk["KW-P30: Ui"]
    assert one.safety is not None
    assert one.safety.low.value == 26.0
    assert (one.safety.low.binds, one.safety.low.becomes) == ("voltage", "unsafe")
    assert not one.safety.high.bound


def test_power_and_current_are_bound_at_the_source(trunk: Sensitivity) -> None:
    """Io 90 mA, Po 585 mW of the source stand in the demo catalogue."""
    for label, least, rule in (("KW-P30: Ii", 0.09, "current"), ("KW-P30: Pi", 0.585, "power")):
        span = trunk[label].safety
        assert span is not None
        assert (span.low.value, span.low.binds) == (least, rule)


def test_capacitance_by_hand(trunk: Sensitivity) -> None:
    """99 nF less 210 m x 110 pF/m less 28 m x 95 pF/m: what Ci may be."""
    span = trunk["KW-P30: Ci"].safety
    assert span is not None
    assert span.high.value == pytest.approx(99e-9 - 210 * 110e-12 - 28 * 95e-12, rel=1e-12)
    assert span.high.binds == "capacitance"


def test_an_unsafe_circuit_is_told_how_far_it_is_from_safe(alone: Sensitivity) -> None:
    """40 nF + 180 m x 95 pF/m against 49.5 nF; Li below 1 % of 4.3 mH frees all of 99 nF."""
    length = alone["run 1 (C-AT-4091): length"].safety
    assert length is not None
    assert length.low.value == 100.001
    assert (length.low.becomes, length.low.binds) == ("safe", "capacitance")
    Li = alone["TG-9: Li"].safety
    assert Li is not None
    assert Li.low.value == 43e-6
    assert Li.low.becomes == "safe"


def test_length_is_bound_at_the_longest_run(trunk: Sensitivity) -> None:
    (told,) = longest(DEMO, [TRUNK])
    span = trunk["run 1 (W-112): length"].safety
    assert span is not None
    assert told.safe_to is not None
    assert span.high.value == pytest.approx(told.safe_to, abs=1e-3)
    assert span.high.binds == told.safe_binds


# --- against the engine ----------------------------------------------------------------------

PLAIN = [
    "RW-1126: Uo", "RW-1126: Io", "RW-1126: Po", "RW-1126, IIC: Co", "RW-1126, IIC: Lo",
    "KW-P30: Ui", "KW-P30: Ii", "KW-P30: Pi", "KW-P30: Ci", "KW-P30: Li", "FC 2x1.5: C",
    "MA 8x2x0.75: L", "run 2 (C-PT-1102): length", "RW-1126, port signal: Um",
]  # fmt: skip


@pytest.mark.parametrize("label", PLAIN)
def test_ends_hold_in_the_whole_plant_and_a_digit_further_they_do_not(
    trunk: Sensitivity, label: str
) -> None:
    one = trunk[label]
    base = verdict(DEMO, TRUNK)
    assert one.safety is not None
    for end, up in ((one.safety.low, False), (one.safety.high, True)):
        if end.value is None:
            continue
        assert verdict(with_value(DEMO, one, end.value), TRUNK) is base
        further = digit_further(end.value, up=up)
        found = next(ss.assess(with_value(DEMO, one, further), [TRUNK]).summaries())
        assert found.verdict.word == end.becomes
        assert found.governing == end.binds


@pytest.mark.parametrize(
    ("label", "far"), [("KW-P30: Ci", 5e-6), ("KW-P30: Ui", 0.03), ("FC 2x1.5: C", 95e-9)]
)
def test_plain_bisection_finds_the_same(trunk: Sensitivity, label: str, far: float) -> None:
    """Halving between the present and the far value in double precision, the engine asked."""
    one = trunk[label]
    near, base = one.now, verdict(DEMO, TRUNK)
    for _ in range(60):
        middle = (near + far) / 2.0
        if verdict(with_value(DEMO, one, middle), TRUNK) is base:
            near = middle
        else:
            far = middle
    assert one.safety is not None
    end = one.safety.high if near > one.now else one.safety.low
    assert end.value is not None
    assert end.value == pytest.approx(near, rel=1.1e-5)
    assert end.value <= near * (1 + 1e-11) if near > one.now else end.value >= near * (1 - 1e-11)


SEGMENT = next(one.tag for one in DEMO.circuits if one.method != "entity")


@pytest.mark.parametrize("tag", ["HS-1151", "TE-1131", "LSH-5102", "PT-1163", SEGMENT])
def test_an_unchanged_copy_is_judged_as_in_the_plant(tag: str) -> None:
    """Multicores that merge, thermocouples, fieldbus: one input of each sort put where it is."""
    judged = ss.assess(DEMO, [tag])
    found = next(judged.summaries())
    copies = Copies(DEMO, tag, None)
    inputs = inputs_of(copies.part, tag, copies.assessment)
    sorts = {one.sort: one for one in inputs if one.varies and one.now != 0.0}
    assert len(sorts) >= 5
    told = copies.both([Variant(one, one.now) for one in sorts.values()])
    for answer, works in told:
        assert (answer.verdict, answer.governing) == (found.verdict, found.governing)
        assert works is judged.function.verdict(tag)


def test_safety_is_monotone_where_limits_and_demands_stand_alone(trunk: Sensitivity) -> None:
    """Less C, L and length, or more Ui, Ii and Pi, never ends a safe verdict."""
    for label in ("KW-P30: Ci", "KW-P30: Li", "FC 2x1.5: C", "MA 8x2x0.75: C"):
        span = trunk[label].safety
        assert span is not None
        assert not span.low.bound
        assert span.high.bound
    for label in ("KW-P30: Ui", "KW-P30: Ii", "KW-P30: Pi"):
        span = trunk[label].safety
        assert span is not None
        assert not span.high.bound
        assert span.low.bound


def test_order_is_by_tightness(trunk: Sensitivity) -> None:
    moves = [one.tightness for one in trunk.inputs]
    assert moves == sorted(moves)
    assert not any(trunk.inputs[-1].ends)


# --- function --------------------------------------------------------------------------------


def loop(**changed: str) -> Plant:
    """24 V behind 340 + 25 ohm and 0.9 V, 250 ohm in the supply leg, 500 m of 1.5 mm2."""
    given = {"supply": "24 V", "lift-off": "8 V", "working": "26 V", **changed}

    def data(*pairs: tuple[str, str]) -> tuple[Datum, ...]:
        return tuple(Datum(what=what, value=value) for what, value in pairs)  # type: ignore[arg-type]

    return Plant(
        areas=(
            ss.Area(
                tag="A",
                ambient="-20 to 50 °C",
                atmospheres=(ss.Atmosphere(zone="1", group="IIC", temperature="T4"),),
            ),
        ),
        sources=(
            ss.SourceType(
                name="B",
                isolation="earthed barrier",
                outputs=(ss.Output(Uo="28 V", Io="93 mA", Po="650 mW"),),
                function=data(
                    ("role", "shunt-diode barrier"),
                    ("end-to-end resistance", "340 ohm"),
                    ("return resistance", "25 ohm"),
                    ("return voltage drop", "0.9 V"),
                    ("fuse current", "100 mA"),
                    ("highest supply", "35 V"),
                    ("working voltage", given["working"]),
                    ("leakage current", "0 mA"),
                ),
            ),
        ),
        apparatus=(
            ss.ApparatusType(
                name="T",
                entries=(ss.Entry(mark="Ex ia IIC T4 Ga", Ui="30 V", Ii="100 mA", Pi="1 W"),),
                function=data(
                    ("role", "two-wire transmitter"),
                    ("lift-off voltage", given["lift-off"]),
                    ("low alarm current", "3.6 mA"),
                    ("high alarm current", "22 mA"),
                    ("highest operating voltage", "40 V"),
                    ("HART", "no"),
                ),
            ),
        ),
        cables=(ss.CableType(name="K", section="1.5 mm2", conductor="stranded", tinned="no"),),
        circuits=(
            ss.Circuit(
                tag="FT-1",
                area="A",
                sources=(ss.SourceUse(source="B", place="safe area", place_ambient="20 to 40 °C"),),
                members=(ss.Member(tag="FT-1", apparatus="T"),),
                runs=(ss.Run(cable="K", length="500 m"),),
                function=data(
                    ("supply voltage", given["supply"]),
                    ("load resistance", "250 ohm"),
                    ("load place", "supply leg"),
                    ("error budget share", "0.1 %"),
                    ("input limit voltage", "40 V"),
                ),
            ),
        ),
    )


LINE = Fraction(2 * 121, 10_000) * Fraction(2845, 2545) * 500
"""2 x 12.1 ohm/km (IEC 60228 class 2) at 50 degC by (234.5 + t) / 254.5, 500 m."""


def test_supply_between_lift_off_and_working_voltage_by_hand() -> None:
    """Least: 8 V + 0.9 V + 22 mA x (365 + 250 + line); most: the working voltage at 20 degC."""
    least = Fraction(8) + Fraction(9, 10) + Fraction(22, 1000) * (615 + LINE)
    found = sensitivity(loop(), "FT-1")
    assert found.works == "works"
    span = found["FT-1: supply voltage"].works
    assert span is not None
    assert span.low.value is not None
    assert 0 <= span.low.value - least <= Fraction(1, 10_000)
    assert (span.low.binds, span.low.becomes) == ("lift-off", "fails")
    assert (span.high.value, span.high.binds, span.high.becomes) == (
        26.0,
        "working voltage",
        "fails",
    )


def test_a_tolerance_moves_with_its_figure() -> None:
    """24 V ± 2 %: the greatest reaches 26 V where the nominal is 26 / 1.02."""
    span = sensitivity(loop(supply="24 V ± 2 %"), "FT-1")["FT-1: supply voltage"].works
    assert span is not None
    assert span.high.value is not None
    assert 0 <= Fraction(26) / Fraction(102, 100) - Fraction(span.high.value) < Fraction(1, 10_000)


def test_a_circuit_that_fails_is_told_what_would_make_it_work() -> None:
    """Lift-off 10.5 V wants 25.2277 V: the supply may rise to there and still fails."""
    least = Fraction(105, 10) + Fraction(9, 10) + Fraction(22, 1000) * (615 + LINE)
    found = sensitivity(loop(**{"lift-off": "10.5 V"}), "FT-1")
    assert found.works == "fails"
    end = found["FT-1: supply voltage"].works.high  # type: ignore[union-attr]
    assert end.value is not None
    assert 0 <= least - Fraction(end.value) <= Fraction(1, 10_000)
    assert (end.becomes, end.binds) == ("works", "lift-off")


def test_function_agrees_with_the_engine_at_every_end() -> None:
    plant = loop()
    found = sensitivity(plant, "FT-1")
    compared = 0
    for one in found.inputs:
        for end, up in _ends(one.works):
            if end.value is None or one.input.sort != "figure":
                continue
            index, name = one.input.path[3], str(one.input.path[0])
            for value, holds in ((end.value, True), (digit_further(end.value, up=up), False)):
                record = getattr(plant, name)[0]
                data = list(record.function)
                data[index] = Datum(what=data[index].what, value=exact_text(value, one.kind))  # type: ignore[index, call-overload]
                fresh = dataclasses.replace(record, function=tuple(data))
                changed = dataclasses.replace(plant, **{name: (fresh,)})
                works = ss.assess(changed)["FT-1"].works
                assert (works.word == "works") is holds, (one.label, value)
            compared += 1
    assert compared > 8


def _ends(span: Span | None) -> list[tuple[Any, bool]]:
    return [] if span is None else [(span.low, False), (span.high, True)]


# --- what is not a number, and other corners ---------------------------------------------------


def test_unknown_inputs_are_listed() -> None:
    found = sensitivity(loop(), "FT-1")
    assert found.verdict != "safe"
    labels = {one.label for one in found.unknown}
    assert {"T: Ci", "T: Li", "K: C", "K: L"} <= labels
    assert not labels & {one.label for one in found.inputs}


def test_a_range_never_turns_round(trunk: Sensitivity) -> None:
    low, high = trunk["area SKID-1: ambient low"], trunk["area SKID-1: ambient high"]
    assert low.input.most == high.now == 40.0
    assert low.safety is not None
    assert high.safety is not None
    assert (low.safety.low.value, high.safety.high.value) == (-40.0, 60.0)  # as marked
    assert (low.safety.low.binds, high.safety.high.binds) == ("ambient", "ambient")


def test_lengths_are_told_in_feet_where_the_code_has_feet() -> None:
    plant = build_division_plant()
    tag = plant.circuits[0].tag
    found = sensitivity(plant, tag)
    run = next(one for one in found.inputs if one.label.endswith("length"))
    assert run.show(run.now).endswith(" ft")
    end = next((end for _, end in run.ends), None)
    if end is not None and end.value is not None:
        feet = Fraction(end.value) / Fraction(3048, 10_000)
        assert float(feet) == pytest.approx(float(f"{float(feet):.6g}"), rel=1e-12)


def test_a_tag_that_is_not_there() -> None:
    with pytest.raises(UsageError, match="no circuit 'X'"):
        sensitivity(DEMO, "X")


def test_json_has_no_number_that_json_lacks(trunk: Sensitivity) -> None:
    text = json.dumps(trunk.as_dict(), allow_nan=False)
    assert json.loads(text)["inputs"][0]["input"] == trunk.inputs[0].label


# --- numbers in order ------------------------------------------------------------------------


@pytest.mark.parametrize("value", [1.0, 9.99999, 26.0, 8.3e-8, 999999.0, 1.23456e-12])
def test_places_are_numbers_of_six_digits_in_order(value: float) -> None:
    lattice = Lattice(signed=False)
    place = lattice.index(value, up=False)
    assert lattice.index(value, up=True) == place
    assert lattice.value(place) == value
    assert lattice.value(place + 1) == pytest.approx(digit_further(value, up=True), rel=1e-15)
    assert lattice.value(place - 1) < value < lattice.value(place + 1)


def test_a_number_between_two_places() -> None:
    lattice = Lattice(signed=False)
    third = 1.0 / 3.0
    assert lattice.index(third, up=True) == lattice.index(third, up=False) + 1


def test_grids_keep_within_their_ends() -> None:
    cold = lattice_of(TEMPERATURE, feet=False)
    grid = cold.grid(40.0, up=True, least=-math.inf, most=50.0)
    assert [cold.value(one) for one in grid] == [41.0, 45.0, 50.0]
    assert cold.grid(399.5, up=True, least=-math.inf, most=math.inf) == [400_000]
    feet = lattice_of(LENGTH, feet=True)
    assert feet.value(feet.index(365.76, up=False)) == 365.76


# --- figures moved ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "to", "expected"),
    [
        ("24 V", 30.0, (30.0, 30.0, 30.0)),
        ("24 V ± 10 %", 30.0, (27.0, 30.0, 33.0)),
        ("21.6 to 28.8 V", 50.4, (43.2, 50.4, 57.6)),
        ("<= 340 V", 300.0, (0.0, math.nan, 300.0)),
        (">= 16 V", 12.5, (12.5, math.nan, math.nan)),
    ],
)
def test_a_moved_figure_keeps_its_tolerance(
    text: str, to: float, expected: tuple[float, float, float]
) -> None:
    found = read_spread(moved(text, VOLTAGE, to), VOLTAGE)
    assert found[:3] == pytest.approx(expected, rel=1e-13, nan_ok=True)


def test_temperatures_move_by_their_distance() -> None:
    assert read_spread(moved("-20 to 60 °C", TEMPERATURE, 35.0), TEMPERATURE)[:3] == (-5, 35, 75)


def test_exact_texts_read_back() -> None:
    for value in (1.25, 123.456, 0.001, 8.3e-8, 3.33333e-10):
        assert read(exact_text(value, CAPACITANCE), CAPACITANCE)[0] == value
        assert read(exact_text(value, LENGTH), LENGTH)[0] == value
