"""Long work of the desk: reading a file, taking it over, judging what waits."""

from __future__ import annotations

import dataclasses
import json
import secrets
import tempfile
import zipfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import transaction

from subspark.errors import PlantError, SubsparkError, UsageError
from subspark.exchange import read_plant
from subspark.exchange.cells import is_blank, shown
from subspark.exchange.index import Index, Layout, read_index
from subspark.exchange.workbook_open import Rows, open_workbook
from subspark.exchange.workbook_part import clean_part
from subspark.model import Plant
from subspark.store import choosing, jobs, plants, register, verdicts
from subspark.store.kinds import KINDS
from subspark.store.models import JobRow, Membership, PlantRow, VerdictRow

__all__ = ["KEPT_PAPERS", "begin", "incoming", "keep_upload", "printed", "resume"]

_MOST_FAULTS = 500
_AROUND = 8  # cells shown beside a bad one
_SUFFIXES = (".xlsx", ".ods", ".json")
_PRINTERS = 2
"""Processes that print many papers; each is replaced after a while, which bounds memory."""
_SOME = 200
KEPT_PAPERS = 10
"""Papers that are kept of a plant, the latest."""


def begin() -> None:
    """Name every sort of work to the queue."""
    jobs.register("read", read)
    jobs.register("take", take)
    jobs.register("judge", judge)
    jobs.register("fewest", fewest)
    jobs.register("papers", papers)


def incoming(name: str) -> Path:
    """Where a file that was brought is kept until it is taken over."""
    return Path(settings.SUBSPARK_FOLDER) / "incoming" / name


def keep_upload(chunks: Any, title: str, largest: int) -> str:  # noqa: ANN401 - an upload's chunks
    """Keep a file that was brought, under a name of ours; that name.

    Raises
    ------
    UsageError
        It is no plant file by its name, or too large.
    """
    suffix = Path(title).suffix.lower()
    if suffix not in _SUFFIXES:
        raise UsageError(f"{title}: wanted a workbook (.xlsx, .ods) or a document (.json)")
    name = secrets.token_hex(16) + suffix
    path = incoming(name)
    path.parent.mkdir(parents=True, exist_ok=True)
    size = 0
    try:
        with path.open("xb") as file:
            for chunk in chunks:
                size += len(chunk)
                if size <= largest:
                    file.write(chunk)
    finally:
        if size > largest:
            path.unlink(missing_ok=True)
    if size > largest:
        raise UsageError(f"{title}: larger than {largest // 2**20} MB")
    return name


def _plain(error: Exception, path: Path, title: str) -> str:
    """A message with the name that the person knows in place of ours."""
    return str(error).replace(str(path), title)


# --- reading -------------------------------------------------------------------------------------


def read(job: jobs.Job) -> dict[str, Any]:
    """Read a file: what is in it, or every fault with its cells, and what could be taken over."""
    path = incoming(job.given["file"])
    title = job.given["title"]
    job.report(0, 3, "reading the file")
    if job.given.get("layout"):
        return _read_index(job, path)
    try:
        plant = read_plant(path)
    except PlantError as error:
        job.report(1, 3, "looking for the clean part")
        return _faulty(error, path, title)
    except (SubsparkError, OSError) as error:
        if "no plant workbook" in str(error) and job.row.plant_id:
            return {"clean": False, "index": True, "count": 0, "faults": []}
        raise UsageError(_plain(error, path, title)) from None
    job.report(2, 3, "comparing")
    found = {"clean": True, "faults": [], "count": 0, **_contents(plant)}
    if job.row.plant_id:
        found["edits"] = _compared(job.row.plant_id, plant)
    return found


def _index(job: jobs.Job, path: Path) -> Index:
    """The index of a job laid over its plant."""
    given = job.given["layout"]
    layout = Layout(given["sheet"], given["heading"], given["columns"])
    return read_index(path, layout, plants.whole(int(job.row.plant_id)))


def _read_index(job: jobs.Job, path: Path) -> dict[str, Any]:
    """Read an index by its layout: what it would change, or every fault at its cell."""
    index = _index(job, path)
    plant, faults = index.read()
    if plant is not None:
        edits = _compared(job.row.plant_id, plant)
        return {"clean": True, "faults": [], "count": 0, **_contents(plant), "edits": edits}
    listed = [{"where": one.where, "value": one.value, "wanted": one.wanted} for one in faults]
    found: dict[str, Any] = {"clean": False, "count": len(faults), "faults": listed[:_MOST_FAULTS]}
    sheet, heading = index.layout.sheet, index.layout.heading
    _put_cells(found["faults"], {sheet: [index.rows[heading - 1], *index.rows[1:]]})
    found["layout"] = True
    return found


def _contents(plant: Plant) -> dict[str, Any]:
    return {
        "name": plant.name,
        "code": plant.code,
        "counts": {kind: len(getattr(plant, kind)) for kind in KINDS},
    }


