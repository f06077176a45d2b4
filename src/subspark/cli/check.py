"""``subspark check``: every circuit of a plant in one table, document or list."""

from __future__ import annotations

import argparse
import csv
import json
import sys
from collections.abc import Iterable, Iterator
from typing import Any

from subspark.assess import Assessment, Missing
from subspark.assess.findings import Summary
from subspark.assess.function.findings import word
from subspark.assess.words import percent
from subspark.cli.busy import Busy
from subspark.cli.judging import judged
from subspark.cli.paper import Cell, Column, Paper
from subspark.rules import Verdict

__all__ = ["cell", "check"]

JSON_VERSION = 1
_TOLD = 20  # circuits that are not safe, told one by one under the table
_RANKED = 12  # lines of what is missing
_WIDE = 100  # columns from which on there is room for a longer bar
_AREA = 4  # place of the area, behind both verdicts, tag and service
_STEP = 200  # findings between two signs of life


def check(arguments: argparse.Namespace) -> int:
    """Run the command."""
    with Busy(f"reading {arguments.plant}") as busy:
        assessment = judged(arguments.plant, arguments.tags, arguments.code, busy, arguments.curves)
        missing = assessment.missing() if arguments.missing else None
        document = (
            _document(assessment, arguments.only, missing, busy)
            if arguments.format == "json"
            else None
        )
    if document is not None:
        _write_json(document)
    elif arguments.format == "csv":
        _write_csv(assessment, arguments.only, missing)
    elif missing is not None:
        _print_missing(assessment, missing)
    else:
        _print_table(assessment, arguments.only, arguments.plant)
    return 0 if assessment.verdict_of_plant <= Verdict.SAFE else 1


def _shown(assessment: Assessment, only: str | None) -> Iterator[Summary]:
    if only == "failing":
        function = assessment.function
        return (
            one for one in assessment.summaries() if function.verdict(one.tag) is Verdict.UNSAFE
        )
    return (one for one in assessment.summaries() if only in (None, one.verdict.word))


# --- table ---------------------------------------------------------------------------------------


def _print_table(assessment: Assessment, only: str | None, path: str) -> None:
    paper = Paper()
    wide = paper.width is None or paper.width >= _WIDE
    columns: tuple[Column, ...] = (
        Column("verdict"),
        Column("tag"),
        Column("service", flexible=True),
        Column("area", flexible=True),
        Column("closest limit"),
        Column("used", right=True),
        Column(""),
    )
    rows = [_row(one, paper, 10 if wide else 5) for one in _shown(assessment, only)]
    if assessment.judges_function:
        columns = (columns[0], Column("function"), *columns[1:])
        for row, one in zip(rows, _shown(assessment, only), strict=True):
            row.insert(1, paper.verdict(word(assessment.function.verdict(one.tag))))
        if not wide:  # two verdicts leave no room for the area
            columns = tuple(one for one in columns if one.title != "area")
            rows = [row[:_AREA] + row[_AREA + 1 :] for row in rows]
    if rows:
        paper.table(columns, rows)
        paper.line("")
    _print_summary(assessment, paper)
    bad = [one for one in _shown(assessment, only) if one.verdict > Verdict.SAFE]
    if bad:
        paper.line("")
        _print_not_safe(assessment, bad, paper)
    if assessment.judges_function:
        _print_failing(assessment, only, paper)
    if paper.terminal:
        _print_next(bad, path, paper)


def _row(one: Summary, paper: Paper, cells: int) -> list[Cell | str]:
    used = "" if one.utilisation is None else percent(one.utilisation)
    return [
        paper.verdict(one.verdict.word),
        one.tag,
        one.service,
        one.area,
        one.governing,
        used,
        paper.bar(one.utilisation, cells, one.verdict.word),
    ]


def _print_summary(assessment: Assessment, paper: Paper) -> None:
    counts = assessment.counts
    total = len(assessment)
    noun = "circuit" if total == 1 else "circuits"
    said = ", ".join(f"{counts[word]:,} {word}" for word in ("safe", "unsafe", "unproven"))
    paper.line(Cell(f"{total:,} {noun}: {said}.", "title"))
    paper.text(f"By {assessment.context.code.title}.", style="quiet")
    if assessment.judges_function:
        works = assessment.function.counts
        names = {"works": "work", "fails": "fail", "unproven": "unproven"}
        said = ", ".join(f"{works[name]:,} {plural}" for name, plural in names.items())
        paper.text(f"Function, a question of its own: {said}.")


def _print_not_safe(assessment: Assessment, bad: list[Summary], paper: Paper) -> None:
    wide = max(len(one.tag) for one in bad[:_TOLD])
    for one in bad[:_TOLD]:
        sign = paper.verdict(one.verdict.word)
        head = f"{sign.text.split()[0]} {one.tag.ljust(wide)}  "
        room = paper.prose - len(head)
        lines = paper.prose_lines(assessment[one.tag].sentence, room)
        paper.line(Cell(head, sign.style), lines[0])
        for line in lines[1:]:
            paper.line(" " * len(head) + line)
    if len(bad) > _TOLD:
        paper.line(f"... and {len(bad) - _TOLD:,} more that are not safe.")


