"""Longest runs and changes from the command line: read back, ended and refused."""

from __future__ import annotations

import csv
import io
import json

import pytest

from subspark.exchange import read_plant


def test_longest_tells_length_and_what_binds(run, demo_file):
    status, out, _ = run("longest", demo_file, "AT-4091")
    assert status == 0
    # (49.5 nF - 40 nF) / 95 pF/m = 100 m: half of 99 nF, by the lumped rule
    assert "AT-4091" in out
    assert "100 m" in out
    assert "capacitance" in out


def test_longest_as_json_and_csv(run, demo_file):
    _, out, _ = run("longest", demo_file, "AT-4091", "--format", "json")
    (one,) = json.loads(out)["circuits"]
    assert one["length"] == 100.0
    assert one["now"] == 180.0
    assert one["left"] == -80.0
    assert one["binds"] == "capacitance"
    _, out, _ = run("longest", demo_file, "AT-4091", "--format", "csv")
    (row,) = csv.DictReader(io.StringIO(out))
    assert float(row["length"]) == 100.0


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--run", "1"), "subspark: --run goes with one TAG\n"),
        (
            ("AT-4091", "--run", "9"),
            "subspark: --run 9: AT-4091 has 1 runs; wanted 1 to 1\n",
        ),
    ],
)
def test_longest_refuses_runs_that_are_not_there(run, demo_file, options, said):
    status, _, err = run("longest", demo_file, *options)
    assert status == 2
    assert err == said


def test_a_change_is_tried_written_and_applied(run, demo_file, tmp_path):
    change, target = tmp_path / "change.json", tmp_path / "after.json"
    place = "circuits/PT-1101/runs/1/length"
    status, out, _ = run(
        "whatif", demo_file, "--set", f"{place}=900 m", "-o", change, "--why", "as measured"
    )
    assert status == 1
    assert "circuits / PT-1101 / runs / 1 / length: 210 m becomes 900 m" in out
    assert "1 worse, 0 better, 1 differ." in out
    assert json.loads(change.read_text(encoding="utf-8"))["why"] == "as measured"
    status, out, _ = run("apply", demo_file, change, "-o", target)
    assert status == 0
    assert read_plant(target).circuit("PT-1101").runs[0].length.text == "900 m"
    status, _, err = run("apply", target, change, "-o", tmp_path / "again.json")
    assert status == 2
    assert "holds 900 m now; the change was made where it held 210 m" in err
    status, _, err = run("apply", demo_file, change, "-o", target)
    assert status == 2
    assert "is there already" in err


def test_a_change_in_json(run, demo_file):
    status, out, _ = run(
        "whatif", demo_file, "--set", "circuits/PT-1101/runs/1/length=800 m", "--format", "json"
    )
    assert status == 0
    found = json.loads(out)
    assert found["worse"] == []
    (one,) = found["differences"]
    # (800 + 180 m) x capacitance and apparatus against Co: safe still, and nearer to it
    assert one["after"]["governing"] == "capacitance"
    assert 0.0 < one["after"]["margin"] < one["before"]["margin"]


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ((), "nothing to change; wanted --set PLACE=VALUE or --change FILE"),
        (("--set", "x"), "--set 'x': wanted PLACE=VALUE, such as"),
        (("--set", "circuits/NO-1/service=x"), "circuits: 'NO-1' is not there"),
        (("--change", "none.json"), "none.json: cannot be read: No such file or directory"),
    ],
)
def test_a_bad_change_gets_one_message(run, demo_file, options, said):
    status, _, err = run("whatif", demo_file, *options)
    assert status == 2
    assert said in err
    assert "Traceback" not in err