def _compared(plant: int, other: Plant) -> dict[str, Any]:
    edits = plants.replacing(plant, other, remove=True)
    told: dict[str, list[str]] = {"new": [], "changed": [], "gone": []}
    for one in edits:
        word = "gone" if one.record is None else "new" if one.version == 0 else "changed"
        told[word].append(f"{one.key[0]}: {one.key[1]}")
    return {word: {"count": len(names), "some": names[:30]} for word, names in told.items()}


def _faulty(error: PlantError, path: Path, title: str) -> dict[str, Any]:
    faults = [
        {"where": one.where, "value": one.value, "wanted": one.wanted} for one in error.faults
    ]
    found: dict[str, Any] = {"clean": False, "count": len(faults), "faults": faults[:_MOST_FAULTS]}
    if path.suffix == ".json":
        return found
    _put_cells(found["faults"], dict(open_workbook(path)))
    try:
        part = clean_part(path)
    except PlantError as stuck:
        found["no_part"] = [str(one) for one in stuck.faults[:20]]
        return found
    found["part"] = _contents(part.plant)
    found["left_out"] = [
        [kind, name, _plain_text(why, path, title)] for (kind, name), why in part.left_out.items()
    ][:_MOST_FAULTS]
    return found


def _plain_text(text: str, path: Path, title: str) -> str:
    return text.replace(str(path), title)


