"""``subspark explain``: the working of one circuit on paper."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest


def test_the_lumped_rule_is_told_with_both_percentages_and_the_halved_limit(run, demo_file):
    status, out, err = run("explain", demo_file, "AT-4091")
    assert status == 0
    assert err == ""
    # Ci 40 nF of 99 nF = 40.4 %, Li 120 uH of 4.3 mH = 2.79 %, half of 99 nF = 49.5 nF
    assert "Li 120 µH is 2.79 % of Lo 4.3 mH; Ci 40 nF is 40.4 % of Co 99 nF" in out
    assert "both are at least 1 %, so half of each may be used" in out
    assert "99 nF / 2 = 49.5 nF, below the cap of 600 nF" in out
    assert "40 nF + 17.1 nF = 57.1 nF" in out
    assert "Unsafe. Capacitance, 115 % used: 57.1 nF against 49.5 nF." in out


def test_every_circuit_of_the_demo_reads_without_leftovers(run, demo_file):
    for tag in ("LT-1011", "TT-1001", "AT-1201", "PT-5401", "TE-1191", "FT-4091", "AT-1191"):
        _, out, _ = run("explain", demo_file, tag)
        assert not re.search(r"\b(nan|inf|None)\b", out), tag


@pytest.mark.parametrize("columns", [80, 120])
def test_the_working_fits_the_width(run, demo_file, monkeypatch, columns):
    monkeypatch.setenv("COLUMNS", str(columns))
    _, out, _ = run("explain", demo_file, "PT-5401")
    assert max(len(line) for line in out.splitlines()) <= min(columns, 100)


def test_a_number_and_its_unit_stay_on_one_line(run, demo_file, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    _, out, _ = run("explain", demo_file, "AT-4091")
    assert not [line for line in out.splitlines() if re.match(r"\s*(nF|µH|mA|°C|%)\b", line)]


def test_json_is_the_documented_tree(run, demo_file):
    page = (Path(__file__).parents[2] / "docs" / "json.md").read_text(encoding="utf-8")
    _, out, _ = run("explain", demo_file, "PT-1101", "--format", "json")
    document = json.loads(out)
    assert document["format"] == "subspark explain"
    assert document["version"] == 1
    assert document["finding"]["tag"] == "PT-1101"
    told = document["working"]
    blocks = [block for one in told["sections"] for block in one["blocks"]]
    sorts = {"line", "table", "check", "reference", "stairs"}
    assert {block["sort"] for block in blocks} <= sorts
    names = {*document, *told, *(one["key"] for one in told["sections"])}
    names |= {name for block in blocks for name in block}
    assert not [name for name in names if f"`{name}`" not in page]


def test_a_tag_that_is_not_there_is_answered_with_near_ones(run, demo_file):
    status, out, err = run("explain", demo_file, "AT-4019")
    assert status == 2
    assert out == ""
    assert err.startswith("subspark: no circuit 'AT-4019' in plant 'Larkfen")
    assert "did you mean " in err
    assert "AT-4091" in err
