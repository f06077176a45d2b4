"""Long work: asked for by a page, done by a thread of the same process, seen by any page.

A job is a row. It is taken up by one worker, tells how far it is, can be stopped, and ends as
done, failed or stopped. One whose worker died (its beat is old) is taken up again, so each sort
of work must be safe to begin anew.
"""

from __future__ import annotations

import json
import logging
import threading
import weakref
from collections.abc import Callable, Collection, Iterator
from contextlib import contextmanager
from datetime import timedelta
from typing import Any

from django.db import close_old_connections, connections, transaction
from django.db.models import Q
from django.utils import timezone

from subspark.errors import SubsparkError, UsageError
from subspark.store.models import JobRow, Person, PlantRow

__all__ = ["Job", "StoppedError", "Worker", "ask", "register", "run_one"]

_MOST_WAITING = 50
_MOST_OF_ONE = 5
_DEAD = timedelta(minutes=2)
_BEAT = 30.0
_PAUSE = 1.0
_LOG = logging.getLogger("subspark.jobs")

Work = Callable[["Job"], dict[str, Any]]
_WORK: dict[str, Work] = {}


class StoppedError(SubsparkError):
    """A person asked for the end of this job."""


class Job:
    """A job while it is done."""

    def __init__(self, row: JobRow) -> None:
        self.row = row
        self.given: dict[str, Any] = json.loads(row.given)
        self._told = timezone.now() - timedelta(seconds=1)

    def report(self, done: int, total: int, says: str = "") -> None:
        """Tell how far the work is; at most a few times a second.

        Raises
        ------
        StoppedError
            It shall end.
        """
        now = timezone.now()
        if done < total and now - self._told < timedelta(seconds=0.3):
            return
        self._told = now
        JobRow.objects.filter(pk=self.row.pk).update(
            done=done, total=total, says=says[:300], beat=now
        )
        if JobRow.objects.filter(pk=self.row.pk, stop=True).exists():
            raise StoppedError("stopped")

    def stopped(self) -> bool:
        """Whether it shall end."""
        return JobRow.objects.filter(pk=self.row.pk, stop=True).exists()


def register(sort: str, work: Work) -> None:
    """Name the function that does a sort of job; its result is kept as JSON."""
    _WORK[sort] = work


def ask(
    sort: str, title: str, plant: PlantRow | None, person: Person | None, given: dict[str, Any]
) -> JobRow:
    """Put a job in the queue.

    What the desk asks of itself, by nobody, is one job a plant: it is neither bounded nor counted.

    Raises
    ------
    UsageError
        Too many wait already.
    """
    if sort not in _WORK:
        raise UsageError(f"{sort!r} is no work that the desk does")
    if person is not None:
        waiting = JobRow.objects.filter(state__in=("waiting", "running"), person__isnull=False)
        own = waiting.filter(person=person).count()
        if waiting.count() >= _MOST_WAITING or own >= _MOST_OF_ONE:
            raise UsageError("too much work is waiting already; wait until some of it has ended")
    row = JobRow.objects.create(
        sort=sort, title=title[:200], plant=plant, person=person, given=json.dumps(given)
    )
    transaction.on_commit(wake)
    return row


def _take(sorts: Collection[str]) -> JobRow | None:
    """Take up the oldest job that waits, or one whose worker died; of some sorts, or of any."""
    with transaction.atomic():
        old = timezone.now() - _DEAD
        found = JobRow.objects.select_for_update().filter(
            Q(state="waiting") | Q(state="running", beat__lt=old)
        )
        if sorts:
            found = found.filter(sort__in=sorts)
        row = found.order_by("pk").first()
        if row is None:
            return None
        row.state, row.beat = "running", timezone.now()
        row.save(update_fields=["state", "beat"])
        return row


@contextmanager
def _pulse(row: JobRow) -> Iterator[None]:
    """Show that the worker lives, also while its work has nothing to tell."""
    end = threading.Event()

    def beat() -> None:
        while not end.wait(_BEAT):
            JobRow.objects.filter(pk=row.pk).update(beat=timezone.now())
        connections.close_all()

    thread = threading.Thread(target=beat, name="subspark-pulse", daemon=True)
    thread.start()
    try:
        yield
    finally:
        end.set()
        thread.join(timeout=_BEAT)


def _done(row: JobRow) -> tuple[str, dict[str, Any]]:
    """Do the work of a job: how it ended, and what it gave."""
    if row.stop:
        return "stopped", {"message": "stopped before it began"}
    try:
        with _pulse(row):
            return "done", _WORK[row.sort](Job(row))
    except StoppedError:
        return "stopped", {"message": "stopped before the end"}
    except SubsparkError as error:
        return "failed", {"message": str(error)}
    except Exception:  # noqa: BLE001 - whatever it was, the worker goes on
        _LOG.exception("job %s (%s)", row.pk, row.sort)
        return "failed", {"message": "an error of Subspark itself; the server's log says where"}


def run_one(sorts: Collection[str] = ()) -> bool:
    """Do one job, of some sorts or of any, if one waits; whether there was one."""
    row = _take(sorts)
    if row is None:
        return False
    state, result = _done(row)
    JobRow.objects.filter(pk=row.pk).update(
        state=state, result=json.dumps(result), ended=timezone.now()
    )
    return True


_WORKERS: weakref.WeakSet[Worker] = weakref.WeakSet()


def wake() -> None:
    """Tell the workers of this process that a job waits."""
    for one in tuple(_WORKERS):
        one.wake()


class Worker:
    """A thread that does jobs until it is told to end.

    Parameters
    ----------
    sorts : collection of str
        The sorts of jobs that it does; by default any. A second one, for what is short, keeps
        that from waiting for what is long.
    """

    def __init__(self, sorts: Collection[str] = ()) -> None:
        self._sorts = tuple(sorts)
        self._end = threading.Event()
        self._wake = threading.Event()
        _WORKERS.add(self)
        self._thread = threading.Thread(target=self._loop, name="subspark-jobs", daemon=True)

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def wake(self) -> None:
        """Look for a job at once."""
        self._wake.set()

    def stop(self) -> None:
        """End after the job in hand."""
        self._end.set()
        self._wake.set()
        self._thread.join(timeout=30)

    def _loop(self) -> None:
        from django.db.utils import Error as DatabaseError

        while not self._end.is_set():
            close_old_connections()
            try:
                while not self._end.is_set() and run_one(self._sorts):
                    pass
            except DatabaseError:
                _LOG.exception("the database does not answer the worker")
            self._wake.wait(_PAUSE)
            self._wake.clear()
        connections.close_all()
