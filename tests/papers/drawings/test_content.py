"""What stands on a drawing is what the plant and the findings say."""

from __future__ import annotations

import dataclasses
import re

import pytest

from papers.drawings.reading import squeezed, words_of
from subspark.assess import assess
from subspark.errors import UsageError
from subspark.model import SAFE_AREA, Area, Atmosphere, StandaloneCircuit, StandaloneRun
from subspark.papers.drawings import (
    TitleFields,
    cabinet_earth_drawing,
    circuit_drawing,
    installation_drawing,
    multicore_drawing,
    terminal_plan,
)
from subspark.papers.drawings.facts import facts_of
from subspark.papers.drawings.notes import notes_of, rounded_down
from subspark.papers.drawings.shapes import EX_I, PENS, Text, flat
from subspark.papers.drawings.tree import tree_of
from subspark.quantity import CAPACITANCE, LENGTH, read
from subspark.rules import Verdict

UNSIGNED = TitleFields()
SIGNED = TitleFields(
    owner="Owner Ltd", creator="A. Writer", approver="B. Checker", date="2026-11-25"
)


def test_every_part_of_a_circuit_is_there_by_its_tag(station):
    for circuit in station.circuits[::2]:
        words = squeezed(words_of(circuit_drawing(station, circuit.tag)))
        facts = facts_of(station, circuit.tag)
        parts = [one.tag for one in (*facts.sources, *facts.members)]
        parts += [one.label for one in facts.runs]
        boxes = {run.end for run in circuit.runs} & set(station.context.junctions)
        missing = [one for one in (*parts, *boxes) if squeezed(one) not in words]
        assert not missing, circuit.tag


def test_certificates_markings_and_parameters_are_those_of_the_catalogue(station):
    words = squeezed(words_of(installation_drawing(station, "PT-1101", "A4")))
    for printed in (
        # as the demo's catalogue has them: KW-P30, KW-C1 and RW-1126
        "Ui 30 V", "Ii 120 mA", "Pi 900 mW", "Ci 5 nF", "Li 10 µH", "DEMO 22.0101X, issue 1",
        "Ex ia IIC T4 Ga Ta -40 °C to +60 °C", "Pi 1 W", "Ci 3 nF", "Li negligible",
        "Uo 26 V", "Io 90 mA", "Po 585 mW", "Co 99 nF", "Lo 4.3 mH", "Um 253 V", "at most 250 V",
        "210 m, as built", "11 m, as built", "LD-1101-PT", "=SKID1 +SKID1 -PT1101",
    ):  # fmt: skip
        assert squeezed(printed) in words, printed


def test_a_drawing_bears_the_sentence_of_its_finding(station):
    for tag in ("PT-1001", "AT-4091", "TE-1191", "FB-1101", "PI-1191"):
        words = squeezed(words_of(installation_drawing(station, tag)))
        assert squeezed(station[tag].sentence) in words


def test_figures_of_cables_add_up_to_the_demand(station):
    """PT-1001: 5 nF of KW-P30, 210 m of 110 pF/m and 26 m of 95 pF/m, by hand 30.57 nF."""
    words = words_of(installation_drawing(station, "PT-1001"))
    cables = [read(one, CAPACITANCE)[0] for one in re.findall(r"\bC (\d[\d.]* [npµ]?F)", words)]
    assert cables == pytest.approx([23.1e-9, 2.47e-9])
    demand = station["PT-1001"].rules["capacitance"].demand
    assert sum(cables) + 5e-9 == pytest.approx(30.57e-9)
    assert demand == pytest.approx(30.57e-9)


def test_greatest_cable_is_what_the_source_leaves(station):
    # By hand: 99 - 5 - 3 nF = 91 nF, 4.3 mH - 10 uH = 4.29 mH, and
    # (91 - 24.145 nF) / 110 pF/m = 607.7 m more.
    words = words_of(installation_drawing(station, "PT-1101"))
    assert "at most 91 nF and 4.29 mH in all" in words
    assert "607 m more of MA 8x2x0.75" in words


def test_no_cable_is_left_where_a_limit_is_met_exactly(division):
    """PT-302 uses 83 nF of 83 nF: 11 nF of the transmitter and 72 nF of cable."""
    words = words_of(installation_drawing(division, "PT-302", "ANSI B"))
    assert "at most 72 nF" in words
    assert "No cable may be added." in words


