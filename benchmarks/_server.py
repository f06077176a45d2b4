"""The database of a benchmark: SQLite, one given by its address, or a PostgreSQL of its own."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

__all__ = ["add_database", "database"]


def add_database(parser: argparse.ArgumentParser) -> None:
    """The two options that choose a database."""
    parser.add_argument("--database", default="", help="the address of an empty database")
    parser.add_argument(
        "--postgres", action="store_true", help="a PostgreSQL of its own, as the tests start one"
    )


@contextmanager
def database(arguments: argparse.Namespace) -> Iterator[str]:
    """The address chosen; blank for SQLite. A server of its own ends afterwards."""
    if not arguments.postgres:
        yield arguments.database
        return
    sys.path.append(str(Path(__file__).resolve().parents[1] / "tests"))
    import postgres

    programs = postgres.programs()
    if programs is None:
        raise SystemExit("no PostgreSQL server on this machine (Debian: postgresql)")
    with postgres.serving(programs) as address:
        yield address
