"""The same tests on a real PostgreSQL, in a process of their own."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

import postgres
import web

ROOT = Path(__file__).resolve().parents[2]

# What looks at pages or plain objects only is the same on any database.
LEFT_OUT = " and ".join(
    f"not {name}"
    for name in (
        *("every_page", "hard_to_read", "of_the_door", "theme", "test_access", "test_forms"),
        *("ledger", "schema", "dossier", "papers", "wrong_password"),
        *("fonts", "fewest", "plane_follows", "does_not_hold"),
    )
)


@pytest.mark.slow
@pytest.mark.skipif("SUBSPARK_TEST_DATABASE" in os.environ, reason="this is PostgreSQL already")
def test_store_and_desk_pass_on_postgresql_too():
    programs = postgres.programs()
    if programs is None:
        web.absent("no PostgreSQL server on this machine (Debian: postgresql)")
    with postgres.serving(programs) as address:
        told = subprocess.run(
            [
                *(sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-p", "no:xdist"),
                *("tests/store", "tests/desk", "-k", LEFT_OUT),
            ],
            cwd=ROOT,
            env={**os.environ, "SUBSPARK_TEST_DATABASE": address},
            check=False,
            capture_output=True,
            text=True,
            timeout=1200,
        )
    assert told.returncode == 0, told.stdout[-6000:]
    passed = re.search(r"(\d+) passed", told.stdout)
    assert passed is not None
    assert int(passed[1]) > 120
