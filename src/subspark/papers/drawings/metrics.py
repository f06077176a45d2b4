"""How wide a text is: advance widths of Source Sans 3, from a table that is shipped.

The writers draw each text at the width measured here whatever font a reader has, so that what
does not touch in the layout does not touch on the page.
"""

from __future__ import annotations

import unicodedata
from functools import cache, lru_cache
from importlib import resources

__all__ = ["ASCENT", "CAP", "DESCENT", "plain", "width_of", "wrap"]

CAP = 0.66
"""Height of capitals, as a share of the font size."""
ASCENT = 0.75
"""What stands above the baseline, accents of capitals left out."""
DESCENT = 0.25
"""What hangs below the baseline."""
_UNKNOWN = 1000


@cache
def _widths() -> tuple[dict[str, int], dict[str, int]]:
    table = resources.files("subspark.papers.drawings").joinpath("data", "widths.csv")
    plain: dict[str, int] = {}
    bold: dict[str, int] = {}
    for line in table.read_text("utf-8").splitlines():
        if not line.startswith("#"):
            code, regular, heavy = line.split(",")
            plain[chr(int(code, 16))] = int(regular)
            bold[chr(int(code, 16))] = int(heavy)
    return plain, bold


@lru_cache(maxsize=16384)
def width_of(text: str, size: float, *, bold: bool = False) -> float:
    """Width of a text set in one line.

    Parameters
    ----------
    text : str
        The text; a character that the font lacks counts as a full em.
    size : float
        Font size [mm].
    bold : bool
        Weight 600 in place of 400.

    Returns
    -------
    float
        Sum of the advance widths [mm], without kerning.

    Examples
    --------
    >>> round(width_of("Uo 26 V", 10.0), 2)
    30.96
    """
    widths = _widths()[bold]
    return sum(widths.get(char, _UNKNOWN) for char in text) * size / 1000.0


def plain(text: str) -> str:
    """A text without what cannot be drawn: control characters and halves of characters."""
    return "".join(char for char in text if unicodedata.category(char) not in ("Cc", "Cs", "Cn"))


def wrap(text: str, room: float, size: float, *, bold: bool = False) -> list[str]:
    """Cut a text into lines that fit; a word that is too long by itself is cut inside.

    Parameters
    ----------
    text : str
        Cut at its blanks; a no-break blank holds together, and is returned as a plain one.
    room : float
        Width of a line [mm].
    size : float
        Font size [mm].
    bold : bool
        Weight 600 in place of 400.

    Returns
    -------
    list of str
        The lines; one empty line for an empty text.
    """
    lines: list[str] = []
    line = ""
    for word in plain(text).split(" "):
        longer = f"{line} {word}" if line else word
        if width_of(longer, size, bold=bold) <= room:
            line = longer
            continue
        if line:
            lines.append(line)
        *full, line = _pieces(word, room, size, bold=bold)
        lines += full
    return [one.replace("\N{NO-BREAK SPACE}", " ") for one in (*lines, line)]


def _pieces(word: str, room: float, size: float, *, bold: bool) -> list[str]:
    """A word in pieces that fit, cut after a hyphen or slash where one is near the end."""
    pieces = []
    while width_of(word, size, bold=bold) > room and len(word) > 1:
        fits = 1
        while fits < len(word) and width_of(word[: fits + 1], size, bold=bold) <= room:
            fits += 1
        mark = max(word.rfind(sign, fits // 2, fits) for sign in "-/_.,;")
        cut = mark + 1 if mark > 0 else fits
        pieces.append(word[:cut])
        word = word[cut:]
    return [*pieces, word]
