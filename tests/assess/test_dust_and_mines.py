"""Dust and mines: temperatures of cloud and layer, buried apparatus, EPL, columns.

Ignition temperatures are literature values (maize starch, lycopodium, sugar), as test vectors
only. Two thirds of the cloud and 75 K below the layer: IEC 60079-14:2013 5.6.3 (high); power of
buried apparatus 750, 650, 550 mW at 40, 70, 100 degC: IEC 60079-11:2011 5.6 (values high, clause
medium); mines 150 and 450 degC: IEC 60079-0:2017 5.3.2.1 (high). All from memory.
"""

from __future__ import annotations

import dataclasses

import pytest

from baseline import TAG, column, judged, plant, simple, source, transmitter
from subspark.assess import assess
from subspark.assess.working import working
from subspark.model import Junction, Mark, SourceUse

III = column("III", Co="650 nF", Lo="16 mH", Lo_Ro="218 µH/ohm")
IIB = column("IIB", Co="650 nF", Lo="16 mH", Lo_Ro="218 µH/ohm")
IIC = column("IIC", Co="83 nF", Lo="4.1 mH", Lo_Ro="54 µH/ohm")
IIA = column("IIA", Co="2.15 µF", Lo="32 mH", Lo_Ro="436 µH/ohm")
MINE = column("I", Co="3 µF", Lo="40 mH", Lo_Ro="500 µH/ohm")


def device(surface="200 °C", mark="", ambient="-40 to +60 °C", **more):
    text = mark or f"Ex ia IIIC T{surface} Da"
    return transmitter(**{"mark": f"{text} Ta {ambient.replace('to', '°C to')}", **more})


def dust(number="20", group="IIIC", **more):
    return {"zone": number, "group": group, **more}


def told(item=None, area=None, by=None, **parts):
    given = {
        "sources": (by or source(mark="[Ex ia Da] IIIC", limits=(III, IIC)),),
        "items": (item or device(),),
        "area": area or dust(temperature="200 °C"),
    }
    return judged(**{**given, **parts})


def heat(*given, **parts):
    found = told(*given, **parts)
    return found.rules["temperature class"].verdict.word, found.rules["temperature class"].limit


# --- cloud and layer -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cloud", "layer", "limit"),
    [
        ("400 °C", "300 °C", 225.0),  # maize starch: 266.7 and 225
        ("410 °C", "280 °C", 205.0),  # lycopodium: 273.3 and 205
        ("370 °C", "400 °C", 370.0 * 2.0 / 3.0),  # sugar: 246.7 and 325
        ("405 °C", "450 °C", 270.0),  # exactly
    ],
)
def test_the_lower_of_cloud_and_layer(cloud, layer, limit):
    verdict, found = heat(device(), dust(cloud_ignition=cloud, layer_ignition=layer))
    assert found == limit
    assert verdict == "safe"


def test_equality_is_safe_and_a_degree_more_is_not():
    area = dust(cloud_ignition="400 °C", layer_ignition="300 °C")
    assert heat(device("225 °C"), area)[0] == "safe"
    assert heat(device("226 °C"), area)[0] == "unsafe"


@pytest.mark.parametrize("known", ["cloud_ignition", "layer_ignition"])
def test_one_of_the_two_alone_shows_nothing(known):
    assert heat(device(), dust(**{known: "400 °C"}))[0] == "unproven"


def test_a_stated_temperature_counts_beside_them():
    area = dust(temperature="150 °C", cloud_ignition="400 °C", layer_ignition="300 °C")
    assert heat(device("200 °C"), area) == ("unsafe", 150.0)


@pytest.mark.parametrize("depth", ["3 mm", "5 mm"])
def test_a_shallow_layer_goes_by_the_formula(depth):
    area = dust(cloud_ignition="400 °C", layer_ignition="300 °C", layer_depth=depth)
    assert heat(device(), area) == ("safe", 225.0)


def test_a_deep_layer_has_no_formula():
    area = dust(cloud_ignition="400 °C", layer_ignition="300 °C", layer_depth="6 mm")
    assert heat(device("100 °C"), area)[0] == "unproven"