def _put_cells(faults: list[dict[str, Any]], sheets: Mapping[str, Rows]) -> None:
    """Beside each fault the cells of its row, so that it is known by sight."""
    for fault in faults:
        sheet, row, column = _spot(fault["where"])
        fault.update(sheet=sheet, row=row, column=column, cells=[])
        rows = sheets.get(sheet, [])
        if not 1 < row <= len(rows):
            continue
        heads = [shown(cell) if not is_blank(cell) else "" for cell in rows[0]]
        cells = [shown(cell) if not is_blank(cell) else "" for cell in rows[row - 1]]
        pairs = [
            (head, cell, head == column)
            for head, cell in zip(heads, [*cells, *[""] * len(heads)], strict=False)
            if head and (cell or head == column)
        ]
        bad = next((at for at, one in enumerate(pairs) if one[2]), 0)
        first = pairs[:2] if bad >= 2 else []
        start = max(len(first), bad - _AROUND // 2)
        fault["cells"] = [*first, *pairs[start : start + _AROUND - len(first)]]


def _spot(where: str) -> tuple[str, int, str]:
    """Sheet, row and column of ``sheet Circuits, row 14, column Area``."""
    sheet, _, rest = where.removeprefix("sheet ").partition(", row ")
    number, _, column = rest.partition(", column ")
    return sheet, int(number) if number.isdecimal() else 0, column


# --- taking over ---------------------------------------------------------------------------------


def take(job: jobs.Job) -> dict[str, Any]:
    """Take a file over: as a new plant, or into one that is there; then judge it."""
    given = job.given
    path = incoming(given["file"])
    if given.get("taken"):
        plant = int(given["taken"])
    else:
        job.report(0, 1, "reading the file")
        whole = _wanted(job, path)
        job.report(0, 1, "writing the records")
        plant = _taken(job, whole)
    total = plants.rejudge(plant, lambda done, of: job.report(done, of, "judging circuits"))
    path.unlink(missing_ok=True)
    slug = PlantRow.objects.values_list("slug", flat=True).get(pk=plant)
    return {"slug": slug, "judged": total}


def _wanted(job: jobs.Job, path: Path) -> Plant:
    """The plant of a file, or its clean part, as it was asked for."""
    if not job.given.get("layout"):
        return clean_part(path).plant if job.given.get("part") else read_plant(path)
    plant, faults = _index(job, path).read()
    if plant is None:
        raise PlantError(faults, job.given["title"])
    return plant


def _taken(job: jobs.Job, whole: Plant) -> int:
    """Write the plant and note in the job that it is written, both or neither."""
    given, person = job.given, job.row.person
    with transaction.atomic():
        if job.row.plant_id is None:
            if given.get("name"):
                whole = dataclasses.replace(whole, name=given["name"])
            row = plants.create(whole, given["why"], person)
            if person is not None:
                Membership.objects.get_or_create(
                    plant=row, person=person, defaults={"role": "administrator"}
                )
            plant = row.pk
        else:
            plant = job.row.plant_id
            edits = plants.replacing(plant, whole, remove=bool(given.get("remove")))
            plants.change(plant, edits, given["why"], person)
        job.given["taken"] = plant
        JobRow.objects.filter(pk=job.row.pk).update(given=json.dumps(job.given), plant_id=plant)
    return plant


def resume() -> None:
    """Ask for what waits to be judged.

    That is what a server left that ended, and everything where the program is another version
    than judged last, or the ignition table another.
    """
    verdicts.renew()
    waiting = VerdictRow.objects.filter(stale=True).values("plant")
    asked = JobRow.objects.filter(sort="judge", state__in=("waiting", "running")).values("plant")
    for row in PlantRow.objects.filter(pk__in=waiting).exclude(pk__in=asked):
        jobs.ask("judge", "Judging circuits", row, None, {"plant": row.pk})


def judge(job: jobs.Job) -> dict[str, Any]:
    """Judge the circuits that wait."""
    plant = int(job.given["plant"])
    done = plants.rejudge(plant, lambda done, of: job.report(done, of, "judging circuits"))
    return {"judged": done}


# --- choosing and printing -----------------------------------------------------------------------


def fewest(job: jobs.Job) -> dict[str, Any]:
    """The fewest types that serve the plant, as a change to be looked at."""
    from subspark.choose.fewest import Ask

    given = job.given
    ask = Ask(
        margin=given["margin"],
        order=given["order"],
        spare=given["spare"],
        time_limit=given["time_limit"],
        forbidden=tuple(given["forbidden"]),
        of=given.get("of", "sources"),
    )
    limit = max(1, round(given["time_limit"]))

    def told(progress: Any) -> bool:  # noqa: ANN401 - the optimiser's own
        passed = min(limit - 1, int(progress.seconds))
        try:
            job.report(passed, limit, _far(progress))
        except jobs.StoppedError:
            return False
        return True

    job.report(0, limit, "fitting every type to every circuit")
    plant = int(job.row.plant_id)
    found = choosing.standard(plant, ask, told)
    if job.stopped():
        raise jobs.StoppedError("stopped")
    return {
        "types_before": found.types_before,
        "types_after": found.types_after,
        "unserved_types": found.types_unserved,
        "lost": max(0, len(found.result.unserved) - len(found.first.unserved)),
        "proved": found.types_proved if ask.order == "types" else found.proved,
        "status": found.result.status,
        "kept": len(found.result.chosen),
        "kept_least": found.first.types_bound,
        "gap": None if not found.priced else found.gap,
        "quick": found.result.quick_types,
        "seconds": found.result.seconds,
        "lines": [[one.name, one.maker, one.before, one.after, one.bought] for one in found.lines],
        "misses": [[one.tag, one.nearest, one.reason] for one in found.misses],
        "left": list(found.left),
        "edits": len(found.change.edits),
        "change": found.change.as_dict() if found.change.edits else None,
    }


def _far(progress: Any) -> str:  # noqa: ANN401 - the optimiser's own
    """How far a search for fewer types has come, in words."""
    types = f"{progress.types} types found, {progress.types_bound} are needed at least"
    return f"{types}; cost within {100 * progress.gap:.2g} % of the least"


def printed(number: int) -> Path:
    """Where the papers of a job lie."""
    return Path(settings.SUBSPARK_FOLDER) / "papers" / f"{number}.zip"


def _wanted_tags(job: jobs.Job) -> list[str] | None:
    """The circuits whose papers are wanted; None for the whole plant."""
    plant = int(job.row.plant_id)
    if job.given.get("tags"):
        return list(job.given["tags"])
    if not job.given.get("filter"):
        return None
    found = register.tags(plant, register.terms(job.given["filter"]))
    if not found:
        raise UsageError("no circuit fits this filter any more")
    return found


def papers(job: jobs.Job) -> dict[str, Any]:
    """Print papers into one file to be fetched."""
    from subspark.papers.signing import Signature, Signing
    from subspark.papers.writing import write_papers
    from subspark.store.judging import judge as judged

    given = job.given
    tags = _wanted_tags(job)
    plant = plants.whole(int(job.row.plant_id))
    job.report(0, 1, "judging the plant")
    assessment = judged(plant, [one.tag for one in plant.circuits])
    signatures = tuple(Signature(*one) for one in given.get("signatures", ()))
    path = printed(job.row.pk)
    path.parent.mkdir(parents=True, exist_ok=True)
    part = path.with_suffix(".part")
    with tempfile.TemporaryDirectory(prefix="subspark-") as folder:
        done = write_papers(
            assessment,
            folder,
            tags,
            kinds=given["kinds"],
            drawings=given.get("drawings") or ("pdf",),
            inspection=given.get("inspection") or ("pdf",),
            signing=Signing(signatures, given.get("reason", "")),
            equivalents=bool(given.get("equivalents")),
            paper=given["paper"],
            jobs=_PRINTERS,
            progress=lambda ready, total: job.report(ready, total + 1, "printing"),
        )
        files = sorted(one for one in Path(folder).rglob("*") if one.is_file())
        try:
            with zipfile.ZipFile(part, "w", zipfile.ZIP_DEFLATED) as whole:
                for number, file in enumerate(files):
                    whole.write(file, file.relative_to(folder))
                    job.report(number, len(files) + 1, "packing")
            part.replace(path)
        finally:
            part.unlink(missing_ok=True)
    _let_go(job)
    return {"papers": len(done.written), "fetch": job.row.pk, "unsigned": done.unsigned[:_SOME]}


def _let_go(job: jobs.Job) -> None:
    """Remove older papers of the plant; the page lists the latest only."""
    rows = JobRow.objects.filter(plant_id=job.row.plant_id, sort="papers", state="done")
    for number in rows.order_by("-pk").values_list("pk", flat=True)[KEPT_PAPERS - 1 :]:
        printed(number).unlink(missing_ok=True)
