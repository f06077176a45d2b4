"""Inspection sheets are filled in on a screen, as PDF and .xlsx, by other libraries."""

import io
import re
from importlib import resources

import openpyxl
import pikepdf
import pypdf
import pytest
from fontTools.ttLib import TTFont

from papers.reading import bare, pages_of
from subspark.errors import UsageError
from subspark.papers.forms import Field, fillable
from subspark.papers.inspection import fields_of, inspection_sheet, print_inspection
from subspark.papers.inspection_book import inspection_workbook
from subspark.papers.printing import print_pdf
from subspark.papers.writing import write_papers

FOUND = {
    "PT-1121/length of W-131/found": "149,5 m",
    "PT-1121/length of W-131/instrument": "tape \u00b0 \u00b5 7",
    "PT-1121/B9/result": "good",
    "PT-1121/finding 1/action": "gland replaced",
    "PT-1121/loop check 50 %/up": "50.1 %",
}
TICKED = "PT-1121/inspection/detailed"


@pytest.fixture(scope="module")
def sheet(larkfen):
    return inspection_sheet(larkfen, "PT-1121")


@pytest.fixture(scope="module")
def data(sheet):
    return print_inspection(sheet)


def fields(data):
    return pypdf.PdfReader(io.BytesIO(data)).get_fields()


def test_every_blank_is_a_field_named_by_circuit_item_and_column(sheet, data):
    found = fields(data)
    printed = {name: one["/TU"] for name, one in found.items()}
    told = {one.name: one.tip for one in fields_of(sheet).values()}
    assert printed.items() <= told.items()
    # the signature is written by hand, and the loop check of a 4-20 mA loop is filled in already
    given = {one for one in told if one.endswith(("/signal", "/current"))}
    assert told.keys() - printed.keys() == {"PT-1121/inspection/signature", *given}
    assert FOUND.keys() <= printed.keys()
    assert len(found) == len(set(found)) == sum(
        len(page.get("/Annots", ())) for page in pypdf.PdfReader(io.BytesIO(data)).pages
    )  # fmt: skip
    for number, *_ in sheet["items"]:
        assert f"PT-1121/{number}/result" in found
    for what, _ in sheet["measured"]:
        for column in ("found", "instrument", "calibrated"):
            assert f"PT-1121/{what}/{column}" in found


def test_what_is_filled_in_is_read_back_and_seen(data):
    writer = pypdf.PdfWriter(clone_from=io.BytesIO(data))
    for page in writer.pages:
        writer.update_page_form_field_values(
            page, FOUND | {TICKED: "/Yes"}, auto_regenerate=False
        )  # fmt: skip
    out = io.BytesIO()
    writer.write(out)
    found = fields(out.getvalue())
    assert {name: found[name]["/V"] for name in FOUND} == FOUND
    assert found[TICKED]["/V"] == "/Yes"
    assert found["PT-1121/inspection/close"]["/V"] == "/Off"
    blank = [name for name, one in found.items() if one["/FT"] == "/Tx" and not one.get("/V")]
    assert len(blank) == len([one for one in found.values() if one["/FT"] == "/Tx"]) - len(FOUND)
    with pikepdf.open(io.BytesIO(out.getvalue())) as pdf:
        shown = {
            str(one.T): one.AP.N.read_bytes()
            for page in pdf.pages
            for one in page.Annots
            if str(one.T) in FOUND
        }
    for name, value in FOUND.items():  # each in its own words, in WinAnsi
        assert value.encode("cp1252") in shown[name]
    assert re.search(rb"/Sf [\d.]+ Tf", shown["PT-1121/length of W-131/found"])


