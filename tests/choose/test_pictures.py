"""Pictures: well formed, readable, and with the numbers of the findings."""

from __future__ import annotations

import dataclasses
import math
import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator

import pytest

import subspark as ss
from subspark.assess.function.cases import Staircase, Step
from subspark.choose.picture_band import bars_of
from subspark.choose.picture_ladder import rungs_of
from subspark.choose.picture_plane import plane_of
from subspark.choose.picture_svg import (
    PALETTE,
    SIZE,
    SMALL,
    TITLE,
    Box,
    Sheet,
    box_of,
    fitted,
    ticks_of,
    width_of,
    wrapped,
)
from subspark.choose.pictures import (
    Picture,
    band,
    ladder,
    margin_curve,
    plane,
    sensitivity_picture,
    staircase,
    style,
)
from subspark.choose.sensitivity import sensitivity
from subspark.demo import build_plant
from subspark.errors import UsageError

SVG = "{http://www.w3.org/2000/svg}"
DEMO = build_plant()
TAGS = ("AT-4091", "PT-1102", "TE-1111", "LT-1011", "TE-1191", "FT-1191")
"""The lumped rule, a shared trunk, L/R, pairs, unproven, too long a cable."""
STAIRS = Staircase(
    title="Volts to FT-1",
    unit="V",
    at="22 mA",
    steps=(
        Step("supply on the safe side, least", 24.0, 24.0),
        Step("load on the safe side", -5.5, 18.5),
        Step("resistance of the barrier with a long name that goes on and on", -7.48, 11.02),
        Step("run C-FT-1", -0.3, 10.72),
    ),
    left=10.72,
    needed=10.5,
)
CURVE = [(1.0, 9, 1200.0, 296), (0.9, 11, 1500.0, 296), (0.8, 17, math.nan, 280)]
ASSESSED = ss.assess(DEMO)
SENSED = sensitivity(DEMO, "AT-4091")


def pictures() -> Iterator[tuple[str, Picture]]:
    for width in (320.0, 760.0):
        for tag in TAGS:
            yield f"plane {tag} {width}", plane(ASSESSED, tag, width=width)
            yield f"ladder {tag} {width}", ladder(ASSESSED, tag, width=width)
        yield f"staircase {width}", staircase(STAIRS, tag="FT-1", width=width)
        yield f"curve {width}", margin_curve(CURVE, width=width)
        yield f"sensitivity {width}", sensitivity_picture(SENSED, width=width)
        yield f"band {width}", band(ASSESSED, width=width)


ALL = dict(pictures())
PLANES = {tag: plane_of(ASSESSED, tag) for tag in TAGS}


def tree(picture: Picture) -> ET.Element:
    return ET.fromstring(picture.svg)  # noqa: S314 - our own picture


def texts(picture: Picture) -> list[tuple[str, Box]]:
    """Every text and what it covers, as measured by the kit; hinting lets rows touch a little."""
    out = []
    for one in tree(picture).iter(f"{SVG}text"):
        names = one.get("class", "").split()
        size = SMALL if "small" in names else TITLE if "title" in names else SIZE
        words = one.text or ""
        box = box_of(
            float(one.get("x", "nan")),
            float(one.get("y", "nan")),
            words,
            size,
            one.get("text-anchor", "start"),  # type: ignore[arg-type]
            bold="bold" in names,
            mono="mono" in names,
        )
        out.append((words, Box(box.left, box.top + 1.0, box.right, box.bottom - 1.0)))
    return out


@pytest.mark.parametrize("name", ALL)
def test_well_formed_with_title_and_description(name: str) -> None:
    root = tree(ALL[name])
    assert root.tag == f"{SVG}svg"
    assert root.get("role") == "img"
    title, described = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert title.text == root.get("aria-label")
    assert described is not None
    assert described.text


@pytest.mark.parametrize("name", ALL)
def test_no_text_covers_another_or_leaves_the_picture(name: str) -> None:
    root = tree(ALL[name])
    whole = Box(0.0, 0.0, float(root.get("width", 0)), float(root.get("height", 0)))
    placed = texts(ALL[name])
    for at, (words, box) in enumerate(placed):
        assert box.left >= 0.0, words
        assert box.top >= 0.0, words
        assert box.right <= whole.right + 0.5, words
        assert box.bottom <= whole.bottom, words
        for other, there in placed[at + 1 :]:
            assert not box.meets(there), (words, other)


@pytest.mark.parametrize("name", ALL)
def test_nothing_that_a_page_must_not_take_over(name: str) -> None:
    """No identifiers (many pictures in a page), no scripts, links or styles of an element."""
    text = ALL[name].svg
    assert not re.search(r"\s(id|style|href|on\w+)=", text)
    assert not re.search(r"<(script|a|use|image|foreignObject)\b", text)
    assert "<style>" not in ALL[name].bare
    assert ALL[name].paper.count("<style>") == 1
    assert "var(" not in ALL[name].paper
    assert "nan" not in re.sub(r"<(title|desc)>.*?</\1>|<text.*?</text>", "", text)


