"""The project keeps its own promises: version, documents, layout and floors."""

from __future__ import annotations

import argparse
import ast
import importlib.metadata
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from importlinter.cli import lint_imports

import subspark
from subspark.cli import build_parser

ROOT = Path(__file__).resolve().parent.parent
SOURCE = ROOT / "src" / "subspark"
PYPROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))

LONGEST_MODULE = 600

# What each room may import besides Python itself and the rest of Subspark. A room that is not
# named may import NumPy alone. The import contract forbids the libraries that we know of; this
# table also catches those that nobody thought of.
THIRD_PARTIES = {
    "errors": set(),
    "quantity": {"numpy", "quantiphy"},
    "marking": {"lark"},
    "exchange": {"numpy", "python_calamine", "xlsxwriter"},
    "cli": {"numpy", "rich"},
    "choose": {"highspy", "numpy"},
    "papers": {"ezdxf", "fontpkg_source_sans_3", "pikepdf", "pypdf", "typst", "xlsxwriter"},
    "store": {"django"},
    "desk": {"authlib", "django", "django_htmx", "fontTools", "ninja", "pydantic", "waitress"},
}

# Folders that only exist on somebody's machine. Written so that this very line does not match.
MACHINE_PATH = re.compile(r"(?<![\w.:/<>~)$}-])/(?:home|root|work|workspace|Users|mnt|tmp)/\w")


def files_of_the_project() -> list[Path]:
    """Every file that is or would be committed."""
    git = ["git", "-c", "safe.directory=*", "-C", str(ROOT), "ls-files", "-z"]
    listed = subprocess.run(
        [*git, "--cached", "--others", "--exclude-standard"],
        check=True,
        capture_output=True,
        encoding="utf-8",
    )
    return [file for name in listed.stdout.split("\0") if name and (file := ROOT / name).is_file()]


def pages() -> dict[str, str]:
    """Every page a user may read, by its name."""
    found = [ROOT / "README.md", ROOT / "CONTRIBUTING.md", *sorted((ROOT / "docs").rglob("*.md"))]
    return {str(page.relative_to(ROOT)): page.read_text(encoding="utf-8") for page in found}


def commands(parser: argparse.ArgumentParser) -> Iterator[str]:
    """Every command that the parser knows, as it is typed."""
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            for inner in dict.fromkeys(action.choices.values()):
                yield inner.prog
                yield from commands(inner)


def imported_by(module: Path) -> set[str]:
    """Top-level names of all that a module imports, also inside its functions."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name.partition(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
            names.add(node.module.partition(".")[0])
    return names


def distribution(requirement: str) -> str:
    """Return the name in a requirement such as ``numpy>=2,<3``."""
    name = re.match(r"[\w.-]+", requirement)
    assert name is not None
    return name.group()


def test_version_is_the_newest_of_the_changelog():
    changelog = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    newest = re.search(r"^## (\S+) - \d{4}-\d\d-\d\d$", changelog, re.MULTILINE)
    assert newest is not None, "CHANGELOG.md has no heading like '## 1.2.3 - 2026-01-31'"
    version = newest.group(1)
    assert PYPROJECT["project"]["version"] == version
    assert subspark.__version__ == version
    assert importlib.metadata.version("subspark") == version


def test_readme_gives_the_two_commands_that_do_all_set_up():
    readme = pages()["README.md"]
    assert "make demo" in readme
    assert "make test" in readme


def test_every_command_is_documented():
    known = list(commands(build_parser()))
    assert known, "build_parser() has no commands"
    text = "\n".join(pages().values())
    missing = [name for name in known if not re.search(rf"\b{re.escape(name)}\b", text)]
    assert not missing, f"name these commands in README.md or docs/: {missing}"


def test_every_dependency_has_its_reason():
    project = PYPROJECT["project"]
    wanted = [*project["dependencies"], *project["optional-dependencies"]["dev"]]
    reasons = pages()["docs/dependencies.md"].lower()
    missing = [name for item in wanted if (name := distribution(item)).lower() not in reasons]
    assert not missing, f"docs/dependencies.md does not say why: {missing}"


def test_every_ignored_lint_carries_its_reason():
    text = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    section = text[text.index("\nignore = [") : text.index("[tool.ruff.lint.mccabe]")]
    bare = [line for line in section.splitlines() if re.match(r'\s+"[A-Z]+\d*",\s*$', line)]
    assert not bare, f"say why beside each: {bare}"


@pytest.mark.parametrize("page", pages())
def test_links_between_pages_lead_somewhere(page):
    text = pages()[page]
    targets = re.findall(r"\]\(([^)\s#]+)(?:#[^)]*)?\)", text)
    here = (ROOT / page).parent
    broken = [to for to in targets if "://" not in to and not (here / to).exists()]
    assert not broken, f"{page} links to what is not there: {broken}"


def test_no_file_names_a_path_of_a_machine():
    found = []
    for file in files_of_the_project():
        try:
            text = file.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue  # a picture or a workbook
        for number, line in enumerate(text.splitlines(), 1):
            if MACHINE_PATH.search(line) or str(ROOT) in line:
                found.append(f"{file.relative_to(ROOT)}:{number}: {line.strip()[:80]}")
    assert not found, "\n".join(found)


def test_modules_are_short_enough_to_be_read():
    modules = [file for file in files_of_the_project() if file.suffix == ".py"]
    lengths = {
        str(file.relative_to(ROOT)): len(file.read_text(encoding="utf-8").splitlines())
        for file in modules
    }
    long = {name: lines for name, lines in lengths.items() if lines >= LONGEST_MODULE}
    assert not long, f"split these (fewer than {LONGEST_MODULE} lines each): {long}"


def test_import_contract_holds(monkeypatch, capsys):
    monkeypatch.chdir(ROOT)
    status = lint_imports(config_filename="pyproject.toml", no_cache=True, no_logo=True)
    assert status == 0, capsys.readouterr().out


def test_each_room_imports_only_the_third_parties_it_may():
    strangers = []
    for module in sorted(SOURCE.rglob("*.py")):
        room = module.relative_to(SOURCE).parts[0].removesuffix(".py")
        allowed = THIRD_PARTIES.get(room, {"numpy"}) | sys.stdlib_module_names | {"subspark"}
        strangers += [
            f"{module.relative_to(ROOT)} imports {name}"
            for name in sorted(imported_by(module) - allowed)
        ]
    assert not strangers, "\n".join(strangers)
