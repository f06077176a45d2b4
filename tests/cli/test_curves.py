"""The command ``curves``: own tables are checked, kept, named in results, and never half-kept."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from subspark.cli import main
from subspark.demo import build_plant
from subspark.exchange import write_plant

TABLE = """voltage_V,group,safety_factor,current_mA,capacitance_uF
20,IIC,1.5,300,0.22
28,IIC,1.5,118,0.080
20,IIB,1.5,1000,1.4
28,IIB,1.5,490,0.62
20,IIA,1.5,1300,5.5
28,IIA,1.5,650,2.1
"""


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A data folder of its own."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    return tmp_path


def test_load_show_reset(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A table is kept under its name until reset (own layout)."""
    file = home / "ours.csv"
    file.write_text(TABLE)
    load = ["curves", "load", str(file), "--name", "our print", "--factors", "1.5"]
    assert main(load) == 0
    assert "our print" in capsys.readouterr().out
    assert main(["curves"]) == 0
    assert "our print" in capsys.readouterr().out
    assert main(["curves", "reset"]) == 0
    assert "our print" not in capsys.readouterr().out


def test_results_name_the_table(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Every result says which table it leaned on, and a sharper table changes verdicts."""
    plant = home / "plant.json"
    write_plant(build_plant(), plant)
    main(["check", str(plant), "--format", "json"])
    ours = json.loads(capsys.readouterr().out)
    file = home / "ours.csv"
    file.write_text(TABLE.replace("0.080", "0.010"))
    assert main(["curves", "load", str(file), "--name", "our print", "--factors", "1.5"]) == 0
    capsys.readouterr()
    main(["check", str(plant), "--format", "json"])
    theirs = json.loads(capsys.readouterr().out)
    assert theirs["curves"] == "our print"
    assert ours["curves"] != "our print"
    assert theirs["counts"]["safe"] < ours["counts"]["safe"]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (("118", "320"), "320"),
        (("0.080", "-1"), "-1"),
        (("0.62", "0.05"), "0.05"),
        (("28,IIC", "28,IIX"), "IIX"),
        (("voltage_V", "volts"), "voltage_V"),
    ],
)
def test_unfit_tables_are_refused(
    home: Path, capsys: pytest.CaptureFixture[str], change: tuple[str, str], said: str
) -> None:
    """Rising, negative, disordered or unnamed values: one message, nothing kept."""
    file = home / "bad.csv"
    file.write_text(TABLE.replace(*change))
    assert main(["curves", "load", str(file), "--factors", "1.5"]) == 2
    assert said in capsys.readouterr().err
    assert not (home / "data" / "subspark" / "curves.csv").exists()


def test_a_kept_table_that_was_changed_is_refused(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A table tampered with after loading is told, not used and not passed over."""
    file = home / "ours.csv"
    file.write_text(TABLE)
    assert main(["curves", "load", str(file), "--factors", "1.5"]) == 0
    kept = home / "data" / "subspark" / "curves.csv"
    kept.write_text(TABLE.replace("118", "117"))
    assert main(["curves"]) == 2
    assert "was changed" in capsys.readouterr().err
    assert main(["curves", "reset"]) == 0


def test_load_wants_a_file(capsys: pytest.CaptureFixture[str]) -> None:
    """A missing operand or file gives one clear line."""
    assert main(["curves", "load"]) == 2
    assert "wanted a FILE" in capsys.readouterr().err
    assert main(["curves", "load", "nowhere.csv"]) == 2
    assert "nowhere.csv" in capsys.readouterr().err
