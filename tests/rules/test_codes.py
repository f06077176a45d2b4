"""Codes: every edition whole, its citations its own, its symbols and marks."""

from __future__ import annotations

import math

import pytest

from subspark.errors import UsageError
from subspark.rules import CODES, ORDER, RULES, code

AMERICAN = ("NEC", "CEC")


@pytest.mark.parametrize("name", CODES)
def test_every_rule_has_a_clause_and_every_constant_a_citation(name):
    edition = code(name)
    assert set(ORDER) <= set(edition.clauses)
    for rule, cited in edition.clauses.items():
        assert cited.strip(), rule
    for constant in edition.constants.values():
        assert constant.clause.strip()
        assert constant.confidence in ("high", "medium", "low")


@pytest.mark.parametrize("name", AMERICAN)
def test_north_american_codes_cite_no_installation_standard_of_iec(name):
    edition = code(name)
    cited = [*edition.clauses.values(), *(one.clause for one in edition.constants.values())]
    for text in cited:
        for foreign in ("IEC 60079", "60079-14", "60079-25"):
            assert foreign not in text


def test_the_canadian_code_cites_nothing_of_the_united_states():
    edition = code("CEC")
    cited = [*edition.clauses.values(), *(one.clause for one in edition.constants.values())]
    for text in cited:
        for foreign in ("NFPA", "ISA", "ANSI"):
            assert foreign not in text


def test_the_canadian_code_extends_the_nec():
    nec, cec = code("NEC"), code("CEC")
    for name, one in nec.constants.items():
        other = cec.constants[name].value
        assert other == one.value or (math.isnan(other) and math.isnan(one.value))
    assert cec.groups == nec.groups
    assert cec.zones == nec.zones
    assert (nec.listing, cec.listing) == ("NEC", "CEC")


@pytest.mark.parametrize("name", AMERICAN)
def test_north_american_codes_go_by_drawing_and_by_feet(name):
    assert code(name).by_drawing
    assert code(name).feet


@pytest.mark.parametrize("name", ["IEC-2013", "IEC-2024"])
def test_codes_of_iec_do_not(name):
    assert not code(name).by_drawing
    assert not code(name).feet
    assert dict(code(name).symbols) == {}


@pytest.mark.parametrize(
    ("iec", "american"),
    [
        ("Uo <= Ui", "Voc <= Vmax"),
        ("Io <= Ii", "Isc <= Imax"),
        ("Po <= Pi", "Po <= Pmax"),
        ("sum Ci + Cc <= k Co", "sum Ci + Ccable <= k Ca"),
        (
            "sum Li + Lc <= k Lo, or else L/R of every run <= Lo/Ro",
            "sum Li + Lcable <= k La, or else L/R of every run <= La/Ra",
        ),
        ("Colour, Lower, Com", "Colour, Lower, Com"),
    ],
)
def test_symbols(iec, american):
    """ISA-RP12.06.01: Voc, Isc, Ca, La; Vmax, Imax; from memory (high; Pmax medium)."""
    assert code("NEC").say(iec) == american
    assert code("CEC").say(iec) == american
    assert code("IEC-2024").say(iec) == iec


def test_symbols_leave_no_iec_symbol_in_a_relation():
    for rule in RULES:
        said = code("NEC").say(rule.relation)
        assert not {"Uo", "Io", "Ui", "Ii", "Pi", "Co", "Lo"} & set(said.replace("/", " ").split())


def test_marks_that_count():
    assert code("IEC-2024").marks == {"IEC": "yes", "AEx": "no", "Division": "no"}
    assert code("NEC").marks == {"IEC": "listed", "AEx": "yes", "Division": "yes"}
    assert code("CEC").marks == {"IEC": "listed", "AEx": "listed", "Division": "yes"}


@pytest.mark.parametrize("name", CODES)
def test_columns_that_serve_are_of_groups_that_there_are(name):
    groups = code(name).groups
    for one in groups.values():
        for column in one.columns:
            assert column in groups
            gas, dust = groups[column].family == "II", one.family == "III"
            assert groups[column].family == one.family or (gas and (dust or one.family == "I"))
            if groups[column].family == one.family and one.family != "III" and column != "III":
                assert groups[column].rank >= one.rank


def test_a_column_never_serves_a_group_that_is_easier_to_ignite():
    """Gas: a column of a group serves that group and those below it, in each system and across."""
    for name in CODES:
        groups = code(name).groups
        for one in groups.values():
            if one.family != "II":
                continue
            for column in one.columns:
                assert groups[column].rank >= one.rank, (name, column)


def test_an_unknown_code_is_refused():
    with pytest.raises(UsageError, match="IEC-2013, IEC-2024, NEC, CEC"):
        code("BS 5345")
