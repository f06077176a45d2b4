"""The public face of the drawings: what can be asked for, and in which formats it is had."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from subspark.assess import Assessment
from subspark.errors import UsageError
from subspark.papers.drawings.earth import earth_sheets
from subspark.papers.drawings.frame import Size, TitleFields
from subspark.papers.drawings.installation import circuit_sheet, installation_sheets
from subspark.papers.drawings.multicore import multicore_sheets
from subspark.papers.drawings.shapes import Sheet
from subspark.papers.drawings.svg import svg
from subspark.papers.drawings.terminals import terminal_sheets

__all__ = [
    "Drawing",
    "cabinet_earth_drawing",
    "circuit_drawing",
    "circuit_svg",
    "installation_drawing",
    "multicore_drawing",
    "terminal_plan",
    "write_drawings",
]

Format = Literal["svg", "dxf", "pdf"]
_UNSIGNED = TitleFields()


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing of one or several sheets."""

    title: str
    sheets: tuple[Sheet, ...]

    def svg(self, sheet: int = 1) -> str:
        """One sheet as SVG, in millimetres and plain colours.

        Parameters
        ----------
        sheet : int
            Its number, from 1.

        Raises
        ------
        UsageError
            There is no such sheet.
        """
        if not 1 <= sheet <= len(self.sheets):
            raise UsageError(f"no sheet {sheet}; the drawing has {len(self.sheets)}")
        return svg(self.sheets[sheet - 1])

    def dxf(self) -> bytes:
        """All sheets, side by side, as one DXF file (R2010)."""
        from subspark.papers.drawings.dxf import dxf

        return dxf(self.sheets)

    def pdf(self) -> bytes:
        """All sheets as one PDF."""
        from subspark.papers.drawings.pdf import pdf

        return pdf(self.sheets, self.title)


def circuit_drawing(assessment: Assessment, tag: str) -> Drawing:
    """The compact drawing of a circuit, without frame.

    Parameters
    ----------
    assessment : Assessment
        The judged plant.
    tag : str
        The circuit.

    Returns
    -------
    Drawing
        One sheet, 182 mm wide and as tall as the circuit asks.

    Raises
    ------
    UsageError
        No such circuit.
    """
    sheet = circuit_sheet(assessment, tag)
    return Drawing(sheet.title, (sheet,))


def circuit_svg(assessment: Assessment, tag: str, *, size: Literal["block"] = "block") -> str:
    """The compact drawing of a circuit for a page: scalable, named, coloured by CSS variables.

    Parameters
    ----------
    assessment : Assessment
        The judged plant.
    tag : str
        The circuit.
    size : str
        Only "block": made to be read at 700 px and wider.

    Returns
    -------
    str
        One ``<svg>`` element. The page may set a colour as ``--drawing-wire`` (any meaning of
        docs/drawings.md) and gives it its width.

    Raises
    ------
    UsageError
        No such circuit, or another size.
    """
    if size != "block":
        raise UsageError(f"no drawing of size {size!r} without a frame; wanted block")
    return svg(circuit_sheet(assessment, tag), themed=True)


def installation_drawing(
    assessment: Assessment, tag: str, sheet: Size = "A3", *, fields: TitleFields = _UNSIGNED
) -> Drawing:
    """The installation drawing of a circuit.

    Parameters
    ----------
    assessment : Assessment
        The judged plant.
    tag : str
        The circuit.
    sheet : str
        "A3", "A4", "ANSI B" or "ANSI A", landscape.
    fields : TitleFields
        Owner, names, date; without all names and a date it is marked not for construction. A
        circuit that is not safe is so marked whoever signs.

    Returns
    -------
    Drawing
        As many sheets as the circuit asks.

    Raises
    ------
    UsageError
        No such circuit or size.
    """
    return Drawing(tag, installation_sheets(assessment, tag, sheet, fields))


def multicore_drawing(
    assessment: Assessment, number: str, sheet: Size = "A3", *, fields: TitleFields = _UNSIGNED
) -> Drawing:
    """All circuits of one cable, pair by pair, spare pairs too.

    Parameters
    ----------
    assessment : Assessment
        The judged plant; circuits that were not assessed are told as such.
    number : str
        Number of the cable.
    sheet : str
        Size, as for :func:`installation_drawing`.
    fields : TitleFields
        As for :func:`installation_drawing`.

    Returns
    -------
    Drawing
        As many sheets as its pairs ask.

    Raises
    ------
    UsageError
        No such cable or size.
    """
    return Drawing(number, multicore_sheets(assessment, number, sheet, fields))


