"""Findings in a notebook: well-formed, escaped, verdicts by word, glyph and colour."""

from __future__ import annotations

import re
from xml.etree import ElementTree as ET

import pytest

import subspark as ss
from subspark.demo import FAULTS, build_plant


@pytest.fixture(scope="module")
def demo():
    return ss.assess(build_plant())


def counts_of(demo):
    """Verdicts that the demo plant is built to have."""
    words = [one.verdict for one in FAULTS]
    safe = len(demo) - len(words)
    return f"{safe} safe, {words.count('unsafe')} unsafe, {words.count('unproven')} unproven"


def circuit(**changes):
    given = {
        "tag": "<b>&T1",
        "service": '"><script>alert(1)</script>',
        "area": ss.Area(tag="A", atmospheres=[ss.Atmosphere(zone="1", group="IIC")]),
    }
    return ss.StandaloneCircuit(**{**given, **changes})


@pytest.mark.parametrize(
    ("tag", "word", "colour", "shape"),
    [
        ("PT-1101", "safe", "#1B7F6B", "<circle"),
        ("AT-4091", "unsafe", "#C8442B", "<path"),
        ("TE-1191", "unproven", "#A8741A", 'fill="none"'),
    ],
)
def test_a_verdict_is_word_glyph_and_colour(demo, tag, word, colour, shape):
    html = demo[tag]._repr_html_()
    head = html[: html.index("<table")]
    assert f">{word}</span>" in head
    assert colour in head
    assert shape in head


def test_light_blue_is_kept_for_wiring(demo):
    colours = set(re.findall(r"#[0-9A-Fa-f]{3,8}\b", demo._repr_html_()))
    assert colours == {"#1B7F6B", "#C8442B", "#A8741A", "#8886"}


def test_html_is_well_formed(demo):
    for html in (demo._repr_html_(), demo["AT-4091"]._repr_html_()):
        ET.fromstring(html)  # noqa: S314 - our own text


def test_texts_of_a_plant_are_escaped():
    html = ss.assess(circuit())._repr_html_()
    assert "<script>" not in html
    assert "&lt;b&gt;&amp;T1" in html
    ET.fromstring(html)  # noqa: S314 - our own text


def test_a_finding_shows_its_sentence_and_every_rule_asked(demo):
    html = demo["AT-4091"]._repr_html_()
    assert "Unsafe. Capacitance, 115 % used: 57.1 nF against 49.5 nF." in html
    assert "57.1 nF &gt; 49.5 nF" in html
    assert "Not asked: permitted current, simple," in html


def test_a_plant_shows_the_worst_first_and_says_how_many_more(demo):
    html = demo._repr_html_()
    assert f"{len(demo)} circuits: {counts_of(demo)}" in html
    assert html.index("AT-4091") < html.index("TE-1191") < html.index("TT-1001")
    assert f"and {len(demo) - 50} more" in html


def test_texts_say_the_same(demo):
    assert repr(demo) == (
        f"<Assessment of Larkfen blending station and elevator: {len(demo)} circuits, "
        f"{counts_of(demo)}>"
    )
    assert repr(demo["LT-1091"]) == (
        "<Finding LT-1091: Unsafe. Level: ia asked against ib (LT-1091A).>"
    )
