"""Papers in a folder: all that were asked for, only what changed, the same bytes every time."""

import dataclasses
import json
import random

import pytest

from subspark.assess import assess
from subspark.errors import InputError, UsageError
from subspark.papers import making, writing
from subspark.papers.extract import part_of
from subspark.papers.writing import INDEX, file_names, write_papers

FEW = ("AT-4091", "PT-1001")
TWO = ("LT-1001", "PT-1001")


def files(folder):
    return {
        str(file.relative_to(folder)): file.read_bytes()
        for file in sorted(folder.rglob("*"))
        if file.is_file()
    }


@pytest.fixture(scope="module")
def trunk(larkfen):
    """A small plant: the circuits of one multicore."""
    return assess(part_of(larkfen.plant, "PT-1001"))


@pytest.fixture(scope="module")
def written(trunk, tmp_path_factory):
    """Everything for two circuits, and the lists of the plant."""
    folder = tmp_path_factory.mktemp("papers")
    return folder, write_papers(trunk, folder, TWO)


def test_each_kind_has_its_folder(written):
    folder, found = written
    wanted = {f"{kind}/{tag}.pdf" for kind in ("dossiers", "inspection", "drawings") for tag in TWO}
    lists = {path for path in files(folder) if path.startswith("lists/")}
    assert len(lists) == 11  # ten lists and the workbook
    plant = {path for path in files(folder) if path.count("/") == 2}
    assert {path.rpartition("/")[0] for path in plant} == {
        "drawings/boxes",
        "drawings/cabinets",
        "drawings/cables",
    }
    assert set(found.written) == wanted | lists | plant
    assert set(files(folder)) == wanted | lists | plant | {INDEX}
    assert found.kept == []
    assert found.gone == []


def test_the_same_plant_gives_the_same_bytes(written, trunk, tmp_path):
    folder, _ = written
    write_papers(trunk, tmp_path, TWO)
    assert files(tmp_path) == files(folder)


def test_drawings_are_written_in_every_format_and_only_what_is_missing(larkfen, tmp_path):
    ask = {"kinds": ("drawings",), "tags": ("PT-1001",)}
    first = write_papers(larkfen, tmp_path, **ask)
    assert {path.rpartition(".")[2] for path in first.written} == {"pdf"}
    more = write_papers(larkfen, tmp_path, drawings=("pdf", "dxf", "svg"), **ask)
    assert sorted(more.kept) == sorted(first.written)
    assert {path.rpartition(".")[2] for path in more.written} == {"dxf", "svg"}
    shown = {path.rpartition(".")[0].partition("~")[0] for path in more.written}
    assert shown == {
        "drawings/PT-1001", "drawings/cables/W-111", "drawings/cabinets/MC-1",
        "drawings/boxes/JB-111",
    }  # fmt: skip
    before = files(tmp_path)
    again = write_papers(larkfen, tmp_path, drawings=("dxf", "svg"), **ask)
    assert again.written == []
    assert files(tmp_path) == before
    assert again.gone == []  # what was not asked for this time is not gone


def test_terminals_are_those_of_the_whole_plant(larkfen, tmp_path):
    """In JB-221 stand twenty circuits; each drawing shows the terminals of the terminal plan."""
    write_papers(larkfen, tmp_path, ("ZS-2006",), kinds=("drawings",), drawings=("svg",))
    # eleventh of the demo in that box and cable: terminals 21 and 22, pair 11
    drawing = (tmp_path / "drawings" / "ZS-2006.svg").read_text("utf-8")
    plan = "".join(
        file.read_text("utf-8") for file in (tmp_path / "drawings" / "boxes").glob("JB-221*")
    )
    assert "21 (11a)" in drawing.replace("\u00a0", " ")
    assert ">21<" in plan
    assert "W-221: 11a" in plan.replace("\u00a0", " ")


def test_an_unknown_format_is_refused(larkfen, tmp_path):
    with pytest.raises(UsageError, match="pdf, dxf, svg"):
        write_papers(larkfen, tmp_path / "new", drawings=("dwg",))
    assert not (tmp_path / "new").exists()


def test_a_sheet_that_a_drawing_has_no_longer_is_told(larkfen, tmp_path):
    ask = {"kinds": ("drawings",), "tags": ("PT-1001",), "drawings": ("svg",)}
    write_papers(larkfen, tmp_path, **ask)
    index = json.loads((tmp_path / INDEX).read_text())
    index["files"]["drawings/PT-1001~2.svg"] = {"data": "", "file": ""}
    (tmp_path / INDEX).write_text(json.dumps(index))
    assert write_papers(larkfen, tmp_path, **ask).gone == ["drawings/PT-1001~2.svg"]


def test_what_is_up_to_date_is_not_touched(larkfen, tmp_path):
    write_papers(larkfen, tmp_path, FEW, kinds=("dossiers", "inspection", "drawings"))
    before = {file: file.stat().st_mtime_ns for file in tmp_path.rglob("*.pdf")}
    again = write_papers(larkfen, tmp_path, FEW, kinds=("dossiers", "inspection", "drawings"))
    assert again.written == []
    own = [path for path in again.kept if path.count("/") == 1]
    assert len(own) == 6
    assert {file: file.stat().st_mtime_ns for file in tmp_path.rglob("*.pdf")} == before


def test_a_file_that_was_damaged_or_deleted_is_written_anew(larkfen, tmp_path):
    write_papers(larkfen, tmp_path, FEW, kinds=("dossiers",))
    good = files(tmp_path)
    damaged, deleted = (tmp_path / "dossiers" / f"{tag}.pdf" for tag in FEW)
    damaged.write_bytes(damaged.read_bytes()[:-1])
    deleted.unlink()
    again = write_papers(larkfen, tmp_path, FEW, kinds=("dossiers",))
    assert sorted(again.written) == ["dossiers/AT-4091.pdf", "dossiers/PT-1001.pdf"]
    assert files(tmp_path) == good


