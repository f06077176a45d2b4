"""The lists of a plant: on paper and in a workbook, read back by other libraries."""

import dataclasses
import io
import shutil
import subprocess

import openpyxl
import pytest

from papers.drawings.reading import svg_texts
from papers.reading import bare, pages_of
from subspark.assess import assess
from subspark.assess.words import percent
from subspark.model import Area, Circuit, Plant
from subspark.papers.drawings import terminal_plan
from subspark.papers.plant_papers import LISTS, lists, print_list, sheet_of_list
from subspark.papers.texts import words
from subspark.papers.workbook import workbook

READ = pytest.mark.filterwarnings("ignore:.*extension is not supported")
"""openpyxl does not know the extension by which bars are of one colour."""


@pytest.fixture(scope="module")
def findings(larkfen):
    return list(larkfen)


@pytest.fixture(scope="module")
def told(larkfen):
    return {one.key: one for one in lists(larkfen)}


@pytest.fixture(scope="module")
def book(larkfen, told):
    return workbook(larkfen, list(told.values()))


def column(schedule, key):
    at = [one.key for one in schedule.columns].index(key)
    return [row[at] for row in schedule.rows]


def test_the_register_holds_every_circuit_with_its_finding(larkfen, findings, told):
    register = told["register"]
    assert column(register, "tag") == [one.tag for one in larkfen.plant.circuits]
    assert column(register, "verdict") == [one.verdict.word for one in findings]
    assert column(register, "governing") == [one.governing for one in findings]
    assert column(register, "used") == [one.utilisation for one in findings]
    assert column(register, "works") == [one.works.word for one in findings]


def test_every_cable_stands_once(larkfen, told):
    numbers = [run.number for one in larkfen.plant.circuits for run in one.runs]
    assert sorted(column(told["cables"], "number")) == sorted(set(numbers))
    assert column(told["lengths"], "number") == column(told["cables"], "number")


def test_spare_pairs_are_counted(told):
    spares = told["spares"]
    row = dict(zip((one.key for one in spares.columns), spares.rows[
        column(spares, "number").index("W-221")], strict=True))  # fmt: skip
    # 24 pairs, 20 circuits of 2 cores: 48 - 40
    assert (row["count"], row["spare"]) == (20, 8)


def test_every_special_condition_stands_with_its_answer(larkfen, told):
    texts = column(told["certificates"], "condition")
    for certificate in larkfen.plant.certificates:
        for condition in certificate.conditions:
            assert condition.text in texts
    answers = dict(zip(texts, column(told["certificates"], "answer"), strict=True))
    open_one = next(
        c.text
        for one in larkfen.plant.certificates
        if one.number == "DEMO 22.0109X"
        for c in one.conditions
        if c.answered == ""
    )
    assert answers[open_one] == "not answered"


def test_every_assumption_names_how_many_lean_on_it(findings, told):
    counts = dict(zip(column(told["assumptions"], "assumption"),
                      column(told["assumptions"], "count"), strict=True))  # fmt: skip
    for note, count in counts.items():
        leaning = [one for one in findings if note in (*one.assumptions, *one.works.assumptions)]
        assert len(leaning) == count


def test_every_circuit_that_is_not_safe_has_an_open_point_and_no_other(findings, told):
    bad = {one.tag for one in findings if one.verdict.word != "safe"}
    warned = {one.tag for one in findings if one.warnings}
    assert bad <= set(column(told["open"], "tag")) <= bad | warned


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_register_on_paper_says_the_same(larkfen, told, paper):
    text = "".join(pages_of(print_list(sheet_of_list(larkfen, told["register"], paper=paper))))
    for one in larkfen.plant.circuits:
        assert one.tag in text
    assert percent(larkfen["AT-4091"].utilisation) == "115 %"  # as the demo's story tells
    assert "115 %" in text
    counts = larkfen.counts
    total = f"{len(larkfen.plant.circuits)} circuits: {counts['safe']} safe"
    assert f"{total}, {counts['unsafe']} unsafe, {counts['unproven']} unproven" in text


@pytest.mark.parametrize("key", LISTS)
def test_every_list_prints(larkfen, told, key):
    some = dataclasses.replace(told[key], rows=told[key].rows[:60])
    pages = pages_of(print_list(sheet_of_list(larkfen, some)))
    assert words()(f"schedules.{key}") in pages[0]
    assert f"sheet 1 of {len(pages)}" in pages[0]


def test_an_empty_plant_has_lists_that_say_so():
    assessment = assess(Plant(name="empty", circuits=(Circuit(tag="X-1"),)))
    for one in lists(assessment):
        text = bare("".join(pages_of(print_list(sheet_of_list(assessment, one)))))
        assert one.rows or bare(words()("schedules.none")) in text


