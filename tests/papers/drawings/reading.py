"""Readers of what was drawn that share no code with what drew it."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Iterator

from subspark.papers.drawings import Drawing

NAMES = {"svg": "http://www.w3.org/2000/svg"}


def svg_texts(source: str) -> list[str]:
    """Texts of an SVG, by the XML reader of Python."""
    root = ET.fromstring(source)  # noqa: S314 - our own file
    return ["".join(one.itertext()) for one in root.iter(f"{{{NAMES['svg']}}}text")]


def words_of(drawing: Drawing) -> str:
    """All words of all sheets in one line, cut words joined again."""
    texts = [text for nth in range(len(drawing.sheets)) for text in svg_texts(drawing.svg(nth + 1))]
    return " ".join(texts)


def squeezed(text: str) -> str:
    """A text without blanks, so that a text that was wrapped is found again."""
    return "".join(text.split())


def dxf_entities(data: bytes) -> Iterator[tuple[str, dict[int, list[str]]]]:
    """Entities of a DXF by their pairs of group code and value: a reader of a few lines."""
    lines = data.decode("utf-8").replace("\r\n", "\n").split("\n")
    pairs = [(int(code), value) for code, value in zip(lines[::2], lines[1::2], strict=False)]
    section, kind, found = "", "", {}
    for nth, (code, value) in enumerate(pairs):
        if code == 0:
            if section == "ENTITIES" and kind not in ("", "SECTION", "ENDSEC"):
                yield kind, found
            kind, found = value, {}
            if value == "SECTION":
                section = pairs[nth + 1][1]
        else:
            found.setdefault(code, []).append(value)
