"""Lengths that can be read in two ways are refused: a factor of a thousand in cable.

Source: common practice, no source (a point is a thousands mark in much of the world).
"""

from __future__ import annotations

import pytest

from subspark.errors import QuantityError
from subspark.quantity import LENGTH, Length, read


@pytest.mark.parametrize("text", ["1.250 m", "12.345 m", "350.125 ft", "≤ 1.250 m"])
def test_three_digits_behind_a_point_of_metres_are_refused(text: str) -> None:
    """1.250 m may be 1250 m: both readings are offered."""
    with pytest.raises(QuantityError, match="thousands point"):
        read(text, LENGTH)


@pytest.mark.parametrize(
    ("text", "metres"),
    [("1.25 m", 1.25), ("1.2500 m", 1.25), ("1250 m", 1250.0), ("0.125 m", 0.125)],
)
def test_other_lengths_are_read(text: str, metres: float) -> None:
    """Two or four digits, whole metres, and what begins with zero have one reading."""
    assert read(text, LENGTH)[0] == metres
    assert read("1.524 km", LENGTH)[0] == 1524.0


@pytest.mark.parametrize("number", [365.125, 1.25, 12.345, 0.001, 1e-7, 123456.789])
def test_a_number_of_metres_keeps_its_value(number: float) -> None:
    """A length given as a number is written in a way that reads back to it."""
    assert Length.of(number).si == number
