"""Nothing runs into anything: the whole demo, and circuits made up to be hard."""

from __future__ import annotations

import pytest

from papers.drawings.circuits import plant
from papers.drawings.collisions import faults
from papers.drawings.reading import squeezed
from subspark.assess import assess
from subspark.papers.drawings import (
    cabinet_earth_drawing,
    circuit_drawing,
    installation_drawing,
    multicore_drawing,
    terminal_plan,
)
from subspark.papers.drawings.facts import facts_of
from subspark.papers.drawings.shapes import Box, Line, Rect, Sheet, Text, flat


def drawings(assessment, size, step=1):
    for circuit in assessment.circuits[::step]:
        if size == "block":
            yield circuit.tag, circuit_drawing(assessment, circuit.tag)
        else:
            yield circuit.tag, installation_drawing(assessment, circuit.tag, size)


def collisions(assessment, size, step=1):
    return {
        f"{tag}, sheet {nth + 1}": found[:3]
        for tag, drawing in drawings(assessment, size, step)
        for nth, sheet in enumerate(drawing.sheets)
        if (found := faults(sheet))
    }


@pytest.mark.parametrize(("size", "step"), [("block", 2), ("A3", 2), ("A4", 4), ("ANSI A", 5)])
def test_nothing_collides_over_the_whole_demo(station, division, size, step):
    assert collisions(station, size, step) == {}
    assert collisions(division, size) == {}


@pytest.mark.parametrize("seed", [1, 2])
def test_nothing_collides_with_0_to_12_apparatus_and_long_tags(seed):
    made_up = assess(plant(seed, 13))
    for size in ("block", "A3") if seed == 1 else ("A4", "ANSI B"):
        assert collisions(made_up, size) == {}


def test_nothing_is_lost_however_a_circuit_is_joined():
    made_up = assess(plant(11, 26))
    for size in ("block", "A4"):
        for tag, drawing in drawings(made_up, size):
            facts = facts_of(made_up, tag)
            words = squeezed(
                " ".join(
                    one.text
                    for sheet in drawing.sheets
                    for one in flat(sheet.shapes)
                    if isinstance(one, Text)
                )
            )
            wanted = [one.tag for one in (*facts.sources, *facts.members)]
            wanted += [one.label for one in facts.runs]
            wanted += [one.inputs for one in facts.members if one.inputs]
            missing = [one for one in wanted if squeezed(one) not in words]
            assert not missing, (size, tag)


def test_cables_and_cabinets_collide_neither(station):
    context = station.context
    shared = [number for number, places in context.sharers.items() if len(places) > 1]
    cabinets = {use.cabinet for one in station.circuits for use in one.sources if use.cabinet}
    boxes = [one.tag for one in station.plant.junctions]
    made = [multicore_drawing(station, one, size) for one in shared for size in ("A3", "A4")]
    made += [cabinet_earth_drawing(station, one, size) for one in cabinets for size in ("A3", "A4")]
    made += [terminal_plan(station, one, "A4") for one in boxes]
    found = {one.title: faults(sheet) for one in made for sheet in one.sheets if faults(sheet)}
    assert found == {}


def test_the_search_for_collisions_finds_them():
    inside = Box(0.0, 0.0, 100.0, 50.0)
    plain = Text(10.0, 10.0, "Uo 26 V", 3.0)
    for added, why in (
        (Text(15.0, 11.0, "Io 90 mA", 3.0), "two texts"),
        (Text(97.0, 30.0, "outside", 3.0), "a text over the frame"),
        (Line(0.0, 9.0, 50.0, 9.0, "wire"), "a wire through a text"),
        (Rect(9.0, 5.0, 5.0, 9.0, "card"), "a text longer than its card"),
    ):
        assert faults(Sheet(100.0, 50.0, inside, "", "", (plain, added))), why
    assert not faults(Sheet(100.0, 50.0, inside, "", "", (plain,)))
    below = Text(10.0, 13.8, "Io 90 mA", 3.0)
    assert not faults(Sheet(100.0, 50.0, inside, "", "", (plain, below)))
