"""Spelling, directive part, alternatives, ambient, tags and notes."""

from __future__ import annotations

import dataclasses
import subprocess
import sys

import pytest

import subspark.marking
from subspark.marking import Label, Marking, read_marking, show


def only(text: str) -> Marking:
    """The one alternative of a label."""
    [marking] = read_marking(text).alternatives
    return marking


def test_the_public_face():
    assert subspark.marking.__all__ == ["Label", "Marking", "read_marking", "show"]
    for kind in (Label, Marking):
        assert dataclasses.fields(kind)
        assert hasattr(kind, "__slots__")


def test_importing_the_package_does_not_import_the_parser():
    """Common practice, no source: a command that reads no marking starts without it."""
    code = (
        "import sys, subspark.marking as m; before = 'lark' in sys.modules; "
        "m.read_marking('Ex ia IIC T4 Ga'); sys.exit(before or 'lark' not in sys.modules)"
    )
    subprocess.run([sys.executable, "-W", "error", "-c", code], check=True)


def test_markings_and_labels_are_frozen_and_hashable():
    label = read_marking("Ex ia IIC T4 Ga")
    assert hash(label) == hash(read_marking("Ex ia IIC T4 Ga"))
    with pytest.raises(dataclasses.FrozenInstanceError):
        label.alternatives[0].level = "ib"


def test_markings_with_the_same_facts_are_equal_however_they_are_printed():
    one, other = only("EX IA II C T4 GA"), only("Ex ia IIC T4 Ga")
    assert one == other
    assert one.text != other.text
    assert len({one, other}) == 1


@pytest.mark.parametrize(
    "text",
    [
        "Ex\u00a0ia  IIC\tT4\u2009Ga  Ta \u221240 \u00baC to +60 \u00b0C",
        "Ex ia IIC T4 Ga \u221240 \u00b0C \u2264 Ta \u2264 +60 \u00b0C",
        "Ex ia IIC T4 Ga (\u201340\u00b0C \u2264 Tamb \u2264 60\u00b0C)",
        "Ex ia IIC T4 Ga, Ta: -40 \u00b0 C ... + 60 \u2103",
        "Ex ia IIC T4 Ga; Tamb = -40.0 degC to 60,0 degC",
        "Ex ia IIC T4 Ga -40 <= Ta <= 60",
        "Ex ia IIC T4 Ga -40 \u00b0C < Ta < 60 \u00b0C",
        "Ex\nia\r\nIIC T4 Ga Ta -40\u202660 \u00b0C",
        "Ex ia IIC T4 \u200bGa Ta-40 \u00b0C to 60 \u00b0C",
    ],
)
def test_blanks_dashes_signs_and_degrees_of_any_kind(text):
    """Common practice, no source."""
    assert only(text) == only("Ex ia IIC T4 Ga Ta -40 \u00b0C to +60 \u00b0C")


@pytest.mark.parametrize(
    ("text", "same"),
    [
        ("Exia IIC T4 Ga", "Ex ia IIC T4 Ga"),
        ("ex ia IIC T4 Ga", "Ex ia IIC T4 Ga"),
        ("EX IA IIC T4 GA", "Ex ia IIC T4 Ga"),
        ("[EX IA DA] IIIC", "[Ex ia Da] IIIC"),
        ("Ex ia IIC T4 ga", "Ex ia IIC T4 Ga"),
        ("Ex ia II C T4 Ga", "Ex ia IIC T4 Ga"),
        ("Ex ia IIIC 135 \u00b0C Da", "Ex ia IIIC T135 \u00b0C Da"),
        ("Ex ia IIC T120 \u00b0C Ga", "Ex ia IIC 120 \u00b0C Ga"),
        ("EEx de ia IIC T4", "EEx d e ia IIC T4"),
        ("EEx emia IIC T4", "EEx e m ia IIC T4"),
        ("EEx ed [ia] IIC T4", "EEx e d [ia] IIC T4"),
        ("Ex de [ia Ga] IIC T4 Gb", "Ex d e [ia Ga] IIC T4 Gb"),
        ("Ex db [Ex ia Ga] IIC T4 Gb", "Ex db [ia Ga] IIC T4 Gb"),
    ],
)
def test_legacy_spelling_is_read_and_noted(text, same):
    """Common practice, no source."""
    marking = only(text)
    assert marking == only(same)
    assert any(note.startswith("legacy spelling") for note in marking.notes)


