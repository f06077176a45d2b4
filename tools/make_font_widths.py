"""Write the table of glyph widths by which drawings measure their texts.

    python tools/make_font_widths.py

Reads Source Sans 3 as its font package ships it (a variable font), fixes its weight at the two
weights that drawings use, and notes the advance width of every character, in thousandths of the
font size. Drawings then need no font to be laid out, and are laid out alike everywhere.
"""

from __future__ import annotations

from pathlib import Path

import fontpkg_source_sans_3
from fontTools.ttLib import TTFont
from fontTools.varLib import instancer

FONT = Path(str(fontpkg_source_sans_3.__file__)).parent / "files" / "SourceSans3[wght].ttf"
OUT = Path("src/subspark/papers/drawings/data/widths.csv")
WEIGHTS = (400, 600)
RANGES = ((0x20, 0x7E), (0xA0, 0x24F), (0x370, 0x52F), (0x2010, 0x2044), (0x2070, 0x2265))


def widths(weight: int) -> dict[int, int]:
    """Advance width of each character at one weight, by its code point."""
    font = TTFont(str(FONT))
    fixed = instancer.instantiateVariableFont(font, {"wght": weight})
    scale = 1000 / fixed["head"].unitsPerEm
    advances = fixed["hmtx"].metrics
    return {
        code: round(advances[name][0] * scale)
        for code, name in sorted(fixed.getBestCmap().items())
        if any(low <= code <= high for low, high in RANGES)
    }


def main() -> None:
    """Write the table."""
    by_weight = [widths(weight) for weight in WEIGHTS]
    lines = ["# code point, width at weight 400, at weight 600, in thousandths of the font size"]
    lines += [f"{code:04X},{by_weight[0][code]},{by_weight[1][code]}" for code in by_weight[0]]
    OUT.write_text("\n".join(lines) + "\n", encoding="utf-8")
    print(f"{OUT}: {len(lines) - 1} characters")


if __name__ == "__main__":
    main()
