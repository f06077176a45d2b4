"""SVG, DXF and PDF, read back by others than those who wrote them."""

from __future__ import annotations

import io
import os
import struct
import subprocess
import sys
import xml.etree.ElementTree as ET
from collections import Counter
from pathlib import Path

import ezdxf
import pyogrio
import pypdf
import pytest

from papers.drawings.reading import NAMES, dxf_entities, squeezed, svg_texts
from subspark.assess import assess
from subspark.errors import UsageError
from subspark.model import Area, Atmosphere, Circuit, Member, Plant, SimpleType
from subspark.papers.drawings import (
    circuit_svg,
    installation_drawing,
    write_drawings,
)
from subspark.papers.drawings.shapes import EX_I, PENS, Text, extent, flat
from subspark.papers.drawings.symbols import SYMBOLS, choose, symbol

HOSTILE = "</title><script>alert(1)</script>&\"'--><!--"


@pytest.fixture(scope="module")
def segment(station):
    return installation_drawing(station, "FB-2091")


def texts_of(drawing):
    return sorted(
        " ".join(one.text.split())
        for sheet in drawing.sheets
        for one in flat(sheet.shapes)
        if isinstance(one, Text) and one.text.strip()
    )


# --- SVG ---------------------------------------------------------------------------------------


def test_svg_is_well_formed_and_named(station):
    for circuit in station.circuits[::7]:
        root = ET.fromstring(circuit_svg(station, circuit.tag))  # noqa: S314 - our own
        title = root.find("svg:title", NAMES)
        assert title is not None
        assert circuit.tag in (title.text or "")
        assert root.get("role") == "img"
        told = [one.findtext("svg:title", "", NAMES) for one in root.findall("svg:g", NAMES)]
        assert all(told)
        assert any(one.startswith("apparatus ") for one in told)


def test_svg_for_a_page_takes_its_colours_from_the_page(station):
    themed, plain = circuit_svg(station, "PT-1001"), installation_drawing(station, "PT-1001").svg()
    assert "var(--drawing-wire,#3AA0DC)" in themed
    assert 'mm"' not in themed.split(">")[0]
    assert "var(" not in plain
    assert 'width="420mm" height="297mm"' in plain


def test_nothing_that_is_typed_becomes_markup():
    plant = Plant(
        name=HOSTILE,
        areas=(Area(tag="A", atmospheres=(Atmosphere(zone="1", group="IIC", temperature="T4"),)),),
        simple=(SimpleType(name=HOSTILE + "\x00\x08"),),
        circuits=(
            Circuit(
                tag=HOSTILE,
                service=HOSTILE,
                area="A",
                members=(Member(tag=HOSTILE, apparatus=HOSTILE + "\x00\x08"),),
                document="]]>" + HOSTILE,
            ),
        ),
    )
    judged = assess(plant)
    for source in (circuit_svg(judged, HOSTILE), installation_drawing(judged, HOSTILE).svg()):
        root = ET.fromstring(source)  # noqa: S314 - our own
        assert not [one for one in root.iter() if one.tag.endswith("script")]
        assert squeezed(HOSTILE) in squeezed("".join(svg_texts(source)))
    data = installation_drawing(judged, HOSTILE).dxf()
    assert not ezdxf.read(io.StringIO(data.decode())).audit().errors
    assert installation_drawing(judged, HOSTILE).pdf().startswith(b"%PDF")


# --- DXF ---------------------------------------------------------------------------------------


def test_dxf_passes_the_audit_of_its_library(segment):
    document = ezdxf.read(io.StringIO(segment.dxf().decode()))
    auditor = document.audit()
    assert auditor.errors == []
    assert auditor.fixes == []
    assert document.dxfversion == "AC1024"  # R2010
    assert document.units == ezdxf.units.MM


def test_another_reader_finds_every_text_in_the_dxf_where_it_was_put(segment):
    found = [(kind, groups) for kind, groups in dxf_entities(segment.dxf()) if kind == "TEXT"]
    assert sorted(groups[1][0] for _, groups in found) == texts_of(segment)
    sheet = segment.sheets[0]
    tag = next(groups for _, groups in found if groups[1] == ["JB-F2091A"])
    drawn = next(
        one for one in flat(sheet.shapes) if isinstance(one, Text) and one.text == "JB-F2091A"
    )
    assert float(tag[10][0]) == pytest.approx(drawn.left, abs=0.001)
    assert float(tag[20][0]) == pytest.approx(sheet.height - drawn.y, abs=0.001)
    # from here to there: a reader with another font squeezes the text between both points
    assert float(tag[11][0]) == pytest.approx(drawn.left + drawn.width, abs=0.001)


