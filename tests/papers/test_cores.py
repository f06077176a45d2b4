"""Marks and colours of cores."""

import dataclasses

import pytest

from subspark.assess import assess
from subspark.errors import InputError
from subspark.model import CableType, Datum
from subspark.papers.drawings import installation_drawing, multicore_drawing, terminal_plan
from subspark.papers.drawings.leads import lead_colours, leads_of
from subspark.papers.drawings.shapes import Text, flat
from subspark.papers.plant_papers import lists

# IEC 60584-3 and ASTM E230, from memory: positive and negative leg
IEC = {"K": ("GN", "WH"), "J": ("BK", "WH"), "T": ("BN", "WH"), "E": ("VT", "WH"),
       "N": ("PK", "WH"), "R": ("OG", "WH"), "S": ("OG", "WH"), "B": ("GY", "WH")}  # fmt: skip
ASTM = {"K": ("YE", "RD"), "J": ("WH", "RD"), "T": ("BU", "RD"), "E": ("VT", "RD"),
        "N": ("OG", "RD")}  # fmt: skip
TAG = "TE-1111"  # type K by the demo's data sheets


@pytest.mark.parametrize("letter", IEC)
def test_colours_of_leads(letter):
    assert lead_colours(letter) == IEC[letter]


@pytest.mark.parametrize("letter", ASTM)
def test_colours_of_leads_in_north_america(letter):
    assert lead_colours(letter, american=True) == ASTM[letter]


@pytest.mark.parametrize(("pair", "letter"), [("KX", "K"), ("KCB", "K"), ("RCA", "R"), ("NC", "N")])
def test_cables_have_the_colours_of_the_thermocouple_that_they_go_to(pair, letter):
    assert lead_colours(pair) == IEC[letter]


def rows_of(assessment):
    made = next(one for one in lists(assessment) if one.key == "cores")
    keys = [one.key for one in made.columns]
    return [dict(zip(keys, row, strict=True)) for row in made.rows]


@pytest.fixture(scope="module")
def told(larkfen):
    return rows_of(larkfen)


def with_pair(larkfen, pair):
    """The plant with the alloys of the cable of a thermocouple stated."""
    plant = larkfen.plant
    circuit = plant.circuit(TAG)
    datum = Datum(what="lead pair", value=pair, part=circuit.runs[0].number)
    changed = dataclasses.replace(circuit, function=(*circuit.function, datum))
    circuits = tuple(changed if one.tag == TAG else one for one in plant.circuits)
    return assess(dataclasses.replace(plant, circuits=circuits), (TAG,))


def test_a_thermocouple_has_colours_where_the_alloys_of_its_cable_are_stated(larkfen, told):
    before = next(one for one in told if one["circuit"] == TAG)
    assert before["colours"] == ""
    assert "not stated" in before["by_what"]
    assessment = with_pair(larkfen, "KCA")
    row = next(one for one in rows_of(assessment) if one["circuit"] == TAG)
    assert row["colours"] == "+ GN, - WH"
    assert row["by_what"] == "IEC 60584-3, type KCA (from memory)"
    drawing = installation_drawing(assessment, TAG)
    words = " ".join(
        one.text for sheet in drawing.sheets for one in flat(sheet.shapes) if isinstance(one, Text)
    )
    assert "type KCA: + GN, - WH" in words.replace("\u00a0", " ")


def test_the_alloys_are_not_guessed_for_a_cable_whose_ohms_are_stated(larkfen):
    circuit = larkfen.plant.circuit(TAG)
    cable = larkfen.context.cables[circuit.runs[0].cable]
    assert cable.R_loop_max.known or cable.R_core_max.known  # it may be copper
    assert leads_of(circuit, circuit.runs[0], larkfen.context) == ""