def test_the_same_twice() -> None:
    again = ss.assess(build_plant(), ["AT-4091"])
    for draw, name in ((plane, "plane"), (ladder, "ladder")):
        assert draw(again, "AT-4091", width=760.0).svg == ALL[f"{name} AT-4091 760.0"].svg
    assert band(ss.assess(build_plant()), width=320.0).svg == ALL["band 320.0"].svg


def test_a_notebook_shows_it() -> None:
    picture = ALL["plane AT-4091 760.0"]
    assert picture._repr_svg_() == str(picture) == picture.svg


# --- numbers ---------------------------------------------------------------------------------


@pytest.mark.parametrize("tag", [one for one in TAGS if one != "TE-1191"])
def test_the_plane_has_the_numbers_of_the_finding(tag: str) -> None:
    finding, data = ASSESSED[tag], PLANES[tag]
    C, L = finding.rules["capacitance"], finding.rules["inductance"]
    assert C.demand == data.here.C
    assert C.limit == data.allowed.C
    if data.by_ratio:
        assert (data.ratio, data.ratio_limit) == (L.demand, L.limit)
    else:
        assert (L.demand, L.limit) == (data.here.L, data.allowed.L)
    assert data.at(data.length) == pytest.approx(data.here, rel=1e-12)


def test_the_lumped_rule_by_hand() -> None:
    """AT-4091: 40 nF and 120 µH with 180 m of 95 pF/m and 0.7 µH/m, half of 99 nF and 4.3 mH."""
    data = PLANES["AT-4091"]
    assert data.k == 0.5
    assert data.printed == pytest.approx((99e-9, 4.3e-3))
    assert data.allowed == pytest.approx((49.5e-9, 2.15e-3))
    assert data.lumped == pytest.approx((40e-9, 120e-6))
    assert data.here == pytest.approx((57.1e-9, 246e-6))
    assert data.reach_length == pytest.approx(100.0, abs=1e-9)
    shown = " ".join(words for words, _ in texts(ALL["plane AT-4091 760.0"]))
    for words in ("½ Co 49.5 nF", "½ Lo 2.15 mH", "as printed 99 nF, 4.3 mH", "longest 100 m"):
        assert words in shown


def test_pairs_are_a_staircase() -> None:
    """Each pair permits a rectangle; what any of them permits is permitted."""
    data = PLANES["LT-1011"]
    assert len(data.pairs) == 3
    shown = " ".join(words for words, _ in texts(ALL["plane LT-1011 760.0"]))
    assert "pairs of the certificate" in shown


def test_a_segment_has_no_plane() -> None:
    tag = next(one.tag for one in DEMO.circuits if one.method != "entity")
    with pytest.raises(UsageError, match="segment, which needs no sum"):
        plane(ASSESSED, tag)


@pytest.mark.parametrize("tag", TAGS)
def test_the_ladder_has_the_numbers_of_the_finding(tag: str) -> None:
    finding = ASSESSED[tag]
    safety, function = rungs_of(finding)
    asked = [n for n, r in finding.rules.items() if r.rule.sort == "quantity" and r.demand_text]
    assert {one.rule for one in safety} <= set(asked)
    for one in safety:
        assert one.used == finding.rules[one.rule].utilisation
        assert one.verdict == finding.rules[one.rule].verdict.word
    for one in function:
        assert one.used == finding.works.rules[one.rule].utilisation
    told = "".join(tree(ladder(ASSESSED, tag)).itertext())
    for name, rule in finding.rules.items():
        if rule.verdict.word != "not asked":
            assert f"{name}: " in told


def test_the_staircase_tells_each_step() -> None:
    shown = [words for words, _ in texts(staircase(STAIRS))]
    for words in ("+24 V", "−5.5 V", "−7.48 V", "10.72 V", "needed 10.5 V"):
        assert words in shown


def test_a_budget_that_does_not_hold_says_so() -> None:
    shown = [words for words, _ in texts(staircase(dataclasses.replace(STAIRS, needed=12.0)))]
    assert "fails" in shown
    unknown = dataclasses.replace(STAIRS, needed=math.nan)
    assert "unproven" in [words for words, _ in texts(staircase(unknown))]


def test_no_budget_no_staircase() -> None:
    with pytest.raises(UsageError, match="X: no budget to draw"):
        staircase(None, tag="X")


def test_the_curve_tells_where_circuits_are_left_out() -> None:
    shown = [words for words, _ in texts(margin_curve(CURVE))]
    assert {"9", "11", "17"} <= set(shown)
    assert "leaves circuits out: serves 280 at the least" in shown
    assert not any("leaves" in words for words, _ in texts(margin_curve(CURVE[:2])))
    with pytest.raises(UsageError, match="no margins to draw"):
        margin_curve([])


