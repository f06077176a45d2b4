"""The desk on a large plant: server time of a change, a try, a revised certificate, a page.

    python benchmarks/desk.py [--circuits N] [--register N] [--rounds N] [--postgres]

Every request goes through the whole of Django in this process, as from a browser that is signed
in: all middleware, cookies of session and CSRF, forms with their secret. The network is not
counted. Two bare views stand beside, on the same path with the same durability:

- the plainest view writes one row and answers with a word: nobody is asked who it is;
- the bare view of the desk is one that the desk could have: who signed in and may change this
  plant, one transaction that writes one row, one small page drawn from a template.

A change is compared with both, one after the other in each round, so that a busy machine slows
all of them alike. What is told is the ratio of the medians, by the clock and of the time of the
processor: the latter does not wait for the disk, and where other programs run it is the one to
believe.

The circuits of the plant are those of the demo, copy after copy, each copy with lengths of its
own: no two circuits are equal. A certificate that thousands of them lean on is withdrawn and put
in force again by the form of its page, and a worker like that of ``subspark serve`` renews the
verdicts. ``--postgres`` starts a PostgreSQL of its own; ``--database`` names an empty one.
"""

from __future__ import annotations

import argparse
import dataclasses
import os
import re
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple
from urllib.parse import urlencode

from _server import add_database, database

from subspark.demo import build_plant
from subspark.model import Plant

ROUNDS = 60


