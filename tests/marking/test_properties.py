"""What holds for every marking, and for every text."""

from __future__ import annotations

import time
from dataclasses import fields

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from subspark.errors import MarkingError
from subspark.marking import Label, Marking, read_marking, show

GAS, DUST, MINE = ("IIA", "IIB", "IIB+H2", "IIC"), ("IIIA", "IIIB", "IIIC"), ("I",)
FAMILY = dict.fromkeys(GAS, "G") | dict.fromkeys(DUST, "D") | dict.fromkeys(MINE, "M")
LETTER = {"ia": "a", "ib": "b", "ic": "c", "db": "b", "eb": "b", "mb": "b", "ec": "c", "da": "a"}
CATEGORY = {"a": "1", "b": "2", "c": "3"}
T_CLASSES = [f"T{number}" for number in range(1, 7)]


@st.composite
def temperatures(draw: st.DrawFn, family: str) -> str:
    """A temperature that may stand on apparatus of a family."""
    degrees = draw(st.integers(min_value=30, max_value=450))
    if family == "M":
        return ""
    if family == "D":
        layer = draw(st.sampled_from(["", "200 ", "50 "]))
        return f"T{layer}{degrees} \u00b0C"
    forms = [
        draw(st.sampled_from(T_CLASSES)),
        f"{draw(st.sampled_from(T_CLASSES))}...{draw(st.sampled_from(T_CLASSES))}",
        f"{draw(st.sampled_from(T_CLASSES))}/{draw(st.sampled_from(T_CLASSES))}",
        f"{degrees} \u00b0C",
        f"{degrees}.5 \u00b0C (T1)" if degrees < 450 else "450 \u00b0C (T1)",
    ]
    return draw(st.sampled_from(forms))


@st.composite
def ambients(draw: st.DrawFn) -> str:
    """An ambient range, or none."""
    low = draw(st.integers(min_value=-60, max_value=20))
    high = draw(st.integers(min_value=low, max_value=90))
    return draw(
        st.sampled_from(
            [
                "",
                f"Ta {low} \u00b0C to {high} \u00b0C",
                f"({low}.25 \u00b0C \u2264 Ta \u2264 {high + 1} \u00b0C)",
                f"Tamb <= {abs(high)} \u00b0C",
            ]
        )
    )


@st.composite
def strings(draw: st.DrawFn) -> str:
    """One alternative that is in order, put together word by word from the rules."""
    group = draw(st.sampled_from(GAS + DUST + MINE))
    family = FAMILY[group]
    usable = ["ia", "ib", "db", "eb", "mb"] + ([] if family == "M" else ["ic", "ec"])
    types = draw(st.lists(st.sampled_from(usable), min_size=1, max_size=2, unique=True))
    letter = max(LETTER[name] for name in types)
    served = draw(st.sampled_from(["ia", "ib"] + ([] if family == "M" else ["ic"])))
    served_letter = max(LETTER[served], draw(st.sampled_from("ab" if family == "M" else "abc")))
    role = draw(st.sampled_from(["apparatus", "associated", "both"]))
    print_epl = draw(st.booleans())
    eex = not print_epl and family != "D" and draw(st.booleans())
    prefix = "EEx" if eex else draw(st.sampled_from(["Ex", "AEx"]))
    bracket = f"{served} {family}{served_letter}" if print_epl else served
    eu = ""
    if draw(st.booleans()):
        own_c = f"M{'ab'.index(letter) + 1}" if family == "M" else CATEGORY[letter]
        shown = served_letter if print_epl else LETTER[served]
        served_c = f"(M{'ab'.index(shown) + 1})" if family == "M" else f"({CATEGORY[shown]})"
        parts = ("" if role == "associated" else own_c) + ("" if role == "apparatus" else served_c)
        eu = f"I {parts} " if family == "M" else f"II {parts} {family} "
    ambient = draw(ambients())
    if role == "associated":
        return f"{eu}[{prefix} {bracket}] {group} {ambient}".strip()
    middle = f" [{bracket}]" if role == "both" else ""
    epl = f"{family}{letter}" if print_epl else ""
    temperature = draw(temperatures(family))
    return f"{eu}{prefix} {' '.join(types)}{middle} {group} {temperature} {epl} {ambient}".strip()


@given(strings())
@settings(deadline=None, max_examples=400)
def test_a_marking_in_order_is_read_and_shown_with_the_same_facts(text):
    """IEC 60079-0:2017 clause 29, from memory."""
    [marking] = read_marking(text).alternatives
    shown = show(marking)
    assert read_marking(shown).alternatives == (marking,)
    assert show(read_marking(shown).alternatives[0]) == shown


@given(st.lists(strings(), min_size=2, max_size=4))
@settings(deadline=None, max_examples=100)
def test_alternatives_of_a_label_read_alike_alone(texts):
    """IEC 60079-0:2017 clause 29: one complete string for each; from memory."""
    markings = read_marking("; ".join(texts)).alternatives if _same_side(texts) else ()
    for text, marking in zip(texts, markings, strict=False):
        [alone] = read_marking(text).alternatives
        assert _but_ambient(marking) == _but_ambient(alone)


