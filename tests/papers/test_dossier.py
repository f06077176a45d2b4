"""A dossier read back by two independent readers says what the finding says."""

import ast
import io
import json
import re
import shutil
import subprocess
from pathlib import Path

import pikepdf
import pytest

from papers.reading import bare, pages_of
from subspark.assess import assess
from subspark.errors import UsageError
from subspark.model import Circuit, Plant
from subspark.papers import attachment
from subspark.papers.attachment import NAME, digest_of, dossier, print_dossier
from subspark.papers.signing import Signature, Signing
from subspark.papers.texts import words

TAGS = ("AT-4091", "PI-1151", "AT-2001", "FB-1101", "ST-5001", "FT-4091", "PT-312")
SIGNED = (
    Signature("designer", "A. Designer", "2026-03-01"),
    Signature("checker", "B. Checker", "2026-03-02"),
    Signature("approver", "C. Approver", "2026-03-03"),
)


@pytest.mark.parametrize("tag", TAGS)
def test_every_figure_of_the_finding_is_printed(printed, larkfen, alder_creek, tag):
    finding = (alder_creek if tag == "PT-312" else larkfen)[tag]
    text = bare("".join(pages_of(printed(tag)[1])))
    assert bare(finding.sentence) in text
    for one in finding.rules.values():
        if one.verdict.word != "not asked":
            assert bare(one.sentence) in text, one.rule.name
            assert bare(one.clause) in text, one.rule.name
    for note in (*finding.assumptions, *finding.warnings):
        assert bare(note) in text


@pytest.mark.parametrize("tag", TAGS)
def test_function_is_told_with_its_rules_and_its_staircase(printed, larkfen, alder_creek, tag):
    works = (alder_creek if tag == "PT-312" else larkfen)[tag].works
    text = bare("".join(pages_of(printed(tag)[1])))
    assert bare(works.sentence) in text
    for one in works.rules.values():
        if one.word != "not asked":
            assert bare(one.sentence) in text, one.rule.name
            assert bare(one.nominal_sentence) in text, one.rule.name
    if works.staircase is not None:
        for step in works.staircase.steps:
            assert bare(step.label) in text
        assert bare(f"{works.staircase.needed:.2f} V") in text


@pytest.mark.parametrize("tag", TAGS)
def test_every_recorded_figure_is_printed(printed, tag):
    made, pdf = printed(tag)
    text = bare("".join(pages_of(pdf)))
    recorded = json.loads(made.attachment)["figures"]
    assert len(recorded) > 40
    assert [one["name"] for one in recorded if bare(one["text"]) not in text] == []


@pytest.mark.parametrize("tag", TAGS)
def test_every_sheet_bears_number_revision_tag_and_sheet_of_sheets(
    printed, larkfen, alder_creek, tag
):
    circuit = (alder_creek if tag == "PT-312" else larkfen).plant.circuit(tag)
    pages = pages_of(printed(tag)[1])
    for number, page in enumerate(pages, 1):
        assert circuit.document in page
        assert re.search(rf"Rev\. {re.escape(circuit.revision)}\b", page)
        assert f"sheet {number} of {len(pages)}" in page
        assert "NOT FOR CONSTRUCTION" in page  # nobody has signed


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_paper_has_its_size(printed, paper):
    with pikepdf.open(io.BytesIO(printed("AT-4091", paper)[1])) as pdf:
        _, _, wide, high = (float(one) for one in pdf.pages[0].MediaBox)
    # ISO 216: 210 x 297 mm; Letter: 8.5 x 11 in; 72 points an inch
    wanted = (595.28, 841.89) if paper == "a4" else (612.0, 792.0)
    assert (wide, high) == pytest.approx(wanted, abs=0.01)


def test_what_is_open_is_never_titled_a_proof(printed, larkfen):
    say = words()
    for tag in ("AT-4091", "FT-4091"):
        assert larkfen[tag].verdict.word != "safe"
        first = bare(pages_of(printed(tag)[1])[0])
        assert bare(say("dossier.open")) in first
        assert bare(say("dossier.proof_unsigned")) not in first
        assert bare(say("dossier.signatures_open")) in bare("".join(pages_of(printed(tag)[1])))


def test_a_safe_circuit_that_all_three_signed_bears_no_mark(larkfen):
    made = dossier(larkfen, "PT-1001", signing=Signing(SIGNED))
    text = "".join(pages_of(print_dossier(made.attachment, made.digest)))
    assert "NOT FOR CONSTRUCTION" not in text
    assert bare(words()("dossier.proof")) in bare(text)
    for one in SIGNED:
        assert one.name in text
        assert one.date in text


@pytest.mark.parametrize("missing", [0, 1, 2])
def test_two_signatures_of_three_are_not_enough(larkfen, missing):
    signed = SIGNED[:missing] + SIGNED[missing + 1 :]
    made = dossier(larkfen, "PT-1001", signing=Signing(signed))
    assert "NOT FOR CONSTRUCTION" in json.loads(made.attachment)["sheet"]["head"]["mark"]


