"""Bringing a file in: all faults at once beside their cells, nothing before it is accepted."""

from __future__ import annotations

import io
import json
import re
from dataclasses import replace
from html import unescape

import openpyxl
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

import webplants
from subspark.assess import assess
from subspark.exchange import write_json, write_plant


@pytest.fixture(scope="module")
def good(tmp_path_factory):
    path = tmp_path_factory.mktemp("books") / "plant.xlsx"
    write_plant(webplants.small(), path)
    return path.read_bytes()


@pytest.fixture(scope="module")
def faulty(good):
    """A length that is a capacitance, an area that is not there, a source that is not there."""
    book = openpyxl.load_workbook(io.BytesIO(good))
    sheet = book["Circuits"]
    heads = [cell.value for cell in sheet[1]]
    rows = {row[0].value: row[0].row for row in sheet.iter_rows(min_row=2)}
    sheet.cell(rows["PT-1101"], heads.index("Area") + 1).value = "NOWHERE"
    sheet.cell(rows["AT-4091"], heads.index("Length [m]") + 1).value = "180 nF"
    sheet.cell(rows["FT-4091"], heads.index("Source") + 1).value = "NO SUCH"
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _work():
    from subspark.store import jobs

    while jobs.run_one():
        pass


def _bring(browser, data, title="plant.xlsx", plant=None):
    name, args = ("import-new", []) if plant is None else ("import", [plant.slug])
    answer = browser.post(reverse(name, args=args), {"file": SimpleUploadedFile(title, data)})
    assert answer.status_code == 302, answer.text
    _work()
    text = unescape(browser.get(answer["Location"]).text)
    return answer["Location"], text


def _accept(browser, seen, **given):
    answer = browser.post(f"{seen}/accept", given)
    _work()
    return answer


def _plant(name):
    from subspark.store.models import PlantRow

    return PlantRow.objects.filter(name=name).latest("pk")


@pytest.fixture
def keeper():
    return webplants.client(webplants.person(keeper=True))


def test_a_clean_workbook_is_looked_at_and_then_taken_over_whole(keeper, good):
    from subspark.store import plants
    from subspark.store.models import PlantRow

    before = PlantRow.objects.count()
    seen, text = _bring(keeper, good)
    assert "No faults" in text
    assert PlantRow.objects.count() == before
    _accept(keeper, seen, name="Taken whole")
    row = _plant("Taken whole")
    assert plants.whole(row.pk) == replace(webplants.small(), name="Taken whole")
    assert "was taken over" in keeper.get(seen).text
    assert _accept(keeper, seen).status_code == 422  # not twice


def test_all_faults_are_told_at_once_beside_their_cells(keeper, faulty):
    from subspark.store.models import PlantRow

    before = PlantRow.objects.count()
    _, text = _bring(keeper, faulty)
    assert "3 faults. Nothing was taken over." in text
    for told in ("NOWHERE", "180 nF", "NO SUCH"):
        assert re.search(rf'class="bad">{told}<', text), told
    assert PlantRow.objects.count() == before


def test_the_clean_part_is_taken_over_only_on_request_and_leans_on_nothing(keeper, faulty):
    from subspark.store import plants

    seen, _ = _bring(keeper, faulty)
    assert _accept(keeper, seen).status_code == 422
    _accept(keeper, seen, part="yes", name="Taken in part")
    part = plants.whole(_plant("Taken in part").pk)
    tags = {one.tag for one in part.circuits}
    assert not tags & {"PT-1101", "AT-4091", "FT-4091"}
    assert tags
    everything = assess(webplants.small())
    judged = assess(part)
    for tag in tags:  # as in the whole plant, or not at all
        assert judged[tag].verdict == everything[tag].verdict, tag


def test_a_document_is_brought_too_and_a_broken_one_is_told(keeper):
    _, text = _bring(keeper, write_json(webplants.small()).encode(), "plant.json")
    assert "No faults" in text
    _, text = _bring(keeper, b'{"format": "subspark plant"', "plant.json")
    assert "this is not JSON" in text
    assert "incoming" not in text  # not where we keep it
    _, text = _bring(keeper, b"PK nonsense", "plant.xlsx")
    assert "plant.xlsx" in text


@pytest.mark.parametrize("title", ["plant.exe", "plant", "plant.xlsx.html"])
def test_other_files_are_not_taken(keeper, title):
    answer = keeper.post(reverse("import-new"), {"file": SimpleUploadedFile(title, b"x")})
    assert answer.status_code == 422
    assert "wanted a workbook" in answer.text


