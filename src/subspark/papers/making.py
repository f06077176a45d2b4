"""The papers of one circuit and the drawings of one cable, cabinet or box, as files."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import NamedTuple

from subspark.assess import Assessment, assess
from subspark.model import Plant
from subspark.papers.attachment import (
    Said,
    dossier_of_part,
    look_of_others,
    made_by,
)
from subspark.papers.drawings import Drawing, installation_drawing
from subspark.papers.drawings.allotment import Index as Allotment
from subspark.papers.drawings.allotment import use_index
from subspark.papers.drawings.pdf import plain_shapes
from subspark.papers.equivalents import equivalents_of, with_types, within
from subspark.papers.folder import Done, Known, put, sha
from subspark.papers.inspection import inspection_sheet, print_inspection
from subspark.papers.inspection_book import inspection_workbook
from subspark.papers.packages import drawn_by, formed_by
from subspark.papers.plant_drawings import fields_of, size_of
from subspark.papers.printing import encoded
from subspark.papers.signing import Signing
from subspark.physics.ignition import Curves

__all__ = ["INSPECTION", "OF_CIRCUIT", "Setting", "Sheets", "Task", "key", "papers_of"]

OF_CIRCUIT = ("dossiers", "inspection", "drawings")
"""Papers that each circuit has."""
INSPECTION = ("pdf", "xlsx")
"""How inspection sheets can be written."""


class Setting(NamedTuple):
    """What every worker is told once.

    ``formats`` is how drawings are written, ``inspection`` how inspection sheets are;
    ``catalogue`` is the plant without its circuits, where types that may stand in are wanted.
    """

    folder: str
    curves: Curves
    paper: str
    language: str
    formats: tuple[str, ...]
    inspection: tuple[str, ...]
    signing: Signing
    catalogue: Plant | None


class Task(NamedTuple):
    """One circuit for a worker: its part of the plant, and where its papers go."""

    tag: str
    part: Plant
    said: Said
    allotted: Allotment
    papers: tuple[tuple[str, str], ...]
    """Kind and stem of each paper wanted."""

    @property
    def stems(self) -> tuple[str, ...]:
        """Where its papers go."""
        return tuple(stem for _, stem in self.papers)


class Sheets(NamedTuple):
    """A drawing for a worker, and where it goes."""

    stem: str
    drawing: Drawing

    @property
    def stems(self) -> tuple[str, ...]:
        """Where it goes."""
        return (self.stem,)


def key(data: str) -> str:
    """Digest of what decides a paper that carries no attachment."""
    return sha(encoded([data, made_by(), look_of_others()]).encode())


class _Circuit:
    """One circuit at work: judged once for all its papers."""

    def __init__(self, task: Task, known: Known, setting: Setting) -> None:
        self.task, self.known, self.setting = task, known, setting
        self.folder = Path(setting.folder)
        self.signing = setting.signing.under(task.said.verdict)
        self._part: Assessment | None = None

    @property
    def part(self) -> Assessment:
        """The judged part, with the allotment of the whole."""
        if self._part is None:
            self._part = assess(self.task.part, (self.task.tag,), curves=self.setting.curves)
            use_index(self._part, self.task.allotted)
        return self._part

    def _put(self, path: str, data: str, make: Callable[[], bytes]) -> Done:
        return put(self.folder, path, data, self.known, make)

    def dossiers(self, stem: str) -> Iterator[Done]:
        """The dossier."""
        task, setting = self.task, self.setting
        part, chosen = task.part, None
        if (whole := setting.catalogue) is not None:
            chosen = equivalents_of(within(part, whole), task.tag, setting.curves)
            part = with_types(part, whole, chosen)
        made = dossier_of_part(
            part,
            task.tag,
            task.said,
            setting.curves,
            paper=setting.paper,
            signing=self.signing,
            language=setting.language,
            equivalents=chosen,
        )
        yield self._put(f"{stem}.pdf", made.digest, made.pdf)

    def inspection(self, stem: str) -> Iterator[Done]:
        """The inspection sheet."""
        setting = self.setting
        told = inspection_sheet(
            self.part, self.task.tag, paper=setting.paper, language=setting.language
        )
        data = key(encoded(told))
        for form in setting.inspection:
            if form == "xlsx":
                yield self._put(f"{stem}.xlsx", data, partial(inspection_workbook, told))
            else:
                formed = sha((data + formed_by()).encode())
                yield self._put(f"{stem}.pdf", formed, partial(print_inspection, told))

    def drawings(self, stem: str) -> Iterator[Done]:
        """The installation drawing."""
        size, _ = size_of(self.setting.paper)
        fields = fields_of(self.signing)
        drawing = installation_drawing(self.part, self.task.tag, size, fields=fields)
        yield from _files(drawing, stem, self.known, self.setting)


def _svg(drawing: Drawing, sheet: int) -> bytes:
    return drawing.svg(sheet).encode()


def _files(drawing: Drawing, stem: str, known: Known, setting: Setting) -> Iterator[Done]:
    """A drawing in every format that is wanted."""
    folder = Path(setting.folder)
    shapes = encoded([drawing.title, [plain_shapes(one) for one in drawing.sheets]])
    data = key(shapes)
    for form in setting.formats:
        if form == "svg":
            count = len(drawing.sheets)
            for nth in range(1, count + 1):
                path = f"{stem}.svg" if count == 1 else f"{stem}~{nth}.svg"
                yield put(folder, path, data, known, partial(_svg, drawing, nth))
        elif form == "dxf":
            yield put(folder, f"{stem}.dxf", sha((data + drawn_by()).encode()), known, drawing.dxf)
        else:
            yield put(folder, f"{stem}.pdf", data, known, drawing.pdf)


def papers_of(task: Task | Sheets, known: Known, setting: Setting) -> Iterator[Done]:
    """Every paper of a task.

    Parameters
    ----------
    task : Task or Sheets
        What is wanted.
    known : dict
        What stood in the folder under its stems.
    setting : Setting
        What holds for all.
    """
    if isinstance(task, Sheets):
        yield from _files(task.drawing, task.stem, known, setting)
        return
    circuit = _Circuit(task, known, setting)
    for kind, stem in task.papers:
        make: Callable[[str], Iterator[Done]] = getattr(circuit, kind)
        yield from make(stem)
