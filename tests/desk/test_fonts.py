"""The fonts of the pages: small, with tabular figures, made once, and never a must."""

from __future__ import annotations

import io

import pytest
from django.urls import reverse

import webplants
from subspark.desk import fonts

pytest.importorskip("fontpkg_source_sans_3", reason="the fonts are not installed")
pytest.importorskip("fontpkg_source_code_pro", reason="the fonts are not installed")
UNITS = "Co 83 nF, 0.7 \u00b5H/\u03a9, \u2264 40 \u00b0C, \u2192 100 \u00d7 \u2026 \u00d6 \u0142"


@pytest.mark.parametrize("name", fonts.FONTS)
def test_a_font_has_the_letters_of_the_pages_and_figures_of_one_width(name, tmp_path):
    from fontTools.ttLib import TTFont

    data = fonts.made(name, tmp_path)
    assert len(data) < 60_000
    font = TTFont(io.BytesIO(data))
    letters = font.getBestCmap()
    assert [one for one in UNITS if ord(one) not in letters] == []
    weights = font["fvar"].axes[0]
    assert (weights.minValue, weights.maxValue) == (400, 650)
    features = {one.FeatureTag for one in font["GSUB"].table.FeatureList.FeatureRecord}
    widths = {font["hmtx"][letters[ord(one)]][0] for one in "0123456789"}
    assert "tnum" in features or len(widths) == 1


def test_a_font_is_made_once(tmp_path, monkeypatch):
    first = fonts.made("mono", tmp_path)
    monkeypatch.setattr(fonts, "_cut", lambda *_: b"made again")
    assert fonts.made("mono", tmp_path) == first
    assert [one.suffix for one in tmp_path.iterdir()] == [".woff"]


def test_without_its_package_there_is_no_font_and_the_page_stands(tmp_path, monkeypatch):
    monkeypatch.setitem(fonts.FONTS, "sans", ("fontpkg_of_nobody", "none.ttf", (400, 650)))
    with pytest.raises(fonts.NotThereError, match="is not installed"):
        fonts.made("sans", tmp_path)
    browser = webplants.client()
    assert browser.get(reverse("font", args=["sans"])).status_code == 404
    assert browser.get(reverse("sign-in")).status_code == 200


def test_a_font_is_sent_to_be_kept():
    answer = webplants.client().get(reverse("font", args=["mono"]))
    assert answer.status_code == 200
    assert answer.headers["Content-Type"] == "font/woff"
    assert answer.headers["Cache-Control"] == "max-age=604800"
    assert answer.content[:4] == b"wOFF"
    assert webplants.client().get(reverse("font", args=["gothic"])).status_code == 404
