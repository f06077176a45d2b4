"""The working of a circuit as plain data for a template: which blocks, with which texts."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from subspark.assess.tree import Block, Check, Line, Reference, Section, Stairs, Table
from subspark.assess.words import percent

__all__ = ["check_row", "plain_section", "rows_of_checks"]

Plain = dict[str, Any]


def check_row(one: Check) -> Plain:
    """A rule with its numbers, ready for a row of the table of rules."""
    return {
        "rule": one.rule,
        "verdict": one.verdict,
        "says": one.says,
        "relation": one.relation,
        "numbers": one.numbers,
        "used": "" if one.utilisation is None else percent(one.utilisation),
        "share": None if one.utilisation is None else min(one.utilisation, 1.0),
        "clause": one.clause,
        "remedy": one.remedy,
    }


def rows_of_checks(section: Section) -> list[Plain]:
    """Every rule of a section."""
    return [check_row(one) for one in section.blocks if isinstance(one, Check)]


def _line(one: Line, label: str) -> Plain:
    return {"sort": "line", "label": label, "text": one.text, "refs": list(one.refs)}


def _stairs(one: Stairs) -> Plain:
    return {
        "sort": "stairs",
        "title": one.title,
        "at": one.at,
        "steps": [
            {"label": step.label, "change": step.change, "left": step.left, "share": step.share}
            for step in one.steps
        ],
        "left": one.left,
        "needed": one.needed,
        "left_share": one.left_share,
        "needed_share": one.needed_share,
    }


def _blocks(blocks: tuple[Block, ...]) -> Iterator[Plain]:
    before: Block | None = None
    for one in blocks:
        match one:
            case Line():
                again = isinstance(before, Line) and before.label == one.label
                yield _line(one, "" if again else one.label.strip())
            case Table():
                yield {"sort": "table", "head": list(one.head), "rows": [list(r) for r in one.rows]}
            case Check():
                yield {"sort": "check", **check_row(one)}
            case Reference():
                yield {
                    "sort": "line",
                    "label": f"[{one.number}]",
                    "text": f"{one.text}: {'; '.join(one.of)}",
                    "refs": [],
                }
            case Stairs():
                yield _stairs(one)
        before = one


def plain_section(section: Section) -> Plain:
    """A section with its blocks as plain data."""
    return {"key": section.key, "title": section.title, "blocks": list(_blocks(section.blocks))}