def test_gdal_reads_the_dxf(segment, tmp_path, monkeypatch):
    """GDAL's own driver for DXF, in C++, shares nothing with what wrote the file."""
    (tmp_path / "segment.dxf").write_bytes(segment.dxf())
    # R2007 and later are UTF-8; GDAL goes by the code page of the header unless it is told
    monkeypatch.setenv("DXF_ENCODING", "UTF-8")
    meta, _, shapes, columns = pyogrio.raw.read(tmp_path / "segment.dxf")
    told = dict(zip(meta["fields"], columns, strict=True))
    kinds = [one.rpartition(":")[2] for one in told["SubClasses"]]
    texts = [text for text, kind in zip(told["Text"], kinds, strict=True) if kind == "AcDbText"]
    assert sorted(" ".join(one.split()) for one in texts) == texts_of(segment)
    assert set(told["Layer"]) <= {pen.layer for pen in PENS.values()}
    assert all(shape is not None for shape in shapes)
    place = list(told["Text"]).index("JB-F2091A")
    _, sort, x, y = struct.unpack_from("<BIdd", shapes[place])  # a point as well-known binary
    drawn = next(
        one
        for one in flat(segment.sheets[0].shapes)
        if isinstance(one, Text) and one.text == "JB-F2091A"
    )
    assert sort in (1, 0x80000001, 1001)
    assert (x, y) == pytest.approx((drawn.left, segment.sheets[0].height - drawn.y), abs=0.001)
    drawn_by_kind = Counter(kinds)
    written = Counter(kind for kind, _ in dxf_entities(segment.dxf()))
    assert drawn_by_kind["AcDbText"] == written["TEXT"]
    assert drawn_by_kind["AcDbCircle"] == written["CIRCLE"]
    assert drawn_by_kind["AcDbPolyline"] == written["LWPOLYLINE"]
    assert drawn_by_kind["AcDbLine"] == written["LINE"]


def test_dxf_keeps_meanings_on_layers_and_light_blue_for_ex_i(segment):
    blue = int(EX_I[1:], 16)
    layers = set()
    for _, groups in dxf_entities(segment.dxf()):
        layers.add(groups[8][0])
        if groups.get(420) == [str(blue)]:
            assert groups[8] == ["EX_I_WIRING"]
    assert layers <= {pen.layer for pen in PENS.values()}
    assert {"EX_I_WIRING", "HAZARDOUS_AREA", "TITLE_BLOCK", "LIMITS", "JUNCTIONS"} <= layers


# --- PDF ---------------------------------------------------------------------------------------


def test_pdf_has_a_page_a_sheet_of_its_size_with_texts_as_texts(station):
    drawing = installation_drawing(station, "FB-1101", "A4")
    reader = pypdf.PdfReader(io.BytesIO(drawing.pdf()))
    assert len(reader.pages) == len(drawing.sheets)
    for page in reader.pages:
        millimetres = [
            float(one) / 72.0 * 25.4 for one in (page.mediabox.width, page.mediabox.height)
        ]
        assert millimetres == pytest.approx([297.0, 210.0], abs=0.1)
    words = squeezed("".join(page.extract_text() for page in reader.pages))
    for printed in ("FB-1101C", "Ui 17.5 V", "JB-F1101B", "NOT FOR CONSTRUCTION"):
        assert squeezed(printed) in words
    assert squeezed(station["FB-1101"].sentence) in words


def test_a_character_that_no_font_shows_is_told_in_one_sentence():
    judged = assess(Plant(circuits=(Circuit(tag="PT-1 \U0001f9ff\ue123"),)))
    drawing = installation_drawing(judged, "PT-1 \U0001f9ff\ue123")
    assert "\ue123" in drawing.svg()
    with pytest.raises(UsageError, match="cannot be a PDF"):
        drawing.pdf()