def _same_side(texts: list[str]) -> bool:
    """Directive parts on all or none, and ambient ranges on all or none."""
    directive = {text.startswith("I") for text in texts}
    ambient = {"Ta" in text for text in texts}
    return len(directive) == len(ambient) == 1


def _but_ambient(marking: Marking) -> tuple[object, ...]:
    left_out = ("ambient_min", "ambient_max", "notes", "text")
    return tuple(getattr(marking, f.name) for f in fields(marking) if f.name not in left_out)


VOCABULARY = """
Ex EEx AEx EX ia ib ic i db d de eb ec op is IA I II III IIA IIB IIC IIIC IIB+H2 I/IIC lIC T4
T6 T7 T135 T200 125 °C (T4) TL Ga Gb Gc Da Db Ma Mc GA / - ... , ; | [ ] ( ) II 1 2 3 G D GD M1
(1) 2(1) 1/2 Ta Tamb -40 +60 <= = to max Class Zone 0 20 Division 1 Groups A B-D A-G IS NI Exia
[Exia] CE 0123 <Ex> FISCO IP67 and or iaD nL ma ia/db T6...T4 T200135 II(NH3) 1IC °F"""
WORDS = st.sampled_from(VOCABULARY.split())


def _label_or_error(text: str) -> Label | MarkingError:
    try:
        return read_marking(text)
    except MarkingError as error:
        return error


def _holds(text: str) -> None:
    label = _label_or_error(text)
    if isinstance(label, MarkingError):
        assert 0 <= label.start <= label.end <= len(text)
        assert label.text == text
        assert label.why
        return
    assert isinstance(label, Label)
    assert label.alternatives
    for marking in label.alternatives:
        assert marking.text in text
        assert read_marking(show(marking)).alternatives == (marking,)


@given(st.text(max_size=80))
@example("Ex ia IIC T\u0661\u0663\u0665 \u00b0C Ga")
@example("\x00\x1c\ud7ff")
@settings(deadline=None, max_examples=500)
def test_any_text_is_read_or_refused(text):
    """Common practice, no source."""
    _holds(text)


@given(st.lists(WORDS, max_size=14), st.sampled_from([" ", " ", " ", ""]))
@settings(deadline=None, max_examples=2000)
def test_any_row_of_words_of_markings_is_read_or_refused(words, blank):
    """Common practice, no source."""
    _holds(blank.join(words))


@given(strings(), st.data())
@settings(deadline=None, max_examples=600)
def test_a_marking_with_a_piece_lost_or_changed_is_read_or_refused(text, data):
    """Common practice, no source."""
    at = data.draw(st.integers(min_value=0, max_value=len(text) - 1))
    length = data.draw(st.integers(min_value=0, max_value=3))
    piece = data.draw(st.sampled_from(["", "I", "l", "1", "a", "C", " ", "]", "/", "-", "T", ","]))
    _holds(text[:at] + piece + text[at + length :])


RANKS = {"ia": 3, "ib": 2, "ic": 1, "": 0}


@given(strings())
@settings(deadline=None, max_examples=300)
def test_no_epl_is_higher_than_the_level_or_the_category_gives(text):
    """IEC 60079-14:2013 table 2 and 2014/34/EU Annex I, from memory."""
    [marking] = read_marking(text).alternatives
    if marking.level and marking.epl:
        assert "cba".index(marking.epl[0][1]) + 1 <= RANKS[marking.level]
    if marking.served_level and marking.served_epl:
        assert "cba".index(marking.served_epl[1]) + 1 <= RANKS[marking.served_level]
    if marking.category and marking.epl:
        assert "abc".index(marking.epl[0][1]) == int(marking.category[-1]) - 1


@pytest.mark.parametrize(
    "text",
    [
        "Ex " + "d" * 900,
        "Ex " + "ia " * 300,
        "Ex ia IIC T4 Ga " * 60,
        "Ex ia IIC " + "T4/" * 300 + "T4 Ga",
        "Class " + "I, " * 300,
        "Class I, Division 1, Groups " + "A, " * 300,
        "Class I, Division 1, Groups " + "A" * 900,
        "(" * 1000,
        "[" * 1000,
        "[]" * 500,
        "II (" * 250,
        "II 1 G " * 140,
        "Ex ia IIB(" + "a " * 490,
        " " * 1000,
        "1" * 1000,
        "-" * 1000,
        "T" * 1000,
        "I" * 1000,
        "Ex ia IIC T4 Ga Ta " + "-" * 900,
    ],
)
def test_no_text_takes_long(text):
    """Common practice, no source: reading is linear in the length of the text."""
    read_once = "Ex ia IIC T4 Ga"
    read_marking(read_once)  # the grammar is built once
    start = time.perf_counter()
    _holds(text)
    assert time.perf_counter() - start < 2.0
