"""Fifty people at once for five minutes, each at her own circuits: no error, no lost update.

    python benchmarks/people.py [--people N] [--seconds N] [--pause SECONDS] [--postgres]

Starts the desk as ``subspark serve`` does and speaks HTTP with it. Everybody reads the register,
opens a circuit, tries a length, and now and then saves it; two in three save circuits that others
save too, so that conflicts happen and are resolved by saving again. Afterwards every save that was
acknowledged must be in the history, and the register must hold the verdicts of the plant.
``--postgres`` starts a PostgreSQL of its own; ``--database`` names another. A pause of 5 seconds
between two things that a person does is what 50 people at their desks come to.
"""

from __future__ import annotations

import argparse
import http.client
import os
import random
import re
import socket
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections import defaultdict
from html import unescape
from pathlib import Path
from urllib.parse import urlencode, urlsplit

from _server import add_database, database

FORM = "application/x-www-form-urlencoded"


class Person:
    """Somebody with a browser of a few lines: a connection and cookies."""

    def __init__(self, where: str, times: dict[str, list[float]], failed: list[str]) -> None:
        self.where, self.times, self.failed = where, times, failed
        self.cookies: dict[str, str] = {}
        self.saved = 0
        self.conflicts = 0
        self.line: http.client.HTTPConnection | None = None

    def ask(
        self, name: str, method: str, path: str, body: dict[str, str] | None = None
    ) -> tuple[int, str, str]:
        """Ask for a page: status, text, and where it leads."""
        data = None if body is None else urlencode(body)
        kind = {} if data is None else {"Content-Type": FORM}
        jar = "; ".join(f"{key}={text}" for key, text in self.cookies.items())
        start = time.perf_counter()
        for _ in range(2):
            if self.line is None:
                self.line = http.client.HTTPConnection(self.where, timeout=60)
            try:
                self.line.request(method, path, data, {"Cookie": jar, **kind})
                answer = self.line.getresponse()
                text = answer.read().decode()
                break
            except (http.client.HTTPException, OSError):
                self.line = None
        else:
            self.failed.append(f"{method} {path}: no answer")
            return 0, "", ""
        self.times[name].append((time.perf_counter() - start) * 1000)
        for header, value in answer.getheaders():
            if header.lower() == "set-cookie":
                key, _, held = value.partition(";")[0].partition("=")
                self.cookies[key] = held
        if answer.status >= 500:
            self.failed.append(f"{method} {path}: {answer.status}")
        return answer.status, text, answer.getheader("Location") or ""

    def enter(self, link: str) -> None:
        """Sign in by a link."""
        path = urlsplit(link).path
        _, text, _ = self.ask("sign in", "GET", path)
        self.ask("sign in", "POST", path, {"csrfmiddlewaretoken": secret_of(text)})


def secret_of(text: str) -> str:
    """The secret of the form of a page."""
    found = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', text)
    return found[1] if found else ""


def form_of(text: str) -> dict[str, str]:
    """The form of a circuit's page, as a browser would send it."""
    start = text.find('<form id="try"')
    form = text[start : text.find("</form>", start)]
    sent = {}
    for tag in re.findall(r"<input\b[^>]*>", form):
        named = re.search(r'\sname="([^"]*)"', tag)
        held = re.search(r'\svalue="([^"]*)"', tag)
        if named:
            sent[unescape(named[1])] = unescape(held[1]) if held else ""
    for name, inside in re.findall(
        r'<select[^>]*\sname="([^"]+)"[^>]*>(.*?)</select>', form, re.DOTALL
    ):
        chosen = re.search(r'value="([^"]*)" selected', inside)
        sent[name] = unescape(chosen[1]) if chosen else ""
    return sent


def work(person: Person, slug: str, tags: list[str], until: float, pause: float, seed: int) -> None:
    """What one person does until the time is up."""
    chance = random.Random(seed)
    while time.monotonic() < until:
        time.sleep(pause * chance.uniform(0.5, 1.5))
        what = chance.random()
        tag = chance.choice(tags)
        if what < 0.35:
            query = chance.choice(("q=verdict:unsafe", "q=pressure", "sort=used&down=1", ""))
            person.ask("register", "GET", f"/p/{slug}/circuits?{query}")
            continue
        page = f"/p/{slug}/circuits/{tag}"
        _, text, _ = person.ask("circuit", "GET", page)
        sent = form_of(text)
        field = next((name for name in sent if name.endswith("runs.0.length")), "0.note")
        sent[field] = f"{chance.randint(1, 300)} m"
        person.ask("try", "POST", f"{page}/try", sent)
        if what > 0.6:
            save(person, page, sent, field)