# --- files -------------------------------------------------------------------------------------

SCRIPT = """
import hashlib, sys
from subspark.assess import assess
from subspark.demo import build_plant
from subspark.papers.drawings import circuit_svg, installation_drawing
judged = assess(build_plant(), ["FB-2091"])
drawing = installation_drawing(judged, "FB-2091")
block = circuit_svg(judged, "FB-2091").encode()
made = (block, drawing.svg().encode(), drawing.dxf(), drawing.pdf())
print([hashlib.sha256(one).hexdigest() for one in made])
"""


def test_the_same_bytes_on_every_run_and_nothing_left_in_the_home_folder(tmp_path):
    source = str(Path(__file__).resolve().parents[3] / "src")
    said = []
    for seed in ("1", "2"):
        home = tmp_path / seed
        home.mkdir()
        env = {**os.environ, "PYTHONHASHSEED": seed, "HOME": str(home), "PYTHONPATH": source}
        env.pop("XDG_CACHE_HOME", None)
        done = subprocess.run(
            [sys.executable, "-c", SCRIPT], env=env, check=True, capture_output=True, text=True
        )
        said.append(done.stdout)
        assert list(home.rglob("*")) == []
    assert said[0] == said[1]


def test_files_of_many_circuits_never_share_a_name(station, tmp_path):
    files = write_drawings(
        station, ["PT-1001", "PT-1002"], tmp_path / "new", formats=["svg", "dxf"]
    )
    assert [one.name for one in files] == [
        "PT-1001.svg", "PT-1001.dxf", "PT-1002.svg", "PT-1002.dxf",
    ]  # fmt: skip
    assert all(one.stat().st_size > 1000 for one in files)
    plant = Plant(circuits=tuple(Circuit(tag=one) for one in ("A/1", "A\\1", "a/1", "..", "///")))
    odd = assess(plant)
    tags = [one.tag for one in plant.circuits]
    made = write_drawings(odd, tags, tmp_path / "odd", formats=["svg"])
    assert len({one.name.lower() for one in made}) == len(made) >= 5
    assert {one.parent for one in made} == {tmp_path / "odd"}


def test_a_folder_or_format_that_cannot_be_is_refused(station, tmp_path):
    file = tmp_path / "file"
    file.write_text("here already")
    with pytest.raises(UsageError, match="cannot write drawings"):
        write_drawings(station, ["PT-1001"], file)
    with pytest.raises(UsageError, match="no drawings as 'dwg'"):
        write_drawings(station, ["PT-1001"], tmp_path, formats=["dwg"])


# --- symbols -----------------------------------------------------------------------------------


@pytest.mark.parametrize("name", SYMBOLS)
def test_a_symbol_stays_in_its_box(name):
    for shape in flat(symbol(name, 0.0, 0.0)):
        box = extent(shape)
        assert min(box.left, box.top) >= -6.01
        assert max(box.right, box.bottom) <= 6.01


@pytest.mark.parametrize(
    ("words", "tag", "wanted"),
    [
        ("KW-P30 pressure transmitter", "PT-1001", "balloon"),
        ("thermocouple, earthed tip", "TE-1191", "thermocouple"),
        ("Pt100", "TE-2001", "resistance thermometer"),
        ("MT-V10 solenoid pilot", "XV-1101", "valve"),
        ("NJ-T1 field terminator", "FB-1101T1", "terminator"),
        ("NJ-A2 surge arrester", "PT-1A", "surge"),
        ("mechanical limit switch", "ZS-1", "contact"),
        ("XY-9", "XV-12", "valve"),
        ("XY-9", "LSH-12", "contact"),
        ("XY-9", "FT-12", "balloon"),
        ("XY-9", "box", "part"),
    ],
)
def test_an_apparatus_has_the_symbol_of_its_words_or_letters(words, tag, wanted):
    assert choose(words, tag) == wanted


def test_the_page_on_drawings_names_every_symbol_and_layer():
    page = (Path(__file__).resolve().parents[3] / "docs" / "drawings.md").read_text("utf-8")
    missing = [name for name in SYMBOLS if f"| `{name}` |" not in page]
    missing += [pen.layer for pen in PENS.values() if f"`{pen.layer}`" not in page]
    assert not missing
