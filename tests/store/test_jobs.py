"""Long work: told of, stopped, bounded, and taken up again where a worker died."""

from __future__ import annotations

import json
from datetime import timedelta

import pytest
from django.utils import timezone

import webplants
from subspark.errors import UsageError


@pytest.fixture
def work():
    from subspark.store import jobs
    from subspark.store.models import JobRow

    JobRow.objects.all().delete()
    before = dict(jobs._WORK)
    yield jobs
    jobs._WORK.clear()
    jobs._WORK.update(before)
    JobRow.objects.all().delete()


def _row(row):
    row.refresh_from_db()
    return row


def test_a_job_tells_how_far_it_is_and_what_it_gave(work):
    seen = []

    def count(job):
        for number in range(1, 4):
            job.report(number, 3, f"at {number}")
        seen.append(_row(job.row).done)
        return {"sum": 6}

    work.register("count", count)
    row = work.ask("count", "Counting", None, webplants.person(), {})
    assert row.state == "waiting"
    assert work.run_one()
    assert seen == [3]
    assert (_row(row).state, json.loads(row.result)) == ("done", {"sum": 6})
    assert not work.run_one()


def test_a_job_is_stopped_where_it_reports(work):
    def endless(job):
        from subspark.store.models import JobRow

        JobRow.objects.filter(pk=job.row.pk).update(stop=True)
        while True:
            job.report(1, 1)

    work.register("endless", endless)
    row = work.ask("endless", "Endless", None, None, {})
    work.run_one()
    assert _row(row).state == "stopped"


@pytest.mark.parametrize(
    ("error", "message"),
    [(UsageError("no such file"), "no such file"), (ZeroDivisionError("x"), "of Subspark itself")],
)
def test_a_job_that_fails_says_why_and_the_next_is_done(work, error, message):
    def fail(_job):
        raise error

    work.register("fail", fail)
    work.register("fine", lambda _job: {})
    bad, good = (work.ask(sort, sort, None, None, {}) for sort in ("fail", "fine"))
    work.run_one()
    work.run_one()
    assert _row(bad).state == "failed"
    assert message in json.loads(bad.result)["message"]
    assert _row(good).state == "done"


def test_a_job_whose_worker_died_is_taken_up_again(work):
    from subspark.store.models import JobRow

    work.register("fine", lambda _job: {})
    row = work.ask("fine", "fine", None, None, {})
    JobRow.objects.filter(pk=row.pk).update(state="running", beat=timezone.now())
    assert not work.run_one()  # somebody is at it
    old = timezone.now() - timedelta(minutes=5)
    JobRow.objects.filter(pk=row.pk).update(beat=old)
    assert work.run_one()
    assert _row(row).state == "done"


def test_nobody_fills_the_queue(work):
    work.register("fine", lambda _job: {})
    someone = webplants.person()
    for _ in range(5):
        work.ask("fine", "fine", None, someone, {})
    with pytest.raises(UsageError, match="too much work"):
        work.ask("fine", "fine", None, someone, {})
    with pytest.raises(UsageError, match="no work"):
        work.ask("unknown", "", None, None, {})


def test_what_the_desk_asks_of_itself_is_neither_bounded_nor_counted(work):
    """After an update each plant waits to be judged, however many there are."""
    work.register("count", lambda _job: {})
    for _ in range(60):
        work.ask("count", "Counting", None, None, {})
    assert work.ask("count", "Counting", None, webplants.person(), {}).state == "waiting"


def test_a_worker_for_what_is_short_passes_over_what_is_long(work):
    work.register("long", lambda _job: {})
    work.register("short", lambda _job: {})
    long, short = (work.ask(sort, sort, None, None, {}) for sort in ("long", "short"))
    assert work.run_one(("short",))
    assert (_row(long).state, _row(short).state) == ("waiting", "done")
    assert not work.run_one(("short",))
    assert work.run_one()
    assert _row(long).state == "done"


def test_a_worker_is_woken_where_its_pause_would_be_long(work, monkeypatch):
    import threading

    done = threading.Event()
    monkeypatch.setattr(work, "_PAUSE", 60.0)
    work.register("short", lambda _job: done.set() or {})
    workers = [work.Worker(("other",)), work.Worker(("short",))]
    for one in workers:
        one.start()
    try:
        work.ask("short", "short", None, None, {})
        assert done.wait(timeout=20)
    finally:
        for one in workers:
            one.stop()


def test_what_a_server_left_unjudged_is_asked_for_when_it_starts_again(work, monkeypatch):
    from dataclasses import replace

    from subspark.desk import tasks
    from subspark.store import plants
    from subspark.store.models import JobRow, VerdictRow
    from subspark.store.plants import Edit

    tasks.begin()
    plant, other = webplants.stored(), webplants.stored()
    monkeypatch.setattr(plants, "INLINE", 0)
    circuit = webplants.circuit(plant, "PT-1101")
    fresh = replace(circuit, runs=tuple(replace(run, length="1 m") for run in circuit.runs))
    plants.change(plant.pk, [Edit(("circuits", "PT-1101"), fresh, 1)], "then it ended", None, "x")
    assert VerdictRow.objects.filter(plant=plant, stale=True).exists()
    tasks.resume()
    tasks.resume()  # it waits already
    asked = JobRow.objects.filter(plant__in=[plant, other])
    assert [(one.plant_id, one.sort) for one in asked] == [(plant.pk, "judge")]
    while work.run_one(("judge",)):
        pass
    assert not VerdictRow.objects.filter(plant=plant, stale=True).exists()


def test_another_version_of_the_program_judges_everything_again(work, monkeypatch):
    from subspark.desk import tasks
    from subspark.store import judging
    from subspark.store.models import JobRow, PlantRow, VerdictRow

    tasks.begin()
    plant = webplants.stored()
    rows = VerdictRow.objects.filter(plant=plant)
    before = list(rows.order_by("tag").values_list("tag", "verdict", "works", "utilisation"))
    tasks.resume()
    assert not rows.filter(stale=True).exists()
    monkeypatch.setattr(judging, "_version", lambda: "99.0")
    tasks.resume()
    assert rows.count() == rows.filter(stale=True, verdict=2, works="").count()
    assert JobRow.objects.filter(plant=plant, sort="judge").count() == 1
    while work.run_one(("judge",)):
        pass
    after = list(rows.order_by("tag").values_list("tag", "verdict", "works", "utilisation"))
    assert after == before
    assert "99.0" in PlantRow.objects.get(pk=plant.pk).judged_by
