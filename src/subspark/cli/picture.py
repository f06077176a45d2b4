"""``subspark picture``: a picture of one circuit, as an SVG file."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from subspark.choose.pictures import Picture, ladder, plane, sensitivity_picture, staircase
from subspark.choose.sensitivity import sensitivity
from subspark.cli.busy import Busy
from subspark.cli.judging import judged
from subspark.errors import UsageError

__all__ = ["picture"]

_LEAST, _MOST = 320, 4000


def picture(arguments: argparse.Namespace) -> int:
    """Run the command."""
    path = Path(arguments.output)
    if path.suffix.lower() != ".svg":
        raise UsageError(f"{path}: a picture is written as .svg; wanted a name such as plane.svg")
    if path.exists() and not arguments.force:
        raise UsageError(f"{path}: is there already; --force replaces it")
    if arguments.width is not None and not _LEAST <= arguments.width <= _MOST:
        raise UsageError(f"--width {arguments.width}: wanted {_LEAST} to {_MOST}")
    with Busy(f"reading {arguments.plant}") as busy:
        drawn = _drawn(arguments, busy)
    text = drawn.paper if arguments.paper else drawn.svg
    path.write_text(text + "\n", encoding="utf-8")
    print(f"{path} written: {arguments.kind} of {arguments.tag}.")
    return 0


def _drawn(arguments: argparse.Namespace, busy: Busy) -> Picture:
    tag, kind = arguments.tag, arguments.kind
    size: dict[str, Any] = {} if arguments.width is None else {"width": float(arguments.width)}
    assessment = judged(arguments.plant, [tag], arguments.code, busy, arguments.curves)
    if kind == "plane":
        return plane(assessment, tag, **size)
    if kind == "ladder":
        return ladder(assessment, tag, **size)
    if kind == "staircase":
        return staircase(assessment[tag].works.staircase, tag=tag, **size)
    busy.says(f"moving every input of {tag}")
    found = sensitivity(assessment.plant, tag, curves=assessment.context.curves)
    return sensitivity_picture(found, **size)
