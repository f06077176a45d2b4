"""Texts are measured as the font itself measures them."""

from __future__ import annotations

from pathlib import Path

import fontpkg_source_sans_3
import pytest
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st

from subspark.papers.drawings.metrics import width_of, wrap

FONT = Path(fontpkg_source_sans_3.__file__).parent / "files" / "SourceSans3[wght].ttf"
SAMPLE = "AMiw09 -/+.,:()=µΩ≤°²ÄßéЖ"


@pytest.fixture(scope="module")
def font():
    return TTFont(str(FONT))


@pytest.mark.parametrize(("bold", "weight"), [(False, 400), (True, 600)])
def test_widths_are_those_of_the_font(font, bold, weight):
    glyphs, names = font.getGlyphSet(location={"wght": weight}), font.getBestCmap()
    for char in SAMPLE:
        wanted = glyphs[names[ord(char)]].width * 10.0 / font["head"].unitsPerEm
        assert width_of(char, 10.0, bold=bold) == pytest.approx(wanted, abs=0.011), char


def test_a_character_that_the_font_lacks_counts_as_wide():
    assert width_of("漢", 10.0) == pytest.approx(10.0)


@given(st.text(alphabet="ABCi-/ 1µ\u00a0漢", max_size=60), st.floats(4.0, 60.0))
def test_lines_fit_and_keep_every_character(text, room):
    lines = wrap(text, room, 3.0)
    assert all(width_of(line, 3.0) <= room or len(line) == 1 for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "").replace("\u00a0", "")


def test_a_number_stays_with_its_unit():
    assert wrap("Uo\u00a026\u00a0V, Io\u00a090\u00a0mA", 12.0, 3.0) == ["Uo 26 V,", "Io 90 mA"]
