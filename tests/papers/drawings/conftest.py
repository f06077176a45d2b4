"""The demo plants, judged once."""

from __future__ import annotations

import pytest

from subspark.assess import Assessment, assess
from subspark.demo import build_division_plant, build_plant


@pytest.fixture(scope="session")
def station() -> Assessment:
    return assess(build_plant())


@pytest.fixture(scope="session")
def division() -> Assessment:
    return assess(build_division_plant())