@pytest.mark.parametrize(
    ("text", "classes", "degrees", "layer"),
    [
        ("Ex ia IIC T6...T4 Ga", ("T4", "T5", "T6"), None, None),
        ("Ex ia IIC T4 to T6 Ga", ("T4", "T5", "T6"), None, None),
        ("Ex ia IIC T6\u2013T3 Ga", ("T3", "T4", "T5", "T6"), None, None),
        ("Ex ia IIC T4/T6 Ga", ("T4", "T6"), None, None),
        ("Ex ia IIC T5, T4 Ga", ("T4", "T5"), None, None),
        ("Ex ia IIC 120 \u00b0C (T4) Ga", ("T4",), 120.0, None),
        ("Ex ia IIC 112,5 \u00b0C Ga", (), 112.5, None),
        ("Ex ia IIIC T80 \u00b0C...T135 \u00b0C Da", (), 135.0, None),
        ("Ex ia IIIC T200 125 \u00b0C Da", (), 125.0, 200.0),
        ("Ex ia IIIC T\u2082\u2080\u2080 125 \u00b0C Da", (), 125.0, 200.0),
        ("Ex ia IIIC T\u2082\u2080\u2080125 \u00b0C Da", (), 125.0, 200.0),
        ("Ex ia IIIC TL 125 \u00b0C Da", (), 125.0, None),
    ],
)
def test_temperature(text, classes, degrees, layer):
    """IEC 60079-0:2017 clauses 5.3 and 29, from memory; hottest first."""
    marking = only(text)
    assert marking.temperature_classes == classes
    assert marking.surface_temperature == degrees
    assert marking.dust_layer_depth == layer


@pytest.mark.parametrize("value", [85.0, 85.01])
def test_degrees_exactly_at_the_limit_of_the_class_agree_with_it(value):
    """IEC 60079-0:2017 table 2: T6 is 85 degC at most; from memory."""
    text = f"Ex ia IIC {value:g} \u00b0C (T6) Ga"
    if value == 85.0:
        assert only(text).surface_temperature == 85.0
    else:
        with pytest.raises(subspark.errors.MarkingError):
            read_marking(text)


def test_an_upper_ambient_alone_leaves_the_lower_one_unmarked():
    """IEC 60079-0:2017 clause 5.1.1, from memory."""
    for relation in ("=", "<=", "<", "max"):
        marking = only(f"Ex ia IIC T4 Ga Ta {relation} +60 \u00b0C")
        assert (marking.ambient_min, marking.ambient_max) == (None, 60.0)
    assert only("Ex ia IIC T4 Ga").ambient_max is None


@pytest.mark.parametrize(
    ("text", "ranges"),
    [
        (
            "Ex ia IIC T4 Ga; Ex ia IIIC T135 \u00b0C Da; Ta -40 \u00b0C to +60 \u00b0C",
            [(None, None), (-40.0, 60.0)],
        ),
        (
            "Ex ia IIC T4 Ga; Ex ia IIIC T135 \u00b0C Da; Ta 5 \u00b0C to +30 \u00b0C",
            [(5.0, 30.0), (5.0, 30.0)],
        ),
        (
            "Ex ia IIC T4 Ga Ta -10 \u00b0C to 70 \u00b0C; Ex ia IIIC T135 \u00b0C Da",
            [(-10.0, 70.0), (-10.0, 40.0)],
        ),
        (
            "Ex ia IIC T6 Ga Ta <= 30 \u00b0C; Ex ia IIC T4 Ga Ta <= 70 \u00b0C",
            [(None, 30.0), (None, 70.0)],
        ),
    ],
)
def test_an_ambient_of_one_alternative_never_widens_another(text, ranges):
    """IEC 60079-0:2017 clause 29; which alternative a range belongs to: judgement, no source."""
    markings = read_marking(text).alternatives
    assert [(m.ambient_min, m.ambient_max) for m in markings] == ranges


