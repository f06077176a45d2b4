"""The part of a plant that a circuit needs says of it exactly what the whole plant says."""

import dataclasses

import pytest

from subspark.assess import assess
from subspark.assess.working import working
from subspark.errors import UsageError
from subspark.exchange import read_json, write_json
from subspark.model import Declaration
from subspark.papers.extract import Neighbours, part_of


def plants(request, name):
    return request.getfixturevalue(name)


@pytest.mark.parametrize("name", ["larkfen", "alder_creek"])
def test_part_and_whole_agree_in_every_circuit_to_the_last_bit(request, name):
    whole = plants(request, name)
    neighbours = Neighbours(whole.plant)
    for circuit in whole.plant.circuits:
        part = assess(part_of(whole.plant, circuit.tag, neighbours), (circuit.tag,))
        ours, theirs = part[circuit.tag], whole[circuit.tag]
        assert ours.as_dict() == theirs.as_dict(), circuit.tag
        assert part.missing_of(circuit.tag) == whole.missing_of(circuit.tag), circuit.tag
        assert ours.works.as_dict() == theirs.works.as_dict(), circuit.tag
        assert repr(ours.works.staircase) == repr(theirs.works.staircase), circuit.tag


@pytest.mark.parametrize("tag", ["AT-2001", "PI-1151", "FB-1101", "ZS-2006"])
def test_the_whole_working_agrees_too(larkfen, tag):
    part = assess(part_of(larkfen.plant, tag), (tag,))
    assert working(part, tag) == working(larkfen, tag)


def test_the_part_travels_as_a_document_without_loss(larkfen):
    part = part_of(larkfen.plant, "AT-2001")
    assert read_json(write_json(part)) == part


def test_a_lone_circuit_brings_only_what_it_names(larkfen):
    part = part_of(larkfen.plant, "AT-4091")
    assert [one.tag for one in part.circuits] == ["AT-4091"]
    assert [one.name for one in part.sources] == ["RW-1126"]
    assert [one.name for one in part.apparatus] == ["TG-9"]
    assert [one.name for one in part.cables] == ["FC 2x1.5"]
    assert {one.number for one in part.certificates} == {"DEMO 21.0001", "DEMO 22.0174"}


def test_circuits_of_one_multicore_come_along(larkfen):
    shared = {
        one.tag for one in larkfen.plant.circuits if any(run.number == "W-221" for run in one.runs)
    }
    part = part_of(larkfen.plant, "AT-2001")
    assert shared <= {one.tag for one in part.circuits}
    assert len(shared) == 20  # as the demo plant lays them


def test_declarations_about_other_things_stay_behind(larkfen):
    other = Declaration(fact="bonding", value="yes", scope="circuit", of="PT-1001")
    plant = dataclasses.replace(larkfen.plant, declarations=(*larkfen.plant.declarations, other))
    assert other not in part_of(plant, "AT-4091").declarations
    assert other in part_of(plant, "PT-1001").declarations


def test_a_tag_that_is_not_there_is_refused_with_the_nearest(larkfen):
    with pytest.raises(UsageError, match="did you mean"):
        part_of(larkfen.plant, "AT-409")