def test_a_deep_layer_has_no_stated_temperature_either():
    assert heat(device("100 °C"), dust(temperature="200 °C", layer_depth="20 mm"))[0] == "unproven"


def test_a_deep_layer_goes_by_its_test_without_the_margin():
    area = dust(cloud_ignition="400 °C", layer_depth="50 mm", layer_limit="140 °C")
    assert heat(device("140 °C"), area) == ("safe", 140.0)
    assert heat(device("141 °C"), area) == ("unsafe", 140.0)


def test_a_deep_layer_still_asks_for_the_cloud():
    area = dust(layer_depth="50 mm", layer_limit="140 °C")
    assert heat(device("100 °C"), area)[0] == "unproven"
    area = dust(layer_depth="50 mm", layer_limit="140 °C", cloud_ignition="180 °C")
    assert heat(device("100 °C"), area) == ("safe", 120.0)


def test_a_class_is_no_temperature_of_dust():
    """IEC 60079-0:2017 29.5, from memory (high): dust is marked in degrees."""
    assert heat(device(), dust(temperature="T4"))[0] == "unproven"
    mark = Mark(level="ia", group="IIIC", epl="Da", temperature="T4", ambient="-40 to 60 °C")
    assert heat(transmitter(mark="", marks=(mark,)))[0] == "unproven"


# --- buried apparatus ----------------------------------------------------------------------------

BURIED = dust(layer="uncontrolled")


def supply(power):
    """A source of that power by its document; its Uo and Io do not matter here."""
    Io = {"750 mW": "107.15 mA", "751 mW": "107.29 mA", "650 mW": "92.86 mA"}
    Io |= {"651 mW": "93 mA", "550 mW": "78.58 mA", "551 mW": "78.72 mA"}
    limits = (column("III", Co="650 nF", Lo="10 mH"),)
    return source(Io=Io[power], Po=power, mark="[Ex ia Da] IIIC", limits=limits)


@pytest.mark.parametrize(
    ("power", "hottest", "verdict"),
    [
        ("750 mW", 40, "safe"),
        ("751 mW", 40, "unproven"),
        ("650 mW", 70, "safe"),
        ("651 mW", 70, "unproven"),
        ("651 mW", 40, "safe"),
        ("651 mW", 41, "unproven"),  # never interpolated: the next hotter column
        ("650 mW", 41, "safe"),
        ("550 mW", 100, "safe"),
        ("551 mW", 100, "unproven"),
        ("550 mW", 101, "unproven"),
    ],
)
def test_buried_apparatus_goes_by_power(power, hottest, verdict):
    item = device(ambient="-40 to +110 °C")
    found = told(item, BURIED, supply(power), ambient=f"-20 to {hottest} °C")
    assert found.rules["temperature class"].verdict.word == verdict
    assert found.verdict.word == verdict


def test_buried_apparatus_says_watts():
    found = told(device(), BURIED, supply("751 mW"))
    rule = found.rules["temperature class"]
    assert rule.unit == "W"
    assert rule.demand == pytest.approx(0.751, rel=1e-12)
    assert "751 mW against more than dust of uncontrolled depth allows" in rule.sentence


def test_buried_apparatus_still_minds_the_cloud_where_it_is_known():
    area = dust(layer="uncontrolled", cloud_ignition="270 °C")
    assert heat(device("181 °C"), area, supply("650 mW"))[0] == "unsafe"
    assert heat(device("180 °C"), area, supply("650 mW"))[0] == "safe"


def test_a_controlled_layer_goes_by_temperature():
    area = dust(layer="controlled", temperature="200 °C")
    assert heat(device(), area, supply("751 mW"))[0] == "safe"


def test_simple_apparatus_buried_goes_by_power_too():
    item = simple()
    assert told(item, BURIED, supply("650 mW")).rules["temperature class"].verdict.word == "safe"
    assert heat(item, BURIED, supply("751 mW"))[0] == "unproven"


