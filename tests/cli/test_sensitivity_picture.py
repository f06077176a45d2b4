"""``subspark sensitivity`` and ``subspark picture``: tables, JSON, files, refusals."""

from __future__ import annotations

import json
import re
import xml.etree.ElementTree as ET

import pytest


def test_sensitivity_names_limit_and_rule(run, demo_file):
    """TG-9 Ii 120 mA on Io 90 mA; the cable of 180 m is safe at 100 m (the deliberate fault)."""
    status, out, err = run("sensitivity", demo_file, "AT-4091")
    assert (status, err) == (0, "")
    assert out.splitlines()[0] == "AT-4091  ◆ unsafe (capacitance)"
    line = next(one for one in out.splitlines() if one.startswith("run 1 (C-AT-4091): length"))
    assert re.search(r"180 m +100\.001 m .*below: safe, capacitance", line)
    assert "Not bound: " in out
    assert "│" in line


def test_sensitivity_as_json(run, demo_file):
    status, out, _ = run("sensitivity", demo_file, "AT-4091", "--format", "json")
    told = json.loads(out)
    assert status == 0
    assert (told["format"], told["version"], told["tag"]) == ("subspark sensitivity", 1, "AT-4091")
    length = next(one for one in told["inputs"] if one["input"].endswith("length"))
    assert length["place"] == ["circuits", "AT-4091", "runs", "1", "length"]
    assert length["safety"]["low"] == {
        "value": 100.001,
        "text": "100.001 m",
        "binds": "capacitance",
        "becomes": "safe",
    }
    assert length["safety"]["high"] is None


@pytest.mark.parametrize("kind", ["plane", "ladder"])
def test_a_picture_is_written_once(run, demo_file, tmp_path, kind):
    path = tmp_path / f"{kind}.svg"
    asked = ("picture", demo_file, "AT-4091", "--kind", kind, "-o", str(path))
    status, out, err = run(*asked)
    assert (status, err) == (0, "")
    assert out == f"{path} written: {kind} of AT-4091.\n"
    root = ET.fromstring(path.read_text("utf-8"))  # noqa: S314 - our own picture
    assert "AT-4091" in (root.get("aria-label") or "")
    status, _, err = run(*asked)
    assert status == 2
    assert "is there already; --force replaces it" in err
    assert run(*asked, "--force", "--width", "360", "--paper")[0] == 0
    text = path.read_text("utf-8")
    assert 'width="360"' in text
    assert "var(" not in text


def test_refusals_say_what_is_wanted(run, demo_file, tmp_path):
    status, _, err = run("picture", demo_file, "AT-4091", "-o", str(tmp_path / "plane.png"))
    assert status == 2
    assert "wanted a name such as plane.svg" in err
    path = str(tmp_path / "a.svg")
    status, _, err = run("picture", demo_file, "AT-4091", "-o", path, "--width", "12")
    assert status == 2
    assert "--width 12: wanted 320 to 4000" in err
    status, _, err = run("picture", demo_file, "AT-4092", "-o", path)
    assert status == 2
    assert "no circuit 'AT-4092'" in err
    status, _, err = run("sensitivity", demo_file, "AT-4092")
    assert status == 2
    assert "no circuit 'AT-4092'" in err