def cabinet_earth_drawing(
    assessment: Assessment, cabinet: str, sheet: Size = "A4", *, fields: TitleFields = _UNSIGNED
) -> Drawing:
    """The Ex i earth bar of a cabinet: barriers on it, conductors to earth, blanks for readings.

    Parameters
    ----------
    assessment : Assessment
        The judged plant.
    cabinet : str
        The cabinet.
    sheet : str
        Size, as for :func:`installation_drawing`.
    fields : TitleFields
        As for :func:`installation_drawing`.

    Returns
    -------
    Drawing
        As many sheets as its barriers ask.

    Raises
    ------
    UsageError
        No such cabinet or size.
    """
    return Drawing(cabinet, earth_sheets(assessment, cabinet, sheet, fields))


def terminal_plan(
    assessment: Assessment, box: str, sheet: Size = "A4", *, fields: TitleFields = _UNSIGNED
) -> Drawing:
    """The terminals of a junction box with the cores on both sides.

    Parameters
    ----------
    assessment : Assessment
        The judged plant.
    box : str
        Tag of the box, as runs name it.
    sheet : str
        Size, as for :func:`installation_drawing`.
    fields : TitleFields
        As for :func:`installation_drawing`.

    Returns
    -------
    Drawing
        As many sheets as its terminals ask.

    Raises
    ------
    UsageError
        No such box or size.
    """
    return Drawing(box, terminal_sheets(assessment, box, sheet, fields))


def _file_name(tag: str) -> str:
    return re.sub(r"[^\w.+-]+", "_", tag).strip("._") or "drawing"


def write_drawings(
    assessment: Assessment,
    tags: Iterable[str],
    folder: str | Path,
    *,
    sheet: Size = "A3",
    formats: Iterable[Format] = ("pdf", "dxf", "svg"),
    fields: TitleFields = _UNSIGNED,
) -> list[Path]:
    """Write the installation drawings of circuits.

    Parameters
    ----------
    assessment : Assessment
        The judged plant.
    tags : iterable of str
        The circuits.
    folder : str or Path
        Where; made if it is not there.
    sheet : str
        Size.
    formats : iterable of str
        "pdf", "dxf", "svg" (a file for each sheet).
    fields : TitleFields
        What the title blocks say.

    Returns
    -------
    list of Path
        The files, in order; two circuits never share one.

    Raises
    ------
    UsageError
        No such circuit, size or format, or a folder that cannot be written.
    """
    wanted = list(formats)
    if strange := [one for one in wanted if one not in ("pdf", "dxf", "svg")]:
        raise UsageError(f"no drawings as {strange[0]!r}; wanted pdf, dxf or svg")
    there = Path(folder)
    written: list[Path] = []
    names: set[str] = set()
    try:
        there.mkdir(parents=True, exist_ok=True)
        for tag in tags:
            drawing = installation_drawing(assessment, tag, sheet, fields=fields)
            name = _unused(_file_name(tag), names)
            for form in wanted:
                for path, content in _files(drawing, there / name, form):
                    path.write_bytes(content)
                    written.append(path)
    except OSError as error:
        raise UsageError(f"cannot write drawings to {str(there)!r}: {error.strerror}") from None
    return written


def _unused(name: str, names: set[str]) -> str:
    """A name that no other circuit has, whatever the case of its letters."""
    found, count = name, 1
    while found.lower() in names:
        count += 1
        found = f"{name}_{count}"
    names.add(found.lower())
    return found


def _files(drawing: Drawing, stem: Path, form: Format) -> list[tuple[Path, bytes]]:
    if form == "pdf":
        return [(stem.with_name(f"{stem.name}.pdf"), drawing.pdf())]
    if form == "dxf":
        return [(stem.with_name(f"{stem.name}.dxf"), drawing.dxf())]
    count = len(drawing.sheets)
    names = [f"{stem.name}.svg"] if count == 1 else [
        f"{stem.name}-{nth}.svg" for nth in range(1, count + 1)
    ]  # fmt: skip
    return [(stem.with_name(name), drawing.svg(nth).encode()) for nth, name in enumerate(names, 1)]
