"""Sixty markings with their facts, forty to be read and twenty to be refused.

IEC 60079-0:2017 clause 29, 2014/34/EU Annex II 1.0.5, NEC 500.8 and 505.9, from memory. The rows
were written by a person who did not write the reader. A "|" parts the alternatives of a label; an
empty EPL is not printed.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from subspark.errors import MarkingError
from subspark.marking import Marking, read_marking, show

ROWS = list(
    csv.DictReader(
        Path(__file__).with_name("markings.csv").read_text(encoding="utf-8").splitlines()
    )
)
GOOD = [pytest.param(row, id=row["string"]) for row in ROWS if row["valid"] == "1"]
BAD = [pytest.param(row, id=row["string"]) for row in ROWS if row["valid"] == "0"]


def test_the_table_is_whole():
    assert [int(row["id"]) for row in ROWS] == list(range(1, 61))
    assert (len(GOOD), len(BAD)) == (40, 20)


def _temperature(marking: Marking) -> str:
    """The temperature in the spelling of the table: 135C, 125C@200mm, T6..T4, 120C(T4)."""
    classes = marking.temperature_classes
    if marking.surface_temperature is None:
        return "..".join(dict.fromkeys((classes[-1], classes[0]))) if classes else ""
    layer = f"@{marking.dust_layer_depth:g}mm" if marking.dust_layer_depth is not None else ""
    beside = f"({classes[0]})" if classes else ""
    return f"{marking.surface_temperature:g}C{layer}{beside}"


def _number(value: float | None) -> str:
    return "" if value is None else f"{value:g}"


def _protection(marking: Marking) -> str:
    if marking.inner:
        outer = marking.protection[len(marking.inner) :]
        return f"{' '.join(marking.inner)}/{' '.join(outer)}"
    return " ".join(marking.protection)


def _facts(marking: Marking) -> dict[str, str]:
    return {
        "dialect": marking.dialect,
        "role": marking.role,
        "eu_group": marking.eu_group,
        "category": marking.category,
        "served_category": marking.served_category,
        "atmosphere": marking.atmosphere,
        "prefix": marking.prefix,
        "protection": _protection(marking),
        "served_protection": " ".join(marking.served_protection),
        "group": marking.group,
        "served_group": marking.served_group,
        "temperature": _temperature(marking),
        "epl": "" if marking.epl_derived else "/".join(marking.epl),
        "served_epl": "" if marking.served_epl_derived else marking.served_epl,
        "ambient_min": _number(marking.ambient_min),
        "ambient_max": _number(marking.ambient_max),
        "na_class": ",".join(marking.na_class),
        "na_division": marking.na_division,
        "na_zone": marking.na_zone,
        "na_groups": "".join(marking.na_groups),
    }


# Columns that are filled only where a bracket stands on its own, and served_group where the
# bracket names none, differ between a table for people and facts for a program.
SHARED = ("dialect", "role", "ambient_min", "ambient_max", "na_class", "na_division", "na_zone")


@pytest.mark.parametrize("row", GOOD)
def test_a_good_row_gives_the_facts_of_the_table(row):
    """IEC 60079-0:2017 clause 29; 2014/34/EU Annex II 1.0.5; NEC 500.8; from memory."""
    label = read_marking(row["string"])
    for index, marking in enumerate(label.alternatives):
        for name, value in _facts(marking).items():
            parts = row[name].split("|")
            one = name in SHARED or len(parts) == 1
            assert value == (parts[0] if one else parts[index]), name
    assert len(label.alternatives) == len(row["prefix"].split("|"))
    assert label.text == row["string"]


@pytest.mark.parametrize("row", GOOD)
def test_a_good_row_is_shown_and_read_again_with_the_same_facts(row):
    """Common practice, no source."""
    for marking in read_marking(row["string"]).alternatives:
        assert read_marking(show(marking)).alternatives == (marking,)


@pytest.mark.parametrize("row", BAD)
def test_a_bad_row_is_refused_at_the_offending_part(row):
    """IEC 60079-0:2017 clause 29; 2014/34/EU Annex II 1.0.5; NEC 500.5 and 500.6; from memory."""
    text = row["string"]
    with pytest.raises(MarkingError) as caught:
        read_marking(text)
    error = caught.value
    assert text[error.start : error.end] == row["wrong"]
    assert error.text == text
    assert error.why
    assert error.wanted


@pytest.mark.parametrize(
    ("text", "epl", "served_epl"),
    [
        ("Ex ia IIC T4", ("Ga",), ""),
        ("EEx ia IIC T4", ("Ga",), ""),
        ("[EEx ia] IIC", (), "Ga"),
        ("EEx d [ia] IIC T6", ("Gb",), "Ga"),
        ("Ex ib IIB T4", ("Gb",), ""),
        ("Ex ic IIA T4", ("Gc",), ""),
        ("Ex ia I", ("Ma",), ""),
        ("Ex ib I", ("Mb",), ""),
        ("Ex ia IIIC T135 °C", ("Da",), ""),
        ("[Ex ib] IIIB", (), "Db"),
        ("[Ex ia] I", (), "Ma"),
        ("Ex ia/db IIC T6", ("Ga", "Gb"), ""),
        ("Ex eb mb [ib] IIC T4 Gb", ("Gb",), "Gb"),
        ("Ex ec nC IIC T4", ("Gc",), ""),
        ("Ex db op is IIC T4", ("Gb",), ""),
    ],
)
def test_an_epl_that_is_not_printed_is_derived_from_the_level(text, epl, served_epl):
    """IEC 60079-0:2017 clause 29 and IEC 60079-14:2013 table 2, from memory."""
    [marking] = read_marking(text).alternatives
    assert (marking.epl, marking.served_epl) == (epl, served_epl)
    assert marking.epl_derived == ("Gb" not in text and bool(epl))
    assert marking.served_epl_derived == bool(served_epl)


def test_three_spellings_give_the_same_level_group_and_epl():
    """IEC 60079-0:2017 clause 29, from memory."""
    [plain] = read_marking("Ex ia IIC T4 Ga").alternatives
    [directive] = read_marking("II 1 G Ex ia IIC T4 Ga").alternatives
    [source] = read_marking("[Ex ia Ga] IIC").alternatives
    facts = ("ia", "IIC", "Ga")
    assert (plain.level, plain.group, *plain.epl) == facts
    assert (directive.level, directive.group, *directive.epl) == facts
    assert (source.served_level, source.served_group, source.served_epl) == facts
    assert source.level == ""
    assert source.epl == ()
