"""Every test here has the desk set up, and leaves no connection open."""

from __future__ import annotations

import pytest

import web
from browsing import address, chromium, seat  # noqa: F401 - fixtures


@pytest.fixture(scope="session", autouse=True)
def _desk():
    pytest.importorskip("django", reason="the desk's parts are not installed")
    web.set_up()
    yield
    from django.db import connections

    connections.close_all()
