"""A part of a plant gives the verdicts of the whole, and a change touches all that it alters."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

import webplants
from subspark.assess import assess
from subspark.demo import build_division_plant
from subspark.errors import PlantError
from subspark.model import Declaration
from subspark.store.kinds import KINDS, name_of, plain_of, read_content, text_of
from subspark.store.ledger import Ledger

PLANTS = {"zones": webplants.demo(), "divisions": build_division_plant()}


@pytest.fixture(scope="module")
def whole():
    plant = webplants.demo()
    return plant, Ledger.of(plant), assess(plant)


@pytest.mark.parametrize("plant", PLANTS.values(), ids=PLANTS)
def test_a_ledger_gives_back_the_plant_that_it_was_made_of(plant):
    assert Ledger.of(plant).plant().digest == plant.digest


@pytest.mark.parametrize("plant", PLANTS.values(), ids=PLANTS)
def test_every_record_comes_back_from_its_kept_text(plant):
    for kind in KINDS:
        for record in getattr(plant, kind):
            assert read_content(kind, text_of(plain_of(record))) == record, name_of(record)


@pytest.mark.parametrize("plant", PLANTS.values(), ids=PLANTS)
def test_the_part_that_concerns_a_circuit_gives_the_finding_of_the_whole(plant):
    ledger, everything = Ledger.of(plant), assess(plant)
    for circuit in plant.circuits:
        tag = circuit.tag
        part = assess(ledger.part(ledger.concerned([tag])), [tag])
        assert part[tag].as_dict() == everything[tag].as_dict(), tag
        assert part.missing_of(tag) == everything.missing_of(tag), tag


def test_without_its_neighbours_some_circuit_would_have_another_finding(whole):
    """The test above would also pass if neighbours never mattered: here they do."""
    plant, ledger, everything = whole
    lonely = []
    for circuit in plant.circuits:
        alone = assess(ledger.part([circuit.tag]), [circuit.tag])[circuit.tag]
        if alone.as_dict() != everything[circuit.tag].as_dict():
            lonely.append(circuit.tag)
    assert lonely


def _first(plant, kind, fits=lambda _: True):
    return next(one for one in getattr(plant, kind) if fits(one))


def _edits(plant):
    """One change of each sort that verdicts may lean on, each to what does alter some."""
    by_tag = {one.tag: one for one in plant.circuits}
    shared = _first(plant, "circuits", lambda one: any(run.number for run in one.runs))
    yield (
        "circuits",
        replace(shared, runs=tuple(replace(run, length="9000 m") for run in shared.runs)),
    )
    yield "circuits", replace(by_tag["PT-1101"], area="SKID-0")
    heated = _first(plant, "junctions", lambda one: one.Rth.known)
    yield "junctions", replace(heated, Rth="900 K/W")
    ending = _first(
        plant,
        "circuits",
        lambda one: any(heated.tag in (run.start, run.end) for run in one.runs),
    )
    stronger = _first(plant, "sources", lambda one: one.name == ending.sources[0].source)
    outputs = tuple(replace(one, Po="3 W") for one in stronger.outputs)
    yield "sources", replace(stronger, outputs=outputs)
    side = _first(plant, "sources", lambda one: one.terminals_of and one.separated == "yes")
    yield "sources", replace(side, separated="no")
    yield "cables", replace(_first(plant, "cables"), C="900 nF/km", C_core="", C_screen="")
    yield "areas", replace(plant.areas[0], ambient="-20 to 75 °C")
    number = _first(plant, "sources").certificate
    certificate = _first(plant, "certificates", lambda one: one.number == number)
    yield "certificates", replace(certificate, status="withdrawn")
    item = plant.apparatus[0]
    yield "apparatus", replace(item, entries=tuple(replace(e, Ui="1 V") for e in item.entries))
    yield "simple", replace(_first(plant, "simple"), assessed="no", evidence=None)
    for scope in dict.fromkeys(one.scope for one in plant.declarations):
        yield "declarations", (_first(plant, "declarations", lambda o, s=scope: o.scope == s),)


EDITS = list(_edits(webplants.demo()))


NAMES = [f"{kind}-{number}" for number, (kind, _) in enumerate(EDITS)]


@cache
def _altered(number):
    """The changes of an edit, the circuits that it touches, and those that it alters."""
    plant, (kind, record) = webplants.demo(), EDITS[number]
    removed = isinstance(record, tuple)
    changes = {(kind, name_of(record[0] if removed else record)): None if removed else record}
    ledger = Ledger.of(plant)
    touched = ledger.touched(changes)
    with ledger.draft(changes):
        touched |= ledger.touched(changes)
        after = assess(ledger.plant())
    assert ledger.plant().digest == plant.digest  # the draft left nothing behind
    then = {one.tag: one for one in _before().summaries()}
    return touched, {one.tag for one in after.summaries() if one != then[one.tag]}


@cache
def _before():
    return assess(webplants.demo())


@pytest.mark.parametrize("number", range(len(EDITS)), ids=NAMES)
def test_a_change_alters_no_circuit_that_it_does_not_touch(number):
    touched, altered = _altered(number)
    assert altered <= touched


def test_the_edits_above_do_alter_verdicts():
    assert sum(bool(_altered(number)[1]) for number in range(len(EDITS))) >= 10


def test_a_fault_names_kind_and_record_in_place_of_a_number():
    ledger = Ledger.of(webplants.small())
    circuit = ledger.circuit("AT-4091")
    bad = replace(circuit, runs=(replace(circuit.runs[0], cable="no such cable"),))
    with (
        ledger.draft({("circuits", "AT-4091"): bad}),
        pytest.raises(PlantError) as told,
    ):
        ledger.part(["AT-4091"])
    (fault,) = told.value.faults
    assert fault.path == ("circuits", "AT-4091", "runs", 0, "cable")


def test_what_is_used_or_named_cannot_be_taken_away():
    ledger = Ledger.of(webplants.small())
    source = ledger.circuit("AT-4091").sources[0].source
    assert ledger.orphans({("sources", source): None})
    certificate = ledger.get(("sources", source)).certificate
    assert ledger.orphans({("certificates", certificate): None})
    declared = Declaration(fact="segregation", value="yes", scope="circuit", of="PT-1101")
    ledger.put(("declarations", name_of(declared)), declared)
    (fault,) = ledger.orphans({("circuits", "PT-1101"): None})
    assert fault.path[:2] == ("declarations", "segregation, circuit: PT-1101")
