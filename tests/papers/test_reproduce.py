"""A dossier is worked out again from itself; whatever was changed in it is found."""

import hashlib
import io
import json
import random
import re
from importlib import resources
from pathlib import Path

import pikepdf
import pypdf
import pytest

from subspark.errors import UsageError
from subspark.papers import reproduce as module
from subspark.papers.attachment import NAME, digest_of, print_dossier
from subspark.papers.printing import encoded, print_pdf
from subspark.papers.reproduce import Outcome, reproduce

KEPT = sorted((Path(__file__).parent / "kept").glob("*.pdf"))
FLIPS = 5


@pytest.fixture
def check(tmp_path):
    """What is found of a file with these bytes."""

    def of(data):
        file = tmp_path / "paper.pdf"
        file.write_bytes(data)
        return reproduce(file)

    return of


@pytest.mark.parametrize("tag", ["AT-4091", "PI-1151", "AT-2001", "FB-1101", "ST-5001", "PT-312"])
def test_a_dossier_as_written_is_identical(printed, check, tag):
    made, data = printed(tag)
    found = check(data)
    assert (found.outcome, found.by_bytes, found.notes) == (Outcome.IDENTICAL, True, ())
    assert found.tag == tag
    assert found.verdict == json.loads(made.attachment)["figures"][0]["text"]


def test_a_dossier_is_the_same_from_what_was_made_and_from_its_attachment(printed):
    made, data = printed("AT-4091")
    assert made.pdf() == data


def test_a_dossier_on_letter_is_identical(printed, check):
    assert check(printed("AT-4091", "letter")[1]).outcome is Outcome.IDENTICAL


def test_a_single_changed_byte_is_refused_wherever_it_stands(printed, check):
    data = printed("AT-4091")[1]
    seeded = random.Random(60079)
    for _ in range(FLIPS):
        at = seeded.randrange(len(data))
        changed = bytearray(data)
        changed[at] ^= 1 << seeded.randrange(8)
        found = check(bytes(changed))
        assert found.outcome is Outcome.NOT_OURS, at
        assert found.notes[0], at


@pytest.mark.parametrize("more", [b"\n", b"%% a remark\n"])
def test_what_was_added_at_the_end_is_refused(printed, check, more):
    found = check(printed("AT-4091")[1] + more)
    assert found.outcome is Outcome.NOT_OURS
    assert "added" in found.notes[0]


def test_a_changed_attachment_is_refused(printed, check):
    made, data = printed("AT-4091")
    changed = made.attachment.replace('"99 nF"', '"990 nF"')
    assert changed != made.attachment
    with pikepdf.open(io.BytesIO(data)) as pdf:
        stream = pdf.Root.AF[0].EF.F
        stream.write(changed.encode())
        out = io.BytesIO()
        pdf.save(out)
    found = check(out.getvalue())
    assert found.outcome is Outcome.NOT_OURS
    assert "digest" in found.notes[0]


def altered(made, change):
    """The text of a dossier after a change of its data, with the digest that fits it."""
    whole = json.loads(made.attachment)
    change(whole)
    text = encoded(whole)
    return text, digest_of(text.encode())


def test_figures_forged_with_everything_that_hangs_on_them_are_different(printed, check):
    """Who has this program can print any paper; the figures still do not follow from the data."""

    def forge(whole):
        for one in whole["figures"]:
            if one["name"] == "rule capacitance: demand":
                one["text"], one["value"] = "47.1 nF", 47.1e-9
        for row in whole["sheet"]["rules"]:
            row["numbers"] = row["numbers"].replace("57.1", "47.1")

    found = check(print_dossier(*altered(printed("AT-4091")[0], forge)))
    assert found.outcome is Outcome.DIFFERENT
    assert "rule capacitance: demand: 47.1 nF printed, 57.1 nF worked out" in found.notes


def test_a_forged_step_of_what_function_leaves_is_different(printed, check):
    """Figures of function count as those of safety do."""

    def forge(whole):
        step = next(one for one in whole["figures"] if one["name"].endswith("run W-PT-312: leaves"))
        assert step["text"] == "16.25 V"
        step["text"], step["value"] = "19.25 V", 19.25
        for block in whole["sheet"]["function"]["blocks"]:
            for one in block.get("steps", ()):
                one["left"] = one["left"].replace("16.25", "19.25")

    found = check(print_dossier(*altered(printed("PT-312")[0], forge)))
    assert found.outcome is Outcome.DIFFERENT
    assert any("19.25 V printed, 16.25 V worked out" in note for note in found.notes)


def test_words_forged_beside_true_figures_are_different(printed, check):
    def forge(whole):
        whole["sheet"]["facts"][0][1] = "a place of no danger"

    found = check(print_dossier(*altered(printed("AT-4091")[0], forge)))
    assert found.outcome is Outcome.DIFFERENT


def test_data_forged_beside_true_figures_are_different(printed, check):
    def forge(whole):
        whole["plant"]["plant"]["circuits"][0]["runs"][0]["length"] = "18 m"

    found = check(print_dossier(*altered(printed("AT-4091")[0], forge)))
    assert found.outcome is Outcome.DIFFERENT
    assert any(note.startswith("rule capacitance: demand") for note in found.notes)


def test_data_that_cannot_be_printed_are_refused(printed, check):
    made = printed("AT-4091")[0]
    text, digest = altered(made, lambda whole: whole["sheet"].pop("rules"))
    sheet = encoded(json.loads(made.attachment)["sheet"])
    inputs = {"sheet": sheet, "digest": digest, "attachment": text, "by": ""}
    found = check(print_pdf("dossier-1", inputs))
    assert found.outcome is Outcome.NOT_OURS
    assert "cannot be printed" in found.notes[0]


