"""The papers of a plant written into a folder: what is up to date stays, the rest is made anew.

Two or more processes print; each ends after a while and is replaced, so that memory stays
bounded however many papers there are. A file is put in its place at once or not at all.
"""

from __future__ import annotations

import hashlib
import json
import multiprocessing
import os
import re
import signal
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any, Literal, NamedTuple

from subspark.assess import Assessment, assess
from subspark.errors import InputError, SubsparkError, UsageError
from subspark.exchange.saving import save
from subspark.model import Plant
from subspark.papers.attachment import Said, dossier_of_part, look, made_by, print_dossier
from subspark.papers.dossier import PAPERS
from subspark.papers.extract import Neighbours, part_of
from subspark.papers.inspection import inspection_sheet, print_inspection
from subspark.papers.packages import font_folder, typst_library
from subspark.papers.plant_papers import lists, print_list, sheet_of_list
from subspark.papers.printing import encoded
from subspark.papers.workbook import workbook
from subspark.physics.ignition import Curves

__all__ = ["KINDS", "Written", "file_names", "write_papers"]

KINDS = ("dossiers", "inspection", "lists", "drawings")
"""What can be asked for."""

INDEX = "papers.json"
_FORMAT = "subspark papers"
_VERSION = 1
_BATCH = 8
_BATCHES_A_WORKER = 25
_FEW = 6
"""Circuits up to which no further process is started."""
_SAVE_EVERY = 5.0
_LONG = 1500
"""Rows from which on a list is printed apart."""
_RESERVED = re.compile(r"(?i)^(con|prn|aux|nul|com\d|lpt\d)$")

Says = Callable[[str], None]


@dataclass(slots=True)
class Written:
    """What was done: files written and files that were up to date, by path; and what is gone."""

    written: list[str] = field(default_factory=list)
    kept: list[str] = field(default_factory=list)
    gone: list[str] = field(default_factory=list)


class _Task(NamedTuple):
    """One circuit for a worker: its part of the plant, and where its papers go."""

    tag: str
    part: Plant
    said: Said
    papers: tuple[tuple[str, str], ...]
    """Kind and path of each paper wanted."""


class _Done(NamedTuple):
    """One paper: its path in the folder, the digest of its data, of its file, whether it is new."""

    path: str
    data: str
    file: str
    fresh: bool


class _Setting(NamedTuple):
    """What every worker is told once."""

    folder: str
    curves: Curves
    paper: str
    language: str


def file_names(tags: Iterable[str]) -> dict[str, str]:
    """A file name for each tag: its own where every system takes it, else with a short digest."""
    names: dict[str, str] = {}
    taken: set[str] = set()
    for tag in tags:
        plain = re.sub(r"[^A-Za-z0-9._+=-]", "_", tag).strip(".") or "_"
        if _RESERVED.match(plain.partition(".")[0]):
            plain = f"_{plain}"
        if plain != tag or plain.lower() in taken:
            plain = f"{plain}-{hashlib.sha256(tag.encode()).hexdigest()[:8]}"
        taken.add(plain.lower())
        names[tag] = plain
    return names


# --- the index -----------------------------------------------------------------------------------


class _Index:
    """Which file holds which data: ``papers.json`` in the folder."""

    def __init__(self, folder: Path) -> None:
        self._path = folder / INDEX
        self.entries: dict[str, dict[str, str]] = {}
        self._saved = time.monotonic()
        try:
            whole = json.loads(self._path.read_text("utf-8"))
        except FileNotFoundError:
            return
        except (OSError, ValueError) as error:
            raise InputError(
                f"{self._path}: cannot be read ({error}); delete it to write all papers anew"
            ) from None
        if not isinstance(whole, dict) or whole.get("format") != _FORMAT:
            raise InputError(f"{self._path}: is not ours; wanted another folder")
        if whole.get("version") == _VERSION and isinstance(whole.get("files"), dict):
            self.entries = whole["files"]

    def digest(self, path: str) -> tuple[str, str]:
        """Digests of the data and of the file; blank where it is not known."""
        found = self.entries.get(path, {})
        return found.get("data", ""), found.get("file", "")

    def note(self, done: _Done) -> None:
        """Keep what was done, on disk from time to time."""
        self.entries[done.path] = {"data": done.data, "file": done.file}
        if time.monotonic() - self._saved > _SAVE_EVERY:
            self.save()

    def save(self) -> None:
        """Write the index."""
        files = dict(sorted(self.entries.items()))
        whole = {"format": _FORMAT, "version": _VERSION, "files": files}
        save((json.dumps(whole, ensure_ascii=False, indent=1) + "\n").encode(), self._path)
        self._saved = time.monotonic()


