"""``subspark new``, ``demo`` and ``schema``: files to begin with."""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from subspark.errors import UsageError

__all__ = ["demo", "new", "schema"]

_STORY = """\
# {name}

An invented plant: every area, maker, certificate and figure of it is made up. It has {count}
circuits, kept the way a good plant is kept, so that all of them are safe, but for these
deliberate faults. `subspark check {book}` finds each of them and no other;
`subspark explain {book} TAG` shows why.

{faults}
## Safe, and not working

These circuits are safe and do not work: another question, and another column of
`subspark check {book}`. `--only failing` shows them alone.

{function}
# {division}

A smaller invented plant by Class and Division, in feet and AWG: {division_count} circuits in
`{division_book}`.

{division_faults}"""


def new(arguments: argparse.Namespace) -> int:
    """Write an empty workbook."""
    from subspark.exchange import write_empty

    path = Path(arguments.file)
    if path.suffix.lower() != ".xlsx":
        raise UsageError(
            f"{path}: a workbook is written as .xlsx; wanted a name such as plant.xlsx"
        )
    if path.exists() and not arguments.force:
        raise UsageError(f"{path}: is there already; --force replaces it")
    write_empty(path)
    print(f"{path} written: an empty plant workbook.")
    print("Its first sheet says how to fill it in. Then: subspark check", path)
    return 0


def demo(arguments: argparse.Namespace) -> int:
    """Write the demo plant, anew where it is there already."""
    from subspark.demo import (
        FAULTS,
        FUNCTION_FAULTS,
        build_division_plant,
        build_plant,
        division_markdown,
        faults_markdown,
        function_markdown,
    )
    from subspark.exchange import write_plant

    folder = Path(arguments.folder)
    if folder.exists() and not folder.is_dir():
        raise UsageError(f"{folder}: is a file; wanted a folder, or a name for a new one")
    folder.mkdir(parents=True, exist_ok=True)
    plant = build_plant()
    book, document, story = (folder / name for name in ("larkfen.xlsx", "larkfen.json", "story.md"))
    write_plant(plant, book)
    write_plant(plant, document)
    american, american_book = build_division_plant(), folder / "division.xlsx"
    write_plant(american, american_book)
    told = _STORY.format(
        name=plant.name,
        count=len(plant.circuits),
        book=book.name,
        faults=faults_markdown(),
        function=function_markdown(),
        division=american.name,
        division_count=len(american.circuits),
        division_book=american_book.name,
        division_faults=division_markdown(),
    )
    story.write_text(told, encoding="utf-8")
    print(f"The demo plant is in {folder}: {plant.name}, {len(plant.circuits)} circuits.")
    print(f"  {book}   the workbook")
    print(f"  {document}   the same as one JSON document")
    print(
        f"  {story}       its {len(FAULTS)} faults of safety and {len(FUNCTION_FAULTS)} of function"
    )
    print(f"  {american_book} a smaller plant by Class and Division, in feet and AWG")
    print("Next:")
    print(f"  subspark check {book}")
    print(f"  subspark explain {book} {FAULTS[0].tag}")
    return 0


def schema(_: argparse.Namespace) -> int:
    """Print the JSON Schema of a plant document."""
    from subspark.exchange import json_schema

    print(json.dumps(json_schema(), ensure_ascii=False, indent=2))
    return 0
