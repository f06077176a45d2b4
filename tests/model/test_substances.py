"""The table of substances: looking up, check digits, where its values come from."""

import hashlib
import subprocess
import sys
from importlib.resources import files
from pathlib import Path

import pytest

from subspark.errors import UsageError
from subspark.model.substances import Substance, find_substance, is_cas_number, substances

ROOT = Path(__file__).resolve().parents[2]


def test_table_is_the_one_that_was_checked():
    """Checksum of the whole table, as the tool writes it."""
    data = (files("subspark.model") / "data" / "substances.csv").read_bytes()
    assert hashlib.sha256(data).hexdigest() == (
        "930deddbec029a16f13f0b7134e48af541900277a706e5dce8ff87cf50ef09d6"
    )
    assert len(substances()) == 68


def test_table_is_what_the_tool_writes():
    tool = [sys.executable, str(ROOT / "tools" / "make_substances.py"), "--check"]
    done = subprocess.run(tool, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.parametrize("one", substances(), ids=lambda one: one.name)
def test_every_row_is_whole(one):
    assert one.name
    assert is_cas_number(one.cas)
    assert one.group in {"IIA", "IIB", "IIC"}
    assert one.group_confidence in {"H", "M", "L"}
    assert "from memory" in one.group_source
    assert 20.0 < one.autoignition_C < 700.0
    assert one.autoignition_source in {"IEC 60079-20-1:2010", "NFPA 497:2008", "from memory"}
    assert (one.nfpa_autoignition_C is None) == (one.nfpa_source == "")


def test_no_name_means_two_substances():
    spoken = [
        name.casefold() for one in substances() for name in (one.name, *one.synonyms, one.cas)
    ]
    assert len(spoken) == len(set(spoken))


@pytest.mark.parametrize("one", substances(), ids=lambda one: one.name)
def test_every_name_finds_its_substance(one):
    for name in (one.name, *one.synonyms, one.cas):
        assert find_substance(name) is one
        assert find_substance(name.upper()) is one
        assert find_substance(f"  {name.lower()} ") is one


def test_kinds_of_dash_and_blanks_do_not_matter():
    assert find_substance("n\u2013butane").name == "n-Butane"
    assert find_substance("74\u201182\u20118").name == "Methane"
    assert find_substance("carbon   disulphide").name == "Carbon disulfide"


def test_a_close_name_is_suggested():
    with pytest.raises(UsageError) as caught:
        find_substance("Tolune")
    assert str(caught.value) == (
        "'Tolune': no substance of this name in the table; did you mean Toluene?"
    )
    with pytest.raises(UsageError, match=r"did you mean .*Acetylene"):
        find_substance("acetylen")


def test_an_unlike_name_is_refused_without_a_suggestion():
    for name in ("", "zzzzqq", "natural gas"):
        with pytest.raises(UsageError, match=r"wanted a name or a CAS number|did you mean"):
            find_substance(name)


def test_a_number_with_a_wrong_check_digit_is_refused():
    with pytest.raises(UsageError, match="its check digit would be 8"):
        find_substance("74-82-9")


def test_a_number_that_is_not_in_the_table_is_refused():
    with pytest.raises(UsageError, match="no substance with this CAS registry number"):
        find_substance("7732-18-5")  # water


@pytest.mark.parametrize(
    ("text", "good"),
    [
        ("7732-18-5", True),  # water: the example that the registry itself prints
        ("107-07-3", True),  # the second one, from memory
        ("7732-18-4", False),
        ("7732185", False),
        ("", False),
        ("a-82-8", False),
    ],
)
def test_check_digit(text, good):
    assert is_cas_number(text) is good


def test_substances_cannot_be_changed():
    one = find_substance("hydrogen")
    assert isinstance(one, Substance)
    with pytest.raises(AttributeError):
        one.group = "IIA"


def test_the_more_sensitive_group_stands_where_lists_differ():
    assert find_substance("isopropyl nitrate").group == "IIC"
    assert find_substance("carbon monoxide").group == "IIB"


def test_the_tool_is_not_needed_at_run_time():
    code = (
        "import sys; from subspark.model.substances import substances; substances(); "
        "print('chemicals' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
