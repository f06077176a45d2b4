"""The desk on a large plant: server time of a change, a try, a revised certificate, a page.

    python benchmarks/desk.py [--circuits N] [--register N] [--database URL]

Every request goes through the whole of Django (middleware, session, CSRF aside) in this process;
the network is not counted. A bare view that writes one row with the same middleware stands beside.
"""

from __future__ import annotations

import argparse
import dataclasses
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from urllib.parse import urlencode

from subspark.demo import build_plant
from subspark.model import Plant

ROUNDS = 60


def many(count: int) -> Plant:
    """A plant of so many circuits: the demo's again and again, each copy with cables of its own."""
    base = build_plant()
    circuits = []
    copy = 0
    while len(circuits) < count:
        for one in base.circuits:
            runs = tuple(
                dataclasses.replace(run, number=f"{run.number}-{copy}" if run.number else "")
                for run in one.runs
            )
            uses = tuple(
                dataclasses.replace(use, tag=f"{use.tag}-{copy}" if use.tag else "")
                for use in one.sources
            )
            circuits.append(
                dataclasses.replace(one, tag=f"{one.tag}-{copy}", runs=runs, sources=uses)
            )
        copy += 1
    circuits = circuits[:count]
    tags = {one.tag for one in circuits}
    declared = tuple(one for one in base.declarations if one.scope != "circuit" or one.of in tags)
    return dataclasses.replace(base, circuits=tuple(circuits), declarations=declared)


def measured(name: str, work: Callable[[int], object], rounds: int = ROUNDS) -> list[float]:
    """Median and 95th percentile of some work."""
    times = []
    for number in range(rounds):
        start = time.perf_counter()
        work(number)
        times.append((time.perf_counter() - start) * 1000)
    times = times[3:] if len(times) > 10 else times  # the first warm caches
    last = sorted(times)[int(len(times) * 0.95)] if len(times) > 1 else times[0]
    print(f"{name:<58} median {statistics.median(times):8.1f} ms   95 % {last:8.1f} ms")
    return times