@pytest.mark.parametrize("tag", ["AT-4091", "FT-4091"])
def test_what_is_open_cannot_be_signed(larkfen, tag):
    with pytest.raises(UsageError, match="cannot be signed"):
        dossier(larkfen, tag, signing=Signing(SIGNED))


def test_a_signature_in_an_unknown_role_is_refused():
    with pytest.raises(UsageError, match="designer, checker, approver"):
        Signing((Signature("friend", "D.", "2026-01-01"),))


def test_an_unknown_paper_is_refused(larkfen):
    with pytest.raises(UsageError, match="a4, letter"):
        dossier(larkfen, "PT-1001", paper="a3")


def test_conditions_of_a_certificate_x_are_never_said_to_be_none(larkfen):
    certificate = next(one for one in larkfen.plant.certificates if one.number == "DEMO 22.0171X")
    assert certificate.conditions == ()
    sheet = json.loads(dossier(larkfen, "AT-2001").attachment)["sheet"]
    (row,) = [one for one in sheet["conditions"] if one["certificate"] == certificate.number]
    assert "not entered" in row["text"]


def test_a_condition_that_nobody_answered_is_printed_as_open(larkfen):
    assert not larkfen.context.declared.holds("conditions answered", certificate="DEMO 22.0109X")
    sheet = json.loads(dossier(larkfen, "FT-2091").attachment)["sheet"]
    rows = [one for one in sheet["conditions"] if one["certificate"] == "DEMO 22.0109X"]
    assert any(one["open"] for one in rows)


def test_the_data_are_attached_as_pdf_a_3_asks(printed):
    made, data = printed("AT-4091")
    with pikepdf.open(io.BytesIO(data)) as pdf:
        (attached,) = pdf.Root.AF  # ISO 19005-3 6.8, from memory: the catalog names them
        assert attached.AFRelationship == "/Data"
        assert attached.UF == NAME
        assert pdf.attachments[NAME].get_file().read_bytes() == made.attachment.encode()
        xmp = pdf.open_metadata()
        assert (xmp["pdfaid:part"], xmp["pdfaid:conformance"]) == ("3", "B")
        embedded = {
            str(font.BaseFont)
            for page in pdf.pages
            for font in page.Resources.Font.values()
            for inner in font.DescendantFonts
            if "/FontFile2" in inner.FontDescriptor or "/FontFile3" in inner.FontDescriptor
        }
        used = {str(f.BaseFont) for page in pdf.pages for f in page.Resources.Font.values()}
    assert embedded == used


def test_the_printed_digest_is_that_of_the_attachment(printed):
    made, data = printed("AT-4091")
    assert made.digest == digest_of(made.attachment.encode())
    assert made.digest in bare("".join(pages_of(data)))


def test_equal_data_give_equal_bytes(larkfen, printed):
    made, data = printed("PI-1151")
    again = dossier(larkfen, "PI-1151")
    assert again == made
    assert print_dossier(again.attachment, again.digest) == data


def test_the_attached_plant_gives_the_printed_verdict(larkfen):
    for tag in ("AT-4091", "PT-1001"):
        whole = json.loads(dossier(larkfen, tag).attachment)
        assert whole["figures"][0] == {
            "name": "verdict",
            "text": larkfen[tag].verdict.word,
            "value": None,
        }
        assert whole["curves"]["digest"] == larkfen.context.curves.digest
        assert whole["code"]["name"] == "IEC-2024"


def test_a_circuit_of_which_nothing_is_known_has_a_dossier():
    plant = Plant(name="bare", circuits=(Circuit(tag="X-1"),))
    made = dossier(assess(plant), "X-1")
    text = "".join(pages_of(print_dossier(made.attachment, made.digest)))
    assert "no number given" in text
    assert "Unproven" in text
    assert "NOT FOR CONSTRUCTION" in text


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="pdftotext is not on this machine")
def test_another_reader_finds_the_same_words(printed, tmp_path):
    file = tmp_path / "one.pdf"
    file.write_bytes(printed("AT-4091")[1])
    told = subprocess.run(
        [shutil.which("pdftotext"), "-raw", file, "-"],
        check=True,
        capture_output=True,
        encoding="utf-8",
    ).stdout
    for wanted in ("57.1 nF > 49.5 nF", "26 V <= 30 V (AT-4091)", "sum Ci + Cc <= k Co"):
        assert bare(wanted) in bare(told)


def test_papers_judge_nothing():
    """They may name a verdict and a code, and hand on an ignition table; no rule is asked."""
    allowed = {"Code", "Curves", "Verdict", "standard_curves"}
    folder = Path(attachment.__file__).parent
    for module in sorted(folder.glob("*.py")):
        for node in ast.walk(ast.parse(module.read_text("utf-8"))):
            if isinstance(node, ast.ImportFrom) and re.match(
                r"subspark\.(rules|physics)\b", node.module or ""
            ):
                assert {one.name for one in node.names} <= allowed, module.name
