"""Types that may stand in: each is put into the whole plant here and judged with it."""

import dataclasses
import json

import pytest

from papers.reading import bare, pages_of
from subspark.assess import assess
from subspark.papers.attachment import digest_of, dossier, print_dossier
from subspark.papers.equivalents import MOST, Equivalent, catalogue_of, equivalents_of, within
from subspark.papers.extract import part_of
from subspark.papers.printing import encoded
from subspark.papers.reproduce import Outcome, reproduce

TAG = "XV-2001"  # in a multicore with nineteen others


@pytest.fixture(scope="module")
def found(larkfen):
    part = within(part_of(larkfen.plant, TAG), catalogue_of(larkfen.plant))
    return equivalents_of(part, TAG, larkfen.context.curves)


@pytest.fixture(scope="module")
def made(larkfen):
    return dossier(larkfen, TAG, equivalents=True)


def replaced(plant, one):
    """The whole plant with a type in its place, put there by hand."""
    circuit = plant.circuit(TAG)
    if one.sort == "source":
        uses = list(circuit.sources)
        uses[one.at] = dataclasses.replace(
            uses[one.at], tag="", source=one.name, outputs=one.outputs, polarity=""
        )
        changed = dataclasses.replace(circuit, sources=tuple(uses))
    else:
        members = list(circuit.members)
        members[one.at] = dataclasses.replace(members[one.at], apparatus=one.name)
        changed = dataclasses.replace(circuit, members=tuple(members))
    circuits = tuple(changed if kept.tag == TAG else kept for kept in plant.circuits)
    return dataclasses.replace(plant, circuits=circuits)


def test_each_leaves_the_circuit_safe_and_working_in_the_whole_plant(larkfen, found):
    assert {one.sort for one in found} == {"source", "apparatus"}
    for one in found:
        finding = assess(replaced(larkfen.plant, one), (TAG,))[TAG]
        assert (finding.verdict.word, finding.works.word) == ("safe", "works"), one


def test_there_are_few_for_each_part_and_none_is_what_stands_there(larkfen, found):
    circuit = larkfen.plant.circuit(TAG)
    for sort in ("source", "apparatus"):
        listed = [one.name for one in found if one.sort == sort]
        assert 0 < len(listed) <= MOST
        assert len(set(listed)) == len(listed)
    assert circuit.sources[0].source not in [one.name for one in found]
    assert circuit.members[0].apparatus not in [one.name for one in found]


def test_an_apparatus_that_is_listed_nowhere_does_not_serve_or_is_of_another_role(larkfen, found):
    """What is left out with the list not full is unsafe, unproven or does not work."""
    listed = {one.name for one in found if one.sort == "apparatus"}
    assert len(listed) < MOST
    plant = larkfen.plant
    now = plant.circuit(TAG).members[0].apparatus
    role = {"solenoid valve"}
    for item in plant.apparatus:
        if item.name in listed or item.name == now:
            continue
        if {row.value for row in item.function if row.what == "role"} != role:
            continue
        finding = assess(replaced(plant, Equivalent("apparatus", 0, item.name)), (TAG,))[TAG]
        assert (finding.verdict.word, finding.works.word) != ("safe", "works"), item.name


@pytest.mark.parametrize("tag", ["AT-4091", "PI-1151"])  # unsafe; function unproven
def test_a_circuit_that_is_not_sound_has_none(larkfen, tag):
    finding = larkfen[tag]
    assert (finding.verdict.word, finding.works.word) != ("safe", "works")
    sheet = json.loads(dossier(larkfen, tag, equivalents=True).attachment)["sheet"]
    assert sheet["equivalents"]["rows"] == []
    assert "only a circuit that is safe and works" in sheet["equivalents"]["note"]


def test_they_are_printed_with_their_certificates(larkfen, found, made):
    text = bare("".join(pages_of(print_dossier(made.attachment, made.digest))))
    kinds = {one.name: one for one in (*larkfen.plant.sources, *larkfen.plant.apparatus)}
    for one in found:
        assert bare(f"{one.name}, {kinds[one.name].model}") in text
        assert bare(kinds[one.name].certificate) in text


def test_without_being_asked_nothing_is_said_of_them(larkfen):
    whole = json.loads(dossier(larkfen, TAG).attachment)
    assert whole["equivalents"] is None
    assert whole["sheet"]["equivalents"] is None


def test_a_dossier_with_equivalents_proves_itself_and_a_forged_one_does_not(made, tmp_path):
    file = tmp_path / "one.pdf"
    file.write_bytes(print_dossier(made.attachment, made.digest))
    found = reproduce(file)
    assert (found.outcome, found.by_bytes) == (Outcome.IDENTICAL, True)
    whole = json.loads(made.attachment)
    row = whole["sheet"]["equivalents"]["rows"][0]
    figure = next(one for one in whole["figures"] if one["name"] == "equivalent 1: safe")
    row["safe"] = figure["text"] = "safe: current, 1.00 %"
    text = encoded(whole)
    file.write_bytes(print_dossier(text, digest_of(text.encode())))
    forged = reproduce(file)
    assert forged.outcome is Outcome.DIFFERENT
    assert forged.notes[0].startswith("equivalent 1: safe")
