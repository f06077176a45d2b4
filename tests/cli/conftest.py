"""A demo plant on disk, once for all tests of the command line."""

from __future__ import annotations

import dataclasses

import pytest

from subspark.cli import main
from subspark.demo import build_plant
from subspark.exchange import write_plant


@pytest.fixture(autouse=True)
def _plain(monkeypatch):
    for name in ("COLUMNS", "NO_COLOR", "FORCE_COLOR", "SUBSPARK_DEBUG"):
        monkeypatch.delenv(name, raising=False)


@pytest.fixture(scope="session")
def demo_plant():
    return build_plant()


@pytest.fixture(scope="session")
def demo_file(demo_plant, tmp_path_factory):
    """The demo plant as a document: quicker to read than its workbook."""
    file = tmp_path_factory.mktemp("plants") / "demo.json"
    write_plant(demo_plant, file)
    return str(file)


@pytest.fixture(scope="session")
def undeclared_file(demo_plant, tmp_path_factory):
    """The demo plant without its declarations."""
    file = tmp_path_factory.mktemp("plants") / "undeclared.json"
    write_plant(dataclasses.replace(demo_plant, declarations=()), file)
    return str(file)


@pytest.fixture
def run(capsys):
    """Run a command: exit status, standard output, standard error."""

    def command(*arguments):
        status = main([str(one) for one in arguments])
        said = capsys.readouterr()
        return status, said.out, said.err

    return command
