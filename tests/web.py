"""The desk set up for tests: once in a process, on SQLite or on the database that is named.

``SUBSPARK_TEST_DATABASE`` names a PostgreSQL server's database in which a database of its own
is made for this process; without it, SQLite in a temporary folder. ``SUBSPARK_TEST_ALL=1`` makes
what is absent (Chromium, PostgreSQL) a failure instead of a skip.
"""

from __future__ import annotations

import atexit
import os
import shutil
import tempfile
from pathlib import Path

import pytest

_DONE: list[Path] = []


def absent(what: str) -> None:
    """Skip, or fail where everything is wanted."""
    if os.environ.get("SUBSPARK_TEST_ALL") == "1":
        pytest.fail(f"{what}, and SUBSPARK_TEST_ALL=1 wants everything")
    pytest.skip(what)


def _database_of_its_own(address: str) -> str:
    import psycopg

    name = f"subspark_{os.getpid()}"
    root, _, _ = address.rpartition("/")
    with psycopg.connect(address, autocommit=True) as connection:
        connection.execute(f'DROP DATABASE IF EXISTS "{name}"')
        connection.execute(f'CREATE DATABASE "{name}"')
    return f"{root}/{name}"


def set_up() -> Path:
    """Set the desk up; the folder of its data."""
    if not _DONE:
        folder = Path(tempfile.mkdtemp(prefix="subspark-tests-"))
        atexit.register(shutil.rmtree, folder, ignore_errors=True)
        _DONE.append(folder)
        named = os.environ.get("SUBSPARK_TEST_DATABASE")
        address = _database_of_its_own(named) if named else None
        os.environ.setdefault("SUBSPARK_DATA", str(folder))
        from subspark.desk.server import prepare

        prepare(folder=folder, address=address, hosts=["testserver"])
        from django.db import connections

        # Threads of tests end, and leave no connection open behind them.
        connections.settings["default"]["CONN_MAX_AGE"] = 0
    return _DONE[0]
