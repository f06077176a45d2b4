"""The papers of a plant written into a folder: what is up to date stays, the rest is made anew.

Two or more processes print; each ends after a while and is replaced, so that memory stays
bounded however many papers there are. A file is put in its place at once or not at all.
"""

from __future__ import annotations

import itertools
import multiprocessing
import os
import signal
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any

from subspark.assess import Assessment
from subspark.assess.function.findings import word
from subspark.errors import SubsparkError, UsageError
from subspark.papers.attachment import Said
from subspark.papers.dossier import PAPERS
from subspark.papers.drawings.allotment import index_of
from subspark.papers.equivalents import catalogue_of
from subspark.papers.extract import Neighbours, part_of
from subspark.papers.folder import INDEX, Done, Index, Known, file_names, put, stem_of
from subspark.papers.making import INSPECTION, OF_CIRCUIT, Setting, Sheets, Task, key, papers_of
from subspark.papers.packages import drawn_by, font_folder, pikepdf_library, typst_library
from subspark.papers.plant_drawings import FORMATS, PlantDrawing, drawn, plant_drawings
from subspark.papers.plant_papers import lists, print_list, sheet_of_list
from subspark.papers.printing import encoded
from subspark.papers.signing import Signing
from subspark.papers.texts import words
from subspark.papers.workbook import workbook
from subspark.rules import Verdict

__all__ = ["INDEX", "KINDS", "Written", "file_names", "write_papers"]

KINDS = ("dossiers", "inspection", "lists", "drawings")
"""What can be asked for."""

_BATCH = 8
_BATCHES_A_WORKER = 15
_FEW = 6
"""Circuits up to which no further process is started."""
_LONG = 1500
"""Rows from which on a list is printed apart."""
_UNSIGNED = Signing()

Says = Callable[[str], None]
Progress = Callable[[int, int], None]
_Batch = list[tuple[Task | Sheets, Known]]
_Ready = tuple[int, list[Done]]
"""How many tasks are done, and their papers."""


@dataclass(slots=True)
class Written:
    """What was done: files written and files that were up to date, by path; and what is gone.

    ``unsigned`` are circuits that were to be signed and are not safe.
    """

    written: list[str] = field(default_factory=list)
    kept: list[str] = field(default_factory=list)
    gone: list[str] = field(default_factory=list)
    unsigned: list[str] = field(default_factory=list)


# --- in a worker ---------------------------------------------------------------------------------

_SETTING: list[Setting] = []


def _begin(setting: Setting) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # an interruption is for the first process
    _SETTING[:] = [setting]


def _work(batch: _Batch) -> _Ready | str:
    """The papers of several tasks, in a worker; an error comes back as its message."""
    try:
        return len(batch), [
            done for task, known in batch for done in papers_of(task, known, _SETTING[0])
        ]
    except SubsparkError as error:
        return str(error)


# --- all tasks -----------------------------------------------------------------------------------


def _tasks(
    assessment: Assessment, tags: Sequence[str], kinds: Sequence[str], names: dict[str, str]
) -> Iterator[Task]:
    plant = assessment.plant
    neighbours, allotted = Neighbours(plant), index_of(assessment)
    works = assessment.function
    said = {
        one.tag: Said(one.verdict, one.governing, one.utilisation, word(works.verdict(one.tag)))
        for one in assessment.summaries()
    }
    for tag in tags:
        papers = tuple((kind, f"{kind}/{names[tag]}") for kind in kinds)
        part = part_of(plant, tag, neighbours)
        own = allotted.of(one.tag for one in part.circuits)
        yield Task(tag, part, said[tag], own, papers)


def _sheets(assessment: Assessment, tags: Sequence[str], setting: Setting) -> Iterator[Sheets]:
    """Drawings of cables, cabinets and boxes; signed only with the whole plant."""
    names = _names_of_sheets(assessment)
    whole = len(tags) == len(assessment.plant.circuits)
    signing = setting.signing if whole else _UNSIGNED
    for one in plant_drawings(assessment, tags):
        stem = f"drawings/{one.sort}/{names[one]}"
        yield Sheets(stem, drawn(assessment, one, setting.paper, signing))


