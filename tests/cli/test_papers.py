"""``subspark papers`` and ``subspark reproduce``."""

import sys

import pytest


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("papers")


def test_papers_of_one_circuit_are_written_and_reproduced(run, demo_file, folder):
    status, out, err = run("papers", demo_file, "-o", folder, "AT-4091", "--only", "dossiers")
    assert (status, err) == (0, "")
    assert "1 paper written, 0 up to date" in out
    status, out, err = run("reproduce", folder / "dossiers" / "AT-4091.pdf")
    assert (status, err) == (0, "")
    assert "identical" in out
    assert "AT-4091, unsafe" in out
    assert "byte for byte" in out


def test_tags_may_stand_before_the_options_too(run, demo_file, folder):
    status, out, _ = run("papers", demo_file, "AT-4091", "--only", "dossiers", "-o", folder)
    assert status == 0
    assert "0 papers written, 1 up to date" in out


def test_another_edition_gives_another_dossier(run, demo_file, folder):
    ask = ("papers", demo_file, "-o", folder, "--only", "dossiers", "AT-4091")
    status, out, _ = run(*ask, "--code", "IEC-2013")
    assert status == 0
    assert "1 paper written" in out
    assert run(*ask)[0] == 0


def test_a_changed_paper_ends_with_2_and_the_worst_counts(run, demo_file, folder, tmp_path):
    run("papers", demo_file, "-o", folder, "--only", "dossiers", "AT-4091")
    good = folder / "dossiers" / "AT-4091.pdf"
    bad = tmp_path / "bad.pdf"
    data = bytearray(good.read_bytes())
    data[len(data) // 2] ^= 1
    bad.write_bytes(data)
    status, out, _ = run("reproduce", good, bad)
    assert status == 2
    assert "2 papers: 1 identical, 1 not." in out


def test_a_file_that_is_not_there_ends_with_one_message(run, tmp_path):
    status, out, err = run("reproduce", tmp_path / "none.pdf")
    assert (status, out) == (2, "")
    assert "none.pdf" in err
    assert "Traceback" not in err


def test_a_folder_is_wanted(run, demo_file):
    status, _, err = run("papers", demo_file)
    assert status == 2
    assert "-o/--output" in err


@pytest.mark.parametrize(
    ("module", "package"),
    [("typst", "typst"), ("fontpkg_source_sans_3", "fontpkg-source-sans-3")],
)
def test_a_missing_package_is_named_with_the_way_to_it(
    run, demo_file, tmp_path, monkeypatch, module, package
):
    monkeypatch.setitem(sys.modules, module, None)
    status, out, err = run("papers", demo_file, "-o", tmp_path / "new", "AT-4091")
    assert (status, out) == (2, "")
    assert err.count("\n") == 1
    assert f"papers need the package {package}" in err
    assert "pip install 'subspark[papers]'" in err
    assert not (tmp_path / "new").exists()


def test_reproducing_without_its_reader_names_it(run, folder, demo_file, monkeypatch):
    run("papers", demo_file, "-o", folder, "--only", "dossiers", "AT-4091")
    monkeypatch.setitem(sys.modules, "pypdf", None)
    status, _, err = run("reproduce", folder / "dossiers" / "AT-4091.pdf")
    assert status == 2
    assert "papers need the package pypdf" in err


SIGN = (
    *("--designer", "A. Person", "2026-03-01"),
    *("--checker", "B. Person", "2026-03-02"),
    *("--approver", "C. Person", "2026-03-03"),
)


def test_signed_papers_reproduce_and_an_unsafe_circuit_is_refused(run, demo_file, tmp_path):
    ask = ("papers", demo_file, "-o", tmp_path / "new", "--only", "dossiers", *SIGN)
    status, out, err = run(*ask, "AT-4091")
    assert (status, out) == (2, "")
    assert "'AT-4091' is unsafe: what is open cannot be signed as a proof" in err
    assert not (tmp_path / "new").exists()
    status, _, err = run(*ask, "PT-1001", "--reason", "cable measured", "--equivalents")
    assert (status, err) == (0, "")
    status, out, _ = run("reproduce", tmp_path / "new" / "dossiers" / "PT-1001.pdf")
    assert status == 0
    assert "byte for byte" in out


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (("--designer", "A. Person", "yesterday"), "date 'yesterday': wanted a day"),
        (("--drawings", "pdf,dwg"), "drawings as 'dwg': wanted one of pdf, dxf, svg"),
        (("--drawings", ","), "no format of drawings"),
    ],
)
def test_what_cannot_be_is_refused_in_one_message(run, demo_file, tmp_path, wrong, said):
    status, out, err = run("papers", demo_file, "-o", tmp_path / "new", "PT-1001", *wrong)
    assert (status, out, err.count("\n")) == (2, "", 1)
    assert said in err
    assert not (tmp_path / "new").exists()