def test_a_source_or_a_box_buried_is_not_shown_by_the_power_of_its_circuit():
    by = source(mark="Ex tb [ia Da] IIIC T100 °C Db", limits=(III,))
    use = (SourceUse(source="S1", place="A", place_ambient="-20 to 40 °C"),)
    item = device(mark="Ex ib IIIC T200 °C Db")
    controlled = dust("21", temperature="200 °C")
    assert told(item, controlled, by, uses=use).verdict.word == "safe"
    buried = dust("21", temperature="200 °C", layer="uncontrolled")
    assert told(item, buried, by, uses=use).rules["place"].verdict.word == "unproven"


def test_a_junction_box_buried_is_unproven():
    own = dataclasses.replace(
        plant(sources=(supply("550 mW"),), items=(device(),), area=BURIED),
        junctions=(Junction(tag="JB-1", area="A", Rth="10 K/W"),),  # type: ignore[arg-type]
    )
    run = dataclasses.replace(own.circuits[0].runs[0], end="JB-1")
    circuit = dataclasses.replace(own.circuits[0], runs=(run,))
    found = assess(dataclasses.replace(own, circuits=(circuit,)))[TAG]
    assert found.rules["box temperature"].verdict.word == "unproven"


def test_the_power_of_gas_is_not_that_of_dust():
    found = told(simple(surface="1000 mm2", Rth=""), dust(temperature="200 °C"))
    assert found.rules["temperature class"].verdict.word == "unproven"


def test_the_working_tells_what_a_buried_one_may_have():
    shown = plant(
        sources=(supply("650 mW"),),
        items=(device(),),
        area=BURIED,
    )
    text = str(working(assess(shown), TAG).as_dict())
    assert "750 mW at 40 °C, 650 mW at 70 °C, 550 mW at 100 °C" in text


# --- EPL, groups, columns ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("level", "epl", "places"),
    [
        ("ia", "Da", {"20", "21", "22"}),
        ("ib", "Db", {"21", "22"}),
        ("ic", "Dc", {"22"}),
    ],
)
def test_epl_of_dust(level, epl, places):
    """IEC 60079-14:2013 5.3, 5.4, from memory (high)."""
    item = device(mark=f"Ex {level} IIIC T200 °C {epl}")
    safe = {
        number
        for number in ("20", "21", "22")
        if told(item, dust(number, temperature="200 °C")).verdict.word == "safe"
    }
    assert safe == places


@pytest.mark.parametrize(
    ("group", "serves"),
    [("IIIA", {"IIIA"}), ("IIIB", {"IIIA", "IIIB"}), ("IIIC", {"IIIA", "IIIB", "IIIC"})],
)
def test_groups_of_dust(group, serves):
    """IEC 60079-14:2013 5.5, from memory (high)."""
    item = device(mark=f"Ex ia {group} T200 °C Da")
    safe = {
        asked
        for asked in ("IIIA", "IIIB", "IIIC")
        if told(item, dust("20", asked, temperature="200 °C")).rules["group"].verdict.word == "safe"
    }
    assert safe == serves


@pytest.mark.parametrize("mark", ["Ex ia IIC T4 Ga", "Ex ia I Ma"])
def test_other_families_are_none_of_dust(mark):
    assert told(device(mark=mark)).rules["group"].verdict.word == "unsafe"


@pytest.mark.parametrize(
    ("columns", "Co"),
    [
        ((III, IIC), 650e-9),
        ((IIB, IIC), 650e-9),
        ((IIC,), 83e-9),
        ((IIA, IIC), 83e-9),  # never IIA
        ((MINE, IIC), 83e-9),  # never I
    ],
)
def test_columns_that_serve_dust(columns, Co):
    """III where it is printed, else IIB, else IIC: IEC 60079-11 group III as IIB (high)."""
    by = source(mark="[Ex ia Da] IIIC", limits=columns)
    assert told(by=by).rules["capacitance"].limit == pytest.approx(Co, rel=1e-12)


@pytest.mark.parametrize("columns", [(IIA,), (MINE,)])
def test_no_column_that_serves_dust(columns):
    by = source(mark="[Ex ia Da] IIIC", limits=columns)
    assert told(by=by).rules["capacitance"].verdict.word == "unproven"