def _sha(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def _current(folder: Path, path: str, data: str, known: tuple[str, str]) -> bool:
    """Whether a file is there as it was written, from the same data."""
    if known[0] != data:
        return False
    try:
        return _sha((folder / path).read_bytes()) == known[1]
    except OSError:
        return False


def _put(
    folder: Path, path: str, data: str, known: tuple[str, str], make: Callable[[], bytes]
) -> _Done:
    if _current(folder, path, data, known):
        return _Done(path, data, known[1], fresh=False)
    made = make()
    save(made, folder / path)
    return _Done(path, data, _sha(made), fresh=True)


# --- one circuit ---------------------------------------------------------------------------------

_SETTING: list[_Setting] = []


def _begin(setting: _Setting) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # an interruption is for the first process
    _SETTING[:] = [setting]


def _papers_of(
    task: _Task, known: dict[str, tuple[str, str]], setting: _Setting
) -> Iterator[_Done]:
    folder = Path(setting.folder)
    for kind, path in task.papers:
        digest, make = _MAKERS[kind](task, setting)
        yield _put(folder, path, digest, known[path], make)


_Made = tuple[str, Callable[[], bytes]]
"""Digest of what decides a paper, and how it is printed."""


def _dossier(task: _Task, setting: _Setting) -> _Made:
    made = dossier_of_part(
        task.part,
        task.tag,
        task.said,
        setting.curves,
        paper=setting.paper,
        language=setting.language,
    )
    return made.digest, lambda: print_dossier(made.attachment, made.digest)


def _inspection(task: _Task, setting: _Setting) -> _Made:
    part = assess(task.part, (task.tag,), curves=setting.curves)
    told = inspection_sheet(part, task.tag, paper=setting.paper, language=setting.language)
    return _key(encoded(told)), lambda: print_inspection(told)


def _drawing(task: _Task, setting: _Setting) -> _Made:
    from subspark.papers.drawings import installation_drawing
    from subspark.papers.drawings.pdf import plain_shapes

    part = assess(task.part, (task.tag,), curves=setting.curves)
    size: Literal["A3", "ANSI B"] = "A3" if setting.paper == "a4" else "ANSI B"
    drawn = installation_drawing(part, task.tag, size)
    return _key(encoded([plain_shapes(one) for one in drawn.sheets])), drawn.pdf


_MAKERS: dict[str, Callable[[_Task, _Setting], _Made]] = {
    "dossiers": _dossier,
    "inspection": _inspection,
    "drawings": _drawing,
}


def _key(data: str) -> str:
    """Digest of what decides a paper that carries no attachment."""
    return _sha(encoded([data, made_by(), look()]).encode())


def _work(batch: list[tuple[_Task, dict[str, tuple[str, str]]]]) -> list[_Done] | str:
    """The papers of several circuits, in a worker; an error comes back as its message."""
    try:
        return [done for task, known in batch for done in _papers_of(task, known, _SETTING[0])]
    except SubsparkError as error:
        return str(error)


# --- all circuits --------------------------------------------------------------------------------


def _tasks(
    assessment: Assessment, tags: Sequence[str], kinds: Sequence[str], names: dict[str, str]
) -> Iterator[_Task]:
    said = {
        one.tag: Said(one.verdict, one.governing, one.utilisation) for one in assessment.summaries()
    }
    neighbours = Neighbours(assessment.plant)
    for tag in tags:
        papers = tuple((kind, f"{kind}/{names[tag]}.pdf") for kind in kinds)
        yield _Task(tag, part_of(assessment.plant, tag, neighbours), said[tag], papers)


def _batches(
    tasks: Iterator[_Task], index: _Index
) -> Iterator[list[tuple[_Task, dict[str, tuple[str, str]]]]]:
    batch = []
    for task in tasks:
        batch.append((task, {path: index.digest(path) for _, path in task.papers}))
        if len(batch) == _BATCH:
            yield batch
            batch = []
    if batch:
        yield batch


def _here(tasks: Iterator[_Task], index: _Index, setting: _Setting) -> Iterator[list[_Done]]:
    """The papers of a few circuits, in this process."""
    for batch in _batches(tasks, index):
        for task, known in batch:
            yield list(_papers_of(task, known, setting))


def _spread(
    tasks: Iterator[_Task], index: _Index, setting: _Setting, jobs: int
) -> Iterator[list[_Done]]:
    """The papers of many circuits, in worker processes; few batches are under way at once."""
    context = multiprocessing.get_context("spawn")
    pool = ProcessPoolExecutor(
        jobs,
        mp_context=context,
        initializer=_begin,
        initargs=(setting,),
        max_tasks_per_child=_BATCHES_A_WORKER,
    )
    batches = _batches(tasks, index)
    under_way: set[Future[list[_Done] | str]] = set()
    try:
        while True:
            while len(under_way) < 2 * jobs and (batch := next(batches, None)) is not None:
                under_way.add(pool.submit(_work, batch))
            if not under_way:
                break
            ended, under_way = wait(under_way, return_when=FIRST_COMPLETED)
            for one in ended:
                found = one.result()
                if isinstance(found, str):
                    raise SubsparkError(found)
                yield found
    except BrokenProcessPool:
        raise SubsparkError(
            "a process that printed papers ended before its time (out of memory?); what is written "
            "stays: start again, with --jobs 1 where memory is short"
        ) from None
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _print_list(told: dict[str, Any]) -> bytes:
    """Print a list; a long one in a process of its own, whose memory ends with it."""
    if len(told["rows"]) <= _LONG:
        return print_list(told)
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(1, mp_context=context) as pool:
        return pool.submit(print_list, told).result()


# --- the whole -----------------------------------------------------------------------------------


def _lists(
    assessment: Assessment, folder: Path, index: _Index, setting: _Setting
) -> Iterator[_Done]:
    made = lists(assessment, setting.language)
    for one in made:
        told = sheet_of_list(assessment, one, paper=setting.paper, language=setting.language)
        path = f"lists/{one.key}.pdf"
        make = partial(_print_list, told)
        yield _put(folder, path, _key(encoded(told)), index.digest(path), make)
    digest = _key(encoded([[one.key, one.rows] for one in made] + [setting.paper]))
    path = "lists/lists.xlsx"
    yield _put(
        folder,
        path,
        digest,
        index.digest(path),
        lambda: workbook(assessment, made, paper=setting.paper, language=setting.language),
    )


def _checked(tags: Sequence[str] | None, assessment: Assessment, kinds: Sequence[str]) -> list[str]:
    if strange := [one for one in kinds if one not in KINDS]:
        raise UsageError(f"papers {strange[0]!r}: wanted one of {', '.join(KINDS)}")
    if tags is None:
        return [one.tag for one in assessment.plant.circuits]
    for tag in tags:
        assessment.plant.circuit(tag)
    return list(dict.fromkeys(tags))


def _folder(folder: Path, kinds: Sequence[str]) -> None:
    try:
        for one in (folder, *(folder / kind for kind in kinds)):
            one.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        why = "is a file; wanted a folder" if isinstance(error, FileExistsError) else error.strerror
        raise UsageError(f"{error.filename or folder}: {why}") from None


def write_papers(
    assessment: Assessment,
    folder: str | Path,
    tags: Sequence[str] | None = None,
    *,
    kinds: Sequence[str] = KINDS,
    paper: str = "a4",
    language: str = "en",
    jobs: int | None = None,
    says: Says = lambda _: None,
) -> Written:
    """Write the papers of a plant into a folder.

    Parameters
    ----------
    assessment : Assessment
        Of the whole plant.
    folder : str or Path
        Made if it is not there. Each kind has a folder of its own in it.
    tags : sequence of str, optional
        Circuits whose dossiers, inspection sheets and drawings are wanted; all by default. Lists
        are always of the whole plant.
    kinds : sequence of str
        Of "dossiers", "inspection", "lists" and "drawings".
    paper : str
        "a4" or "letter".
    language : str
        Of the fixed texts.
    jobs : int, optional
        Processes that print; by default one a core, four at most.
    says : callable
        Told what is being done.

    Returns
    -------
    Written
        Which files were written, which were up to date, and which stand in the folder for circuits
        that are gone.

    Raises
    ------
    UsageError
        A tag, kind or paper that is not there, a missing package, or a folder that is a file.
    InputError
        A file cannot be written.
    """
    typst_library(), font_folder()
    if paper not in PAPERS:
        raise UsageError(f"paper {paper!r}: wanted one of {', '.join(PAPERS)}")
    wanted = _checked(tags, assessment, kinds)
    there = Path(folder)
    _folder(there, kinds)
    index, found = _Index(there), Written()
    setting = _Setting(str(there.resolve()), assessment.context.curves, paper, language)
    names = file_names(one.tag for one in assessment.plant.circuits)
    of_circuit = [kind for kind in kinds if kind in _MAKERS]
    try:
        if of_circuit:
            tasks = _tasks(assessment, wanted, of_circuit, names)
            processes = min(4, os.cpu_count() or 1) if jobs is None else jobs
            one_process = processes <= 1 or len(wanted) <= _FEW
            made = (
                _here(tasks, index, setting)
                if one_process
                else _spread(tasks, index, setting, processes)
            )
            _count(made, index, found, len(wanted) * len(of_circuit), says)
        if "lists" in kinds:
            says("printing the lists of the plant")
            for done in _lists(assessment, there, index, setting):
                _note(done, index, found)
    finally:
        index.save()
    known = {f"{kind}/{name}.pdf" for kind in _MAKERS for name in names.values()}
    found.gone = sorted(
        path for path in index.entries if not path.startswith("lists/") and path not in known
    )
    return found


def _note(done: _Done, index: _Index, found: Written) -> None:
    index.note(done)
    (found.written if done.fresh else found.kept).append(done.path)


def _count(
    made: Iterable[list[_Done]], index: _Index, found: Written, total: int, says: Says
) -> None:
    ready = 0
    for several in made:
        for done in several:
            _note(done, index, found)
        ready += len(several)
        says(f"papers of circuits: {ready:,} of {total:,}")
