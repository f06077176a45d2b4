"""One cell: what a spreadsheet holds, as the model's own value, and back."""

from __future__ import annotations

import datetime as dt

import pytest

from subspark.errors import InputError
from subspark.exchange.cells import ERROR, CellReader, FaultyCell, shown, told
from subspark.exchange.layout import SHEETS
from subspark.quantity import Value

READERS = {(sheet.title, slot.title): CellReader(slot) for sheet in SHEETS for slot in sheet.slots}
Co = READERS["Limits", "Co [nF]"]
Lo = READERS["Limits", "Lo [mH]"]


def text(value: object) -> str:
    assert isinstance(value, Value)
    return value.text


@pytest.mark.parametrize(
    ("cell", "printed", "si"),
    [
        (83.0, "83 nF", 83e-9),
        (0.1, "0.1 nF", 1e-10),
        (0.1 + 0.2, "0.3 nF", 3e-10),  # as the spreadsheet shows it: 15 digits
        (0.0, "0 nF", 0.0),
        (1e-7, "0.0000001 nF", 1e-16),
        (1234567.0, "1234567 nF", 1234567e-9),
        ("0.083 µF", "0.083 µF", 83e-9),
        ("0.083uF", "0.083uF", 83e-9),
        ("83", "83 nF", 83e-9),
        ("83,5", "83,5 nF", 83.5e-9),
        ("12,5 pF", "12,5 pF", 12.5e-12),
        ("≤ 5 nF", "≤ 5 nF", 5e-9),
        ("0", "0", 0.0),
        (" 83 nF ", "83 nF", 83e-9),
    ],
)
def test_a_number_takes_the_unit_of_its_heading_and_a_text_its_own(
    cell: object, printed: str, si: float
) -> None:
    value = Co(cell)
    assert text(value) == printed
    assert isinstance(value, Value)
    assert value.si == si


def test_tenths_in_microfarad_are_exact() -> None:
    value = READERS["Apparatus", "Terminator C [µF]"](0.1)
    assert text(value) == "0.1 µF"
    assert isinstance(value, Value)
    assert value.si == 1e-7


def test_four_different_nothings_stay_different() -> None:
    Ci, Ii = READERS["Connections", "Ci [nF]"], READERS["Connections", "Ii [mA]"]
    states = [
        (value.text, value.state)
        for value in (Ci("negligible"), Ci("0"), Ii("not limiting"), Ci("unknown"))
        if isinstance(value, Value)
    ]
    assert states == [
        ("negligible", "negligible"),
        ("0", "number"),
        ("not limiting", "not limiting"),
        ("unknown", "unknown"),
    ]


@pytest.mark.parametrize(
    ("cell", "wanted"),
    [
        ("12,500", "a comma before three digits may be a decimal or a thousands comma"),
        ("not limiting", "'not limiting' can be declared of Ii and Pi only"),
        (-4.2, "negative; magnitudes only"),
        ("4.2 nF", "unit 'nF' is not of an inductance"),
        (False, "a logical value; wanted an inductance with its unit, such as 4.2 mH"),
        (dt.date(2024, 2, 1), "a date; wanted an inductance with its unit"),
        (dt.time(12), "a time of day; wanted an inductance with its unit"),
        (FaultyCell("#DIV/0!", ERROR), "the error of a formula; wanted an inductance"),
    ],
)
def test_what_is_no_inductance_is_refused(cell: object, wanted: str) -> None:
    for _ in range(2):  # the second time from memory
        with pytest.raises(InputError) as caught:
            Lo(cell)
        assert str(caught.value).startswith(wanted)


@pytest.mark.parametrize(
    ("cell", "read"),
    [(101.0, "101"), (1.5, "1.5"), ("  a   b ", "a b"), ("007", "007"), (1e15, "1" + "0" * 15)],
)
def test_a_plain_text_typed_as_a_number_is_the_text(cell: object, read: str) -> None:
    assert READERS["Circuits", "Circuit"](cell) == read


def test_choices_are_read_in_any_case_and_from_logical_cells() -> None:
    answer = READERS["Circuits", "Bonding"]
    assert [answer(cell) for cell in ("YES", True, False, " no ")] == ["yes", "yes", "no", "no"]
    assert READERS["Areas", "Zone"](21.0) == "21"
    assert READERS["Circuit apparatus", "Temporary"]("Yes") is True
    with pytest.raises(InputError, match="wanted yes or blank"):
        READERS["Circuit apparatus", "Temporary"]("maybe")


def test_ranges_need_both_ends() -> None:
    read = READERS["Areas", "Ambient [°C]"]
    assert getattr(read("-20 to 40"), "text", "") == "-20 to 40 °C"
    assert getattr(read("-20 °C to +40 °C"), "text", "") == "-20 °C to +40 °C"
    with pytest.raises(InputError, match="one temperature; wanted a temperature range"):
        read(40.0)


def test_substances_are_separated_by_semicolons() -> None:
    read = READERS["Areas", "Substances"]
    assert read("hydrogen; 1,2-dichloroethane;") == ("hydrogen", "1,2-dichloroethane")
    odd = ("a;b", 'say "x"', "c")
    assert read(told(odd, "")) == odd


@pytest.mark.parametrize(
    ("printed", "unit", "cell"),
    [
        ("83 nF", "nF", 83),
        ("0.1 nF", "nF", 0.1),
        ("83.0 nF", "nF", "83.0 nF"),
        ("83nF", "nF", "83nF"),
        ("0.083 µF", "nF", "0.083 µF"),
        ("83,5 nF", "nF", "83,5 nF"),
        ("0.12345678901234567 nF", "nF", "0.12345678901234567 nF"),
        ("negligible", "nF", "negligible"),
        ("0", "nF", "0"),
        ("0 nF", "nF", 0),
        ("", "nF", ""),
    ],
)
def test_a_number_is_written_only_where_nothing_is_lost(
    printed: str, unit: str, cell: object
) -> None:
    assert READERS["Connections", "Ci [nF]"].field is not None
    kind = READERS["Connections", "Ci [nF]"].field.value
    assert kind is not None
    written = told(kind(printed), unit)
    assert written == cell
    assert isinstance(written, str) == isinstance(cell, str)


def test_cells_are_shown_as_the_spreadsheet_shows_them() -> None:
    cells = (83.0, 0.1 + 0.2, True, "text", FaultyCell("#N/A", ERROR), dt.date(2024, 2, 1))
    assert [shown(cell) for cell in cells] == ["83", "0.3", "TRUE", "text", "#N/A", "2024-02-01"]
