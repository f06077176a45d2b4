"""A part of a plant gives the verdicts of the whole, and a change touches all that it alters."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

import small
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
    """Circuits that a change touches, and those that it alters; the same of whether they work."""
    plant, (kind, record) = webplants.demo(), EDITS[number]
    removed = isinstance(record, tuple)
    changes = {(kind, name_of(record[0] if removed else record)): None if removed else record}
    ledger = Ledger.of(plant)
    inward = ledger.inward(changes)
    touched, anew = ledger.touched(changes, inward), ledger.worked_by(changes)
    with ledger.draft(changes):
        touched |= ledger.touched(changes, inward)
        anew |= ledger.worked_by(changes)
        after = assess(ledger.plant())
    assert ledger.plant().digest == plant.digest  # the draft left nothing behind
    then = {one.tag: one for one in _before().summaries()}
    works, worked = after.function, _before().function
    altered = {one.tag for one in after.summaries() if one != then[one.tag]}
    turned = {
        one.tag for one in after.circuits if works.verdict(one.tag) != worked.verdict(one.tag)
    }
    return touched, altered, anew, turned


@cache
def _before():
    return assess(webplants.demo())


@pytest.mark.parametrize("number", range(len(EDITS)), ids=NAMES)
def test_a_change_alters_no_circuit_that_it_does_not_touch(number):
    touched, altered, _, _ = _altered(number)
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


def _lengthened(plant, tag, length):
    circuit = next(one for one in plant.circuits if one.tag == tag)
    return replace(circuit, runs=tuple(replace(run, length=length) for run in circuit.runs))


def _shared():
    """Circuits of the demo plant that share a multicore, by the type of that."""
    plant = webplants.demo()
    types = {one.name: one.multicore for one in plant.cables}
    by_number = {}
    for circuit in plant.circuits:
        for run in circuit.runs:
            if run.number:
                by_number.setdefault((run.number, types.get(run.cable, "")), []).append(circuit.tag)
    return {key: tags for key, tags in by_number.items() if len(tags) > 1}


def test_a_length_touches_neighbours_only_where_faults_may_join_them():
    """Of every shared multicore of the plant one circuit is made 9 km long, then 0.1 m."""
    plant, ledger = webplants.demo(), Ledger.of(webplants.demo())
    reached = {"A": 0, "B": 0, "other": 0}
    joined = 0
    for (_, sort), tags in _shared().items():
        for length in ("9000 m", "0.1 m"):
            changes = {("circuits", tags[0]): _lengthened(plant, tags[0], length)}
            inward = ledger.inward(changes)
            assert inward == changes.keys()
            touched = ledger.touched(changes, inward)
            with ledger.draft(changes):
                touched |= ledger.touched(changes, inward)
                after = assess(ledger.plant())
            then = {one.tag: one for one in _before().summaries()}
            altered = {one.tag for one in after.summaries() if one != then[one.tag]}
            assert altered <= touched, (tags[0], length)
            reached[sort] = max(reached[sort], len(touched))
            joined += bool(altered - {tags[0]})
    assert reached["A"] == reached["B"] == 1
    assert reached["other"] > 1
    assert joined  # some neighbour did turn: the check above can fail


def test_what_others_can_see_of_a_circuit_is_no_inward_change():
    plant = webplants.demo()
    ledger = Ledger.of(plant)
    (first, *_), *_ = _shared().values()
    circuit = ledger.circuit(first)
    inward = {
        "service": replace(circuit, service="another", note="another"),
        "length": _lengthened(plant, first, "1 m"),
    }
    outward = {
        "area": replace(circuit, area=plant.areas[-1].tag),
        "sources": replace(circuit, sources=()),
        "members": replace(circuit, members=()),
        "number": replace(circuit, runs=tuple(replace(run, number="Z") for run in circuit.runs)),
        "runs": replace(circuit, runs=circuit.runs[:-1]),
        "bonding": replace(circuit, bonding="no" if circuit.bonding == "yes" else "yes"),
        "gone": None,
    }
    for name, record in (inward | outward).items():
        found = ledger.inward({("circuits", first): record})
        assert bool(found) == (name in inward), name
    assert not ledger.inward({("circuits", "new"): replace(circuit, tag="new")})


@pytest.mark.parametrize("number", range(len(EDITS)), ids=NAMES)
def test_whether_a_circuit_works_is_altered_only_where_it_is_found_anew(number):
    """Neighbours and certificates have no say in it."""
    _, _, anew, turned = _altered(number)
    assert turned <= anew


def test_the_edits_above_do_alter_whether_circuits_work():
    assert sum(bool(_altered(number)[3]) for number in range(len(EDITS))) >= 3


def test_certificates_have_no_say_in_whether_a_circuit_works():
    plant = webplants.demo()
    withdrawn = tuple(replace(one, status="withdrawn") for one in plant.certificates)
    before, after = _before(), assess(replace(plant, certificates=withdrawn))
    assert before.counts != after.counts
    for one in plant.circuits:
        assert before.function[one.tag].as_dict() == after.function[one.tag].as_dict()


@pytest.mark.parametrize("scope", ["plant", "source"])
def test_an_area_that_a_declaration_names_as_the_place_of_sources_belongs_to_the_part(scope):
    base = small.plant(small.BASE)
    declarations = tuple(one for one in base.declarations if one.fact != "source place")
    of = "" if scope == "plant" else "iso"
    stands = Declaration(fact="source place", value="Z1", scope=scope, of=of)
    plant = replace(base, declarations=(*declarations, stands))
    ledger = Ledger.of(plant)
    part = assess(ledger.part(ledger.concerned(["X"])), ["X"])["X"]
    assert part.as_dict() == assess(plant)["X"].as_dict()
    assert part.governing == "place"  # as zone 1 asks it; an area that is not known would not
    assert ledger.touched([("areas", "Z1")]) == {"X"}
