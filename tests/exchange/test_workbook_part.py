"""The clean part of a workbook: what has a bad cell stays behind whole, and what leans on it."""

from __future__ import annotations

from functools import cache

import openpyxl
import pytest

from subspark.assess import assess
from subspark.demo import build_plant
from subspark.errors import PlantError
from subspark.exchange import write_workbook
from subspark.exchange.workbook_part import clean_part
from subspark.store.ledger import Ledger

_DEMO = Ledger.of(build_plant())
_TAGS = [*list(_DEMO.records["circuits"])[:24], "AT-4091", "FT-4091"]
PLANT = _DEMO.part(_DEMO.concerned(_TAGS))


@pytest.fixture(scope="module")
def good(tmp_path_factory):
    path = tmp_path_factory.mktemp("part") / "plant.xlsx"
    write_workbook(PLANT, path)
    return path


@pytest.fixture
def spoilt(good, tmp_path):
    def made(*cells):
        book = openpyxl.load_workbook(good)
        for sheet, name, title, value in cells:
            rows = book[sheet]
            heads = [cell.value for cell in rows[1]]
            row = next(one[0].row for one in rows.iter_rows(min_row=2) if one[0].value == name)
            rows.cell(row, heads.index(title) + 1).value = value
        path = tmp_path / "spoilt.xlsx"
        book.save(path)
        return path

    return made


@cache
def _whole():
    return {one.tag: one for one in assess(PLANT).summaries()}


def _same_verdicts(plant):
    for one in assess(plant).summaries():
        assert one == _whole()[one.tag]


def test_a_clean_workbook_is_its_own_clean_part(good):
    part = clean_part(good)
    assert part.plant.digest == PLANT.digest
    assert part.left_out == {}


def test_a_circuit_with_a_bad_run_stays_behind_whole(spoilt):
    part = clean_part(spoilt(("Runs", "AT-4091", "Length [m]", "180 nF")))
    tags = {one.tag for one in part.plant.circuits}
    assert "AT-4091" not in tags
    assert "unit 'nF'" in part.left_out["circuits", "AT-4091"]
    _same_verdicts(part.plant)


def test_what_uses_a_bad_source_stays_behind_with_it(spoilt):
    part = clean_part(spoilt(("Sources", "RW-1126", "Uo [V]", "26 mA")))
    assert ("sources", "RW-1126") in part.left_out
    users = {
        one.tag for one in PLANT.circuits if any(use.source == "RW-1126" for use in one.sources)
    }
    assert not users & {one.tag for one in part.plant.circuits}
    _same_verdicts(part.plant)


def test_partners_of_a_shared_cable_stay_behind_too(spoilt):
    number, first = next(
        (run.number, one.tag)
        for one in PLANT.circuits
        for run in one.runs
        if run.number and sum(run.number in [r.number for r in o.runs] for o in PLANT.circuits) > 2
    )
    sharers = {one.tag for one in PLANT.circuits if number in [run.number for run in one.runs]}
    part = clean_part(spoilt(("Circuits", first, "Area", "NOWHERE")))
    assert not sharers & {one.tag for one in part.plant.circuits}
    assert all(("circuits", tag) in part.left_out for tag in sharers)
    _same_verdicts(part.plant)


@pytest.mark.parametrize(
    ("cell", "said"),
    [
        (("Runs", "AT-4091", "Circuit", "AT-4O91"), "AT-4O91"),
        (("Runs", "AT-4091", "Circuit", None), "row"),
        (("Declarations", PLANT.declarations[0].fact, "Scope", "everywhere"), "everywhere"),
        (("Plant", PLANT.name, "Code", None), ""),
    ],
)
def test_where_it_cannot_be_told_what_leans_on_a_fault_there_is_no_part(spoilt, cell, said):
    if cell[0] == "Plant":
        part = clean_part(spoilt(cell))  # a blank code has its default: no fault
        assert part.left_out == {}
        return
    with pytest.raises(PlantError, match="no part can be taken over") as told:
        clean_part(spoilt(cell))
    assert said in str(told.value)
