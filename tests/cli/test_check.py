"""``subspark check``: verdicts, formats, what is missing, exit status."""

from __future__ import annotations

import csv
import io
import json
import re

import pytest

from subspark.cli.check import cell
from subspark.demo import FAULTS
from subspark.rules import RULES

NOT_SAFE = re.compile(r"^[◆○] (\S+) +(Unsafe|Unproven)\. (.+?)[:,.]", re.MULTILINE)


def counts_of(plant):
    """Verdicts that the demo plant is built to have."""
    words = [one.verdict for one in FAULTS]
    safe = len(plant.circuits) - len(words)
    return {"safe": safe, "unsafe": words.count("unsafe"), "unproven": words.count("unproven")}


def test_the_demo_names_every_deliberate_fault_and_no_other(run, demo_file):
    status, out, err = run("check", demo_file)
    assert status == 1
    assert err == ""
    found = {(tag, rule.lower(), word.lower()) for tag, word, rule in NOT_SAFE.findall(out)}
    faults = {(one.tag, one.rule, one.verdict) for one in FAULTS}
    assert found < faults
    assert f"... and {len(faults) - len(found)} more that are not safe.\n" in out
    _, out, _ = run("check", demo_file, "--format", "json")
    circuits = json.loads(out)["circuits"]
    assert faults == {
        (one["tag"], one["governing"], one["verdict"])
        for one in circuits
        if one["verdict"] != "safe"
    }


def test_table_ends_with_counts_and_the_edition(run, demo_file, demo_plant):
    _, out, _ = run("check", demo_file)
    counts = ", ".join(f"{count} {word}" for word, count in counts_of(demo_plant).items())
    assert f"{len(demo_plant.circuits)} circuits: {counts}.\n" in out
    assert "By IEC 60079-14:2024 with IEC 60079-11:2023 and IEC 60079-25:2020.\n" in out


def test_a_safe_circuit_alone_ends_with_0(run, demo_file):
    status, out, _ = run("check", demo_file, "PT-1101")
    assert status == 0
    lines = out.splitlines()
    head = ["verdict", "function", "tag", "service", "area", "closest", "limit", "used"]
    assert lines[0].split() == head
    assert lines[1].startswith("● safe   ▲ works   PT-1101  ")
    assert "1 circuit: 1 safe, 0 unsafe, 0 unproven." in lines


def test_tags_are_judged_in_the_order_given_and_once(run, demo_file):
    _, out, _ = run("check", demo_file, "PT-1101", "AT-4091", "PT-1101", "--format", "csv")
    assert [row["tag"] for row in csv.DictReader(io.StringIO(out))] == ["PT-1101", "AT-4091"]


def test_only_hides_but_the_status_counts_all(run, demo_file):
    status, out, _ = run("check", demo_file, "AT-4091", "PT-1101", "--only", "safe")
    assert status == 1
    assert "PT-1101" in out
    assert "AT-4091" not in out
    assert "2 circuits: 1 safe, 1 unsafe, 0 unproven." in out


@pytest.mark.parametrize("columns", [80, 120])
def test_tables_fit_the_width(run, demo_file, monkeypatch, columns):
    monkeypatch.setenv("COLUMNS", str(columns))
    _, out, _ = run("check", demo_file)
    assert max(len(line) for line in out.splitlines()) <= columns


def test_a_pipe_gets_whole_texts_without_colour(run, demo_file):
    _, out, _ = run("check", demo_file)
    assert "tube trailer, with hand-held communicator" in out
    assert "…" not in out
    assert "\x1b" not in out


def test_another_edition_can_be_asked_for(run, demo_file):
    _, out, _ = run("check", demo_file, "PT-1101", "--code", "IEC-2013")
    assert "By IEC 60079-14:2013 with IEC 60079-11:2011 and IEC 60079-25:2020." in out