def _names_of_sheets(assessment: Assessment) -> dict[PlantDrawing, str]:
    """A file name for every drawing of the plant."""
    found: dict[PlantDrawing, str] = {}
    every = list(plant_drawings(assessment, [one.tag for one in assessment.plant.circuits]))
    for sort in dict.fromkeys(one.sort for one in every):
        names = file_names(one.name for one in every if one.sort == sort)
        found |= {PlantDrawing(sort, name): file for name, file in names.items()}
    return found


def _batches(tasks: Iterable[Task | Sheets], index: Index) -> Iterator[_Batch]:
    batch: _Batch = []
    for task in tasks:
        batch.append((task, index.known(task.stems)))
        if len(batch) == _BATCH:
            yield batch
            batch = []
    if batch:
        yield batch


def _here(tasks: Iterable[Task | Sheets], index: Index, setting: Setting) -> Iterator[_Ready]:
    """A few tasks, in this process."""
    for batch in _batches(tasks, index):
        for task, known in batch:
            yield 1, list(papers_of(task, known, setting))


def _spread(
    tasks: Iterable[Task | Sheets], index: Index, setting: Setting, jobs: int
) -> Iterator[_Ready]:
    """Many tasks, in worker processes; few batches are under way at once."""
    context = multiprocessing.get_context("spawn")
    pool = ProcessPoolExecutor(
        jobs,
        mp_context=context,
        initializer=_begin,
        initargs=(setting,),
        max_tasks_per_child=_BATCHES_A_WORKER,
    )
    batches = _batches(tasks, index)
    under_way: set[Future[_Ready | str]] = set()
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


