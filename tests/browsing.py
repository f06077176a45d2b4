"""A real browser before a desk that is served: fixtures for the tests of journeys and pages."""

from __future__ import annotations

import os
import shutil
import threading
from dataclasses import dataclass, field
from urllib.parse import urlsplit

import pytest

import web

PLACES = ("chromium", "chromium-browser", "google-chrome")
FLAGS = [
    *("--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"),
    *("--disable-background-networking", "--disable-component-update", "--disable-sync"),
]

PATIENCE = 40_000  # ms: the first page of a process loads libraries, on a machine that is busy


@pytest.fixture(scope="module")
def chromium():
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"  # the browser's loop runs in this thread
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        web.absent("playwright is not installed")
    named = os.environ.get("SUBSPARK_CHROMIUM")
    path = named or next(filter(None, map(shutil.which, PLACES)), None)
    if path is None:
        web.absent("no Chromium on this machine (SUBSPARK_CHROMIUM names one)")
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=path, args=FLAGS)
        yield browser
        browser.close()
    os.environ.pop("DJANGO_ALLOW_ASYNC_UNSAFE", None)


@pytest.fixture(scope="module")
def address():
    """The desk, served as ``subspark serve`` does."""
    import waitress
    from waitress import wasyncore

    from subspark.desk.server import application
    from subspark.store.jobs import Worker

    sockets = {}
    server = waitress.create_server(application(), sockets, host="127.0.0.1", port=0, threads=4)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    worker = Worker()
    worker.start()
    yield f"http://127.0.0.1:{server.effective_port}"
    worker.stop()
    server.task_dispatcher.shutdown()
    # Closed by the loop itself: from here it might be waiting on what is closed.
    server.trigger.pull_trigger(lambda: wasyncore.close_all(sockets))
    thread.join(10)
    assert not thread.is_alive()


@dataclass
class Seat:
    """A browser in which somebody has signed in, and what it noted."""

    page: object
    address: str
    noted: list = field(default_factory=list)

    def go(self, path):
        answer = self.page.goto(self.address + path)
        assert answer.ok, path
        return answer


@pytest.fixture
def seat(chromium, address):
    contexts = []

    def sit(who, **how):
        from subspark.store import people

        context = chromium.new_context(**{"viewport": {"width": 1280, "height": 900}, **how})
        context.set_default_timeout(PATIENCE)
        contexts.append(context)
        one = Seat(context.new_page(), address)
        one.page.on("console", lambda told: one.noted.append(f"{told.type}: {told.text}"))
        one.page.on("pageerror", lambda error: one.noted.append(str(error)))
        host = urlsplit(address).netloc
        one.page.on(
            "request",
            lambda asked: (
                None
                if urlsplit(asked.url).netloc == host
                else one.noted.append(f"asked another host: {asked.url}")
            ),
        )
        one.go(f"/enter/{people.invite(who)}")
        one.page.click("button.go")
        one.page.wait_for_url(lambda now: "/enter/" not in now)
        return one

    yield sit
    for context in contexts:
        context.close()


def expecting(locator):
    from playwright.sync_api import expect

    expect.set_options(timeout=PATIENCE)
    return expect(locator)