def test_a_circuit_with_the_cable_that_may_be_added_is_still_safe(station, division):
    told = 0
    for judged, step in ((station, 11), (division, 1)):
        for circuit in judged.circuits[::step]:
            facts = facts_of(judged, circuit.tag)
            words = " ".join(one.text for one in notes_of(judged, facts))
            found = re.search(r"As drawn, (\S+ (?:m|ft)) more of", words)
            if found is None:
                continue
            told += 1
            runs = list(circuit.runs)
            worst = max(range(len(runs)), key=lambda nth: facts.runs[nth].C_per_m)
            longer = runs[worst].length.si + read(found[1], LENGTH)[0]
            runs[worst] = dataclasses.replace(runs[worst], length=longer)
            changed = dataclasses.replace(circuit, runs=tuple(runs))
            others = (changed if one is circuit else one for one in judged.plant.circuits)
            plant = dataclasses.replace(judged.plant, circuits=tuple(others))
            assert assess(plant, [circuit.tag])[circuit.tag].verdict is Verdict.SAFE, circuit.tag
    assert told > 30


def test_what_may_be_used_is_never_rounded_up():
    for text, wanted in (("83.99 nF", "83.9 nF"), ("99 nF", "99 nF"), ("1.0009 µF", "1 µF")):
        assert rounded_down(read(text, CAPACITANCE)[0], CAPACITANCE) == wanted


def test_the_part_that_breaks_a_limit_is_marked_in_words_and_hatched(station):
    drawing = installation_drawing(station, "AT-4091")
    words = words_of(drawing)
    assert "breaks: capacitance 115 % (largest part of the sum)" in words  # 57.1 nF of 49.5 nF
    assert 'class="hatch"' in drawing.svg()
    assert 'class="hatch"' not in installation_drawing(station, "PT-1001").svg()
    spur = words_of(installation_drawing(station, "FB-2091"))
    assert squeezed("breaks: segment length (spur 78 m against 60 m") in squeezed(spur)


def test_what_no_part_decides_is_said_beside_the_areas(station):
    words = words_of(circuit_drawing(station, "FB-1191"))
    assert squeezed("breaks: terminators (terminators: 3 against 2)") in squeezed(words)


def test_only_a_safe_circuit_that_is_signed_is_for_construction(station):
    def says(tag, fields=UNSIGNED):
        return words_of(installation_drawing(station, tag, "A3", fields=fields))

    assert "NOT FOR CONSTRUCTION" in says("PT-1001")
    assert "NOT FOR CONSTRUCTION" not in says("PT-1001", SIGNED)
    assert "For construction" in says("PT-1001", SIGNED)
    for half in ({"approver": ""}, {"date": ""}, {"creator": ""}):
        unsigned = dataclasses.replace(SIGNED, **half)
        assert "NOT FOR CONSTRUCTION" in says("PT-1001", unsigned)
    for tag in ("AT-4091", "TE-1191"):  # unsafe; unproven
        assert "NOT FOR CONSTRUCTION" in says(tag, SIGNED)
        assert "This sheet is no proof." in says(tag, SIGNED)
        assert "For construction" not in says(tag, SIGNED)


def test_every_sheet_bears_number_revision_and_its_place_among_the_sheets(station):
    drawing = installation_drawing(station, "FB-1101", "A4")
    count = len(drawing.sheets)
    assert count > 1
    for nth in range(1, count + 1):
        words = drawing.svg(nth)
        assert f">{nth} of {count}<" in words
        assert ">LD-1101-FB<" in words
        assert ">A<" in words


def test_boundary_names_what_is_on_each_side(station):
    words = words_of(installation_drawing(station, "PT-1001"))
    assert "SAFE AREA" in words
    assert "SKID-1: zone 1 IIC T1" in words
    assert "SKID-0: zone 0 IIC T1" in words


def test_north_america_has_its_symbols_feet_and_control_drawings(division):
    words = words_of(installation_drawing(division, "PT-302", "ANSI B"))
    for printed in ("Voc 28 V", "Vmax 30 V", "1200 ft", "control drawing QB-28-CD rev 3"):
        assert printed in words
    assert "Uo" not in words


def test_light_blue_is_kept_for_ex_i_wiring():
    blue = {kind for kind, pen in PENS.items() if EX_I in (pen.colour, pen.fill)}
    assert blue == {"wire", "wire open"}


