"""Write the pages of ``docs/`` that the program itself knows best.

    python tools/pages.py            write them
    python tools/pages.py --check    say which are stale, and end with 1 if any is

A generated page is never edited by hand: change the code, then run ``make docs``.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
DOCS = ROOT / "docs"


def said_by(*arguments: str) -> str:
    """Return what ``subspark`` prints for these arguments, plain and 100 columns wide."""
    command = Path(sys.executable).parent / "subspark"
    plain = {**os.environ, "COLUMNS": "100", "NO_COLOR": "1", "PYTHONUTF8": "1"}
    done = subprocess.run(
        [command, *arguments],
        check=True,
        stdout=subprocess.PIPE,
        stdin=subprocess.DEVNULL,
        encoding="utf-8",
        env=plain,
    )
    return "\n".join(line.rstrip() for line in done.stdout.splitlines()).strip() + "\n"


def rules() -> str:
    """Return the catalogue of rules as a page."""
    return (
        "<!-- Written by tools/pages.py from the rules themselves; do not edit. -->\n"
        "# Rules\n\n"
        "Every rule, as `subspark rules` prints it: what it says, its relation, what it needs to "
        "know, what to do where it fails, and its clause in each edition. Clauses are cited from "
        "memory: the printed standard decides. A rule of sort *quantity* has a utilisation, "
        "demand / limit; one of sort *suitability* holds or does not.\n\n"
        f"{said_by('rules', '--format', 'markdown')}"
    )


def function() -> str:
    """Return the rules of function and their figures as a page."""
    return (
        "<!-- Written by tools/pages.py from the rules themselves; do not edit. -->\n"
        "# Does the circuit work?\n\n"
        "Function is judged beside safety and never merged with it: a circuit has a verdict of "
        "safety (*safe*, *unsafe*, *unproven*) and another of function (*works*, *fails*, "
        "*unproven*). Each rule compares a demand with a limit at the worst corner: supply low, "
        "resistance high, conductors hot, tolerances against the circuit, and the other way round "
        "where that hurts; the nominal is shown beside it. A figure that is not known leaves "
        "function unproven and touches nothing else. Figures stand on sheet *Function* of the "
        "workbook, one a row, with their tolerance: `24 V ± 10 %`, `21.6 to 28.8 V`, "
        "`<= 340 ohm`. A bare figure is taken as exact, and that is told as an assumption. "
        "A circuit's own figures come before those of its items; `supply voltage`, "
        "`load resistance`, `load place`, `input limit voltage`, `conductor temperature`, `HART` "
        "and `margin` may also be declared for a plant, an area, a cabinet or a source.\n\n"
        "Levels and formulas are from memory of the standards named and from common practice: "
        "data sheets, the printed standards and a competent person decide.\n\n"
        f"{said_by('rules', '--function', '--format', 'markdown')}"
    )


def schema() -> str:
    """Return the JSON Schema of a plant document."""
    return said_by("schema")


def workbook() -> str:
    """Return the sheets and columns of the plant workbook as a page."""
    from subspark.exchange.pages import workbook_page

    return workbook_page()


PAGES: dict[str, Callable[[], str]] = {
    "rules.md": rules,
    "function.md": function,
    "workbook.md": workbook,
    "plant.schema.json": schema,
}


def main() -> int:
    """Write or check every generated page."""
    parser = argparse.ArgumentParser(description="Write the generated pages of docs/.")
    parser.add_argument("--check", action="store_true", help="write nothing; fail if one is stale")
    check_only: bool = parser.parse_args().check
    stale = 0
    for name, page in PAGES.items():
        file = DOCS / name
        fresh = page()
        if file.exists() and file.read_text(encoding="utf-8") == fresh:
            continue
        if check_only:
            print(f"docs/{name} is stale: run `make docs`", file=sys.stderr)
            stale += 1
        else:
            file.write_text(fresh, encoding="utf-8")
            print(f"docs/{name} written")
    return 1 if stale else 0


if __name__ == "__main__":
    sys.exit(main())
