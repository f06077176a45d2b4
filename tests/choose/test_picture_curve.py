"""The printed figures of a source against the reference curves: where each stands."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from subspark.choose.picture_curve import points_of, reference
from subspark.demo import build_plant
from subspark.errors import UsageError
from subspark.physics.ignition import standard_curves
from subspark.quantity import Capacitance


@pytest.fixture(scope="module")
def source():
    return next(one for one in build_plant().sources if one.name == "RW-1126")


def _with(source, text):
    """The source with another Co in its first column."""
    output = source.outputs[0]
    first = replace(output.limits[0], Co=Capacitance(text))
    limits = (first, *output.limits[1:])
    return replace(source, outputs=(replace(output, limits=limits), *source.outputs[1:]))


def _height(picture, label):
    """How far down the mark of a printed figure stands [px]."""
    return float(re.search(rf"<title>{label}</title><rect[^>]* y=\"([\d.]+)\"", str(picture))[1])


def test_every_printed_column_is_a_point(source):
    told = [(one.label, one.U, one.C) for one in points_of(source)]
    assert told[0] == ("IIC 99 nF", 26.0, pytest.approx(99e-9))
    assert [label for label, *_ in told] == ["IIC 99 nF", "IIB 770 nF", "IIA 2.6 µF", "IIIC 770 nF"]


def test_a_slip_of_a_thousand_stands_three_powers_of_ten_higher(source):
    curves = standard_curves()
    right = reference(source, curves)
    for group in ("IIA", "IIB", "IIC"):
        assert f">{group}</text>" in str(right)
    assert "IIC 99 nF at 26 V" in str(right)
    slip = reference(_with(source, "99 µF"), curves)
    assert _height(slip, "IIC 99 µF") < _height(slip, "IIA 2.6 µF") < _height(slip, "IIB 770 nF")
    assert _height(right, "IIC 99 nF") > _height(right, "IIB 770 nF")


def test_the_point_stands_on_the_scale(source):
    """99 nF lies between the lines of 10 and 100 nF, close under the upper one."""
    picture = str(reference(source, standard_curves()))
    scale = {
        text: float(y) - 4.0
        for y, text in re.findall(r'y="([\d.]+)" text-anchor="end">([\d.]+ [nµm]?F)<', picture)
    }
    middle = _height(picture, "IIC 99 nF") + 3.5
    assert scale["100 nF"] < middle < scale["10 nF"]
    assert middle - scale["100 nF"] < 0.01 * (scale["10 nF"] - scale["100 nF"])


def test_a_source_that_prints_no_co_has_no_such_picture(source):
    bare = replace(source, outputs=(replace(source.outputs[0], limits=()),))
    with pytest.raises(UsageError, match="no Co is printed"):
        reference(bare, standard_curves())