def test_a_multicore_shows_each_pair_once_and_the_spare_ones(station):
    """W-221 has 24 pairs and 20 circuits in the demo's workbook."""
    drawing = multicore_drawing(station, "W-221")
    words = words_of(drawing)
    places = station.context.sharers["W-221"]
    assert len(places) == 20
    for place in places:
        assert station.plant.circuits[place].tag in words
    cores = re.findall(r"\b(\d+) \((\d+)([ab])\)", words)
    assert len(cores) == len(set(cores)) == 40
    assert sorted(int(terminal) for terminal, _, _ in cores) == list(range(1, 41))
    assert "21 to 24" in words
    assert "20 circuits: 20 safe." in words


def test_circuits_that_were_not_assessed_are_no_proof(station):
    tag = station.plant.circuits[station.context.sharers["W-221"][0]].tag
    words = words_of(multicore_drawing(assess(station.plant, [tag]), "W-221"))
    assert "19 not assessed, 1 safe" in words
    assert "This sheet is no proof." in words


def test_the_earth_bar_has_the_barriers_of_the_cabinet_and_no_isolator(station):
    uses = [use for one in station.circuits for use in one.sources if use.cabinet == "MC-3"]
    barriers = {
        use.tag
        for use in uses
        if station.context.sources[use.source].isolation == "earthed barrier"
    }
    assert barriers
    drawing = cabinet_earth_drawing(station, "MC-3")
    words = words_of(drawing)
    titled = re.findall(r"<title>barrier ([^<]+)</title>", "".join(
        drawing.svg(nth + 1) for nth in range(len(drawing.sheets))
    ))  # fmt: skip
    assert set(titled) == barriers
    assert "2 x 2.5 mm2" in words  # declared of MC-3 in the demo
    assert "0.6 ohm" in words
    unused = cabinet_earth_drawing(station, "MC-2")
    assert "No source of this cabinet needs the Ex i earth bar." in words_of(unused)
    # what is not stated of a bar that nothing needs is no open point
    pens = [one.kind for one in flat(unused.sheets[0].shapes) if isinstance(one, Text)]
    assert "open text" not in pens


def test_a_terminal_plan_gives_every_terminal_to_one_core(station):
    words = words_of(terminal_plan(station, "JB-221"))
    cores = re.findall(r"\bW-221: (\d+[ab])\b", words)
    assert len(cores) == len(set(cores)) == 40


def test_a_circuit_of_which_hardly_anything_is_known_is_drawn_as_it_is():
    bare = StandaloneCircuit(
        area=Area(tag="A1", atmospheres=(Atmosphere(zone="1", group="IIC", temperature="T4"),))
    )
    judged = assess(bare.plant())
    words = words_of(installation_drawing(judged, "circuit"))
    assert "No cable is recorded." in words
    assert "Unproven" in words
    assert SAFE_AREA.upper() in words


def test_runs_without_ends_follow_each_other(station):
    plant = station.plant
    two = plant.cables[0]
    circuit = StandaloneCircuit(
        area=plant.areas[1],
        sources=(plant.sources[0],),
        apparatus=(plant.apparatus[0],),
        runs=(StandaloneRun(cable=two, length="20 m"), StandaloneRun(cable=two, length="9 m")),
        certificates=plant.certificates,
    )
    root = tree_of(facts_of(assess(circuit.plant()), "circuit"))
    (box,) = root.children
    (member,) = box.children
    assert (box.sort, box.run, member.sort, member.run) == ("box", 0, "member", 1)


@pytest.mark.parametrize(
    ("ask", "told"),
    [
        (lambda a: installation_drawing(a, "PT-1001", "A2"), "no sheet 'A2'; wanted one of A3"),
        (lambda a: installation_drawing(a, "PT-10011"), "no circuit 'PT-10011'"),
        (lambda a: multicore_drawing(a, "W-0"), "no cable 'W-0' in plant"),
        (lambda a: cabinet_earth_drawing(a, "MC-0"), "no cabinet 'MC-0' in plant"),
        (lambda a: terminal_plan(a, "JB-0"), "no junction box 'JB-0' in plant"),
        (lambda a: installation_drawing(a, "PT-1001").svg(2), "no sheet 2; the drawing has 1"),
    ],
)
def test_what_is_not_there_is_said(station, ask, told):
    with pytest.raises(UsageError, match=re.escape(told)):
        ask(station)