def test_only_the_circuit_that_changed_is_written_anew(larkfen, tmp_path):
    write_papers(larkfen, tmp_path, FEW, kinds=("dossiers",))
    circuits = tuple(
        dataclasses.replace(one, service="renamed") if one.tag == "AT-4091" else one
        for one in larkfen.plant.circuits
    )
    changed = assess(dataclasses.replace(larkfen.plant, circuits=circuits))
    again = write_papers(changed, tmp_path, FEW, kinds=("dossiers",))
    assert again.written == ["dossiers/AT-4091.pdf"]
    assert again.kept == ["dossiers/PT-1001.pdf"]


def test_papers_of_circuits_that_are_gone_are_named_and_kept(larkfen, tmp_path):
    write_papers(larkfen, tmp_path, FEW, kinds=("inspection",))
    left = tuple(one for one in larkfen.plant.circuits if one.tag != "AT-4091")
    fewer = assess(dataclasses.replace(larkfen.plant, circuits=left))
    again = write_papers(fewer, tmp_path, ("PT-1001",), kinds=("inspection",))
    assert again.gone == ["inspection/AT-4091.pdf"]
    assert (tmp_path / "inspection" / "AT-4091.pdf").exists()


def test_two_processes_write_what_one_writes(larkfen, tmp_path):
    tags = [one.tag for one in larkfen.plant.circuits][:9]
    said = []
    write_papers(larkfen, tmp_path / "one", tags, kinds=("inspection",), jobs=1)
    found = write_papers(
        larkfen, tmp_path / "two", tags, kinds=("inspection",), jobs=2, says=said.append
    )
    assert len(found.written) == 9
    one, two = files(tmp_path / "one"), files(tmp_path / "two")
    assert one.keys() == two.keys()
    for name in one.keys() - {INDEX}:
        assert one[name] == two[name]
    assert said[-1] == "papers: 9 ready, 100 %"


def test_what_was_done_before_an_interruption_stays(larkfen, tmp_path, monkeypatch):
    printed = []

    def interrupted(told):
        if printed:
            raise KeyboardInterrupt
        printed.append(told)
        return writing_print(told)

    writing_print = making.print_inspection
    monkeypatch.setattr(making, "print_inspection", interrupted)
    with pytest.raises(KeyboardInterrupt):
        write_papers(larkfen, tmp_path, FEW, kinds=("inspection",))
    assert [file.name for file in (tmp_path / "inspection").iterdir()] == ["AT-4091.pdf"]
    monkeypatch.setattr(making, "print_inspection", writing_print)
    again = write_papers(larkfen, tmp_path, FEW, kinds=("inspection",))
    assert again.written == ["inspection/PT-1001.pdf"]


@pytest.mark.parametrize(
    ("tag", "name"),
    [("AT-4091", "AT-4091"), ("10.PT_1+a", "10.PT_1+a")],
)
def test_a_tag_that_every_system_takes_names_its_file(tag, name):
    assert file_names([tag]) == {tag: name}


def test_file_names_are_safe_and_never_shared():
    seeded = random.Random(7)
    letters = 'aA1/\\:*?"<>|. é-\u2028\0~'
    tags = ["".join(seeded.choices(letters, k=seeded.randrange(1, 9))) for _ in range(500)]
    tags += ["..", ".", "/etc/passwd", "con", "NUL", "nul.txt", "pt-1", "PT-1", "a/b", "a\\b"]
    names = file_names(tags)
    assert len({name.lower() for name in names.values()}) == len(set(tags))
    for name in names.values():
        assert set(name) <= set(
            "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789._+=-"
        )
        assert not name.startswith(".")
        assert name.split(".")[0].lower() not in {"con", "nul"}


def test_a_folder_that_is_a_file_is_refused(larkfen, tmp_path):
    taken = tmp_path / "taken"
    taken.write_text("mine")
    with pytest.raises(UsageError, match="taken"):
        write_papers(larkfen, taken, FEW, kinds=("inspection",))


def test_an_index_of_somebody_else_is_not_overwritten(larkfen, tmp_path):
    (tmp_path / INDEX).write_text('{"mine": 1}')
    with pytest.raises(InputError, match="not ours"):
        write_papers(larkfen, tmp_path, FEW, kinds=("inspection",))
    assert json.loads((tmp_path / INDEX).read_text()) == {"mine": 1}


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"kinds": ("poems",)}, "poems"),
        ({"paper": "a5"}, "a4, letter"),
        ({"tags": ("XX-1",)}, "XX-1"),
    ],
)
def test_what_is_not_there_is_refused_before_anything_is_written(larkfen, tmp_path, wrong, said):
    with pytest.raises(UsageError, match=said):
        write_papers(larkfen, tmp_path / "new", **wrong)
    assert not (tmp_path / "new").exists()


def test_a_part_that_says_something_else_writes_nothing(larkfen, tmp_path, monkeypatch):
    """The guard that no dossier is printed from a part that lacks what the verdict leans on."""
    from subspark.errors import SubsparkError

    def without_declarations(plant, *_):
        return dataclasses.replace(plant, declarations=())

    monkeypatch.setattr(writing, "part_of", without_declarations)
    with pytest.raises(SubsparkError, match="where the whole plant gives safe"):
        write_papers(larkfen, tmp_path, ("PT-1001",), kinds=("dossiers",))
    assert list((tmp_path / "dossiers").iterdir()) == []