def main() -> None:
    """Run the benchmark."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--circuits", type=int, default=10_000)
    parser.add_argument("--register", type=int, default=100_000)
    parser.add_argument("--database")
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="subspark-bench-") as folder:
        run(arguments, Path(folder))
        from django.db import connections

        connections.close_all()


def run(arguments: argparse.Namespace, folder: Path) -> None:
    """Measure."""
    from subspark.desk.server import prepare

    prepare(folder=folder, address=arguments.database, hosts=["testserver"])
    from django.http import HttpResponse
    from django.test import Client
    from django.urls import path, reverse

    from subspark.desk import urls
    from subspark.store import people, plants
    from subspark.store.models import Attempt, VerdictRow

    def bare(_request: object) -> HttpResponse:
        Attempt.objects.create(name="bare", place="here")
        return HttpResponse("written")

    urls.urlpatterns.append(path("bare", bare))
    print(f"{plants.backend()}, Python {sys.version.split()[0]}")
    start = time.perf_counter()
    row = plants.create(many(arguments.circuits), "benchmark", None, "benchmark")
    plants.rejudge(row.pk)
    took = time.perf_counter() - start
    print(f"{arguments.circuits:,} circuits taken in and judged: {took:.1f} s")
    someone = people.make_person("benchmark", keeper=True)
    browser = Client()
    browser.force_login(someone, backend="django.contrib.auth.backends.ModelBackend")
    with plants.held(row.pk) as ledger:
        tags = list(ledger.records["circuits"])[:: max(1, arguments.circuits // ROUNDS)]
    form = Forms(browser, row.slug)

    def save(number: int) -> None:
        tag = tags[number % len(tags)]
        answer = form.send("circuit-save", tag, {"why": "measured"}, f"{101 + number}.25 m")
        assert answer.status_code == 302, answer.text[answer.text.find("problem") :][:600]

    def attempt(number: int) -> None:
        answer = form.send("circuit-try", tags[number % len(tags)], {}, f"{301 + number}.25 m")
        assert answer.status_code == 200

    form.learn(tags[:ROUNDS])
    written = measured("one row written by a bare view", lambda _: browser.post("/bare"))
    changed = measured("one length changed, verdicts renewed", save)
    ratio = statistics.median(changed) / statistics.median(written)
    print(f"{'  times the bare view':<58} median {ratio:8.1f}")
    measured("one length tried", attempt)
    page = reverse("circuit", args=[row.slug, tags[0]])
    measured("the page of a circuit", lambda _: browser.get(page))
    home = reverse("plant", args=[row.slug])
    measured("the first page of the plant", lambda _: browser.get(home), 10)

    revise(row, someone)
    register(arguments.register, browser, VerdictRow, reverse)


class Forms:
    """The forms of circuits as pages gave them, to be sent back with another length."""

    def __init__(self, browser: object, slug: str) -> None:
        self.browser, self.slug = browser, slug
        self.known: dict[str, dict[str, str]] = {}

    def learn(self, tags: list[str]) -> None:
        """Read the form of each circuit, before anything is measured."""
        from subspark.desk.forms import Group
        from subspark.desk.panels import linked, panels_of
        from subspark.store import plants
        from subspark.store.models import PlantRow

        row = PlantRow.objects.get(slug=self.slug)

        def fields(boxes: list[object]) -> dict[str, str]:
            sent: dict[str, str] = {}
            for box in boxes:
                if isinstance(box, Group):
                    for item in box.items:
                        sent[f"{item.name}.!"] = ""
                        sent.update(fields(item.boxes))
                    continue
                sent[box.name] = box.value
                sent.update({f"{box.name}!o": box.original} if box.original else {})
                sent.update({f"{box.name}!e": box.kept} if box.kept else {})
            return sent

        for tag in tags:
            with plants.held(row.pk) as ledger:
                keys = linked(ledger.circuit(tag))
            sent: dict[str, str] = {}
            for panel in panels_of(row, keys)[:1]:
                number = panel.number
                sent |= {f"{number}!kind": panel.kind, f"{number}!name": panel.name}
                sent |= {f"{number}!version": str(panel.version), **fields(panel.boxes)}
            self.known[tag] = sent

    def send(self, view: str, tag: str, more: dict[str, str], length: str) -> object:
        """Send the form of a circuit with another length of its first run."""
        from django.urls import reverse

        sent = self.known[tag] | more
        if "0.runs.0.length" in sent:
            sent = sent | {"0.runs.0.length": length}
        else:
            sent = sent | {"0.note": length}
        form = "application/x-www-form-urlencoded"  # as browsers send it
        return self.browser.post(
            reverse(view, args=[self.slug, tag]), urlencode(sent), content_type=form
        )


def revise(row: object, someone: object) -> None:
    """A certificate that many circuits lean on is revised."""
    from subspark.model import Condition
    from subspark.store import plants
    from subspark.store.models import EntryRow, VerdictRow
    from subspark.store.plants import Edit

    with plants.held(row.pk) as ledger:
        sizes = {
            name: len(ledger.users(("certificates", name)))
            for name in ledger.records["certificates"]
        }
        name = min(sizes, key=lambda one: abs(sizes[one] - 5000))
        certificate = ledger.get(("certificates", name))
    version = EntryRow.objects.get(plant=row, kind="certificates", name=name).version
    fresh = dataclasses.replace(
        certificate, conditions=(*certificate.conditions, Condition(text="to be answered"))
    )
    start = time.perf_counter()
    done = plants.change(
        row.pk, [Edit(("certificates", name), fresh, version)], "reissued", someone
    )
    saved = time.perf_counter() - start
    plants.rejudge(row.pk)
    took = time.perf_counter() - start
    assert not VerdictRow.objects.filter(plant=row, stale=True).exists()
    print(
        f"certificate of {sizes[name]:,} circuits revised ({done.touched:,} touched): saved after "
        f"{saved:.2f} s, all verdicts renewed after {took:.2f} s"
    )


def register(count: int, browser: object, rows: object, reverse: object) -> None:
    """Pages of a register of many rows, copied within the database."""
    from django.db import connection

    from subspark.store import plants
    from subspark.store.models import EntryRow

    base = plants.create(build_plant(), "register", None, "benchmark")
    held = list(rows.objects.filter(plant=base))
    made = 0
    while made < count - len(held):
        entries, verdicts = [], []
        for one in held:
            tag = f"{one.tag}/{made}"
            made += 1
            entry = EntryRow(plant=base, kind="none", name=tag, place=made, version=1, revision=0)
            entries.append(entry)
            copy = rows(
                **{
                    each.attname: getattr(one, each.attname)
                    for each in rows._meta.concrete_fields
                    if each.attname != "entry_id"
                }
            )
            copy.tag, copy.search = tag, one.search.replace(one.tag.lower(), tag.lower())
            verdicts.append(copy)
        EntryRow.objects.bulk_create(entries, batch_size=900)
        for entry, copy in zip(entries, verdicts, strict=True):
            copy.entry_id = entry.pk
        rows.objects.bulk_create(verdicts, batch_size=900)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    address = reverse("register", args=[base.slug])
    total = rows.objects.filter(plant=base).count()
    for name, query in (
        ("as it is", {}),
        ("the fullest first", {"sort": "used", "down": "1"}),
        ("unsafe ones, the fullest first", {"q": "verdict:unsafe", "sort": "used", "down": "1"}),
        ("a word anywhere", {"q": "blend"}),
        ("a word that is nowhere", {"q": "nowhere at all"}),
        ("an area, by tag, far down", {"q": "area:SKID-1", "sort": "tag", "start": "5000"}),
    ):
        measured(f"register of {total:,}: {name}", lambda _, q=query: browser.get(address, q), 15)


if __name__ == "__main__":
    main()