def save(person: Person, page: str, sent: dict[str, str], field: str) -> None:
    """Save, and once more on top of what somebody else has saved meanwhile."""
    mine = sent[field]
    for _ in range(20):
        status, text, _ = person.ask("save", "POST", f"{page}/save", {**sent, "why": "measured"})
        if status == 302:
            person.saved += 1
            return
        if status == 422 and "nothing was changed" in text:
            return
        if status != 409:
            person.failed.append(f"save {page}: {status}")
            return
        person.conflicts += 1
        sent = form_of(text)
        sent[field] = mine


def main() -> None:
    """Run the load."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--people", type=int, default=50)
    parser.add_argument("--seconds", type=float, default=300)
    parser.add_argument("--pause", type=float, default=5.0)
    parser.add_argument("--circuits", type=int, default=298)
    add_database(parser)
    arguments = parser.parse_args()
    with (
        tempfile.TemporaryDirectory(prefix="subspark-people-") as folder,
        database(arguments) as arguments.database,
    ):
        run(arguments, folder)


def run(arguments: argparse.Namespace, folder: str) -> None:
    """Prepare, serve, work, look."""
    from subspark.desk.server import prepare

    prepare(folder=Path(folder), address=arguments.database or None)
    from django.db import connections

    from subspark.assess import assess
    from subspark.demo import build_plant
    from subspark.store import holding, people, plants
    from subspark.store.models import VerdictRow

    row = plants.create(build_plant(), "to be worked at", None, "benchmark")
    tags = [one.tag for one in build_plant().circuits]
    links = []
    for number in range(arguments.people):
        one = people.make_person(f"worker-{row.pk}-{number}")
        people.set_role(row, one, "engineer")
        links.append(f"/enter/{people.invite(one)}")
    connections.close_all()
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "subspark", "serve", "--port", str(port), "--data", folder]
    if arguments.database:
        command += ["--database", arguments.database]
    served = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    assert served.stdout is not None
    while "Ctrl+C" not in served.stdout.readline():
        pass
    times: dict[str, list[float]] = defaultdict(list)
    failed: list[str] = []
    everybody = [Person(f"127.0.0.1:{port}", times, failed) for _ in links]
    for one, link in zip(everybody, links, strict=True):
        one.enter(link)
    until = time.monotonic() + arguments.seconds
    threads = [
        threading.Thread(target=work, args=(one, row.slug, tags, until, arguments.pause, number))
        for number, one in enumerate(everybody)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    served.terminate()
    served.wait()
    saved, conflicts = (
        sum(getattr(one, name) for one in everybody) for name in ("saved", "conflicts")
    )
    load = os.getloadavg()[0]
    print(
        f"{arguments.people} people, {arguments.seconds:.0f} s, {plants.backend()}, "
        f"load {load:.1f}:"
    )
    for name, held in times.items():
        held.sort()
        at95 = held[int(len(held) * 0.95)] if len(held) > 1 else held[0]
        print(
            f"  {name:<10} {len(held):6,} times, median {statistics.median(held):7.1f} ms, "
            f"95 % {at95:7.1f} ms"
        )
    print(f"  {saved:,} saved, {conflicts:,} conflicts resolved, {len(failed)} errors")
    row.refresh_from_db()
    holding._SLOTS.clear()
    wrong = plants.verify(row.pk) + failed[:5]
    if row.revision != saved + 1:
        wrong.append(f"{saved} saves were acknowledged, the history has {row.revision - 1}")
    judged = {one.tag: int(one.verdict) for one in assess(plants.whole(row.pk)).summaries()}
    kept = dict(VerdictRow.objects.filter(plant=row).values_list("tag", "verdict"))
    if judged != kept:
        wrong.append("the register does not hold the verdicts of the plant")
    connections.close_all()
    if wrong:
        raise SystemExit("\n".join(wrong))


if __name__ == "__main__":
    main()
