"""A writer that is killed in the middle of its writes: nothing acknowledged is lost, none half.

``benchmarks/killed.py`` does the same fifty times.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

SCRIPT = Path(__file__).resolve().parents[2] / "benchmarks" / "killed.py"


@pytest.mark.slow
def test_nothing_acknowledged_is_lost_when_the_writer_is_killed(tmp_path):
    command = [sys.executable, str(SCRIPT), "--times", "3", "--seed", "7"]
    named = os.environ.get("SUBSPARK_TEST_DATABASE")
    if named:
        command += ["--database", named]
    told = subprocess.run(
        command,
        cwd=tmp_path,
        env={**os.environ, "TMPDIR": str(tmp_path)},
        check=False,
        capture_output=True,
        text=True,
        timeout=300,
    )
    assert told.returncode == 0, told.stderr[-2000:]
    assert int(re.search(r"([\d,]+) changes acknowledged", told.stdout)[1].replace(",", "")) > 0
