"""Nothing is lost between a plant, its workbook and its document."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

import jsonschema
import openpyxl
import pytest
from hypothesis import HealthCheck, Phase, given, settings

from exchange.plants import NASTY, plants, small_plant
from subspark.exchange import (
    json_schema,
    read_json,
    read_plant,
    read_workbook,
    write_empty,
    write_json,
    write_plant,
    write_workbook,
)
from subspark.model import Area, Circuit, Junction, Plant
from subspark.quantity import Evidence

CHECKER = jsonschema.Draft202012Validator(json_schema())
SLOW = settings(
    max_examples=150,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
    phases=[Phase.explicit, Phase.reuse, Phase.generate],  # to shrink a plant takes minutes
)


@dataclass(repr=False)
class Drawn:
    """A random plant; its repr is its document, which is shorter than that of the dataclass."""

    plant: Plant

    def __repr__(self) -> str:
        return write_json(self.plant)[:20000]


@pytest.mark.slow
@SLOW
@given(drawn=plants().map(Drawn))
def test_any_plant_survives_workbook_and_document(
    drawn: Drawn, tmp_path_factory: pytest.TempPathFactory
) -> None:
    plant, path = drawn.plant, tmp_path_factory.getbasetemp() / "any.xlsx"
    write_workbook(plant, path)
    from_workbook = read_workbook(path)
    text = write_json(plant)
    from_document = read_json(text)
    assert from_workbook == plant
    assert from_document == plant
    assert from_workbook.digest == from_document.digest == plant.digest
    CHECKER.validate(json.loads(text))


def test_a_small_plant_survives(tmp_path: Path) -> None:
    plant = small_plant()
    for name in ("plant.xlsx", "plant.json"):
        write_plant(plant, tmp_path / name)
        assert read_plant(tmp_path / name) == plant


def test_the_commonest_circuit_is_one_row(tmp_path: Path) -> None:
    write_workbook(small_plant(), tmp_path / "plant.xlsx")
    book = openpyxl.load_workbook(tmp_path / "plant.xlsx")
    sheet = book["Circuits"]
    titles = [cell.value for cell in sheet[1]]
    row = dict(zip(titles, (cell.value for cell in sheet[2]), strict=True))
    assert (row["Circuit"], row["Source"], row["Apparatus"]) == ("PT-1", "S1", "P1")
    assert (row["Cable"], row["Length [m]"]) == ("K1", 350)
    others = [book[name]["A2"].value for name in ("Runs", "Circuit apparatus")]
    assert others == ["PT-2", "PT-2"]
    assert book["Circuit sources"]["A2"].value.startswith("e.g. ")


def test_equal_plants_give_equal_bytes(tmp_path: Path) -> None:
    for name in ("one.xlsx", "two.xlsx"):
        write_workbook(small_plant(), tmp_path / name)
    assert (tmp_path / "one.xlsx").read_bytes() == (tmp_path / "two.xlsx").read_bytes()
    assert write_json(small_plant()) == write_json(small_plant())


def test_text_that_looks_like_a_formula_is_written_as_text(tmp_path: Path) -> None:
    plant = Plant(
        name="=1+1",
        areas=tuple(
            Area(tag=text, title=text, evidence=Evidence(document=text, note=text))
            for text in NASTY
        ),
        junctions=tuple(Junction(tag=text, area=text) for text in NASTY),
        circuits=tuple(Circuit(tag=text, service=text, area=text, note=text) for text in NASTY),
    )
    path = tmp_path / "plant.xlsx"
    write_workbook(plant, path)
    book = openpyxl.load_workbook(path)
    kinds = {cell.data_type for sheet in book for row in sheet.iter_rows() for cell in row}
    assert "f" not in kinds
    links = [
        cell.hyperlink
        for sheet in book
        if sheet.title != "Read me"
        for row in sheet.iter_rows()
        for cell in row
        if cell.hyperlink
    ]
    assert links == []
    assert read_workbook(path) == plant


def test_an_empty_workbook_is_an_empty_plant(tmp_path: Path) -> None:
    write_empty(tmp_path / "empty.xlsx")
    assert read_workbook(tmp_path / "empty.xlsx") == Plant()


def test_a_file_is_replaced_whole_or_not_at_all(tmp_path: Path) -> None:
    path = tmp_path / "plant.xlsx"
    write_workbook(small_plant(), path)
    before = path.read_bytes()
    with pytest.raises(Exception, match=r"begins with 'e\.g\.', the mark of an example"):
        write_workbook(Plant(areas=(Area(tag="e.g. A"),)), path)
    assert path.read_bytes() == before
    assert [file.name for file in tmp_path.iterdir()] == ["plant.xlsx"]
