"""The fonts of the pages: cut down from their font packages once, kept beside the data.

A whole family is ten times as heavy as what the pages write with. So the letters that they need
are taken out, with tabular figures, and sent as WOFF. Where the packages are not installed there
is no such file, and the pages take a font of the machine.
"""

from __future__ import annotations

import hashlib
import importlib
import io
import os
import threading
from importlib.metadata import version
from pathlib import Path
from typing import Any

from subspark.errors import SubsparkError

__all__ = ["FONTS", "NotThereError", "made"]

FONTS = {
    "sans": ("fontpkg_source_sans_3", "SourceSans3[wght].ttf", (400, 650)),
    "mono": ("fontpkg_source_code_pro", "SourceCodePro[wght].ttf", (400, 650)),
}
"""Each font: its package, its file there, and the weights that are kept."""

_LETTERS = (
    *range(0x20, 0x7F),
    *range(0xA0, 0x180),  # Latin of western and middle Europe
    *range(0x391, 0x3CA),  # Greek
    *range(0x2010, 0x2016),
    *(0x2018, 0x2019, 0x201C, 0x201D, 0x2026, 0x2032, 0x2033, 0x2126),
    *(0x2190, 0x2191, 0x2192, 0x2193, 0x2212, 0x221A, 0x2260, 0x2264, 0x2265),
)
_FEATURES = ["kern", "liga", "tnum", "lnum", "mark", "ccmp", "locl"]
_LOCK = threading.Lock()


class NotThereError(SubsparkError):
    """The package of a font is not installed."""


def made(name: str, folder: Path) -> bytes:
    """A font of the pages as WOFF.

    Parameters
    ----------
    name : str
        A key of :data:`FONTS`.
    folder : Path
        Where it is kept once it is made.

    Raises
    ------
    NotThereError
        Its package is not installed.
    """
    package, file, weights = FONTS[name]
    try:
        source = Path(importlib.import_module(package).__file__ or "").parent / "files" / file
        by = f"{version('fonttools')} {version(package.replace('_', '-'))} {_LETTERS} {weights}"
        importlib.import_module("fontTools.subset")
    except ImportError as error:
        raise NotThereError(f"the font {name!r} is not installed: {error}") from None
    path = folder / f"{name}-{hashlib.sha256(by.encode()).hexdigest()[:16]}.woff"
    with _LOCK:
        if not path.is_file():
            _keep(path, _cut(source, weights))
        return path.read_bytes()


def _keep(path: Path, data: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    part = path.with_suffix(f".{os.getpid()}")
    part.write_bytes(data)
    part.replace(path)


def _cut(source: Path, weights: tuple[int, int]) -> bytes:
    """The letters and weights of a font that the pages need."""
    from fontTools import subset
    from fontTools.ttLib import TTFont
    from fontTools.varLib import instancer

    options: Any = subset.Options()
    options.layout_features = _FEATURES
    options.hinting = False
    options.notdef_outline = True
    options.name_IDs = [1, 2]
    font = TTFont(source)
    cutter = subset.Subsetter(options)
    cutter.populate(unicodes=_LETTERS)
    cutter.subset(font)
    instancer.instantiateVariableFont(font, {"wght": weights}, inplace=True)
    font.flavor = "woff"
    held = io.BytesIO()
    font.save(held)
    return held.getvalue()
