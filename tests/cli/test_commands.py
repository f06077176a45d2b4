"""The other commands, and everything that can go wrong with input."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from subspark.cli import build_parser, main
from subspark.cli.catalogue import WORDS
from subspark.exchange import json_schema, read_plant
from subspark.rules import CODES, RULES, code

BIN = Path(sys.executable).parent
COMMAND = [sys.executable, "-m", "subspark"]


def test_version(run):
    status, out, _ = run("--version")
    assert status == 0
    assert out == "subspark 0.1.0\n"


def test_help_names_every_command(run):
    status, out, _ = run("--help")
    assert status == 0
    for name in ("new", "check", "explain", "rules", "demo", "schema", "marking"):
        assert f"    {name} " in out
    assert max(len(line) for line in out.splitlines()) <= 80


def test_every_command_and_option_is_on_the_page_of_commands():
    page = (Path(__file__).parents[2] / "docs" / "commands.md").read_text(encoding="utf-8")
    for action in build_parser()._subparsers._group_actions[0].choices.values():
        assert f"## {action.prog}" in page
        for option in action._actions:
            for name in option.option_strings:
                assert name in page or name in ("-h", "--help"), f"{action.prog} {name}"


def test_new_writes_a_workbook_that_can_be_read(run, tmp_path):
    file = tmp_path / "plant.xlsx"
    status, out, _ = run("new", file)
    assert status == 0
    assert out.startswith(f"{file} written: an empty plant workbook.\n")
    assert read_plant(file).circuits == ()


def test_new_refuses_to_replace_unless_forced(run, tmp_path):
    file = tmp_path / "plant.xlsx"
    file.write_text("mine", encoding="utf-8")
    status, _, err = run("new", file)
    assert status == 2
    assert err == f"subspark: {file}: is there already; --force replaces it\n"
    assert file.read_text(encoding="utf-8") == "mine"
    assert run("new", file, "--force")[0] == 0
    assert file.read_bytes().startswith(b"PK")


def test_an_empty_plant_is_no_proof(run, tmp_path):
    file = tmp_path / "plant.xlsx"
    run("new", file)
    status, _, err = run("check", file)
    assert status == 2
    assert err == f"subspark: {file}: has no circuits yet, so there is nothing to judge\n"


def test_demo_writes_its_files_and_may_be_run_again(run, tmp_path, demo_plant):
    for _ in range(2):
        status, out, _ = run("demo", tmp_path)
        assert status == 0
    assert sorted(one.name for one in tmp_path.iterdir()) == [
        "division.xlsx",
        "larkfen.json",
        "larkfen.xlsx",
        "story.md",
    ]  # fmt: skip
    assert f"  subspark check {tmp_path / 'larkfen.xlsx'}\n" in out
    assert read_plant(tmp_path / "larkfen.json") == demo_plant
    story = (tmp_path / "story.md").read_text("utf-8")
    assert "| AT-4091 | capacitance | unsafe |" in story
    assert "| XV-4581 | pull-in current |" in story


def test_demo_refuses_a_file_for_a_folder(run, tmp_path):
    file = tmp_path / "taken"
    file.touch()
    status, _, err = run("demo", file)
    assert status == 2
    assert err == f"subspark: {file}: is a file; wanted a folder, or a name for a new one\n"


def test_schema_is_that_of_plant_documents(run):
    status, out, _ = run("schema")
    assert status == 0
    assert json.loads(out) == json_schema()


def test_rules_in_every_format(run):
    plain = run("rules")[1]
    markdown = run("rules", "--format", "markdown")[1]
    document = json.loads(run("rules", "--format", "json")[1])
    assert list(document["codes"]) == list(CODES)
    for rule, told in zip(RULES, document["rules"], strict=True):
        assert told["clauses"] == {name: code(name).clause(rule.name) for name in CODES}
        assert f"\n## {rule.name}\n" in markdown
        assert rule.remedy.split(",")[0] in plain


def test_every_input_of_a_rule_has_words():
    assert not {name for rule in RULES for name in rule.needs} - WORDS.keys()


def test_marking_shows_its_facts(run):
    status, out, _ = run("marking", "II 1 G Ex ia IIC T4 Ga")
    assert status == 0
    facts = dict(line.split(maxsplit=1) for line in out.splitlines() if line.startswith("  "))
    assert facts["level"] == "ia"
    assert facts["group"] == "IIC"
    assert facts["temperature"] == "T4"
    assert facts["EPL"] == "Ga"


def test_marking_points_at_the_offending_part(run):
    status, out, err = run("marking", "Ex ia IIX T4")
    assert status == 2
    assert out == ""
    assert err == (
        "subspark: there is no group IIX; wanted I, IIA, IIB, IIC, IIIA, IIIB or IIIC\n"
        "  Ex ia IIX T4\n"
        "        ^^^\n"
    )


BAD_FILES = {
    "text.json": b"not JSON",
    "list.json": b"[]",
    "number.json": b"12",
    "null.json": b"null",
    "wrong.json": b'{"circuits": 3}',
    "half.json": b'{"name": "x", ',
    "bytes.json": b"\xff\xfe\x00",
    "empty.json": b"",
    "empty.xlsx": b"",
    "text.xlsx": b"tag,service",
    "cut.xlsx": b"PK\x03\x04" + bytes(40),
    "text.ods": b"tag",
    "old.xls": b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1",
    "table.csv": b"tag,service",
    "no-suffix": b"x",
}


@pytest.mark.parametrize("name", BAD_FILES)
@pytest.mark.parametrize("command", ["check", "explain"])
def test_a_bad_file_ends_with_2_and_a_message_without_traceback(run, tmp_path, name, command):
    file = tmp_path / name
    file.write_bytes(BAD_FILES[name])
    status, out, err = run(command, file, *(["X"] if command == "explain" else []))
    assert status == 2
    assert out == ""
    assert err.startswith("subspark: ")
    assert name in err
    assert "Traceback" not in err


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["check", "{dir}/nothing.xlsx"], "there is no such file"),
        (["check", "{dir}"], "cannot read this kind of file"),
        (["check", "{demo}", "--code", "IEC-1066"], "no code 'IEC-1066'; wanted one of IEC-2013"),
        (["check", "{demo}", "NO-1"], "no circuit 'NO-1' in plant"),
        (["check", "{demo}", ""], "no circuit '' in plant"),
        (["explain", "{demo}", "NO-1"], "no circuit 'NO-1' in plant"),
        (["new", "{dir}/no/such/folder/p.xlsx"], "its folder does not exist"),
        (["new", "{dir}/plant.txt"], "a workbook is written as .xlsx"),
        (["marking", ""], ""),
        (["marking", "nonsense"], ""),
        ([], "the following arguments are required: COMMAND"),
        (["frobnicate"], "invalid choice: 'frobnicate'"),
        (["check"], "the following arguments are required: PLANT"),
        (["check", "{demo}", "--format", "pdf"], "invalid choice: 'pdf'"),
        (["check", "{demo}", "--nope"], "unrecognized arguments: --nope"),
    ],
)
def test_bad_input_ends_with_2_and_says_what_is_wanted(
    run, tmp_path, demo_file, arguments, message
):
    filled = [one.format(dir=tmp_path, demo=demo_file) for one in arguments]
    status, out, err = run(*filled)
    assert status == 2
    assert out == ""
    assert message in err
    assert "Traceback" not in err


def broken(error):
    def command(_):
        raise error

    return command


@pytest.mark.parametrize(
    ("error", "status", "message"),
    [
        (KeyboardInterrupt(), 130, "subspark: interrupted\n"),
        (
            PermissionError(13, "Permission denied", "plant.xlsx"),
            2,
            "subspark: plant.xlsx: permission denied\n",
        ),
        (
            ZeroDivisionError("division by zero"),
            70,
            (
                "subspark: an error of subspark itself, please report it: ZeroDivisionError: "
                "division by zero (SUBSPARK_DEBUG=1 shows where)\n"
            ),
        ),
    ],
)
def test_what_goes_wrong_inside_is_one_line(run, monkeypatch, error, status, message):
    monkeypatch.setattr("subspark.cli.files.schema", broken(error))
    assert run("schema") == (status, "", message)


def test_an_error_of_ours_shows_where_only_when_asked(monkeypatch):
    monkeypatch.setattr("subspark.cli.files.schema", broken(ZeroDivisionError()))
    monkeypatch.setenv("SUBSPARK_DEBUG", "1")
    with pytest.raises(ZeroDivisionError):
        main(["schema"])


@pytest.mark.slow
def test_a_closed_pipe_is_no_error(demo_file):
    process = subprocess.Popen(
        [*COMMAND, "check", demo_file, "--format", "json"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    process.stdout.read(10)
    process.stdout.close()
    said = process.stderr.read()
    process.stderr.close()
    assert process.wait() == 0
    assert said == b""


@pytest.mark.slow
def test_an_encoding_without_glyphs_gets_plain_ones(demo_file):
    done = subprocess.run(
        [*COMMAND, "check", demo_file, "AT-4091", "PT-1101"],
        capture_output=True,
        env={**os.environ, "PYTHONIOENCODING": "latin-1"},
        check=False,
    )
    said = done.stdout.decode("latin-1")
    assert "X unsafe" in said
    assert "+ safe" in said
    assert "##########" in said
    assert done.stderr == b""
