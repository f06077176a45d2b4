"""The demo plant: the same each time, complete, invented, and faulty only where it says so."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from subspark.demo import FAULTS, build_plant, faults_markdown, function_markdown
from subspark.demo.wider_catalogue import WIDER_SOURCES
from subspark.model import content

ROOT = Path(__file__).resolve().parents[2]
PAGE = ROOT / "docs" / "demo.md"


@pytest.fixture(scope="module")
def plant():
    return build_plant()


@pytest.fixture(scope="module")
def used(plant):
    return {
        "sources": {use.source for one in plant.circuits for use in one.sources}
        | {one.system for one in plant.circuits if one.system},
        "items": {use.apparatus for one in plant.circuits for use in one.members},
        "cables": {run.cable for one in plant.circuits for run in one.runs},
        "areas": {one.area for one in plant.circuits},
    }


def test_two_builds_are_the_same_to_the_last_letter(plant):
    again = build_plant()
    assert again == plant
    assert again.digest == plant.digest


def test_there_are_at_least_250_circuits(plant):
    assert len(plant.circuits) >= 250


def test_the_catalogue_is_as_rich_as_a_real_one(plant):
    assert len(plant.sources) >= 14
    assert len(plant.apparatus) >= 20
    assert len(plant.simple) >= 6
    assert len(plant.cables) >= 8
    assert len(plant.junctions) >= 10


def test_nothing_of_the_catalogue_is_there_for_show(plant, used):
    """But for the sources that could be bought: see test_demo_function."""
    bought = {one.name for one in WIDER_SOURCES}
    assert {one.name for one in plant.sources} - bought == used["sources"]
    assert bought < {one.name for one in plant.sources}
    assert {one.name for one in (*plant.apparatus, *plant.simple)} == used["items"]
    assert {one.name for one in plant.cables} == used["cables"]
    assert {one.tag for one in plant.areas} == used["areas"]


@pytest.mark.parametrize(
    ("kind", "letters"),
    [
        ("pressure", "PT"),
        ("flow", "FT"),
        ("level", "LT"),
        ("temperature by transmitter", "TT"),
        ("temperature direct", "TE"),
        ("proximity and mechanical switches", "ZS"),
        ("level switches", "LSH"),
        ("solenoid valves", "XV"),
        ("positioners", "PV"),
        ("gas detectors and analysers", "AT"),
        ("sounders", "YA"),
        ("beacons", "YB"),
        ("vibration", "VE"),
        ("rotation", "ST"),
        ("push buttons", "HS"),
    ],
)
def test_every_usual_kind_of_circuit_is_there(plant, kind, letters):
    tags = [one.tag for one in plant.circuits if one.tag.startswith(f"{letters}-")]
    assert len(tags) >= 2, kind


def test_every_kind_of_place_is_there(plant):
    asked = {(one.zone, one.group) for area in plant.areas for one in area.atmospheres}
    for place in (("0", "IIC"), ("1", "IIC"), ("2", "IIC"), ("1", "IIB"), ("1", "IIA")):
        assert place in asked
    for place in (("2", "IIB"), ("20", "IIIB"), ("20", "IIIC"), ("21", "IIIB"), ("22", "IIIB")):
        assert place in asked
    assert any(one.substances for area in plant.areas for one in area.atmospheres)
    assert any(area.ambient.high == 50.0 for area in plant.areas)
    assert any(len(area.atmospheres) > 1 for area in plant.areas)


def test_every_kind_of_source_is_there(plant):
    outputs = [output for source in plant.sources for output in source.outputs]
    limits = [limit for output in outputs for limit in output.limits]
    assert {source.isolation for source in plant.sources} == {"galvanic", "earthed barrier"}
    assert {output.shape for output in outputs} == {"linear", "trapezoidal", "rectangular"}
    assert {limit.level for limit in limits} >= {"ia, ib", "ic"}
    assert any(limit.pairs for limit in limits)
    assert any(output.name == "1+2" for output in outputs)
    assert any(output.no_current for output in outputs)


def test_one_loop_has_a_service_tool_and_many_have_several_runs(plant):
    assert sum(member.temporary for one in plant.circuits for member in one.members) == 1
    assert sum(len(one.runs) > 1 for one in plant.circuits) > 50


def test_trunks_hold_no_more_circuits_than_they_have_pairs(plant):
    cables = {cable.name: cable for cable in plant.cables}
    trunks = [
        (run.number, run.cable)
        for one in plant.circuits
        for run in one.runs
        if cables[run.cable].pairs
    ]
    for number, cable in set(trunks):
        assert trunks.count((number, cable)) <= cables[cable].pairs
    numbers = [number for number, _ in set(trunks)]
    assert len(numbers) == len(set(numbers))


def test_every_number_of_a_certificate_has_its_document_and_page(plant):
    for source in plant.sources:
        for output in source.outputs:
            for value in (output.Uo, output.Io, output.Po):
                assert value.evidence.document == source.certificate
                assert value.evidence.page
    for apparatus in plant.apparatus:
        for entry in apparatus.entries:
            for value in (entry.Ui, entry.Ii, entry.Ci, entry.Li):
                assert value.evidence.document == apparatus.certificate


def test_no_certificate_or_maker_could_be_taken_for_a_real_one(plant):
    text = json.dumps(content(plant), ensure_ascii=False)
    schemes = "ATEX|IECEx|UKEX|UKCA|INMETRO|CSA|FM|UL|PTB|KEMA|DEKRA|BVS|TÜV|LCIE|CESI|SIRA|EXA"
    assert not re.findall(rf"\b(?:{schemes})\b", text)
    assert all(re.fullmatch(r"DEMO \d\d\.\d{4}X?", one.number) for one in plant.certificates)
    cabinets = {one.maker.split()[0] for one in plant.sources if not one.terminals_of}
    used = {"Rowanfield", "Alderbeck", "Lindenmoor"}
    assert cabinets == used | {"Brackenfell", "Coldbrook", "Marlpit", "Thistlewick"}
    in_field = {one.maker for one in plant.sources if one.terminals_of}
    assert in_field < {one.maker for one in plant.apparatus}


def test_the_page_shows_the_faults_as_they_are():
    page = PAGE.read_text(encoding="utf-8")
    table = re.search(r"<!-- faults: .*? -->\n(.*?)<!-- end of faults -->", page, re.DOTALL)
    assert table is not None
    assert table.group(1) == faults_markdown()
    function = re.search(r"<!-- function: .*? -->\n(.*?)<!-- end of function -->", page, re.DOTALL)
    assert function is not None
    assert function.group(1) == function_markdown()


def test_the_page_names_only_circuits_and_areas_that_there_are(plant):
    page = PAGE.read_text(encoding="utf-8")
    known = {one.tag for one in plant.circuits} | {one.tag for one in plant.areas}
    known |= {use.cabinet for one in plant.circuits for use in one.sources}
    known |= {one.name for one in (*plant.sources, *plant.apparatus)}
    known |= {run.number for one in plant.circuits for run in one.runs}
    known |= {one.tag for one in plant.junctions}
    named = set(re.findall(r"\b[A-Z]+-[A-Z]?\d+[A-Z]?\b", page))
    assert named <= known, named - known


def test_faults_are_in_circuits_of_their_own(plant):
    tags = [fault.tag for fault in FAULTS]
    assert len(tags) == len(set(tags))
    assert len(tags) >= 24
    assert set(tags) <= {one.tag for one in plant.circuits}
    for fault in FAULTS:
        assert fault.story.endswith(".")
        assert fault.mended.endswith(".")
