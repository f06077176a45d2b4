"""Write the font in which the blanks of inspection sheets are filled in.

    python tools/make_form_font.py

A form needs a whole font inside the file, for nobody knows what will be typed. This one is
Source Sans 3 as its font package ships it, at its regular weight, with the letters of western
Europe only. Its licence lets a changed font be given out under another name, with the licence
beside it: both are written here.
"""

from __future__ import annotations

from pathlib import Path

import fontpkg_source_sans_3
from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont
from fontTools.varLib import instancer

PACKAGE = Path(str(fontpkg_source_sans_3.__file__)).parent
FONT = PACKAGE / "files" / "SourceSans3[wght].ttf"
OUT = Path("src/subspark/papers/fonts")
NAME = "Subspark Form"
CODES = {ord(one) for one in bytes(range(0x20, 0x100)).decode("cp1252", "ignore")}
"""What WinAnsiEncoding can say."""


def made() -> TTFont:
    """The font, with another name."""
    font = TTFont(str(FONT), recalcTimestamp=False)
    font = instancer.instantiateVariableFont(font, {"wght": 400})
    options = Options(layout_features=[], hinting=False, notdef_outline=True, name_IDs=[0, 13, 14])
    options.drop_tables += ["GDEF", "GPOS", "GSUB", "STAT", "DSIG", "gasp", "meta"]
    cutter = Subsetter(options)
    cutter.populate(unicodes=CODES)
    cutter.subset(font)
    for number, text in ((1, NAME), (2, "Regular"), (4, NAME), (6, NAME.replace(" ", ""))):
        font["name"].setName(text, number, 3, 1, 0x409)
    return font


def widths(font: TTFont) -> list[int]:
    """Advance width of each code of WinAnsiEncoding from 32 on, in thousandths of its size."""
    names, advances = font.getBestCmap(), font["hmtx"].metrics
    scale = 1000 / font["head"].unitsPerEm
    found = []
    for code in range(0x20, 0x100):
        letter = bytes([code]).decode("cp1252", "ignore")
        name = names.get(ord(letter), ".notdef") if letter else ".notdef"
        found.append(round(advances[name][0] * scale))
    return found


def main() -> None:
    """Write the font, its widths and its licence."""
    OUT.mkdir(exist_ok=True)
    file = OUT / "form.ttf"
    font = made()
    font.save(str(file))
    told = ["# width of each code of WinAnsiEncoding from 32 on, in thousandths of the font size"]
    told += [str(one) for one in widths(font)]
    (OUT / "form-widths.csv").write_text("\n".join(told) + "\n", encoding="utf-8")
    (OUT / "OFL.txt").write_bytes((PACKAGE / "LICENSE").read_bytes())
    print(f"{file}: {file.stat().st_size} bytes")


if __name__ == "__main__":
    main()
