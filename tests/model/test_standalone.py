"""One circuit by itself is the same as the plant that has it alone.

Source: own engineering.
"""

import dataclasses

import pytest

from baseline import SHEET, cable, plant, simple, source, transmitter
from subspark.assess import assess
from subspark.errors import PlantError
from subspark.model import (
    Area,
    Atmosphere,
    Certificate,
    Declaration,
    StandaloneCircuit,
    StandaloneRun,
)

PLANT = plant()


def alone(**given) -> StandaloneCircuit:
    held = {
        "tag": "X",
        "area": PLANT.areas[0],
        "sources": (source(),),
        "apparatus": (transmitter(),),
        "runs": (StandaloneRun(cable=cable(), length="200 m"),),
        "certificates": PLANT.certificates,
        "declarations": PLANT.declarations,
    }
    return StandaloneCircuit(**{**held, **given})


def test_a_circuit_by_itself_is_judged_as_in_a_plant():
    found, expected = assess(alone()), assess(PLANT)["X"]
    assert found.as_dict() == expected.as_dict()
    assert found.verdict.word == "safe"


def test_simple_and_certified_apparatus_stand_side_by_side():
    one = alone(apparatus=(transmitter(), simple()))
    built = one.plant()
    assert [member.apparatus for member in built.circuits[0].members] == ["T1", "P1"]
    assert assess(one).verdict.word == "safe"


def test_the_same_type_may_be_used_twice():
    item = transmitter(Ci="1 nF", Li="0")
    run = StandaloneRun(cable=cable(), length="100 m")
    one = alone(apparatus=(item, item), runs=(run, run))
    assert len(one.plant().apparatus) == 1
    assert assess(one).rules["capacitance"].demand == pytest.approx(22e-9)


def test_the_screen_of_a_run_is_kept():
    screened = cable(C="", C_core="100 pF/m", C_screen="100 pF/m", screen="overall")
    for screen, total in (("floating", 35e-9), ("tied to one core", 45e-9)):
        run = StandaloneRun(cable=screened, length="200 m", screen=screen)
        assert assess(alone(runs=(run,))).rules["capacitance"].demand == pytest.approx(total)


def test_two_types_of_one_name_are_refused():
    with pytest.raises(PlantError, match="stands more than once"):
        alone(apparatus=(transmitter(Ci="1 nF"), transmitter(Ci="2 nF"))).plant()


def test_nothing_declared_is_unproven_and_nothing_known_too():
    assert assess(alone(declarations=())).verdict.word == "unproven"
    bare = StandaloneCircuit(area=Area(tag="A"))
    assert assess(bare).verdict.word == "unproven"
    assert assess(dataclasses.replace(alone(), sources=())).verdict.word == "unproven"


def test_the_code_is_chosen_by_name():
    zone = Area(
        tag="A",
        atmospheres=(Atmosphere(zone="1", group="IIC", temperature="T4"),),
        ambient="-20 to 40 °C",
    )
    for code in ("IEC-2013", "IEC-2024"):
        found = assess(alone(area=zone, code=code))
        assert found.verdict.word == "safe"
        assert code.removeprefix("IEC-") in found.code


def test_certificates_and_declarations_are_its_own():
    one = alone(
        certificates=(Certificate(number="cert S1"), Certificate(number="cert T1", suffix="X"))
    )
    assert assess(one).governing == "conditions"
    met = Declaration(
        fact="conditions answered", value="yes", scope="certificate", of="cert T1", evidence=SHEET
    )
    assert (
        assess(dataclasses.replace(one, declarations=(*one.declarations, met))).verdict.word
        == "safe"
    )