def test_a_source_of_group_two_is_unproven_for_dust_and_the_category_settles_it():
    """Associated apparatus of IIC serves dust where a document or its mark says so (medium)."""
    by = source(mark="[Ex ia Ga] IIC", limits=(IIB,))
    assert told(by=by).rules["group"].verdict.word == "unproven"
    by = source(mark="II (1) GD [EEx ia] IIC", limits=(IIB,))
    assert told(by=by).rules["group"].verdict.word == "safe"


# --- mines ---------------------------------------------------------------------------------------


def mine(epl="Ma", **more):
    return {"zone": "mine", "group": "I", "epl": epl, **more}


def in_a_mine(area, mark="Ex ia I Ma", surface="150 °C", by=None):
    _, level, group, epl = mark.split()
    facts = Mark(level=level, group=group, epl=epl, temperature=surface, ambient="-40 to 60 °C")
    by = by or source(mark="[Ex ia Ma] I", limits=(MINE,))
    return judged(sources=(by,), items=(transmitter(mark="", marks=(facts,)),), area=area)


@pytest.mark.parametrize(
    ("coal", "surface", "verdict"),
    [
        ("yes", "150 °C", "safe"),
        ("yes", "151 °C", "unsafe"),
        ("no", "450 °C", "safe"),
        ("no", "451 °C", "unsafe"),
        ("", "100 °C", "unproven"),
    ],
)
def test_temperatures_of_a_mine(coal, surface, verdict):
    found = in_a_mine(mine(coal_dust=coal), surface=surface)
    assert found.rules["temperature class"].verdict.word == verdict


def test_a_stated_temperature_of_a_mine_counts_beside_coal_dust():
    found = in_a_mine(mine(coal_dust="no", temperature="200 °C"), surface="250 °C")
    assert found.rules["temperature class"].verdict.word == "unsafe"
    found = in_a_mine(mine(coal_dust="yes", temperature="200 °C"), surface="160 °C")
    assert found.rules["temperature class"].verdict.word == "unsafe"


def test_a_mine_has_no_temperature_class():
    found = in_a_mine(mine(temperature="T4"), surface="100 °C")
    assert found.rules["temperature class"].verdict.word == "unproven"
    found = in_a_mine(mine(coal_dust="yes"), surface="T4")
    assert found.rules["temperature class"].verdict.word == "unproven"


@pytest.mark.parametrize(
    ("epl", "mark", "verdict"),
    [
        ("Ma", "Ex ia I Ma", "safe"),
        ("Ma", "Ex ib I Mb", "unsafe"),
        ("Mb", "Ex ib I Mb", "safe"),
        ("Mb", "Ex ia I Ma", "safe"),
    ],
)
def test_epl_of_a_mine(epl, mark, verdict):
    """Ma stays live in firedamp, Mb is switched off: IEC 60079-0:2017 3, from memory (high)."""
    assert in_a_mine(mine(epl, coal_dust="yes"), mark).verdict.word == verdict


def test_a_mine_without_its_epl_is_unproven():
    assert in_a_mine(mine("", coal_dust="yes")).verdict.word == "unproven"


@pytest.mark.parametrize(
    ("columns", "Co"),
    [((MINE, IIA), 3e-6), ((IIA, IIB), 2.15e-6), ((IIB, IIC), 650e-9), ((IIC,), 83e-9)],
)
def test_columns_that_serve_a_mine(columns, Co):
    """I where it is printed, else any of II, the most generous (IEC 60079-11, high)."""
    by = source(mark="[Ex ia Ma] I", limits=columns)
    found = in_a_mine(mine(coal_dust="yes"), by=by)
    assert found.rules["capacitance"].limit == pytest.approx(Co, rel=1e-12)


def test_gas_and_dust_do_not_serve_a_mine():
    found = judged(
        sources=(source(mark="[Ex ia Ma] I", limits=(MINE,)),),
        area=mine(coal_dust="yes"),
    )
    assert found.rules["group"].verdict.word == "unsafe"
