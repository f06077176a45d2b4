"""What is refused beside the table of rows, and the exact part that is pointed at."""

from __future__ import annotations

import pytest

from subspark.errors import MarkingError
from subspark.marking import read_marking


def refusal(text: str) -> tuple[str, MarkingError]:
    """The offending part of a text that is refused, and the error."""
    with pytest.raises(MarkingError) as caught:
        read_marking(text)
    error = caught.value
    assert error.text == text
    assert 0 <= error.start <= error.end <= len(text)
    return text[error.start : error.end], error


@pytest.mark.parametrize(
    ("text", "part", "corrected"),
    [
        ("Ex ia lIC T4 Ga", "lIC", "Ex ia IIC T4 Ga"),
        ("Ex ia 1IC T4 Ga", "1IC", "Ex ia IIC T4 Ga"),
        ("Ex ia llC T4 Ga", "llC", "Ex ia IIC T4 Ga"),
        ("Ex ia 11C T4 Ga", "11C", "Ex ia IIC T4 Ga"),
        ("Ex ia I1C T4 Ga", "I1C", "Ex ia IIC T4 Ga"),
        ("Ex ia lllC T135 °C Da", "lllC", "Ex ia IIIC T135 °C Da"),
        ("[Ex ia Ga] lIC", "lIC", "[Ex ia Ga] IIC"),
        ("Ex ia l Ma", "l", "Ex ia I Ma"),
        ("Ex la IIC T4 Ga", "la", "Ex ia IIC T4 Ga"),
        ("Ex 1a IIC T4 Ga", "1a", "Ex ia IIC T4 Ga"),
        ("Ex ia II\u0421 T4 Ga", "II\u0421", "Ex ia IIC T4 Ga"),
        ("\u0415x ia IIC T4 Ga", "\u0415x", "Ex ia IIC T4 Ga"),
        ("Ex \u0456a IIC T4 Ga", "\u0456a", "Ex ia IIC T4 Ga"),
        ("Ex ia IIC \u04224 Ga", "\u04224", "Ex ia IIC T4 Ga"),
        ("Ex ia IIC T4 G\u0430", "G\u0430", "Ex ia IIC T4 Ga"),
        ("Ex ia iic T4 Ga", "iic", "Ex ia IIC T4 Ga"),
        ("Ex ia IIC t4 Ga", "t4", "Ex ia IIC T4 Ga"),
        ("Ex ia IIC T4 6a", "6a", "Ex ia IIC T4 Ga"),
    ],
)
def test_letters_that_look_alike_are_offered_and_never_taken(text, part, corrected):
    """Common practice, no source: mistakes of people who type and of optical reading."""
    found, error = refusal(text)
    assert found == part
    assert repr(corrected) in error.wanted
    read_marking(corrected)


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("Ex [ia Ga] IIC", "Ex"),
        ("Ex", "Ex"),
        ("Ex ia", "ia"),
        ("Ex db [ia Ga]", "db [ia Ga]"),
        ("[Ex ia Ga]", "[Ex ia Ga]"),
        ("Ex i IIC T4", "i"),
        ("[Ex i Ga] IIC", "i"),
        ("Ex IA IIC T4 Ga", "IA"),
        ("Ex iaD 20 T135 °C", "iaD"),
        ("[Ex iaD] IIIC", "iaD"),
        ("[Ex d] IIC", "d"),
        ("Ex ia ia IIC T4 Ga", "ia"),
        ("EEx de e IIC T4", "e"),
        ("[Ex ia/ib Ga] IIC", "/"),
        ("Ex ia mb/db IIC T4 Ga/Gb", "/"),
        ("ExiaIIC T4 Ga", "ExiaIIC"),
        ("Ex ia IICT4 Ga", "IICT4"),
        ("Ex ia IIC T4Ga", "T4Ga"),
    ],
)
def test_types_of_protection(text, part):
    """IEC 60079-0:2017 clause 29 and IEC 60079-11:2011 clause 5, from memory."""
    assert refusal(text)[0] == part


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("Ex ia II(NH3) T4 Ga", "II(NH3)"),
        ("Ex eb [ia Ga] II T4 Gb", "II"),
        ("[Ex ia Ga] II", "II"),
        ("Ex ia III T135 °C Da", "III"),
        ("Ex ia IIC+H2 T4 Ga", "IIC+H2"),
        ("Ex ia IID T4 Ga", "IID"),
        ("Ex ia IIC/IIB T4 Ga", "IIC/IIB"),
        ("[Ex ia] IIC/IIIC", "IIC/IIIC"),
        ("[Ex ia Ga] IIC/I", "Ga"),
        ("[Ex ia IIC Ga] IIB", "IIB"),
        ("Ex ta IIC T4 Ga", "ta"),
        ("EEx ia IIIC T135 °C", "IIIC"),
        ("[EEx ia IIIC]", "IIIC"),
    ],
)
def test_groups(text, part):
    """IEC 60079-0:2017 clauses 4 and 29, from memory."""
    assert refusal(text)[0] == part


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("Ex ia IIC T0 Ga", "T0"),
        ("Ex ia IIC T6...T7 Ga", "T7"),
        ("Ex ia IIC T3C Ga", "T3C"),
        ("Ex ia IIC T14 Ga", "T14"),
        ("Ex ia IIC 120 °C (T5) Ga", "120 °C (T5)"),
        ("Ex ia IIC 500 °C Ga", "500 °C"),
        ("Ex ia IIC 248 °F Ga", "248 °F"),
        ("Ex ia IIC T200 125 °C Ga", "T200 125 °C"),
        ("Ex ia IIIC Da", "IIIC"),
        ("Ex ia IIIC T135 °C (T4) Da", "(T4)"),
        ("Ex ia IIIC T5...T4 Da", "T5...T4"),
        ("Ex ia IIIC T200135 °C Da", "T200135"),
        ("Ex ia IIIC T5 100 °C Da", "T5 100"),
        ("Ex ia IIIC T135 85 °C Da", "T135 85 °C"),
        ("Ex ia I 150 °C Ma", "150 °C"),
        ("[Ex ia Ga] IIC 120 °C", "120 °C"),
        ("[Ex ia Da] IIIC T135 °C", "T135 °C"),
        ("Ex ia IIC Ga T4", "T4"),
        ("Ex ia IIC (T4) Ga", "T4"),
        ("[EEx ia] IIC (T4)", "T4"),
    ],
)
def test_temperatures(text, part):
    """IEC 60079-0:2017 clauses 5.3 and 29, from memory."""
    assert refusal(text)[0] == part


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("[Ex ic Ga] IIC", "Ga"),
        ("[Ex ib Ga] IIC", "Ga"),
        ("Ex ec [ib Ga] IIC T4 Gc", "Ga"),
        ("Ex ib I Ma", "Ma"),
        ("Ex ic I", "ic"),
        ("[Ex ic] I", "ic"),
        ("Ex ia IIC T4 Ma", "Ma"),
        ("Ex ia I Ga", "Ga"),
        ("Ex db [ia Da] IIC T6 Gb", "Da"),
        ("[Ex ia Ga] IIIC", "Ga"),
        ("[Ex ia] IIC Ga", "Ga"),
        ("[EEx ia Ga] IIC", "Ga"),
        ("EEx d [ia Ga] IIC T6", "Ga"),
        ("Ex ia IIC T4 Gd", "Gd"),
        ("Ex ia db IIC T4 Ga", "Ga"),
        ("Ex ia/db IIC T4 Gb/Ga", "Gb/Ga"),
        ("Ex ia IIC T4 Ga/Ga", "Ga/Ga"),
        ("Ex ia/db IIC T4 Ga", "Ga"),
        ("Ex ib/db IIC T4 Ga/Gb", "Ga"),
        ("Ex db/ia IIC T4", "db/ia"),
        ("Ex ia IIC T4 Ga Da", "Da"),
    ],
)
def test_epl_against_level_group_and_side(text, part):
    """IEC 60079-0:2017 clauses 4 and 29, IEC 60079-26 for two sides, from memory."""
    assert refusal(text)[0] == part


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("II 1 G Ex ib IIC T4", "1"),
        ("II 1 G Ex ib IIC T4 Gb", "1"),
        ("II 3 G Ex ia IIC T4 Ga", "3"),
        ("Ex ia IIC T4 Ga II 2 G", "2"),
        ("II (1) G [Ex ib Gb] IIC", "(1)"),
        ("II (1) G [Ex ib] IIC", "(1)"),
        ("II (2) G [Ex ia Ga] IIC", "(2)"),
        ("II (1) G Ex ia IIC T4 Ga", "(1)"),
        ("II (1) G Ex db [ia Ga] IIC T4 Gb", "(1)"),
        ("II 2 G Ex db [ia Ga] IIC T4 Gb", "2"),
        ("II 1 D Ex ia IIC T4 Ga", "D"),
        ("II 1 G Ex ia IIIC T135 °C Da", "G"),
        ("II (1) D [EEx ia] IIC", "D"),
        ("I M1 Ex ia IIC T4 Ga", "I"),
        ("II 1 G Ex ia I Ma", "II"),
        ("II M1 Ex ia IIC T4 Ga", "M1"),
        ("I M1 G Ex ia I Ma", "G"),
        ("I M3 Ex ia I", "M3"),
        ("II 4 G Ex ia IIC T4", "4"),
        ("II 1 Ex ia IIC T4 Ga", "II 1"),
        ("II 1/- G Ex ia IIC T4 Ga", "1/-"),
        ("II 2/1 G Ex ia IIC T4 Ga/Gb", "2/1"),
        ("II (1/2) G [Ex ia Ga] IIC", "(1/2)"),
        ("II 1/2 G Ex ia IIC T4 Ga", "1/2"),
        ("II 1 G II 2 G EEx ia IIC T4", "II 1 G II 2 G"),
        ("II 1 G", "II 1 G"),
        ("II 1 G Ex ia IIC T4 Ga; Ex ia IIIC T135 °C Da", "G"),
        ("II 1 G Ex ia IIC T4 Ga II 1 D", "II 1 D"),
    ],
)
def test_directive_part(text, part):
    """2014/34/EU Annex I and Annex II 1.0.5, from memory."""
    assert refusal(text)[0] == part


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("Ex ia IIC T4 Ga (+70 °C <= Ta <= -50 °C)", "+70 °C <= Ta <= -50 °C"),
        ("Ex ia IIC T4 Ga Ta = 140 °F", "140 °F"),
        ("Ex ia IIC T4 Ga Ta -20 - 40 °C", "-"),
        ("Ex ia IIC T4 Ga Ta +400 °C to +500 °C", "+400 °C"),
        ("Ex ia IIC T4 Ga Ta <= -30 °C", "-30 °C"),
        ("Ex ia IIC T4 Ga -40 °C = Ta <= 60 °C", "-40"),
        ("Ex ia IIC T4 Ga -40 °C <= Ta = 60 °C", "="),
        ("Ex ia IIC T4 Ga Ta <= -40 °C to +60 °C", "<="),
        ("Ex ia IIC T4 Ga Ta +60 °C", ""),
        ("Ex ia IIC T4 Ga Ta -40", ""),
        (
            "Ex ia IIC T4 Ga; Ex ia IIIC T135 °C Da Ta 50 °C to 60 °C",
            "Ex ia IIC T4 Ga; Ex ia IIIC T135 °C Da Ta 50 °C to 60 °C",
        ),
    ],
)
def test_ambient(text, part):
    """IEC 60079-0:2017 clauses 5.1.1 and 29, from memory."""
    assert refusal(text)[0] == part


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("Class I, Zone 0, AEx ia IIC T4 Gb", "Zone 0"),
        ("Class I, Zone 0, AEx ib IIC T4", "Zone 0"),
        ("Class I, Zone 0, [AEx ib Gb] IIC", "Zone 0"),
        ("Zone 20, AEx ia IIC T4 Ga", "Zone 20"),
        ("Zone 0, AEx ia IIIC T135 °C Da", "Zone 0"),
        ("Class I, Zone 20, AEx ia IIIC T135 °C Da", "I"),
        ("Class II, Zone 1, AEx ia IIC T4 Ga", "II"),
        ("Zone 3, AEx ia IIC T4 Ga", "Zone 3"),
        ("Zone 1, EEx ia IIC T4", "EEx"),
        ("Class I, Division 1, Groups A, B, E T4", "E"),
        ("Class I, Division 1, Groups A-G T4", "G"),
        ("Class II, Division 1, Groups A, B T4", "A, B"),
        ("Class I, Division 1, Groups D-A T4", "D-A"),
        ("Class I, Division 1, Group H T4", "Group"),
        ("Class I, Division 1 T4", "I, Division 1"),
        ("Class I, Groups A, B, C, D T4", "I"),
        ("Class I, Division 2, 1, Group A", "2, 1"),
        ("Class I, I, Division 1, Group A", "I, I"),
        ("Class I, Division 1, Group A T7", "T7"),
        ("[Exia] Class I, Groups A-D T4", "T4"),
        ("Class IV, Division 1", "IV"),
    ],
)
def test_north_america(text, part):
    """NEC 500.5, 500.6, 500.8, 505.9 and 506.9, from memory."""
    assert refusal(text)[0] == part


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("", ""),
        ("  ", ""),
        ("hello", "hello"),
        ("CE 0123", "CE 0123"),
        ("[[Ex ia Ga] IIC", "["),
        ("Ex ia IIC T4 Ga)", ")"),
        ("Ex ia] IIC T4 Ga", "]"),
        ("Ex db [ia Ga IIC T4 Gb", "["),
        ("Ex ia IIC T4 Ga (-20 °C <= Ta <= 40 °C", "("),
        ("Ex ia (IIC] T4 Ga", "]"),
        ("Ex ia, IIC T4 Ga", "IIC"),
        ("Ex ia IIC; T4 Ga", "T4"),
        ("Ex ia IIC T4 Ga and", "and"),
        ("Ex ia IIC T4 Ga/", "/"),
        ("Ex ia IIC T4 Ga or ;", "or"),
        ("/ Ex ia IIC T4 Ga", "/"),
        ("and [Ex ia Ga] IIC", "and"),
        ("Ex ia IIC T4 Ga, Gb", "Gb"),
        ("Ex ia IIC T4 Ga ABC 20 ATEX 0001X", "ABC 20 ATEX"),
        ("Ex ia IIC T4 Ga IECEx ABC 20.0001X", "IECEx"),
        ("Ex ia IIC T4 Ga X", "X"),
        ("Ex ia IIC T\u0664 Ga", "T\u0664"),
    ],
)
def test_what_is_no_marking(text, part):
    """Common practice, no source: refuse rather than guess."""
    assert refusal(text)[0] == part


def test_a_text_that_is_too_long_is_refused():
    """Common practice, no source."""
    part, error = refusal("Ex ia IIC T4 Ga; " * 100)
    assert error.start == 1000
    assert part == error.text[1000:]
    assert "1700 characters" in error.why


def test_the_place_is_that_of_the_original_text():
    """Common practice, no source: normalising shortens and lengthens the text."""
    text = "\u200bEx  ia\u00a0\u00a0l\u00adIC T4 Ga"
    assert refusal(text)[0] == "l\u00adIC"
    text = "Ex\u00a0 ia\u200b IIC   T4  Ga   Ta  +60 \u00ba C\u2026 \u221240\u2103"
    assert refusal(text)[0] == "+60 \u00ba C\u2026 \u221240\u2103"


def test_the_message_names_the_thing_and_what_is_wanted_under_the_text():
    """Common practice, no source."""
    _, error = refusal("Ex ib IIC T4 Ga")
    assert str(error).splitlines() == [
        "EPL Ga is higher than ib can give (Gb); wanted Gb or lower",
        "  Ex ib IIC T4 Ga",
        "               ^^",
    ]