@READ
def test_the_workbook_is_read_by_another_library(told, book):
    opened = openpyxl.load_workbook(io.BytesIO(book))
    assert len(opened.sheetnames) == len(told) + 1
    sheet = opened[words()("schedules.register")]
    assert sheet.freeze_panes == "B6"
    assert sheet.auto_filter.ref == f"A5:N{5 + len(told['register'].rows)}"
    assert sheet.print_title_rows == "$5:$5"
    assert sheet.print_area == f"'{sheet.title}'!$A$1:$N${5 + len(told['register'].rows)}"
    assert sheet.page_setup.orientation == "landscape"
    assert (sheet.sheet_properties.pageSetUpPr.fitToPage, sheet.page_setup.fitToHeight) == (True, 0)
    bars = [rule.type for rules in sheet.conditional_formatting for rule in rules.rules]
    assert "dataBar" in bars
    held = [[cell.value for cell in row] for row in sheet.iter_rows(min_row=6)]
    assert [row[0] for row in held] == column(told["register"], "tag")
    assert [row[8] for row in held] == pytest.approx(column(told["register"], "used"), nan_ok=True)


@READ
def test_no_text_becomes_a_formula_or_a_link():
    evil = ("=1+1", "+cmd|' /C calc'!A0", "@SUM(A1)", "-2+3", "\t=1+1", "http://example.org",
            "mailto:a@b")  # fmt: skip
    circuits = tuple(
        Circuit(tag=f"{text} {number}", service=text, area="A", document=text)
        for number, text in enumerate(evil)
    )
    plant = Plant(name="=2+2", areas=(Area(tag="A"),), circuits=circuits)
    assessment = assess(plant)
    opened = openpyxl.load_workbook(io.BytesIO(workbook(assessment, lists(assessment))))
    cells = [cell for sheet in opened for row in sheet.iter_rows() for cell in row]
    assert {cell.data_type for cell in cells} <= {"s", "n"}
    assert {cell.value for cell in cells} >= {one.strip() for one in evil}
    links = [cell.hyperlink for cell in cells if cell.hyperlink]
    assert all(link.target is None for link in links)  # from the contents to the sheets only


def test_the_workbook_is_the_same_every_time(larkfen, told, book):
    assert workbook(larkfen, list(told.values())) == book


def test_longer_lists_are_printed_in_a_process_of_their_own(larkfen, told, monkeypatch):
    from subspark.papers import writing

    made = sheet_of_list(larkfen, told["assumptions"])
    monkeypatch.setattr(writing, "_LONG", 3)
    assert writing._print_list(made) == print_list(made)


def test_words_are_complete():
    say = words()
    for key, make in LISTS.items():
        assert callable(make)
        assert say(f"schedules.{key}")
        assert say(f"schedule_notes.{key}")


@pytest.mark.slow
@pytest.mark.skipif(shutil.which("soffice") is None, reason="LibreOffice is not on this machine")
def test_libreoffice_opens_the_workbook(larkfen, told, tmp_path):
    small = dataclasses.replace(told["register"], rows=told["register"].rows[:20])
    (tmp_path / "lists.xlsx").write_bytes(workbook(larkfen, [small]))
    subprocess.run(
        [shutil.which("soffice"), "--headless", f"-env:UserInstallation=file://{tmp_path}/profile",
         "--convert-to", "pdf", "--outdir", tmp_path, tmp_path / "lists.xlsx"],
        check=True, capture_output=True, timeout=120,
    )  # fmt: skip
    text = "".join(pages_of((tmp_path / "lists.pdf").read_bytes()))
    for row in small.rows:
        assert str(row[0]) in text


def row_of(schedule, key, value):
    names = [one.key for one in schedule.columns]
    return dict(zip(names, schedule.rows[column(schedule, key).index(value)], strict=True))


def test_the_box_schedule_and_the_terminal_plan_tell_the_same_terminals(larkfen, told):
    """20 circuits of two cores pass through JB-221: 40 terminals, each with two sides."""
    row = row_of(told["boxes"], "box", "JB-221")
    assert (row["count"], row["terminals"]) == (20, 40)
    plan = svg_texts(terminal_plan(larkfen, "JB-221").svg())
    assert "40" in plan
    assert "41" not in plan


def test_a_cable_and_a_box_name_every_circuit(told):
    tags = row_of(told["cables"], "number", "W-221")["circuits"].split(", ")
    assert len(tags) == 20
    assert tags == row_of(told["boxes"], "box", "JB-221")["circuits"].split(", ")
    assert row_of(told["cables"], "number", "W-221")["cores"] == "24 pairs"


def test_a_label_is_short(told):
    texts = dict(zip(column(told["labels"], "tag"), column(told["labels"], "text"), strict=True))
    assert texts["W-221"] == "W-221: intrinsically safe, 20 circuits"
    assert texts["C-AT-2001"] == "C-AT-2001: intrinsically safe, AT-2001"


def test_a_north_american_plant_has_its_own_words(alder_creek):
    made = {one.key: one for one in lists(alder_creek)}
    assert set(column(made["cables"], "class")) == {"IS"}
    assert all(length.endswith(" ft") for length in column(made["cables"], "length"))
    assert {"18 AWG", "16 AWG"} <= set(column(made["cables"], "section"))
