"""``subspark papers`` and ``subspark reproduce``: papers of a plant, and worked out again."""

from __future__ import annotations

import argparse
from pathlib import Path

from subspark.cli.busy import Busy
from subspark.cli.judging import judged
from subspark.cli.paper import Cell, Paper
from subspark.exchange.curve_store import curves_in_use
from subspark.papers.reproduce import Outcome, Reproduced
from subspark.papers.reproduce import reproduce as worked_out
from subspark.papers.signing import ROLES, Signature, Signing
from subspark.papers.writing import INDEX, KINDS, Written, write_papers

__all__ = ["papers", "reproduce"]

_TOLD = 5
_WHAT = {
    "dossiers": "circuits",
    "inspection": "circuits",
    "lists": "the plant",
    "drawings": "circuits",
    "drawings/cables": "cables with several circuits",
    "drawings/cabinets": "earth bars of cabinets",
    "drawings/boxes": "terminals of boxes",
}
_SAID = {
    Outcome.IDENTICAL: ("identical", "safe"),
    Outcome.DIFFERENT: ("different", "unproven"),
    Outcome.NOT_OURS: ("not ours, or changed", "unsafe"),
}


def papers(arguments: argparse.Namespace) -> int:
    """Write the papers of a plant."""
    kinds = tuple(dict.fromkeys(arguments.only)) if arguments.only else KINDS
    drawings, inspection = _listed(arguments.drawings), _listed(arguments.inspection)
    signing = _signing(arguments)
    with Busy(f"reading {arguments.plant}") as busy:
        assessment = judged(arguments.plant, (), arguments.code, busy, arguments.curves)
        found = write_papers(
            assessment,
            arguments.output,
            arguments.tags or None,
            kinds=kinds,
            drawings=drawings,
            inspection=inspection,
            signing=signing,
            equivalents=arguments.equivalents,
            paper=arguments.paper,
            jobs=arguments.jobs,
            says=busy.says,
        )
    _tell(found, Path(arguments.output))
    return 0


def _listed(text: str) -> list[str]:
    return [one.strip() for one in text.split(",") if one.strip()]


def _signing(arguments: argparse.Namespace) -> Signing:
    given = [(role, getattr(arguments, role)) for role in ROLES]
    signatures = tuple(Signature(role, *one) for role, one in given if one is not None)
    return Signing(signatures, arguments.reason)


def _some(names: list[str]) -> str:
    more = f" and {len(names) - _TOLD:,} more" if len(names) > _TOLD else ""
    return f"{', '.join(names[:_TOLD])}{more}"


def _tell(found: Written, folder: Path) -> None:
    written, kept = len(found.written), len(found.kept)
    noun = "paper" if written == 1 else "papers"
    print(f"{folder}: {written:,} {noun} written, {kept:,} up to date.")
    every = (*found.written, *found.kept)
    for kind in (*KINDS, "drawings/cables", "drawings/cabinets", "drawings/boxes"):
        count = sum(path.rpartition("/")[0] == kind for path in every)
        if count:
            print(f"  {folder / kind}: {count:,} of {_WHAT[kind]}")
    if found.unsigned:
        print(f"Not signed, for they are not safe: {_some(found.unsigned)}.")
    if found.gone:
        print(f"Of what is gone, still in the folder: {_some(found.gone)}.")
    print(f"What each holds is in {folder / INDEX}; subspark reproduce works a dossier out again.")


def reproduce(arguments: argparse.Namespace) -> int:
    """Work dossiers out again from their attachments, and compare."""
    curves = curves_in_use(arguments.curves)
    paper, worst = Paper(), Outcome.IDENTICAL
    count = len(arguments.files)
    with Busy("working papers out again") as busy:
        results = []
        for number, file in enumerate(arguments.files, 1):
            if count > 1:
                busy.says(f"working out {number:,} of {count:,}: {file}")
            results.append((file, worked_out(file, curves)))
    for file, found in results:
        _say(file, found, paper)
        worst = max(worst, found.outcome)
    if count > 1:
        same = sum(found.outcome is Outcome.IDENTICAL for _, found in results)
        paper.line(f"{count:,} papers: {same:,} identical, {count - same:,} not.")
    return int(worst)


def _say(file: str, found: Reproduced, paper: Paper) -> None:
    word, style = _SAID[found.outcome]
    if found.outcome is Outcome.IDENTICAL:
        how = "byte for byte" if found.by_bytes else "by the text of every sheet"
        said = f"circuit {found.tag}, {found.verdict}; {found.figures} figures, {how}"
    elif found.outcome is Outcome.DIFFERENT:
        said = f"circuit {found.tag}: {len(found.notes)} of {found.figures} figures"
    else:
        said = found.notes[0]
    paper.line(Cell(word, style), f"  {file}: {said}")
    if found.outcome is Outcome.DIFFERENT:
        for note in found.notes[:_TOLD]:
            paper.text(note, 2)
        if len(found.notes) > _TOLD:
            paper.text(f"... and {len(found.notes) - _TOLD} more", 2)
