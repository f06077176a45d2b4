"""The register of rules: nothing half declared gets in, and every code cites every rule.

Source: own engineering.
"""

import dataclasses

import numpy as np
import pytest

from subspark.errors import UsageError
from subspark.rules import CODES, ORDER, RULES, Bound, Columns, Segments, code
from subspark.rules import codes as codes_module
from subspark.rules.codes import Code
from subspark.rules.registry import registered, rule

GOOD = {
    "says": "s",
    "relation": "a <= b",
    "needs": ("U", "Ui"),
    "remedy": "r",
}


def test_every_rule_of_the_order_is_declared_once_and_in_order():
    assert tuple(one.name for one in RULES) == ORDER
    assert len(set(ORDER)) == len(ORDER)
    assert registered() == RULES


@pytest.mark.parametrize("one", RULES, ids=lambda one: one.name)
def test_a_declaration_is_whole(one):
    columns = {field.name for kind in (Columns, Segments) for field in dataclasses.fields(kind)}
    assert one.says.endswith(".")
    assert one.relation
    assert one.remedy
    assert set(one.needs) <= columns - {"code", "memo"}
    assert one.sort in ("quantity", "suitability")
    assert one.unit or one.sort == "suitability"
    assert one.evaluate.__doc__


@pytest.mark.parametrize(
    ("name", "change", "message"),
    [
        ("no such rule", {}, "not in the order of rules, or declared twice"),
        ("voltage", {}, "not in the order of rules, or declared twice"),
    ],
)
def test_a_rule_out_of_order_or_twice_is_refused(name, change, message):
    with pytest.raises(ValueError, match=message):
        rule(name, **{**GOOD, **change})


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"needs": ("U", "nonsense")}, r"needs unknown columns \['nonsense'\]"),
        ({"needs": ("code",)}, r"needs unknown columns \['code'\]"),
        ({"needs": ("memo",)}, r"needs unknown columns \['memo'\]"),
        ({"needs": ()}, "lacks a part of its declaration"),
        ({"says": ""}, "lacks a part of its declaration"),
        ({"relation": ""}, "lacks a part of its declaration"),
        ({"remedy": ""}, "lacks a part of its declaration"),
    ],
)
def test_a_declaration_that_lacks_something_is_refused(monkeypatch, change, message):
    monkeypatch.setattr("subspark.rules.registry._RULES", {})
    with pytest.raises(ValueError, match=message):
        rule("voltage", **{**GOOD, **change})


def test_a_good_declaration_is_taken(monkeypatch):
    monkeypatch.setattr("subspark.rules.registry._RULES", {})

    @rule("voltage", **GOOD)
    def voltage(c: Columns) -> Bound:
        """Nothing."""
        return Bound(c.U, c.Ui)

    assert [one.name for one in registered()] == ["voltage"]
    assert registered()[0].evaluate is voltage


# --- codes ------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", CODES)
def test_every_code_cites_every_rule(name):
    loaded = code(name)
    for one in ORDER:
        assert loaded.clause(one), one
    assert loaded.name == name
    assert loaded.title
    assert loaded.documents


@pytest.mark.parametrize("name", CODES)
def test_every_constant_has_unit_clause_and_confidence(name):
    for key, one in code(name).constants.items():
        assert isinstance(one.value, float), key
        assert one.clause, key
        assert one.confidence in ("high", "medium", "low"), key
        assert one.unit is not None, key


@pytest.mark.parametrize("name", CODES)
def test_every_group_leans_on_columns_of_its_own_family_or_a_more_sensitive_one(name):
    """A column never serves a more sensitive group than it is printed for (IEC 60079-0 4)."""
    loaded = code(name)
    sensitivity = {"I": 0, "IIA": 1, "IIB": 2, "IIC": 3}
    for key, group in loaded.groups.items():
        for column in group.columns:
            spark = loaded.groups[column].spark
            assert sensitivity[spark] >= sensitivity[group.spark], (key, column)


def test_editions_differ_by_data():
    """2013 and 2024: the same figures from memory, other titles and clauses."""
    old, new = code("IEC-2013"), code("IEC-2024")
    assert old.title != new.title
    assert {key: one.value for key, one in old.constants.items()} == {
        key: one.value for key, one in new.constants.items()
    }
    assert "2013" in old.clause("capacitance")
    assert "2024" in new.clause("capacitance")
    for one in ORDER:
        assert "60079-14:2013" not in new.clause(one), one
        assert "60079-11:2011" not in new.clause(one), one
    for constant in new.constants.values():
        assert "60079-14:2013" not in constant.clause
        assert "60079-11:2011" not in constant.clause


def test_north_america_has_its_own_defaults_and_groups():
    """60 pF/ft and 0.20 uH/ft (ISA-RP12.06.01, from memory)."""
    nec = code("NEC")
    assert nec.number("default C") == pytest.approx(60e-12 / 0.3048, rel=1e-14)
    assert nec.number("default L") == pytest.approx(0.2e-6 / 0.3048, rel=1e-14)
    assert np.isnan(nec.number("default L/R"))
    assert nec.groups["A"].spark == nec.groups["B"].spark == "IIC"
    assert (nec.groups["C"].spark, nec.groups["D"].spark) == ("IIB", "IIA")
    assert {nec.groups[one].family for one in "EFG"} == {"III"}
    assert nec.zones["Division 1"].rank == 3
    assert "Division 1" not in code("IEC-2024").zones


def test_temperature_classes():
    """IEC 60079-0 5.3.2.2, from memory."""
    loaded = code("IEC-2024")
    classes = {f"T{number}": loaded.t_class(f"T{number}") for number in range(1, 7)}
    assert classes == {"T1": 450, "T2": 300, "T3": 200, "T4": 135, "T5": 100, "T6": 85}


def test_an_unknown_code_is_refused_with_those_there_are():
    with pytest.raises(UsageError, match="no code 'IEC-1999'; wanted one of IEC-2013, IEC-2024"):
        code("IEC-1999")


def test_a_code_without_a_clause_is_refused(monkeypatch):
    """A rule that some edition does not cite never gets in."""
    table = codes_module._table

    def short(stem):
        whole = table(stem)
        clauses = {key: value for key, value in whole["clauses"].items() if key != "voltage"}
        return {**whole, "clauses": clauses}

    monkeypatch.setattr(codes_module, "_table", short)
    with pytest.raises(ValueError, match=r"has no clause for \['voltage'\]"):
        code.__wrapped__("IEC-2013")


def test_a_code_cannot_be_changed():
    loaded = code("IEC-2024")
    assert isinstance(loaded, Code)
    with pytest.raises(dataclasses.FrozenInstanceError):
        loaded.name = "other"
