"""Quantities with their text and evidence: round trips, equality, ranges.

Source: own engineering; what is said of temperature ranges follows their printing on labels
(IEC 60079-0 29, from memory).
"""

import dataclasses
import math

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from subspark.errors import InputError, QuantityError
from subspark.quantity import (
    Area,
    Capacitance,
    CapacitancePerLength,
    Current,
    Evidence,
    Inductance,
    InductancePerLength,
    InductancePerResistance,
    Length,
    Power,
    Resistance,
    ResistancePerLength,
    Temperature,
    TemperatureRange,
    ThermalResistance,
    Value,
    Voltage,
)

CLASSES: tuple[type[Value], ...] = (
    Voltage, Current, Power, Capacitance, Inductance, Resistance, InductancePerResistance,
    CapacitancePerLength, InductancePerLength, ResistancePerLength, Length, Area, Temperature,
    ThermalResistance,
)  # fmt: skip


@settings(max_examples=600, deadline=None)
@given(
    st.sampled_from(CLASSES),
    st.one_of(
        st.floats(min_value=0.0, allow_nan=False, allow_infinity=False),
        st.floats(min_value=1e-13, max_value=1e7, allow_nan=False),
        st.decimals(min_value=0, max_value=10**4, places=3).map(float),
    ),
)
@example(InductancePerResistance, 5.5e-5)
@example(Capacitance, 1e-320)
@example(Length, 1.0)
@example(Length, 1000.0)
@example(Area, 1.5e-6)
def test_a_number_comes_back_as_it_was_given(kind, number):
    """An SI number, written as text, reads to the same double."""
    assert kind.of(number).si == number


@settings(max_examples=100, deadline=None)
@given(st.floats(allow_nan=False, allow_infinity=False))
def test_a_temperature_comes_back_with_its_sign(number):
    assert Temperature.of(number).si == number


@pytest.mark.parametrize("kind", CLASSES)
def test_what_is_no_quantity_is_refused(kind):
    for given_ in (True, [1], {"a": 1}, 1j, b"28 V"):
        with pytest.raises(QuantityError):
            kind.of(given_)
    for number in (math.inf, -math.inf, 10**400):
        with pytest.raises(QuantityError, match="not a finite magnitude"):
            kind.of(number)
    if kind is not Temperature:
        with pytest.raises(QuantityError, match="not a finite magnitude"):
            kind.of(-1.0)
    with pytest.raises(QuantityError, match="not a text"):
        kind(28)
    other = Voltage("28 V") if kind is not Voltage else Current("1 A")
    with pytest.raises(QuantityError):
        kind.of(other)


@pytest.mark.parametrize("kind", CLASSES)
def test_none_nan_and_blank_are_unknown(kind):
    for given_ in (None, math.nan, "", "unknown"):
        value = kind.of(given_)
        assert math.isnan(value.si)
        assert not value.known
        assert value.state == "unknown"


def test_the_text_as_printed_is_kept():
    one = Capacitance.of(" 0.65 µF ", Evidence(document="sheet", page="3"))
    assert (one.text, one.si, one.evidence.page) == ("0.65 µF", 6.5e-7, "3")
    assert str(one) == "0.65 µF"
    assert str(Capacitance()) == "unknown"
    assert Capacitance.of(one) is one


def test_values_are_equal_by_text_and_evidence():
    assert Voltage("28 V") == Voltage("28 V")
    assert hash(Voltage("28 V")) == hash(Voltage("28 V"))
    assert Voltage("28 V") != Voltage("28.0 V")  # as printed
    assert Voltage("28 V") != Voltage("28 V", Evidence(document="sheet"))
    assert Voltage("0") != Current("0")
    assert Voltage() == Voltage("")


def test_values_cannot_be_changed():
    one = Voltage("28 V")
    for name in ("text", "si", "state", "evidence"):
        with pytest.raises((dataclasses.FrozenInstanceError, AttributeError)):
            setattr(one, name, "1 V")


def test_evidence_says_whether_there_is_any():
    assert not Evidence()
    for given_ in ({"document": "a"}, {"page": "1"}, {"note": "n"}, {"by": "b"}, {"assumed": True}):
        assert Evidence(**given_)
    assert Evidence(document="  a\n b ").document == "a b"
    with pytest.raises(InputError, match="evidence, page: 3 is not a text"):
        Evidence(page=3)
    with pytest.raises(InputError, match="evidence, assumed: 'yes' is neither True nor False"):
        Evidence(assumed="yes")
    assert str(Evidence(document="Sheet", page="3", note="top", by="A. B.", assumed=True)) == (
        "Sheet, p. 3, top, by A. B., assumed"
    )


# --- ranges -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("-20 to 40 °C", -20.0, 40.0),
        ("-20 °C to +60 °C", -20.0, 60.0),
        ("−20 °C ≤ Ta ≤ +60 °C", -20.0, 60.0),
        ("-20 °C <= Tamb <= 60 °C", -20.0, 60.0),
        ("Ta -40 °C to +70 °C", -40.0, 70.0),
        ("Tamb: -40 to 70 C", -40.0, 70.0),
        ("-20...+40 °C", -20.0, 40.0),
        ("-20..40 °C", -20.0, 40.0),
        ("-20…40 °C", -20.0, 40.0),
        ("-4 to 104 °F", -20.0, 40.0),
        ("-20,5 to 40.5 °C", -20.5, 40.5),
        ("40 to 40 °C", 40.0, 40.0),
    ],
)
def test_a_range_is_read_as_labels_print_it(text, low, high):
    one = TemperatureRange(text)
    assert (one.low, one.high) == (pytest.approx(low), pytest.approx(high))
    assert one.known


@pytest.mark.parametrize(
    "text",
    ["40 °C", "up to 40 °C", "-20 to 40", "60 to -20 °C", "-20 to 40 K", "cold to hot °C",
     "-20 to 40 °C and more", "1,000 to 2 °C", "-20 - 40 °C x"],
)  # fmt: skip
def test_a_range_that_lacks_an_end_or_a_unit_is_refused(text):
    with pytest.raises(QuantityError):
        TemperatureRange(text)


def test_a_blank_range_is_unknown():
    for given_ in (None, "", "unknown", TemperatureRange()):
        one = TemperatureRange.of(given_)
        assert math.isnan(one.low)
        assert not one.known
    for wrong in (40, (1, 2), True):
        with pytest.raises(QuantityError):
            TemperatureRange.of(wrong)
    with pytest.raises(QuantityError, match="not a text"):
        TemperatureRange(40)


@settings(max_examples=500, deadline=None)
@given(
    st.one_of(
        st.text(max_size=30),
        st.lists(
            st.sampled_from(["-20", "40", "+", "to", "...", "°C", "°F", "C", "Ta", " ", "≤", ",5",
                             ".", "…", "-", "9" * 400]),
            max_size=8,
        ).map("".join),
    )
)  # fmt: skip
def test_any_text_is_a_range_or_a_clear_refusal(text):
    try:
        one = TemperatureRange(text)
    except QuantityError:
        return
    assert not one.known or one.low <= one.high
    assert not math.isinf(one.high)