@pytest.mark.parametrize(
    "text",
    [
        "II 1 G Ex ia IIC T4 Ga",
        "II 1G Ex ia IIC T4 Ga",
        "II1G Ex ia IIC T4 Ga",
        "Ex ia IIC T4 Ga II 1 G",
        "Ex ia IIC T4 Ga, II 1 G",
        "CE 0123 <Ex> II 1 G Ex ia IIC T4 Ga",
    ],
)
def test_the_directive_part_stands_before_or_behind(text):
    """2014/34/EU Annex II 1.0.5, from memory."""
    marking = only(text)
    assert (marking.dialect, marking.eu_group, marking.category) == ("EU", "II", "1")
    assert (marking.atmosphere, marking.epl, marking.epl_derived) == ("G", ("Ga",), False)


@pytest.mark.parametrize(
    "text",
    [
        "II 1 G Ex ia IIC T4 Ga; II 1 D Ex ia IIIC T135 \u00b0C Da",
        "II 1 G, II 1 D, Ex ia IIC T4 Ga, Ex ia IIIC T135 \u00b0C Da",
        "Ex ia IIC T4 Ga II 1 G Ex ia IIIC T135 \u00b0C Da II 1 D",
        "Ex ia IIC T4 Ga / Ex ia IIIC T135 \u00b0C Da | II 1 G / II 1 D",
    ],
)
def test_each_directive_part_goes_with_its_own_string(text):
    """2014/34/EU Annex II 1.0.5; where the parts stand: common practice, no source."""
    gas, dust = read_marking(text).alternatives
    assert (gas.group, gas.atmosphere, gas.epl) == ("IIC", "G", ("Ga",))
    assert (dust.group, dust.atmosphere, dust.epl) == ("IIIC", "D", ("Da",))


@pytest.mark.parametrize(
    ("text", "epl"),
    [
        ("II 2 G Ex ia IIC T4", ("Gb",)),
        ("Ex ia IIC T4 II 2 G", ("Gb",)),
        ("II 3 G EEx ia IIC T4", ("Gc",)),
        ("II 1/2 G EEx ia IIC T4", ("Ga", "Gb")),
        ("II 2 D Ex ia IIIC T135 \u00b0C", ("Db",)),
        ("I M2 Ex ia I", ("Mb",)),
    ],
)
def test_a_lower_category_without_epl_is_a_downrating_and_noted(text, epl):
    """2014/34/EU Annex I; the lower of both is taken: judgement, no source."""
    marking = only(text)
    assert marking.epl == epl
    assert marking.epl_derived
    assert marking.level == "ia"
    assert any("category" in note for note in marking.notes)


@pytest.mark.parametrize(
    ("text", "served_epl"),
    [
        ("II (2) G [EEx ia] IIC", "Gb"),
        ("II 2(1) G EEx d [ia] IIC T6", "Ga"),
        ("II 2 G EEx d [ia] IIC T6", "Gb"),
        ("Ex ec [ia] IIC T4 Gc", "Gc"),
        ("II 3(1) G Ex ec [ia] IIC T4 Gc", "Ga"),
    ],
)
def test_a_served_epl_that_is_not_printed_is_the_lowest_that_the_rest_allows(text, served_epl):
    """IEC 60079-0:2017 clause 29: printed in the bracket where it differs; from memory."""
    marking = only(text)
    assert marking.served_epl == served_epl
    assert marking.served_epl_derived
    assert marking.served_level == "ia"


def test_an_epl_below_the_level_is_allowed_and_noted():
    """IEC 60079-0:2017 clause 29, from memory."""
    marking = only("Ex ia IIC T4 Gb")
    assert (marking.level, marking.epl) == ("ia", ("Gb",))
    assert "EPL Gb is lower than ia gives" in marking.notes
    assert "served EPL Gb is lower than ia gives" in only("[Ex ia Gb] IIC").notes