def _lists(assessment: Assessment, folder: Path, index: Index, setting: Setting) -> Iterator[Done]:
    made = lists(assessment, setting.language)
    for one in made:
        told = sheet_of_list(assessment, one, paper=setting.paper, language=setting.language)
        path = f"lists/{one.key}.pdf"
        make = partial(_print_list, told)
        yield put(folder, path, key(encoded(told)), index.known([stem_of(path)]), make)
    digest = key(encoded([[one.key, one.rows] for one in made] + [setting.paper]))
    path = "lists/lists.xlsx"
    yield put(
        folder,
        path,
        digest,
        index.known([stem_of(path)]),
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


def _known_formats(formats: Sequence[str], what: str, known: Sequence[str]) -> tuple[str, ...]:
    if strange := [one for one in formats if one not in known]:
        raise UsageError(f"{what} as {strange[0]!r}: wanted one of {', '.join(known)}")
    if not formats:
        raise UsageError(f"no format of {what}; wanted one of {', '.join(known)}")
    return tuple(dict.fromkeys(formats))


def _unsigned(
    assessment: Assessment, wanted: Sequence[str], signing: Signing, *, named: bool
) -> list[str]:
    """Circuits that stay unsigned; those that were named for it are refused."""
    if not signing.signatures:
        return []
    said = {one.tag: one.verdict for one in assessment.summaries()}
    if named:
        signing.check((tag, said[tag]) for tag in wanted)
    return [tag for tag in wanted if said[tag] is not Verdict.SAFE]


_FOLDERS = {
    "drawings": ("drawings", "drawings/cables", "drawings/cabinets", "drawings/boxes"),
}


def _folder(folder: Path, kinds: Sequence[str]) -> None:
    inner = [one for kind in kinds for one in _FOLDERS.get(kind, (kind,))]
    try:
        for one in (folder, *(folder / name for name in inner)):
            one.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        why = "is a file; wanted a folder" if isinstance(error, FileExistsError) else error.strerror
        raise UsageError(f"{error.filename or folder}: {why}") from None


def write_papers(  # noqa: PLR0913 - the options of the command, each by its name
    assessment: Assessment,
    folder: str | Path,
    tags: Sequence[str] | None = None,
    *,
    kinds: Sequence[str] = KINDS,
    drawings: Sequence[str] = ("pdf",),
    inspection: Sequence[str] = ("pdf",),
    signing: Signing = _UNSIGNED,
    equivalents: bool = False,
    paper: str = "a4",
    language: str = "en",
    jobs: int | None = None,
    says: Says = lambda _: None,
    progress: Progress = lambda _done, _total: None,
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
        are always of the whole plant; cables, cabinets and boxes are drawn that show any of them.
    kinds : sequence of str
        Of "dossiers", "inspection", "lists" and "drawings".
    drawings : sequence of str
        How drawings are written: "pdf", "dxf", "svg" (a file for each sheet).
    inspection : sequence of str
        How inspection sheets are written: "pdf" (a form), "xlsx".
    signing : Signing
        Who signs; circuits that are not safe stay unsigned.
    equivalents : bool
        Whether dossiers list other types that may stand in.
    paper : str
        "a4" or "letter".
    language : str
        Of the fixed texts.
    jobs : int, optional
        Processes that print; by default one a core, four at most.
    says : callable
        Told what is being done.
    progress : callable
        Told how many circuits and plant drawings are done, and of how many; what it raises ends
        the printing, with what is written kept.

    Returns
    -------
    Written
        Which files were written, which were up to date, which stand in the folder for what is
        gone, and which circuits stayed unsigned.

    Raises
    ------
    UsageError
        A tag, kind, format, paper or language that is not there, a circuit named to be signed
        that is not safe, a missing package, or a folder that is a file.
    InputError
        A file cannot be written.
    """
    typst_library(), font_folder()
    if "inspection" in kinds and "pdf" in inspection:
        pikepdf_library()
    if paper not in PAPERS:
        raise UsageError(f"paper {paper!r}: wanted one of {', '.join(PAPERS)}")
    words(language)
    wanted = _checked(tags, assessment, kinds)
    formats = _known_formats(drawings, "drawings", FORMATS)
    if "dxf" in formats:
        drawn_by()
    forms = _known_formats(inspection, "inspection sheets", INSPECTION)
    found = Written()
    found.unsigned = _unsigned(assessment, wanted, signing, named=tags is not None)
    there = Path(folder)
    _folder(there, kinds)
    index = Index(there)
    plant, curves = assessment.plant, assessment.context.curves
    catalogue = catalogue_of(plant) if equivalents else None
    setting = Setting(
        str(there.resolve()), curves, paper, language, formats, forms, signing, catalogue
    )
    names = file_names(one.tag for one in plant.circuits)
    of_circuit = [kind for kind in kinds if kind in OF_CIRCUIT]
    tasks: list[Iterator[Task | Sheets]] = []
    total = 0
    if of_circuit:
        tasks.append(_tasks(assessment, wanted, of_circuit, names))
        total += len(wanted)
    if "drawings" in kinds:
        tasks.append(_sheets(assessment, wanted, setting))
        total += sum(1 for _ in plant_drawings(assessment, wanted))
    processes = min(4, os.cpu_count() or 1) if jobs is None else jobs
    try:
        if tasks:
            every = itertools.chain.from_iterable(tasks)
            few = processes <= 1 or len(wanted) <= _FEW
            made = (
                _here(every, index, setting) if few else _spread(every, index, setting, processes)
            )
            _count(made, index, found, total, says, progress)
        if "lists" in kinds:
            says("printing the lists of the plant")
            for done in _lists(assessment, there, index, setting):
                _note(done, index, found)
    finally:
        index.save()
    found.gone = _gone(assessment, index, names, found)
    return found


def _gone(assessment: Assessment, index: Index, names: dict[str, str], found: Written) -> list[str]:
    """Files of circuits and things that are gone, and sheets that a drawing has no longer."""
    stems = {f"{kind}/{name}" for kind in OF_CIRCUIT for name in names.values()}
    stems |= {f"drawings/{one.sort}/{name}" for one, name in _names_of_sheets(assessment).items()}
    now = {*found.written, *found.kept}
    made = {(stem_of(path), path.rpartition(".")[2]) for path in now}
    return sorted(
        path
        for path in index.entries
        if not path.startswith("lists/")
        and (
            stem_of(path) not in stems
            or (path not in now and (stem_of(path), path.rpartition(".")[2]) in made)
        )
    )


def _note(done: Done, index: Index, found: Written) -> None:
    index.note(done)
    (found.written if done.fresh else found.kept).append(done.path)


def _count(
    made: Iterable[_Ready],
    index: Index,
    found: Written,
    total: int,
    says: Says,
    progress: Progress,
) -> None:
    ready = 0
    for count, several in made:
        for done in several:
            _note(done, index, found)
        ready += count
        share = 100 * ready // max(total, 1)
        says(f"papers: {len(found.written) + len(found.kept):,} ready, {share} %")
        progress(ready, total)