def many(count: int) -> Plant:
    """A plant of so many circuits: the demo's again and again, each with lengths of its own."""
    base = build_plant()
    circuits = []
    copy = 0
    while len(circuits) < count:
        for one in base.circuits:
            runs = tuple(
                dataclasses.replace(
                    run,
                    number=f"{run.number}-{copy}" if run.number else "",
                    length=f"{run.length.si + copy / 4:g} m" if run.length.known else "",
                )
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


def measured(name: str, work: Callable[[int], object], rounds: int = ROUNDS) -> float:
    """Median and 95th percentile of some work."""
    (median,) = in_turn({name: work}, rounds).values()
    return median.elapsed


class Median(NamedTuple):
    """Medians of some work [ms]: by the clock, and of the processor in this thread alone."""

    elapsed: float
    processor: float


def in_turn(works: dict[str, Callable[[int], object]], rounds: int = ROUNDS) -> dict[str, Median]:
    """Median and 95th percentile of several works, done one after the other in each round."""
    times: dict[str, list[tuple[float, float]]] = {name: [] for name in works}
    for number in range(rounds):
        for name, work in works.items():
            start = time.perf_counter(), time.thread_time()
            work(number)
            took = time.perf_counter() - start[0], time.thread_time() - start[1]
            times[name].append((took[0] * 1000, took[1] * 1000))
    medians = {}
    for name, all_of in times.items():
        held = all_of[3:] if len(all_of) > 10 else all_of  # the first warm caches
        elapsed = sorted(one for one, _ in held)
        medians[name] = Median(statistics.median(elapsed), statistics.median(o for _, o in held))
        last = elapsed[int(len(held) * 0.95)]
        print(f"{name:<58} median {medians[name].elapsed:8.1f} ms   95 % {last:8.1f} ms")
    return medians


def main() -> None:
    """Run the benchmark."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--circuits", type=int, default=10_000)
    parser.add_argument("--register", type=int, default=100_000)
    parser.add_argument("--rounds", type=int, default=ROUNDS)
    add_database(parser)
    arguments = parser.parse_args()
    with (
        tempfile.TemporaryDirectory(prefix="subspark-bench-") as folder,
        database(arguments) as arguments.database,
    ):
        run(arguments, Path(folder))
        from django.db import connections

        connections.close_all()


def run(arguments: argparse.Namespace, folder: Path) -> None:
    """Measure."""
    from subspark.desk.server import prepare

    prepare(folder=folder, address=arguments.database or None, hosts=["testserver"])
    from django.test import Client
    from django.urls import reverse

    from subspark.store import people, plants
    from subspark.store.models import VerdictRow

    print(f"{plants.backend()}, Python {sys.version.split()[0]}, load {os.getloadavg()[0]:.1f}")
    bare_views()
    start = time.perf_counter()
    row = plants.create(many(arguments.circuits), "benchmark", None, "benchmark")
    plants.rejudge(row.pk)
    took = time.perf_counter() - start
    print(f"{arguments.circuits:,} circuits taken in and judged: {took:.1f} s")
    someone = people.make_person("benchmark", keeper=True)
    browser = Client(enforce_csrf_checks=True)
    browser.force_login(someone, backend="django.contrib.auth.backends.ModelBackend")
    with plants.held(row.pk) as ledger:
        tags = list(ledger.records["circuits"])[:: max(1, arguments.circuits // arguments.rounds)]
    form = Forms(browser, row.slug)
    form.learn(tags)

    def bare(name: str) -> Callable[[int], object]:
        address = reverse(name, args=[row.slug])

        def ask(_number: int) -> None:
            answer = form.post(address, {"why": "measured"})
            assert answer.status_code == 200, answer.status_code

        return ask

    def save(number: int) -> None:
        tag = tags[number % len(tags)]
        answer = form.send("circuit-save", tag, {"why": "measured"}, f"{101 + number}.25 m")
        assert answer.status_code == 302, answer.text[answer.text.find("problem") :][:600]

    def page(number: int) -> None:
        assert browser.get(reverse("circuit", args=[row.slug, tags[number]])).status_code == 200

    def attempt(number: int) -> None:
        answer = form.send("circuit-try", tags[number % len(tags)], {}, f"{301 + number}.25 m")
        assert answer.status_code == 200

    changed = "one length changed, every verdict that it touches renewed"
    plainest, desk = "one row written by the plainest view", "one row written by a bare view here"
    medians = in_turn(
        {
            plainest: bare("bare-plainest"),
            desk: bare("bare-desk"),
            changed: save,
            "the page of the circuit after that": page,
        },
        len(tags),
    )
    for said, at in (("by the clock", 0), ("of the processor", 1)):
        here, least = (medians[changed][at] / medians[name][at] for name in (desk, plainest))
        print(f"  the change {said}: {here:.1f} times the bare view here, {least:.1f} the plainest")
    measured("one length tried", attempt, len(tags))
    home = reverse("plant", args=[row.slug])
    measured("the first page of the plant", lambda _: browser.get(home), 10)

    revise(form, row)
    register(arguments.register, browser, VerdictRow, reverse)


def bare_views() -> None:
    """Put the two bare views among the addresses of the desk."""
    from django.db import transaction
    from django.http import HttpRequest, HttpResponse
    from django.urls import path
    from django.views.decorators.csrf import csrf_exempt
    from django.views.decorators.http import require_POST

    from subspark.desk import urls
    from subspark.desk.guard import in_plant, told
    from subspark.store.models import Attempt

    @csrf_exempt
    def plainest(_request: HttpRequest, slug: str) -> HttpResponse:
        Attempt.objects.create(name="bare", place=slug[:64])
        return HttpResponse("written")

    @require_POST
    @in_plant("change")
    def desk(request: HttpRequest, _access: object) -> HttpResponse:
        with transaction.atomic():
            Attempt.objects.create(name=request.POST.get("why", "")[:150], place="here")
        return told(request, "Written", "One row was written.", 200)

    urls.urlpatterns += [
        path("p/<str:slug>/bare-plainest", plainest, name="bare-plainest"),
        path("p/<str:slug>/bare-desk", desk, name="bare-desk"),
    ]


class Forms:
    """The forms of circuits as pages gave them, to be sent back with another length."""

    def __init__(self, browser: object, slug: str) -> None:
        self.browser, self.slug = browser, slug
        self.known: dict[str, dict[str, str]] = {}
        self.secret = ""

    def learn(self, tags: list[str]) -> None:
        """Read the form of each circuit, before anything is measured."""
        from django.urls import reverse

        from subspark.desk.panels import linked
        from subspark.store import plants
        from subspark.store.models import PlantRow

        row = PlantRow.objects.get(slug=self.slug)
        page = self.browser.get(reverse("circuit", args=[self.slug, tags[0]])).text
        self.secret = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', page)[1]

        for tag in tags:
            with plants.held(row.pk) as ledger:
                keys = linked(ledger.circuit(tag))
            self.known[tag] = self.of(keys)

    def of(self, keys: list[tuple[str, str]]) -> dict[str, str]:
        """The form of a record, the first of some, as its page gives it."""
        from subspark.desk.forms import Group
        from subspark.desk.panels import panels_of
        from subspark.store.models import PlantRow

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

        panel = panels_of(PlantRow.objects.get(slug=self.slug), keys)[0]
        number = panel.number
        return {
            f"{number}!kind": panel.kind,
            f"{number}!name": panel.name,
            f"{number}!version": str(panel.version),
            **fields(panel.boxes),
        }

    def send(self, view: str, tag: str, more: dict[str, str], length: str) -> object:
        """Send the form of a circuit with another length of its first run."""
        from django.urls import reverse

        sent = self.known[tag] | more
        if "0.runs.0.length" in sent:
            sent = sent | {"0.runs.0.length": length}
        else:
            sent = sent | {"0.note": length}
        return self.post(reverse(view, args=[self.slug, tag]), sent)

    def post(self, address: str, sent: dict[str, str]) -> object:
        """Send a form as browsers do."""
        body = urlencode({**sent, "csrfmiddlewaretoken": self.secret})
        form = "application/x-www-form-urlencoded"
        return self.browser.post(address, body, content_type=form)


def revise(form: Forms, row: object) -> None:
    """A certificate that many circuits lean on is withdrawn, and put in force again.

    The form of its page is sent, and a worker like that of ``subspark serve`` judges what it
    touches: the time runs from sending to the moment when no circuit waits any more.
    """
    from django.db import connection
    from django.urls import reverse

    from subspark.store import jobs, plants
    from subspark.store.models import VerdictRow

    with plants.held(row.pk) as ledger:
        sizes = {
            name: len(ledger.users(("certificates", name)))
            for name in ledger.records["certificates"]
        }
        name = min(sizes, key=lambda one: abs(sizes[one] - 5000))
        touched = len(ledger.touched([("certificates", name)]))
    worker = jobs.Worker()
    worker.start()
    print(f"a certificate of {sizes[name]:,} circuits revised, {touched:,} touched:")
    for status in ("withdrawn", "in force") * 3:
        sent = form.of([("certificates", name)]) | {"0.status": status, "why": "reissued"}
        start = time.perf_counter()
        answer = form.post(reverse("record-save", args=[row.slug, "certificates", name]), sent)
        assert answer.status_code == 302, answer.text[:600]
        saved = time.perf_counter() - start
        while VerdictRow.objects.filter(plant=row, stale=True).exists():
            time.sleep(0.005)
        took = time.perf_counter() - start
        print(f"  {status:<10} saved after {saved:.2f} s, all verdicts renewed after {took:.2f} s")
    worker.stop()
    connection.close()


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
