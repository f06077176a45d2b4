"""From plain data to PDF by Typst: the same data give the same bytes, on any day."""

from __future__ import annotations

import json
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

from subspark.papers.packages import font_folder, typst_library

__all__ = ["STAMP", "STANDARD", "encoded", "print_pdf"]

STANDARD = "a-3b"
STAMP = 946_684_800
"""The date inside every paper, 2000-01-01 UTC: PDF/A wants one, and a clock would change bytes."""


def encoded(data: object) -> str:
    """Plain data as JSON, in one way only."""
    return json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":"))


def _templates() -> Path:
    return Path(str(resources.files("subspark.papers") / "templates"))


@cache
def _compiler() -> Any:  # noqa: ANN401 - a library that is there only where papers are printed
    typst = typst_library()
    fonts = typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=True, font_paths=[str(font_folder())]
    )
    return typst.Compiler(root=str(_templates()), font_paths=fonts, ignore_system_fonts=True)


def print_pdf(template: str, inputs: dict[str, str], *, tags: bool = True) -> bytes:
    """Typeset a template with its inputs.

    Parameters
    ----------
    template : str
        Its name, such as "dossier".
    inputs : dict of str
        What the template reads as ``sys.inputs``.
    tags : bool
        Whether the file is tagged for screen readers; long lists are far smaller without.

    Returns
    -------
    bytes
        A PDF/A-3b file.
    """
    made: bytes = _compiler().compile(
        input=str(_templates() / f"{template}.typ"),
        format="pdf",
        sys_inputs=inputs,
        pdf_standards=STANDARD,
        timestamp=STAMP,
        pdf_tags=tags,
    )
    return made
