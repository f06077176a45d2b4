"""How a plant workbook looks, and the words of its first sheet.

Quiet paper: ink on white, hairlines, headings on a warm grey, the columns that tell where a
number was read in a second grey. Light blue is kept for Ex i wiring and is not used here.
"""

from __future__ import annotations

from collections.abc import Iterator

from subspark.exchange.layout import CELL_EVIDENCE, EXAMPLE, SHEETS

__all__ = ["STYLES", "TABS", "readme"]

_INK, _GREY, _LINE = "#1E2328", "#6B6F72", "#BDB9AE"
_PAPER, _HEAD, _HEAD_EVIDENCE = "#FBFAF7", "#E9E5DB", "#F3F1EB"
_FONT = {"font_name": "Calibri", "font_size": 10, "font_color": _INK}
_HEADING = {
    **_FONT,
    "bottom": 1,
    "bottom_color": _INK,
    "text_wrap": True,
    "valign": "bottom",
    "bg_color": _HEAD,
}
_GROUP = {"left": 1, "left_color": _LINE}

STYLES: dict[str, dict[str, object]] = {
    "heading": {**_HEADING, "align": "left", "indent": 1},
    "heading required": {**_HEADING, "bold": True, "align": "left", "indent": 1},
    "heading number": {**_HEADING, "align": "right"},
    "heading evidence": {
        **_HEADING,
        "bg_color": _HEAD_EVIDENCE,
        "font_color": _GREY,
        "align": "left",
        "indent": 1,
    },
    "text": {**_FONT, "num_format": "@", "valign": "top", "align": "left", "indent": 1},
    "number": {**_FONT, "align": "right", "valign": "top"},
    "evidence": {
        **_FONT,
        "num_format": "@",
        "font_color": _GREY,
        "valign": "top",
        "align": "left",
        "indent": 1,
    },
    "example text": {
        **_FONT,
        "num_format": "@",
        "italic": True,
        "font_color": "#8C8A84",
        "align": "left",
        "indent": 1,
    },
    "example number": {**_FONT, "align": "right", "italic": True, "font_color": "#8C8A84"},
    "title": {**_FONT, "bold": True, "font_size": 16, "bg_color": _PAPER},
    "section": {
        **_FONT,
        "bold": True,
        "font_size": 11,
        "bottom": 1,
        "bottom_color": _LINE,
        "bg_color": _PAPER,
    },
    "words": {**_FONT, "text_wrap": True, "valign": "top", "bg_color": _PAPER},
    "name": {**_FONT, "bold": True, "valign": "top", "bg_color": _PAPER},
    "paper": {"bg_color": _PAPER},
}
"""Every style by its name; one that ends in " group" begins a group, behind a hairline."""
STYLES |= {f"{name} group": {**style, **_GROUP} for name, style in STYLES.items()}

TABS = {"everyday": _INK, "further": _LINE}

_FILLING = (
    (
        "Start",
        (
            "Fill the sheets from the left; the dark tabs are enough for most plants. The further "
            "sheets hold what has several: outputs, connections, runs of one circuit."
        ),
    ),
    (
        "Numbers",
        (
            "A bare number is in the unit of its heading. A text with its unit is read as it "
            "stands, so 0.65 µF may stand under a heading in nF. What is printed is kept."
        ),
    ),
    (
        "Not known",
        (
            "A blank cell, or unknown, means not known; what needs it stays unproven. It never "
            "means zero. negligible is the zero of a document; 0 is a number; not limiting may be "
            "said of Ii and Pi where a document says so. The four stay different."
        ),
    ),
    (
        "Names",
        (
            "What refers to another sheet repeats its name exactly; the lists that drop down offer "
            f"them. A row that begins with {EXAMPLE.strip()!r} is an example and not read."
        ),
    ),
    (
        "One or several",
        (
            "The one output of a source, connection of an apparatus, or source, apparatus and run "
            "of a circuit may stand on its owner's row. If there are several, put all of them on "
            "their own sheet."
        ),
    ),
    (
        "Evidence",
        (
            "Give each row the document and page in which it was read, or yes under Assumed. It "
            f"stands for the numbers of the row. Sheet {CELL_EVIDENCE.title} is for single cells "
            "whose evidence differs."
        ),
    ),
    (
        "Your own",
        (
            "Columns may stand in any order and be left out if not needed. Columns and sheets of "
            "your own are welcome under a name in parentheses, such as (to do): they are not read, "
            "and not written back."
        ),
    ),
)

_CAUTIONS = (
    (
        "The certificates and instructions of the apparatus decide, with their special conditions "
        "and control drawings; then the standards in force in the edition that applies, as printed "
        "by their publishers; and the law and local code of the place."
    ),
    (
        "Subspark compares the numbers entered here by the rules that it states. Its verdict "
        "replaces neither an inspection nor the judgement and signature of a competent person, "
        "licensed where the law asks it."
    ),
    (
        "Clauses, constants and reference curves were written from memory. Check a citation "
        "against the printed standard before you rely on it."
    ),
    (
        "Enter what is printed, with document and page. Check again when a certificate, an area, a "
        "cable or the program has changed."
    ),
)


def readme() -> Iterator[tuple[str, str, str]]:
    """The first sheet, line by line: style, name, words."""
    yield "title", "Plant workbook", ""
    yield (
        "words",
        "",
        "All that is needed to prove the intrinsically safe (Ex i) circuits of one plant.",
    )
    yield "section", "How to fill it", ""
    for name, words in _FILLING:
        yield "words", name, words
    yield "section", "Sheets", ""
    for sheet in (*SHEETS, CELL_EVIDENCE):
        yield "sheet", sheet.title, sheet.says
    yield "section", "Cautions", ""
    for words in _CAUTIONS:
        yield "words", "", words