def test_every_other_core_has_a_mark_and_a_blank_for_its_colour(larkfen, told):
    assert len(told) == sum(len(one.runs) for one in larkfen.plant.circuits)
    assert {one["found"] for one in told} == {None}
    marks = [one["marks"] for one in told if one["marks"]]
    assert len(set(marks)) == len(marks)
    trunk = next(one for one in told if (one["number"], one["circuit"]) == ("W-221", "XV-2001"))
    # third circuit of the demo in that cable: third pair, terminals 5 and 6
    assert trunk["pair"] == 3
    assert trunk["marks"] == "W-221:3a, :3b"
    assert trunk["to_terminals"] == "5, 6"


# --- colours that the type of a cable states -----------------------------------------------------


def words_of(drawing):
    texts = [one for sheet in drawing.sheets for one in flat(sheet.shapes)]
    return [one.text.replace("\u00a0", " ") for one in texts if isinstance(one, Text)]


def with_colours(larkfen, name, colours, *tags):
    plant = larkfen.plant
    cables = tuple(
        dataclasses.replace(one, colours=colours) if one.name == name else one
        for one in plant.cables
    )
    return assess(dataclasses.replace(plant, cables=cables), tags or None)


def test_colours_of_a_cable_type_are_printed(told):
    row = next(one for one in told if one["number"] == "C-PT-1001")
    assert (row["colours"], row["by_what"]) == ("BK, WH", "as the cable type states")
    blank = next(one for one in told if one["number"] == "W-221")  # its cores bear numbers
    assert (blank["colours"], blank["by_what"]) == ("", "not in the plant data: site")


def test_each_pair_of_a_multicore_may_have_its_own(larkfen):
    colours = ("WH", "BU", "WH", "OG", "WH", "GN", *("WH", "BN") * 21)
    assessment = with_colours(larkfen, "MB 24x2x0.5", colours)
    rows = [one for one in rows_of(assessment) if one["number"] == "W-221"]
    assert [one["colours"] for one in rows[:4]] == ["WH, BU", "WH, OG", "WH, GN", "WH, BN"]
    assert [one["pair"] for one in rows[:4]] == [1, 2, 3, 4]
    plan = words_of(terminal_plan(assessment, "JB-221"))
    assert "W-221: 2b OG" in plan
    assert "C-AT-2002: 1 BK" in plan
    cable = words_of(multicore_drawing(assessment, "W-221"))
    assert "4 (2b OG)" in cable


def test_an_installation_drawing_notes_the_colours(larkfen):
    text = " ".join(words_of(installation_drawing(larkfen, "PT-1001")))
    assert "W-111 1a BK, 1b WH; C-PT-1001 1 BK, 2 WH" in text


def test_leads_of_a_colour_that_the_standard_does_not_have_are_told(larkfen):
    name = larkfen.plant.circuit(TAG).runs[0].cable
    for colours, told in ((("WH", "GN"), "as the cable type states"), (("RD", "BU"), "check")):
        assessment = with_pair(with_colours(larkfen, name, colours, TAG), "KCA")
        row = next(one for one in rows_of(assessment) if one["circuit"] == TAG)
        assert row["colours"] == ", ".join(colours)
        assert told in row["by_what"]
    assert "IEC 60584-3, type KCA would have + GN, - WH" in row["by_what"]


@pytest.mark.parametrize(
    ("colours", "said"),
    [
        (("blue", "BK"), r"'blue' is no colour of IEC 60757"),
        (("bu", "bk"), r"'bu' is no colour"),
        (("GN/YE", "BK"), r"'GN/YE' is no colour"),
        (("BU",), r"1 given; wanted 2 \(of one circuit\) or 8 \(of all\)"),
        (("BU", "BK", "RD"), r"3 given"),
    ],
)
def test_colours_are_read_strictly(colours, said):
    with pytest.raises(InputError, match=said):
        CableType(name="X", cores=2, pairs=4, colours=colours)


def test_colours_change_no_verdict(larkfen):
    bare = tuple(dataclasses.replace(one, colours=()) for one in larkfen.plant.cables)
    without = assess(dataclasses.replace(larkfen.plant, cables=bare))
    assert list(map(said, without.summaries())) == list(map(said, larkfen.summaries()))


def said(one):
    return one.tag, one.verdict, one.utilisation
