"""Who signs, when, and what is never signed."""

import json

import pytest

from papers.reading import bare, pages_of
from subspark.errors import UsageError
from subspark.papers.attachment import dossier, print_dossier
from subspark.papers.signing import Signature, Signing
from subspark.papers.writing import write_papers
from subspark.rules import Verdict

ALL = (
    Signature("designer", "A. Designer", "2026-03-01"),
    Signature("checker", "B. Checker", "2026-03-02"),
    Signature("approver", "C. Approver", "2026-03-03"),
)
SIGNED = Signing(ALL, "cable measured")


@pytest.mark.parametrize(
    ("one", "said"),
    [
        (Signature("friend", "A.", "2026-03-01"), "designer, checker, approver"),
        (Signature("designer", "  ", "2026-03-01"), "no name"),
        (Signature("designer", "A.", "2026-02-30"), "2026-02-30"),
        (Signature("designer", "A.", "1.3.2026"), "a day such as"),
        (Signature("designer", "A.", "20260301"), "a day such as"),
        (Signature("designer", "A.", ""), "a day such as"),
    ],
)
def test_a_signature_that_says_too_little_is_refused(one, said):
    with pytest.raises(UsageError, match=said):
        Signing((one,))


def test_nobody_signs_twice_in_one_role():
    with pytest.raises(UsageError, match="given twice"):
        Signing((ALL[0], ALL[0]))


def test_it_is_complete_with_all_three_and_dated_by_the_last():
    assert SIGNED.complete
    assert SIGNED.date == "2026-03-03"
    assert not Signing(ALL[:2]).complete
    assert Signing(ALL[:2]).date == ""


@pytest.mark.parametrize("verdict", [Verdict.UNSAFE, Verdict.UNPROVEN])
def test_what_is_not_safe_loses_its_signatures_and_keeps_the_reason(verdict):
    assert SIGNED.under(verdict) == Signing(reason="cable measured")
    assert SIGNED.under(Verdict.SAFE) is SIGNED
    with pytest.raises(UsageError, match="cannot be signed"):
        SIGNED.check([("X-1", verdict)])


def test_reason_and_date_stand_in_the_table_of_revisions(larkfen):
    made = dossier(larkfen, "PT-1001", signing=SIGNED)
    text = bare("".join(pages_of(print_dossier(made.attachment, made.digest))))
    revision = larkfen.plant.circuit("PT-1001").revision
    assert bare(f"{revision} cable measured 2026-03-03") in text
    assert json.loads(made.attachment)["reason"] == "cable measured"


def test_with_the_whole_plant_only_what_is_safe_is_signed(larkfen, tmp_path, monkeypatch):
    """AT-4091 is unsafe; of the whole plant two circuits are enough here."""
    from subspark.papers import writing

    two = ["AT-4091", "PT-1001"]
    monkeypatch.setattr(writing, "_checked", lambda *_: two)
    found = write_papers(larkfen, tmp_path, None, kinds=("dossiers", "drawings"), signing=SIGNED)
    assert found.unsigned == ["AT-4091"]
    for kind in ("dossiers", "drawings"):
        texts = {
            tag: "".join(pages_of((tmp_path / kind / f"{tag}.pdf").read_bytes())) for tag in two
        }
        assert "NOT FOR CONSTRUCTION" in texts["AT-4091"]
        assert "NOT FOR CONSTRUCTION" not in texts["PT-1001"]
        assert "C. Approver" not in texts["AT-4091"]
        assert "C. Approver" in texts["PT-1001"]


def test_a_circuit_that_is_named_to_be_signed_must_be_safe(larkfen, tmp_path):
    with pytest.raises(UsageError, match="'AT-4091' is unsafe"):
        write_papers(larkfen, tmp_path / "new", ["PT-1001", "AT-4091"], signing=SIGNED)
    assert not (tmp_path / "new").exists()
