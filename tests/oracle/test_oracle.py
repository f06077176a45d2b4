from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from oracle.oracle import judge

CASES = json.loads((Path(__file__).parent / "cases.json").read_text(encoding="utf-8"))["cases"]


@pytest.mark.parametrize("case", CASES, ids=[c["id"] for c in CASES])
def test_worked_case(case: dict[str, Any]) -> None:
    got = judge(case["inputs"])
    assert got.pop("open points") == []
    assert got == case["expected"]
