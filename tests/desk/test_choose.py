"""Choosing and printing in the browser: looked at first, applied as a change, never when stale."""

from __future__ import annotations

import dataclasses
import io
import json
import re
import zipfile
from html import unescape

import pytest
from django.urls import reverse

import webplants

TAG = "AT-4091"


@pytest.fixture
def plant():
    return webplants.stored()


@pytest.fixture
def engineer(plant):
    return webplants.client(webplants.person(plant, "engineer"))


def _work():
    from subspark.store import jobs

    while jobs.run_one():
        pass


def _offered(browser, plant):
    text = browser.get(reverse("repairs", args=[plant.slug, TAG])).text
    found = re.findall(r'name="change" value="([^"]+)"', text)
    return text, [json.loads(unescape(one)) for one in found]


def test_a_repair_is_offered_and_applied_as_a_change(plant, engineer):
    text, offered = _offered(engineer, plant)
    assert "shorten" in text
    first = offered[0]
    address = reverse("repair-apply", args=[plant.slug, TAG])
    answer = engineer.post(address, {"change": json.dumps(first), "why": "shorter"})
    assert answer.status_code == 302
    page = unescape(engineer.get(answer["Location"]).text)
    assert "Safe." in page
    assert "shorter" in page
    stale = engineer.post(address, {"change": json.dumps(first), "why": "again"})
    assert stale.status_code == 422
    assert "the change was made where it held" in unescape(stale.text)


def test_a_repair_of_what_is_sound_is_not_offered(plant, engineer):
    text = engineer.get(reverse("repairs", args=[plant.slug, "PT-1101"])).text
    assert "Nothing to mend" in text
    assert 'name="change"' not in text


def test_a_reader_sees_repairs_and_applies_none(plant):
    reader = webplants.client(webplants.person(plant, "reader"))
    text, offered = _offered(reader, plant)
    assert "shorten" in text
    assert offered == []
    address = reverse("repair-apply", args=[plant.slug, TAG])
    assert reader.post(address, {"change": "{}", "why": "x"}).status_code == 403


@pytest.mark.parametrize("junk", ["", "nonsense", "[]", "{}", '{"format": "x"}', "[" * 100_000])
def test_a_change_that_nobody_has_proposed_is_refused(plant, engineer, junk):
    address = reverse("repair-apply", args=[plant.slug, TAG])
    answer = engineer.post(address, {"change": junk, "why": "x"})
    assert answer.status_code == 422
    plant.refresh_from_db()
    assert plant.revision == 1


def test_sources_that_fit_are_listed_with_why_others_do_not(plant, engineer):
    text = engineer.get(reverse("fits", args=[plant.slug, TAG])).text
    assert "serves" in text
    assert "RW-1126" in text


def test_the_fewest_types_are_looked_for_in_the_background_and_applied(plant, engineer):
    from subspark.store import plants

    answer = engineer.post(reverse("choose-start", args=[plant.slug]), {"seconds": "5"})
    assert answer.status_code == 302
    assert "hx-get" in engineer.get(answer["Location"]).text
    _work()
    text = unescape(engineer.get(answer["Location"]).text)
    assert "instead of" in text
    found = engineer.post(f"{answer['Location']}/apply", {"why": "fewer types"})
    assert found.status_code == 302, unescape(found.text)
    plant.refresh_from_db()
    assert plant.revision == 2
    assert plants.verify(plant.pk) == []
    text = engineer.get(answer["Location"]).text
    assert "no longer fits" in text