def test_the_dust_of_a_directive_part_is_kept_for_the_caller():
    """2014/34/EU Annex II 1.0.5; no dust group before 2007; from memory."""
    marking = only("II (1) GD [EEx ia] IIC")
    assert (marking.atmosphere, marking.served_atmosphere) == ("GD", "GD")
    assert (marking.served_group, marking.served_epl) == ("IIC", "Ga")
    assert "D in the directive part: this string names no dust group" in marking.notes
    both = only("II 3 G (1) GD Ex ec [ia Ga] IIC T4 Gc")
    assert (both.atmosphere, both.served_atmosphere) == ("G", "GD")


def test_alternatives_keep_their_facts_apart():
    """IEC 60079-0:2017 clause 29, from memory."""
    label = read_marking("Ex ia IIB T4 Ga; Ex ib IIC T6 Gb")
    facts = [(m.level, m.group, m.temperature_classes, m.epl) for m in label.alternatives]
    assert facts == [("ia", "IIB", ("T4",), ("Ga",)), ("ib", "IIC", ("T6",), ("Gb",))]
    assert [m.text for m in label.alternatives] == ["Ex ia IIB T4 Ga", "Ex ib IIC T6 Gb"]
    assert any("several alternatives" in note for note in label.notes)


def test_each_bracket_and_each_group_of_a_source_is_an_alternative():
    """IEC 60079-0:2017 clause 29, from memory; lists of groups: common practice, no source."""
    two = read_marking("Ex ec [ia Ga] [ia IIIC Da] IIC T4 Gc").alternatives
    assert [(m.group, m.served_group, m.served_epl) for m in two] == [
        ("IIC", "IIC", "Ga"),
        ("IIC", "IIIC", "Da"),
    ]
    more = read_marking("Ex ec [ia Ga] IIC T4 Gc [Ex ia Da] IIIC").alternatives
    assert [(m.role, m.served_group) for m in more] == [("both", "IIC"), ("associated", "IIIC")]
    listed = read_marking("[EEx ia] I/IIC").alternatives
    assert [(m.group, m.served_epl) for m in listed] == [("I", "Ma"), ("IIC", "Ga")]


@pytest.mark.parametrize(
    ("text", "level", "served"),
    [
        ("Ex ia ib IIC T4 Gb", "ib", ""),
        ("Ex ia/ib IIC T4 Ga/Gb", "ib", ""),
        ("[Ex ia ib Gb] IIC", "", "ib"),
        ("Ex ia [ia Ga] IIC T4 Ga", "ia", "ia"),
        ("Ex db [op is Ga] IIC T6 Gb", "", ""),
        ("[Ex nL] IIC", "", ""),
        ("Ex db IIC T6 Gb", "", ""),
    ],
)
def test_the_weakest_level_is_taken(text, level, served):
    """IEC 60079-14:2013 clause 16.2, from memory."""
    marking = only(text)
    assert (marking.level, marking.served_level) == (level, served)


def test_hydrogen_beside_iib_is_kept_and_another_gas_is_not_counted():
    """IEC 60079-0:2017 clause 4, from memory."""
    assert only("Ex ia IIB + H\u2082 T4 Ga").group == "IIB+H2"
    marking = only("Ex ia IIB (NH3) T4 Ga")
    assert marking.group == "IIB"
    assert "the gas named beside the group is not counted: NH3" in marking.notes


def test_tags_stand_beside_the_marking():
    """IEC 60079-11:2011 Annex G and IEC TS 60079-47:2021, from memory."""
    label = read_marking("CE 0123 <Ex> II 1 G Ex ia IIC T4 Ga FISCO field device; 2-WISE IP67")
    assert label.tags == ("CE 0123", "<Ex>", "FISCO field device", "2-WISE", "IP67")
    assert label.alternatives[0].text == "II 1 G Ex ia IIC T4 Ga"


