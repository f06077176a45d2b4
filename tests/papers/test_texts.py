"""The fixed texts of the papers come from catalogues: another language is another file."""

import io
import re

import openpyxl
import pytest

from papers.reading import bare, pages_of
from subspark.assess import assess
from subspark.errors import UsageError
from subspark.model import Circuit, Plant, Run
from subspark.papers import inspection, texts
from subspark.papers.attachment import dossier
from subspark.papers.inspection import inspection_sheet, print_inspection
from subspark.papers.inspection_book import inspection_workbook
from subspark.papers.plant_papers import LISTS, lists, print_list, sheet_of_list
from subspark.papers.workbook import workbook
from subspark.papers.writing import write_papers


def marked(thing, place=""):
    """Every text of a catalogue in marks, as a translation would change it."""
    if isinstance(thing, dict):
        return {key: marked(one, f"{place}.{key}") for key, one in thing.items()}
    if isinstance(thing, list) and place == ".inspection.items":
        return [[number, f"«{sort}»", f"«{item}»", grades] for number, sort, item, grades in thing]
    if isinstance(thing, list):
        return [marked(one, place) for one in thing]
    return f"«{thing}»" if isinstance(thing, str) else thing


def sentences(thing):
    """The longer texts of a catalogue, which stand nowhere else."""
    if isinstance(thing, dict):
        return [text for one in thing.values() for text in sentences(one)]
    if isinstance(thing, list):
        return [text for one in thing for text in sentences(one)]
    return [thing] if isinstance(thing, str) and len(thing) > 24 and "{" not in thing else []


@pytest.fixture
def foreign(monkeypatch):
    """A language "xx" that is English in marks."""
    real = texts.catalogue

    def catalogue(name):
        return marked(real(name.replace("xx", "en"))) if "xx" in name else real(name)

    monkeypatch.setattr(texts, "catalogue", catalogue)
    monkeypatch.setattr(inspection, "catalogue", catalogue)
    every = [*sentences(real("en")), *sentences(real("inspection-en"))]
    yield [one for one in every if sum(one in other for other in every) == 1]
    texts.words.cache_clear()
    inspection._texts.cache_clear()


def unmarked(text, english):
    """Texts of the catalogue that stand in a text without their marks."""
    whole = bare(text)
    return [one for one in english if re.search(rf"(?<!«){re.escape(bare(one))}", whole)]


@pytest.mark.parametrize("tag", ["AT-4091", "PI-1151", "FT-4091"])
def test_a_dossier_takes_its_words_from_the_catalogue(larkfen, foreign, tag):
    text = "".join(pages_of(dossier(larkfen, tag, language="xx").pdf()))
    assert unmarked(text, foreign) == []
    assert text.count("«") > 40


def test_an_inspection_sheet_takes_its_words_from_the_catalogue(larkfen, foreign):
    sheet = inspection_sheet(larkfen, "PT-1121", language="xx")
    text = "".join(pages_of(print_inspection(sheet)))
    assert unmarked(text, foreign) == []
    assert text.count("«") > 80
    book = openpyxl.load_workbook(io.BytesIO(inspection_workbook(sheet)))
    cells = [str(cell.value) for on in book for row in on.iter_rows() for cell in row if cell.value]
    assert unmarked(" | ".join(cells), foreign) == []


@pytest.mark.filterwarnings("ignore:.*extension is not supported")
def test_lists_take_their_words_from_the_catalogue(foreign):
    run = Run(start="MC-1", end="X-1")  # neither cable nor length is stated
    plant = Plant(name="small", circuits=(Circuit(tag="X-1", runs=(run,)),))
    assessment = assess(plant)
    made = lists(assessment, "xx")
    assert [one.key for one in made] == list(LISTS)
    for one in made:
        text = "".join(pages_of(print_list(sheet_of_list(assessment, one, language="xx"))))
        assert unmarked(text, foreign) == [], one.key
    book = openpyxl.load_workbook(io.BytesIO(workbook(assessment, made, language="xx")))
    cells = [str(cell.value) for on in book for row in on.iter_rows() for cell in row if cell.value]
    assert unmarked(" | ".join(cells), foreign) == []
    cables = next(one for one in made if one.key == "cables")
    assert cables.rows[0][1] == "«not stated»"


def test_a_language_that_is_not_there_is_refused(larkfen, tmp_path):
    with pytest.raises(UsageError, match="language 'xx': papers are written in one of en"):
        write_papers(larkfen, tmp_path, ["PT-1001"], language="xx")
