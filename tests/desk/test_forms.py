"""A form gives back the record that it shows; a changed number loses the evidence of the old."""

from __future__ import annotations

import pytest

import webplants
from subspark.demo import build_division_plant
from subspark.store.kinds import KINDS, name_of, plain_of, read_content, text_of

PLANTS = {"zones": webplants.demo(), "divisions": build_division_plant()}


def _posted(found):
    """The fields as a browser sends them."""
    sent = {}
    for box in found:
        if box.sort == "group":
            for item in box.items:
                sent[f"{item.name}.!"] = ""
                sent |= _posted(item.boxes)
            continue
        sent[box.name] = box.value
        if box.original:
            sent[f"{box.name}!o"] = box.original
        if box.kept:
            sent[f"{box.name}!e"] = box.kept
    return sent


@pytest.mark.parametrize("plant", PLANTS.values(), ids=PLANTS)
@pytest.mark.parametrize("kind", KINDS)
def test_every_record_of_the_demo_comes_back_as_it_went_in(plant, kind):
    from subspark.desk.forms import boxes, read_back

    of = KINDS[kind].record
    for record in getattr(plant, kind):
        sent = _posted(boxes(of, plain_of(record), "0"))
        back = read_content(kind, text_of(read_back(of, sent, "0")))
        assert back == record, name_of(record)


def _sent(tag="AT-4091"):
    from subspark.desk.forms import boxes

    circuit = next(one for one in webplants.demo().circuits if one.tag == tag)
    return _posted(boxes(type(circuit), plain_of(circuit), "0"))


def _back(sent, **named):
    from subspark.desk.forms import read_back

    return read_content(
        "circuits", text_of(read_back(KINDS["circuits"].record, sent, "0", **named))
    )


def test_a_bare_number_is_in_the_unit_of_its_field():
    run = _back(_sent() | {"0.runs.0.length": "40"}).runs[0]
    assert (run.length.text, run.length.si) == ("40 m", 40.0)


def test_a_changed_number_takes_the_evidence_of_the_change():
    evidence = {"document": "site log", "page": "7", "by": "somebody"}
    before = _sent()
    after = _back(before | {"0.runs.0.length": "40 m"}, evidence=evidence)
    assert after.runs[0].length.evidence.document == "site log"
    assert not _back(before | {"0.runs.0.length": "40 m"}).runs[0].length.evidence
    same = _back(before, evidence=evidence)
    assert same.runs[0].length.evidence.document != "site log"


def test_rows_are_added_and_dropped():
    from subspark.desk.forms import apply_step

    sent = _sent()
    more = apply_step(sent, "add:0.runs")
    assert len(_back(more).runs) == len(_back(sent).runs) + 1
    assert _back(apply_step(more, "drop:0.runs.0")).runs[0].cable == ""
    assert apply_step(sent, "nonsense") == sent


@pytest.mark.parametrize("junk", ["\x00", "[]", "99999999999999999999", "{}", "💥" * 500])
def test_junk_in_a_field_is_a_fault_or_a_text_and_never_an_error_of_ours(junk):
    from subspark.desk.forms import read_back
    from subspark.errors import InputError

    for name in _sent():
        plain = read_back(KINDS["circuits"].record, _sent() | {name: junk}, "0")
        try:
            read_content("circuits", text_of(plain))
        except InputError:
            continue  # told as a fault beside its field
