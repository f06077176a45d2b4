"""Blanks of a printed sheet made into fields that can be filled in on a screen.

The typesetter knows no fields. A template marks each blank by a link to ``field:KEY`` (a line of
text), ``field-lines:KEY`` (several) or ``field-tick:KEY`` (a box to be ticked): the typesetter
then says where it stands, and here the link becomes the field.

The file stays what it was, PDF/A-3b: every field brings its appearance, the font in which it is
filled in is embedded, and nothing asks the reader to draw fields by itself. What a program writes
into the file when somebody fills it in is that program's.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Mapping
from functools import cache
from importlib import resources
from typing import TYPE_CHECKING, NamedTuple

from subspark.papers.packages import pikepdf_library

if TYPE_CHECKING:
    import pikepdf

__all__ = ["Field", "fillable"]

_FONT = "/Sf"
_INK = "0.118 0.137 0.157"
_STYLE = f"{_FONT} 8.5 Tf {_INK} rg"
_LINES = 1 << 12
"""Flag of a field of several lines (ISO 32000-1, table 228)."""
_NONSYMBOLIC = 1 << 5
"""Flag of a font of Latin letters (ISO 32000-1, table 123)."""
_FIELD = ("field:", "field-lines:", "field-tick:")
_ON, _OFF = "/Yes", "/Off"
_NO_TEXT = b"/Tx BMC EMC"


class Field(NamedTuple):
    """A field: its name in the file, and what a person is told of it."""

    name: str
    tip: str


@cache
def _font() -> tuple[bytes, tuple[int, ...]]:
    """The font, and the widths of its letters from code 32 on."""
    folder = resources.files("subspark.papers") / "fonts"
    lines = (folder / "form-widths.csv").read_text("utf-8").splitlines()
    widths = tuple(int(one) for one in lines if not one.startswith("#"))
    return (folder / "form.ttf").read_bytes(), widths


class _Form:
    """A file whose blanks become fields."""

    def __init__(self, data: bytes) -> None:
        self.lib = pikepdf_library()
        self.pdf: pikepdf.Pdf = self.lib.open(io.BytesIO(data))

    def font(self) -> pikepdf.Object:
        """The font in which fields are filled in, whole."""
        program, widths = _font()
        name, pdf = self.lib.Name, self.pdf
        described = self.lib.Dictionary(
            Type=name.FontDescriptor,
            FontName=name.SubsparkForm,
            Flags=_NONSYMBOLIC,
            FontBBox=[-454, -400, 1300, 1024],
            ItalicAngle=0,
            Ascent=1024,
            Descent=-400,
            CapHeight=660,
            StemV=84,
            FontFile2=pdf.make_stream(program, Length1=len(program)),
        )
        made: pikepdf.Dictionary = self.lib.Dictionary(
            Type=name.Font,
            Subtype=name.TrueType,
            BaseFont=name.SubsparkForm,
            Encoding=name.WinAnsiEncoding,
            FirstChar=32,
            LastChar=31 + len(widths),
            Widths=list(widths),
            FontDescriptor=pdf.make_indirect(described),
        )
        return pdf.make_indirect(made)

    def appearance(self, wide: float, high: float, content: bytes) -> pikepdf.Object:
        """What a field shows. Each has its own: a program that fills one in may write into it."""
        return self.pdf.make_stream(
            content,
            Type=self.lib.Name.XObject,
            Subtype=self.lib.Name.Form,
            BBox=[0, 0, round(wide, 2), round(high, 2)],
            Resources=self.lib.Dictionary(),
        )

    def of_text(self, wide: float, high: float, flags: int) -> pikepdf.Dictionary:
        """A blank for words."""
        shown = self.lib.Dictionary(N=self.appearance(wide, high, _NO_TEXT))
        name = self.lib.Name
        made: pikepdf.Dictionary = self.lib.Dictionary(FT=name.Tx, DA=_STYLE, Ff=flags, AP=shown)
        return made

    def of_tick(self, wide: float, high: float) -> pikepdf.Dictionary:
        """A box to be ticked, by a cross of two lines."""
        right, top = f"{wide - 1.5:.2f}", f"{high - 1.5:.2f}"
        cross = f"q {_INK} RG 1 w 1.5 1.5 m {right} {top} l S 1.5 {top} m {right} 1.5 l S Q"
        states = {
            _ON: self.appearance(wide, high, cross.encode()),
            _OFF: self.appearance(wide, high, b"q Q"),
        }
        off, shown = self.lib.Name(_OFF), self.lib.Dictionary(N=self.lib.Dictionary(states))
        made: pikepdf.Dictionary = self.lib.Dictionary(
            FT=self.lib.Name.Btn, V=off, AS=off, AP=shown
        )
        return made

    def blanks(self) -> Iterator[tuple[pikepdf.Object, str]]:
        """Links that mark a blank, with what they say."""
        for page in self.pdf.pages:
            for link in page.get("/Annots", ()):
                action = link.get("/A")
                target = "" if action is None else str(action.get("/URI", ""))
                if target.startswith(_FIELD):
                    yield link, target

    def become(self, link: pikepdf.Object, target: str, fields: Mapping[str, Field]) -> None:
        """Make a link a field."""
        sort, _, key = target.partition(":")
        left, low, right, high = (float(one) for one in link.Rect)
        size = (right - left, high - low)
        if sort == "field-tick":
            own = self.of_tick(*size)
        else:
            own = self.of_text(*size, _LINES if sort == "field-lines" else 0)
        for old in ("/A", "/Contents", "/Border"):
            if old in link:
                del link[old]
        told = fields[key]
        link.Subtype = self.lib.Name.Widget
        link.T, link.TU = told.name, told.tip
        for entry, value in own.items():
            link[entry] = value

    def tag_as_forms(self) -> None:
        """Tell screen readers of fields where the typesetter told them of links."""
        for one in self.pdf.objects:
            if (
                isinstance(one, self.lib.Dictionary)
                and one.get("/Type") == "/StructElem"
                and one.get("/S") == "/Link"
            ):
                one.S = self.lib.Name.Form

    def finished(self, made: list[pikepdf.Object]) -> bytes:
        """The file with its fields."""
        fonts = self.lib.Dictionary({_FONT: self.font()})
        form = self.lib.Dictionary(Fields=made, DR=self.lib.Dictionary(Font=fonts), DA=_STYLE)
        self.pdf.Root.AcroForm = self.pdf.make_indirect(form)
        out = io.BytesIO()
        self.pdf.save(
            out,
            deterministic_id=True,
            fix_metadata_version=False,
            object_stream_mode=self.lib.ObjectStreamMode.generate,
        )
        return out.getvalue()


def fillable(data: bytes, fields: Mapping[str, Field]) -> bytes:
    """Make the marked blanks of a file fields of a form.

    Parameters
    ----------
    data : bytes
        A PDF file of the typesetter.
    fields : mapping of str to Field
        Name and words of each, by the key that the template marks it with.

    Returns
    -------
    bytes
        The file with its form; the same for the same file and fields.

    Raises
    ------
    KeyError
        A blank is marked of which nothing is told.
    """
    form = _Form(data)
    made = []
    for link, target in form.blanks():
        form.become(link, target, fields)
        made.append(link)
    form.tag_as_forms()
    return form.finished(made)