def test_the_fewest_cable_types_are_looked_for_and_applied():
    """A twin of a type that may not be taken stands in for it."""
    from subspark.store import plants
    from subspark.store.holding import whole

    small = webplants.small()
    twin = next(one for one in small.cables if one.name == "FC 2x1.5")
    twin = dataclasses.replace(twin, name="GC 2x1.5")
    plant = webplants.stored(dataclasses.replace(small, cables=(*small.cables, twin)))
    engineer = webplants.client(webplants.person(plant, "engineer"))
    given = {"seconds": "5", "of": "cables", "forbidden": "FC 2x1.5"}
    answer = engineer.post(reverse("choose-start", args=[plant.slug]), given)
    _work()
    text = unescape(engineer.get(answer["Location"]).text)
    assert "Fewest cable types" in text
    assert "instead of" in text
    assert "m to lay" in text
    assert reverse("record", args=[plant.slug, "cables", "GC 2x1.5"]) in text
    found = engineer.post(f"{answer['Location']}/apply", {"why": "another cable"})
    assert found.status_code == 302, unescape(found.text)
    plant.refresh_from_db()
    assert plant.revision == 2
    assert plants.verify(plant.pk) == []
    laid = {run.cable for one in whole(plant.pk).circuits for run in one.runs}
    assert "GC 2x1.5" in laid


@pytest.mark.parametrize(("name", "text"), [("seconds", "9999"), ("margin", "x"), ("spare", "nan")])
def test_what_is_asked_of_the_optimiser_is_bounded(plant, engineer, name, text):
    answer = engineer.post(reverse("choose-start", args=[plant.slug]), {name: text})
    assert answer.status_code == 422
    assert "wanted a number" in answer.text


def test_the_dossier_of_a_circuit_is_printed_at_once(plant, engineer):
    pytest.importorskip("typst", reason="the parts of the papers are not installed")
    answer = engineer.get(reverse("dossier", args=[plant.slug, TAG]))
    assert answer.status_code == 200
    assert answer.content.startswith(b"%PDF-")


def test_papers_of_the_plant_are_printed_in_the_background(plant, engineer):
    pytest.importorskip("typst", reason="the parts of the papers are not installed")
    answer = engineer.post(reverse("papers-start", args=[plant.slug]), {"sort": ["lists"]})
    _work()
    page = engineer.get(answer["Location"]).text
    link = re.search(r'href="([^"]+\.zip)"', page)[1]
    got = engineer.get(link)
    names = zipfile.ZipFile(io.BytesIO(b"".join(got.streaming_content))).namelist()
    got.close()
    assert any(name.endswith(".pdf") for name in names)
    assert engineer.post(reverse("papers-start", args=[plant.slug])).status_code == 422


def _printed(engineer, plant, given):
    """The names of the papers that a request is answered with."""
    answer = engineer.post(reverse("papers-start", args=[plant.slug]), given)
    assert answer.status_code == 302, unescape(answer.text)
    _work()
    page = unescape(engineer.get(answer["Location"]).text)
    link = re.search(r'href="([^"]+\.zip)"', page)
    assert link, page
    got = engineer.get(link[1])
    whole = zipfile.ZipFile(io.BytesIO(b"".join(got.streaming_content)))
    got.close()
    return whole, page


def test_papers_of_some_circuits_by_tag_and_by_filter(plant, engineer):
    pytest.importorskip("typst", reason="the parts of the papers are not installed")
    kinds = {"sort": ["dossiers", "inspection", "drawings"], "format": ["pdf", "dxf", "svg"]}
    kinds["sheet"] = ["pdf", "xlsx"]
    whole, _ = _printed(engineer, plant, {**kinds, "tag": ["AT-4091", "PT-1101"]})
    names = whole.namelist()
    assert {"inspection/AT-4091.xlsx", "inspection/PT-1101.xlsx"} <= set(names)
    assert {"dossiers/AT-4091.pdf", "dossiers/PT-1101.pdf"} <= set(names)
    assert {"inspection/AT-4091.pdf", "inspection/PT-1101.pdf"} <= set(names)
    for ending in ("pdf", "dxf", "svg"):
        assert any(name.startswith("drawings/") and name.endswith(ending) for name in names)
    assert not any("PT-1102" in name for name in names if name.startswith("dossiers/"))
    whole, _ = _printed(engineer, plant, {"sort": ["dossiers"], "q": ["verdict:unsafe"]})
    unsafe = [name for name in whole.namelist() if name.startswith("dossiers/")]
    assert unsafe == ["dossiers/AT-4091.pdf", "dossiers/PI-1191.pdf"]