def test_json_is_the_documented_document(run, demo_file, demo_plant):
    status, out, _ = run("check", demo_file, "--format", "json")
    assert status == 1
    document = json.loads(out, parse_constant=lambda name: pytest.fail(f"{name} is no JSON"))
    assert list(document) == [
        "format", "version", "plant", "digest", "code", "curves", "counts", "function", "circuits",
    ]  # fmt: skip
    assert document["format"] == "subspark check"
    assert document["version"] == 1
    assert document["digest"] == demo_plant.digest
    assert document["counts"] == counts_of(demo_plant)
    by_tag = {one["tag"]: one for one in document["circuits"]}
    assert list(by_tag) == [one.tag for one in demo_plant.circuits]
    one = by_tag["AT-4091"]
    assert one["verdict"] == "unsafe"
    assert one["governing"] == "capacitance"
    assert one["k"] == 0.5
    assert list(one["rules"]) == [rule.name for rule in RULES]
    # 40 nF + 180 m x 95 pF/m = 57.1 nF against half of 99 nF
    said = one["rules"]["capacitance"]
    assert said["demand"] == pytest.approx(57.1e-9, rel=1e-12)
    assert said["limit"] == pytest.approx(49.5e-9, rel=1e-12)
    assert said["utilisation"] == pytest.approx(57.1 / 49.5, rel=1e-12)
    assert said["unit"] == "F"


def test_json_has_one_line_for_each_circuit(run, demo_file):
    _, out, _ = run("check", demo_file, "PT-1101", "AT-4091", "--format", "json")
    lines = [line for line in out.splitlines() if line.startswith('  {"tag"')]
    assert len(lines) == 2


def test_every_field_of_the_json_is_documented(run, undeclared_file):
    from pathlib import Path

    page = (Path(__file__).parents[2] / "docs" / "json.md").read_text(encoding="utf-8")
    _, out, _ = run("check", undeclared_file, "PT-1101", "--format", "json", "--missing")
    document = json.loads(out)
    circuit = document["circuits"][0]
    fields = {
        *document, *circuit, *circuit["rules"]["voltage"], *circuit["cases"][0],
        *document["missing"][0],
    }  # fmt: skip
    assert not [name for name in fields if f"`{name}`" not in page]


def test_csv_has_a_line_for_each_circuit(run, demo_file, demo_plant):
    _, out, _ = run("check", demo_file, "--format", "csv")
    rows = list(csv.DictReader(io.StringIO(out)))
    assert len(rows) == len(demo_plant.circuits)
    row = next(one for one in rows if one["tag"] == "AT-4091")
    assert row["verdict"] == "unsafe"
    assert float(row["utilisation"]) == pytest.approx(57.1 / 49.5, rel=1e-12)


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_csv_cells_are_no_formulas(start):
    assert cell(f"{start}HYPERLINK(1)") == f"'{start}HYPERLINK(1)"


def test_csv_leaves_numbers_and_other_texts():
    assert cell(-1.5) == "-1.5"
    assert cell("a=b") == "a=b"
    assert cell(None) == ""


def test_missing_lists_declarations_first(run, undeclared_file):
    status, out, _ = run("check", undeclared_file, "--missing", "--format", "json")
    assert status == 1
    ranked = json.loads(out)["missing"]
    first = ranked[:4]
    assert [one["how"] for one in first] == ["declaration"] * 4
    assert {one["of"] for one in first} >= {"plant"}
    unproven = json.loads(out)["counts"]["unproven"]
    assert sum(one["settles"] for one in ranked) == unproven
    assert ranked[-1]["settled"] == unproven
    assert unproven > 180


def test_missing_is_a_short_table(run, undeclared_file):
    _, out, _ = run("check", undeclared_file, "--missing")
    assert "settled  touched  what to give" in out
    assert "plant: safe side voltage: highest behind the safe terminals (declaration)" in out
    assert "more (--format csv or json lists all)." in out
    assert len(out.splitlines()) < 50


def test_missing_as_csv(run, undeclared_file):
    _, out, _ = run("check", undeclared_file, "--missing", "--format", "csv")
    rows = list(csv.DictReader(io.StringIO(out)))
    assert rows[0]["how"] == "declaration"


def test_missing_says_when_nothing_is(run, demo_file):
    _, out, _ = run("check", demo_file, "PT-1101", "--missing")
    assert "Nothing is missing: no circuit is unproven." in out