def test_a_figure_that_is_recorded_but_not_printed_is_refused(printed, check):
    def forge(whole):
        whole["figures"].append({"name": "rule wind: demand", "text": "1234.5 V", "value": 1234.5})

    found = check(print_dossier(*altered(printed("AT-4091")[0], forge)))
    assert found.outcome is Outcome.NOT_OURS
    assert "not printed" in found.notes[0]


def elsewhere(whole):
    """As if another version of the typesetter had printed it."""
    whole["printed"]["typst"] = "0.1.0"
    whole["engine"]["source"] = "0" * 64


def set_otherwise(text, digest):
    """The same words in another file: not tagged."""
    whole = json.loads(text)
    by = f"subspark {whole['engine']['version']} · {whole['code']['title']}"
    inputs = {"sheet": encoded(whole["sheet"]), "digest": digest, "attachment": text, "by": by}
    return print_pdf("dossier-1", inputs, tags=False)


def test_a_paper_of_another_version_is_compared_by_its_text(printed, check):
    made = printed("AT-4091")[0]
    found = check(set_otherwise(*altered(made, elsewhere)))
    assert (found.outcome, found.by_bytes) == (Outcome.IDENTICAL, False)


def test_a_changed_figure_in_a_paper_of_another_version_is_found(printed, check):
    made = printed("AT-4091")[0]
    text, digest = altered(made, elsewhere)
    whole = json.loads(text)
    whole["sheet"]["rules"][0]["numbers"] = "16 V <= 30 V (AT-4091)"
    by = f"subspark {whole['engine']['version']} · {whole['code']['title']}"
    inputs = {"sheet": encoded(whole["sheet"]), "digest": digest, "attachment": text, "by": by}
    found = check(print_pdf("dossier-1", inputs, tags=False))
    assert found.outcome is Outcome.NOT_OURS
    assert "16" in found.notes[0]
    assert "26" in found.notes[0]


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "cannot be read"),
        (b"%PDF-1.7\n", "cannot be read"),
        (b"not a paper at all" * 40, "cannot be read"),
    ],
)
def test_what_is_no_pdf_is_not_ours(check, data, said):
    found = check(data)
    assert found.outcome is Outcome.NOT_OURS
    assert said in found.notes[0]


def test_a_pdf_of_somebody_else_is_not_ours(check):
    out = io.BytesIO()
    with pikepdf.new() as pdf:
        pdf.add_blank_page()
        pdf.save(out)
    found = check(out.getvalue())
    assert found.outcome is Outcome.NOT_OURS
    assert NAME in found.notes[0]


@pytest.mark.parametrize("version", [0, 2, "1", None, True])
def test_a_version_that_is_not_known_is_refused(printed, version, check):
    def newer(whole):
        whole["version"] = version

    text, digest = altered(printed("AT-4091")[0], newer)
    whole = json.loads(text)
    inputs = {"sheet": encoded(whole["sheet"]), "digest": digest, "attachment": text, "by": ""}
    found = check(print_pdf("dossier-1", inputs))
    assert found.outcome is Outcome.NOT_OURS
    assert "knows 1 to 1" in found.notes[0]


def test_an_ignition_table_that_is_not_here_is_asked_for(printed, check):
    def own_table(whole):
        whole["curves"] = {"name": "our print", "origin": "page 110", "digest": "ab" * 32}

    with pytest.raises(UsageError, match=r"our print.*--curves"):
        check(print_dossier(*altered(printed("AT-4091")[0], own_table)))


def test_a_file_that_is_not_there_is_named(tmp_path):
    with pytest.raises(UsageError, match=r"nothing\.pdf"):
        reproduce(tmp_path / "nothing.pdf")


def test_the_templates_of_a_version_are_frozen_with_it():
    """Old files are printed anew by the templates of their version, so those never change.

    A dossier that is to look or read otherwise is a new version of the format: a new pair of
    templates, a new digest here, and a new kept file. The digest is that of sha256sum.
    """
    folder = resources.files("subspark.papers") / "templates"
    kept = {
        1: {
            "dossier-1.typ": "7ce655d56d3e0d361d4f38d7197464464656587581d5e77af80007c35bd0a670",
            "common-1.typ": "f8826cbf11dd0c7ffca6bdb855f2b80a1b9cbfadb98c9a0b1fae8a9107e93800",
        },
    }
    assert set(kept) == set(range(1, module.VERSION + 1))
    for version, files in kept.items():
        for name, digest in files.items():
            assert hashlib.sha256((folder / name).read_bytes()).hexdigest() == digest, name
        imported = re.findall(r'#import "(.+?)"', (folder / f"dossier-{version}.typ").read_text())
        assert imported == [f"common-{version}.typ"]
        assert "#import" not in (folder / f"common-{version}.typ").read_text()


def test_there_is_a_kept_file_of_every_version():
    versions = {int(file.stem.rpartition("-")[2]) for file in KEPT}
    assert versions == set(range(1, module.VERSION + 1))


@pytest.mark.parametrize("file", KEPT, ids=lambda file: file.stem)
def test_a_kept_file_still_reproduces(file):
    """Written once and never again: what was proved then is proved today."""
    found = reproduce(file)
    assert found.outcome is Outcome.IDENTICAL, found.notes
    assert found.figures > 60
    (attached,) = pypdf.PdfReader(file).attachments[NAME]
    whole = json.loads(attached)
    # where the typesetter, the font and the frozen templates are those of then, so is every byte
    assert found.by_bytes or whole["printed"] != module.look(whole["version"])