def test_a_file_that_is_too_large_is_not_kept(keeper, monkeypatch):
    from subspark.desk.tasks import incoming
    from subspark.desk.views import transfer

    monkeypatch.setattr(transfer, "LARGEST_FILE", 1000)
    incoming("x").parent.mkdir(parents=True, exist_ok=True)
    before = set(incoming("x").parent.iterdir())
    answer = keeper.post(reverse("import-new"), {"file": SimpleUploadedFile("a.xlsx", b"x" * 2000)})
    assert answer.status_code == 422
    assert set(incoming("x").parent.iterdir()) == before


def test_a_file_brought_into_a_plant_shows_what_it_would_change_first(good):
    from subspark.store import plants

    changed = webplants.small()
    first = replace(changed.circuits[0], service="as it was before")
    row = webplants.stored(replace(changed, circuits=(first, *changed.circuits[1:])))
    browser = webplants.client(webplants.person(row, "engineer"))
    seen, text = _bring(browser, good, plant=row)
    assert f"1 record: circuits: {first.tag}" in " ".join(re.sub("<[^>]+>", "", text).split())
    _accept(browser, seen, why="the index of this year")
    assert plants.whole(row.pk).digest == changed.digest
    assert plants.verify(row.pk) == []


def test_work_is_seen_stopped_and_outlives_the_page(good, monkeypatch):
    from subspark.store import plants, verdicts
    from subspark.store.models import JobRow, VerdictRow

    monkeypatch.setattr(plants, "INLINE", 0)
    monkeypatch.setattr(verdicts, "BLOCK", 2)
    keeper = webplants.client(webplants.person(keeper=True))
    seen, _ = _bring(keeper, good)
    answer = keeper.post(f"{seen}/accept", {"name": "Stopped"})
    page = answer["Location"]
    assert "hx-get" in keeper.get(page).text  # it asks again by itself
    rejudge = plants.rejudge

    def stop_after_the_first(plant, report=None, stopped=None):
        keeper.post(f"{page}/stop")
        return rejudge(plant, lambda _, of: report(of, of), stopped)

    monkeypatch.setattr(plants, "rejudge", stop_after_the_first)
    _work()
    text = keeper.get(page).text
    assert "Stopped before the end" in text
    waiting = VerdictRow.objects.filter(plant__name="Stopped", stale=True)
    assert waiting.exists()
    assert not waiting.exclude(verdict=2).exists()  # unproven, not safe
    assert JobRow.objects.latest("pk").state == "stopped"


def test_nobody_takes_over_the_file_of_another(keeper, good):
    seen, _ = _bring(keeper, good)
    other = webplants.client(webplants.person(keeper=True))
    assert other.get(seen).status_code == 404
    assert other.post(f"{seen}/accept").status_code == 404


def test_the_result_of_reading_is_kept_as_plain_data(keeper, faulty):
    from subspark.store.models import JobRow

    _bring(keeper, faulty)
    result = json.loads(JobRow.objects.filter(sort="read").latest("pk").result)
    assert result["count"] == 3
    assert {fault["sheet"] for fault in result["faults"]} == {"Circuits"}


def test_an_index_in_a_layout_of_its_own_is_mapped_once_and_remembered(tmp_path):
    import xlsxwriter

    path = tmp_path / "index.xlsx"
    book = xlsxwriter.Workbook(path)
    sheet = book.add_worksheet("Loops")
    heads = ["Loop", "What it does", "Hazardous area", "Barrier type", "Instrument type"]
    for number, row in enumerate((heads, ["NEW-9", "a loop", "BLEND-1", "RW-1126", "TG-9"])):
        sheet.write_row(number, 0, row)
    book.close()
    row = webplants.stored()
    browser = webplants.client(webplants.person(row, "engineer"))
    seen, text = _bring(browser, path.read_bytes(), "index.xlsx", row)
    assert "Name its columns" in text
    text = unescape(browser.get(f"{seen}/layout").text)
    chosen = {}
    for select in text.split("<select")[1:]:
        found = re.search(r'name="(c\.\d+)".*?value="([^"]+)" selected', select)
        chosen |= {found[1]: found[2]} if found else {}
    assert set(chosen.values()) == {"Loop", "Hazardous area", "Barrier type", "Instrument type"}
    service = re.search(r'for="c(\d+)">Service<', text)[1]
    given = {**chosen, f"c.{service}": "What it does", "sheet": "Loops", "heading": "1"}
    answer = browser.post(f"{seen}/layout", given)
    _work()
    text = unescape(browser.get(answer["Location"]).text)
    assert "No faults" in text
    assert "circuits: NEW-9" in text
    _accept(browser, answer["Location"], why="the index of the year", remove="yes")
    made = webplants.circuit(row, "NEW-9")
    assert made.service == "a loop"
    assert webplants.circuit(row, "AT-4091") is not None
    seen, _ = _bring(browser, path.read_bytes(), "index.xlsx", row)
    text = unescape(browser.get(f"{seen}/layout").text)
    assert "As it was said the last time" in text
    assert 'value="What it does" selected' in text
