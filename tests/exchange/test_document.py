"""The JSON document: read strictly, with all faults at once, as its schema says."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from exchange.plants import small_plant
from subspark.errors import InputError, PlantError
from subspark.exchange import json_schema, read_json, write_json
from subspark.exchange.fields import fields_of
from subspark.model import Plant

CHECKER = jsonschema.Draft202012Validator(json_schema())


def told(text: str) -> list[str]:
    with pytest.raises(PlantError) as caught:
        read_json(text)
    return [str(fault) for fault in caught.value.faults]


def document(plant: Any = None, **other: Any) -> str:
    return json.dumps({"format": "subspark plant", "version": 1, "plant": plant or {}, **other})


def test_a_value_is_a_text_or_a_text_with_evidence() -> None:
    plant = read_json(
        document(
            {
                "sources": [
                    {
                        "name": "S",
                        "outputs": [
                            {
                                "Uo": "28 V",
                                "Io": {"text": "93 mA", "evidence": {"document": "C", "page": "2"}},
                                "Po": {"text": "651 mW"},
                            }
                        ],
                    }
                ]
            }
        )
    )
    output = plant.sources[0].outputs[0]
    assert (output.Uo.si, output.Io.si, output.Po.si) == (28.0, 0.093, 0.651)
    assert str(output.Io.evidence) == "C, p. 2"


def test_all_faults_are_told_at_their_places() -> None:
    text = document(
        {
            "name": 3,
            "sources": [
                {"outputs": [{"Uo": {"text": "3 A", "evidence": {"page": 1, "pages": "2"}}}]},
                {"name": "S", "isolation": "none", "ports": {}, "maker": None},
            ],
            "cables": [{"name": "K", "cores": 1.5, "coverage": "60 %", "C": 120}],
            "areas": [{"tag": "A", "atmospheres": [{"substances": "methane"}, "gas"]}],
            "circuits": [
                {
                    "tag": "PT-1",
                    "runs": [{"length": "3 mV"}, {"length": {"evidence": {}}}],
                    "colour": "blue",
                    "members": [{"apparatus": "Q", "temporary": "yes"}],
                },
                {"tag": "PT-1", "area": "B"},
            ],
        }
    )
    assert told(text) == EXPECTED


EXPECTED: list[str] = [
    "name: '3': wanted a text",
    "area 'A', atmosphere 1, substances: 'methane': wanted a list of texts",
    "area 'A', atmosphere 2: 'gas': wanted an object",
    "source 1, name: (blank): missing; wanted a text",
    (
        "source 1, output 1, Uo, evidence, pages: '2': no such field; wanted one of document, "
        "page, note, by, assumed"
    ),
    "source 1, output 1, Uo, evidence, page: '1': wanted a text",
    (
        "source 1, output 1, Uo: '3 A': unit 'A' is not of a voltage; wanted a voltage with its "
        "unit, such as 28 V"
    ),
    "source 'S', maker: 'null': wanted a text",
    "source 'S', isolation: 'none': wanted one of galvanic, 'earthed barrier' or blank",
    "source 'S', ports: '{}': wanted a list of objects",
    (
        "cable 'K', C: '120': wanted a capacitance per length with its unit, such as 120 pF/m "
        "(as a text)"
    ),
    "cable 'K', cores: '1.5': wanted a whole number",
    "cable 'K', coverage: '60 %': wanted a number",
    (
        "circuit 'PT-1', colour: 'blue': no such field; wanted one of tag, service, area, "
        "sources, members, runs, method, joined, system, bonding, function, document, "
        "revision, note, evidence"
    ),
    "circuit 'PT-1', apparatus 1, temporary: 'yes': wanted true or false",
    (
        "circuit 'PT-1', run 1, length: '3 mV': unit 'mV' is not of a length; wanted a length "
        "with its unit, such as 350 m or 1200 ft"
    ),
    (
        "circuit 'PT-1', run 2, length, text: (blank): missing; wanted a length with its unit, "
        "such as 350 m or 1200 ft"
    ),
    "circuit 'PT-1', tag: 'PT-1': stands more than once; wanted once",
    "circuit 'PT-1', apparatus 1, apparatus: 'Q': wanted an apparatus of the catalogue",
    "circuit 'PT-1', area: 'B': wanted an area of the plant",
]


def test_the_head_of_a_document_is_looked_at_first() -> None:
    assert told("[]") == [
        'document: \'[]\': wanted an object such as {"format": "subspark plant", ...}'
    ]
    assert told('{"format": "plan", "version": true, "plant": 3}') == [
        "format: 'plan': wanted 'subspark plant'",
        "version: 'true': wanted 1, the version that this program reads",
    ]
    assert told("{}") == [
        "format: (blank): missing; wanted",
        "version: (blank): missing; wanted",
        "plant: (blank): missing; wanted",
    ]
    assert told(document(more=1)) == [
        "more: '1': no such field; wanted one of format, version, plant"
    ]
    assert told('{"format": "subspark plant", "version": 1, "plant": [1]}') == [
        "plant: '[1]': wanted an object"
    ]


def test_a_name_given_twice_is_told() -> None:
    text = document().replace('"plant": {}', '"plant": {"name": "a", "name": "b"}')
    assert told(text) == ["name: 'b': given twice; wanted once"]


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("{", "this is not JSON (line 1, column 2: "),
        ('{"a": NaN}', "this is not JSON (NaN is not a number)"),
        ("", "this is not JSON (line 1, column 1: "),
        ("[" * 100000, "this is nested too deeply for a plant document"),
        ("9" * 5000, "this is not JSON ("),
    ],
)
def test_what_is_not_json_is_told(text: str, why: str) -> None:
    with pytest.raises(InputError) as caught:
        read_json(text)
    assert str(caught.value).startswith(f"plant document: {why}")


def test_files_are_utf_8_with_or_without_a_mark(tmp_path: Path) -> None:
    path = tmp_path / "plant.json"
    path.write_text(write_json(small_plant()), encoding="utf-8-sig")
    assert read_json(path) == small_plant()
    path.write_bytes("µ".encode("latin-1"))
    with pytest.raises(InputError, match="this is not JSON text in UTF-8"):
        read_json(path)


# --- the schema -----------------------------------------------------------------------------


def test_the_schema_is_one_and_describes_every_field() -> None:
    schema = json_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    assert schema["$id"] == "urn:subspark:plant:1"
    assert set(schema["$defs"]["Plant"]["properties"]) == set(fields_of(Plant))
    assert schema["$defs"]["Output"]["properties"]["Uo"] == {
        "$ref": "#/$defs/voltage",
        "description": "Highest output voltage.",
    }
    assert "28 V" in schema["$defs"]["voltage"]["description"]
    lists = ("array",)
    for definition in schema["$defs"].values():
        for name, one in definition.get("properties", {}).items():
            assert one.get("description") or one.get("type") in lists or name == "evidence"


def test_the_schema_accepts_what_is_written() -> None:
    CHECKER.validate(json.loads(write_json(small_plant())))


def _spoilings(thing: Any, place: tuple[Any, ...] = ()) -> list[tuple[tuple[Any, ...], Any]]:
    """Every value of a document with something that cannot stand in its place."""
    found: list[tuple[tuple[Any, ...], Any]] = []
    wrong: Any = [[1]] if isinstance(thing, dict) else {"no": "such thing"}
    found.append((place, wrong))
    found.append((place, None))
    if isinstance(thing, dict):
        found.append(((*place, "unheard of"), "x"))
        for name, value in thing.items():
            found += _spoilings(value, (*place, name))
    if isinstance(thing, list):
        for index, value in enumerate(thing):
            found += _spoilings(value, (*place, index))
    return found


def test_the_schema_refuses_what_the_reader_refuses_in_structure() -> None:
    whole = json.loads(write_json(small_plant()))
    spoilings = _spoilings(whole["plant"], ("plant",))
    assert len(spoilings) > 300
    for place, wrong in spoilings:
        spoiled = copy.deepcopy(whole)
        inner = spoiled
        for step in place[:-1]:
            inner = inner[step]
        inner[place[-1]] = wrong
        assert not CHECKER.is_valid(spoiled), (place, wrong)
        with pytest.raises(PlantError):
            read_json(json.dumps(spoiled))
