"""``subspark explain``: the whole working of one circuit."""

from __future__ import annotations

import argparse
import json

from subspark.assess.tree import Block, Check, Line, Reference, Stairs, Table, Working
from subspark.assess.words import percent
from subspark.assess.working import working
from subspark.cli.busy import Busy
from subspark.cli.judging import judged
from subspark.cli.paper import Cell, Column, Paper, width_of

__all__ = ["explain"]

JSON_VERSION = 1
_WIDEST_LABEL = 24
_INDENT = 2
_LEAST_BAR, _MOST_BAR = 10, 24


def explain(arguments: argparse.Namespace) -> int:
    """Run the command."""
    with Busy(f"reading {arguments.plant}") as busy:
        assessment = judged(
            arguments.plant, [arguments.tag], arguments.code, busy, arguments.curves
        )
        told = working(assessment, arguments.tag)
        finding = assessment[arguments.tag]
    if arguments.format == "json":
        document = {
            "format": "subspark explain",
            "version": JSON_VERSION,
            "plant": assessment.plant.name,
            "digest": assessment.plant.digest,
            "code": assessment.plant.code,
            "curves": assessment.context.curves.name,
            "finding": finding.as_dict(),
            "working": told.as_dict(),
        }
        print(json.dumps(document, ensure_ascii=False, indent=1, allow_nan=False))
    else:
        print_working(told, Paper())
    return 0


def print_working(told: Working, paper: Paper) -> None:
    """Write a working section by section."""
    sign = paper.verdict(told.verdict)
    head = f"{told.tag}  {told.service}" if told.service else told.tag
    room = max(2, paper.prose - width_of(head) - width_of(sign.text))
    paper.line(Cell(head, "title"), " " * room, sign)
    paper.line("")
    for line in paper.prose_lines(told.sentence, paper.prose):
        paper.line(Cell(line, told.verdict))
    paper.line("")
    first, *rest = told.sections
    _print_blocks(first.blocks[1:], paper, 0)
    for number, section in enumerate(rest, 1):
        paper.line("")
        paper.line(Cell(f"{number}. {section.title}", "title"))
        _print_blocks(section.blocks, paper, _INDENT)


def _print_blocks(blocks: tuple[Block, ...], paper: Paper, indent: int) -> None:
    labels = [width_of(one.label) for one in blocks if isinstance(one, Line)]
    wide = min(_WIDEST_LABEL, max(labels, default=0))
    before: Block | None = None
    for block in blocks:
        if isinstance(block, Line):
            if isinstance(before, Check):
                paper.line("")
            again = isinstance(before, Line) and block.label == before.label
            _print_line(block, paper, wide, indent, "" if again else block.label)
        elif isinstance(block, Table):
            columns = [Column(title, flexible=i == 0) for i, title in enumerate(block.head)]
            paper.table(columns, block.rows, indent)
        elif isinstance(block, Stairs):
            _print_stairs(block, paper, indent)
        elif isinstance(block, Reference):
            said = f"{block.text}: {'; '.join(block.of)}"
            paper.labelled(f"[{block.number}]", said, 4, indent)
        else:
            if before is not None:
                paper.line("")
            _print_check(block, paper, indent)
        before = block


def _print_stairs(told: Stairs, paper: Paper, indent: int) -> None:
    """A budget as a staircase: each step with its change, what is left, and a bar."""
    paper.line("")
    at = f", {told.at}, worst corner" if told.at else ", worst corner"
    paper.text(f"{told.title}{at}:", indent)
    cells = max(_LEAST_BAR, min(_MOST_BAR, paper.prose // 4))
    columns = [
        Column("step", flexible=True),
        Column("change", right=True),
        Column("left", right=True),
        Column(""),
    ]
    rows: list[list[Cell | str]] = [
        [one.label, one.change, one.left, paper.bar(one.share, cells, "")] for one in told.steps
    ]
    rows.append(["needed", "", told.needed, paper.bar(told.needed_share, cells, "quiet")])
    paper.table(columns, rows, indent + 2)


def _print_line(line: Line, paper: Paper, wide: int, indent: int, label: str) -> None:
    refs = f"  [{', '.join(str(one) for one in line.refs)}]" if line.refs else ""
    if wide:
        paper.labelled(label, line.text + refs, wide, indent)
    else:
        paper.text(line.text + refs, indent)


def _print_check(one: Check, paper: Paper, indent: int) -> None:
    sign = paper.verdict(one.verdict)
    used = "" if one.utilisation is None else f"{percent(one.utilisation)} used, "
    glyph, word = sign.text.split(" ", 1)
    head = f"{glyph} {one.rule}"
    room = max(2, paper.prose - indent - width_of(head) - len(used) - len(word))
    space = " " * indent
    paper.line(space, Cell(f"{glyph} ", sign.style), Cell(one.rule, "title"), " " * room, used,
               Cell(word, sign.style))  # fmt: skip
    inner = indent + 2
    paper.text(one.says, inner)
    paper.labelled("relation", one.relation, 8, inner)
    paper.labelled("here", one.numbers, 8, inner)
    paper.labelled("clause", one.clause, 8, inner)
    if one.remedy:
        paper.labelled("remedy", one.remedy, 8, inner)