def _print_failing(assessment: Assessment, only: str | None, paper: Paper) -> None:
    """The circuits that do not work, each with what fails and what would mend it."""
    function = assessment.function
    tags = [one.tag for one in _shown(assessment, only)]
    failing = [tag for tag in tags if function.verdict(tag) is Verdict.UNSAFE]
    if not failing:
        return
    paper.line("")
    paper.line(Cell("Do not work:", "title"))
    wide = max(len(tag) for tag in failing[:_TOLD])
    for tag in failing[:_TOLD]:
        sign = paper.verdict("fails")
        head = f"{sign.text.split()[0]} {tag.ljust(wide)}  "
        lines = paper.prose_lines(function[tag].sentence, paper.prose - len(head))
        paper.line(Cell(head, sign.style), lines[0])
        for line in lines[1:]:
            paper.line(" " * len(head) + line)
    if len(failing) > _TOLD:
        paper.line(f"... and {len(failing) - _TOLD:,} more that do not work.")


def _print_next(bad: list[Summary], path: str, paper: Paper) -> None:
    if not bad:
        return
    paper.line("")
    paper.line(Cell(f"The working of one: subspark explain {path} {bad[0].tag}", "quiet"))
    if any(one.verdict is Verdict.UNPROVEN for one in bad):
        paper.line(Cell(f"What to ask for:    subspark check {path} --missing", "quiet"))


# --- what is missing -----------------------------------------------------------------------------


def _print_missing(assessment: Assessment, missing: list[Missing]) -> None:
    paper = Paper()
    _print_summary(assessment, paper)
    paper.line("")
    unproven = assessment.counts["unproven"]
    if not unproven:
        paper.line("Nothing is missing: no circuit is unproven.")
        return
    subject = "1 circuit is" if unproven == 1 else f"{unproven:,} circuits are"
    paper.text(
        f"{subject} unproven. What would settle most of them, in the order in which to ask "
        "for it; a circuit is settled when nothing is missing any more, be it safe then or not:"
    )
    paper.line("")
    wide = len("settled")
    head = f"  {'settled'.rjust(wide)}  {'touched'.rjust(wide)}  what to give"
    paper.line(Cell(head, "quiet"))
    start = 2 + wide + 2 + wide + 2
    settled = 0
    for one in missing[:_RANKED]:
        settled += one.settles
        numbers = f"  {settled:>{wide},}  {one.touches:>{wide},}  "
        lines = paper.prose_lines(f"{one.need} ({one.need.how})", paper.prose - start)
        paper.line(numbers, lines[0])
        for line in lines[1:]:
            paper.line(" " * start + line)
    paper.line("")
    if len(missing) > _RANKED:
        paper.line(f"... and {len(missing) - _RANKED:,} more (--format csv or json lists all).")
    paper.text(
        "settled: circuits settled by this and all above it; touched: circuits that lack it.",
        style="quiet",
    )


def _missing_rows(missing: Iterable[Missing]) -> Iterator[dict[str, Any]]:
    settled = 0
    for one in missing:
        settled += one.settles
        yield {
            "of": one.need.of,
            "what": one.need.what,
            "how": one.need.how,
            "settles": one.settles,
            "settled": settled,
            "alone": one.alone,
            "touches": one.touches,
        }


# --- documents -----------------------------------------------------------------------------------


def _document(
    assessment: Assessment, only: str | None, missing: list[Missing] | None, busy: Busy
) -> dict[str, Any]:
    plant = assessment.plant
    shown = list(_shown(assessment, only))
    circuits = []
    for number, one in enumerate(shown):
        if number % _STEP == 0:
            busy.says(f"working out {number:,} of {len(shown):,} circuits")
        circuits.append(assessment[one.tag].as_dict())
    out: dict[str, Any] = {
        "format": "subspark check",
        "version": JSON_VERSION,
        "plant": plant.name,
        "digest": plant.digest,
        "code": plant.code,
        "curves": assessment.context.curves.name,
        "counts": assessment.counts,
        "function": assessment.function.counts,
        "circuits": circuits,
    }
    if missing is not None:
        out["missing"] = list(_missing_rows(missing))
    return out


def _write_json(document: dict[str, Any]) -> None:
    """One line for each field, and one for each circuit: to be searched and compared by line."""
    fields = []
    for name, value in document.items():
        if isinstance(value, list) and value:
            inner = ",\n  ".join(_encoded(one) for one in value)
            fields.append(f"{_encoded(name)}: [\n  {inner}\n ]")
        else:
            fields.append(f"{_encoded(name)}: {_encoded(value)}")
    print("{\n " + ",\n ".join(fields) + "\n}")


def _encoded(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def cell(value: object) -> str:
    """A cell of a CSV file that no spreadsheet takes for a formula."""
    text = "" if value is None else str(value)
    numeric = isinstance(value, int | float)
    return f"'{text}" if text[:1] in tuple("=+-@\t\r") and not numeric else text


def _write_csv(assessment: Assessment, only: str | None, missing: list[Missing] | None) -> None:
    writer = csv.writer(sys.stdout, lineterminator="\n")
    if missing is not None:
        head = ("of", "what", "how", "settles", "settled", "alone", "touches")
        writer.writerow(head)
        writer.writerows([cell(row[name]) for name in head] for row in _missing_rows(missing))
        return
    writer.writerow(("tag", "service", "area", "verdict", "governing", "utilisation", "works"))
    writer.writerows(
        (
            cell(one.tag),
            cell(one.service),
            cell(one.area),
            one.verdict.word,
            one.governing,
            cell(one.utilisation),
            word(assessment.function.verdict(one.tag)),
        )
        for one in _shown(assessment, only)
    )
