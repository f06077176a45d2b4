"""The demo plants, judged once."""

from __future__ import annotations

import pytest

from subspark.assess import Assessment


@pytest.fixture(scope="session")
def station(larkfen: Assessment) -> Assessment:
    return larkfen


@pytest.fixture(scope="session")
def division(alder_creek: Assessment) -> Assessment:
    return alder_creek