def test_the_file_stays_an_archive_file(data):
    """What PDF/A-3b asks of forms (ISO 19005-3, 6.4 and 6.2.11, from memory)."""
    with pikepdf.open(io.BytesIO(data)) as pdf:
        assert "/NeedAppearances" not in pdf.Root.AcroForm
        assert "/XFA" not in pdf.Root.AcroForm
        assert not pdf.check_pdf_syntax()
        annotations = [one for page in pdf.pages for one in page.Annots]
        for one in annotations:
            assert one.Subtype == "/Widget"
            assert not {"/A", "/AA"} & set(one.keys())
            assert int(one.F) & 0b100111 == 0b100  # printed; neither hidden nor out of view
            assert set(one.AP.keys()) == {"/N"}
            looks = [one.AP.N] if one.FT == "/Tx" else list(dict(one.AP.N.items()).values())
            assert all(isinstance(look, pikepdf.Stream) for look in looks)
        fonts = pdf.Root.AcroForm.DR.Font
        for name in re.findall(r"/(\S+) [\d.]+ Tf", str(pdf.Root.AcroForm.DA)):
            assert len(fonts[f"/{name}"].FontDescriptor.FontFile2.read_bytes()) > 10_000
        with pdf.open_metadata() as told:
            assert (told["pdfaid:part"], told["pdfaid:conformance"]) == ("3", "B")
        assert pdf.trailer.ID[0] is not None
        roles = [
            str(one.S)
            for one in pdf.objects
            if isinstance(one, pikepdf.Dictionary) and one.get("/Type") == "/StructElem"
        ]
        assert roles.count("/Form") == len(annotations)
        assert "/Link" not in roles
    assert b"field:" not in b"".join(
        one.read_bytes() for one in pikepdf.open(io.BytesIO(data)).objects
        if isinstance(one, pikepdf.Stream) and one.get("/Type") != "/Metadata"
    )  # fmt: skip


def test_the_font_of_the_form_has_the_widths_that_the_file_tells(data):
    with pikepdf.open(io.BytesIO(data)) as pdf:
        told = pdf.Root.AcroForm.DR.Font.Sf
        font = TTFont(io.BytesIO(told.FontDescriptor.FontFile2.read_bytes()))
        widths, first = [int(one) for one in told.Widths], int(told.FirstChar)
    letters, advances = font.getBestCmap(), font["hmtx"].metrics
    assert len(widths) == 224
    for code in range(first, 256):
        letter = bytes([code]).decode("cp1252", "ignore")
        name = letters.get(ord(letter), ".notdef") if letter else ".notdef"  # 127 says nothing
        assert widths[code - first] == advances[name][0] * 1000 // font["head"].unitsPerEm, code
    assert "Source" not in font["name"].getDebugName(1)  # a reserved name, by its licence
    folder = resources.files("subspark.papers") / "fonts"
    assert "SIL OPEN FONT LICENSE" in (folder / "OFL.txt").read_text("utf-8")


def test_the_same_sheet_gives_the_same_bytes(sheet, data):
    assert print_inspection(sheet) == data


def test_printed_words_are_those_of_the_typesetter(sheet, data):
    text = bare("".join(pages_of(data)))
    for what, said in sheet["measured"]:
        assert bare(what) in text
        assert bare(said) in text


def test_names_that_would_be_the_same_or_have_a_stop_are_told_apart(sheet):
    twice = sheet | {
        "head": sheet["head"] | {"tag": "P.1"},
        "measured": [["length of W-1", "at most 2 m"], ["length of W-1", "at most 3 m"]],
    }
    names = [one.name for key, one in fields_of(twice).items() if key.endswith("/found")]
    assert "P\u00b71/length of W-1/found" in names
    assert "P\u00b71/length of W-1/found (2)" in names
    every = [one.name for one in fields_of(twice).values()]
    assert len(every) == len(set(every))
    assert not any("." in one for one in every)


def test_a_blank_of_which_nothing_is_told_is_an_error(sheet):
    told = fields_of(sheet)
    del told["item/A1/result"]
    from subspark.papers.dossier import unbroken
    from subspark.papers.printing import encoded

    made = print_pdf("inspection", {"sheet": encoded(unbroken(sheet)), "by": ""})
    with pytest.raises(KeyError, match="item/A1/result"):
        fillable(made, told)
    assert fillable(made, told | {"item/A1/result": Field("x", "y")}).startswith(b"%PDF-1.7")