@pytest.mark.parametrize(
    ("text", "classes", "division", "groups"),
    [
        ("Class I, Division 1, Groups A-D T4", ("I",), "1", "ABCD"),
        ("CL I DIV 1 & 2 GP ABCD T4A", ("I",), "1", "ABCD"),
        ("Class I and II, Division 2, Groups B, C, D, F, G T5", ("I", "II"), "2", "BCDFG"),
        ("Class II, Division 1, Groups E-G T135 \u00b0C", ("II",), "1", "EFG"),
        ("Class III", ("III",), "", ""),
        ("[Exia] Class I, Groups A, B", ("I",), "", "AB"),
        ("Exia Class I, Division 1, Groups C and D T3C", ("I",), "1", "CD"),
    ],
)
def test_class_and_division(text, classes, division, groups):
    """NEC 500.5, 500.6 and 500.8, from memory; no level ia, ib or ic follows from it."""
    marking = only(text)
    assert marking.dialect == "NEC-div"
    assert (marking.na_class, marking.na_division) == (classes, division)
    assert "".join(marking.na_groups) == groups
    assert (marking.level, marking.served_level, marking.group) == ("", "", "")
    assert marking.role == ("associated" if text.startswith("[") else "apparatus")


def test_a_zone_in_front_of_a_source_is_the_zone_served():
    """NEC 505.9, from memory."""
    marking = only("Class I, Zone 0, [AEx ia Ga] IIC")
    assert (marking.dialect, marking.role) == ("NEC-zone", "associated")
    assert (marking.na_zone, marking.served_epl) == ("0", "Ga")
    canada = only("Class I, Zone 1, Ex ib IIC T4 Gb")
    assert (canada.dialect, canada.prefix, canada.na_zone) == ("NEC-zone", "Ex", "1")


def test_a_label_of_two_worlds():
    """Common practice, no source."""
    label = read_marking(
        "II 1 G Ex ia IIC T4 Ga, Class I, Zone 0, AEx ia IIC T4 Ga, "
        "IS Class I, Division 1, Groups A, B, C, D T4"
    )
    assert [m.dialect for m in label.alternatives] == ["EU", "NEC-zone", "NEC-div"]
    assert show(label.alternatives[2]) == "IS Class I, Division 1, Groups A, B, C, D T4"


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("EX IA II C T4, II 2 G", "II 2 G Ex ia IIC T4"),
        ("Ex ia IIC T6-T4 Ga", "Ex ia IIC T6...T4 Ga"),
        ("Ex ia IIC T4/T5 Ga", "Ex ia IIC T5/T4 Ga"),
        ("Ex ia IIC T4/T6 Ga", "Ex ia IIC T6/T4 Ga"),
        ("[Ex ia IIC Ga] IIC", "[Ex ia Ga] IIC"),
        ("[Ex ia IIC Ga]", "[Ex ia IIC Ga]"),
        ("Ex db [Ex ia IIC Ga] IIB T4 Gb", "Ex db [ia IIC Ga] IIB T4 Gb"),
        ("Ex ia IIIC T200 112,5 \u00baC Da", "Ex ia IIIC T200 112.5 \u00b0C Da"),
        ("II 3 G (1) GD Ex ec [ia Ga] IIC T4 Gc", "II 3 G (1) GD Ex ec [ia Ga] IIC T4 Gc"),
        (
            "Ex ia IIC T4 Ga (-50 <= Tamb <= +70)",
            "Ex ia IIC T4 Ga Ta -50 \u00b0C to 70 \u00b0C",
        ),
        ("CL I DIV 2 GP A-D", "Class I, Division 2, Groups A, B, C, D"),
        ("Zone 20 AEx ia IIIC T135\u00b0C Da", "Zone 20, AEx ia IIIC T135 \u00b0C Da"),
    ],
)
def test_the_canonical_text(text, shown):
    """Order of IEC 60079-0:2017 clause 29, from memory."""
    assert show(only(text)) == shown