def test_the_tornado_tells_each_end() -> None:
    told = "".join(tree(sensitivity_picture(SENSED)).itertext())
    for one in SENSED.inputs:
        for _, end in one.ends:
            assert end.value is not None
            assert one.show(end.value) in told


def test_the_band_is_sorted_and_whole() -> None:
    bars = bars_of(ASSESSED)
    assert len(bars) == len(DEMO.circuits)
    words = [one.verdict.word for one in bars]
    assert words == sorted(words, key=["unsafe", "unproven", "safe"].index)
    safe = [one.used for one in bars if one.verdict.word == "safe" and one.used is not None]
    assert safe == sorted(safe, reverse=True)
    titles = tree(band(ASSESSED, width=960.0)).findall(f".//{SVG}g/{SVG}title")
    assert len(titles) == len(bars)


def test_a_band_of_more_circuits_than_pixels_shows_the_worst_of_each_bar() -> None:
    picture = band(ASSESSED, width=320.0)
    titles = [one.text or "" for one in tree(picture).findall(f".//{SVG}g/{SVG}title")]
    assert len(titles) < len(DEMO.circuits)
    more = sum(int(found[1]) for one in titles if (found := re.search(r" and (\d+) more", one)))
    assert len(titles) + more == len(DEMO.circuits)


# --- the kit ---------------------------------------------------------------------------------

NASTY = "<b>&\"'\x00\ud800]]>--> ½ 漢字 " + "W" * 80


def test_nasty_texts_are_escaped_and_cut() -> None:
    nasty = dataclasses.replace(STAIRS, title=NASTY, steps=(Step(NASTY, 24.0, 24.0), *STAIRS.steps))
    picture = staircase(nasty, tag=NASTY, width=320.0)
    root = tree(picture)
    assert "\x00" not in picture.svg
    assert "\ud800" not in picture.svg
    assert not root.findall(f".//{SVG}b")
    described = root.find(f"{SVG}desc")
    assert described is not None
    assert '<b>&"' in (described.text or "")


def test_a_nasty_tag_in_a_plant() -> None:
    tag = '<A&B "1">'
    circuit = dataclasses.replace(DEMO.circuit("AT-4091"), tag=tag)
    plant = dataclasses.replace(
        DEMO,
        circuits=(circuit,),
        declarations=tuple(d for d in DEMO.declarations if d.scope not in ("circuit", "cabinet")),
    )
    assessment = ss.assess(plant)
    for picture in (plane(assessment, tag), ladder(assessment, tag), band(assessment)):
        assert tag in "".join(tree(picture).itertext())


def test_light_blue_is_kept_for_wiring() -> None:
    """No colour of a picture has blue as its largest part by more than a grey has."""
    for pair in PALETTE.values():
        for colour in pair:
            red, green, blue = (int(colour[at : at + 2], 16) for at in (1, 3, 5))
            assert blue - max(red, green) <= 16, colour


def test_both_papers_have_every_colour() -> None:
    text = style()
    assert "prefers-color-scheme:dark" in text
    for name, (light, dark) in PALETTE.items():
        assert f"var(--picture-{name},{light})" in text
        assert f"var(--picture-{name},{dark})" in text


@pytest.mark.parametrize(
    ("top", "expected"),
    [
        (10.0, [0, 2, 4, 6, 8, 10]),
        (112.86e-9, [0, 5e-8, 1e-7]),
        (0.3, [0, 0.1, 0.2, 0.3]),
        (0.0, [0]),
        (math.nan, [0]),
    ],
)
def test_ticks_are_round(top: float, expected: list[float]) -> None:
    assert ticks_of(top) == pytest.approx(expected)


def test_texts_are_cut_and_wrapped_within_their_room() -> None:
    text = "Safe. Closest limit: capacitance, 99.9 % used: 123.456 nF of 130 nF."
    assert width_of(fitted(text, 120.0)) <= 120.0
    lines = wrapped(text, 130.0, most=9)
    assert " ".join(lines).replace("\u00a0", " ") == text
    assert all(width_of(line) <= 130.0 for line in lines)
    assert not any(line.startswith(("nF", "%")) for line in lines)
    assert wrapped(text, 130.0, most=2)[-1].endswith("…")


def test_hatching_stays_within_its_box() -> None:
    sheet = Sheet(100.0)
    sheet.hatch(Box(10.0, 20.0, 40.0, 30.0), "hatch", 4.0)
    numbers = re.findall(r"[ML]([\d.]+) ([\d.]+)", sheet.parts[0])
    assert numbers
    for x, y in numbers:
        assert 10.0 <= float(x) <= 40.0
        assert 20.0 <= float(y) <= 30.0