# --- the workbook --------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def book(sheet):
    return openpyxl.load_workbook(io.BytesIO(inspection_workbook(sheet)))


def row_of(sheet, text):
    return next(row for row in sheet.iter_rows() if row[0].value == text)


def rules_of(sheet, cell):
    return [one for one in sheet.data_validations.dataValidation if cell.coordinate in one.sqref]


def test_the_workbook_holds_what_is_expected_beside_open_blanks(sheet, book):
    on = book["Inspection"]
    assert on.protection.sheet
    for what, said in sheet["measured"]:
        row = row_of(on, what)
        assert row[3].value == said
        assert row[3].protection.locked
        for blank in row[4:]:
            assert blank.value is None
            assert not blank.protection.locked
    for number, _, item, _ in sheet["items"]:
        assert row_of(on, number)[2].value == item
    assert sheet["verdict"]["sentence"] in [row[0].value for row in on.iter_rows()]


def test_what_is_typed_is_checked(book):
    on = book["Inspection"]
    length = row_of(on, "length of W-131")
    (figure,), (date,) = rules_of(on, length[4]), rules_of(on, length[6])
    assert (figure.type, figure.operator, figure.formula1) == ("decimal", "greaterThanOrEqual", "0")
    assert date.type == "date"
    (result,) = rules_of(on, row_of(on, "A1")[6])
    assert result.type == "list"
    assert result.formula1.strip('"').split(",")[:2] == ["good", "finding 1"]
    finding = row_of(on, "5")
    assert rules_of(on, finding[3])[0].formula1 == '"1,2,3"'
    assert rules_of(on, finding[5])[0].type == "date"


def test_the_loop_check_has_a_sheet_of_its_own(sheet, book):
    assert book.sheetnames == ["Inspection", "Loop check"]
    loop = book["Loop check"]
    assert [row_of(loop, share)[2].value for share, _ in sheet["signals"]] == [
        "4 mA", "8 mA", "12 mA", "16 mA", "20 mA",
    ]  # fmt: skip
    assert all(row[0].value != "0 %" for row in book["Inspection"].iter_rows())


def test_no_text_of_the_form_becomes_a_formula_or_a_link(sheet):
    evil = ("=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "http://example.org")
    told = sheet | {
        "head": sheet["head"] | {"tag": evil[0], "service": "", "plant": evil[3]},
        "identity": [[text, text, ""] for text in evil],
    }
    opened = openpyxl.load_workbook(io.BytesIO(inspection_workbook(told)))
    cells = [cell for on in opened for row in on.iter_rows() for cell in row]
    assert {cell.data_type for cell in cells} <= {"s", "n"}
    assert {cell.value for cell in cells} >= set(evil)
    assert not [cell for cell in cells if cell.hyperlink]


def test_the_same_sheet_gives_the_same_workbook(sheet):
    assert inspection_workbook(sheet) == inspection_workbook(sheet)


def test_both_are_written_where_both_are_wanted(larkfen, tmp_path):
    wanted = {"kinds": ("inspection",), "inspection": ("pdf", "xlsx")}
    found = write_papers(larkfen, tmp_path, ["PT-1121"], **wanted)
    assert sorted(found.written) == ["inspection/PT-1121.pdf", "inspection/PT-1121.xlsx"]
    again = write_papers(larkfen, tmp_path, ["PT-1121"], **wanted)
    assert (again.written, len(again.kept), again.gone) == ([], 2, [])


def test_a_form_of_another_kind_is_refused(larkfen, tmp_path):
    with pytest.raises(UsageError, match="inspection sheets as 'doc': wanted one of pdf, xlsx"):
        write_papers(larkfen, tmp_path, inspection=("doc",))
