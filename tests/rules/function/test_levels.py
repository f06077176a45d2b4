"""Levels of standards: as printed, with source and confidence, and none of low confidence used."""

from __future__ import annotations

import pytest

from subspark.rules.function.levels import level, levels


@pytest.mark.parametrize(
    ("name", "ends"),
    [
        # IEC 60947-5-6, from memory: 8.2 V behind 1 kohm, 1.2 mA and 2.1 mA, alarms of the line
        ("switch open-circuit voltage", (7.7, 8.2, 9.0)),
        ("switch source resistance", (550.0, 1000.0, 1100.0)),
        ("switch off threshold", (1.2e-3, 1.2e-3, 1.2e-3)),
        ("switch on threshold", (2.1e-3, 2.1e-3, 2.1e-3)),
        ("switch break threshold", (0.05e-3, 0.2e-3, 0.35e-3)),
        ("switch short threshold", (100.0, 230.0, 360.0)),
        ("standard switch on current", (2.2e-3, 2.2e-3, 2.2e-3)),
        ("standard switch off current", (1.0e-3, 1.0e-3, 1.0e-3)),
        # TIA-485, from memory
        ("serial unit load", (12e3, 12e3, 12e3)),
        ("serial receiver threshold", (0.2, 0.2, 0.2)),
        # handbooks: -2 mV/K for a junction, from memory
        ("junction voltage per kelvin", (2e-3, 2e-3, 2e-3)),
    ],
)
def test_levels_are_those_of_the_standards(name, ends):
    assert level(name)[1:4] == pytest.approx(ends, rel=1e-12)


def test_each_level_says_where_it_comes_from_and_how_far_it_is_trusted():
    for one in levels().values():
        assert one.source, one.name
        assert one.confidence in ("high", "medium", "low"), one.name


def test_levels_of_low_confidence_do_not_serve():
    assert not level("safety switch on current").serves
    assert not level("safety switch off current").serves
    assert level("switch source resistance").serves


def test_an_unknown_level_is_an_error():
    with pytest.raises(KeyError):
        level("no such level")