def test_papers_take_their_size_equivalents_and_signatures(plant, engineer):
    pypdf = pytest.importorskip("pypdf", reason="the parts of the papers are not installed")
    asked = {"sort": ["dossiers"], "tag": ["PT-1101"], "paper": "letter", "equivalents": "yes"}
    signed = {"designer-name": "A. Designer", "designer-date": "2026-03-01", "reason": "as built"}
    whole, _ = _printed(engineer, plant, {**asked, **signed})
    reader = pypdf.PdfReader(io.BytesIO(whole.read("dossiers/PT-1101.pdf")))
    box = reader.pages[0].mediabox
    assert sorted((round(box.width), round(box.height))) == [612, 792]  # points: 8.5 by 11 inches
    text = " ".join(page.extract_text() for page in reader.pages)
    assert "A. Designer" in text
    assert "as built" in text
    assert "quivalent" in text


def test_signatures_are_for_those_whose_role_they_are(plant, engineer):
    pytest.importorskip("typst", reason="the parts of the papers are not installed")
    asked = {"sort": ["dossiers"], "tag": ["PT-1101"]}
    day = {"approver-date": "2026-03-01", "designer-date": "1st of March"}
    answer = engineer.post(
        reverse("papers-start", args=[plant.slug]), {**asked, **day, "approver-name": "Me"}
    )
    assert answer.status_code == 422
    assert "your role does not permit" in answer.text
    answer = engineer.post(
        reverse("papers-start", args=[plant.slug]), {**asked, **day, "designer-name": "Me"}
    )
    assert answer.status_code == 422
    assert "wanted a day" in answer.text
    page = engineer.get(reverse("papers", args=[plant.slug])).text
    assert "designer-name" in page
    assert "approver-name" not in page


def test_a_circuit_that_is_not_safe_is_not_signed(plant, engineer):
    pytest.importorskip("typst", reason="the parts of the papers are not installed")
    signed = {"designer-name": "A. Designer", "designer-date": "2026-03-01"}
    _, page = _printed(engineer, plant, {"sort": ["inspection"], **signed})
    assert "Not signed, because not safe" in page
    assert "AT-4091" in page
    answer = engineer.post(
        reverse("papers-start", args=[plant.slug]), {"sort": ["dossiers"], "tag": [TAG], **signed}
    )
    _work()
    assert "AT-4091" in unescape(engineer.get(answer["Location"]).text)
    assert "fetch" not in engineer.get(answer["Location"]).text.lower()


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"sort": ["drawings"]}, "no format"),
        ({"sort": ["dossiers"], "tag": ["NOBODY"]}, "there is none of that tag"),
        ({"sort": ["dossiers"], "q": ["tag:NOBODY"]}, "no circuit to print"),
    ],
)
def test_papers_that_cannot_be_printed_are_refused_at_once(plant, engineer, given, told):
    pytest.importorskip("typst", reason="the parts of the papers are not installed")
    answer = engineer.post(reverse("papers-start", args=[plant.slug]), given)
    assert answer.status_code == 422
    assert told in unescape(answer.text)


def test_printing_can_be_stopped_and_older_papers_are_let_go(plant, engineer):
    pytest.importorskip("typst", reason="the parts of the papers are not installed")
    from subspark.desk.tasks import KEPT_PAPERS, printed
    from subspark.store.models import JobRow

    address = reverse("papers-start", args=[plant.slug])
    answer = engineer.post(address, {"sort": ["dossiers"]})
    number = int(answer["Location"].rpartition("/")[2])
    engineer.post(reverse("job-stop", args=[number]))
    _work()
    row = JobRow.objects.get(pk=number)
    assert row.state == "stopped"
    assert not printed(number).exists()
    old = [
        JobRow.objects.create(plant=plant, sort="papers", title="t", state="done", given="{}")
        for _ in range(KEPT_PAPERS)
    ]
    for one in old:
        printed(one.pk).parent.mkdir(parents=True, exist_ok=True)
        printed(one.pk).write_bytes(b"old")
    _printed(engineer, plant, {"sort": ["inspection"], "tag": ["PT-1101"]})
    assert [printed(one.pk).exists() for one in old] == [False, *[True] * (KEPT_PAPERS - 1)]
