"""The papers of a whole plant: which lists there are, and how each is printed."""

from __future__ import annotations

from typing import Any

from subspark.assess import Assessment
from subspark.errors import UsageError
from subspark.papers import cabling, cores, schedules
from subspark.papers.dossier import PAPERS
from subspark.papers.packages import engine_version
from subspark.papers.printing import encoded, print_pdf
from subspark.papers.schedules import Schedule, briefs, table_of
from subspark.papers.texts import Words, words

__all__ = ["LISTS", "lists", "print_list", "sheet_of_list"]

LISTS: dict[str, schedules.Maker] = {
    "register": schedules.register,
    "cables": cabling.cables,
    "labels": cabling.labels,
    "certificates": schedules.certificates,
    "assumptions": schedules.assumptions,
    "open": schedules.open_list,
    "boxes": cabling.boxes,
    "cores": cores.cores,
    "spares": cabling.spares,
    "lengths": cabling.lengths,
}
"""Every list, by its key, in the order of the workbook."""

_WIDE = 265.0
_REST = 34.0
_MOST_TAGGED = 2000
"""Cells up to which a list is tagged for screen readers; a longer file would grow tenfold."""


def lists(assessment: Assessment, language: str = "en") -> list[Schedule]:
    """Every list of a plant.

    Parameters
    ----------
    assessment : Assessment
        Of the whole plant.
    language : str
        Of the fixed texts.
    """
    say, told = words(language), briefs(assessment)
    return [make(assessment, told, say) for make in LISTS.values()]


def summary(assessment: Assessment, say: Words) -> str:
    """Counts, code and table in one line."""
    counts = assessment.counts
    return say(
        "schedules.summary",
        len(assessment),
        counts["safe"],
        counts["unsafe"],
        counts["unproven"],
        assessment.context.code.title,
        assessment.context.curves.name,
    )


def _widths(schedule: Schedule) -> list[float]:
    rest = max(_REST, _WIDE - sum(one.wide for one in schedule.columns))
    return [one.wide or rest for one in schedule.columns]


def sheet_of_list(
    assessment: Assessment, schedule: Schedule, *, paper: str = "a4", language: str = "en"
) -> dict[str, Any]:
    """Everything that a list prints, as plain data."""
    if paper not in PAPERS:
        raise UsageError(f"paper {paper!r}: wanted one of {', '.join(PAPERS)}")
    say = words(language)
    head, rows = table_of(schedule, say)
    digest = assessment.plant.digest
    return {
        "paper": paper,
        "language": language,
        "title": say(f"schedules.{schedule.key}"),
        "summary": summary(assessment, say),
        "note": say(f"schedule_notes.{schedule.key}"),
        "head": {
            "plant": assessment.plant.name,
            "kind": say("schedules.kind"),
            "tag": say(f"schedules.{schedule.key}"),
            "number": "",
            "revision": say("schedules.plant", digest[:16]),
            "mark": "",
        },
        "digest": digest,
        "columns": [
            {"head": title, "wide": wide, "sort": one.sort}
            for title, wide, one in zip(head, _widths(schedule), schedule.columns, strict=True)
        ],
        "rows": rows,
        "by": f"subspark {engine_version()} · {assessment.context.code.title}",
        "words": {name: say.section(name) for name in ("sheet", "schedules")},
    }


def print_list(sheet: dict[str, Any]) -> bytes:
    """Typeset a list."""
    cells = len(sheet["rows"]) * len(sheet["columns"])
    return print_pdf(
        "schedule", {"sheet": encoded(sheet), "by": sheet["by"]}, tags=cells <= _MOST_TAGGED
    )
