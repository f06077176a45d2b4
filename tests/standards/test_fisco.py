"""FISCO against its own arithmetic: the table of supplies and the limits that it must fit.

IEC 60079-11:2011 Annex G, from memory: largest Io of a supply with a rectangular characteristic,
in mA, by Uo in V, group and level. The table serves to understand a certificate; what a source
may do stands in its certificate and is judged by the limits of the method.
"""

from __future__ import annotations

import dataclasses

import pytest

import subspark as ss
from assess.segment import output, plant, source, wrong
from subspark.rules.codes.fieldbus import editions, figures

SUPPLIES = {  # Uo: ia and ib IIC, ia and ib IIB, ic IIC, ic IIB
    14.0: (183, 380, 274, 570),
    15.0: (133, 354, 199, 531),
    16.0: (103, 288, 154, 432),
    17.0: (81, 240, 121, 360),
    17.5: (75, 213, 112, 319),
}
EDITIONS = editions("FISCO")


def number(name: str, edition: str = EDITIONS[0]) -> float:
    return figures("FISCO", edition).constants[name].value


def test_currents_of_ic_are_one_and_a_half_times_those_of_ia():
    # the factor of 1.5 on current that ic is spared, rounded to whole mA
    for ia_IIC, ia_IIB, ic_IIC, ic_IIB in SUPPLIES.values():
        assert abs(ic_IIC - 1.5 * ia_IIC) <= 0.51
        assert abs(ic_IIB - 1.5 * ia_IIB) <= 0.51


def test_the_power_limit_is_that_of_the_table():
    # 5.32 W: 14 V x 380 mA, and 354 mA is what it leaves at 15 V
    assert number("source power") == pytest.approx(14.0 * 0.380, abs=1e-9)
    assert int(1e3 * number("source power") / 15.0) == SUPPLIES[15.0][1]
    for volts, row in SUPPLIES.items():
        assert volts * row[1] / 1e3 <= number("source power") + 1e-9


def test_no_supply_of_the_table_breaks_the_limits():
    assert min(SUPPLIES) == number("source voltage low")
    assert max(SUPPLIES) == number("source voltage high") == number("device voltage")
    assert max(max(row[:2]) for row in SUPPLIES.values()) / 1e3 == number("source current")
    assert max(max(row[2:]) for row in SUPPLIES.values()) / 1e3 == number("source current ic")
    assert number("device current") == number("source current")
    assert number("device power") == number("source power")


@pytest.mark.parametrize("volts", SUPPLIES)
def test_every_supply_of_the_table_is_accepted(volts):
    IIC, IIB, ic_IIC, ic_IIB = SUPPLIES[volts]
    for milliamps, group, zone in (
        (IIC, "IIC", "1"), (IIB, "IIB", "1"), (ic_IIC, "IIC", "2"), (ic_IIB, "IIB", "2"),
    ):  # fmt: skip
        watts = volts * milliamps / 1e3
        kind = source(output(Uo=f"{volts:g} V", Io=f"{milliamps} mA", Po=f"{watts:.6g} W"))
        assert wrong(plant(kind=kind, group=group, zone=zone)) == {}, (volts, group, zone)


@pytest.mark.parametrize("edition", EDITIONS)
def test_a_window_has_its_ends_the_right_way_round(edition):
    for name, one in figures("FISCO", edition).constants.items():
        if name.endswith(" low"):
            high = number(f"{name.removesuffix(' low')} high", edition)
            assert one.value < high, name


def test_the_first_generation_is_the_narrower_one():
    # but for the capacitance of the terminator, 0 to 2.2 uF instead of 0.8 to 1.2 uF
    new = figures("FISCO", "IEC 60079-11:2011").constants
    old = figures("FISCO", "IEC 60079-27:2005").constants
    differ = {name for name in new if new[name].value != old[name].value}
    assert differ == {
        "terminator resistance high", "terminator capacitance low", "terminator capacitance high",
        "cable capacitance low", "spur", "length IIB",
    }  # fmt: skip


def test_both_codes_prove_the_same_segment():
    # the figures of IEC 60079-11:2023 stand as in 2011; only the citation moved
    for code in ("IEC-2013", "IEC-2024"):
        found = ss.assess(plant(code=code))["S"]
        assert found.verdict is ss.Verdict.SAFE
    one, other = (figures("FISCO", edition).constants for edition in EDITIONS[:2])
    assert {name: dataclasses.replace(held, clause="") for name, held in one.items()} == {
        name: dataclasses.replace(held, clause="") for name, held in other.items()
    }
